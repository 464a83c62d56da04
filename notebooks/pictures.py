"""What the notebooks share: how fine they compute, and how their pictures look.

MISTWRIGHT_QUICK=1 computes coarsely, for a first look; the words then still hold, the last digits do not.
"""
from __future__ import annotations

import os

import matplotlib.pyplot as plt
import numpy as np
from matplotlib.colors import ListedColormap
from matplotlib.patches import Rectangle

QUICK = os.environ.get("MISTWRIGHT_QUICK") == "1"
SETTINGS = {"numerics.parcels_per_class": 60, "numerics.size_classes": 12,
            "numerics.flow_cell": "0.4 m", "numerics.bench_cell": "0.3 m"} if QUICK else {}
# The hours that a table of many runs needs at the least.
DAYTIME = {"span.start": "2025-06-03T10:00:00", "span.length": "7 h"} if QUICK else {}

INK, QUIET, RULE = "#1d2320", "#4a524d", "#d9d6cc"
BLUE, RUST, SAND, GREY = "#1d5b8f", "#a8481a", "#9a7d2e", "#7d858d"
# Where water ends, wet to lost; told apart by lightness as well as by colour.
FATES = {"leaves": "#1d5b8f", "medium": "#9a6a35", "floor": "#7d858d", "walls": "#b4bac0",
         "cover": "#5fa39a", "air": "#e0bf55", "out": "#b23a48"}


def _lab_ramp(dark, count=256):
    """From paper to a dark colour, lightness (CIE L*) falling in equal steps."""
    white = np.array([0.95047, 1.0, 1.08883])  # D65, CIE 15
    to_xyz = np.array([[0.4124564, 0.3575761, 0.1804375], [0.2126729, 0.7151522, 0.0721750],
                       [0.0193339, 0.1191920, 0.9503041]])  # sRGB, IEC 61966-2-1

    def lab(hexadecimal):
        rgb = np.array([int(hexadecimal[i:i + 2], 16) / 255 for i in (1, 3, 5)])
        linear = np.where(rgb <= 0.04045, rgb / 12.92, ((rgb + 0.055) / 1.055) ** 2.4)
        f = np.cbrt(to_xyz @ linear / white)
        return np.array([116 * f[1] - 16, 500 * (f[0] - f[1]), 200 * (f[1] - f[2])])

    share = np.linspace(0, 1, count)[:, None]
    low, high = lab("#faf7ef"), lab(dark)
    mixed = low + share * (high - low)
    mixed[:, 1:] += (np.sin(np.pi * share) * 0.35) * high[1:]  # keep the middle from greying
    fy = (mixed[:, 0] + 16) / 116
    f = np.stack([fy + mixed[:, 1] / 500, fy, fy - mixed[:, 2] / 200], axis=1)
    linear = np.clip((f ** 3 * white) @ np.linalg.inv(to_xyz).T, 0, 1)
    return np.where(linear <= 0.0031308, 12.92 * linear, 1.055 * linear ** (1 / 2.4) - 0.055)


WET = ListedColormap(_lab_ramp("#0f3d66"), name="wet")
DRY = ListedColormap(_lab_ramp("#5a2408"), name="dry")
HOT = ListedColormap(_lab_ramp("#7a1622"), name="hot")


def style():
    """Quiet axes, letters large enough to read on paper."""
    plt.rcParams.update({
        "figure.dpi": 110, "savefig.bbox": "tight", "figure.constrained_layout.use": True,
        "font.size": 10.5, "axes.titlesize": 11, "axes.labelsize": 10.5, "xtick.labelsize": 10,
        "ytick.labelsize": 10, "legend.fontsize": 10, "axes.titlelocation": "left",
        "axes.titleweight": "bold", "axes.spines.top": False, "axes.spines.right": False,
        "axes.edgecolor": QUIET, "axes.labelcolor": INK, "text.color": INK, "axes.grid": True,
        "xtick.color": QUIET, "ytick.color": QUIET, "grid.color": RULE, "grid.linewidth": 0.7,
        "axes.axisbelow": True, "legend.frameon": False, "lines.linewidth": 2.0})


