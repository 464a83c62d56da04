#include <cmath>

#include "models/air/psychrometrics.h"
#include "models/sky/weather.h"
#include "models/units.h"
#include "sim/scenario/read.h"
#include "tests/scenario/typical_files.h"
#include "tests/support/catch.h"
#include "tests/support/table.h"

using namespace mistwright;
using namespace mistwright::test;

namespace {

// 8 July 2025 06:00 UTC is 01:00 standard time of the station, UTC-5, the first stamp of the files;
// by the wall clock it is 02:00.
constexpr std::int64_t first_stamp_s = 1751954400;
constexpr std::int64_t hour_s = 3600;
const std::vector<std::string> week = {"span.start=2025-07-08T01:00:00", "span.length=7 d"};

House read_house(const std::string& name, const std::string& content,
                 const std::vector<std::string>& settings) {
  auto result = read_with(name, content, settings);
  for (const auto& problem : result.problems) UNSCOPED_INFO(scenario::render(problem));
  REQUIRE(result.house.has_value());
  return *result.house;
}

const sky::WeatherRow& row_at(const House& house, std::int64_t utc_s) {
  for (const auto& row : house.weather.rows) {
    if (row.utc_s == utc_s) return row;
  }
  throw std::runtime_error("no row at that stamp");
}

// Energy of the level between two stamps in Wh/m2, by midpoints of one second.
double energy_Wh_per_m2(const sky::WeatherSeries& series, std::int64_t from_s, std::int64_t to_s) {
  double sum = 0.0;
  for (std::int64_t t = from_s; t < to_s; ++t)
    sum += sky::weather_at(series, static_cast<double>(t) + 0.5).global_horizontal_W_per_m2;
  return sum / 3600.0;
}

// A whole year as EPW from the open typical year; its months stand in years of our own choice, as
// months of typical years do.
Lines epw_year(bool with_29_february = false) {
  Lines out = epw_july();
  out.resize(8);
  const auto put = [&](const Row& r, const std::string& day) {
    const int month = std::stoi(r.text("month"));
    const double hPa = r.number("pressure_hPa");
    out.push_back(std::to_string(1980 + (month * 7) % 25) + "," + r.text("month") + "," + day +
                  "," + r.text("hour_ending") + ",60,?," + r.text("dry_bulb_degC") + "," +
                  r.text("dew_point_degC") + "," + r.text("relative_humidity_percent") + "," +
                  std::to_string(static_cast<int>(hPa) * 100) + ",9999,9999,9999," +
                  r.text("global_horizontal_W_m2") + "," + r.text("direct_normal_W_m2") + "," +
                  r.text("diffuse_horizontal_W_m2") + ",999999,999999,999999,9999," +
                  r.text("wind_direction_deg") + "," + r.text("wind_speed_m_s") +
                  ",99,99,9999,99999,9,999999999,999,0.999,999,99,999,999,99");
  };
  std::vector<Row> last_day;
  for (const auto& r : table("../../scenarios/weather/greensboro_typical_year.csv")) {
    if (with_29_february && r.text("month") == "3") {
      for (const auto& again : last_day) put(again, "29");
      last_day.clear();
    }
    put(r, r.text("day"));
    if (r.text("month") == "2" && r.text("day") == "28") last_day.push_back(r);
  }
  return out;
}

}  // namespace

TEST_CASE("weather: every hour of a TMY3 week keeps the energy of its file", "[scenario][law]") {
  const Lines lines = tmy3_july();
  const House house = read_house("week.csv", joined(lines), week);
  double total = 0.0, in_file = 0.0;
  for (int h = 1; h <= 7 * 24; ++h) {
    const std::string& line = lines[static_cast<std::size_t>(2 + h)];
    const double published = std::stod(cell_of(line, 4));
    const std::int64_t to_s = first_stamp_s + h * hour_s;
    CAPTURE(line.substr(0, 40));
    // A thousandth of the file's last digit; midpoints of a second are better than that at the
    // kinks of sunrise and sunset.
    const double ours = energy_Wh_per_m2(house.weather, to_s - hour_s, to_s);
    CHECK_THAT(ours, test::abs(published, 1e-3));
    total += ours;
    in_file += published;
  }
  CHECK(in_file > 30000.0);
  CHECK_THAT(total, test::abs(in_file, 1e-2));
}

