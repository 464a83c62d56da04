#!/usr/bin/env python3
"""Prints README's table of four houses as Markdown: fog and mist, each under the fan and shut.

Usage: MISTWRIGHT_BIN=build/dev/mistwright tests/cases/four_houses.py
"""
import os
import subprocess
import tempfile
from pathlib import Path

import h5py
import numpy as np

CASES = Path(__file__).resolve().parent
HOUSES = [("fog_fan_on", "fog of 20 um, fan on"), ("fog_shut", "fog of 20 um, shut"),
          ("fan_on", "mist of 150 um, fan on"), ("shut", "mist of 150 um, shut")]
FATES = [("leaves", ("leaves",)), ("medium", ("medium",)), ("floor, walls, cover", ("floor", "walls", "cover")),
         ("air", ("air",)), ("out", ("out",))]


def uniformity(water):
    """CU (Christiansen 1942) and DU of the low quarter of equal places, in per cent."""
    mean = water.mean()
    quarter = np.sort(water)[:max(1, len(water) // 4)]
    return 100 * (1 - np.abs(water - mean).mean() / mean), 100 * quarter.mean() / mean


def row(path, words):
    with h5py.File(path) as file:
        meanings = file["water/fate"].attrs["flag_meanings"]
        fates = (meanings.decode() if isinstance(meanings, bytes) else meanings).split()
        mass = file["water/mass"][:].sum(axis=1)
        share = dict(zip(fates, 100 * mass / mass.sum()))
        landed = file["bench/mist_on_leaves"][:] + file["bench/mist_on_medium"][:]
        cu, du = uniformity(landed)
        dry = file["leaves/dry_time"][:] / 60
        hottest = file["series/air_temperature"][:].max() - 273.15
    went = [f"{sum(share.get(part, 0) for part in parts):.0f}" for _, parts in FATES]
    return [words, f"{cu:.0f}", f"{du:.0f}", *went, f"{dry.mean():.0f}", f"{np.percentile(dry, 90):.0f}",
            f"{hottest:.1f}"]


def main():
    head = ["house", "CU, %", "DU, %", *(f"{name}, %" for name, _ in FATES), "dry, min, mean leaf",
            "dry, min, driest tenth from", "hottest air, degC"]
    print("| " + " | ".join(head) + " |")
    print("| --- |" + " ---: |" * (len(head) - 1))
    with tempfile.TemporaryDirectory() as folder:
        for name, words in HOUSES:
            path = Path(folder) / f"{name}.h5"
            subprocess.run([os.environ["MISTWRIGHT_BIN"], "run", str(CASES / f"{name}.toml"), "--alone", "-q",
                            "-o", str(path)], check=True, stdout=subprocess.DEVNULL)
            print("| " + " | ".join(row(path, words)) + " |", flush=True)


if __name__ == "__main__":
    main()
