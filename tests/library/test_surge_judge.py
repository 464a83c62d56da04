"""The frozen pressures of a shut valve still equal what scipy finds today.

The C++ test beside them (tests/water/surge_test.cpp) holds the program to the same numbers.
"""

import pytest

import surge_scipy


def test_frozen_pressures_at_the_valve_equal_scipy_to_1e6():
    _, frozen = surge_scipy.read()
    solved = surge_scipy.solve()
    assert len(frozen) == len(solved) >= 20
    for row, time_s, pressure in zip(frozen, surge_scipy.TIMES_S, solved):
        assert float(row["time_s"]) == pytest.approx(time_s)
        assert float(row["pressure_pa"]) == pytest.approx(pressure, rel=1e-6), time_s
    assert max(solved) > 1.15 * surge_scipy.RESERVOIR_PA
