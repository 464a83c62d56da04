#include "sim/scenario/read.h"

#include <algorithm>
#include <cmath>
#include <fstream>
#include <iterator>
#include <string>

#include "models/air/psychrometrics.h"
#include "models/units.h"
#include "models/water/pipe.h"
#include "tests/support/catch.h"
#include "tests/support/table.h"
#include "tests/support/text.h"

using namespace mistwright;
using mistwright::test::abs;
using mistwright::test::rel;

namespace {

std::string path(const std::string& name) {
  return std::string(MISTWRIGHT_SOURCE_DIR) + "/scenarios/" + name;
}

House read(const std::string& name, const std::vector<std::string>& overrides = {}) {
  auto result = scenario::read_file(path(name), overrides);
  INFO(scenario::render(result.problems));
  CHECK(result.problems.empty());
  REQUIRE(result.house);
  return std::move(*result.house);
}

}  // namespace

TEST_CASE("read: the demonstration is the house that its description says", "[scenario][worked]") {
  const House h = read("demo.toml");
  CHECK_THAT(h.structure.length_m, rel(7.2, 1e-12));
  CHECK_THAT(h.structure.width_m, rel(3.6, 1e-12));
  CHECK_THAT(degrees(h.site.latitude_rad), rel(43.0, 1e-12));
  CHECK_THAT(h.site.altitude_m, rel(180.0, 1e-12));
  CHECK_THAT(h.structure.shade.transmittance_fraction, rel(0.5, 1e-12));
  REQUIRE(h.benches.size() == 2);
  double area_m2 = 0.0;
  for (const Bench& b : h.benches) area_m2 += b.length_m * b.width_m;
  CHECK_THAT(area_m2, rel(8.64, 1e-12));
  CHECK(area_m2 * h.crop.cuttings_per_m2 * 0.5 * (h.crop.leaves_min + h.crop.leaves_max) >=
        10'000.0);
  REQUIRE(h.heads.size() == 6);
  for (std::size_t i = 0; i < 6; ++i) {
    CHECK_THAT(h.heads[i].z_m, rel(0.8 + 0.6, 1e-12));
    if (i % 3 != 0) CHECK_THAT(h.heads[i].x_m - h.heads[i - 1].x_m, rel(1.1, 1e-12));
    CHECK(h.heads[i].valve == 0);
    CHECK_THAT(h.network.nodes[h.heads[i].node].elevation_m, rel(1.4, 1e-12));
  }
  const water::HeadType& type = h.head_types.at(0);
  CHECK_THAT(type.rated_flow_m3_per_s, rel(0.060 / 3600.0, 1e-12));
  CHECK_THAT(type.rated_pressure_Pa, rel(2.8e5, 1e-12));
  CHECK_THAT(type.dv50_m, rel(150e-6, 1e-12));
  CHECK_THAT(type.wetted_diameter_m, rel(1.8, 1e-12));
  CHECK_THAT(h.network.supply.static_pressure_Pa, rel(3.5e5, 1e-12));
  CHECK_THAT(h.network.supply.bucket_flow_m3_per_s, rel(0.3e-3, 1e-12));
  REQUIRE(h.clocks.size() == 1);
  CHECK(control::starts_a_day(h.clocks[0].programmes.at(0)) == 72);
  CHECK(h.clocks[0].programmes[0].bands[0].burst_us == 6'000'000);
  CHECK(h.fans.at(0).wall == Wall::Back);
  CHECK(h.openings.at(0).with_fan == 0U);
}

TEST_CASE("read: midnight of summer time at UTC-5 is four hours past midnight UTC",
          "[scenario][published]") {
  const House h = read("demo.toml");
  CHECK(h.civil.start_utc_s == 1748923200);  // 2025-06-03T04:00:00Z, ISO 8601
  CHECK(h.civil.time_of_day_us(run_start) == 0);
  CHECK_THAT(seconds(h.span), rel(86400.0, 1e-12));
  CHECK(h.weather.rows.front().utc_s <= h.civil.start_utc_s);
  CHECK(h.weather.rows.back().utc_s >= h.civil.start_utc_s + 86400);
}

TEST_CASE("read: a bucket at the end of the hose leaves the pressure that the hose takes",
          "[scenario][same]") {
  const House h = read("demo.toml");
  const water::Supply& s = h.network.supply;
  const water::Pipe& hose = h.network.pipes.at(0);
  REQUIRE(hose.name == "hose");
  const water::Water water = water::liquid_water(s.temperature_K);
  const double fall_Pa =
      water.density_kg_per_m3 * gravity_m_per_s2 * 0.5;  // the bib is 0.5 m above the hose's end
  CHECK_THAT(s.bucket_pressure_Pa, rel(water::pipe_drop_Pa(hose, 0.3e-3, water) - fall_Pa, 1e-9));
  // By hand: 0.955 m/s, Re 16,800, f 0.0288 (Colebrook, 7 um): 16.4 kPa of wall and 0.9 kPa of
  // fittings.
  CHECK_THAT(s.bucket_pressure_Pa + fall_Pa, abs(17.0e3, 0.6e3));
}

TEST_CASE("read: too little mist differs from the demonstration by its heads alone",
          "[scenario][same]") {
  const House demo = read("demo.toml");
  const House little = read("too_little.toml");
  REQUIRE(little.heads.size() == 4);
  CHECK_THAT(little.heads[1].x_m - little.heads[0].x_m, rel(2.2, 1e-12));
  CHECK_THAT(little.head_types.at(0).rated_flow_m3_per_s * 3.0,
             rel(demo.head_types.at(0).rated_flow_m3_per_s, 1e-12));
  CHECK(little.clocks[0].programmes[0].bands.size() == demo.clocks[0].programmes[0].bands.size());
  CHECK(little.crop.film_capacity_m == demo.crop.film_capacity_m);
}

TEST_CASE("read: a week of the typical year holds the published hours", "[scenario][published]") {
  const House h = read("typical_year_week.toml");
  // 9 June, hours of local standard time (UTC-5), from the file itself.
  int seen = 0;
  for (const auto& row : [] {
         std::vector<test::Row> rows;
         for (const auto& r : test::table("../../scenarios/weather/greensboro_typical_year.csv")) {
           if (r.text("month") == "6" && r.text("day") == "10") rows.push_back(r);
         }
         return rows;
       }()) {
    const std::int64_t utc_s =
        1749513600 + static_cast<std::int64_t>(row.number("hour_ending")) * 3600 + 5 * 3600;
    for (const auto& w : h.weather.rows) {
      if (w.utc_s != utc_s) continue;
      ++seen;
      CHECK_THAT(celsius(w.weather.temperature_K), abs(row.number("dry_bulb_degC"), 1e-9));
      CHECK_THAT(w.weather.global_horizontal_W_per_m2,
                 abs(row.number("global_horizontal_W_m2"), 1e-9));
      CHECK_THAT(w.weather.direct_normal_W_per_m2, abs(row.number("direct_normal_W_m2"), 1e-9));
      CHECK_THAT(w.weather.pressure_Pa, rel(row.number("pressure_hPa") * 100.0, 1e-12));
      CHECK_THAT(w.weather.vapour_pressure_Pa,
                 rel(air::saturation_pressure_Pa(kelvin(row.number("dew_point_degC"))), 1e-9));
      CHECK(w.weather.cloud_fraction >= 0.0);
      CHECK(w.weather.cloud_fraction <= 1.0);
    }
  }
  CHECK(seen == 24);
  CHECK(h.weather.source.find("National Renewable Energy Laboratory") != std::string::npos);
  CHECK(h.head_types.at(0).name == "mist");
  CHECK_THAT(h.head_types[0].dv10_m, rel(71e-6, 1e-12));
  CHECK(h.heads.at(0).valve == 0);
  CHECK(h.heads.at(23).valve == 1);
}

TEST_CASE("read: overrides take the same units and the same errors as the file",
          "[scenario][exact]") {
  CHECK_THAT(read("demo.toml", {"crop.leaf_area=0.155 in2"}).crop.leaf_area_m2, rel(1e-4, 1e-3));
  CHECK_THAT(read("demo.toml", {"row.west.riser = \"2 ft\""}).heads[5].z_m,
             rel(0.8 + 0.6096, 1e-9));
  const House raised = read("demo.toml", {"row.riser=0.7 m"});
  CHECK_THAT(raised.heads[0].z_m, rel(1.5, 1e-12));
  CHECK_THAT(raised.heads[5].z_m, rel(1.5, 1e-12));
  CHECK(read("demo.toml",
             {"fan.exhaust.wall=left", "fan.exhaust.along=3.6 m", "fan.exhaust.height=0.5 m"})
            .fans[0]
            .wall == Wall::Left);
  CHECK(read("demo.toml", {"numerics.uniform_flow=true"}).numerics.uniform_flow);
  const auto wrong = scenario::read_file(path("demo.toml"), {"supply.static_pressure=40"});
  CHECK(scenario::render(wrong.problems) ==
        "error[E0301]: `static_pressure` needs a unit\n"
        " --> --set:1:24\n"
        "  |\n"
        "1 | supply.static_pressure=40\n"
        "  |                        ^^ a number without a unit\n"
        "  |\n"
        "help: write \"40 psi\", \"40 kPa\" or \"40 m H2O\"; bare numbers are never guessed\n"
        "1 error, 0 warnings; nothing was run, nothing was written\n");
}

TEST_CASE("read: every default used is listed once with its value and where it comes from",
          "[scenario][law]") {
  const House h = read("demo.toml");
  std::vector<std::string> seen;
  for (const Assumed& a : h.assumed) {
    INFO(a.key);
    CHECK(std::find(seen.begin(), seen.end(), a.key) == seen.end());
    seen.push_back(a.key);
    CHECK_FALSE(a.value.empty());
    CHECK_FALSE(a.evidence.empty());
    CHECK_FALSE(a.meaning.empty());
  }
  const auto has = [&](const char* key) {
    return std::find(seen.begin(), seen.end(), key) != seen.end();
  };
  CHECK(has("crop.break_depth"));
  CHECK(has("crop.film_capacity (semi-hardwood broadleaf)"));
  CHECK_FALSE(has("house.leakage"));
  // Written out it is no longer assumed.
  const House told = read("demo.toml", {"crop.break_depth=10 um"});
  CHECK(told.assumed.size() + 1 == h.assumed.size());
}

TEST_CASE("read: units do not change the house", "[scenario][law]") {
  const House si = read("demo.toml");
  const House us =
      read("demo.toml", {"supply.static_pressure=50.7632 psi", "supply.bucket_volume=4.75510 gal",
                         "house.length=23.62205 ft", "weather.highest=78.8 degF",
                         "house.leakage=0.0166666667 1/min"});
  CHECK_THAT(us.network.supply.static_pressure_Pa, rel(si.network.supply.static_pressure_Pa, 1e-6));
  CHECK_THAT(us.network.supply.bucket_flow_m3_per_s,
             rel(si.network.supply.bucket_flow_m3_per_s, 1e-6));
  CHECK_THAT(us.structure.length_m, rel(si.structure.length_m, 1e-6));
  CHECK_THAT(us.structure.leakage_air_changes_per_h,
             rel(si.structure.leakage_air_changes_per_h, 1e-6));
  CHECK_THAT(us.weather.rows[150].weather.temperature_K,
             rel(si.weather.rows[150].weather.temperature_K, 1e-6));
}

TEST_CASE("read: what is not a regular file is refused by name with status 4",
          "[scenario][input]") {
  const auto folder = scenario::read_file(std::string(MISTWRIGHT_SOURCE_DIR) + "/scenarios");
  REQUIRE(folder.problems.size() == 1);
  CHECK(folder.problems[0].message.find("is a folder, not a regular file") != std::string::npos);
  CHECK(scenario::exit_status(folder.problems) == 4);
  const auto none = scenario::read_file(path("no_such.toml"));
  REQUIRE(none.problems.size() == 1);
  CHECK(none.problems[0].message.find("no such file") != std::string::npos);
  const auto device = scenario::read_file("/dev/zero");
  REQUIRE(device.problems.size() == 1);
  CHECK(device.problems[0].message == "`/dev/zero` is a device, not a regular file");
}

TEST_CASE("read: a head obeys the last valve before it and a head fed through two must say which",
          "[scenario][worked]") {
  const auto zones = [](const std::string& more) {
    std::string text = test::text_of(path("typical_year_week.toml"));
    const std::size_t at = text.find("[[valve]]");
    text.insert(at, more);
    return scenario::read_text(text, "t.toml", std::string(MISTWRIGHT_SOURCE_DIR) + "/scenarios");
  };
  // A master valve on the main changes nothing for the zones behind it, but wants a programme.
  const auto master = zones("[[valve]]\nname = \"master\"\npipe = \"main\"\n");
  REQUIRE(master.house);
  REQUIRE(master.problems.size() == 1);
  CHECK(master.problems[0].message == "zone `master` has no programme: it stays shut");
  CHECK(master.house->heads[0].valve == 1);
  CHECK(master.house->heads[23].valve == 2);
  // A pipe without a valve between the two lines lets either valve feed every head.
  const auto joined = zones(
      "[[pipe]]\nname = \"bridge\"\nfrom = \"south line\"\nto = \"north line\"\nlength = \"3 "
      "m\"\ndiameter = \"20 mm\"\n");
  CHECK_FALSE(joined.house);
  REQUIRE(joined.problems.size() == 24);
  CHECK(joined.problems[0].message == "head `s 1` can be fed through several valves");
  CHECK(joined.problems[0].help == "say which by `zone`");
  // A pipe round the valve leaves it nothing to do.
  const auto open = zones(
      "[[pipe]]\nname = \"round\"\nfrom = \"manifold\"\nto = \"north line\"\nlength = \"3 "
      "m\"\ndiameter = \"20 mm\"\n");
  REQUIRE(open.problems.size() == 12);
  CHECK(open.problems[0].message == "head `n 1` gets water with every valve shut");
}

TEST_CASE("read: a curved roof is half an ellipse from the eaves to the ridge",
          "[scenario][exact]") {
  const House h = read("demo.toml");
  CHECK_THAT(h.structure.roof_height_m(1.8), rel(2.4, 1e-12));
  CHECK_THAT(h.structure.roof_height_m(0.0), abs(1.0, 1e-12));
  CHECK_THAT(h.structure.roof_height_m(3.6), abs(1.0, 1e-12));
  CHECK_THAT(h.structure.roof_height_m(0.72),
             rel(1.0 + 1.4 * 0.8, 1e-12));  // s = -0.6, so 0.8 of the rise
}

TEST_CASE("read: a vent's kind and angle give its discharge coefficient where that is left out",
          "[scenario][exact]") {
  std::string demo = test::text_of(path("demo.toml"));
  const std::string given = "discharge_coefficient = 0.4\n";
  const std::size_t at = demo.find(given);
  REQUIRE(at != std::string::npos);
  const auto with = [&](const std::string& keys) {
    const auto result =
        scenario::read_text(std::string(demo).replace(at, given.size(), keys), "demo.toml",
                            std::string(MISTWRIGHT_SOURCE_DIR) + "/scenarios");
    INFO(scenario::render(result.problems));
    REQUIRE(result.house);
    return std::move(*result.house);
  };
  const auto coefficient = [&](const std::string& keys) {
    return with(keys).openings.at(0).discharge_coefficient;
  };
  CHECK(coefficient("") == 0.6);
  CHECK(coefficient("kind = \"plain\"\n") == 0.6);
  CHECK(coefficient("kind = \"louvre\"\ndischarge_coefficient = 0.3\n") == 0.3);
  // By hand: 0.6 sin 45; 0.40 + 0.0045 x 10; 5.4 m by 0.5 m at 30 degrees, exp(-10.8 / 16.25) =
  // 0.5145, 0.5 / sqrt(1.75 + 0.3601); 0.6 behind 0.207.
  CHECK_THAT(coefficient("kind = \"louvre\"\n"), rel(0.6 / std::sqrt(2.0), 1e-12));
  CHECK_THAT(coefficient("kind = \"louvre\"\nangle = \"90 degree\"\n"), rel(0.6, 1e-12));
  CHECK_THAT(coefficient("kind = \"door\"\n"), rel(0.445, 1e-12));
  CHECK_THAT(coefficient("kind = \"flap\"\nangle = \"30 degree\"\n"), abs(0.3442, 1e-4));
  CHECK_THAT(coefficient("kind = \"insect screen\"\n"), abs(0.1957, 1e-4));
  const House louvre = with("kind = \"louvre\"\n");
  const auto noted = [&](const std::string& key) {
    return std::find_if(louvre.assumed.begin(), louvre.assumed.end(),
                        [&](const auto& line) { return line.key == key; });
  };
  const auto line = noted("vent.discharge_coefficient (side louvres)");
  REQUIRE(line != louvre.assumed.end());
  CHECK(line->value == "0.424");
  CHECK(noted("vent.angle (side louvres)") != louvre.assumed.end());
  CHECK(noted("vent.discharge_coefficient") == louvre.assumed.end());
}
