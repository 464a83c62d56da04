"""The frozen answers of the looped network still equal what scipy finds today.

The C++ test beside them (tests/water/network_scipy_test.cpp) holds the program to the same numbers.
"""

import pytest

import network_scipy


@pytest.fixture(scope="module", name="solved")
def _solved():
    return network_scipy.solve()


def test_frozen_node_pressures_and_head_flows_equal_scipy_to_1e9(solved):
    _, frozen = network_scipy.read("network_scipy_nodes.csv")
    assert len(frozen) == len(solved[0]) >= 8
    for old, new in zip(frozen, solved[0]):
        for key in ("pressure_pa", "head_flow_m3_per_s"):
            assert float(old[key]) == pytest.approx(new[key], rel=1e-9, abs=0), (old["node"], key)


def test_frozen_pipe_flows_equal_scipy_to_1e9(solved):
    _, frozen = network_scipy.read("network_scipy_pipes.csv")
    assert len(frozen) == len(solved[1]) >= 9
    for old, new in zip(frozen, solved[1]):
        expected = new["flow_m3_per_s"]
        assert float(old["flow_m3_per_s"]) == pytest.approx(expected, rel=1e-9, abs=0), old["pipe"]


def test_the_case_has_a_laminar_pipe_a_turbulent_one_and_a_loop(solved):
    nodes, pipes = solved
    reynolds = [
        4 * network_scipy.RHO * abs(p["flow_m3_per_s"])
        / (3.141592653589793 * float(p["diameter_m"]) * network_scipy.MU)
        for p in pipes
    ]
    assert min(reynolds) < 2000 < 4000 < max(reynolds)
    assert len(pipes) >= len(nodes)
