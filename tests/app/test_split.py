"""`mistwright split`: how many zones, which heads in each, through which pipes, in which order."""

import json
import pathlib
import re

import pytest

from test_cli import ROOT, call

SCENARIOS = ROOT / "scenarios"
LARGE = SCENARIOS / "large_house.toml"
WELL = SCENARIOS / "well_nursery.toml"
DEMO = SCENARIOS / "demo.toml"


def split(scenario, *words):
    answer = call("split", str(scenario), "--json", "-q", *words, cwd=ROOT, timeout=120)
    assert answer.returncode == 0, answer.stderr
    return json.loads(answer.stdout)


def each_head_once(answer, count):
    heads = [head for zone in answer["zones"] for head in zone["heads"]]
    assert len(heads) == count and len(set(heads)) == count


def served(answer, least_pa, spread=0.1):
    for zone in answer["zones"]:
        assert zone["lowest_pressure_pa"] >= least_pa
        assert 0 <= zone["flow_spread"] <= spread
        assert 0 < zone["fastest_m_s"] <= 1.5


def test_192_heads_of_50_litres_an_hour_on_24_litres_a_minute_need_seven_zones():
    # Common practice; by hand: at 2.6 bar a head passes 50 sqrt(2.6 / 2.8) = 48.2 L/h, and of 24.8 L/min thirty
    # heads are served: 192 / 30 = 6.4.
    answer = split(LARGE)
    assert len(answer["zones"]) == answer["least_zones"] == 7
    each_head_once(answer, 192)
    served(answer, 2.6e5)
    assert answer["most_flow_m3_s"] * 6e4 == pytest.approx(24.8, abs=0.4)
    # Seven bursts of ten seconds with two between fit in five minutes and not in 75 s.
    assert 75 < answer["round_s"] <= 300 and answer["fits_interval"]


def test_a_round_that_does_not_fit_the_interval_is_told(tmp_path):
    text = LARGE.read_text(encoding="utf-8").replace('every = "5 min"', 'every = "75 s"')
    house = tmp_path / "often.toml"
    house.write_text(text, encoding="utf-8")
    assert not split(house)["fits_interval"]
    words = call("split", str(house), cwd=ROOT).stdout
    assert "DOES NOT FIT" in words


def test_rows_left_whole_take_one_zone_more():
    assert split(LARGE)["whole_row_zones"] == 8
    answer = split(LARGE, "--whole-rows")
    assert len(answer["zones"]) == 8 and not answer["rows_cut"]
    each_head_once(answer, 192)
    for zone in answer["zones"]:
        assert len({head.split()[0] for head in zone["heads"]}) == 1


def test_about_150_heads_on_an_ordinary_nursery_supply_come_to_about_eight_zones(tmp_path):
    # Common practice. 152 heads of 50 L/h on 3.8 bar at rest and an open pipe of 32 L/min.
    text = LARGE.read_text(encoding="utf-8").replace("heads = 24", "heads = 19")
    text = re.sub(r"pump_curve = .*", 'static_pressure = "3.8 bar"\nbucket_volume = "32 L"\nbucket_time = "60 s"', text)
    house = tmp_path / "nursery.toml"
    house.write_text(text, encoding="utf-8")
    answer = split(house)
    each_head_once(answer, 152)
    served(answer, 2.6e5)
    assert 7 <= len(answer["zones"]) <= 9


def test_ten_large_heads_on_a_well_are_split_in_two():
    # Common practice: thirty litres a minute pull such a pump below the heads' pressure, fifteen do not.
    answer = split(WELL)
    assert [len(zone["heads"]) for zone in answer["zones"]] == [5, 5]
    served(answer, 2.4e5)
    assert not answer["rows_cut"] and answer["every_way"]


HOSE_BIB = ('supply.static_pressure="50 psi"', 'supply.bucket_volume="10 gal"', 'supply.bucket_time="60 s"')


