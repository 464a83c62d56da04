"""A small sweep, as a user would write it; mypy --strict must pass it."""
from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from mistwright import Engine, Error, House, Record, Report, Scenario, ScenarioError, ShadeTable, shade_table


def houses(path: Path, cloths: list[str]) -> Iterator[tuple[str, House]]:
    scenario = Scenario.load(path)
    for cloth in cloths:
        yield cloth, scenario.change({"house.shade_cloth": cloth, "span.length": "2 h",
                                      "span.start": "2025-06-03T12:00:00",
                                      "numerics.parcels_per_class": 50,
                                      "numerics.flow_cell": "0.4 m"}).house()


def dry_minutes(record: Record) -> NDArray[np.float64]:
    minutes: NDArray[np.float64] = record["bench/dry_time"] / 60.0
    return minutes


def note(share: float, doing: str) -> None:
    print(f"{share:4.0%} {doing}", file=sys.stderr)


def best_of(house: House) -> str:
    table: ShadeTable = shade_table(house, threads=2, progress=note)
    if table.best is None:
        return f"no row is good below {table.hottest_leaf_limit_K:.0f} K"
    return f"best: {table.best.words}, dry for {table.best.mean_dry_s / 60:.0f} min"


def main(path: Path) -> int:
    try:
        for cloth, house in houses(path, ["30 %", "50 %"]):
            record: Record = Engine(house, threads=2).run(neighbours=False, progress=note)
            worst: float = float(dry_minutes(record).max())
            units: str = record.variable("bench/dry_time").units
            print(f"{cloth}: worst place dry for {worst:.0f} min; stored in {units}")
            page: str = Report(record).html
            print(len(page) > 0, record.verdict.splitlines()[0])
        print(best_of(house))
    except ScenarioError as error:
        for problem in error.problems:
            print(problem.file, problem.line, problem.column, problem.key, problem.suggestion)
        return 3
    except Error as error:
        print(error)
        return 70
    return 0


if __name__ == "__main__":
    sys.exit(main(Path(sys.argv[1])))
