#include <filesystem>
#include <fstream>

#include "models/random.h"
#include "sim/house/kept_field.h"
#include "sim/record/field_files.h"
#include "tests/cases/small_house.h"
#include "tests/support/catch.h"
#include "tests/support/folder.h"

using namespace mistwright;

TEST_CASE("cases: a house's run gives the same bits with 1 and 2 and 7 threads", "[cases][same]") {
  const House house = test::small_house();
  const auto one = test::run_whole(house, 1);
  REQUIRE(one->water().bursts() > 30);
  REQUIRE(one->shared().slots.size() == 2);  // the fan has been off and on
  for (const int threads : {2, 7}) {
    CAPTURE(threads);
    const auto run = test::run_whole(house, threads);
    CHECK(run->engine().state_hash() == one->engine().state_hash());
    CHECK(run->engine().events() == one->engine().events());
    CHECK(run->frames().series == one->frames().series);
    CHECK(run->frames().dry_s == one->frames().dry_s);
    CHECK(run->frames().mist_m == one->frames().mist_m);
    CHECK(run->frames().cell_deficit_Pa == one->frames().cell_deficit_Pa);
  }
}

TEST_CASE("cases: a house saved and taken up anew at 20 instants ends in the bits of one run",
          "[cases][same]") {
  const House house = test::small_house({"span.length=4 h"});
  const auto straight = test::run_whole(house);
  REQUIRE(straight->shared().slots.size() == 2);

  const auto building = std::make_shared<Building>(house);
  Random random(1, stream_of("splits"));
  auto run = std::make_unique<HouseRun>(house, 1, building);
  SimTime t = run_start;
  int inside_bursts = 0;
  for (int i = 0; i < 20; ++i) {
    // Somewhere in each twentieth; every fourth one in the middle of a burst of 6 s.
    t = i % 4 == 3
            ? run_start + std::chrono::minutes{10 * (1 + 24 * i / 20)} + std::chrono::seconds{3}
            : run_start + std::chrono::minutes{12 * i} +
                  SimDuration{static_cast<std::int64_t>(300e6 * random.uniform())};
    run->engine().advance_to(t);
    inside_bursts += run->shared().valves_spraying > 0 ? 1 : 0;
    const auto bytes = run->save();
    run = std::make_unique<HouseRun>(house, 1, building);
    run->restore(bytes);
    CHECK(run->save() == bytes);
  }
  REQUIRE(inside_bursts > 0);
  // The last stretch in a building of its own: nothing may have been kept in the shared one.
  const auto bytes = run->save();
  run = std::make_unique<HouseRun>(house, 2);
  run->restore(bytes);
  run->engine().advance_to(run->end());
  CHECK(run->engine().state_hash() == straight->engine().state_hash());
  CHECK(run->engine().events() == straight->engine().events());
  CHECK(test::last_map(*run, run->frames().dry_s) ==
        test::last_map(*straight, straight->frames().dry_s));
}

TEST_CASE(
    "cases: a house stopped between two events of one instant and taken up anew goes on alike",
    "[cases][same]") {
  // After a valve has shut, its water still waits for the leaves to take it.
  const House house = test::small_house({"span.length=25 min"});
  const auto building = std::make_shared<Building>(house);
  const auto straight = test::run_whole(house, 1, building);
  HouseRun stopped(house, 1, building);
  const auto until_shut = [&stopped](SimTime) {
    const auto& notes = stopped.frames().notes;
    return notes.empty() || notes.back().part != water_part || notes.back().kind != WaterPart::Shut;
  };
  REQUIRE_FALSE(stopped.engine().advance_to(stopped.end(), until_shut));
  const auto bytes = stopped.save();
  HouseRun resumed(house, 1, building);
  resumed.restore(bytes);
  resumed.engine().advance_to(resumed.end());
  CHECK(resumed.engine().state_hash() == straight->engine().state_hash());
  CHECK(resumed.crop().ledger().landed_on_leaves_kg.value() ==
        straight->crop().ledger().landed_on_leaves_kg.value());
}

TEST_CASE("cases: a run whose airflow was kept gives the bits of one that computed it",
          "[cases][same]") {
  namespace fs = std::filesystem;
  const test::Folder folder;
  const House house = test::small_house({"span.length=3 h"});
  const auto without = test::run_whole(house);
  REQUIRE(without->shared().slots.size() == 2);
  const auto same = [&](const std::string& how) {
    CAPTURE(how);
    auto store = std::make_shared<record::FieldFiles>(folder.path);
    const auto run = test::run_whole(house, 2, std::make_shared<Building>(house, store));
    CHECK(run->engine().state_hash() == without->engine().state_hash());
    CHECK(run->engine().events() == without->engine().events());
    CHECK(run->frames().series == without->frames().series);
    CHECK(run->frames().dry_s == without->frames().dry_s);
    for (const std::uint64_t key : without->shared().slots) {
      const auto devices = DeviceState::from_key(key, house.fans.size(), house.openings.size());
      CHECK(field_bytes(run->airflow().regime(devices).field) ==
            field_bytes(without->airflow().regime(devices).field));
    }
  };
  same("cold");
  std::vector<fs::path> kept;
  for (const auto& entry : fs::directory_iterator(folder.path)) kept.push_back(entry.path());
  REQUIRE(kept.size() == 2);
  same("warm");
  for (const auto& path : kept) fs::resize_file(path, fs::file_size(path) / 2);
  same("cut");
  for (const auto& path : kept) CHECK(fs::file_size(path) > 10'000);  // kept anew
}
