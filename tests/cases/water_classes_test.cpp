// Where the water of a whole run ends, class by class, against the law by which heads share it out.
#include <cmath>
#include <string>
#include <vector>

#include "models/units.h"
#include "sim/record/recorder.h"
#include "tests/cases/small_house.h"
#include "tests/support/catch.h"

using namespace mistwright;
using test::rel;

namespace {

/// Percentiles whose Rosin-Rammler exponents are 2.5 on either side of the median.
struct Sizes {
  double dv10_um, dv50_um, dv90_um;
};

/// Shares of the volume between edges, F(d) = 1 - exp(-ln 2 (d/dv50)^q) with q from the percentile
/// on the same side (Rosin and Rammler 1933). Classes with less than a ten-thousandth are left to
/// the others, as spray.h says.
std::vector<double> shares_between(const std::vector<double>& edges_m, const Sizes& sizes) {
  const auto below = [&](double d_m) {
    const double ratio = 1e6 * d_m / sizes.dv50_um;
    const double q = ratio < 1.0 ? std::log(std::log(1.0 / 0.9) / std::log(2.0)) /
                                       std::log(sizes.dv10_um / sizes.dv50_um)
                                 : std::log(std::log(10.0) / std::log(2.0)) /
                                       std::log(sizes.dv90_um / sizes.dv50_um);
    return 1.0 - std::exp2(-std::pow(ratio, q));
  };
  const std::size_t count = edges_m.size() - 1;
  std::vector<double> shares(count);
  double sum = 0.0;
  for (std::size_t k = 0; k < count; ++k) {
    const double low = k == 0 ? 0.0 : below(edges_m[k]);
    const double high = k + 1 == count ? 1.0 : below(edges_m[k + 1]);
    shares[k] = high - low < 1e-4 ? 0.0 : high - low;
    sum += shares[k];
  }
  for (double& share : shares) share /= sum;
  return shares;
}

/// Three hours of bursts with the fan off and on.
std::unique_ptr<HouseRun> run_with(const Sizes& sizes) {
  const auto key = [](const char* name, double um) {
    return "head_type.\"medium mist\"." + std::string(name) + "=" + std::to_string(um) + " um";
  };
  return test::run_whole(test::small_house({"span.length=3 h", key("dv10", sizes.dv10_um),
                                            key("dv50", sizes.dv50_um), key("dv90", sizes.dv90_um),
                                            "head_type.\"medium mist\".spectrum_exponent=0",
                                            "numerics.airflow=jets"}));
}

constexpr Sizes mist{70.6, 150.0, 242.5}, fog{18.8, 40.0, 64.7};

HouseRun& mist_run() {
  static const auto run = run_with(mist);
  return *run;
}

}  // namespace

TEST_CASE(
    "cases: in every size class what was sprayed is what came to leaves and medium and floor and "
    "walls and cover and dried and left to 1e-9",
    "[cases][law]") {
  const auto fog_run = run_with(fog);
  for (const Sizes& sizes : {mist, fog}) {
    HouseRun& run = sizes.dv50_um == fog.dv50_um ? *fog_run : mist_run();
    const auto& ledger = run.water().ledger();
    const std::vector<double> shares = shares_between(run.water().classes().edges_m, sizes);
    const auto mass = record::record_run(run, {}).group("water").variable("mass").values;
    REQUIRE(mass.size() == water_fates * shares.size());
    std::vector<double> of_fate(water_fates, 0.0);
    std::size_t wet_classes = 0;
    for (std::size_t k = 0; k < shares.size(); ++k) {
      const double sprayed_kg = shares[k] * ledger.sprayed_kg.value();
      double ended_kg = 0.0, recorded_kg = 0.0;
      for (std::size_t fate = 0; fate < water_fates; ++fate) {
        CHECK(ledger.fate_by_class_kg[fate][k].value() >= 0.0);
        ended_kg += ledger.fate_by_class_kg[fate][k].value();
        recorded_kg += mass[fate * shares.size() + k];
        of_fate[fate] += ledger.fate_by_class_kg[fate][k].value();
      }
      CAPTURE(sizes.dv50_um, 1e6 * run.water().classes().diameter_m[k], sprayed_kg, ended_kg);
      CHECK_THAT(ended_kg, rel(sprayed_kg, 1e-9));
      CHECK_THAT(recorded_kg, rel(sprayed_kg, 1e-9));
      if (sprayed_kg > 0.0) ++wet_classes;
    }
    CHECK(wet_classes >= 5);
    REQUIRE(ledger.sprayed_kg.value() > 1.0);
    // The ledger's other sums count the same water another way.
    const auto fate = [&](WaterFate which) { return of_fate[static_cast<std::size_t>(which)]; };
    CHECK_THAT(fate(WaterFate::Leaves), rel(ledger.to_leaves_kg.value(), 1e-9));
    CHECK_THAT(fate(WaterFate::Medium), rel(ledger.to_medium_kg.value(), 1e-9));
    CHECK_THAT(fate(WaterFate::Floor) + fate(WaterFate::Walls) + fate(WaterFate::Cover),
               rel(ledger.surfaces_kg.value(), 1e-9));
    CHECK_THAT(fate(WaterFate::Air), rel(ledger.evaporated_kg.value(), 1e-9));
    CHECK_THAT(fate(WaterFate::Out), rel(ledger.out_kg.value(), 1e-9));
    for (const double kg : of_fate) CHECK(kg > 0.0);
  }
}

TEST_CASE("cases: heads spray their flow for their seconds in every burst to 1e-9",
          "[cases][exact]") {
  HouseRun& run = mist_run();
  const record::Record record = record::record_run(run, {});
  const auto& flow = record.group("heads").variable("flow").values;
  const auto& spray_s = record.group("heads").variable("spray_time").values;
  const auto& bursts = record.group("deposit").variable("bursts").values;
  double burst_kg = 0.0;
  for (std::size_t h = 0; h < flow.size(); ++h)
    burst_kg += water_density_kg_per_m3 * flow[h] * spray_s[h];
  CHECK(bursts[0] + bursts[1] >= 15.0);
  CHECK_THAT(run.water().ledger().sprayed_kg.value(),
             rel((bursts[0] + bursts[1]) * burst_kg, 1e-9));
}
