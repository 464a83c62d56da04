#include "tests/bench/cvode_day.h"

#include <cvode/cvode.h>
#include <cvode/cvode_diag.h>
#include <fmt/format.h>
#include <sundials/sundials_dense.h>
#include <sunlinsol/sunlinsol_spgmr.h>
#include <sunnonlinsol/sunnonlinsol_fixedpoint.h>

#include <algorithm>
#include <cmath>
#include <stdexcept>

#include "models/contracts.h"
#include "models/units.h"
#include "tests/bench/vectors.h"

namespace mistwright::bench {

namespace {

void check(int flag, const char* what) {
  if (flag < 0) throw std::runtime_error(fmt::format("{} failed with {}", what, flag));
}

/// The preconditioner I - gamma J: air's block as frozen, films on the diagonal.
class Blocks {
 public:
  void set_up(HouseOde& ode, double t_s, const double* state, double gamma) {
    const std::size_t n = ode.air_states();
    const double break_m = ode.day().house().crop.break_depth_m;
    ode.freeze(t_s, state);
    const air::LinearSystem system = air::assemble(ode.fluxes(), n);
    if (!block_) block_ = SUNDlsMat_newDenseMat(static_cast<long>(n), static_cast<long>(n));
    pivot_.resize(n);
    for (std::size_t j = 0; j < n; ++j) std::fill(block_[j], block_[j] + n, 0.0);
    for (std::size_t i = 0; i < n; ++i) {
      block_[i][i] = 1.0;
      for (std::uint32_t k = system.row_start[i]; k < system.row_start[i + 1]; ++k) {
        block_[system.column[k]][i] -= gamma * system.entry[k];
      }
    }
    check(static_cast<int>(-SUNDlsMat_denseGETRF(block_, static_cast<long>(n), static_cast<long>(n),
                                                 pivot_.data())),
          "factoring the air's block");
    diagonal_.resize(ode.films());
    const FilmTable& table = ode.table();
    for (std::size_t c = 0; c + 1 < table.first.size(); ++c) {
      for (std::size_t i = table.first[c]; i < table.first[c + 1]; ++i) {
        const double demand =
            ode.alpha_m_per_s()[c] * table.radiation_factor[i] +
            ode.beta_m_per_s()[c] * table.conductance_factor[ode.fan() ? 1 : 0][i];
        const double x = std::max(1e-6, state[n + i] / break_m);
        const double slope =
            x < 1.0 && demand > 0.0 ? -2.0 / 3.0 * demand / (break_m * std::cbrt(x)) : 0.0;
        diagonal_[i] = 1.0 / (1.0 - gamma * slope);
      }
    }
  }
  void solve(std::size_t air, const double* right, double* out) {
    std::copy(right, right + air, out);
    SUNDlsMat_denseGETRS(block_, static_cast<long>(air), pivot_.data(), out);
    for (std::size_t i = 0; i < diagonal_.size(); ++i) out[air + i] = diagonal_[i] * right[air + i];
  }
  Blocks() = default;
  Blocks(const Blocks&) = delete;
  Blocks& operator=(const Blocks&) = delete;
  ~Blocks() {
    if (block_) SUNDlsMat_destroyMat(block_);
  }

 private:
  double** block_ = nullptr;
  std::vector<sunindextype> pivot_;
  std::vector<double> diagonal_;
};

class Solver {
 public:
  Solver(HouseOde& ode, const CvodeSetting& setting, const std::vector<double>& start)
      : ode_(ode), setting_(setting) {
    check(SUNContext_Create(nullptr, &context_), "SUNContext_Create");
    state_ = N_VNew_Serial(static_cast<sunindextype>(ode.size()), context_);
    if (setting.vectorised) vectorise(state_);
    std::copy(start.begin(), start.end(), NV_DATA_S(state_));
    allowed_ = N_VClone(state_);
    set_tolerances();
    const bool adams = setting.solver == CvodeSolver::AdamsFixedPoint;
    memory_ = CVodeCreate(adams ? CV_ADAMS : CV_BDF, context_);
    check(CVodeInit(memory_, &right_hand_side, 0.0, state_), "CVodeInit");
    check(CVodeSVtolerances(memory_, setting.tolerance_fraction, allowed_), "CVodeSVtolerances");
    check(CVodeSetUserData(memory_, this), "CVodeSetUserData");
    check(CVodeRootInit(memory_, 1, &root), "CVodeRootInit");
    check(CVodeSetMaxStep(memory_, 600.0), "CVodeSetMaxStep");
    attach(adams);
  }
  Solver(const Solver&) = delete;
  Solver& operator=(const Solver&) = delete;
  ~Solver() {
    CVodeFree(&memory_);
    if (fixed_point_) SUNNonlinSolFree(fixed_point_);
    if (krylov_) SUNLinSolFree(krylov_);
    N_VDestroy(state_);
    N_VDestroy(allowed_);
    SUNContext_Free(&context_);
  }

