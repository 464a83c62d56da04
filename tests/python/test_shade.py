"""The table of shade and vents: the program's own numbers and choice."""
import dataclasses
import json
import os
import pickle
import re
import subprocess
from xml.etree import ElementTree

import pandas
import pytest
from conftest import DEMO, QUICK

import mistwright
from mistwright import Engine, ShadeRow, shade_table

SETTINGS = [word for key, value in QUICK.items() for word in ("--set", f"{key}={value}")]
# The program's name of a number; ours; and what lies between the two.
NUMBERS = [("cloth", "shade_fraction", 0), ("hottest_air_c", "hottest_air_K", 273.15),
           ("hottest_hour", "hottest_hour_h", 0), ("hottest_leaf_c", "hottest_leaf_K", 273.15),
           ("wet_bulb_c", "wet_bulb_K", 273.15), ("driest_air_pa", "driest_air_Pa", 0),
           ("light_mol_m2", "light_mol_per_m2", 0), ("mean_dry_s", "mean_dry_s", 0),
           ("worst_dry_s", "worst_dry_s", 0), ("water_kg", "water_kg", 0),
           ("air_changes_h", "air_changes_per_h", 0)]


def program(*words):
    return subprocess.run([os.environ["MISTWRIGHT_BIN"], "shade", str(DEMO), *SETTINGS, *words],
                          check=True, capture_output=True, text=True).stdout


@pytest.fixture(scope="module")
def table(scenario):
    return shade_table(scenario.house(), threads=2, keep_records=True)


def test_the_table_is_the_one_that_the_program_prints(table):
    told = json.loads(program("--json"))
    assert table.house_name == told["house"] and len(table) == len(told["rows"]) == 16
    for row, printed in zip(table, told["rows"]):
        assert row.air == printed["air"]
        for theirs, ours, between in NUMBERS:
            assert getattr(row, ours) - between == printed[theirs], (row.words, ours)
    numbers = {field.name for field in dataclasses.fields(ShadeRow)} - {"air", "shut"}
    assert {ours for _, ours, _ in NUMBERS} == numbers


def test_the_table_recommends_what_the_program_recommends(table):
    (best,) = [row for row in json.loads(program("--json"))["rows"] if row["best"]]
    assert (table.best.shade_fraction, table.best.air) == (best["cloth"], best["air"])
    assert any(row is table.best for row in table.rows)
    assert table.findings.startswith(f"{table.best.words}. ")


def test_the_words_are_those_that_the_program_prints(table):
    printed = program()
    assert str(table) + "\n" == printed
    lines = re.findall(r"^(\d+) % +(.{19}) +([\d.]+) \(\d+\) +([\d.]+) \(\d+\)", printed, re.M)
    assert [(float(cloth), air.strip(), float(hot), float(leaf)) for cloth, air, hot, leaf in lines] \
        == [(100 * row.shade_fraction, row.air, round(row.hottest_air_K - 273.15, 1),
             round(row.hottest_leaf_K - 273.15, 1)) for row in table]


def test_the_limits_are_those_of_the_choice(table):
    fit = [row for row in table if not row.shut and row.hottest_leaf_K <= table.hottest_leaf_limit_K
           and row.light_mol_per_m2 >= table.least_light_mol_per_m2]
    assert 0 < len(fit) < len(table) - 4
    assert table.best is min(fit, key=lambda row: row.mean_dry_s)
    assert table.least_light_mol_per_m2 < table.most_light_mol_per_m2


def test_a_house_without_a_good_row_has_no_best(scenario):
    night = scenario.change({"span.start": "2025-06-03T00:00:00", "span.length": "30 min"})
    table = shade_table(night.house())
    assert table.best is None and table.findings.startswith("none of these")
    assert "font-weight:bold" not in table._repr_html_()


