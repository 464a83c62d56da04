"""The package as it is installed, by CMake and as a wheel."""
import os
import subprocess
import sys
import zipfile

import pytest
from conftest import DEMO, FOLDER, ROOT

FULL = os.environ.get("MISTWRIGHT_FULL") == "1"
FILES = {"__init__.py", "_core.pyi", "_cups.py", "_errors.py", "_html.py", "_move.py", "_settings.py", "_shade.py",
         "_xarray.py", "py.typed"}
USE = ("import mistwright, sys\n"
       "scenario = mistwright.Scenario.load(sys.argv[1]).change({'span.length': '10 min',\n"
       "    'numerics.parcels_per_class': 20, 'numerics.flow_cell': '0.6 m'})\n"
       "record = mistwright.Engine(scenario.house()).run()\n"
       "print(mistwright.__file__)\n"
       "print(record.attributes['source'])\n")


def use(python, folder=None):
    """Runs a house in a fresh Python that knows no build folder."""
    known = {key: value for key, value in os.environ.items() if key != "PYTHONPATH"}
    if folder:
        known["PYTHONPATH"] = str(folder)
    told = subprocess.run([python, "-c", USE, str(DEMO)], env=known, cwd=folder or "/",
                          capture_output=True, text=True, check=False)
    assert told.returncode == 0, told.stderr
    return told.stdout.splitlines()


def version():
    text = (ROOT / "CMakeLists.txt").read_text(encoding="utf-8")
    return text.split("project(mistwright VERSION ")[1].split()[0]


def test_the_build_folder_is_a_whole_package():
    names = {path.name for path in (FOLDER / "mistwright").iterdir() if path.name != "__pycache__"}
    modules = {name for name in names if name.startswith("_core.") and name.endswith(".so")}
    assert len(modules) == 1 and names - modules == FILES


def test_what_cmake_installs_works_on_its_own(tmp_path):
    build = FOLDER.parents[1]
    subprocess.run(["cmake", "--install", str(build), "--component", "python", "--prefix",
                    str(tmp_path)], check=True, capture_output=True)
    packages = tmp_path / "lib" / "python3" / "dist-packages"
    installed = {path.name for path in (packages / "mistwright").iterdir()}
    assert FILES < installed and len(installed) == len(FILES) + 1
    where, source = use(sys.executable, packages)
    assert where == str(packages / "mistwright" / "__init__.py")
    assert source == f"mistwright {version()}"


def test_without_the_option_nothing_of_python_is_looked_for():
    text = (ROOT / "CMakeLists.txt").read_text(encoding="utf-8")
    assert 'option(MISTWRIGHT_BINDINGS "build the Python package" OFF)' in text
    others = [path for path in ROOT.glob("**/CMakeLists.txt")
              if "build" not in path.relative_to(ROOT).parts
              and path.parent != ROOT / "bindings" / "python"]
    assert len(others) > 20
    asking = [path for path in others
              if "find_package(Python" in path.read_text(encoding="utf-8")
              or "pybind11" in path.read_text(encoding="utf-8")]
    assert not asking


@pytest.fixture(scope="module")
def wheel(tmp_path_factory):
    """Built without the network; CMake's folder is kept so that a second build is short."""
    out = tmp_path_factory.mktemp("wheel")
    told = subprocess.run(
        [sys.executable, "-m", "build", "--wheel", "--no-isolation", "--outdir", str(out),
         str(ROOT / "bindings" / "python")],
        env={**os.environ, "PIP_NO_INDEX": "1"}, capture_output=True, text=True, check=False)
    assert told.returncode == 0, told.stdout[-3000:] + told.stderr[-3000:]
    (found,) = out.glob("*.whl")
    return found


if FULL:
    def test_the_wheel_holds_the_package(wheel):
        with zipfile.ZipFile(wheel) as content:
            names = {name.split("/", 1)[1] for name in content.namelist()
                     if name.startswith("mistwright/")}
        assert FILES < names and sum(name.endswith(".so") for name in names) == 1
        assert wheel.name.startswith(f"mistwright-{version()}-cp311-")

    def test_the_wheel_installs_and_runs(wheel, tmp_path):
        python = tmp_path / "venv" / "bin" / "python"
        subprocess.run([sys.executable, "-m", "venv", "--system-site-packages",
                        str(tmp_path / "venv")], check=True)
        subprocess.run([str(python), "-m", "pip", "install", "--no-index", "--no-deps", "--quiet",
                        str(wheel)], check=True)
        where, source = use(str(python))
        assert where.startswith(str(tmp_path / "venv"))
        assert source == f"mistwright {version()}"
