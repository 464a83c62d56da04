"""A house in weather that never changes, against its balance solved by hand.

The balance below is written from the published relations named beside each term, in their curved
form, for one well-mixed house, and solved by scipy: nothing of the program's own equations, steps
or straight lines is used. From the run it takes what passes through the openings, the light above
the leaves and the speed of the air over the benches.
"""
import json
import math
import re
import subprocess
from functools import cache
from pathlib import Path

import h5py
import numpy as np
import pytest
from scipy.optimize import fsolve

from program import environment

CASES = Path(__file__).resolve().parent
TEXT = (CASES / "steady_house.toml").read_text()
CLOTHS = [0.0, 0.3, 0.5, 0.7]
AIRS = ["vents shut", "vents half open", "vents open", "fan always on"]

# Outside, as tests/cases/steady_weather.csv has it.
OUTSIDE_K, DEW_POINT_K, PRESSURE_PA, WIND_M_S, GLOBAL_W_M2 = 293.15, 283.15, 101325.0, 2.0, 400.0
SIGMA = 5.670374419e-8  # CODATA
LENGTH, WIDTH, EAVE, RIDGE = 7.2, 3.6, 1.0, 2.4
FLOOR, BENCH = LENGTH * WIDTH, 2 * 3.6 * 1.2
COVER_LONGWAVE, COVER_CONDUCTANCE = 0.70, 2200.0
EMISSIVITY, LEAF_EMISSIVITY = 0.93, 0.97


def saturation_pa(temperature_K):
    """Magnus form of WMO-No. 8 (2018), annex 4.B; 0.1 % from 0 to 40 degC."""
    t = temperature_K - 273.15
    return 611.2 * math.exp(17.62 * t / (243.12 + t))


def humidity(vapour_pa):
    return 0.622 * vapour_pa / (PRESSURE_PA - vapour_pa)


def shell():
    """Cover area and volume: half an ellipse on upright sides; its arc by Ramanujan 1914."""
    a, b = WIDTH / 2, RIDGE - EAVE
    h = ((a - b) / (a + b)) ** 2
    arc = math.pi * (a + b) * (1 + 3 * h / (10 + math.sqrt(4 - 3 * h))) / 2
    end = WIDTH * EAVE + math.pi * a * b / 2
    return (arc + 2 * EAVE) * LENGTH + 2 * end, end * LENGTH


def inside_convection(step_K):
    """Turbulent free convection, 1.52 |dT|^(1/3) W/m2/K, the least step 0.3 K (from memory)."""
    return max(1.0, 1.52 * max(0.3, abs(step_K)) ** (1 / 3))


OUTSIDE_CONVECTION = 2.8 + 3.0 * WIND_M_S  # Watmuff et al. 1977 (from memory)


def sky_K(open_fraction):
    """Brunt 1932 with 0.52 and 0.065; under cloth the threads take the sky's place in part, as warm
    as sun (0.9 of it taken up), wind on both sides and long-wave on both sides make them."""
    emissivity = 0.52 + 0.065 * math.sqrt(saturation_pa(DEW_POINT_K) / 100)
    clear = OUTSIDE_K * emissivity**0.25

    def balance(threads):
        return (0.9 * GLOBAL_W_M2 - 2 * OUTSIDE_CONVECTION * (threads - OUTSIDE_K)
                - EMISSIVITY * SIGMA * (threads**4 - clear**4)
                - EMISSIVITY * SIGMA * (threads**4 - OUTSIDE_K**4))

    threads = fsolve(balance, OUTSIDE_K + 10)[0]
    return (open_fraction * clear**4 + (1 - open_fraction) * threads**4) ** 0.25


def leaf_conductance(speed, length, step_K, air_K):
    """Heat from two sides and vapour from one [m/s]: Campbell and Norman 1998, table 7.6 and
    eq. 7.30; forced and free joined by their cubes."""
    molar = PRESSURE_PA / (8.314 * air_K)
    forced, free = 1.4 * math.sqrt(speed / length), (abs(step_K) / length) ** 0.25
    heat = ((0.135 * forced) ** 3 + (0.050 * free) ** 3) ** (1 / 3)
    vapour = ((0.147 * forced) ** 3 + (0.055 * free) ** 3) ** (1 / 3)
    return 2 * heat / molar, vapour / molar