TEST_CASE("weather: a stamp is the end of an hour of standard time at the file's own offset",
          "[scenario][published]") {
  const House house = read_house("stamp.csv", joined(tmy3_july()), week);
  // The line 07/08/1981,12:00 as published: 30.6 degC, dew point 21.1 degC, 991 mbar, 4.1 m/s from
  // 30 degrees, 953 Wh/m2 in the hour before. 12:00 at UTC-5 is 17:00 UTC.
  const sky::Weather& noon = row_at(house, 1751994000).weather;
  CHECK_THAT(noon.temperature_K, test::abs(kelvin(30.6), 1e-9));
  CHECK_THAT(noon.vapour_pressure_Pa, rel(air::saturation_pressure_Pa(kelvin(21.1)), 1e-12));
  CHECK_THAT(noon.pressure_Pa, rel(99100.0, 1e-12));
  CHECK_THAT(noon.wind_speed_m_per_s, rel(4.1, 1e-12));
  CHECK_THAT(noon.wind_from_rad, rel(radians(30.0), 1e-12));
  CHECK_THAT(noon.global_horizontal_W_per_m2, rel(953.0, 1e-12));
  CHECK_THAT(noon.direct_normal_W_per_m2, rel(799.0, 1e-12));
  CHECK_THAT(noon.diffuse_horizontal_W_per_m2, rel(193.0, 1e-12));
  CHECK(house.weather.source == "TMY3, station 723170 GREENSBORO PIEDMONT TRIAD INT, NC");

  // The same house in another zone's clock: the file's offset still rules its stamps.
  const House moved =
      read_house("moved.csv", joined(tmy3_july()),
                 {"span.start=2025-07-09", "span.length=1 d", "site.time_zone=+01:00"});
  CHECK_THAT(row_at(moved, 1752080400).weather.temperature_K,
             test::abs(kelvin(std::stod(cell_of(tmy3_july()[37], 31))), 1e-9));
}

TEST_CASE("weather: TMY3 and EPW of the same days give the same series", "[scenario][same]") {
  const House a = read_house("same.csv", joined(tmy3_july()), week);
  const House b = read_house("same.epw", joined(epw_july()), week);
  REQUIRE(a.weather.rows.size() == b.weather.rows.size());
  REQUIRE(a.weather.rows.size() >= 7 * 24 + 1);
  for (std::size_t i = 0; i < a.weather.rows.size(); ++i) {
    const sky::Weather& x = a.weather.rows[i].weather;
    const sky::Weather& y = b.weather.rows[i].weather;
    CAPTURE(i);
    CHECK(a.weather.rows[i].utc_s == b.weather.rows[i].utc_s);
    CHECK_THAT(x.temperature_K, test::abs(y.temperature_K, 1e-9));
    CHECK_THAT(x.vapour_pressure_Pa, rel(y.vapour_pressure_Pa, 1e-12));
    CHECK_THAT(x.pressure_Pa, rel(y.pressure_Pa, 1e-12));
    CHECK_THAT(x.wind_from_rad, test::abs(y.wind_from_rad, 1e-12));
    CHECK_THAT(x.wind_speed_m_per_s, test::abs(y.wind_speed_m_per_s, 1e-12));
    CHECK(x.global_horizontal_W_per_m2 == y.global_horizontal_W_per_m2);
    CHECK(x.direct_normal_W_per_m2 == y.direct_normal_W_per_m2);
    CHECK(x.diffuse_horizontal_W_per_m2 == y.diffuse_horizontal_W_per_m2);
  }
}

TEST_CASE("weather: line ends and marks of editors change nothing", "[scenario][same]") {
  const Lines lines = epw_july();
  const House plain = read_house("plain.epw", joined(lines), week);
  const std::string whole = joined(lines);
  const std::vector<std::pair<std::string, std::string>> others = {
      {"crlf.epw", joined(lines, "\r\n")},
      {"mark.epw", "\xEF\xBB\xBF" + whole},
      {"no_end.epw", whole.substr(0, whole.size() - 1)},
      {"blank_end.epw", whole + "\n\n"}};
  for (const auto& [name, text] : others) {
    CAPTURE(name);
    const House other = read_house(name, text, week);
    REQUIRE(other.weather.rows.size() == plain.weather.rows.size());
    for (std::size_t i = 0; i < plain.weather.rows.size(); ++i) {
      CHECK(other.weather.rows[i].utc_s == plain.weather.rows[i].utc_s);
      CHECK(other.weather.rows[i].weather.temperature_K ==
            plain.weather.rows[i].weather.temperature_K);
    }
  }
}

