#include "sim/house/kept_field.h"

#include <algorithm>
#include <cstdint>
#include <cstring>
#include <type_traits>

#if defined(__GLIBC__)
#include <gnu/libc-version.h>
#endif

#include "sim/house/field_mark.h"

namespace mistwright {
namespace {

/// Bumped when the same members are laid out anew below. Read on a machine with the other order of
/// bytes it is another number.
constexpr std::uint64_t layout = 2;

/// A field has at most so many cells along one axis: their product then fits 64 bits.
constexpr std::size_t most_cells_along = 1U << 20;

/// Appends numbers as they lie in memory, arrays behind their length.
class Writer {
 public:
  template <class... Items>
  void operator()(const Items&... items) {
    (one(items), ...);
  }
  std::string take() { return std::move(bytes_); }

 private:
  template <class T>
  void one(const T& number) {
    static_assert(std::is_arithmetic_v<T>);
    bytes_.append(reinterpret_cast<const char*>(&number), sizeof number);
  }
  void one(const std::string& text) {
    one(std::uint64_t{text.size()});
    bytes_ += text;
  }
  template <class T>
  void one(const std::vector<T>& items) {
    one(std::uint64_t{items.size()});
    if constexpr (std::is_arithmetic_v<T>) {
      if (!items.empty())
        bytes_.append(reinterpret_cast<const char*>(items.data()), items.size() * sizeof(T));
    } else {
      for (const T& item : items) one(item);
    }
  }

  std::string bytes_;
};

/// Takes back what Writer wrote. Whatever asks for more than is left makes the whole unsound.
class Reader {
 public:
  explicit Reader(std::string_view bytes) : left_(bytes) {}

  template <class... Items>
  void operator()(Items&... items) {
    (one(items), ...);
  }
  /// Whether all was there and nothing is left.
  [[nodiscard]] bool whole() const { return sound_ && left_.empty(); }

 private:
  void copy(void* to, std::size_t count) {
    sound_ = sound_ && count <= left_.size();
    if (!sound_ || count == 0) return;
    std::memcpy(to, left_.data(), count);
    left_.remove_prefix(count);
  }
  template <class T>
  void one(T& number) {
    static_assert(std::is_arithmetic_v<T>);
    copy(&number, sizeof number);
  }
  void one(bool& flag) {
    std::uint8_t number = 0;
    copy(&number, sizeof number);
    sound_ = sound_ && number <= 1;
    flag = number == 1;
  }
  template <class T>
  void one(std::vector<T>& items) {
    std::uint64_t count = 0;
    one(count);
    // No room is taken for more than can follow.
    constexpr std::size_t least_bytes = std::is_arithmetic_v<T> ? sizeof(T) : sizeof(count);
    sound_ = sound_ && count <= left_.size() / least_bytes;
    if (!sound_) return;
    items.resize(count);
    if constexpr (std::is_arithmetic_v<T>) {
      copy(items.data(), items.size() * sizeof(T));
    } else {
      for (T& item : items) one(item);
    }
  }

