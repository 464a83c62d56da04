"""Looped networks solved by scipy, by another route than the program's own.

The unknowns are the potentials of nodes alone, where the program's are flows and potentials at once. A pipe's flow is
bisected from the fall of potential; Colebrook's equation is solved in closed form by Wright's omega function; between
Reynolds numbers 2000 and 4000 stands the cubic that meets both laws in value and slope, as the program states.
Networks are dictionaries as tests/water/sample_networks.cpp prints them; of the answers in there only one thing is
used: which heads with check valves are open, for that hangs on what went before. All SI.
"""

import numpy as np
from scipy.optimize import root
from scipy.special import wrightomega

from network_scipy import GRAVITY, water

LAMINAR_END, TURBULENT_START = 2000.0, 4000.0


def colebrook(reynolds, roughness):
    """1/sqrt(f) from x = -2 log10(a + b x): y/c + ln(y/c) = a/c - ln c with y = a + b x and c = 2 b / ln 10."""
    a, b = roughness / 3.7, 2.51 / reynolds
    c = 2 * b / np.log(10)
    return (c * wrightomega(a / c - np.log(c)) - a) / b


def factor(reynolds, roughness):
    """Darcy's friction factor."""
    end = np.full_like(roughness, TURBULENT_START)
    x = colebrook(end, roughness)
    wall = 2 / np.log(10) * 2.51 / end / (roughness / 3.7 + 2.51 * x / end)
    width = TURBULENT_START - LAMINAR_END
    low, low_slope = 64 / LAMINAR_END, -64 / LAMINAR_END**2 * width
    high, high_slope = x**-2, -2 * x**-3 * (wall * x / end / (1 + wall)) * width
    t = (reynolds - LAMINAR_END) / width
    bridge = ((1 + 2 * t) * (1 - t) ** 2 * low + t * (1 - t) ** 2 * low_slope
              + t**2 * (3 - 2 * t) * high + t**2 * (t - 1) * high_slope)
    rough = colebrook(np.maximum(reynolds, LAMINAR_END), roughness) ** -2
    return np.where(reynolds <= LAMINAR_END, 64 / reynolds,
                    np.where(reynolds < TURBULENT_START, bridge, rough))


class Pipes:
    """The open pipes between reached nodes, as arrays."""

    def __init__(self, pipes, density, viscosity):
        def column(name):
            return np.array([float(pipe[name]) for pipe in pipes])

        self.start = np.array([pipe["from"] for pipe in pipes])
        self.end = np.array([pipe["to"] for pipe in pipes])
        self.length, self.diameter = column("length_m"), column("diameter_m")
        self.roughness = column("roughness_m") / self.diameter
        self.area = np.pi / 4 * self.diameter**2
        self.density, self.viscosity = density, viscosity
        valve = column("valve_m3_per_s_per_sqrtPa")
        valve_loss = np.where(valve > 0, 1 / np.where(valve > 0, valve, 1) ** 2, 0)
        self.square = column("minor_loss") * density / (2 * self.area**2) + valve_loss
        self.still = 128 * viscosity * self.length / (np.pi * self.diameter**4)

    def reynolds(self, flow):
        """Of a flow of either sign."""
        return self.density * np.abs(flow) / self.area * self.diameter / self.viscosity

    def loss(self, flow):
        """Pressure lost at positive flows."""
        friction = factor(self.reynolds(flow), self.roughness) * self.length / self.diameter
        return friction * self.density * (flow / self.area) ** 2 / 2 + self.square * flow**2

    def flow(self, fall):
        """The flow that loses a fall of potential."""
        wanted = np.abs(fall)
        low, high = np.full_like(fall, np.log(1e-13)), np.full_like(fall, np.log(1e-1))
        for _ in range(60):
            middle = (low + high) / 2
            more = self.loss(np.exp(middle)) < wanted
            low, high = np.where(more, middle, low), np.where(more, high, middle)
        slow = wanted / self.still < 1e-12
        return np.sign(fall) * np.where(slow, wanted / self.still, np.exp((low + high) / 2))

    def conductance(self, flow):
        """Rise of flow with the fall, by a difference of the loss."""
        size = np.maximum(np.abs(flow), 1e-12)
        return 2e-6 * size / (self.loss(size * (1 + 1e-6)) - self.loss(size * (1 - 1e-6)))


def supply_flow(supply, pressure):
    """What the supply gives at a pressure: the inverse of its falling curve."""
    if supply["curve"]:
        flows, pressures = np.array(supply["curve"]).T
        i = int(np.clip(np.searchsorted(-pressures, -pressure), 1, len(flows) - 1))
        share = (pressures[i - 1] - pressure) / (pressures[i - 1] - pressures[i])
        return flows[i - 1] + share * (flows[i] - flows[i - 1])
    loss = (supply["static_Pa"] - supply["bucket_Pa"]) / supply["bucket_m3_per_s"] ** 2
    left = supply["static_Pa"] - pressure
    return np.sign(left) * np.sqrt(abs(left) / loss)


def head_flow(head, pressure):
    """k p^x; nothing is sucked in."""
    return head["rated_m3_per_s"] * (max(pressure, 0.0) / head["rated_Pa"]) ** head["exponent"]


