#pragma once
// How is something that the air carries spread through the house?
// Finite volumes about each cell: upwind differences or, as a deferred correction, QUICK (Leonard
// 1979), central diffusion, sources and losses; air that comes in through a mouth or a crack brings
// what is stated for it. Swept by Jacobi's method while the flow is on its way, solved to the end
// by BiCGSTAB (Van der Vorst 1992) in a flow that stands still.
#include <array>

#include "models/flow/flow_case.h"
#include "models/flow/sweeps.h"

namespace mistwright::flow {

/// Molecular Prandtl number of air (White 2006), and of its eddies (Launder and Spalding 1974).
inline constexpr double air_prandtl_number = 0.71, eddy_prandtl_number = 0.85;

class Transport {
 public:
  explicit Transport(const FlowCase& problem);

  /// Takes up a flow, which must stay until it is swept or solved, and the diffusivity, viscosity
  /// over a Prandtl number.
  /// @param molecular_m2_per_s  added to the eddy part over `prandtl_number`
  void set(const FlowState& state, double molecular_m2_per_s, double prandtl_number);
  /// The same flow, another diffusivity.
  void spread(double molecular_m2_per_s, double prandtl_number);

  /// Source and loss of each cell besides: source - loss * value. Size of the lattice.
  struct Sources {
    const Values& source;
    const Values& loss_m3_per_s;
  };

  /// Sweeps towards the steady state, under-relaxed.
  void sweep(const Sources& given, double relaxation_factor, Values& value);
  /// Shifts all values alike so that the whole's balance closes (additive correction of one block,
  /// Hutchinson and Raithby 1986): sweeps alone take long to find the level.
  void level(const Sources& given, Values& value);
  /// QUICK's correction of upwind differences for the present values, as a source to add.
  void sharpen(const Values& value, double sharpness_fraction, Values& source);
  /// The steady state, until no cell is further from balance than `tolerance_fraction` of the
  /// largest source. @return false when 2,000 iterations do not suffice
  [[nodiscard]] bool solve(const Sources& given, double tolerance_fraction, Values& value);

 private:
  void pass_boundary();
  void pass_faces(std::size_t axis, std::size_t k, Range range, Equations& equations) const;
  void first_round(const Sources& given, double relaxation_factor, std::size_t k, Range range,
                   const Values& value);
  [[nodiscard]] Equations all_equations(const Values& loss);
  void multiply(const Equations& equations, const Values& x, Values& y) const;

  const FlowCase& problem_;
  const FlowState* state_ = nullptr;
  double molecular_m2_per_s_ = 0.0, prandtl_number_ = 1.0;
  Equations equations_;
  struct Edge {
    std::size_t axis, face, cell;  ///< a face that is not open and its cell of air
  };
  std::vector<Edge> edges_;
  std::vector<std::size_t> passing_;  ///< cells with flow through such faces
  Values inflow_, outflow_, spare_, extra_, whole_;
};

}  // namespace mistwright::flow
