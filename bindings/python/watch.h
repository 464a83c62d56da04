#pragma once
// A simulation beside Python's other threads, which can be watched and interrupted. Include
// pybind11 before this header.
#include <chrono>
#include <exception>
#include <string>
#include <utility>

#include "bindings/python/core.h"
#include "models/contracts.h"
#include "sim/engine/engine.h"
#include "sim/study/answer.h"

namespace mistwright::python {

/// Stands between the engine, which runs without Python's lock, and Python: tells the progress and
/// looks for an interrupt, five times a second.
class Watch {
 public:
  explicit Watch(pybind11::object progress) : progress_(std::move(progress)) {}

  bool operator()(double share, const std::string& doing) {
    const auto now = std::chrono::steady_clock::now();
    if (told_ && now - last_ < std::chrono::milliseconds(200)) return true;
    told_ = true;
    last_ = now;
    const pybind11::gil_scoped_acquire lock;
    try {
      if (PyErr_CheckSignals() != 0) throw pybind11::error_already_set();
      if (!progress_.is_none()) progress_(share, doing);
    } catch (pybind11::error_already_set&) {
      error_ = std::current_exception();
      return false;
    }
    return true;
  }

  /// Throws again what stopped the run. Needs Python's lock.
  void rethrow() const {
    if (error_) std::rethrow_exception(error_);
  }

 private:
  pybind11::object progress_;
  std::exception_ptr error_;
  std::chrono::steady_clock::time_point last_;
  bool told_ = false;
};

/// How many threads share a run's work, as Python gives it.
[[nodiscard]] inline int checked_threads(int threads) {
  if (threads < 1 || threads > 1024) throw pybind11::value_error("threads is from 1 to 1024");
  return threads;
}

/// Does work(progress) without Python's lock; what goes wrong is raised as the package names it.
/// @param progress  a Python callable, or None
template <class Work>
auto simulate(const pybind11::object& progress, const Work& work) {
  Watch watch(progress);
  const study::Progress tell = [&watch](double share, const std::string& doing) {
    return watch(share, doing);
  };
  auto result = [&] {
    try {
      const pybind11::gil_scoped_release free;
      return work(tell);
    } catch (const study::Stopped&) {
      watch.rethrow();
      throw;
    } catch (const study::AuditError& error) {
      raise("AuditError", error.what());
    } catch (const engine::EngineError& error) {
      raise("EngineError", error.what());
    } catch (const ContractError& error) {
      raise("EngineError", error.what());
    } catch (const RangeError& error) {
      raise("EngineError", error.what());
    }
  }();
  if (PyErr_CheckSignals() != 0) throw pybind11::error_already_set();
  if (!progress.is_none()) progress(1.0, "done");
  return result;
}

}  // namespace mistwright::python
