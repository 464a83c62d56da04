#include "models/water/flow_solver.h"

#include <Eigen/SparseCholesky>
#include <Eigen/SparseCore>
#include <algorithm>
#include <cmath>

#include "models/contracts.h"
#include "models/water/supply.h"

namespace mistwright::water {
namespace {

constexpr int step_limit = 200;
constexpr int patience = 30;  // steps after which creep is let be
constexpr double tolerance = 1e-11;
constexpr double settled = 1e-9;  // Newton's last step: what is left then is about its square

Drop drop_of(const PipeLaw& law, double q) {
  Drop drop = pipe_drop(law.pipe, q, law.water);
  drop.drop_Pa += law.valve_loss_Pa_s2_per_m6 * q * std::abs(q);
  drop.slope_Pa_s_per_m3 += 2.0 * law.valve_loss_Pa_s2_per_m6 * std::abs(q);
  return drop;
}

Drop drop_of(const PowerLaw& law, double q) {
  // Away from rest by a hair, where exponents below 1 have no slope.
  const double ratio = std::max(std::abs(q) / law.flow_m3_per_s, 1e-12);
  const double below = std::pow(ratio, law.flow_exponent - 1.0);
  return {.drop_Pa = law.drop_Pa * below * q / law.flow_m3_per_s,
          .slope_Pa_s_per_m3 = law.flow_exponent * law.drop_Pa / law.flow_m3_per_s * below};
}

Drop drop_of(const SupplyLaw& law, double q) {
  return supply_drop(law.supply, q);
}

/// Newton's working state.
class Newton {
 public:
  explicit Newton(const FlowProblem& problem);
  FlowSolution run();

 private:
  void linearise();
  void assemble();
  void step(double damping);
  [[nodiscard]] double imbalance() const;
  [[nodiscard]] double fall(std::size_t link) const {
    return potential_[problem_.links[link].from] - potential_[problem_.links[link].to];
  }

