"""Engine: a run and what it tells; test_watch.py has what any simulation owes its caller."""
import os
import pickle
import signal
import subprocess
import threading
import time

import numpy as np
import pytest
from conftest import DEMO, QUICK

import mistwright
from mistwright import Engine, Record


def test_a_run_is_the_program_s_run(record, tmp_path):
    path = tmp_path / "program.h5"
    settings = [word for key, value in QUICK.items() for word in ("--set", f"{key}={value}")]
    subprocess.run([os.environ["MISTWRIGHT_BIN"], "run", str(DEMO), *settings, "--alone",
                    "-o", str(path)], check=True, capture_output=True)
    assert Record.read(path) == record


def test_threads_do_not_change_a_result(scenario, record):
    assert Engine(scenario.house(), threads=2).run() == record


def test_the_run_says_how_many_threads_it_had(scenario, record):
    assert record.group_attributes("provenance")["threads"] == "1"


@pytest.mark.parametrize("threads", [0, -1, 5000])
def test_threads_are_counted(scenario, threads):
    with pytest.raises(ValueError, match="threads"):
        Engine(scenario.house(), threads=threads)


def test_options_go_by_name(scenario):
    house = scenario.house()
    with pytest.raises(TypeError):
        Engine(house, 2)
    with pytest.raises(TypeError):
        Engine(house).run(True)


def test_neighbours_make_the_verdict_longer(scenario, record):
    told = Engine(scenario.change({"span.length": "20 min"}).house()).run(neighbours=True)
    assert "\n" in told.group_attributes("provenance")["neighbours"]
    alone = Engine(scenario.change({"span.length": "20 min"}).house()).run()
    assert len(told.verdict) > len(alone.verdict)
    assert np.array_equal(told["bench/dry_time"], alone["bench/dry_time"])


def test_progress_rises_to_one(scenario):
    told = []
    Engine(scenario.house()).run(progress=lambda share, doing: told.append((share, doing)))
    shares = [share for share, _ in told]
    assert shares[0] == 0.0 and shares[-1] == 1.0 and shares == sorted(shares)
    assert told[0][1] == "the house as it is"


def test_progress_comes_about_five_times_a_second(long_house):
    times = []

    def note(share, doing):
        times.append(time.monotonic())
        if len(times) > 8:
            raise StopIteration

    with pytest.raises(StopIteration):
        Engine(long_house).run(progress=note)
    gaps = np.diff(times)
    assert gaps.min() >= 0.19 and np.median(gaps) < 0.6


def test_two_runs_side_by_side_agree(scenario, record):
    results = []
    house = scenario.house()
    threads = [threading.Thread(target=lambda: results.append(Engine(house).run()))
               for _ in range(2)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert results == [record, record]


@pytest.mark.usefixtures("interruptible")
def test_after_an_interrupt_the_next_run_is_whole(scenario, record, long_house):
    timer = threading.Timer(0.5, lambda: signal.raise_signal(signal.SIGINT))
    timer.start()
    with pytest.raises(KeyboardInterrupt):
        Engine(long_house).run()
    timer.join()
    assert Engine(scenario.house()).run() == record


def test_an_engine_survives_a_pickle(scenario, record):
    engine = pickle.loads(pickle.dumps(Engine(scenario.house(), threads=2)))
    assert engine.threads == 2 and engine.house.name == "Community garden hoop house"
    assert engine.run() == record


def test_every_exception_is_an_error():
    kinds = [mistwright.ScenarioError, mistwright.EngineError, mistwright.AuditError,
             mistwright.RecordError, mistwright.RecordExistsError]
    assert all(issubclass(kind, mistwright.Error) for kind in kinds)
    assert issubclass(mistwright.RecordExistsError, FileExistsError)
