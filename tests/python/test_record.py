"""Record and Report: arrays without copies, files, pickles, xarray, notebooks' pictures."""
import gc
import os
import pickle
import re
import subprocess
import sys
import xml.etree.ElementTree as tree

import h5py
import numpy as np
import pytest
import xarray

from mistwright import Record, RecordError, RecordExistsError, Report


def text(value):
    return value.decode() if isinstance(value, bytes) else str(value)


# ---- arrays ------------------------------------------------------------------------------------

def test_reading_a_variable_copies_nothing(record):
    one, two = record["bench/dry_time"], record["bench/dry_time"]
    assert one is not two
    assert one.__array_interface__["data"][0] == two.__array_interface__["data"][0]
    assert np.shares_memory(one, two)
    assert np.shares_memory(one, record.variable("bench/dry_time").values)
    assert not one.flags.owndata


def test_an_array_cannot_be_written_to(record):
    for path in record:
        assert not record[path].flags.writeable, path
    array = record["bench/dry_time"]
    with pytest.raises(ValueError, match="read-only"):
        array[0] = 1.0
    with pytest.raises(ValueError, match="WRITEABLE"):
        array.setflags(write=True)


def test_an_array_keeps_its_record(file):
    record = Record.read(file)
    array = record["leaves/dry_time"]
    assert array.base is record
    before = array.copy()
    del record
    gc.collect()
    rubbish = [np.full_like(before, -1.0) for _ in range(20)]
    assert np.array_equal(array, before) and len(rubbish) == 20


def test_values_are_those_of_the_file(record, file):
    with h5py.File(file) as stored:
        assert tuple(stored) and set(stored) == set(record.groups)
        for path in record:
            assert np.array_equal(record[path], stored[path][()], equal_nan=True), path
            assert record[path].shape == stored[path].shape


def test_variables_are_described_as_in_the_file(record, file):
    with h5py.File(file) as stored:
        for path in record:
            variable, attributes = record.variable(path), stored[path].attrs
            assert variable.units == text(attributes["units"])
            assert variable.long_name == text(attributes["long_name"])
            assert " ".join(variable.dimensions) == text(attributes["axes"])
            assert f"{variable.group}/{variable.name}" == path


def test_a_record_is_a_mapping(record):
    assert len(record) == len(record.keys()) == len(list(record)) > 100
    assert "bench/dry_time" in record and "bench/dry" not in record and 3 not in record
    assert record.groups[:3] == ("house", "series", "air")
    assert [v.name for v in record.variables("air")][:3] == ["time", "air_y", "air_x"]
    assert record._ipython_key_completions_() == record.keys()


def test_a_wrong_path_offers_the_nearest(record):
    with pytest.raises(KeyError, match="the nearest is `bench/dry_time`"):
        record["bench/dry_tim"]
    with pytest.raises(KeyError, match="the nearest is `bench`"):
        record.variables("bnch")
    with pytest.raises(KeyError):
        record.clock_hours("bench/dry_time")


def test_categories_keep_their_words(record):
    kind = record.variable("events/kind")
    assert kind.whole and kind.meanings[0] == "burst_told"
    assert set(np.unique(kind.values)) <= set(range(len(kind.meanings)))


def test_clock_hours_are_by_the_wall_clock(record):
    hours = record.clock_hours()
    assert hours[0] == pytest.approx(11.0) and hours[-1] == pytest.approx(13.0)
    assert len(hours) == len(record["series/time"])


# ---- files -------------------------------------------------------------------------------------

def test_a_record_reads_back_the_same(record, file):
    again = Record.read(file)
    assert again == record and hash(again) == hash(record)
    assert again.attributes == record.attributes
    assert again.verdict == record.verdict
    assert again.group_attributes("provenance") == record.group_attributes("provenance")


def test_writing_does_not_replace_a_file_unasked(record, tmp_path):
    path = tmp_path / "run.h5"
    path.write_bytes(b"mine")
    for kind in (FileExistsError, RecordExistsError, RecordError):
        with pytest.raises(kind, match="overwrite=True"):
            record.write(path)
    assert path.read_bytes() == b"mine"
    record.write(str(path), overwrite=True)
    assert Record.read(path) == record


@pytest.mark.parametrize("content", [b"", b"not HDF5", b"\x89HDF\r\n\x1a\n" + bytes(200)])
def test_a_foreign_file_is_refused(tmp_path, content):
    path = tmp_path / "foreign.h5"
    path.write_bytes(content)
    with pytest.raises(RecordError, match="foreign.h5"):
        Record.read(path)


