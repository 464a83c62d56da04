#pragma once
// Runs one house to its end and keeps what it recorded: the step that every study is made of.
#include <memory>
#include <string>
#include <vector>

#include "sim/house/assemble.h"
#include "sim/record/record.h"
#include "sim/record/recorder.h"
#include "sim/study/answer.h"

namespace mistwright::study {

class Runner {
 public:
  /// Both must outlive the runner.
  Runner(const Options& options, const Progress& progress)
      : options_(options), progress_(progress) {}

  /// From now on the progress told lies between two shares of the whole work.
  void part_of(double from_fraction, double to_fraction, std::string doing);

  /// @param building  whose airflow to share if it serves; made and kept here if there is none
  /// @throws Stopped, AuditError, engine::EngineError
  [[nodiscard]] record::Record record(const House& house, std::shared_ptr<Building>& building,
                                      record::Detail detail = record::Detail::Numbers) const;

 private:
  /// @return the state's hash at the end of every simulated hour and of the run: where two runs
  /// first differ
  std::vector<std::uint64_t> run(HouseRun& run) const;
  bool tell(double share_fraction, bool must_go_on = true) const;

  const Options& options_;
  const Progress& progress_;
  double from_fraction_ = 0.0, to_fraction_ = 1.0;
  std::string doing_;
};

}  // namespace mistwright::study
