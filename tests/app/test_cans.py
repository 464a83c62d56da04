"""Catch cups on the command line: where they stand, what is told, and every kind of bad readings."""
import json
import re

import pytest

from test_cli import ROOT, call
from test_files import demo_with

DEMO = ROOT / "scenarios" / "demo.toml"
QUICK = ["--set", "numerics.airflow=jets", "--set", "numerics.parcels_per_class=50",
         "--set", "numerics.size_classes=12", "--set", "numerics.bench_cell=0.3 m", "-q"]


def cans(*words, timeout=120, **more):
    return call("cans", str(DEMO), *QUICK, *words, timeout=timeout, **more)


@pytest.fixture(scope="module")
def plan():
    answer = cans("--bursts", "30", "--json")
    assert answer.returncode == 0, answer.stderr
    return json.loads(answer.stdout)


def readings(plan, factor=lambda cup: 1.0, table=0):
    rows = [f"{cup['cup']},{cup['ml'] * factor(cup['cup']):.6f}" for cup in plan["tables"][table]["cups"]]
    return "\n".join(["# read at noon", "cup,reading [mL]", *rows]) + "\n"


def judged(tmp_path, text, *words):
    path = tmp_path / "cups.csv"
    path.write_text(text)
    answer = cans("--bursts", "30", "--readings", str(path), "--json", *words)
    assert answer.returncode == 0, answer.stdout + answer.stderr
    return json.loads(answer.stdout)["judged"]


def test_cups_stand_in_a_grid_on_both_benches_and_are_told_with_a_sketch():
    answer = cans("--bursts", "30")
    assert answer.returncode == 0 and answer.stderr == ""
    text = answer.stdout
    # Benches of 3.6 m by 1.2 m: eight columns 45 cm apart, three rows 40 cm apart.
    assert "   front  |  C1  C2  C3  C4  C5  C6  C7  C8  |  back\n" in text
    assert "   front  |  F1  F2  F3  F4  F5  F6  F7  F8  |  back\n" in text
    flat = " ".join(text.split())
    assert "Columns 1 to 8 stand 22.5, 67.5, 112.5" in flat and "20.0, 60.0, 100.0 cm (7.9, 23.6, 39.4 in)" in flat
    assert "30 bursts of each zone" in flat and "`benches` 6 s" in flat
    assert "After 30 bursts, fan off" in text and "After 30 bursts, fan on" in text
    assert "stand clear of the spray while it runs" in flat and "do not breathe it" in flat
    assert "common practice" in flat and "our proposal" in flat
    assert max(map(len, text.splitlines())) <= 100


def test_the_answer_for_programs_holds_together(plan):
    assert [cup["cup"] for cup in plan["places"]][:2] == ["A1", "A2"] and len(plan["places"]) == 48
    assert [table["fans_on"] for table in plan["tables"]] == [False, True]
    mouth_m2 = 3.141592653589793 * 0.04 ** 2
    for table in plan["tables"]:
        for cup in table["cups"]:
            assert cup["ml_low"] <= cup["ml"] <= cup["ml_high"]
            assert cup["ml"] == pytest.approx(cup["mm"] * mouth_m2 * 1000)
        for even in table["even"]:
            for over in ("cups", "whole"):
                assert even[over]["cu"] <= 1 and 0 <= even[over]["driest_tenth"] <= even[over]["du"] <= 1


def test_cu_and_du_of_a_bench_follow_from_its_cups(plan):
    cups = [cup["ml"] for cup in plan["tables"][0]["cups"][:24]]
    mean = sum(cups) / 24
    even = plan["tables"][0]["even"][0]["cups"]
    assert even["cu"] == pytest.approx(1 - sum(abs(ml - mean) for ml in cups) / 24 / mean)
    assert even["du"] == pytest.approx(sum(sorted(cups)[:6]) / 6 / mean)
    assert even["variation"] == pytest.approx((sum((ml - mean) ** 2 for ml in cups) / 23) ** 0.5 / mean)


