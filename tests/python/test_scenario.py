"""Scenario and House: reading, changing, and errors that say where."""
import datetime
import json
import os
import pickle
import subprocess

import pytest
from conftest import DEMO

import mistwright
from mistwright import Scenario, ScenarioError


def text_with(old, new):
    text = DEMO.read_text(encoding="utf-8")
    assert old in text
    return text.replace(old, new)


def test_the_house_is_the_one_described(scenario):
    house = scenario.house()
    assert house.name == "Community garden hoop house"
    assert (house.length_m, house.width_m) == (7.2, 3.6)
    assert (house.eave_height_m, house.ridge_height_m) == (1.0, 2.4)
    assert house.benches == ("east", "west")
    assert house.bench_area_m2 == pytest.approx(2 * 3.6 * 1.2, rel=1e-12)
    assert house.heads == tuple(f"{bench} {n}" for bench in ("east", "west") for n in (1, 2, 3))
    assert house.fans == ("exhaust",) and house.vents == ("side louvres",)
    assert house.valves == ("benches",) and house.head_types == ("medium mist",)
    assert house.span_s == 7200.0
    # 400 cuttings a square metre on 8.64 m2, with two to four leaves each.
    assert house.leaves == pytest.approx(400 * 8.64 * 3, rel=0.01)


def test_a_house_cannot_be_changed(scenario):
    with pytest.raises(AttributeError):
        scenario.house().length_m = 9.0


def test_a_change_makes_another_scenario(scenario):
    before = scenario.changes
    after = scenario.change({"house.length": "8 m"}, **{"house.width": "4 m"})
    assert scenario.changes == before
    assert after.changes == (*before, "house.length=8 m", "house.width=4 m")
    assert (after.house().length_m, after.house().width_m) == (8.0, 4.0)
    assert scenario.house().length_m == 7.2
    assert after.text == scenario.text


@pytest.mark.parametrize("key, value, told", [
    ("house.shade_cloth", "30 %", "house.shade_cloth=30 %"),
    ("house.shade_cloth", 0.3, "house.shade_cloth=0.3"),
    ("fan.exhaust.on_above", "30 degC", "fan.exhaust.on_above=30 degC"),
    ("head_type.medium mist.dv50", "20 um", 'head_type."medium mist".dv50=20 um'),
    ("crop.leaves", [2, 3], "crop.leaves=[2, 3]"),
    ("span.start", datetime.datetime(2025, 6, 4, 9), "span.start=2025-06-04T09:00:00"),
    ("span.start", datetime.date(2025, 6, 4), "span.start=2025-06-04"),
    ("numerics.uniform_flow", True, "numerics.uniform_flow=true"),
    ("programme.bands", [{"from": datetime.time(7), "to": datetime.time(19), "burst": "5 s",
                          "every": "8 min"}],
     'programme.bands=[{ from = 07:00:00, to = 19:00:00, burst = "5 s", every = "8 min" }]'),
])
def test_a_change_takes_what_the_program_takes(scenario, key, value, told):
    changed = scenario.change({key: value})
    assert changed.changes[-1] == told
    assert not [p for p in changed.problems() if p.severity == "error"]
    changed.house()


def test_a_change_of_one_list_item_leaves_the_others(scenario):
    shifted = scenario.change({"bench.east.height": "0.9 m"})
    assert shifted.house().bench_area_m2 == scenario.house().bench_area_m2
    with pytest.raises(ScenarioError, match="unknown key `heigth`"):
        scenario.change({"bench.east.heigth": "0.9 m"}).house()


@pytest.mark.parametrize("wrong", [object(), None, 1j])
def test_a_change_to_something_else_is_refused(scenario, wrong):
    with pytest.raises(TypeError, match="give text with a unit"):
        scenario.change({"house.length": wrong})


def test_a_change_cannot_smuggle_in_a_second_line(scenario):
    changed = scenario.change({"note": "one\nname = \"two\""})
    assert changed.house().note == "one\nname = \"two\""
    assert changed.house().name == "Community garden hoop house"


def test_an_error_says_where_and_what_would_be_right():
    text = text_with('length = "7.2 m"', 'length = "7.2 lb"')
    line = text.split("\n").index('length = "7.2 lb"') + 1
    with pytest.raises(ScenarioError) as caught:
        Scenario.from_text(text, name="mine.toml").house()
    (problem,) = caught.value.problems
    assert (problem.file, problem.line, problem.column) == ("mine.toml", line, 15)
    assert problem.key == "house.length" and problem.severity == "error"
    assert problem.problem == "`length` must be a length, but `lb` is a mass"
    assert "m, cm, mm, ft, in" in problem.suggestion
    printed = str(caught.value)
    assert f"mine.toml:{line}:15" in printed and "^^" in printed
    assert isinstance(caught.value, mistwright.Error)


