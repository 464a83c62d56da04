#include "models/droplet/uniformity.h"

#include <cmath>
#include <stdexcept>
#include <vector>

#include "models/random.h"
#include "tests/support/catch.h"
#include "tests/support/table.h"

using namespace mistwright;
using namespace mistwright::droplet;
using test::abs;

namespace {

std::vector<double> column(const std::string& file, const std::string& name) {
  std::vector<double> values;
  for (const auto& row : test::table(file)) values.push_back(row.number(name));
  return values;
}

std::vector<double> field_cans() {
  return column("catch_cans_1978.csv", "depth_rate_in_per_h");
}

}  // namespace

TEST_CASE("droplet: fifteen cans of Merriam and Keller 1978 give CU 87.04 and CV 15.10 per cent",
          "[droplet][published]") {
  // The figures beside the reprint of pp. 41 to 44, each to 0.05.
  const std::vector<double> cans = field_cans();
  CHECK_THAT(100.0 * christiansen_ratio({cans}), abs(87.04, 0.05));
  CHECK_THAT(100.0 * variation_ratio({cans}), abs(15.10, 0.05));
}

TEST_CASE("droplet: the low quarter of fifteen cans is that of the rule which is stated",
          "[droplet][published]") {
  const std::vector<double> cans = field_cans();
  // Lowest four 0.20 0.22 0.22 0.23, lowest three, and three and three quarters, over 0.26467.
  CHECK_THAT(100.0 * low_quarter_ratio(cans), abs(82.18, 0.05));
  CHECK_THAT(100.0 * low_quarter_ratio(cans, QuarterRule::Nearest), abs(82.18, 0.05));
  CHECK_THAT(100.0 * low_quarter_ratio(cans, QuarterRule::Down), abs(80.60, 0.05));
  // (0.20 + 2 * 0.22 + 0.75 * 0.23) / 3.75 / 0.26467
  CHECK_THAT(100.0 * driest_share_ratio({cans}, 0.25), abs(81.86, 0.05));
}

TEST_CASE("droplet: cans miss 10.4 per cent of what the heads of Merriam and Keller 1978 gave out",
          "[droplet][published]") {
  // 4.6 US gal a minute on 30 by 50 ft. The source turns gal/min over square feet into in/h
  // by 96.3, which rounds 60 * 231 / 144 = 96.25; with that the loss is 10.33.
  const double applied_in_per_h = 96.3 * 4.6 / (30.0 * 50.0);
  const std::vector<double> cans = field_cans();
  CHECK_THAT(applied_in_per_h, abs(0.2953, 2e-4));
  const double mean = mean_number({cans});
  CHECK_THAT(100.0 * (1.0 - mean / applied_in_per_h), abs(10.4, 0.05));
  CHECK_THAT(100.0 * low_quarter_ratio(cans) * mean / applied_in_per_h, abs(73.6, 0.1));
}

TEST_CASE("droplet: the normal curve ties the fifteen cans' CU to their CV within one point",
          "[droplet][published]") {
  const std::vector<double> cans = field_cans();
  const double linked = 100.0 * normal_christiansen_ratio(variation_ratio({cans}));
  CHECK_THAT(linked, abs(100.0 - 0.798 * 15.10, 0.05));
  CHECK_THAT(100.0 * christiansen_ratio({cans}), abs(linked, 1.0));
}

TEST_CASE("droplet: sixteen cans worked by hand give their CU and DU and CV", "[droplet][worked]") {
  // 100 (1 - 26 / 160); (6 + 7 + 8 + 8) / 4 over 10; sqrt(70 / 15) over 10.
  const std::vector<double> cans = column("cu_du_example.csv", "catch_mL");
  CHECK_THAT(mean_number({cans}), abs(10.0, 1e-12));
  CHECK_THAT(100.0 * christiansen_ratio({cans}), abs(83.75, 1e-9));
  CHECK_THAT(100.0 * low_quarter_ratio(cans), abs(72.5, 1e-9));
  CHECK_THAT(100.0 * variation_ratio({cans}), abs(21.60, 0.005));
  // A tenth of sixteen: all of the 6 and six tenths of the 7.
  CHECK_THAT(evenness({cans}).driest_tenth_ratio, abs((6.0 + 0.6 * 7.0) / 1.6 / 10.0, 1e-12));
  CHECK_THAT(evenness({cans}).low_quarter_ratio, abs(low_quarter_ratio(cans), 1e-12));
}