def reached(network):
    """Nodes that the supply reaches through open pipes."""
    found = {network["supply"]["node"]}
    for _ in network["nodes"]:
        for pipe in network["pipes"]:
            if pipe["open"] and (pipe["from"] in found or pipe["to"] in found):
                found |= {pipe["from"], pipe["to"]}
    return sorted(found)


class Judge:
    """One network: the surplus of water at each node as a function of the potentials."""

    def __init__(self, network):
        self.supply, self.nodes = network["supply"], network["nodes"]
        self.density, self.viscosity = water(network["temperature_K"])
        self.wet = reached(network)
        self.passing = [i for i, pipe in enumerate(network["pipes"]) if pipe["open"] and pipe["from"] in self.wet]
        self.pipes = Pipes([network["pipes"][i] for i in self.passing], self.density, self.viscosity)
        self.heads = [head for head in network["heads"] if head["node"] in self.wet
                      and (not head["check_valve"] or head["flow_m3_per_s"] > 0)]
        self.all_heads, self.pipe_count = network["heads"], len(network["pipes"])
        self.stiff = not self.supply["curve"] and not self.supply["bucket_m3_per_s"]
        self.free = [n for n in self.wet if not (self.stiff and n == self.supply["node"])]

    def lift(self, metres):
        """Weight of a column of water."""
        return self.density * GRAVITY * metres

    def tap(self, potential):
        """Gauge pressure at the supply's node."""
        node = self.supply["node"]
        return potential[node] - self.lift(self.nodes[node]["elevation_m"])

    def potentials(self, unknown):
        """By node, dry ones at nothing."""
        potential = np.zeros(len(self.nodes))
        node = self.supply["node"]
        potential[node] = self.supply["static_Pa"] + self.lift(self.nodes[node]["elevation_m"])
        potential[self.free] = unknown
        return potential

    def surplus(self, unknown):
        """Water that comes to each node of unknown potential less what leaves it."""
        potential = self.potentials(unknown)
        left = np.zeros(len(self.nodes))
        flow = self.pipes.flow(potential[self.pipes.start] - potential[self.pipes.end])
        np.add.at(left, self.pipes.start, -flow)
        np.add.at(left, self.pipes.end, flow)
        for head in self.heads:
            left[head["node"]] -= head_flow(head, potential[head["node"]] - self.lift(head["elevation_m"]))
        if not self.stiff:
            left[self.supply["node"]] += supply_flow(self.supply, self.tap(potential))
        return left[self.free]

    def slopes(self, unknown):
        """Jacobian of the surplus, by differences of each law alone."""
        potential = self.potentials(unknown)
        out = np.zeros((len(self.nodes), len(self.nodes)))
        a, b = self.pipes.start, self.pipes.end
        grows = self.pipes.conductance(self.pipes.flow(potential[a] - potential[b]))
        for rows, columns, sign in ((a, a, -1), (b, b, -1), (a, b, 1), (b, a, 1)):
            np.add.at(out, (rows, columns), sign * grows)
        for head in self.heads:
            n, pressure = head["node"], potential[head["node"]] - self.lift(head["elevation_m"])
            out[n, n] -= (head_flow(head, pressure + 0.1) - head_flow(head, pressure - 0.1)) / 0.2
        if not self.stiff:
            n, pressure = self.supply["node"], self.tap(potential)
            out[n, n] += (supply_flow(self.supply, pressure + 0.1) - supply_flow(self.supply, pressure - 0.1)) / 0.2
        return out[np.ix_(self.free, self.free)]

    def solve(self):
        """Node pressures, pipe, head and supply flows; and how far nodes are from balance, over the greatest flow."""
        start = np.full(len(self.free), self.supply["static_Pa"]) * (0.9 - 0.01 * np.arange(len(self.free)))
        rated = sum(head["rated_m3_per_s"] for head in self.heads)
        static = self.supply["static_Pa"]
        answer = root(lambda x: self.surplus(x * static) / rated, start / static, tol=1e-14, method="hybr",
                      jac=lambda x: self.slopes(x * static) * static / rated)
        unknown = answer.x * static
        for _ in range(4):  # a few full Newton steps: hybr ends at about a digit less
            unknown = unknown - np.linalg.solve(self.slopes(unknown), self.surplus(unknown))
        potential = self.potentials(unknown)
        wet = np.isin(np.arange(len(self.nodes)), self.wet)
        height = self.lift(np.array([node["elevation_m"] for node in self.nodes]))
        pipes = np.zeros(self.pipe_count)
        pipes[self.passing] = self.pipes.flow(potential[self.pipes.start] - potential[self.pipes.end])
        heads = np.array([head_flow(head, potential[head["node"]] - self.lift(head["elevation_m"]))
                          if any(head is one for one in self.heads) else 0.0 for head in self.all_heads])
        supply = heads.sum() if self.stiff else supply_flow(self.supply, self.tap(potential))
        return {"reached": wet, "pressure_Pa": np.where(wet, potential - height, 0.0), "pipe_m3_per_s": pipes,
                "head_m3_per_s": heads, "supply_m3_per_s": supply,
                "head_pressure_Pa": np.array([potential[h["node"]] - self.lift(h["elevation_m"])
                                              for h in self.all_heads]),
                "imbalance": np.abs(self.surplus(unknown)).max() / supply}
