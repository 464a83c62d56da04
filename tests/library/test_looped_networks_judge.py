"""Fifty random looped networks, solved by the program, judged by scipy (looped_scipy.py).

They are the first fifty of those in tests/water/network_loops_test.cpp. The program `sample_networks`, which is built
with the tests beside MISTWRIGHT_BIN, prints them with the program's answers.
"""

import json
import os
import subprocess

import numpy as np
import pytest

from looped_scipy import Judge
from program import environment

COUNT = 50


@pytest.fixture(scope="module", name="networks")
def _networks():
    maker = os.path.join(os.path.dirname(environment("MISTWRIGHT_BIN")), "tests/water/sample_networks")
    done = subprocess.run([maker, str(COUNT)], capture_output=True, text=True, timeout=60, check=True)
    return json.loads(done.stdout)


@pytest.fixture(scope="module", name="judged")
def _judged(networks):
    return [Judge(network).solve() for network in networks]


def column(rows, key):
    """One key of a list of rows."""
    return np.array([row[key] for row in rows])


def test_scipy_balances_each_network_to_1e10(judged):
    assert len(judged) == COUNT
    for i, answer in enumerate(judged):
        assert answer["imbalance"] < 1e-10, i


def test_node_pressures_agree_with_scipy_to_1e6_of_the_greatest(networks, judged):
    worst = 0.0
    for i, (network, answer) in enumerate(zip(networks, judged)):
        ours = column(network["nodes"], "pressure_Pa")
        assert np.array_equal(column(network["nodes"], "reached"), answer["reached"]), i
        error = np.abs(ours - answer["pressure_Pa"]).max() / np.abs(answer["pressure_Pa"]).max()
        assert error <= 1e-6, i
        worst = max(worst, error)
    print(f"worst pressure {worst:.1e} of the greatest")


def test_flows_of_pipes_heads_and_supply_agree_with_scipy_to_1e6_of_the_greatest(networks, judged):
    worst = 0.0
    for i, (network, answer) in enumerate(zip(networks, judged)):
        greatest = answer["supply_m3_per_s"]
        errors = [column(network["pipes"], "flow_m3_per_s") - answer["pipe_m3_per_s"],
                  column(network["heads"], "flow_m3_per_s") - answer["head_m3_per_s"],
                  np.array([network["supply_flow_m3_per_s"] - greatest])]
        error = max(np.abs(one).max() for one in errors) / greatest
        assert error <= 1e-6, i
        worst = max(worst, error)
    print(f"worst flow {worst:.1e} of the greatest")


def test_check_valves_stand_as_their_pressures_ask(networks, judged):
    opened, shut = 0, 0
    for i, (network, answer) in enumerate(zip(networks, judged)):
        for head, pressure in zip(network["heads"], answer["head_pressure_Pa"]):
            if not head["check_valve"] or not answer["reached"][head["node"]]:
                continue
            if head["flow_m3_per_s"] > 0:
                assert pressure >= head["closes_Pa"], i
                opened += 1
            else:
                assert pressure < head["opens_Pa"] or head["chatters"], i
                shut += 1
    assert opened >= 10 and shut >= 10


def test_the_networks_hold_every_kind_of_flow(networks, judged):
    seen = dict.fromkeys(("laminar", "transitional", "turbulent", "shut", "reverse", "valve", "loops"), 0)
    kinds = set()
    for network, answer in zip(networks, judged):
        judge = Judge(network)
        flow = answer["pipe_m3_per_s"][judge.passing]
        reynolds = judge.pipes.reynolds(flow)
        moving = reynolds > 1
        seen["laminar"] += np.sum(moving & (reynolds <= 2000))
        seen["transitional"] += np.sum((reynolds > 2000) & (reynolds < 4000))
        seen["turbulent"] += np.sum(reynolds >= 4000)
        seen["reverse"] += np.sum(moving & (flow < 0))
        seen["valve"] += np.sum(moving & (column(network["pipes"], "valve_m3_per_s_per_sqrtPa")[judge.passing] > 0))
        seen["shut"] += np.sum(~column(network["pipes"], "open"))
        kinds.add("pump" if network["supply"]["curve"] else "tank" if judge.stiff else "hose bib")
        seen["loops"] += len(judge.passing) - (len(judge.wet) - 1)
    assert min(seen.values()) >= 10, seen
    assert kinds == {"pump", "tank", "hose bib"}
