#pragma once
// One house run whole, its neighbours beside it, and the verdict: what `mistwright run` does.
#include <functional>
#include <memory>
#include <string>

#include "sim/house/field_store.h"
#include "sim/house/house.h"
#include "sim/record/record.h"
#include "sim/record/recorder.h"
#include "sim/report/verdict.h"

namespace mistwright::study {

/// How far the work has come: share done, 0 to 1, and what is being done. Return false to stop.
using Progress = std::function<bool(double share_fraction, const std::string& doing)>;

/// The run was stopped by whoever watched it.
class Stopped : public std::runtime_error {
 public:
  Stopped() : std::runtime_error("stopped") {}
};

/// The audit did not close: a fault of this program.
class AuditError : public std::runtime_error {
 public:
  using std::runtime_error::runtime_error;
};

struct Options {
  int threads = 1;
  bool neighbours = true;  ///< whether to run the changed houses for the verdict
  std::string version;
  report::Thresholds thresholds = {};
  std::shared_ptr<FieldStore> store = {};  ///< of airflow fields between runs; null: none
};

struct Answer {
  record::Record record;  ///< verdict and neighbours among the attributes of `provenance`
  report::VerdictInput input;
  std::string verdict;
};

/// @throws Stopped, AuditError, engine::EngineError
[[nodiscard]] Answer answer(const House& house, const Options& options,
                            const Progress& progress = {});

}  // namespace mistwright::study
