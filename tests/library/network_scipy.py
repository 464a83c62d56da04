"""A small looped mist network solved by scipy, by another route than the program's own.

The unknowns are the node potentials alone: each pipe's flow is found by bracketing from the fall of
potential, Colebrook's equation by bracketing too. The case and the frozen answers live in
tests/reference/network_scipy_nodes.csv and network_scipy_pipes.csv. Call with --write to renew the
answers. The network is invented.
"""

import csv
import math
import pathlib
import sys

import numpy as np
from scipy.optimize import brentq, root

REFERENCE = pathlib.Path(__file__).resolve().parents[1] / "reference"
TEMPERATURE_K = 291.15
STATIC_PA = 3.5e5
BUCKET_M3_PER_S = 18e-3 / 60
GRAVITY = 9.80665


def water(temperature_k):
    """Density by Tanaka et al. 2001 eq. 1, viscosity by IAPWS SR6-08."""
    t = temperature_k - 273.15
    density = 999.974950 * (
        1 - (t - 3.983035) ** 2 * (t + 301.797) / (522528.9 * (t + 69.34881))
    )
    reduced = temperature_k / 300
    terms = ((280.68, -1.9), (511.45, -7.7), (61.131, -19.6), (0.45903, -40.0))
    return density, 1e-6 * sum(a * reduced**b for a, b in terms)


RHO, MU = water(TEMPERATURE_K)


def read(name):
    """The comment lines, the header and the rows of a reference table."""
    lines = (REFERENCE / name).read_text(encoding="utf-8").splitlines()
    notes = [line for line in lines if line.startswith("#")]
    rows = list(csv.DictReader(line for line in lines if not line.startswith("#")))
    return notes, rows


def friction(reynolds, relative_roughness):
    """Darcy's factor; the case keeps out of the range between the two laws."""
    if reynolds <= 2000:
        return 64 / reynolds

    def colebrook(x):
        return x + 2 * math.log10(relative_roughness / 3.7 + 2.51 * x / reynolds)

    return brentq(colebrook, 1, 20, xtol=1e-15, rtol=1e-15) ** -2


def loss(pipe, flow):
    """Pressure lost at a positive flow."""
    diameter = float(pipe["diameter_m"])
    velocity = flow / (math.pi / 4 * diameter**2)
    reynolds = RHO * velocity * diameter / MU
    factor = friction(reynolds, float(pipe["roughness_m"]) / diameter)
    lengths = factor * float(pipe["length_m"]) / diameter
    return (lengths + float(pipe["minor_loss"])) * RHO * velocity**2 / 2


def flow_from_fall(pipe, fall):
    """The flow that loses a fall of potential."""
    if fall == 0:
        return 0.0
    flow = brentq(lambda q: loss(pipe, q) - abs(fall), 1e-12, 1e-2, xtol=1e-18, rtol=1e-15)
    return math.copysign(flow, fall)


def solve():
    """Rows of nodes and pipes with the answers filled in."""
    _, nodes = read("network_scipy_nodes.csv")
    _, pipes = read("network_scipy_pipes.csv")
    place = {node["node"]: i for i, node in enumerate(nodes)}
    supply_loss = STATIC_PA / BUCKET_M3_PER_S**2

    def flows(potential):
        return [
            flow_from_fall(p, potential[place[p["from"]]] - potential[place[p["to"]]])
            for p in pipes
        ]

    def head_flow(node, potential):
        if not node["rated_flow_m3_per_s"]:
            return 0.0
        pressure = potential - RHO * GRAVITY * float(node["head_elevation_m"])
        ratio = max(pressure, 0.0) / float(node["rated_pressure_pa"])
        return float(node["rated_flow_m3_per_s"]) * ratio ** float(node["exponent"])

    def surplus(scaled):
        potential = scaled * STATIC_PA
        left = np.array([-head_flow(n, h) for n, h in zip(nodes, potential)])
        for pipe, flow in zip(pipes, flows(potential)):
            left[place[pipe["from"]]] -= flow
            left[place[pipe["to"]]] += flow
        tap = potential[0] - RHO * GRAVITY * float(nodes[0]["elevation_m"])
        left[0] += math.copysign(math.sqrt(abs(STATIC_PA - tap) / supply_loss), STATIC_PA - tap)
        return left / BUCKET_M3_PER_S

    start = 0.9 - 0.01 * np.arange(len(nodes))
    answer = root(surplus, start, method="hybr", tol=1e-14)
    for _ in range(4):  # a few full Newton steps with a fresh difference Jacobian
        base = surplus(answer.x)
        columns = []
        for i in range(len(nodes)):
            step = np.zeros(len(nodes))
            step[i] = 1e-6
            columns.append((surplus(answer.x + step) - surplus(answer.x - step)) / 2e-6)
        answer.x = answer.x - np.linalg.solve(np.array(columns).T, base)
    assert np.abs(surplus(answer.x)).max() < 1e-12, "scipy did not settle"

    potential = answer.x * STATIC_PA
    for node, h in zip(nodes, potential):
        node["pressure_pa"] = h - RHO * GRAVITY * float(node["elevation_m"])
        node["head_flow_m3_per_s"] = head_flow(node, h)
    for pipe, flow in zip(pipes, flows(potential)):
        diameter = float(pipe["diameter_m"])
        reynolds = 4 * RHO * abs(flow) / (math.pi * diameter * MU)
        assert not 1900 < reynolds < 4100, f"{pipe['pipe']} lies between the laws: {reynolds:.0f}"
        pipe["flow_m3_per_s"] = flow
    return nodes, pipes


def write(name, rows, answers):
    """Puts the answers into a reference table."""
    notes, _ = read(name)
    lines = notes + [",".join(rows[0])]
    for row in rows:
        cells = [f"{v:.15e}" if k in answers else v for k, v in row.items()]
        lines.append(",".join(cells))
    (REFERENCE / name).write_text("\n".join(lines) + "\n", encoding="utf-8")


if __name__ == "__main__":
    solved_nodes, solved_pipes = solve()
    if "--write" in sys.argv:
        write("network_scipy_nodes.csv", solved_nodes, {"pressure_pa", "head_flow_m3_per_s"})
        write("network_scipy_pipes.csv", solved_pipes, {"flow_m3_per_s"})
    for row in solved_nodes + solved_pipes:
        print(row)
