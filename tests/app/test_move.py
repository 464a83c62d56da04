"""What moving things would bring, on the command line: its answer, its picture, what it refuses."""
import json
import re
import xml.etree.ElementTree as ElementTree

import pytest

from test_cli import ROOT, call

DEMO = ROOT / "scenarios" / "demo.toml"
QUICK = ["--set", "numerics.airflow=jets", "--set", "numerics.parcels_per_class=50",
         "--set", "numerics.size_classes=12", "--set", "numerics.bench_cell=0.3 m",
         "--set", "numerics.flow_cell=0.3 m", "--set", "span.start=2025-06-03T12:00:00",
         "--set", "span.length=1 h"]


def move(*words, cwd=None, timeout=300):
    return call("move", str(DEMO), *QUICK, *words, cwd=cwd or ROOT, timeout=timeout)


def names(folder):
    return sorted(entry.name for entry in folder.iterdir())


@pytest.fixture(scope="module")
def answer(tmp_path_factory):
    folder = tmp_path_factory.mktemp("move")
    done = move("--json", "--map", "where.svg", cwd=folder)
    assert done.returncode == 0, done.stdout + done.stderr
    assert names(folder) == ["where.svg"]
    return json.loads(done.stdout), (folder / "where.svg").read_text(encoding="utf-8")


def test_each_row_is_set_beside_the_house_as_it_is(answer):
    told, _ = answer
    assert told["map"] == "where.svg" and told["rows"]
    before = told["as_is"]
    for row in told["rows"]:
        assert row["mean_gain_s"] == pytest.approx(before["mean_dry_s"] - row["mean_dry_s"])
        assert row["worst_gain_s"] == pytest.approx(before["worst_dry_s"] - row["worst_dry_s"])
        assert 0 <= row["passing"] <= 1 and row["water_kg"] > 0
        assert row["kind"] in ("head", "heights", "fan", "skirt", "one more")


def test_effects_follow_from_gains_and_noise_and_order_the_rows(answer):
    told, _ = answer

    def effect(row):
        for gain, noise in (("mean_gain_s", "mean_noise_s"), ("worst_gain_s", "worst_noise_s")):
            if abs(row[gain]) > told[noise]:
                return "gain" if row[gain] > 0 else "harm"
        return "cannot tell"

    effects = [row["effect"] for row in told["rows"]]
    assert effects == [effect(row) for row in told["rows"]]
    order = [("gain", "cannot tell", "harm").index(word) for word in effects]
    assert order == sorted(order)
    for word in set(effects):
        gains = [row["mean_gain_s"] for row in told["rows"] if row["effect"] == word]
        assert gains == sorted(gains, reverse=True)


def test_one_more_head_sprays_more_and_leaves_less_pressure(answer):
    told, _ = answer
    more = [row for row in told["rows"] if row["kind"] == "one more"]
    assert more
    for row in more:
        assert row["water_kg"] > told["as_is"]["water_kg"]
        assert row["lowest_pressure_pa"] < told["as_is"]["lowest_pressure_pa"]


def test_what_cannot_be_done_is_left_out_with_its_reason(answer):
    told, _ = answer
    assert sum("airflow passes through skirts" in clause for clause in told["left_out"]) == 2


def test_the_influence_map_covers_the_house_with_shares(answer):
    told, _ = answer
    influence = told["influence"]
    assert len(influence["let_go"]) == len(influence["thrown"]) == len(influence["x_m"]) * len(influence["y_m"])
    assert influence["x_m"][0] < 0.1 and influence["x_m"][-1] > 7.1 and influence["y_m"][-1] > 3.5
    assert max(influence["let_go"]) <= 1 and max(influence["thrown"]) > 0.02


def test_the_picture_is_whole_and_stands_alone(answer):
    told, text = answer
    root = ElementTree.fromstring(text)
    assert root.tag == "{http://www.w3.org/2000/svg}svg" and "script" not in text
    written = " ".join(node.text or "" for node in root.iter("{http://www.w3.org/2000/svg}text"))
    assert "worst place" in written and "driest tenth" in written and "east" in written
    gains = [row for row in told["rows"] if row["effect"] == "gain"][:3]
    for number in range(1, len(gains) + 1):
        assert re.search(rf"\b{number}\b", written)


def test_words_name_the_best_change_and_how_sure_and_what_to_mind():
    done = move("-q")
    assert done.returncode == 0 and done.stderr == ""
    flat = " ".join(done.stdout.split())
    assert "As it is" in flat and "Best" in flat and "drawn anew" in flat
    assert "rings on which such a head throws its water" in flat
    assert "let the pressure off" in flat and "local codes and licensed practice go first" in flat


def test_threads_do_not_change_the_answer(answer):
    told, _ = answer
    other = json.loads(move("--json", "--threads", "1").stdout)
    told = dict(told)
    del told["map"]
    assert other == told


def test_a_picture_that_exists_is_kept(tmp_path):
    (tmp_path / "where.svg").write_text("mine")
    done = move("--map", "where.svg", cwd=tmp_path)
    assert done.returncode == 4 and "where.svg" in done.stderr and "--overwrite" in done.stderr
    assert (tmp_path / "where.svg").read_text() == "mine" and names(tmp_path) == ["where.svg"]


def test_overwrite_replaces_it(tmp_path):
    (tmp_path / "where.svg").write_text("mine")
    done = move("--map", "where.svg", "--overwrite", "-q", cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    assert (tmp_path / "where.svg").read_text().startswith("<svg") and names(tmp_path) == ["where.svg"]


def test_a_folder_that_is_not_there_is_told_before_anything_runs(tmp_path):
    done = move("--map", "no/where.svg", cwd=tmp_path, timeout=20)
    assert done.returncode == 4 and "no" in done.stderr and names(tmp_path) == []


@pytest.mark.parametrize("words, status", [(["--map"], 2), (["--maps", "a.svg"], 2),
                                           (["--set", "house.length=3 psi"], 3)])
def test_bad_words_are_refused(words, status, tmp_path):
    done = move(*words, cwd=tmp_path, timeout=20)
    assert done.returncode == status and done.stdout == "" and done.stderr and names(tmp_path) == []