def bench_map(axes, record, values, *, ramp=WET, high, title="", near=False):
    """The benches from above, each cell coloured by a value; circles are heads. Returns the colours.

    near: the benches alone, without the walls.
    """
    x, y = record["bench/x"], record["bench/y"]
    edge = float(record.group_attributes("bench")["cell_edge_m"])
    xs, ys = (np.round(np.arange(p.min(), p.max() + edge / 2, edge), 6) for p in (x, y))
    grid = np.full((len(ys), len(xs)), np.nan)
    grid[np.rint((y - ys[0]) / edge).astype(int), np.rint((x - xs[0]) / edge).astype(int)] = values
    drawn = axes.pcolormesh(xs, ys, grid, cmap=ramp, vmin=0, vmax=high, shading="nearest")
    for i, name in enumerate(record.variable("house/bench").meanings):
        corner = record["house/bench_x"][i], record["house/bench_y"][i]
        size = record["house/bench_length"][i], record["house/bench_width"][i]
        axes.add_patch(Rectangle(corner, *size, fill=False, edgecolor=QUIET, linewidth=1))
        axes.annotate(f"{name} bench", (corner[0], corner[1] + size[1]), xytext=(0, 3),
                      textcoords="offset points", fontsize=10, color=QUIET)
    axes.plot(record["heads/x"], record["heads/y"], "o", markersize=6, markerfacecolor="white",
              markeredgecolor="#111111")
    length, width = (float(record.group_attributes("house")[k]) for k in ("length_m", "width_m"))
    axes.add_patch(Rectangle((0, 0), length, width, fill=False, edgecolor=INK, linewidth=1.6))
    axes.set(aspect="equal", xlim=(-0.15, length + 0.15), ylim=(-0.15, width + 0.15),
             xlabel="from the door, m", ylabel="from the right wall, m", title=title)
    if near:
        axes.set(xlim=(x.min() - edge, x.max() + edge), ylim=(y.min() - edge, y.max() + 0.4))
    axes.grid(False)
    return drawn


def air_cut(record, flow, *, height=None, across=None):
    """One cut through a state of the air: from above at a height, or from the side at a distance from the right wall.

    Returns the two axes' places, the two speeds in the cut, the whole speed and the temperature, degC.
    """
    x, y, z = (record[f"{flow}/{axis}"] for axis in "xyz")
    u, v, w, warm = (record[f"{flow}/{name}"] for name in ("u", "v", "w", "air_temperature"))
    at = (np.abs(z - height).argmin() if across is None else np.abs(y - across).argmin())
    cut = (lambda a: a[at]) if across is None else (lambda a: a[:, at])
    speed = np.sqrt(u ** 2 + v ** 2 + w ** 2)
    return (x, y if across is None else z, cut(u), cut(v) if across is None else cut(w), cut(speed),
            cut(warm) - 273.15)


def air_map(axes, cut, values, *, ramp, low, high, title="", up="from the right wall, m"):
    """A cut coloured by a value, with lines along which the air moves. Returns the colours."""
    x, across, along, aside, *_ = cut
    drawn = axes.pcolormesh(x, across, values, cmap=ramp, vmin=low, vmax=high, shading="nearest")
    axes.streamplot(x, across, np.ma.masked_invalid(along), np.ma.masked_invalid(aside), color=INK,
                    linewidth=0.7, arrowsize=0.7, density=(1.3, 0.7))
    axes.set(aspect="equal", xlabel="from the door, m", ylabel=up, title=title,
             xlim=(x[0], x[-1]), ylim=(across[0], across[-1]))
    axes.grid(False)
    return drawn


def christiansen(water):
    """Uniformity in per cent: 100 (1 - mean deviation / mean). Christiansen 1942."""
    return 100 * (1 - np.abs(water - water.mean()).mean() / water.mean())


def low_quarter(water):
    """What the worst-served quarter gets, in per cent of the mean."""
    return 100 * np.sort(water)[:max(1, len(water) // 4)].mean() / water.mean()


def water_by_fate(record):
    """Share of the sprayed water that ended in each place, in per cent."""
    mass = record["water/mass"].sum(axis=1)
    return dict(zip(record.variable("water/fate").meanings, 100 * mass / mass.sum()))


def half_hours(record, name):
    """Hours by the wall clock and means of a series over half hours, the midnight at the end left out."""
    hours, values = record.clock_hours(), record[f"series/{name}"]
    each = max(1, round(0.5 / (hours[1] - hours[0])))
    count = len(hours) // each
    return (hours[:count * each].reshape(count, each).mean(axis=1),
            values[:count * each].reshape(count, each).mean(axis=1))


def minutes_words(minutes):
    """A length of time as people say it."""
    hours, rest = divmod(round(minutes), 60)
    if hours == 0:
        return f"{rest} min"
    return f"{hours} h {rest} min" if rest else f"{hours} h"
