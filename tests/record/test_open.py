"""Results opened by others: h5py, xarray with both engines, h5dump and UDUNITS.

MISTWRIGHT_RESULT names a file written by `mistwright run`; without it these tests fail.
"""

import os
import re
import shutil
import subprocess

import h5py
import numpy as np
import pytest
import xarray

from program import environment

# CF standard names that may occur in this program's results, from the CF standard name table (from memory).
STANDARD_NAMES = {
    "air_temperature", "relative_humidity", "wind_speed", "air_pressure", "humidity_mixing_ratio",
    "surface_downwelling_shortwave_flux_in_air", "wet_bulb_temperature", "water_vapor_saturation_deficit_in_air", "time",
}
NEEDED = {
    "series": ["air_temperature", "vapour_pressure_deficit", "leaf_temperature", "film_depth", "bare_share"],
    "bench": ["x", "y", "bench", "area", "dry_time", "mist_on_leaves", "film_depth", "bare_minutes"],
    "leaves": ["cell", "film_depth", "dry_time"],
    "heads": ["x", "y", "z", "pressure", "flow"],
    "water": ["mass"],
    "audit": ["inflow", "outflow", "stored_change", "residual", "relative"],
    "events": ["event_time", "kind", "value"],
}


@pytest.fixture(scope="module")
def path():
    return environment("MISTWRIGHT_RESULT")


@pytest.fixture(scope="module")
def file(path):
    with h5py.File(path, "r") as opened:
        yield opened


def datasets(file):
    found = []
    file.visititems(lambda name, item: found.append((name, item)) if isinstance(item, h5py.Dataset) else None)
    return found


def text(value):
    return value.decode() if isinstance(value, bytes) else str(value)


