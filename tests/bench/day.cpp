#include "tests/bench/day.h"

#include <algorithm>
#include <cmath>
#include <stdexcept>
#include <string>

#include "sim/scenario/read.h"

namespace mistwright::bench {

namespace {

House read_demonstration(const std::vector<std::string>& settings) {
  auto read = scenario::read_file(MISTWRIGHT_SOURCE_DIR "/scenarios/demo.toml", settings);
  if (!read.house) throw std::runtime_error("the demonstration house does not read");
  return *std::move(read.house);
}

std::string two_digits(int number) {
  return (number < 10 ? "0" : "") + std::to_string(number);
}

/// Adds what a burst landed, at the recorded instants, as the water part would.
class ReplayPart final : public engine::Part {
 public:
  ReplayPart(Shared& shared, const std::vector<Landing>& landings)
      : shared_(shared), landings_(landings) {}

  std::optional<engine::Wake> next_event(SimTime) override {
    if (next_ >= landings_.size()) return std::nullopt;
    return engine::Wake{landings_[next_].time, engine::Rank::Deposition, 0};
  }
  void advance(SimTime, SimTime) override {}
  void on_event(const engine::Event& event, engine::Effects& effects) override {
    const Landing& landing = landings_[next_++];
    shared_.deposit = landing.deposit;
    Impulse& to = shared_.impulse;
    for (const auto list : {&Impulse::vapour_kg, &Impulse::air_heat_J, &Impulse::medium_heat_J,
                            &Impulse::cover_water_kg, &Impulse::floor_water_kg}) {
      for (std::size_t c = 0; c < (to.*list).size(); ++c) {
        (to.*list)[c] += (landing.impulse.*list)[c];
      }
    }
    shared_.impulse_waiting = true;
    shared_.coefficients_stale = true;
    effects.post(crop_part, {event.time, engine::Rank::Deposition, 0});
    effects.touch(devices_part);
  }
  void state(engine::StateVisitor& visitor) override { visitor.value(next_); }
  [[nodiscard]] const char* name() const override { return "landings"; }

 private:
  Shared& shared_;
  const std::vector<Landing>& landings_;
  std::size_t next_ = 0;
};

/// Notes the mean air temperature.
class SamplePart final : public engine::Part {
 public:
  SamplePart(const Shared& shared, std::vector<double>& air_K) : shared_(shared), air_K_(air_K) {}

  std::optional<engine::Wake> next_event(SimTime) override {
    const SimTime next =
        run_start + duration_up(sample_every_s * static_cast<double>(air_K_.size()));
    if (next > run_start + shared_.house.span) return std::nullopt;
    return engine::Wake{next, engine::Rank::Record, 0};
  }
  void advance(SimTime, SimTime) override {}
  void on_event(const engine::Event&, engine::Effects&) override {
    air_K_.push_back(shared_.mean_air_temperature_K());
  }
  void state(engine::StateVisitor& visitor) override { visitor.values(air_K_); }
  [[nodiscard]] const char* name() const override { return "samples"; }

