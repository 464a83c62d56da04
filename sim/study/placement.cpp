#include "sim/study/placement.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <mutex>
#include <numeric>

#include "models/contracts.h"
#include "sim/study/runner.h"

namespace mistwright::study {

namespace {

/// Fields for the length of one study, so that runs which differ in their draws alone share them.
class MemoryStore final : public FieldStore {
 public:
  std::optional<std::string> load(std::string_view key) noexcept override {
    const std::lock_guard lock(guard_);
    const auto found = kept_.find(std::string(key));
    if (found == kept_.end()) return std::nullopt;
    return found->second;
  }
  void save(std::string_view key, std::string_view bytes) noexcept override {
    const std::lock_guard lock(guard_);
    kept_.insert_or_assign(std::string(key), std::string(bytes));
  }

 private:
  std::mutex guard_;
  std::map<std::string, std::string> kept_;
};

MoveResult measured(const report::Summary& summary) {
  MoveResult result;
  result.mean_dry_s = summary.mean_dry_s;
  result.worst = summary.worst;
  result.passing_fraction = 1.0 - summary.dry_leaf_share_fraction;
  result.water_kg = summary.water_kg;
  if (summary.last_head) {
    result.lowest_pressure_Pa = summary.last_head->pressure_Pa;
    result.starved = summary.last_head->pressure_Pa < summary.last_head->working_low_Pa;
  }
  return result;
}

/// Gains, then what cannot be told, then harm; each by the mean of the leaves.
void rank(MoveTable& table) {
  std::stable_sort(table.rows.begin(), table.rows.end(), [&](const MoveRow& a, const MoveRow& b) {
    const Effect of_a = table.effect(a), of_b = table.effect(b);
    return of_a != of_b ? of_a < of_b : a.mean_gain_s > b.mean_gain_s;
  });
}

/// The study while it goes on.
class Study {
 public:
  Study(const House& house, const Options& options, const Progress& progress)
      : house_(as_compared(house)), options_(options), runner_(options_, progress) {
    if (!options_.store) options_.store = std::make_shared<MemoryStore>();
  }

  MoveTable run() {
    MoveTable table;
    table.house_name = house_.name;
    constexpr double first_share = 0.05, map_share = 0.07;
    runner_.part_of(0.0, first_share, "the house as it is");
    table.record = runner_.record(house_, building_);
    const report::Summary summary = summarised(table.record);
    table.part_of_day_s = summary.part_of_day_s;
    table.as_is = measured(summary);
    runner_.part_of(first_share, map_share, "where heads bring most");
    table.influence = influence(house_, *building_, table.record, options_.threads);
    // Without mist all houses are alike but for rounding, which no noise covers.
    if (table.nothing_sprays()) return table;
    Moves moves = moves_worth_running(house_, table.influence, table.as_is.worst);
    table.left_out = std::move(moves.left_out);
    at_ = map_share;
    step_ = (1.0 - at_) / static_cast<double>(moves.moves.size() + noise_runs - 1);
    noise(table);
    for (const Move& move : moves.moves) {
      MoveRow row{move.kind, move.words, move.from, move.to, of(move.house, move.words), 0.0, 0.0};
      row.mean_gain_s = table.as_is.mean_dry_s - row.result.mean_dry_s;
      row.worst_gain_s = table.as_is.worst.dry_s - row.result.worst.dry_s;
      table.rows.push_back(std::move(row));
    }
    rank(table);
    return table;
  }

 private:
  MoveResult of(const House& changed, const std::string& words) {
    runner_.part_of(at_, at_ + step_, words);
    at_ += step_;
    return measured(summarised(runner_.record(changed, building_)));
  }

  [[nodiscard]] report::Summary summarised(const record::Record& record) const {
    return report::summarise(record, options_.thresholds.leaf_counts_from_s);
  }

  void noise(MoveTable& table) {
    std::vector<double> mean{table.as_is.mean_dry_s}, worst{table.as_is.worst.dry_s};
    for (int n = 1; n < noise_runs; ++n) {
      House again = house_;
      again.numerics.drops_redrawn = static_cast<std::uint64_t>(n);
      const MoveResult result = of(again, fmt::format("the same, drops drawn anew, {}", n));
      mean.push_back(result.mean_dry_s);
      worst.push_back(result.worst.dry_s);
    }
    table.mean_noise_s = least_tellable_s(mean);
    table.worst_noise_s = least_tellable_s(worst);
  }

  const House house_;
  Options options_;
  Runner runner_;
  std::shared_ptr<Building> building_;
  double at_ = 0.0, step_ = 0.0;
};

}  // namespace

Effect MoveTable::effect(const MoveRow& row) const {
  for (const auto& [gain_s, noise_s] :
       {std::pair{row.mean_gain_s, mean_noise_s}, std::pair{row.worst_gain_s, worst_noise_s}}) {
    if (gain_s > noise_s) return Effect::Gain;
    if (gain_s < -noise_s) return Effect::Harm;
  }
  return Effect::CannotTell;
}

double least_tellable_s(const std::vector<double>& values_s) {
  EXPECT(values_s.size() == noise_runs);
  constexpr double student_t_number = 3.182;  // 3 degrees of freedom, 97.5 %
  const auto count = static_cast<double>(values_s.size());
  const double mean_s = std::accumulate(values_s.begin(), values_s.end(), 0.0) / count;
  double squares = 0.0;
  for (const double value_s : values_s) squares += (value_s - mean_s) * (value_s - mean_s);
  return student_t_number * std::sqrt(2.0 * squares / (count - 1.0));
}

House as_compared(const House& house) {
  House compared = house;
  double& noise_ratio = compared.numerics.deposit_noise_ratio;
  noise_ratio = std::max(noise_ratio, compared_noise_ratio);
  return compared;
}

MoveTable move_table(const House& house, const Options& options, const Progress& progress) {
  return Study(house, options, progress).run();
}

}  // namespace mistwright::study