TEST_CASE("weather: months from different years follow each other without a gap",
          "[scenario][exact]") {
  const auto result =
      read_with("jump.epw", joined(epw_year()), {"span.start=2025-05-28", "span.length=8 d"});
  REQUIRE(result.house.has_value());
  CHECK(result.problems.empty());
  const auto& rows = result.house->weather.rows;
  for (std::size_t i = 1; i < rows.size(); ++i) CHECK(rows[i].utc_s - rows[i - 1].utc_s == hour_s);
}

TEST_CASE("weather: a run over new year wraps from December to January", "[scenario][exact]") {
  const Lines lines = epw_year();
  const House house =
      read_house("wrap.epw", joined(lines), {"span.start=2031-12-30", "span.length=4 d"});
  const auto& rows = house.weather.rows;
  for (std::size_t i = 1; i < rows.size(); ++i) CHECK(rows[i].utc_s - rows[i - 1].utc_s == hour_s);
  // The last line of the file is 31 December 24:00, the first 1 January 01:00; 00:00 at UTC-5 of
  // 1 January 2032 is 05:00 UTC.
  constexpr std::int64_t new_year_s = 1956546000;
  CHECK_THAT(row_at(house, new_year_s).weather.temperature_K,
             test::abs(kelvin(std::stod(cell_of(lines.back(), 6))), 1e-9));
  CHECK_THAT(row_at(house, new_year_s + hour_s).weather.temperature_K,
             test::abs(kelvin(std::stod(cell_of(lines[8], 6))), 1e-9));
}

TEST_CASE("weather: 29 February repeats the 28th where the file has none and is told",
          "[scenario][exact]") {
  const std::vector<std::string> span = {"span.start=2024-02-27", "span.length=4 d"};
  const auto result = read_with("leap.epw", joined(epw_year()), span);
  REQUIRE(result.house.has_value());
  REQUIRE(result.problems.size() == 1);
  CHECK(result.problems[0].code == "W0724");
  const House& house = *result.house;
  // 28 February 2024 01:00 at UTC-5 is 06:00 UTC.
  constexpr std::int64_t day_28_s = 1709100000;
  for (int h = 0; h < 24; ++h) {
    const sky::Weather& one = row_at(house, day_28_s + h * hour_s).weather;
    const sky::Weather& next = row_at(house, day_28_s + (24 + h) * hour_s).weather;
    CHECK(one.temperature_K == next.temperature_K);
    CHECK(one.global_horizontal_W_per_m2 == next.global_horizontal_W_per_m2);
  }
  // A plain typical year keeps the same rule.
  const auto csv = read_with(
      "leap.csv",
      text_of(fs::path(MISTWRIGHT_SOURCE_DIR) / "scenarios/weather/greensboro_typical_year.csv"),
      span);
  CHECK(csv.house.has_value());
  CHECK(csv.problems.size() == 1);
  // A run that begins on 1 March has none of it to tell, a common year leaves the file's own out.
  CHECK(read_with("march.epw", joined(epw_year()), {"span.start=2024-03-01", "span.length=1 d"})
            .problems.empty());
  const House common =
      read_house("own.epw", joined(epw_year(true)), {"span.start=2025-02-27", "span.length=4 d"});
  for (std::size_t i = 1; i < common.weather.rows.size(); ++i)
    CHECK(common.weather.rows[i].utc_s - common.weather.rows[i - 1].utc_s == hour_s);
}

TEST_CASE("weather: short gaps are straight lines between the hours around and are told",
          "[scenario][exact]") {
  // Line 64 of the EPW is 10 July 08:00; three hours without a dry bulb, one without a direction
  // between 350 and 20 degrees.
  Lines lines = with_cells(epw_july(), 64, 66, 6, "99.9");
  lines = with_cells(lines, 70, 70, 20, "350");
  lines = with_cells(lines, 71, 71, 20, "999");
  lines = with_cells(lines, 72, 72, 20, "20");
  const auto result = read_with("short.epw", joined(lines), {});
  REQUIRE(result.house.has_value());
  REQUIRE(result.problems.size() == 2);
  for (const auto& p : result.problems) CHECK(p.code == "W0722");
  CHECK(result.problems[0].at.line == 64);
  CHECK(result.problems[1].at.line == 71);
  constexpr std::int64_t eight_s = 1752152400;  // 10 July 08:00 at UTC-5
  const double before = std::stod(cell_of(epw_july()[62], 6));
  const double after = std::stod(cell_of(epw_july()[66], 6));
  for (int h = 0; h < 3; ++h) {
    CHECK_THAT(row_at(*result.house, eight_s + h * hour_s).weather.temperature_K,
               test::abs(kelvin(before + (after - before) * (h + 1) / 4.0), 1e-9));
  }
  CHECK_THAT(row_at(*result.house, eight_s + 7 * hour_s).weather.wind_from_rad,
             test::abs(radians(5.0), 1e-9));
}

