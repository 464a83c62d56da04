"""What moving things would bring: the program's own numbers and words."""
import dataclasses
import json
import os
import pickle
import subprocess
from xml.etree import ElementTree

import numpy as np
import pytest
from conftest import DEMO

from mistwright import MoveRow, Scenario, move_table

QUICK = {"numerics.airflow": "jets", "numerics.parcels_per_class": 50, "numerics.size_classes": 12,
         "numerics.bench_cell": "0.3 m", "numerics.flow_cell": "0.4 m",
         "span.start": "2025-06-03T12:00:00", "span.length": "1 h"}
SETTINGS = [word for key, value in QUICK.items() for word in ("--set", f"{key}={value}")]
# The program's name of a number, and ours.
NUMBERS = [("mean_dry_s", "mean_dry_s"), ("worst_dry_s", "worst_dry_s"), ("worst_place", "worst_place"),
           ("passing", "passing_fraction"), ("water_kg", "water_kg"),
           ("lowest_pressure_pa", "lowest_pressure_Pa"), ("starved", "starved")]


@pytest.fixture(scope="module")
def table():
    return move_table(Scenario.load(DEMO).change(QUICK).house(), threads=2)


@pytest.fixture(scope="module")
def told(tmp_path_factory):
    folder = tmp_path_factory.mktemp("move")
    printed = subprocess.run([os.environ["MISTWRIGHT_BIN"], "move", str(DEMO), *SETTINGS, "--json", "--map",
                              str(folder / "map.svg")], check=True, capture_output=True, text=True).stdout
    return json.loads(printed), (folder / "map.svg").read_text(encoding="utf-8")


def test_the_table_is_the_one_that_the_program_prints(table, told):
    answer, _ = told
    assert table.house_name == answer["house"] and len(table) == len(answer["rows"]) > 8
    assert list(table.left_out) == answer["left_out"]
    assert (table.mean_noise_s, table.worst_noise_s) == (answer["mean_noise_s"], answer["worst_noise_s"])
    for theirs, ours in NUMBERS:
        assert getattr(table.as_is, ours) == answer["as_is"][theirs]
    for row, printed in zip(table, answer["rows"]):
        assert (row.kind, row.words, row.effect) == (printed["kind"], printed["change"], printed["effect"])
        assert (row.mean_gain_s, row.worst_gain_s) == (printed["mean_gain_s"], printed["worst_gain_s"])
        for theirs, ours in NUMBERS:
            assert getattr(row.result, ours) == printed[theirs], (row.words, ours)


def test_the_map_is_the_one_that_the_program_writes(table, told):
    answer, picture = told
    assert table.picture == picture
    seen, printed = table.influence, answer["influence"]
    assert seen.thrown_fraction.shape == (len(seen.y_m), len(seen.x_m)) == seen.let_go_fraction.shape
    assert np.allclose(seen.thrown_fraction.ravel(), printed["thrown"], rtol=1e-4, atol=1e-12)
    assert np.allclose(seen.let_go_fraction.ravel(), printed["let_go"], rtol=1e-4, atol=1e-12)
    assert seen.misplaced_fraction == printed["misplaced"]
    assert seen.air == printed["air"] and seen.height_m == printed["height_m"]


def test_gains_are_set_beside_the_house_as_it_is(table):
    for row in table:
        assert row.mean_gain_s == pytest.approx(table.as_is.mean_dry_s - row.result.mean_dry_s)
    assert table.findings in " ".join(str(table).split()) or table.findings[:40] in str(table)
    assert table.record["bench/dry_time"].mean() == pytest.approx(table.as_is.mean_dry_s, rel=0.05)


def test_a_notebook_shows_every_change(table):
    shown = ElementTree.fromstring(table._repr_html_().replace("<br>", "<br/>").replace("&nbsp;", " "))
    body = shown.findall(".//tbody/tr")
    assert [line[0].text for line in body] == [row.words for row in table]
    assert [line[1].text for line in body] == [row.effect for row in table]


def test_rows_are_values_and_a_table_survives_a_pickle(table):
    row = table.rows[0]
    with pytest.raises(dataclasses.FrozenInstanceError):
        row.mean_gain_s = 0.0
    assert MoveRow(**{**dataclasses.asdict(row), "result": row.result}) == row
    assert pickle.loads(pickle.dumps(table)) == table


def test_threads_are_counted_and_progress_can_stop_it():
    house = Scenario.load(DEMO).change(QUICK).house()
    with pytest.raises(ValueError, match="threads"):
        move_table(house, threads=0)

    def stop(share, doing):
        raise KeyError(doing)

    with pytest.raises(KeyError):
        move_table(house, progress=stop)