def hand_balance(cloth, light, changes_per_h, air_speed):
    """Steady temperatures and humidity of the house: air, cover, floor, medium, two leaf layers."""
    cover_area, volume = shell()
    sky = sky_K(1 - cloth)
    density = (PRESSURE_PA - 2200) / (287.05 * 298.15)
    flow = density * volume * changes_per_h / 3600  # kg of dry air a second
    cp, latent = 1006 + 0.014 * 1860, 2.4418e6  # moist air at 25 degC, 70 %; ASHRAE 2017 chapter 1
    view_of_sky = 0.5 + 0.5 * FLOOR / cover_area  # level parts see it, upright ones half
    leaf_area = 150 * 3 * 12e-4 * BENCH  # cuttings x leaves x area
    layer_index = leaf_area / BENCH / 2
    shares = [1 - math.exp(-0.65 * layer_index),  # extinction 0.65, common practice
              math.exp(-0.65 * layer_index) - math.exp(-1.3 * layer_index)]
    bare_medium = 1 - sum(shares)
    outside_w = humidity(saturation_pa(DEW_POINT_K))

    def balance(x, wet):
        air, w, cover, floor, medium, *leaves = x
        w *= 1e-3
        # Dew on the cover shuts three quarters of its window (from memory).
        through = COVER_LONGWAVE * (0.25 if wet else 1.0)

        def longwave(one, other, area):
            return EMISSIVITY * SIGMA * area * (one**4 - other**4)

        h_cover = inside_convection(cover - air)
        h_floor, h_medium = inside_convection(floor - air), inside_convection(medium - air)
        dripping = max(0.0, w - humidity(saturation_pa(cover))) * cover_area * h_cover / cp
        # What drips on the floor evaporates there as far as the floor can.
        floor_can = 0.6 * FLOOR * h_floor / cp * (humidity(saturation_pa(floor)) - w)
        from_floor = min(dripping * (1 - BENCH / FLOOR), max(0.0, floor_can))
        # Medium under leaves: three tenths of a free surface, common practice.
        from_medium = 0.3 * BENCH * h_medium / cp * (humidity(saturation_pa(medium)) - w)
        vapour_pa = PRESSURE_PA * w / (0.622 + w)
        heat_from_leaves = vapour_from_leaves = leaves_to_cover = 0.0
        rests = []
        for layer, leaf in enumerate(leaves):
            view = shares[layer] / layer_index
            speed = max(0.03, air_speed) * 0.5**layer
            g_heat, g_vapour = leaf_conductance(speed, 0.05, leaf - air, air)
            sensible = 1010 * density * g_heat * (leaf - air)
            loss = (1 / (1 / g_vapour + 1 / 0.001) * 0.018015 / (8.314 * air)
                    * (saturation_pa(leaf) - vapour_pa))
            seen = ((1 - through) * cover + through * sky) ** 4
            radiation = LEAF_EMISSIVITY * SIGMA * view * (leaf**4 - seen)
            rests.append(0.5 * light * view - radiation - sensible - latent * loss)
            area = leaf_area / 2
            heat_from_leaves += area * sensible
            vapour_from_leaves += area * loss
            leaves_to_cover += area * LEAF_EMISSIVITY * SIGMA * view * (1 - through) * (
                leaf**4 - cover**4)
        bare_floor = FLOOR - BENCH
        from_below = (longwave(floor, cover, bare_floor) + longwave(medium, cover, BENCH * bare_medium))
        floor_to_air = h_floor * FLOOR * (floor - air)
        medium_to_air = h_medium * BENCH * (1 + bare_medium) * (medium - air)
        air_to_cover = h_cover * cover_area * (air - cover)
        through_film = 1 / (1 / OUTSIDE_CONVECTION + 1 / COVER_CONDUCTANCE)
        cover_out = cover_area * (through_film * (cover - OUTSIDE_K)
                                  + (1 - through) * EMISSIVITY * SIGMA * (
                                      view_of_sky * (cover**4 - sky**4)
                                      + (1 - view_of_sky) * (cover**4 - OUTSIDE_K**4)))
        return [
            (flow * cp * (OUTSIDE_K - air) + floor_to_air + medium_to_air + heat_from_leaves
             - air_to_cover) / 100,
            (flow * (outside_w - w) + from_floor + from_medium + vapour_from_leaves - dripping) * 1e4,
            (0.05 * (1 - cloth) * GLOBAL_W_M2 * FLOOR + air_to_cover + (1 - through) * from_below
             + leaves_to_cover + latent * dripping - cover_out) / 100,
            (0.65 * light * bare_floor - floor_to_air - 1.5 * FLOOR * (floor - 287.15)
             - (1 - through) * longwave(floor, cover, bare_floor)
             - through * longwave(floor, sky, bare_floor) - latent * from_floor) / 100,
            (0.8 * bare_medium * light * BENCH - medium_to_air
             - (1 - through) * longwave(medium, cover, BENCH * bare_medium)
             - through * longwave(medium, sky, BENCH * bare_medium) - latent * from_medium) / 100,
            *[rest / 10 for rest in rests],
        ]

    start = [OUTSIDE_K + 5, 10.0, OUTSIDE_K + 2, OUTSIDE_K + 8, OUTSIDE_K + 4,
             OUTSIDE_K + 8, OUTSIDE_K + 6]
    for wet in (True, False):
        solution, _, found, why = fsolve(balance, start, args=(wet,), full_output=True)
        condenses = solution[1] * 1e-3 > humidity(saturation_pa(solution[2]))
        if found == 1 and condenses == wet:
            break
    else:
        pytest.fail(f"no balance by hand: {why}")
    return {"air_K": solution[0], "humidity": solution[1] * 1e-3, "cover_K": solution[2],
            "floor_K": solution[3], "medium_K": solution[4], "leaf_K": solution[5:].mean()}


