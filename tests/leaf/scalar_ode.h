#pragma once
// One ordinary differential equation integrated by CVODE (SUNDIALS 6), as an independent judge of
// closed forms: Adams formulas, fixed-point iteration, relative tolerance 1e-12, roots found.
#include <cvode/cvode.h>
#include <nvector/nvector_serial.h>
#include <sunnonlinsol/sunnonlinsol_fixedpoint.h>

#include <functional>
#include <stdexcept>
#include <string>

namespace mistwright::test {

/// y' = rate(t, y) from (start, y), advanced until a time or until y falls through a level.
class ScalarOde {
 public:
  using Rate = std::function<double(double, double)>;

  ScalarOde(Rate rate, double start, double y) : rate_(std::move(rate)), time_(start) {
    check(SUNContext_Create(nullptr, &context_), "SUNContext_Create");
    state_ = N_VNew_Serial(1, context_);
    NV_Ith_S(state_, 0) = y;
    memory_ = CVodeCreate(CV_ADAMS, context_);
    check(CVodeInit(memory_, &right_hand_side, start, state_), "CVodeInit");
    check(CVodeSStolerances(memory_, 1e-12, 1e-32), "CVodeSStolerances");
    check(CVodeSetUserData(memory_, this), "CVodeSetUserData");
    check(CVodeSetMaxNumSteps(memory_, 2'000'000), "CVodeSetMaxNumSteps");
    solver_ = SUNNonlinSol_FixedPoint(state_, 0, context_);
    check(CVodeSetNonlinearSolver(memory_, solver_), "CVodeSetNonlinearSolver");
    check(CVodeRootInit(memory_, 1, &root), "CVodeRootInit");
  }
  ScalarOde(const ScalarOde&) = delete;
  ScalarOde& operator=(const ScalarOde&) = delete;
  ~ScalarOde() {
    CVodeFree(&memory_);
    SUNNonlinSolFree(solver_);
    N_VDestroy(state_);
    SUNContext_Free(&context_);
  }

  /// Advances to `end` unless y passes `level` before; says whether it did. Starts afresh, so that
  /// a corner of the rate at the last level is never stepped over.
  bool advance(double end, double level) {
    level_ = level;
    check(CVodeReInit(memory_, time_, state_), "CVodeReInit");
    check(CVodeSetStopTime(memory_, end), "CVodeSetStopTime");
    const int flag = CVode(memory_, end, state_, &time_, CV_NORMAL);
    if (flag < 0) throw std::runtime_error("CVode failed with flag " + std::to_string(flag));
    return flag == CV_ROOT_RETURN;
  }

  [[nodiscard]] double time() const { return time_; }
  [[nodiscard]] double y() const { return NV_Ith_S(state_, 0); }

 private:
  static void check(int flag, const char* what) {
    if (flag != 0) throw std::runtime_error(std::string(what) + " failed");
  }
  static int right_hand_side(double t, N_Vector y, N_Vector rate, void* self) {
    NV_Ith_S(rate, 0) = static_cast<ScalarOde*>(self)->rate_(t, NV_Ith_S(y, 0));
    return 0;
  }
  static int root(double /*t*/, N_Vector y, double* value, void* self) {
    *value = NV_Ith_S(y, 0) - static_cast<ScalarOde*>(self)->level_;
    return 0;
  }

  Rate rate_;
  double time_;
  double level_ = 0.0;
  SUNContext context_ = nullptr;
  N_Vector state_ = nullptr;
  SUNNonlinearSolver solver_ = nullptr;
  void* memory_ = nullptr;
};

}  // namespace mistwright::test