 private:
  const Shared& shared_;
  std::vector<double>& air_K_;
};

}  // namespace

House demonstration(const DayChoice& choice) {
  const int hour = static_cast<int>(choice.start_hour);
  const int minute = static_cast<int>(std::lround((choice.start_hour - hour) * 60.0));
  std::vector<std::string> settings{
      "span.start=2025-06-03T" + two_digits(hour) + ":" + two_digits(minute) + ":00",
      "span.length=" + std::to_string(std::lround(choice.span_s)) + " s",
      "numerics.parcels_per_class=100"};
  if (choice.fan_rests) settings.emplace_back("fan.exhaust.on_above=70 degC");
  House house = read_demonstration(settings);
  const double leaves_now = house.crop.cuttings_per_m2 *
                            (house.benches[0].length_m * house.benches[0].width_m +
                             house.benches[1].length_m * house.benches[1].width_m) *
                            0.5 * (house.crop.leaves_min + house.crop.leaves_max);
  const double denser = choice.leaves_number / leaves_now;
  house.crop.cuttings_per_m2 *= denser;
  house.crop.leaf_area_m2 /= denser;
  house.recording.map_interval_s = map_every_s;
  if (choice.air_step_s > 0.0) house.numerics.air_step_s = choice.air_step_s;
  const std::vector<PlacedHead> heads = house.heads;
  for (std::size_t more = 1; more < choice.heads_more; ++more) {
    for (PlacedHead head : heads) {
      head.x_m += 0.01 * static_cast<double>(more);
      house.heads.push_back(head);
    }
  }
  if (choice.burst_every_s > 0.0) {
    for (Clock& clock : house.clocks) {
      for (auto& programme : clock.programmes) {
        for (auto& band : programme.bands) {
          if (band.burst_us > 0)
            band.interval_us = static_cast<std::int64_t>(choice.burst_every_s * 1e6);
        }
      }
    }
  }
  return house;
}

Day record_day(const DayChoice& choice) {
  Day day;
  day.building = std::make_shared<Building>(demonstration(choice));
  HouseRun run(day.house(), 1, day.building);
  run.engine().observer = [&](const engine::Event& event) {
    if (event.part != water_part || event.kind != WaterPart::Shut) return;
    day.landings.push_back({event.time, run.shared().deposit, run.shared().impulse});
  };
  run.engine().advance_to(run.end());
  return day;
}

EngineDay::EngineDay(const Day& day, bool sampled)
    : shared_{day.house(), day.building->plan, day.building->airflow, 1} {
  auto climate = std::make_unique<ClimatePart>(shared_);
  auto devices = std::make_unique<DevicesPart>(shared_);
  auto crop = std::make_unique<CropPart>(shared_);
  climate_ = climate.get();
  devices_ = devices.get();
  crop_ = crop.get();
  std::vector<std::unique_ptr<engine::Part>> parts;
  parts.push_back(std::move(climate));                                   // climate_part
  parts.push_back(std::move(crop));                                      // crop_part
  parts.push_back(std::make_unique<ReplayPart>(shared_, day.landings));  // in place of water
  parts.push_back(std::move(devices));                                   // devices_part
  if (sampled) parts.push_back(std::make_unique<SamplePart>(shared_, air_K_));
  engine_ = std::make_unique<engine::Engine>(std::move(parts));
}

void EngineDay::run() {
  engine_->advance_to(run_start + shared_.house.span);
}

Answer engine_answer(const Day& day) {
  Answer answer;
  EngineDay plain(day);
  plain.engine().observer = [&](const engine::Event& event) {
    if (event.part != crop_part || event.kind != static_cast<std::uint32_t>(CropEvent::Look))
      return;
    const std::vector<double>& depth = plain.crop().leaves().depth_m;
    answer.depth_m.insert(answer.depth_m.end(), depth.begin(), depth.end());
  };
  plain.run();
  answer.dry_s = plain.crop().leaves().dry_s;
  answer.switchings = plain.switchings();
  answer.steps = answer.rates = plain.shared().stretch_number;
  EngineDay sampled(day, true);
  sampled.run();
  answer.air_K = sampled.air_K();
  return answer;
}

Errors errors(const Answer& answer, const Answer& reference) {
  if (answer.air_K.size() != reference.air_K.size() ||
      answer.depth_m.size() != reference.depth_m.size() ||
      answer.dry_s.size() != reference.dry_s.size()) {
    throw std::runtime_error("answers of different days");
  }
  Errors found;
  const auto compare = [](const std::vector<double>& a, const std::vector<double>& b, double& mean,
                          double& most, double power) {
    for (std::size_t i = 0; i < a.size(); ++i) {
      const double off = std::abs(a[i] - b[i]);
      mean += std::pow(off, power);
      most = std::max(most, off);
    }
    mean = std::pow(mean / static_cast<double>(a.size()), 1.0 / power);
  };
  compare(answer.air_K, reference.air_K, found.air_rms_K, found.air_max_K, 2.0);
  compare(answer.depth_m, reference.depth_m, found.film_mean_m, found.film_max_m, 1.0);
  compare(answer.dry_s, reference.dry_s, found.dry_mean_s, found.dry_max_s, 1.0);
  return found;
}

}  // namespace mistwright::bench
