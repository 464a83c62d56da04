#pragma once
// A regime's field taken from a store if it is there, else solved and kept there. The key is all
// that the field follows from: what is asked of the solver, the solver's own source and flags, and
// what else decides the bits of a calculation (compiler, C library, instructions of the processor).
// So a field that is taken from a store has the bits that solving it here would have given.
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "models/flow/regime_field.h"
#include "sim/house/field_store.h"

namespace mistwright {

/// What is asked of flow::solve_field(), in the same order.
struct FieldCase {
  const flow::Enclosure& enclosure;
  const std::vector<flow::PortFlow>& ports;
  double leakage_m3_per_s;
  const flow::FieldOptions& options;
};

/// @param store  null: solved every time
[[nodiscard]] flow::RegimeField kept_field(FieldStore* store, const FieldCase& wanted);

/// The key under which a case's field is kept. Names of ports stay out: they change no bit.
[[nodiscard]] std::string field_key(const FieldCase& wanted);

/// A field as bytes, every bit of it.
[[nodiscard]] std::string field_bytes(const flow::RegimeField& field);

/// The field that field_bytes() wrote; none if they are not such bytes, whole, with arrays that fit
/// the field's own grid.
[[nodiscard]] std::optional<flow::RegimeField> field_of_bytes(std::string_view bytes);

}  // namespace mistwright