TEST_CASE("weather: what another quantity can stand in for is told and not refused",
          "[scenario][input]") {
  const auto codes = [](const scenario::ReadResult& result) {
    std::string all;
    for (const auto& p : result.problems) all += p.code + "@" + std::to_string(p.at.line) + " ";
    return all;
  };
  // A whole day without dew point or pressure or direct light.
  const auto dry = read_with("dew.epw", joined(with_cells(epw_july(), 57, 84, 7, "99.9")), {});
  CHECK(codes(dry) == "W0723@57 ");
  REQUIRE(dry.house.has_value());
  // 10 July 12:00: 30.0 degC and 63 % as published.
  const auto& noon = row_at(*dry.house, 1752166800).weather;
  const double share = std::stod(cell_of(epw_july()[67], 8)) / 100.0;
  CHECK_THAT(noon.vapour_pressure_Pa,
             rel(share * air::saturation_pressure_Pa(noon.temperature_K), 1e-12));
  const auto high = read_with("high.epw", joined(with_cells(epw_july(), 57, 84, 9, "999999")), {});
  CHECK(codes(high) == "W0723@57 ");
  CHECK_THAT(row_at(*high.house, 1752166800).weather.pressure_Pa,
             rel(air::pressure_at_altitude_Pa(273.0), 1e-12));
  const auto dim = read_with("dim.epw", joined(with_cells(epw_july(), 68, 68, 14, "9999")), {});
  CHECK(codes(dim) == "W0723@68 ");
  const auto& parted = row_at(*dim.house, 1752166800).weather;
  CHECK(parted.direct_normal_W_per_m2 > 100.0);
  CHECK(parted.global_horizontal_W_per_m2 == std::stod(cell_of(epw_july()[67], 13)));
}

TEST_CASE("weather: over an accepted gap the sun is the mean of the hour after it",
          "[scenario][exact]") {
  // Lines 60 to 63 of TMY3 are 10 July 10:00 to 13:00; line 64 is 14:00 and stands for five hours.
  Lines lines = tmy3_july();
  const double after = std::stod(cell_of(lines[63], 4));
  lines.erase(lines.begin() + 59, lines.begin() + 63);
  const auto result = read_with("bridged.csv", joined(lines), {"weather.max_gap=5 h"});
  REQUIRE(result.house.has_value());
  constexpr std::int64_t nine_s = 1752156000;  // 10 July 09:00 at UTC-5
  CHECK(after > 100.0);
  CHECK_THAT(energy_Wh_per_m2(result.house->weather, nine_s, nine_s + 5 * hour_s),
             rel(5.0 * after, 1e-6));
}

TEST_CASE("weather: hours of the file do not jump when the wall clock is set",
          "[scenario][exact]") {
  const Lines lines = epw_year();
  // Days before 9 March and 2 November in a year of 365; 02:00 at UTC-5 is 07:00 UTC.
  const std::vector<std::tuple<std::string, std::size_t, std::int64_t>> nights = {
      {"2025-03-08", 67, 1741503600}, {"2025-11-01", 305, 1762066800}};
  for (const auto& [start, days, two_s] : nights) {
    CAPTURE(start);
    const House house = read_house(
        "clock.epw", joined(lines),
        {"span.start=" + start, "span.length=2 d",
         "site.daylight_saving={ from = 2025-03-09T02:00:00, to = 2025-11-02T02:00:00 }"});
    CHECK(house.civil.daylight_saving);
    const auto& rows = house.weather.rows;
    for (std::size_t i = 1; i < rows.size(); ++i)
      CHECK(rows[i].utc_s - rows[i - 1].utc_s == hour_s);
    for (int h = -2; h <= 2; ++h) {
      const std::string& line = lines[7 + days * 24 + static_cast<std::size_t>(2 + h)];
      CHECK_THAT(row_at(house, two_s + h * hour_s).weather.temperature_K,
                 test::abs(kelvin(std::stod(cell_of(line, 6))), 1e-9));
    }
  }
}

TEST_CASE("weather: faults outside the run's days do not stop it", "[scenario][input]") {
  const Lines lines = with_cells(epw_july(), 150, 160, 13, "9999");
  CHECK(read_with("later.epw", joined(lines), {}).problems.empty());
  CHECK_FALSE(read_with("later.epw", joined(lines), {"span.start=2025-07-14"}).house.has_value());
}