  [[nodiscard]] double* state() { return NV_DATA_S(state_); }
  [[nodiscard]] double time_s() const { return time_s_; }
  void restart() { check(CVodeReInit(memory_, time_s_, state_), "CVodeReInit"); }
  /// One step, not past `stop_s`; says whether the fan's threshold was reached.
  bool step(double stop_s) {
    check(CVodeSetStopTime(memory_, stop_s), "CVodeSetStopTime");
    const int flag = CVode(memory_, stop_s, state_, &time_s_, CV_ONE_STEP);
    check(flag, "CVode");
    return flag == CV_ROOT_RETURN;
  }
  /// The state at a moment inside the last step.
  void within(double t_s, N_Vector out) { check(CVodeGetDky(memory_, t_s, 0, out), "CVodeGetDky"); }
  [[nodiscard]] N_Vector blank() const { return N_VClone(state_); }
  [[nodiscard]] std::size_t steps() const {
    long count = 0;
    check(CVodeGetNumSteps(memory_, &count), "CVodeGetNumSteps");
    return static_cast<std::size_t>(count);
  }

 private:
  void set_tolerances() {
    using air::CellState;
    const double tolerance = setting_.tolerance_fraction;
    const air::HouseFixed& fixed = ode_.day().building->plan.fixed;
    double* allowed = NV_DATA_S(allowed_);
    for (std::size_t c = 0; c < fixed.cells; ++c) {
      for (const CellState which :
           {CellState::Air, CellState::Cover, CellState::Floor, CellState::Medium}) {
        allowed[air::state_index(c, which)] = 10.0 * tolerance;  // K
      }
      allowed[air::state_index(c, CellState::Humidity)] = 0.005 * tolerance;
      allowed[air::state_index(c, CellState::CoverWater)] =
          0.1 * tolerance * fixed.cover_area_m2[c];
      allowed[air::state_index(c, CellState::FloorWater)] =
          0.1 * tolerance * fixed.floor_area_m2[c];
    }
    const double film_m = tolerance * ode_.day().house().crop.break_depth_m;
    std::fill(allowed + ode_.air_states(), allowed + ode_.size(), film_m);
  }
  void attach(bool adams) {
    if (adams) {
      fixed_point_ = SUNNonlinSol_FixedPoint(state_, 0, context_);
      check(CVodeSetNonlinearSolver(memory_, fixed_point_), "CVodeSetNonlinearSolver");
      return;
    }
    if (setting_.solver == CvodeSolver::BdfDiagonal) {
      check(CVDiag(memory_), "CVDiag");
      return;
    }
    const bool blocks = setting_.solver == CvodeSolver::BdfKrylovBlocks;
    krylov_ = SUNLinSol_SPGMR(state_, blocks ? SUN_PREC_LEFT : SUN_PREC_NONE, 0, context_);
    check(CVodeSetLinearSolver(memory_, krylov_, nullptr), "CVodeSetLinearSolver");
    if (blocks) check(CVodeSetPreconditioner(memory_, &set_up, &solve), "CVodeSetPreconditioner");
  }
  static int right_hand_side(double t, N_Vector y, N_Vector rate, void* self) {
    try {
      static_cast<Solver*>(self)->ode_.rates(t, NV_DATA_S(y), NV_DATA_S(rate));
    } catch (const RangeError&) {
      return 1;  // a trial step too far: try a shorter one
    }
    return 0;
  }
  static int root(double /*t*/, N_Vector y, double* value, void* self) {
    *value = static_cast<Solver*>(self)->ode_.over_threshold_K(NV_DATA_S(y));
    return 0;
  }
  static int set_up(double t, N_Vector y, N_Vector /*rate*/, int /*old*/, int* renewed,
                    double gamma, void* self) {
    auto* solver = static_cast<Solver*>(self);
    solver->blocks_.set_up(solver->ode_, t, NV_DATA_S(y), gamma);
    *renewed = 1;
    return 0;
  }
  static int solve(double /*t*/, N_Vector /*y*/, N_Vector /*rate*/, N_Vector right, N_Vector out,
                   double /*gamma*/, double /*delta*/, int /*side*/, void* self) {
    auto* solver = static_cast<Solver*>(self);
    solver->blocks_.solve(solver->ode_.air_states(), NV_DATA_S(right), NV_DATA_S(out));
    return 0;
  }

  HouseOde& ode_;
  CvodeSetting setting_;
  double time_s_ = 0.0;
  SUNContext context_ = nullptr;
  N_Vector state_ = nullptr, allowed_ = nullptr;
  void* memory_ = nullptr;
  SUNNonlinearSolver fixed_point_ = nullptr;
  SUNLinearSolver krylov_ = nullptr;
  Blocks blocks_;
};

/// Notes temperatures and films at set times.
class Notes {
 public:
  Notes(HouseOde& ode, Answer& answer, N_Vector scratch)
      : ode_(ode), answer_(answer), scratch_(scratch) {}
  Notes(const Notes&) = delete;
  Notes& operator=(const Notes&) = delete;
  ~Notes() { N_VDestroy(scratch_); }

