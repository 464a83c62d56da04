#include "sim/study/runner.h"

#include <fmt/chrono.h>
#include <fmt/format.h>

#include <algorithm>
#include <chrono>

namespace mistwright::study {

namespace {

std::string now_text() {
  return fmt::format(
      "{:%Y-%m-%dT%H:%M:%SZ}",
      fmt::gmtime(std::chrono::system_clock::to_time_t(std::chrono::system_clock::now())));
}

}  // namespace

void Runner::part_of(double from_fraction, double to_fraction, std::string doing) {
  from_fraction_ = from_fraction;
  to_fraction_ = to_fraction;
  doing_ = std::move(doing);
  tell(0.0);
}

bool Runner::tell(double share_fraction, bool must_go_on) const {
  if (!progress_) return true;
  const bool go_on =
      progress_(from_fraction_ + (to_fraction_ - from_fraction_) * share_fraction, doing_);
  if (!go_on && must_go_on) throw Stopped();
  return go_on;
}

std::vector<std::uint64_t> Runner::run(HouseRun& run) const {
  const double length = static_cast<double>(run.house().span.count());
  std::vector<std::uint64_t> hashes;
  for (SimTime until = run_start; until < run.end();) {
    until = std::min(run.end(), until + std::chrono::hours(1));
    const bool reached = run.engine().advance_to(until, [&](SimTime now) {
      return tell(static_cast<double>((now - run_start).count()) / length, false);
    });
    if (!reached) throw Stopped();
    hashes.push_back(run.engine().state_hash());
  }
  const double worst = run.frames().worst_audit_fraction;
  if (!(worst <= engine::audit_tolerance_fraction)) {
    std::string which;
    for (const auto& balance : run.frames().balances) {
      which += fmt::format("\n  {}: in {:.9g}, out {:.9g}, held more {:.9g}, open {:.3g} {}",
                           balance.name, balance.inflow, balance.outflow, balance.stored_change,
                           balance.residual(), balance.units);
    }
    throw AuditError(
        fmt::format("the balances do not close: {:.3g} of what passed ({:.0e} allowed){}", worst,
                    engine::audit_tolerance_fraction, which));
  }
  return hashes;
}

record::Record Runner::record(const House& house, std::shared_ptr<Building>& building,
                              record::Detail detail) const {
  record::Provenance provenance;
  provenance.version = options_.version;
  provenance.compiler = fmt::format("GCC-compatible {}", __VERSION__);
  provenance.threads = options_.threads;
  provenance.started = now_text();
  const auto start = std::chrono::steady_clock::now();
  const bool serves = building && same_building(house, building->house);
  HouseRun house_run(house, options_.threads,
                     serves ? building : std::make_shared<Building>(house, options_.store));
  if (!building) building = house_run.building();
  provenance.hourly_state_hash = run(house_run);
  provenance.wall_seconds =
      std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
  provenance.ended = now_text();
  return record::record_run(house_run, provenance, detail);
}

}  // namespace mistwright::study