def test_a_damaged_file_is_refused(file, tmp_path):
    content = bytearray(file.read_bytes())
    content[len(content) // 2] ^= 0x40
    path = tmp_path / "damaged.h5"
    path.write_bytes(content)
    with pytest.raises(RecordError, match="damaged.h5"):
        Record.read(path)


def test_a_missing_folder_is_a_record_error(record, tmp_path):
    with pytest.raises(RecordError):
        Record.read(tmp_path / "none.h5")
    with pytest.raises(RecordError):
        record.write(tmp_path / "none" / "run.h5")


# ---- values ------------------------------------------------------------------------------------

def test_a_record_survives_a_pickle(record):
    again = pickle.loads(pickle.dumps(record))
    assert again == record and again.attributes == record.attributes
    assert all(np.array_equal(again[path], record[path], equal_nan=True) for path in record)
    assert not again["bench/dry_time"].flags.writeable


def test_equality_is_of_content(scenario, record):
    from mistwright import Engine
    other = Engine(scenario.change({"house.shade_cloth": "70 %"}).house()).run()
    assert other != record
    assert record != "record" and not record == 3


# ---- xarray ------------------------------------------------------------------------------------

def test_to_xarray_is_what_xarray_opens(record, file):
    for group in record.groups:
        with xarray.open_dataset(file, group=group, engine="h5netcdf",
                                 decode_timedelta=False) as stored:
            xarray.testing.assert_identical(record.to_xarray(group), stored)


def test_to_xarray_has_places_times_and_units(record):
    bench = record.to_xarray()
    assert {"x", "y"} <= set(bench.coords) and bench.dry_time.attrs["units"] == "s"
    series = record.to_xarray("series")
    assert series.time.dtype == "datetime64[ns]"
    noon = series.air_temperature.sel(time="2025-06-03T16:00", method="nearest")
    assert 280 < float(noon) < 330


def test_without_xarray_the_import_error_says_what_is_missing(file, environment):
    code = ("import sys; sys.modules['xarray'] = None\n"
            "from mistwright import Record\n"
            f"record = Record.read({str(file)!r}); record['bench/dry_time']\n"
            "try: record.to_xarray()\n"
            "except ImportError as error: print(error)")
    told = subprocess.run([sys.executable, "-c", code], env=environment, capture_output=True,
                          text=True, check=True).stdout
    assert "needs the package xarray, which is not installed" in told


def test_xarray_is_not_loaded_before_it_is_needed(environment):
    code = "import mistwright, sys; print('xarray' in sys.modules)"
    told = subprocess.run([sys.executable, "-c", code], env=environment, capture_output=True,
                          text=True, check=True).stdout
    assert told.strip() == "False"


# ---- pictures and pages ------------------------------------------------------------------------

def test_a_notebook_shows_the_verdict_and_the_bench(record):
    html = record._repr_html_()
    opening = re.split(r"(?<=\.)\s", record.verdict.replace("\n", " "))[0]
    assert opening in html
    pictures = [tree.fromstring(svg) for svg in re.findall(r"<svg.*?</svg>", html, re.S)]
    assert len(pictures) == 2
    # Neighbours of one colour are one shape, of whole cells, the smallest as high as one.
    shapes = [shape for group in pictures[0].iter("g") if group.get("class") == "cell"
              for shape in re.findall(r"h([\d.]+)v([\d.]+)", group.find("path").get("d"))]
    assert all(float(side) >= 1 and float(side) % 1 == 0 for shape in shapes for side in shape)
    assert sum(float(width) * float(height) for width, height in shapes) \
        == len(record["bench/dry_time"])
    # Without the report's style sheet nothing may be left to a class: black would cover the map.
    bare = [shape for picture in pictures for shape in picture.iter("rect")
            if shape.get("fill") is None]
    assert not bare


def test_a_report_is_the_program_s_page(record, file, tmp_path):
    page = tmp_path / "page.html"
    subprocess.run([os.environ["MISTWRIGHT_BIN"], "report", str(file), "-o", str(page)],
                   check=True, capture_output=True)
    report = Report(record)
    assert report.html == page.read_text(encoding="utf-8")
    assert report.verdict == record.verdict


def test_a_report_is_saved_once(record, tmp_path):
    report, path = Report(record), tmp_path / "page.html"
    report.save(path)
    assert path.read_text(encoding="utf-8") == report.html
    with pytest.raises(FileExistsError):
        report.save(path)
    report.save(path, overwrite=True)
