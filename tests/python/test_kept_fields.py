"""The store of airflow from Python: its argument, and that no result shows it."""
import warnings

import pytest

from mistwright import Engine, RecordError, shade_table


def kept(folder):
    return sorted(path.name for path in folder.glob("*.field"))


def test_a_store_is_filled_and_seen_in_no_result(scenario, record, tmp_path):
    engine = Engine(scenario.house())
    assert engine.run(store=tmp_path / "store") == record
    names = kept(tmp_path / "store")
    assert names
    assert engine.run(store=str(tmp_path / "store")) == record
    assert engine.run(store=None) == record
    assert kept(tmp_path / "store") == names


def test_left_out_the_program_s_store_serves(scenario, record, tmp_path, monkeypatch):
    monkeypatch.setenv("MISTWRIGHT_STORE", str(tmp_path / "usual"))
    assert Engine(scenario.house()).run(store=None) == record
    assert not (tmp_path / "usual").exists()
    assert Engine(scenario.house()).run() == record
    assert kept(tmp_path / "usual")


def test_a_store_that_cannot_be_used_is_told(scenario, record, tmp_path, monkeypatch):
    (tmp_path / "file").write_text("")
    engine = Engine(scenario.house())
    with pytest.raises(RecordError, match="not a folder|cannot be made"):
        engine.run(store=tmp_path / "file")
    with pytest.raises(TypeError):
        engine.run(store=3)
    monkeypatch.setenv("MISTWRIGHT_STORE", str(tmp_path / "file"))
    with pytest.warns(RuntimeWarning, match="airflow is not kept"):
        assert engine.run() == record
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        engine.run(store=None)


def test_the_table_takes_a_store(scenario, tmp_path):
    house = scenario.change({"span.length": "20 min"}).house()
    first = shade_table(house, store=tmp_path)
    assert len(kept(tmp_path)) >= 4
    assert shade_table(house, store=tmp_path) == first == shade_table(house, store=None)