def without(text, *tables):
    for table in tables:
        text = re.sub(rf"\[\[{table}\]\].*?(?=\n\[)", "", text, flags=re.S)
    return text


def text_for(air):
    if air == "vents shut":
        return without(TEXT, "fan", "vent")
    if air == "fan always on":
        return TEXT
    text = without(TEXT, "fan").replace('with_fan = "exhaust"\n', "")
    return text.replace("discharge_coefficient", 'open_share = "50 %"\ndischarge_coefficient') \
        if air == "vents half open" else text


def said(*words):
    """What the program prints."""
    answer = subprocess.run([environment("MISTWRIGHT_BIN"), *map(str, words)],
                            capture_output=True, text=True, timeout=300, check=False)
    assert answer.returncode == 0, answer.stderr
    return answer.stdout


def bench_air_speed(file):
    """Mean over the benches just above the leaves: of roots, as conductance goes with the root."""
    field = file["flow_0"]
    x, y, z = (field[name][:] for name in "xyz")
    k = np.abs(z - (0.8 + 0.05 + 0.15)).argmin()
    speed = np.sqrt(sum(field[c][:][k] ** 2 for c in "uvw") + 3 * field["sigma"][:][k] ** 2)
    over = np.zeros_like(speed, dtype=bool)
    for low in (0.3, 2.1):
        over |= np.outer((y > low) & (y < low + 1.2), (x > 1.8) & (x < 5.4))
    return np.sqrt(np.maximum(0.03, speed[over])).mean() ** 2


@pytest.fixture(scope="module")
def steady(tmp_path_factory):
    folder = tmp_path_factory.mktemp("steady")
    (folder / "steady_weather.csv").write_text((CASES / "steady_weather.csv").read_text())

    @cache
    def last(air, cloth):
        scenario, results = folder / f"{air}.toml", folder / f"{air} {cloth}.h5"
        scenario.write_text(text_for(air))
        said("run", scenario, "--alone", "-o", results,
             "--set", f"house.shade_cloth={100 * cloth:.0f} %")
        with h5py.File(results) as file:
            series = {name: values[-1] for name, values in file["series"].items()}
            hour_before = file["series/air_temperature"][-13]
            assert abs(series["air_temperature"] - hour_before) < 0.01, "not steady yet"
            series["humidity"] = file["air/humidity_ratio"][-1].mean()
            series["air_speed"] = bench_air_speed(file)
            series["hottest_air"] = file["series/air_temperature"][:].max()
        return series

    return last


@pytest.mark.parametrize("cloth", CLOTHS)
@pytest.mark.parametrize("air", AIRS)
def test_steady_house_meets_the_balance_solved_by_hand(steady, air, cloth):
    """Air within 0.2 K, vapour within 2 %: the relations named above, curved and unsplit."""
    run = steady(air, cloth)
    hand = hand_balance(cloth, run["light_at_leaves"], run["air_changes"], run["air_speed"])
    assert run["air_temperature"] == pytest.approx(hand["air_K"], abs=0.2)
    assert run["humidity"] == pytest.approx(hand["humidity"], rel=0.02)