def test_a_row_is_the_run_of_that_house(scenario, table):
    """The fan's stage is the house as described, under the row's cloth."""
    at = next(i for i, row in enumerate(table) if row.words == "50 % cloth, fan above 27 degC")
    run = Engine(scenario.change({"house.shade_cloth": "50 %"}).house()).run()
    assert len(table.records) == len(table)
    assert table.records[at] == run
    assert [record for record in table.records if record == run] == [table.records[at]]
    assert table.rows[at].hottest_leaf_K == run["series/hottest_leaf_temperature"].max()


def test_records_are_kept_only_when_asked_for(scenario, table):
    alone = shade_table(scenario.house())
    assert alone.records == () and alone.rows == table.rows


def test_threads_are_counted(scenario):
    with pytest.raises(ValueError, match="threads"):
        shade_table(scenario.house(), threads=0)


def test_options_go_by_name(scenario):
    with pytest.raises(TypeError):
        shade_table(scenario.house(), 2)


def test_progress_rises_to_one_and_names_the_row(scenario, table):
    told = []
    shade_table(scenario.house(), progress=lambda share, doing: told.append((share, doing)))
    shares = [share for share, _ in told]
    assert shares[0] == 0.0 and shares[-1] == 1.0 and shares == sorted(shares)
    assert told[0][1] == "0 % cloth, vents shut"
    assert 3 < len({doing for _, doing in told[:-1]} & {row.words for row in table})


def test_a_table_survives_a_pickle(table):
    again = pickle.loads(pickle.dumps(table))
    assert again == table
    assert any(row is again.best for row in again)
    assert again._repr_html_() == table._repr_html_()


def test_rows_are_values(table):
    row = table.rows[0]
    with pytest.raises(dataclasses.FrozenInstanceError):
        row.water_kg = 0.0
    assert ShadeRow(**dataclasses.asdict(row)) == row
    assert len(set(table.rows)) == len(table)


def test_a_data_frame_takes_the_rows_as_they_are(table):
    frame = pandas.DataFrame(table.rows)
    assert list(frame.columns) == [field.name for field in dataclasses.fields(ShadeRow)]
    assert frame["mean_dry_s"].tolist() == [row.mean_dry_s for row in table]


def test_a_notebook_shows_every_row_and_the_best_one(table):
    shown = ElementTree.fromstring(table._repr_html_().replace("<br>", "<br/>")
                                   .replace("&nbsp;", " "))
    body = shown.findall(".//tbody/tr")
    assert len(body) == len(table)
    for line, row in zip(body, table):
        cells = ["".join(cell.itertext()) for cell in line]
        celsius = row.hottest_leaf_K - 273.15
        assert cells[0] == f"{100 * row.shade_fraction:.0f} %" and cells[1][:4] == row.air[:4]
        assert cells[3].startswith(f"{celsius:.1f} (")
        assert cells[7] == f"{row.mean_dry_s / 60:.0f}" and cells[8] == f"{row.worst_dry_s / 60:.0f}"
        assert (cells[-1] == "best") == (row is table.best) == ("bold" in line.get("style", ""))
    assert "".join(shown.find("figcaption").itertext()).startswith(table.house_name)


def test_a_name_cannot_become_markup(scenario):
    named = scenario.change({"name": "<b>&", "span.length": "5 min"})
    assert "<strong>&lt;b&gt;&amp;</strong>" in shade_table(named.house())._repr_html_()


def test_every_number_says_its_unit():
    units = {"K": "[K]", "h": "[h]", "Pa": "[Pa]", "m2": "[mol m-2]", "s": "[s]", "kg": "[kg]",
             "fraction": "[1]"}
    for field in dataclasses.fields(ShadeRow):
        if field.type == "float":
            unit = "[h-1]" if field.name.endswith("_per_h") else units[field.name.split("_")[-1]]
            assert f"{field.name} {unit}: " in " ".join(ShadeRow.__doc__.split()), field.name
    assert mistwright.shade_table.__doc__.startswith("The house under four cloths")
