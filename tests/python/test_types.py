"""Types, stubs, examples in docstrings, and the example of a sweep."""
import doctest
import inspect
import re
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from conftest import DEMO, ROOT

import mistwright
import mistwright._core
import mistwright._cups
import mistwright._errors
import mistwright._move
import mistwright._settings
import mistwright._shade

EXAMPLE = ROOT / "tests" / "python" / "example"


def call(environment, folder, *words):
    return subprocess.run([sys.executable, "-m", *words], cwd=folder, env=environment,
                          capture_output=True, text=True, check=False)


@pytest.fixture(scope="module")
def cache(tmp_path_factory):
    """Types of numpy and xarray are worked out once."""
    return str(tmp_path_factory.mktemp("mypy"))


def test_mypy_strict_passes_the_example_and_the_package(environment, tmp_path, cache):
    flags = ("mypy", "--strict", "--cache-dir", cache)
    for what in ([str(EXAMPLE / "sweep.py")], ["-p", "mistwright"]):
        told = call(environment, tmp_path, *flags, *what)
        assert told.returncode == 0, told.stdout + told.stderr


def test_mypy_strict_sees_a_wrong_use(environment, tmp_path, cache):
    wrong = tmp_path / "wrong.py"
    wrong.write_text("from mistwright import Engine, Scenario\n"
                     "Engine(Scenario.load('a.toml'))\n"
                     "length: str = Scenario.load('a.toml').house().length_m\n", encoding="utf-8")
    told = call(environment, tmp_path, "mypy", "--strict", "--cache-dir", cache, str(wrong))
    assert "wrong.py:2: error" in told.stdout and "wrong.py:3: error" in told.stdout


def test_the_stubs_are_those_of_the_module(environment, tmp_path):
    told = call(environment, tmp_path, "mypy.stubtest", "mistwright._core")
    assert told.returncode == 0, told.stdout + told.stderr


def described():
    """Everything public with a docstring: name and text."""
    things = {"mistwright": mistwright}
    for module in (mistwright._core, mistwright._cups, mistwright._errors, mistwright._move, mistwright._settings,
                   mistwright._shade):
        for name, thing in vars(module).items():
            if inspect.isclass(thing) or inspect.isroutine(thing):
                if thing.__module__.startswith("mistwright"):
                    things[f"{module.__name__}.{name}"] = thing
    for path, thing in list(things.items()):
        if inspect.isclass(thing):
            for name in vars(thing):
                if not name.startswith("_"):
                    things[f"{path}.{name}"] = getattr(thing, name)
    return {path: thing.__doc__ for path, thing in things.items()
            if getattr(thing, "__doc__", None)}


def test_examples_in_docstrings_run(record):
    known = {name: getattr(mistwright, name) for name in mistwright.__all__}
    known |= {"demo": str(DEMO), "record": record, "np": np, "Path": Path,
              "key_at": mistwright._errors.key_at, "_both_degrees": mistwright._shade._both_degrees,
              **vars(mistwright._settings)}
    runner = doctest.DocTestRunner(optionflags=doctest.ELLIPSIS)
    said, examples = [], 0
    for path, words in described().items():
        test = doctest.DocTestParser().get_doctest(words, dict(known), path, None, 0)
        examples += len(test.examples)
        runner.run(test, out=said.append)
    assert runner.summarize(verbose=False).failed == 0, "".join(said)
    assert examples >= 15


def test_everything_public_is_described():
    words = described()
    bare = []
    for kind in ("Scenario", "House", "Engine", "Record", "Variable", "Report"):
        thing = getattr(mistwright, kind)
        bare += [f"{kind}.{name}" for name in vars(thing) if not name.startswith("_")
                 and f"mistwright._core.{kind}.{name}" not in words]
    assert not bare
    assert {"mistwright._core.shade_table", "mistwright._shade.ShadeRow",
            "mistwright._shade.ShadeTable"} <= set(words)


@pytest.mark.parametrize("name, unit", [("length_m", "[m]"), ("width_m", "[m]"),
                                        ("span_s", "[s]"), ("bench_area_m2", "[m2]")])
def test_quantities_say_their_unit(name, unit):
    assert unit in getattr(mistwright.House, name).__doc__


def test_signatures_show_names_and_defaults(scenario):
    engine = mistwright.Engine(scenario.house())
    assert str(inspect.signature(engine.run)) == "(*, neighbours=False, progress=None, store=Ellipsis)"
    assert str(inspect.signature(mistwright.Scenario.from_text)) == \
        "(text, *, name='scenario.toml', folder='.')"
    assert str(inspect.signature(mistwright.shade_table)) == \
        \
        "(house, *, threads=1, keep_records=False, progress=None, store=Ellipsis)"


def test_the_example_runs(environment, tmp_path):
    told = subprocess.run([sys.executable, str(EXAMPLE / "sweep.py"), str(DEMO)], cwd=tmp_path,
                          env=environment, capture_output=True, text=True, check=False)
    assert told.returncode == 0, told.stderr
    assert told.stdout.count("worst place dry for") == 2 and "stored in s" in told.stdout
    assert re.search(r"^best: \d+ % cloth, .* dry for \d+ min$", told.stdout, re.M)
