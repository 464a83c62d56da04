"""A slowly shut valve at the end of one pipe with friction, by another route than the program's own.

The pipe is cut into cells with the pressure in their middle and the velocity at their edges, and
scipy marches all of them as ordinary differential equations in time; the program follows
characteristics instead. The case and the frozen answers live in tests/reference/surge_scipy.csv.
Call with --write to renew the answers. The line is invented.
"""

import csv
import math
import pathlib
import sys

import numpy as np
from scipy.integrate import solve_ivp

TABLE = pathlib.Path(__file__).resolve().parents[1] / "reference" / "surge_scipy.csv"

LENGTH_M, BORE_M, SPEED_M_PER_S, DENSITY_KG_PER_M3 = 30.0, 0.02, 450.0, 998.2
FRICTION_FACTOR, RESERVOIR_PA, OUTLET_PA = 0.05, 4e5, 2e4
VALVE, HEADS = 6e-7, 1.2e-6  # q = C sqrt(dp), m3/(s sqrt(Pa))
CLOSING_S, CLOSING_EXPONENT = 0.5, 1.5
TIMES_S = [0.05 * i for i in range(1, 25)]
CELLS = 300

AREA_M2 = math.pi / 4 * BORE_M**2
STEP_M = LENGTH_M / CELLS


def orifices(time_s):
    """Pressure lost at valve and heads over the square of the velocity, or None when shut."""
    if time_s >= CLOSING_S:
        return None
    opening = (1 - max(time_s, 0) / CLOSING_S) ** CLOSING_EXPONENT
    return AREA_M2**2 * ((VALVE * opening) ** -2 + HEADS**-2)


def at_valve(time_s, pressure):
    """Velocity at the valve and pressure there, continued from the last two cells."""
    edge = 1.5 * pressure[-1] - 0.5 * pressure[-2]
    loss = orifices(time_s)
    if loss is None:
        return 0.0, edge
    drive = edge - OUTLET_PA
    return math.copysign(math.sqrt(abs(drive) / loss), drive), edge


def rates(time_s, state):
    """Momentum at the edges from the reservoir to the last inner one, then mass of the cells."""
    velocity, pressure = state[:CELLS], state[CELLS:]
    last, _ = at_valve(time_s, pressure)
    fall = np.empty(CELLS)
    fall[0] = (pressure[0] - RESERVOIR_PA) / (STEP_M / 2)
    fall[1:] = np.diff(pressure) / STEP_M
    dv = -fall / DENSITY_KG_PER_M3 - FRICTION_FACTOR * velocity * np.abs(velocity) / (2 * BORE_M)
    stiffness = DENSITY_KG_PER_M3 * SPEED_M_PER_S**2
    dp = -stiffness * np.diff(np.append(velocity, last)) / STEP_M
    return np.concatenate([dv, dp])


def solve():
    """Pressure before the valve at each of the times."""
    friction = DENSITY_KG_PER_M3 * FRICTION_FACTOR / (2 * BORE_M)
    v0 = math.sqrt((RESERVOIR_PA - OUTLET_PA) / (friction * LENGTH_M + orifices(0.0)))
    middles = (np.arange(CELLS) + 0.5) * STEP_M
    start = np.concatenate([np.full(CELLS, v0), RESERVOIR_PA - friction * v0**2 * middles])
    # In two parts, so that no step runs across the moment at which the valve is shut.
    values = []
    for low, high in ((0.0, CLOSING_S), (CLOSING_S, TIMES_S[-1])):
        inside = [t for t in TIMES_S if low < t <= high]
        found = solve_ivp(rates, (low, high), start, "DOP853", inside, rtol=1e-8, atol=1e-6)
        assert found.success
        values += [at_valve(t, y[CELLS:])[1] for t, y in zip(inside, found.y.T)]
        start = found.y[:, -1]
    return values


def read():
    """The comment lines and the rows of the table."""
    lines = TABLE.read_text(encoding="utf-8").splitlines()
    notes = [line for line in lines if line.startswith("#")]
    return notes, list(csv.DictReader(line for line in lines if not line.startswith("#")))


NOTE = (
    "# Gauge pressure before a valve at the end of one pipe while it shuts; answers by "
    "tests/library/surge_scipy.py (scipy over 300 cells). The line is invented and described there"
)

if __name__ == "__main__":
    answers = solve()
    if "--write" in sys.argv:
        with TABLE.open("w", encoding="utf-8") as file:
            print(NOTE, "time_s,pressure_pa", sep="\n", file=file)
            for t, p in zip(TIMES_S, answers):
                print(f"{t:.2f},{p:.2f}", file=file)
    else:
        print(answers)