  std::string_view left_;
  bool sound_ = true;
};

/// The one walk over a field by which it is written and read. Naming every member makes a new one
/// of RegimeField or Grid an error of the compiler until it is named here and handed on.
template <class Visitor, class Field>
void walk(Visitor& visit, Field& field) {
  auto& [grid, u, v, w, sigma, timescale, leak_in, floor, bench, inflow, index, iterations,
         converged, steady] = field;
  auto& [nx, ny, nz, dx, dy, dz, fluid] = grid;
  visit(nx, ny, nz, dx, dy, dz, fluid);
  visit(u, v, w, sigma, timescale, leak_in, floor, bench, inflow, index, iterations, converged,
        steady);
}

/// Whether the arrays have the lengths that the grid asks for.
bool fits(const flow::RegimeField& field) {
  const flow::Grid& grid = field.grid;
  if (std::max({grid.nx, grid.ny, grid.nz}) > most_cells_along) return false;
  return grid.fluid.size() == grid.cells() && field.u_m_per_s.size() == grid.u_faces() &&
         field.v_m_per_s.size() == grid.v_faces() && field.w_m_per_s.size() == grid.w_faces() &&
         field.sigma_m_per_s.size() == grid.cells() && field.timescale_s.size() == grid.cells() &&
         field.leak_in_m3_per_s.size() == grid.cells();
}

/// What decides the bits of a calculation besides its source.
std::string calculating_machine() {
  std::string words = "compiler " __VERSION__;
#if defined(__GLIBC__)
  words += std::string("; C library ") + gnu_get_libc_version();
#endif
#if defined(__x86_64__)
  // The mathematics library takes other paths where these are.
  words += "; instructions";
  if (__builtin_cpu_supports("fma") != 0) words += " fma";
  if (__builtin_cpu_supports("avx2") != 0) words += " avx2";
  if (__builtin_cpu_supports("avx512f") != 0) words += " avx512f";
#endif
  return words;
}

void add_enclosure(Writer& add, const flow::Enclosure& enclosure) {
  const auto& [length, width, eave, ridge, boxes, sheets, ports, stirrers, foliage] = enclosure;
  add(length, width, eave, ridge);
  add(boxes.size());
  for (const auto& [x0, x1, y0, y1, z0, z1] : boxes) add(x0, x1, y0, y1, z0, z1);
  add(sheets.size());
  for (const auto& [axis, place, low, high, z0, z1, inward] : sheets)
    add(axis, place, low, high, z0, z1, inward);
  add(ports.size());
  for (const auto& [name, side, along, height, wide, tall, open] : ports)
    add(static_cast<int>(side), along, height, wide, tall, open);
  add(foliage.size());
  for (const auto& [leaves, density] : foliage) {
    const auto& [x0, x1, y0, y1, z0, z1] = leaves;
    add(x0, x1, y0, y1, z0, z1, density);
  }
  add(stirrers.size());
  for (const auto& [x, y, z, bearing, diameter, flow] : stirrers)
    add(x, y, z, bearing, diameter, flow);
}

}  // namespace

std::string field_key(const FieldCase& wanted) {
  Writer add;
  add(std::string("mistwright field"), layout, std::string(field_solver_mark),
      calculating_machine());
  add_enclosure(add, wanted.enclosure);
  add(wanted.ports.size());
  for (const auto& [port, inflow] : wanted.ports) add(port, inflow);
  add(wanted.leakage_m3_per_s);
  const auto& [model, cell, uniform, background, floor_heat, bench_heat, cover, jet_strength] =
      wanted.options;
  add(static_cast<int>(model), cell, uniform, background, floor_heat, bench_heat, cover,
      jet_strength);
  return add.take();
}

std::string field_bytes(const flow::RegimeField& field) {
  Writer writer;
  writer(layout);
  walk(writer, field);
  return writer.take();
}

std::optional<flow::RegimeField> field_of_bytes(std::string_view bytes) {
  Reader reader(bytes);
  std::uint64_t found_layout = 0;
  reader(found_layout);
  if (found_layout != layout) return {};
  flow::RegimeField field;
  walk(reader, field);
  if (!reader.whole() || !fits(field)) return {};
  return field;
}

flow::RegimeField kept_field(FieldStore* store, const FieldCase& wanted) {
  const auto solve = [&wanted] {
    return flow::solve_field(wanted.enclosure, wanted.ports, wanted.leakage_m3_per_s,
                             wanted.options);
  };
  if (store == nullptr) return solve();
  const std::string key = field_key(wanted);
  if (const auto bytes = store->load(key)) {
    if (auto field = field_of_bytes(*bytes)) return *std::move(field);
  }
  flow::RegimeField field = solve();
  store->save(key, field_bytes(field));
  return field;
}

}  // namespace mistwright