  template <class At>
  void up_to(double t_s, const At& at) {
    for (double next; (next = sample_every_s * static_cast<double>(answer_.air_K.size())) <= t_s;) {
      at(next, scratch_);
      answer_.air_K.push_back(kelvin(ode_.mean_air_C(NV_DATA_S(scratch_))));
    }
    for (double next; (next = map_every_s * static_cast<double>(maps_ + 1)) <= t_s; ++maps_) {
      at(next, scratch_);
      const double* films = NV_DATA_S(scratch_) + ode_.air_states();
      const std::size_t first = answer_.depth_m.size();
      answer_.depth_m.resize(first + ode_.films());
      for (std::size_t k = 0; k < ode_.films(); ++k) {
        answer_.depth_m[first + ode_.table().plan_leaf[k]] = std::max(0.0, films[k]);
      }
    }
  }

 private:
  HouseOde& ode_;
  Answer& answer_;
  N_Vector scratch_;
  std::size_t maps_ = 0;
};

}  // namespace

std::string words(const CvodeSetting& setting) {
  const char* solver = "";
  switch (setting.solver) {
    case CvodeSolver::AdamsFixedPoint:
      solver = "Adams, fixed point";
      break;
    case CvodeSolver::BdfDiagonal:
      solver = "BDF, diagonal";
      break;
    case CvodeSolver::BdfKrylov:
      solver = "BDF, SPGMR";
      break;
    case CvodeSolver::BdfKrylovBlocks:
      solver = "BDF, SPGMR with blocks";
      break;
  }
  return fmt::format("CVODE {}, {:.0e}{}", solver, setting.tolerance_fraction,
                     setting.vectorised ? "" : ", vectors as shipped");
}

std::vector<CvodeSetting> cvode_settings() {
  using S = CvodeSolver;
  std::vector<CvodeSetting> settings;
  for (const double tolerance : {1e-3, 1e-4, 1e-5})
    settings.push_back({S::AdamsFixedPoint, tolerance});
  settings.push_back({S::BdfDiagonal, 1e-4});
  for (const double tolerance : {1e-3, 1e-4, 1e-5}) settings.push_back({S::BdfKrylov, tolerance});
  for (const double tolerance : {1e-3, 3e-4, 1e-4, 1e-5}) {
    settings.push_back({S::BdfKrylovBlocks, tolerance});
  }
  settings.push_back({S::BdfKrylovBlocks, 1e-3, false});
  return settings;
}

Answer cvode_day(HouseOde& ode, const CvodeSetting& setting, bool observed) {
  Answer answer;
  const std::size_t before_evaluations = ode.evaluations();
  ode.set_fan(ode.fan_at_start());
  const std::vector<double> start = ode.start();
  std::vector<double> before = start;
  std::vector<double> dry_s(ode.films(), 0.0);
  Solver solver(ode, setting, start);
  Notes notes(ode, answer, solver.blank());
  if (observed) answer.air_K.push_back(kelvin(ode.mean_air_C(start.data())));
  const std::vector<Landing>& landings = ode.day().landings;
  const double end_s = ode.day().span_s();
  std::size_t landed = 0;
  double next_drip_s = map_every_s;
  while (solver.time_s() < end_s) {
    const double landing_s =
        landed < landings.size() ? seconds(landings[landed].time - run_start) : end_s;
    const double stop_s = std::min(landing_s, end_s);
    const double from_s = solver.time_s();
    const bool crossed = solver.step(stop_s);
    double* state = solver.state();
    if (observed)
      notes.up_to(solver.time_s(), [&](double t_s, N_Vector out) { solver.within(t_s, out); });
    ode.count_dry(solver.time_s() - from_s, before.data(), state, dry_s.data());
    bool restart = crossed;
    if (crossed) {
      ode.set_fan(!ode.fan());
      ++answer.switchings;
    }
    if (landed < landings.size() && solver.time_s() >= landing_s) {
      ode.land(landings[landed++], state);
      const double over = ode.over_threshold_K(state);
      if (ode.fan() ? over <= 0.0 : over >= 0.0) {
        ode.set_fan(!ode.fan());
        ++answer.switchings;
      }
      restart = true;
    } else if (solver.time_s() >= next_drip_s) {
      restart = ode.drip(state) || restart;
      next_drip_s += map_every_s;
    }
    std::copy(state, state + ode.size(), before.begin());
    if (restart) {
      answer.steps += solver.steps();
      solver.restart();
    }
  }
  answer.steps += solver.steps();
  answer.rates = ode.evaluations() - before_evaluations;
  answer.dry_s.resize(ode.films());
  for (std::size_t k = 0; k < ode.films(); ++k) answer.dry_s[ode.table().plan_leaf[k]] = dry_s[k];
  return answer;
}

}  // namespace mistwright::bench
