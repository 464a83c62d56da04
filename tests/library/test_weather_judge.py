"""Typical-year weather judged from outside: another parser sums the same files, and bursts keep the
wall clock over the change to summer time."""

import csv
import json
import subprocess
from pathlib import Path

import h5py
import pytest

from program import environment

ROOT = Path(__file__).resolve().parents[2]
WEEK = ROOT / "scenarios" / "typical_year_week.toml"
JULY = ROOT / "tests" / "reference" / "weather"


def outside(scenario, *settings):
    command = [environment("MISTWRIGHT_BIN"), "check", str(scenario), "--json"]
    for setting in settings:
        command += ["--set", setting]
    done = subprocess.run(command, capture_output=True, text=True, timeout=60)
    assert done.returncode == 0, done.stderr + done.stdout
    return json.loads(done.stdout)["outside"]


def hours_of_year():
    """(month, day, hour ending, global Wh/m2, dry bulb degC) of the shipped typical year."""
    lines = (ROOT / "scenarios" / "weather" / "greensboro_typical_year.csv").read_text().splitlines()
    rows = csv.DictReader(line for line in lines if not line.startswith("#"))
    return [(int(r["month"]), int(r["day"]), int(r["hour_ending"]), float(r["global_horizontal_W_m2"]),
             float(r["dry_bulb_degC"])) for r in rows]


def straight_mean(values):
    """Mean of straight lines between values an hour apart."""
    return (sum(values) - 0.5 * (values[0] + values[-1])) / (len(values) - 1)


@pytest.mark.parametrize("month, days", [(1, 31), (4, 30), (7, 31), (10, 31)])
def test_sun_and_mean_temperature_of_a_month_are_those_of_the_file(month, days):
    rows = hours_of_year()
    first = next(i for i, row in enumerate(rows) if row[0] == month)
    # The run is a month of standard time; the row before it ends where it begins.
    start = f"2025-{month:02}-01T{'01' if 3 < month < 11 else '00'}:00:00"
    ours = outside(WEEK, f"span.start={start}", f"span.length={days} d")
    inside = rows[first:first + days * 24]
    temperatures = [row[4] for row in ([rows[first - 1]] + inside)]
    # One look a minute: better than a thousandth in sums.
    assert ours["global_horizontal_j_m2"] / 3600.0 == pytest.approx(sum(row[3] for row in inside), rel=1e-3)
    assert ours["mean_temperature_k"] - 273.15 == pytest.approx(straight_mean(temperatures), abs=1e-3)


@pytest.mark.parametrize("name, skip, date, sun, air", [
    ("tmy3_723170_july.csv", 2, None, 4, 31), ("epw_723170_july.epw", 8, None, 13, 6)])
def test_a_week_of_each_interchange_format_is_read_as_another_parser_reads_it(tmp_path, name, skip, date, sun, air):
    text = WEEK.read_text().replace("weather/greensboro_typical_year.csv", name)
    (tmp_path / "heads").mkdir()
    (tmp_path / "heads/medium_mist.toml").write_text((ROOT / "scenarios/heads/medium_mist.toml").read_text())
    (tmp_path / name).write_bytes((JULY / name).read_bytes())
    (tmp_path / "week.toml").write_text(text)
    with open(JULY / name, newline="", encoding="utf-8") as file:
        rows = list(csv.reader(file))[skip:]
    ours = outside(tmp_path / "week.toml", "span.start=2025-07-08T02:00:00", "span.length=7 d")
    inside = rows[1:1 + 7 * 24]
    assert ours["global_horizontal_j_m2"] / 3600.0 == pytest.approx(sum(float(r[sun]) for r in inside), rel=1e-3)
    assert ours["mean_temperature_k"] - 273.15 == pytest.approx(
        straight_mean([float(r[air]) for r in rows[:1 + 7 * 24]]), abs=1e-3)


def first_bursts(tmp_path, start):
    """Hours from the start of a run of three days at which each day's first burst is told."""
    result = tmp_path / f"{start}.h5"
    done = subprocess.run(
        [environment("MISTWRIGHT_BIN"), "run", str(ROOT / "scenarios" / "typical_year_season.toml"), "--alone", "-q",
         "--set", f"span.start={start}", "--set", "span.length=3 d", "-o", str(result)],
        capture_output=True, text=True, timeout=300)
    assert done.returncode == 0, done.stderr + done.stdout
    with h5py.File(result) as file:
        kinds = file["events/kind"][:]
        words = file["events/kind"].attrs["flag_words"].decode().split("\n")
        hours = file["events/event_time"][:][kinds == words.index("burst_told")] / 3.6e9
    return [hour for before, hour in zip([-24.0, *hours], hours) if hour - before > 6.0]


def test_the_first_burst_keeps_the_wall_clock_when_summer_time_begins_and_ends(tmp_path):
    # 07:00 by the wall clock on each day; 9 March 2025 has 23 hours, 2 November 25.
    assert first_bursts(tmp_path, "2025-03-08") == pytest.approx([7.0, 30.0, 54.0], abs=1e-9)
    assert first_bursts(tmp_path, "2025-11-01") == pytest.approx([7.0, 32.0, 56.0], abs=1e-9)
