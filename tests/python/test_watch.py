"""What any simulation owes its caller, a run as well as a table: others go on, it stops when asked."""
import os
import signal
import threading
import time

import pytest

from mistwright import Engine, shade_table


def run(house, **options):
    return Engine(house).run(**options)


@pytest.fixture(params=[run, shade_table], ids=["run", "table"])
def simulate(request):
    return request.param


def test_an_exception_in_progress_stops_it(simulate, long_house):
    class Enough(Exception):
        pass

    def stop(share, doing):
        if share > 0:
            raise Enough

    began = time.monotonic()
    with pytest.raises(Enough):
        simulate(long_house, progress=stop)
    assert time.monotonic() - began < 5


def test_other_threads_go_on_meanwhile(simulate, scenario):
    """Had it held Python's lock, the counting thread would be left at a few switches."""
    count = 0
    done = threading.Event()

    def counting():
        nonlocal count
        while not done.is_set():
            count += 1
            time.sleep(0.001)

    thread = threading.Thread(target=counting)
    house = scenario.house()
    thread.start()
    began, at_start = time.monotonic(), count
    simulate(house)
    took, counted = time.monotonic() - began, count - at_start
    done.set()
    thread.join()
    assert counted > 100 * took


@pytest.mark.usefixtures("interruptible")
def test_an_interrupt_stops_it_soon(simulate, long_house):
    sent = []

    def interrupt():
        time.sleep(0.8)
        sent.append(time.monotonic())
        os.kill(os.getpid(), signal.SIGINT)

    sender = threading.Thread(target=interrupt)
    sender.start()
    with pytest.raises(KeyboardInterrupt):
        simulate(long_house)
    assert time.monotonic() - sent[0] < 2
    sender.join()