TEST_CASE("droplet: deviations of normal amounts tie CU to CV by 0.798", "[droplet][exact]") {
  Random random(7, 11);
  std::vector<double> amounts(200000);
  for (double& amount : amounts) amount = 10.0 + random.normal();
  // Standard error of the mean deviation: sqrt((1 - 2/pi) / n) = 1.3e-3 of the deviation.
  CHECK_THAT(christiansen_ratio({amounts}),
             abs(normal_christiansen_ratio(variation_ratio({amounts})), 5e-4));
}

TEST_CASE("droplet: a place of three areas counts as three places of one", "[droplet][law]") {
  Random random(3, 5);
  for (int round = 0; round < 50; ++round) {
    CAPTURE(round);
    std::vector<double> amounts, weights, spread;
    for (int i = 0; i < 9; ++i) {
      amounts.push_back(random.uniform());
      const int copies = 1 + static_cast<int>(3.0 * random.uniform());
      weights.push_back(copies);
      spread.insert(spread.end(), static_cast<std::size_t>(copies), amounts.back());
    }
    CHECK_THAT(mean_number({amounts, weights}), abs(mean_number({spread}), 1e-12));
    CHECK_THAT(christiansen_ratio({amounts, weights}), abs(christiansen_ratio({spread}), 1e-12));
    for (const double share : {0.1, 0.25, 0.6, 1.0})
      CHECK_THAT(driest_share_ratio({amounts, weights}, share),
                 abs(driest_share_ratio({spread}, share), 1e-12));
  }
}

TEST_CASE("droplet: neither the unit nor a common weight nor the order changes how even it is",
          "[droplet][law]") {
  const std::vector<double> amounts{3.0, 1.0, 4.0, 1.5, 9.0}, turned{9.0, 1.5, 4.0, 1.0, 3.0};
  std::vector<double> scaled = amounts;
  for (double& amount : scaled) amount *= 28.35;
  const std::vector<double> weights(amounts.size(), 0.0225);
  const Evenness even = evenness({amounts});
  for (const Evenness& other :
       {evenness({scaled}), evenness({amounts, weights}), evenness({turned})}) {
    CHECK_THAT(other.christiansen_ratio, abs(even.christiansen_ratio, 1e-12));
    CHECK_THAT(other.low_quarter_ratio, abs(even.low_quarter_ratio, 1e-12));
    CHECK_THAT(other.variation_ratio, abs(even.variation_ratio, 1e-12));
    CHECK_THAT(other.driest_tenth_ratio, abs(even.driest_tenth_ratio, 1e-12));
  }
}

TEST_CASE("droplet: all alike is perfect and all in one of ten places is CU -80 per cent",
          "[droplet][exact]") {
  const std::vector<double> alike(7, 0.3);
  CHECK_THAT(christiansen_ratio({alike}), abs(1.0, 1e-12));
  CHECK_THAT(low_quarter_ratio(alike), abs(1.0, 1e-12));
  CHECK_THAT(variation_ratio({alike}), abs(0.0, 1e-12));
  std::vector<double> one(10, 0.0);
  one[4] = 5.0;
  // Mean m: nine places off by m, one by 9 m: 1 - 18 / 10.
  CHECK_THAT(christiansen_ratio({one}), abs(-0.8, 1e-12));
  CHECK(evenness({one}).driest_tenth_ratio == 0.0);
  CHECK_THAT(variation_ratio({one}), abs(std::sqrt(10.0), 1e-12));
}

TEST_CASE("droplet: the uniformity of no water is nought and of no place is refused",
          "[droplet][input]") {
  const std::vector<double> dry(4, 0.0), none;
  CHECK(christiansen_ratio({dry}) == 0.0);
  CHECK(low_quarter_ratio(dry) == 0.0);
  CHECK(variation_ratio({dry}) == 0.0);
  CHECK_THROWS_AS(mean_number({none}), std::invalid_argument);
  CHECK_THROWS_AS(evenness({dry, dry}), std::invalid_argument);
}