  const FlowProblem& problem_;
  std::vector<int> row_;  // by node; -1 where the potential is known
  int rows_ = 0;
  std::vector<double> potential_;    // by node
  std::vector<double> flow_;         // by link
  std::vector<double> misfit_Pa_;    // by link: loss less fall of potential
  std::vector<double> conductance_;  // by link: 1 / slope
  double greatest_flow_ = 0.0, greatest_drop_Pa_ = 0.0, greatest_misfit_Pa_ = 0.0, moved_ = 0.0;
  double floor_ = 0.0;  // least slope
  Eigen::SparseMatrix<double> matrix_;
  Eigen::VectorXd right_;
  Eigen::SimplicialLDLT<Eigen::SparseMatrix<double>> factor_;
  bool analysed_ = false, factored_ = true;
};

Newton::Newton(const FlowProblem& problem) : problem_(problem) {
  const std::size_t nodes = problem.potential_Pa.size();
  EXPECT(problem.demand_m3_per_s.size() == nodes);
  double known = 0.0;
  for (const auto& potential : problem.potential_Pa) {
    if (potential) known = std::max(known, *potential);
  }
  for (const auto& potential : problem.potential_Pa) {
    row_.push_back(potential ? -1 : rows_++);
    potential_.push_back(potential.value_or(known));
  }
  for (const Link& link : problem.links) {
    EXPECT(link.from < nodes && link.to < nodes && link.first_flow_m3_per_s != 0.0);
    flow_.push_back(link.first_flow_m3_per_s);
  }
  misfit_Pa_.resize(flow_.size());
  conductance_.resize(flow_.size());
  matrix_.resize(rows_, rows_);
}

void Newton::linearise() {
  greatest_flow_ = 0.0;
  greatest_drop_Pa_ = 0.0;
  greatest_misfit_Pa_ = 0.0;
  for (std::size_t j = 0; j < flow_.size(); ++j) {
    const Drop drop = link_drop(problem_.links[j].law, flow_[j]);
    misfit_Pa_[j] = drop.drop_Pa - fall(j);
    conductance_[j] = drop.slope_Pa_s_per_m3;
    greatest_flow_ = std::max(greatest_flow_, std::abs(flow_[j]));
    greatest_drop_Pa_ = std::max(greatest_drop_Pa_, std::abs(drop.drop_Pa));
    greatest_misfit_Pa_ = std::max(greatest_misfit_Pa_, std::abs(misfit_Pa_[j]));
  }
  // A square law has no slope at rest, and a pipe without length none at all. The floor keeps the
  // system solvable; it enters the step alone, never the equations that are met at the end.
  floor_ = 1e-7 * std::max(greatest_drop_Pa_, 1e-300) / std::max(greatest_flow_, 1e-300);
  for (double& c : conductance_) c = 1.0 / std::max(c, floor_);
}

/// Asks for the change of potential, not the potential: rounding then shrinks with the step.
void Newton::assemble() {
  std::vector<Eigen::Triplet<double>> entries;
  entries.reserve(4 * flow_.size());
  right_ = Eigen::VectorXd::Zero(rows_);
  for (std::size_t n = 0; n < row_.size(); ++n) {
    if (row_[n] >= 0) right_[row_[n]] -= problem_.demand_m3_per_s[n];
  }
  for (std::size_t j = 0; j < flow_.size(); ++j) {
    const int a = row_[problem_.links[j].from];
    const int b = row_[problem_.links[j].to];
    const double c = conductance_[j];
    const double q = flow_[j] - misfit_Pa_[j] * c;
    if (a >= 0) {
      right_[a] -= q;
      entries.emplace_back(a, a, c);
    }
    if (b >= 0) {
      right_[b] += q;
      entries.emplace_back(b, b, c);
    }
    if (a >= 0 && b >= 0) {
      entries.emplace_back(a, b, -c);
      entries.emplace_back(b, a, -c);
    }
  }
  if (rows_ == 0) return;
  matrix_.setFromTriplets(entries.begin(), entries.end());
  if (!analysed_) factor_.analyzePattern(matrix_);
  analysed_ = true;
  factor_.factorize(matrix_);
  factored_ = factor_.info() == Eigen::Success;
}

void Newton::step(double damping) {
  Eigen::VectorXd change = right_;
  if (rows_ > 0) change = factor_.solve(right_);
  const auto change_at = [&](std::uint32_t node) {
    return row_[node] >= 0 ? change[row_[node]] : 0.0;
  };
  moved_ = 0.0;
  for (std::size_t j = 0; j < flow_.size(); ++j) {
    const Link& link = problem_.links[j];
    const double dq = conductance_[j] * (change_at(link.from) - change_at(link.to) - misfit_Pa_[j]);
    flow_[j] += damping * dq;
    // A link on the floor loses next to nothing: its flow may still creep and does not matter.
    if (conductance_[j] * floor_ < 1.0) moved_ = std::max(moved_, std::abs(dq));
  }
  for (std::size_t n = 0; n < row_.size(); ++n) {
    if (row_[n] >= 0) potential_[n] += damping * change[row_[n]];
  }
}

double Newton::imbalance() const {
  std::vector<double> left(row_.size(), 0.0);
  for (std::size_t n = 0; n < row_.size(); ++n) left[n] -= problem_.demand_m3_per_s[n];
  for (std::size_t j = 0; j < flow_.size(); ++j) {
    left[problem_.links[j].from] -= flow_[j];
    left[problem_.links[j].to] += flow_[j];
  }
  double worst = 0.0;
  for (std::size_t n = 0; n < row_.size(); ++n) {
    if (row_[n] >= 0) worst = std::max(worst, std::abs(left[n]));
  }
  return worst;
}

FlowSolution Newton::run() {
  FlowSolution solution;
  linearise();
  while (solution.iterations < step_limit && !solution.converged) {
    assemble();
    if (!factored_) break;
    // Newton on rising convex losses hardly ever needs damping; a supply of straight pieces can
    // make it swing between two of them.
    step(solution.iterations < patience ? 1.0 : 0.5);
    ++solution.iterations;
    linearise();
    // Round a loop that resists next to nothing a flow may creep for ever, and its loss with it.
    const bool patient = solution.iterations >= patience;
    solution.converged =
        imbalance() <= tolerance * greatest_flow_ &&
        greatest_misfit_Pa_ <= (patient ? settled : tolerance) * greatest_drop_Pa_ &&
        (patient || moved_ <= settled * greatest_flow_);
  }
  solution.potential_Pa = potential_;
  solution.flow_m3_per_s = flow_;
  solution.residual_m3_per_s = imbalance();
  solution.residual_Pa = greatest_misfit_Pa_;
  return solution;
}

}  // namespace

Drop link_drop(const LinkLaw& law, double flow_m3_per_s) {
  return std::visit([&](const auto& known) { return drop_of(known, flow_m3_per_s); }, law);
}

FlowSolution solve_flows(const FlowProblem& problem) {
  return Newton(problem).run();
}

}  // namespace mistwright::water