def test_one_bench_and_cups_of_a_measure_in_inches():
    answer = cans("--bench", "west", "--cups", "12", "--cup-diameter", "3 in", "--bursts", "10", "--json")
    assert answer.returncode == 0, answer.stdout
    told = json.loads(answer.stdout)
    assert len(told["places"]) == 12 and {cup["bench"] for cup in told["places"]} == {"west"}
    assert told["cup_diameter_m"] == pytest.approx(0.0762)


def test_what_was_expected_is_judged_sound(plan, tmp_path):
    answer = judged(tmp_path, readings(plan))
    assert answer["total"] == pytest.approx(1, abs=1e-5)
    assert answer["too_little"] == answer["too_much"] == 0 and answer["hints"] == []
    assert answer["measured"]["cu"] == pytest.approx(answer["expected"]["cu"], abs=1e-5)


def test_depths_and_volumes_and_other_separators_are_read_alike(plan, tmp_path):
    depths = "cup;reading\n" + "".join(f"{cup['cup'].lower()}; {cup['mm']:.6f} mm\n"
                                      for cup in plan["tables"][0]["cups"])
    assert judged(tmp_path, depths)["total"] == pytest.approx(1, abs=1e-5)


def test_cups_with_the_fans_on_are_judged_against_fans_on(plan, tmp_path):
    text = readings(plan, table=1)
    assert judged(tmp_path, text, "--fans-on")["hints"] == []
    off = judged(tmp_path, text)
    assert off["too_little"] + off["too_much"] > 0


def test_a_few_readings_name_what_is_missing(plan, tmp_path):
    answer = judged(tmp_path, "\n".join(readings(plan).splitlines()[:12]))
    assert len(answer["cups"]) == 10 and len(answer["missing"]) == 38


def test_one_cup_alone_says_nothing_of_evenness(plan, tmp_path):
    text = "\n".join(readings(plan).splitlines()[:3])
    answer = judged(tmp_path, text)
    assert answer["measured"] is None and answer["expected"] is None and len(answer["cups"]) == 1
    words = cans("--bursts", "30", "--readings", str(tmp_path / "cups.csv")).stdout
    assert "one cup tells nothing of how even the mist is" in words
    assert "CU 100 %" not in words and "measured " not in words


def test_an_empty_corner_is_told_with_its_range(plan, tmp_path):
    path = tmp_path / "cups.csv"
    path.write_text(readings(plan, lambda cup: 0.0 if cup == "A1" else 1.0))
    answer = cans("--bursts", "30", "--readings", str(path))
    assert answer.returncode == 0
    assert re.search(r"^A1 +0\.0  [\d.]+ \(\d+ to \d+\) +too little$", answer.stdout, re.M), answer.stdout


BAD = [
    ("", "E0801", None, "has no heading line"),
    ("cup,reading [mL]\n", "E0801", None, "has no readings"),
    ("cup,amount\nA1,3\n", "E0801", (1, 1), "no column `reading`"),
    ("cup,reading [psi]\nA1,3\n", "E0803", (1, 5), "no unit for a cup's reading"),
    ("cup,reading\nA1,3\n", "E0803", (2, 4), "`3` has no unit"),
    ("cup,reading [mL]\nA1,3,2\n", "E0802", (2, 6), "3 columns, the heading 2"),
    ("cup,reading [mL]\nA11,3\n", "E0804", (2, 1), "there is no cup `A11`"),
    ("cup,reading [mL]\nA1,3\nB2,4\na1,5\n", "E0805", (4, 1), "cup `A1` is read twice"),
    ("cup,reading\nA1,half full\n", "E0302", (2, 4), "does not begin with a number"),
    ("cup,reading\nA1,3 degC\n", "E0305", (2, 4), "must be a volume"),
    ("cup,reading [mL]\nA1,-3\n", "E0806", (2, 4), "less than nothing"),
    ("cup,reading [mL]\nA1,9 L\n", "E0806", (2, 4), "deep in this cup"),
    ("cup,cup,reading [mL]\nA1,A2,3\n", "E0811", (1, 5), "a second column `cup`"),
    ("cup,reading [mL],reading [mL]\nA1,3,4\n", "E0811", (1, 18), "a second column `reading`"),
    ("cup,reading [mL]\nA1,nan\n", "E0302", (2, 4), "does not begin with a number"),
]