def test_all_errors_of_a_file_come_at_once():
    text = text_with('length = "7.2 m"', 'lenght = "7.2 m"').replace('"60 L/h"', '"60 degC"')
    with pytest.raises(ScenarioError) as caught:
        Scenario.from_text(text).house()
    keys = {problem.key for problem in caught.value.errors}
    assert {"house.lenght", "head_type.\"medium mist\".flow"} <= keys
    lines = [problem.line for problem in caught.value.errors if problem.line]
    assert len(set(lines)) >= 2


def test_an_error_in_a_change_names_the_change(scenario):
    with pytest.raises(ScenarioError) as caught:
        scenario.change({"house.shade_cloth": "30 lb"}).house()
    (problem,) = caught.value.problems
    assert (problem.file, problem.key) == ("change", "house.shade_cloth")


def test_an_error_within_a_list_knows_its_table():
    with pytest.raises(ScenarioError) as caught:
        Scenario.from_text(text_with('burst = "6 s"', 'burst = "6 kg"')).house()
    assert [p.key for p in caught.value.problems] == ["programme.burst"]


def test_errors_read_as_the_program_prints_them(tmp_path):
    bad = tmp_path / "bad.toml"
    bad.write_text(text_with('width = "3.6 m"', 'width = "3.6 kg"'), encoding="utf-8")
    told = subprocess.run([os.environ["MISTWRIGHT_BIN"], "check", str(bad), "--json"],
                          capture_output=True, text=True, check=False)
    expected = json.loads(told.stdout)["problems"]
    printed = subprocess.run([os.environ["MISTWRIGHT_BIN"], "check", str(bad)],
                             capture_output=True, text=True, check=False).stderr
    with pytest.raises(ScenarioError) as caught:
        Scenario.load(bad).house()
    problems = caught.value.problems
    assert [p.code for p in problems] == [p["code"] for p in expected]
    assert [p.problem for p in problems] == [p["message"] for p in expected]
    for problem in problems:
        assert problem.text.strip() in printed


def test_an_error_survives_a_pickle(scenario):
    with pytest.raises(ScenarioError) as caught:
        scenario.change({"house.length": "1 kg"}).house()
    again = pickle.loads(pickle.dumps(caught.value))
    assert str(again) == str(caught.value) and again.problems == caught.value.problems


def test_a_missing_file_is_a_scenario_error(tmp_path):
    with pytest.raises(ScenarioError, match="nowhere.toml"):
        Scenario.load(tmp_path / "nowhere.toml")


def test_problems_lists_what_was_assumed(scenario):
    problems = scenario.problems()
    assert {p.severity for p in problems} == {"assumed"}
    assumed = scenario.house().assumed
    assert len(problems) == len(assumed) > 20
    exponent = next(a for a in assumed if a.key.startswith("head_type.flow_exponent"))
    assert (exponent.value, exponent.low, exponent.high) == ("0.5", "0.36", "0.55")
    assert any("flow_exponent" in p.key and "0.36 to 0.55" in p.problem for p in problems)


def test_problems_shows_errors_without_raising(scenario):
    bad = scenario.change({"house.shade_cloth": "30 lb"})
    assert [p.severity for p in bad.problems()] == ["error"]


def test_files_beside_a_scenario_are_found(tmp_path):
    head = 'schema = 1\nname = "medium mist"\nflow = "60 L/h"\npressure = "2.8 bar"\n' \
           'dv50 = "150 um"\nwetted_diameter = "1.8 m"\n'
    (tmp_path / "head.toml").write_text(head, encoding="utf-8")
    text = DEMO.read_text(encoding="utf-8")
    start, end = text.index('[head_type."medium mist"]'), text.index("# The bucket stood")
    text = text[:start] + '[head_type."medium mist"]\nfile = "head.toml"\n\n' + text[end:]
    assert Scenario.from_text(text, folder=str(tmp_path)).house().head_types == ("medium mist",)
    (tmp_path / "house.toml").write_text(text, encoding="utf-8")
    assert Scenario.load(tmp_path / "house.toml").house().head_types == ("medium mist",)
    with pytest.raises(ScenarioError):
        Scenario.from_text(text, folder=str(tmp_path / "elsewhere")).house()


def test_scenarios_are_values(scenario):
    again = pickle.loads(pickle.dumps(scenario))
    assert again == scenario and hash(again) == hash(scenario)
    assert scenario != scenario.change({"house.length": "8 m"})
    assert scenario != scenario.text
    house = pickle.loads(pickle.dumps(scenario.house()))
    assert house.scenario == scenario and house.length_m == 7.2


def test_what_follows_may_only_be_named():
    with pytest.raises(TypeError):
        Scenario.from_text("schema = 1", "name.toml")
