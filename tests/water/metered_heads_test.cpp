// Heads whose flow no line pressure drives: metered by a valve, a crystal or a hand.
#include <cmath>
#include <vector>

#include "models/random.h"
#include "models/water/head.h"
#include "models/water/hydraulics.h"
#include "tests/support/catch.h"
#include "tests/water/networks.h"

using namespace mistwright;
using namespace mistwright::water;
using test::rel;

TEST_CASE(
    "water: metered heads pass their rated flow within 5 % over random networks that feed them",
    "[water][law]") {
  Random random(5, stream_of("metered heads"));
  int fed = 0;
  for (int i = 0; i < 300; ++i) {
    std::vector<HeadType> types = {test::plain_head(2.0), test::plain_head(30.0)};
    for (HeadType& type : types) type.flow_exponent = 0.0;
    const test::RandomCase c = test::random_case(random, types);
    const Hydraulics state = solve(c.network, c.heads, {true, true}, 288.15);
    CAPTURE(i, state.iterations);
    REQUIRE(state.converged);
    for (std::size_t h = 0; h < c.heads.size(); ++h) {
      const HeadType& type = *c.heads[h].type;
      // A tenth to ten times the rated pressure moves 0.02 of an exponent by 4.7 %.
      if (state.head_pressure_Pa[h] < 0.1 * type.rated_pressure_Pa ||
          state.head_pressure_Pa[h] > 10.0 * type.rated_pressure_Pa)
        continue;
      ++fed;
      REQUIRE_THAT(state.head_flow_m3_per_s[h], rel(type.rated_flow_m3_per_s, 0.05));
    }
  }
  CHECK(fed > 300);
}

TEST_CASE("water: a boom lays down its flow over the area that it passes", "[water][worked]") {
  // 4 heads of 30 L/h over 1.2 m at 0.25 m/s: 120 L/h on 1080 m2/h, 0.111 mm.
  HeadType type;
  type.rated_flow_m3_per_s = 30e-3 / 3600.0;
  CHECK(boom_dose_m(type) == 0.0);
  type.boom = {4, 0.25, 1.2};
  CHECK_THAT(boom_dose_m(type), rel(0.120 / 1080.0, 1e-12));
}
