"""What moving things would bring, as move_table() gives it."""
from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from mistwright._html import figure

if TYPE_CHECKING:
    from mistwright._core import Record


@dataclass(frozen=True)
class MoveResult:
    """What one house came to; amounts of a run longer than a day are means per day.

    mean_dry_s [s]: time in which a leaf is more than half bare, mean of the benches.
    worst_dry_s [s]: the same of the worst place. worst_place: where that is, in words.
    passing_fraction [1]: leaves that are dry no longer than the verdict allows.
    water_kg [kg]: sprayed. lowest_pressure_Pa [Pa]: of any head while it sprays, above the air's.
    starved: whether some head works below what it needs.
    """

    mean_dry_s: float
    worst_dry_s: float
    worst_place: str
    passing_fraction: float
    water_kg: float
    lowest_pressure_Pa: float
    starved: bool


@dataclass(frozen=True)
class MoveRow:
    """One change and what it brings.

    kind: "head", "heights", "fan", "skirt" or "one more". words: what is changed, with its numbers.
    effect: "gain", "harm", or "cannot tell" from the draws of drops.
    result: what the changed house came to.
    mean_gain_s [s]: dry time less than before, mean of the leaves; harm is negative.
    worst_gain_s [s]: the same of the worst place.
    """

    kind: str
    words: str
    effect: str
    result: MoveResult
    mean_gain_s: float
    worst_gain_s: float


@dataclass(frozen=True, eq=False)
class Influence:
    """Where a head would bring most to the leaves that are dry longest, over the plan of the house.

    air: what runs and stands open. height_m [m]: at which the water is let go.
    misplaced_fraction [1]: of what lands, by the way in which this is computed; a strong fan makes it large.
    x_m [m], y_m [m]: centres of an even grid over the plan.
    let_go_fraction [1], of shape (y, x): water let go at rest there that lands on the driest tenth
    of the benches. thrown_fraction [1], of the same shape: the same of water that a head throws.
    """

    air: str
    height_m: float
    misplaced_fraction: float
    x_m: NDArray[np.float64]
    y_m: NDArray[np.float64]
    let_go_fraction: NDArray[np.float64]
    thrown_fraction: NDArray[np.float64]


@dataclass(frozen=True)
class MoveTable:
    """Changes that a grower can make on a quiet afternoon: gains first, the largest first.

    as_is: the house as it is. left_out: what cannot be done, a clause each, with the reason.
    mean_noise_s [s], worst_noise_s [s]: gains and losses smaller than these are the noise of draws.
    findings: the best change in a sentence, or that none helps. words: all as the program prints it.
    picture: the map of influence with the best changes, an SVG document.
    influence: the numbers of that map. record: the Record of the house as it is.
    """

    house_name: str
    as_is: MoveResult
    rows: tuple[MoveRow, ...]
    left_out: tuple[str, ...]
    mean_noise_s: float
    worst_noise_s: float
    findings: str = field(repr=False)
    words: str = field(repr=False)
    picture: str = field(repr=False)
    influence: Influence = field(repr=False, compare=False)
    record: Record = field(repr=False)

    def __len__(self) -> int:
        return len(self.rows)

    def __iter__(self) -> Iterator[MoveRow]:
        return iter(self.rows)

    def __str__(self) -> str:
        return self.words

    def _repr_html_(self) -> str:
        rows = ((_texts(row), row.effect == "gain") for row in self.rows)
        return figure(self.house_name, self.findings, _COLUMNS, rows,
                      f"Less than {self.mean_noise_s / 60:.1f} min of the mean cannot be told from "
                      "the draws of drops." if self.rows else "")


# Each column's name, unit and side.
_COLUMNS = (("change", "", "left"), ("effect", "", "left"), ("gain, mean", "min", "right"),
            ("worst place", "min", "right"), ("water", "L", "right"))


def _texts(row: MoveRow) -> tuple[str, ...]:
    """A row's cells."""
    return (row.words, row.effect, f"{row.mean_gain_s / 60:+.1f}", f"{row.worst_gain_s / 60:+.1f}",
            f"{row.result.water_kg:.0f}")
