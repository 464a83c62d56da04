#include "sim/house/kept_field.h"

#include <map>
#include <set>

#include "tests/flow/houses.h"
#include "tests/support/catch.h"

using namespace mistwright;

namespace {

/// Keeps in memory and counts.
class Memory final : public FieldStore {
 public:
  std::optional<std::string> load(std::string_view key) noexcept override {
    const auto it = kept.find(std::string(key));
    return it == kept.end() ? std::nullopt : std::optional<std::string>(it->second);
  }
  void save(std::string_view key, std::string_view bytes) noexcept override {
    ++saves;
    kept[std::string(key)] = bytes;
  }

  std::map<std::string, std::string> kept;
  int saves = 0;
};

const std::vector<flow::PortFlow> ports = {{0, 0.35}, {1, -0.4}};
const flow::FieldOptions coarse{.cell_m = 0.5};

}  // namespace

TEST_CASE("house: a field written and read has every bit and is refused when cut or longer",
          "[house][exact]") {
  const auto field = flow::solve_field(test::hoop_house(), ports, 0.01, coarse);
  const std::string bytes = field_bytes(field);
  const auto back = field_of_bytes(bytes);
  REQUIRE(back);
  CHECK(field_bytes(*back) == bytes);
  CHECK(back->grid.fluid == field.grid.fluid);
  CHECK(back->u_m_per_s == field.u_m_per_s);
  CHECK(back->timescale_s == field.timescale_s);
  CHECK(back->iterations == field.iterations);
  CHECK(back->converged == field.converged);
  CHECK(back->sample(1.3, 1.1, 0.9).v_m_per_s == field.sample(1.3, 1.1, 0.9).v_m_per_s);
  for (std::size_t length = 0; length < bytes.size(); length += length < 200 ? 1 : 97)
    REQUIRE_FALSE(field_of_bytes(std::string_view(bytes).substr(0, length)));
  CHECK_FALSE(field_of_bytes(bytes + '\0'));
}

TEST_CASE("house: a field whose arrays do not fit its grid is refused", "[house][input]") {
  const auto sound = flow::solve_field(test::hoop_house(), ports, 0.01, coarse);
  auto field = sound;
  field.sigma_m_per_s.pop_back();
  CHECK_FALSE(field_of_bytes(field_bytes(field)));
  field = sound;
  field.grid.nx += 1;
  CHECK_FALSE(field_of_bytes(field_bytes(field)));
  field = sound;
  field.grid.nx = std::size_t{1} << 62U;
  CHECK_FALSE(field_of_bytes(field_bytes(field)));
  // A length beyond all memory takes none.
  std::string bytes = field_bytes(sound);
  const std::size_t length_of_fluid = 8 + 3 * 8 + 3 * 8;
  bytes.replace(length_of_fluid, 8, 8, '\xff');
  CHECK_FALSE(field_of_bytes(bytes));
}

TEST_CASE("house: a kept field is taken instead of solving and damage is solved anew",
          "[house][law]") {
  Memory store;
  const auto house = test::hoop_house();
  const FieldCase wanted{house, ports, 0.01, coarse};
  const auto solved = kept_field(nullptr, wanted);
  CHECK(field_bytes(kept_field(&store, wanted)) == field_bytes(solved));
  REQUIRE(store.saves == 1);
  CHECK(field_bytes(kept_field(&store, wanted)) == field_bytes(solved));
  CHECK(store.saves == 1);
  // That it came from the store shows when the store holds another.
  auto marked = solved;
  marked.u_m_per_s.front() = 12345.0;
  store.kept.begin()->second = field_bytes(marked);
  CHECK(kept_field(&store, wanted).u_m_per_s.front() == 12345.0);
  store.kept.begin()->second.pop_back();
  CHECK(field_bytes(kept_field(&store, wanted)) == field_bytes(solved));
  CHECK(store.saves == 2);
}

TEST_CASE("house: whatever a field follows from changes its key and a port's name does not",
          "[house][law]") {
  const auto house = test::hoop_house();
  const std::string key = field_key({house, ports, 0.01, coarse});
  std::set<std::string> keys{key};
  std::size_t changes = 0;
  const auto differs = [&](const flow::Enclosure& e, const std::vector<flow::PortFlow>& p,
                           double leakage_m3_per_s, const flow::FieldOptions& o) {
    keys.insert(field_key({e, p, leakage_m3_per_s, o}));
    ++changes;
  };
  const auto with = [&](auto change) {
    flow::Enclosure changed = house;
    changed.boxes.resize(1);
    changed.stirrers.resize(1);
    changed.sheets.resize(1);
    const auto before = changed;
    change(changed);
    CHECK(field_key({changed, ports, 0.01, coarse}) != field_key({before, ports, 0.01, coarse}));
    differs(changed, ports, 0.01, coarse);
  };
  for (double flow::Enclosure::*size_m :
       {&flow::Enclosure::length_m, &flow::Enclosure::width_m, &flow::Enclosure::eave_height_m,
        &flow::Enclosure::ridge_height_m})
    with([&](flow::Enclosure& e) { e.*size_m += 0.01; });
  for (double flow::Box::*edge_m : {&flow::Box::x0_m, &flow::Box::x1_m, &flow::Box::y0_m,
                                    &flow::Box::y1_m, &flow::Box::z0_m, &flow::Box::z1_m})
    with([&](flow::Enclosure& e) { e.boxes[0].*edge_m += 0.01; });
  for (double flow::Sheet::*of_sheet :
       {&flow::Sheet::place_m, &flow::Sheet::low_m, &flow::Sheet::high_m, &flow::Sheet::z0_m,
        &flow::Sheet::z1_m, &flow::Sheet::inward_factor})
    with([&](flow::Enclosure& e) { e.sheets[0].*of_sheet += 0.01; });
  with([](flow::Enclosure& e) { e.sheets[0].axis = 1; });
  for (double flow::Port::*of_port :
       {&flow::Port::along_m, &flow::Port::height_m, &flow::Port::width_m, &flow::Port::tall_m})
    with([&](flow::Enclosure& e) { e.ports[0].*of_port += 0.01; });
  with([](flow::Enclosure& e) { e.ports[0].side = flow::Side::Roof; });
  for (double flow::Stirrer::*of_fan :
       {&flow::Stirrer::x_m, &flow::Stirrer::y_m, &flow::Stirrer::z_m, &flow::Stirrer::bearing_rad,
        &flow::Stirrer::diameter_m, &flow::Stirrer::flow_m3_per_s})
    with([&](flow::Enclosure& e) { e.stirrers[0].*of_fan += 0.01; });
  differs(house, {{0, 0.35}}, 0.01, coarse);
  differs(house, {{0, 0.35}, {1, -0.41}}, 0.01, coarse);
  differs(house, {{1, 0.35}, {0, -0.4}}, 0.01, coarse);
  differs(house, ports, 0.02, coarse);
  differs(house, ports, 0.01, {.cell_m = 0.4});
  differs(house, ports, 0.01, {.cell_m = 0.5, .uniform = true});
  differs(house, ports, 0.01, {.cell_m = 0.5, .background_turbulence_m_per_s = 0.05});
  differs(house, ports, 0.01, {.cell_m = 0.5, .jet_strength_ratio = 0.9});
  CHECK(keys.size() == changes + 1);
  auto renamed = house;
  renamed.ports[0].name += " by another name";
  CHECK(field_key({renamed, ports, 0.01, coarse}) == key);
}