def full_of_plants(global_W_m2):
    """A glasshouse filled with plants, warm and damp outside: the house that the rule speaks of."""
    start, end = TEXT.index("[[bench]]"), TEXT.index("[medium]")
    bed = ('[[bench]]\nname = "bed"\nx = "0.1 m"\ny = "0.1 m"\nlength = "7.0 m"\nwidth = "3.4 m"\n'
           'height = "0.2 m"\n\n')
    text = TEXT[:start] + bed + TEXT[end:]
    for old, new in [('"single polyethylene"', '"glass"'), ('conductance = "2200 W/m2/K"\n', ""),
                     ('longwave_transmittance = "70 %"\n', ""), ('shade_cloth = "50 %"\n', ""),
                     ('floor_conductance = "1.5 W/m2/K"', 'floor_conductance = "0.05 W/m2/K"'),
                     ('solar_absorptance = "50 %"', 'solar_absorptance = "95 %"'),
                     ('"150 1/m2"', '"800 1/m2"'), ("air_cells_x = 1", "air_cells_x = 8"),
                     ("air_cells_y = 1", "air_cells_y = 2"),
                     ('flow_cell = "0.3 m"', 'flow_cell = "0.15 m"')]:
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    weather = (CASES / "steady_weather.csv").read_text()
    return text, weather.replace(",400,20.0,10.0,", f",{global_W_m2},30.0,24.0,")


@pytest.mark.parametrize("global_W_m2", [200, 400])
def test_air_warms_along_a_fan_house_as_the_ventilation_rule_says(tmp_path, global_W_m2):
    """(1 - E) tau I A_f = U A_c (t_i - t_o) + m c_p (t_exhaust - t_inlet), the form of ASABE EP406,
    with U = 6.2 W/m2/K of single glass (both from memory; the rule is good to a tenth or two). E is
    the share of the light that leaves as vapour, taken from the run."""
    text, weather = full_of_plants(global_W_m2)
    (tmp_path / "full.toml").write_text(text)
    (tmp_path / "steady_weather.csv").write_text(weather)
    said("run", tmp_path / "full.toml", "--alone", "-o", tmp_path / "full.h5")
    with h5py.File(tmp_path / "full.h5") as file:
        rise_K = file["air/air_temperature"][-1].mean(axis=0) - 303.15
        exhaust_w = file["air/humidity_ratio"][-1].mean(axis=0)[-1]
        light, changes = (file[f"series/{name}"][-1] for name in ("light_at_leaves", "air_changes"))
    assert np.all(np.diff(rise_K) > 0), "the air warms all the way from the louvres to the fan"
    cover_area, volume = shell()
    outside_pa = saturation_pa(297.15)
    flow = (PRESSURE_PA - outside_pa) / (287.05 * 303.15) * volume * changes / 3600
    light_W = light * FLOOR
    vapour_share = 2.44e6 * flow * (exhaust_w - humidity(outside_pa)) / light_W
    rule_K = ((1 - vapour_share) * light_W - 6.2 * cover_area * rise_K.mean()) / (flow * 1012)
    assert rise_K[-1] == pytest.approx(rule_K, rel=0.15)


def test_the_table_of_shade_and_vents_has_the_same_houses(steady):
    """Every row of `mistwright shade` against the run of a scenario written by hand."""
    rows = json.loads(said("shade", CASES / "steady_house.toml", "--json"))["rows"]
    assert [(row["cloth"], row["air"]) for row in rows] == [(c, a) for c in CLOTHS for a in AIRS]
    for row in rows:
        run = steady(row["air"], row["cloth"])
        assert row["hottest_air_c"] == pytest.approx(run["hottest_air"] - 273.15, abs=0.02)
        # 2.06 mol of photons in a megajoule of global radiation: Thimijan and Heins 1983, from memory.
        assert row["light_mol_m2"] == pytest.approx(2.06e-6 * 86400 * run["light_at_leaves"], rel=0.01)
        assert row["water_kg"] == 0
    assert sum(row["best"] for row in rows) == 1
