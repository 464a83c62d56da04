"""What the tests of the Python package share. MISTWRIGHT_PYTHONPATH names the folder that holds it;
left out, it is the one that the preset dev builds."""
import os
import signal
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
DEMO = ROOT / "scenarios" / "demo.toml"
# Small enough to run in a second; what is checked does not lean on how fine it is.
QUICK = {"span.start": "2025-06-03T11:00:00", "span.length": "2 h",
         "numerics.parcels_per_class": 100, "numerics.size_classes": 12,
         "numerics.flow_cell": "0.3 m", "numerics.bench_cell": "0.3 m"}

FOLDER = Path(os.environ.get("MISTWRIGHT_PYTHONPATH", ROOT / "build/dev/bindings/python"))
# Tests leave the airflow kept for their user alone.
os.environ["MISTWRIGHT_STORE"] = ""
sys.path.insert(0, str(FOLDER))


@pytest.fixture(scope="session")
def environment():
    """For programs of their own: the package is found, nothing is written beside it."""
    return {**os.environ, "PYTHONPATH": str(FOLDER), "PYTHONDONTWRITEBYTECODE": "1"}


@pytest.fixture(scope="session")
def scenario():
    from mistwright import Scenario
    return Scenario.load(DEMO).change(QUICK)


@pytest.fixture(scope="session")
def long_house(scenario):
    """Runs for some seconds."""
    return scenario.change({"span.length": "20 d", "numerics.bench_cell": "0.15 m"}).house()


@pytest.fixture(scope="session")
def record(scenario):
    from mistwright import Engine
    return Engine(scenario.house()).run()


@pytest.fixture(scope="session")
def file(record, tmp_path_factory):
    path = tmp_path_factory.mktemp("record") / "run.h5"
    record.write(path)
    return path


@pytest.fixture
def interruptible():
    """Python's own answer to Ctrl-C, though whoever started the tests may have it ignored."""
    before = signal.signal(signal.SIGINT, signal.default_int_handler)
    yield
    signal.signal(signal.SIGINT, before)