def test_h5dump_reads_the_header(path):
    done = subprocess.run(["h5dump", "-H", path], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    for group in NEEDED:
        assert f'GROUP "{group}"' in done.stdout


def test_root_says_what_it_is(file):
    assert text(file.attrs["Conventions"]) == "CF-1.10"
    for name in ("title", "source", "history"):
        assert text(file.attrs[name]).strip(), name
    assert text(file.attrs["mistwright_schema"]) == "1"
    assert re.fullmatch("[0-9a-f]{64}", text(file.attrs["content_sha256"]))


def test_every_state_of_the_air_tells_its_warmth_and_how_far_to_trust_it(file):
    flows = [file[name] for name in file if name.startswith("flow_")]
    assert flows
    outside = file["series/outside_temperature"][:]
    for flow in flows:
        assert 0 < float(text(flow.attrs["grid_convergence_index"])) < np.inf
        assert text(flow.attrs["steady"]) in ("0", "1")
        air = np.isfinite(flow["u"][:])
        for name, least, most in (("air_temperature", outside.min() - 2, outside.max() + 25), ("humidity_ratio", 0, 0.05)):
            values = flow[name][:]
            assert np.array_equal(np.isfinite(values), air), name
            assert least < values[air].min() and values[air].max() < most, name


def test_layout_is_there(file):
    for group, names in NEEDED.items():
        for name in names:
            assert name in file[group], f"{group}/{name}"
    assert any(name.startswith("flow_") for name in file)
    for name in ("scenario_text", "version", "seed"):
        assert text(file["provenance"].attrs[name]), name


def test_every_dataset_has_scales_units_and_checksum(file):
    assert len(datasets(file)) > 40
    for name, data in datasets(file):
        assert text(data.attrs["units"]), name
        assert text(data.attrs["long_name"]), name
        assert re.fullmatch("[A-Za-z][A-Za-z0-9_]*", name.split("/")[-1]), name
        assert data.dtype in (np.dtype("<f8"), np.dtype("<i8")), name
        if data.ndim:
            assert data.fletcher32 and data.shuffle and data.compression == "gzip", name
        if h5py.h5ds.is_scale(data.id):
            continue
        for axis in range(data.ndim):
            assert len(data.dims[axis]) == 1, f"{name} lacks a scale along axis {axis}"
            assert data.dims[axis][0].shape[0] == data.shape[axis], name


def test_no_two_names_differ_by_case_alone(file):
    names = [name.lower() for name, _ in datasets(file)]
    assert len(names) == len(set(names))


def test_categories_have_values_and_words(file):
    found = 0
    for name, data in datasets(file):
        if "flag_values" not in data.attrs:
            continue
        found += 1
        values = data.attrs["flag_values"]
        assert values.dtype == data.dtype, name
        assert len(text(data.attrs["flag_meanings"]).split(" ")) == len(np.atleast_1d(values)), name
        if data.size:
            assert set(np.unique(data[...])) <= set(np.atleast_1d(values)), name
    assert found >= 5


def test_standard_names_are_those_of_the_table(file):
    found = {text(data.attrs["standard_name"]) for _, data in datasets(file) if "standard_name" in data.attrs}
    assert found <= STANDARD_NAMES, found - STANDARD_NAMES


def test_udunits_knows_every_unit(file):
    units = {text(data.attrs["units"]) for _, data in datasets(file)}
    assert len(units) > 5
    for unit in units:
        # An instant is judged against another; anything else against itself.
        other = "seconds since 2000-01-01 00:00:00 UTC" if " since " in unit else unit
        done = subprocess.run(["udunits2", "-H", unit, "-W", other], capture_output=True, text=True, check=False)
        said = done.stdout + done.stderr
        assert done.returncode == 0 and "don't recognize" not in said and "not convertible" not in said, said
    wrong = subprocess.run(["udunits2", "-H", "furlough", "-W", "m"], capture_output=True, text=True, check=False)
    assert wrong.returncode != 0 or "don't recognize" in wrong.stdout + wrong.stderr


def test_values_are_plain_numbers(file):
    for name, data in datasets(file):
        if data.dtype.kind == "f" and data.size and "_FillValue" not in data.attrs:
            assert np.isfinite(data[...]).all(), name


@pytest.mark.parametrize("engine", ["h5netcdf", "netcdf4"])
def test_xarray_opens_every_group(path, file, engine):
    for group in file:
        with xarray.open_dataset(path, engine=engine, group=group) as opened:
            stored = {name for name, item in file[group].items() if isinstance(item, h5py.Dataset)}
            assert set(opened.variables) == stored, group
            for name in opened.dims:
                assert name in opened.coords, f"{group}: no coordinate {name}"
            for name, variable in opened.variables.items():
                assert variable.shape == file[group][name].shape, f"{group}/{name}"


@pytest.mark.parametrize("engine", ["h5netcdf", "netcdf4"])
def test_xarray_decodes_time_and_places(path, file, engine):
    with xarray.open_dataset(path, engine=engine, group="series") as series:
        time = series["time"].values
        assert time.dtype == np.dtype("datetime64[ns]")
        start = re.match(r"microseconds since (\S+?)Z?$", text(file["series/time"].attrs["units"]).replace(" ", "T", 2).replace(
            "microsecondsTsinceT", "microseconds since "))
        assert start, text(file["series/time"].attrs["units"])
        first = np.datetime64(start.group(1)) + np.timedelta64(int(file["series/time"][0]), "us")
        assert time[0] == first
        assert (np.diff(time) > np.timedelta64(0)).all()
        assert float(series["air_temperature"].min()) > 250.0
        assert float(series["air_temperature"].max()) < 340.0
    with xarray.open_dataset(path, engine=engine, group="bench") as bench:
        assert {"x", "y"} <= set(bench.coords)
        assert bench["film_depth"].dims == ("map_time", "cell")


def test_engines_and_h5py_read_the_same(path, file):
    with xarray.open_dataset(path, engine="h5netcdf", group="bench") as a:
        with xarray.open_dataset(path, engine="netcdf4", group="bench") as b:
            for name in ("dry_time", "mist_on_leaves", "film_depth"):
                assert np.array_equal(a[name].values, b[name].values), name
                assert np.array_equal(a[name].values, file["bench"][name][...]), name


def test_a_file_changed_by_other_means_is_refused(path, tmp_path):
    """HDF5's own checksums follow such a change; only the digest over the content notices it."""
    program = environment("MISTWRIGHT_BIN")
    copy = str(tmp_path / "changed.h5")
    shutil.copy(path, copy)
    command = [program, "report", copy, "-o", str(tmp_path / "page.html")]
    sound = subprocess.run(command, capture_output=True, text=True, check=False)
    assert sound.returncode == 0, sound.stderr
    os.remove(tmp_path / "page.html")
    with h5py.File(copy, "r+") as opened:
        opened["bench/dry_time"][0] += 1.0
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert done.returncode == 4, done.stderr
    assert "this file is damaged: its content does not agree with its checksums" in done.stderr
    assert not os.path.exists(tmp_path / "page.html")