MEANT = [
    ("cup,reading\nA1,12 ml\n", "did you mean `mL`?"),
    ("cup,reading [ml]\nA1,12\n", "did you mean `mL`?"),
    ("cup,reading [mL]\nA1,12,5\n", "a decimal comma is not read: write 12.5"),
    ("cup,reading\nA1,12,5 mL\n", "a decimal comma is not read: write 12.5 mL"),
    ("cup;reading [mL]\nA1;12,5\n", 'write "12.5"'),
    ("cup;reading\nA1;12,5 mL\n", 'write "12.5 mL"'),
]


@pytest.mark.parametrize("text, says", MEANT, ids=range(len(MEANT)))
def test_what_a_reading_means_is_proposed(tmp_path, text, says):
    (tmp_path / "cups.csv").write_text(text)
    answer = cans("--bursts", "30", "--readings", "cups.csv", cwd=tmp_path)
    assert answer.returncode == 3 and f"\nhelp: {says}\n" in answer.stderr, answer.stderr


@pytest.mark.parametrize("text, code, place, says", BAD, ids=range(len(BAD)))
def test_bad_readings_are_told_with_line_and_caret(tmp_path, text, code, place, says):
    (tmp_path / "cups.csv").write_text(text)
    answer = cans("--bursts", "30", "--readings", "cups.csv", cwd=tmp_path)
    assert answer.returncode == 3 and answer.stdout == ""
    assert answer.stderr.startswith(f"error[{code}]: ") and says in answer.stderr, answer.stderr
    assert "\nhelp: " in answer.stderr
    if place:
        assert f"cups.csv:{place[0]}:{place[1]}\n" in answer.stderr
        lines = answer.stderr.splitlines()
        assert any(line.split("|")[-1].strip().startswith("^") for line in lines if "|" in line)


def test_a_wrong_cup_names_the_nearest(tmp_path):
    path = tmp_path / "cups.csv"
    path.write_text("cup,reading [mL]\nB33,3\n")
    assert "the nearest is `B3`; cups run from A1 to F8" in cans("--bursts", "9", "--readings", str(path)).stderr


def test_all_faults_of_a_file_are_told_at_once(tmp_path):
    path = tmp_path / "cups.csv"
    path.write_text("cup,reading\nA1,x\nQ,3 mL\nB1,3\n")
    assert "3 errors" in cans("--bursts", "9", "--readings", str(path)).stderr


def test_a_remark_may_stand_after_blanks(plan, tmp_path):
    text = readings(plan).replace("# read at noon\n", "  # read at noon\n\t# by hand\n")
    assert judged(tmp_path, text)["total"] == pytest.approx(1, abs=1e-5)


def test_no_file_is_file_trouble(tmp_path):
    answer = cans("--bursts", "9", "--readings", str(tmp_path / "none.csv"))
    assert answer.returncode == 4 and "none.csv" in answer.stderr


@pytest.mark.parametrize("words, says", [
    (["--bench", "est"], "the nearest is `east`"),
    (["--readings", "cups.csv"], "without the bursts"),
    (["--cups", "400", "--cup-diameter", "20 cm"], "do not fit on bench `east`"),
    (["--cup-diameter", "3 psi"], "must be a length"),
    (["--cup-diameter", "3 m"], "out of range"),
])
def test_what_the_options_cannot_mean_is_refused(words, says):
    answer = cans(*words)
    assert answer.returncode == 3 and says in answer.stderr, answer.stderr


def test_fans_on_is_refused_without_readings():
    assert cans("--fans-on").returncode == 2


def test_a_house_whose_clock_opens_nothing_has_nothing_to_catch(tmp_path):
    text = DEMO.read_text(encoding="utf-8")
    before, after = text.split("[[programme]]", 1)
    house = demo_with(tmp_path, "[[programme]]" + after[:after.index("\n[") + 1], "")
    assert house.read_text(encoding="utf-8").startswith(before)
    answer = call("cans", "house.toml", cwd=tmp_path, timeout=60)
    assert answer.returncode == 3 and answer.stdout == ""
    assert "\nerror[E0812]: no programme opens a zone" in answer.stderr, answer.stderr
