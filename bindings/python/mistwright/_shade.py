"""The table of shade and vents, as shade_table() gives it."""
from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from mistwright._html import figure, with_degrees

if TYPE_CHECKING:
    from mistwright._core import Record


@dataclass(frozen=True)
class ShadeRow:
    """What the house came to under one cloth with one way to let air through.

    Amounts of a run longer than a day are means per day; a shorter run counts what fell in it.
    `dataclasses.asdict(row)` is the row as a dict, and a data frame takes `table.rows` as they are.

    shade_fraction [1]: nominal shade of the cloth, drawn all day.
    air: the way to let air through, in words. shut: whether nothing but leaks lets any through.
    hottest_air_K [K]: the hottest air where benches stand. hottest_hour_h [h]: when, by the clock.
    hottest_leaf_K [K]: the hottest leaf. wet_bulb_K [K]: the greatest wet bulb of the house's air.
    driest_air_Pa [Pa]: the greatest vapour pressure deficit, mean of the house.
    light_mol_per_m2 [mol m-2]: photons of 400 to 700 nm at the leaves, a day.
    mean_dry_s [s]: time a day in which a leaf is more than half bare, mean of the benches.
    worst_dry_s [s]: the same of the worst place. water_kg [kg]: sprayed, a day.
    air_changes_per_h [h-1]: mean changes of the house's air.
    """

    shade_fraction: float
    air: str
    shut: bool
    hottest_air_K: float
    hottest_hour_h: float
    hottest_leaf_K: float
    wet_bulb_K: float
    driest_air_Pa: float
    light_mol_per_m2: float
    mean_dry_s: float
    worst_dry_s: float
    water_kg: float
    air_changes_per_h: float

    @property
    def words(self) -> str:
        """The row's name, such as "30 % cloth, vents open"."""
        return f"{100 * self.shade_fraction:.0f} % cloth, {self.air}"


@dataclass(frozen=True)
class ShadeTable:
    """The rows of a house by cloth, then by air, and the one that they recommend.

    best: the ventilated row with the least mean dry time among those with enough light and leaves
    that stay below the limit of heat; None if there is no such row.
    hottest_leaf_limit_K [K]: that limit. least_light_mol_per_m2, most_light_mol_per_m2 [mol m-2]:
    the light of a day that cuttings use before they root.
    part_of_day_s [s]: the length of runs shorter than a day, whose amounts are those of the run; else 0.
    findings: what the table says, in a few sentences. words: all of it as the program prints it.
    records: the Record of each row, in the same order, if asked for; else empty.
    """

    house_name: str
    rows: tuple[ShadeRow, ...]
    best: ShadeRow | None
    hottest_leaf_limit_K: float
    least_light_mol_per_m2: float
    most_light_mol_per_m2: float
    part_of_day_s: float
    findings: str = field(repr=False)
    words: str = field(repr=False)
    records: tuple[Record, ...] = field(default=(), repr=False)

    def __len__(self) -> int:
        return len(self.rows)

    def __iter__(self) -> Iterator[ShadeRow]:
        return iter(self.rows)

    def __str__(self) -> str:
        return self.words

    def _repr_html_(self) -> str:
        rows = ((_texts(row, row is self.best), row is self.best) for row in self.rows)
        return figure(self.house_name, self.findings, _columns(self.part_of_day_s), rows,
                      "A shut house is listed to compare, never as advice.")


def _columns(part_of_day_s: float) -> tuple[tuple[str, str, str], ...]:
    """Each column's name, unit and side."""
    each = "in this run" if part_of_day_s > 0 else "a day"
    return (("cloth", "", "right"), ("air", "", "left"), ("hottest air", "°C (°F)", "right"),
            ("leaf", "°C (°F)", "right"), ("wet bulb", "°C (°F)", "right"),
            ("driest", "kPa", "right"), ("light", f"mol/m² {each}", "right"),
            ("dry, mean", f"min {each}", "right"), ("worst", f"min {each}", "right"),
            ("water", f"L {each}", "right"), ("", "", "left"))


def _both_degrees(temperature_K: float) -> str:
    """Celsius and Fahrenheit.

    >>> _both_degrees(303.15)
    '30.0 (86)'
    """
    celsius = temperature_K - 273.15
    return f"{celsius:.1f} ({32 + 1.8 * celsius:.0f})"


def _texts(row: ShadeRow, best: bool) -> tuple[str, ...]:
    """A row's cells."""
    return (f"{100 * row.shade_fraction:.0f} %", with_degrees(row.air),
            _both_degrees(row.hottest_air_K), _both_degrees(row.hottest_leaf_K),
            _both_degrees(row.wet_bulb_K), f"{row.driest_air_Pa / 1000:.2f}",
            f"{row.light_mol_per_m2:.1f}", f"{row.mean_dry_s / 60:.0f}",
            f"{row.worst_dry_s / 60:.0f}", f"{row.water_kg:.0f}", "best" if best else "")