def on_a_hose_bib(tmp_path, heads, flow, low):
    """Heads on both benches, 15 m of garden hose of 1/2 in from a bib of 10 gal/min open."""
    text = DEMO.read_text(encoding="utf-8").replace("heads = 3", f"heads = {heads // 2}")
    text = text.replace('flow = "60 L/h"', f'flow = "{flow}"').replace('length = "25 m"', 'length = "15 m"')
    text = text.replace('working_pressure_low = "2.0 bar"', f'working_pressure_low = "{low}"')
    text = text.replace('bucket_at = "hose end"\n', "").replace('diameter = "20 mm"\nmaterial', 'diameter = "12.7 mm"\nmaterial')
    assert "12.7 mm" in text
    house = tmp_path / "house.toml"
    house.write_text(text, encoding="utf-8")
    words = [word for setting in HOSE_BIB for word in ("--set", setting)]
    return split(house, *words)


@pytest.mark.parametrize("heads", [6, 8, 12])
def test_large_heads_on_one_hose_bib_are_split_and_small_ones_hold(tmp_path, heads):
    # Common practice: a few large heads hold on one bib, six and more do not; small ones do. Computed, not counted.
    large = on_a_hose_bib(tmp_path, heads, "180 L/h", "2.4 bar")
    each_head_once(large, heads)
    assert len(large["zones"]) >= 2
    assert max(len(zone["heads"]) for zone in large["zones"]) <= 5
    served(large, 2.4e5)
    small = on_a_hose_bib(tmp_path, heads, "40 L/h", "2.4 bar")
    assert len(small["zones"]) == 1


def test_heads_that_starve_even_alone_are_named_and_nothing_is_planned():
    answer = split(DEMO, "--set", "supply.static_pressure=1 bar")
    assert answer["zones"] == [] and set(answer["alone_too_much"]) == {f"{b} {n}" for b in ("east", "west") for n in (1, 2, 3)}
    words = call("split", str(DEMO), "--set", "supply.static_pressure=1 bar", cwd=ROOT).stdout
    assert "east 1 to 3, west 1 to 3 get too little water even alone" in words


def test_narrower_pipes_of_either_series_are_as_sold():
    metric = {"20 mm", "25 mm", "32 mm", "40 mm", "50 mm", "63 mm"}
    inches = {"1/2 in", "3/4 in", "1 in", "1 1/4 in", "1 1/2 in", "2 in"}
    for words, sold in (((), metric), (("--pipe", "pvc"), inches)):
        answer = split(LARGE, *words)
        assert {zone[kind] for zone in answer["zones"] for kind in ("feed", "lateral")} <= sold


def test_a_tighter_spread_and_a_longer_pause_are_kept():
    answer = split(LARGE, "--flow-spread", "1 %", "--pause", "5 s")
    served(answer, 2.6e5, spread=0.01)
    opens = [zone["opens_after_s"] for zone in answer["zones"]]
    tells = [zone["tell_s"] for zone in answer["zones"]]
    for before, told, after in zip(opens, tells, opens[1:]):
        assert after - before == pytest.approx(told + 5)


@pytest.mark.parametrize("words, told", [
    (("--pause", "2"), "2"),
    (("--pause", "-2 s"), "-2 s"),
    (("--flow-spread", "120 %"), "120 %"),
    (("--pipe", "lead"), "lead"),
])
def test_bad_options_are_told_and_nothing_is_done(words, told):
    answer = call("split", str(DEMO), *words, cwd=ROOT)
    assert answer.returncode != 0 and answer.stdout == ""
    assert told in answer.stderr


def test_words_say_how_many_and_why_first():
    lines = call("split", str(LARGE), cwd=ROOT).stdout.splitlines()
    assert lines[0].startswith("Zones     7 zones do: all 192 heads together ask for 160 L/min (42 gal/min)")
    assert max(len(line) for line in lines) <= 100
    assert any("backflow" in line for line in lines)


def test_the_worked_houses_say_that_they_are_invented():
    for path in (LARGE, WELL):
        assert "Invented" in pathlib.Path(path).read_text(encoding="utf-8")
