"""Catch cups and what was read in them, as catch_cups() gives them."""
from __future__ import annotations

from dataclasses import dataclass, field


@dataclass(frozen=True)
class Cup:
    """A cup in its place.

    name: its row and column, such as "B3". bench: the name of the bench that it stands on.
    along_m [m], across_m [m]: from the bench's corner that is nearest the house's origin.
    """

    name: str
    bench: str
    along_m: float
    across_m: float


@dataclass(frozen=True)
class CupCatch:
    """What a cup should hold after all bursts, as a depth of water over its mouth.

    depth_m [m]: most likely. low_m [m], high_m [m]: between which sound heads and other air leave it.
    """

    depth_m: float
    low_m: float
    high_m: float


@dataclass(frozen=True)
class Evenness:
    """How even amounts of water are.

    mean_m [m]: their mean, a depth. christiansen_ratio [1]: Christiansen's coefficient of uniformity.
    low_quarter_ratio [1]: mean of the low quarter over the mean, the distribution uniformity.
    variation_ratio [1]: standard deviation over the mean.
    driest_tenth_ratio [1]: mean of the driest tenth over the mean.
    """

    mean_m: float
    christiansen_ratio: float
    low_quarter_ratio: float
    variation_ratio: float
    driest_tenth_ratio: float


@dataclass(frozen=True)
class CupJudgement:
    """What the cups hold against what they should.

    measured, expected: how even the cups that were read are, and how even they should be.
    total_ratio [1]: all that was caught over what was expected.
    too_little, too_much: names of the cups outside their range. missing: of those without a reading.
    hints: sentences, the likeliest trouble first; none if nothing stands out.
    words: all of it as the program prints it.
    """

    measured: Evenness
    expected: Evenness
    total_ratio: float
    too_little: tuple[str, ...]
    too_much: tuple[str, ...]
    missing: tuple[str, ...]
    hints: tuple[str, ...]
    words: str = field(repr=False)

    def __str__(self) -> str:
        return self.words
