"""Catch cups: the program's own places, amounts and judgement."""
import json
import os
import subprocess

import pytest
from conftest import DEMO

from mistwright import Scenario, catch_cups

QUICK = {"numerics.airflow": "jets", "numerics.parcels_per_class": 50, "numerics.size_classes": 12,
         "numerics.bench_cell": "0.3 m"}
SETTINGS = [word for key, value in QUICK.items() for word in ("--set", f"{key}={value}")]


def program(*words):
    return subprocess.run([os.environ["MISTWRIGHT_BIN"], "cans", str(DEMO), *SETTINGS, "--cups", "8", "--bursts",
                           "30", *words], check=True, capture_output=True, text=True).stdout


@pytest.fixture(scope="module")
def house():
    return Scenario.load(DEMO).change(QUICK).house()


@pytest.fixture(scope="module")
def cups(house):
    return catch_cups(house, cups=8, bursts=30, threads=2)


def volumes(cups, factor=lambda name: 1.0, **more):
    return {name: 1e6 * cups.mouth_m2 * cup.depth_m * factor(name)
            for name, cup in cups.expected(**more).items()}


def test_places_and_amounts_are_those_that_the_program_prints(cups):
    told = json.loads(program("--json"))
    assert cups.bursts == told["bursts"] == 30 and cups.worth_reading == told["worth_reading"]
    assert cups.noise_ratio == told["noise"] and len(cups) == len(told["places"])
    assert [(cup.name, cup.bench, cup.along_m, cup.across_m) for cup in cups.cups] == \
        [(cup["cup"], cup["bench"], cup["along_m"], cup["across_m"]) for cup in told["places"]]
    for fans_on, table in enumerate(told["tables"]):
        expected = cups.expected(fans_on=bool(fans_on))
        for cup in table["cups"]:
            ours = expected[cup["cup"]]
            for theirs, depth_m in (("ml", ours.depth_m), ("ml_low", ours.low_m), ("ml_high", ours.high_m)):
                assert 1e6 * cups.mouth_m2 * depth_m == pytest.approx(cup[theirs], rel=1e-12)
        for even in table["even"]:
            ours = cups.evenness(fans_on=bool(fans_on))[even["bench"]]
            assert (ours.christiansen_ratio, ours.low_quarter_ratio, ours.variation_ratio,
                    ours.driest_tenth_ratio) == tuple(even["whole"][name] for name in
                                                      ("cu", "du", "variation", "driest_tenth"))


def test_the_words_are_those_that_the_program_prints(cups):
    assert str(cups) + "\n" == program() == cups.words + "\n"


def test_readings_are_judged_as_the_program_judges_them(cups, tmp_path):
    read = volumes(cups, lambda name: 0.5 if name == "A2" else 1.0)
    path = tmp_path / "cups.csv"
    path.write_text("cup,reading [mL]\n" + "".join(f"{name},{ml!r}\n" for name, ml in read.items()))
    told = json.loads(program("--readings", str(path), "--json"))["judged"]
    judged = cups.judge(read)
    assert judged.too_little == ("A2",) and judged.too_much == () and judged.missing == ()
    assert list(judged.hints) == told["hints"]
    assert judged.total_ratio == pytest.approx(told["total"], rel=1e-12)
    assert judged.measured.christiansen_ratio == pytest.approx(told["measured"]["cu"], rel=1e-9)
    assert str(judged) + "\n" == program("--readings", str(path))


def test_cups_as_expected_are_all_right_with_the_fans_off_or_on(cups):
    for fans_on in (False, True):
        judged = cups.judge(volumes(cups, fans_on=fans_on), fans_on=fans_on)
        assert judged.total_ratio == pytest.approx(1.0) and judged.hints == ()


def test_cups_without_a_reading_are_named(cups):
    read = volumes(cups)
    del read["B1"]
    assert cups.judge(read).missing == ("B1",)


@pytest.mark.parametrize("readings, word", [({"Z9": 1.0}, "no cup `Z9`"), ({}, "no cup was read"),
                                            ({"A1": -1.0}, "A1"), ({"A1": float("nan")}, "A1")])
def test_wrong_readings_are_refused(cups, readings, word):
    with pytest.raises(ValueError, match=word):
        cups.judge(readings)


@pytest.mark.parametrize("choice, word", [({"cups": 3}, "4 to 400"), ({"diameter_m": 0.6}, "0.02 to 0.5"),
                                          ({"bursts": 0}, "bursts"), ({"bench": "north"}, "no bench"),
                                          ({"cups": 400, "diameter_m": 0.5}, "do not fit"),
                                          ({"threads": 0}, "threads")])
def test_a_choice_that_cannot_be_is_refused(house, choice, word):
    with pytest.raises(ValueError, match=word):
        catch_cups(house, **choice)


def test_fans_are_asked_only_of_a_house_that_has_some(cups, house):
    one_bench = catch_cups(house, cups=8, bursts=30, bench="west")
    assert {cup.bench for cup in one_bench.cups} == {"west"}
    with pytest.raises(TypeError):
        cups.expected(True)
