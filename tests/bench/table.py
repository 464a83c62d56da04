#!/usr/bin/env python3
"""Builds the benchmarks, runs them and prints their tables as Markdown.

Usage: tests/bench/table.py [--repeats N] [--from RESULTS.json] [--no-build]

The solvers of one day run in one process, each N times, in an order drawn anew; times are medians with the smallest and
the largest beside them, and ratios are of medians. With --from the tables are printed from a kept file.
"""
import argparse
import datetime
import json
import math
import re
import statistics
import subprocess
import sys
from collections import defaultdict
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
BUILD = ROOT / "build" / "bench"
PROGRAM = BUILD / "tests" / "bench" / "mistwright_bench"
PEAK_LEAVES = (1000, 10000, 100000, 1000000)
ERRORS = ("air_rms_K", "film_max_um", "dry_mean_s")


def build():
    for command in (["cmake", "--preset", "bench"], ["cmake", "--build", "--preset", "bench", "-j", "2"]):
        subprocess.run(command, cwd=ROOT, check=True, stdout=sys.stderr)


def machine():
    info = Path("/proc/cpuinfo").read_text(encoding="utf-8")
    model = re.search(r"model name\s*: (.*)", info).group(1)
    cores = info.count("processor\t")
    cache = re.search(r"cache size\s*: (.*)", info)
    compiler = subprocess.run(["c++", "--version"], capture_output=True, text=True, check=True).stdout.splitlines()[0]
    return {"model": model, "cores": cores, "cache": cache.group(1) if cache else "unknown", "compiler": compiler,
            "date": datetime.date.today().isoformat()}


def run(repeats):
    kept = BUILD / "benchmarks.json"
    results = {"benchmarks": []}
    for group in ("day/20000", "day/1000", "growth", "part", "footprint"):
        times = 1 if group == "footprint" else repeats  # its large runs of parcels take minutes
        subprocess.run([str(PROGRAM), f"--benchmark_filter=^{group}/", f"--benchmark_repetitions={times}",
                        "--benchmark_enable_random_interleaving=true", "--benchmark_min_time=0.2",
                        f"--benchmark_out={kept}", "--benchmark_out_format=json"],
                       check=True, stdout=sys.stderr)
        results["benchmarks"] += json.loads(kept.read_text(encoding="utf-8"))["benchmarks"]
    results["peak"] = [json.loads(subprocess.run([str(PROGRAM), "--peak", str(leaves)], check=True,
                                                 capture_output=True, text=True).stdout)
                       for leaves in PEAK_LEAVES]
    results["machine"] = machine()
    kept.write_text(json.dumps(results, indent=1), encoding="utf-8")
    return results


def gathered(results):
    """Runs by name: times in seconds, and the last run's counters."""
    runs = defaultdict(lambda: {"times": []})
    for one in results["benchmarks"]:
        if one.get("run_type") == "aggregate":
            continue
        name = re.sub(r"/(iterations|repeats):\d+", "", one["name"])
        scale = {"ns": 1e-9, "us": 1e-6, "ms": 1e-3, "s": 1.0}[one["time_unit"]]
        runs[name]["times"].append(one["cpu_time"] * scale)
        runs[name]["counters"] = one
    for entry in runs.values():
        entry["median"] = statistics.median(entry["times"])
    return runs


def table(head, rows):
    lines = ["| " + " | ".join(head) + " |", "| --- |" + " ---: |" * (len(head) - 1)]
    lines += ["| " + " | ".join(str(cell) for cell in row) + " |" for row in rows]
    return "\n".join(lines)


def figures(value, digits=2):
    """A number to so many figures, without an exponent."""
    if value == 0.0:
        return "0"
    places = max(0, digits - 1 - math.floor(math.log10(abs(value))))
    return f"{value:.{places}f}"


def coarseness(name):
    found = re.search(r"\de-\d+", name)
    return float(found.group(0)) if found else 0.0


def days(runs, leaves):
    prefix = f"day/{leaves}/"
    ours = runs[prefix + "engine"]
    rows, fair = [], []
    names = sorted((name for name in runs if name.startswith(prefix)),
                   key=lambda name: (not name.endswith("/engine"), "loop" in name, re.sub(r", \de-.*", "", name),
                                     "shipped" in name, -coarseness(name)))
    for name in names:
        entry = runs[name]
        solver, counters = name[len(prefix):], entry["counters"]
        ratio = entry["median"] / ours["median"]
        as_good = all(counters[e] <= 2.0 * ours["counters"][e] for e in ERRORS)
        if as_good and solver.startswith("CVODE"):
            fair.append((ratio, solver))
        rows.append([("this engine" if solver == "engine" else solver) + (" \\*" if as_good and solver != "engine" else ""),
                     f"{figures(entry['median'], 3)} ({figures(min(entry['times']), 3)} to {figures(max(entry['times']), 3)})",
                     figures(ratio), figures(counters["air_rms_K"]), figures(counters["film_max_um"]),
                     figures(counters["film_mean_um"]), figures(counters["dry_mean_s"]),
                     f"{counters['dry_max_s']:.0f}", f"{counters['switchings']:.0f}",
                     f"{counters['steps']:.0f}", f"{counters['evaluations']:.0f}"])
    text = table(["one day", "time, s", "over ours", "air rms, K", "film max, um", "film mean, um",
                  "dry time mean, s a leaf", "max, s", "switchings", "steps", "evaluations"], rows)
    ending = (f"\n\nCheapest CVODE row whose three errors (air rms, film max, dry time mean) are all at most twice ours, "
              f"marked \\*: {min(fair)[1]}, {figures(min(fair)[0])} times our time." if fair else
              "\n\nNo CVODE row has all three errors at most twice ours.")
    return text + ending


def growth(runs):
    rows = []
    for what in ("leaves", "bursts", "days", "heads"):
        prefix = f"growth/{what}/"
        points = sorted((entry["counters"]["number"], entry) for name, entry in runs.items() if name.startswith(prefix))
        logs = [(math.log(number), math.log(entry["median"])) for number, entry in points]
        mean_x, mean_y = (statistics.mean(axis) for axis in zip(*logs))
        slope = (sum((x - mean_x) * (y - mean_y) for x, y in logs) / sum((x - mean_x) ** 2 for x, _ in logs))
        last = (logs[-1][1] - logs[-2][1]) / (logs[-1][0] - logs[-2][0])
        rows.append([what, ", ".join(f"{number:.0f}" for number, _ in points),
                     ", ".join(figures(entry["median"], 3) for _, entry in points), f"{slope:.2f}", f"{last:.2f}",
                     f"{points[-1][1]['counters']['events_per_s']:.0f}"])
    return table(["what grows", "numbers", "time, s", "exponent, all", "last two", "events a second, last"], rows)


def memory(results):
    rows = []
    peaks = results["peak"]
    for before, now in zip([None] + peaks, peaks):
        more = (f"{(now['peak_kB'] - before['peak_kB']) * 1024 / (now['leaves'] - before['leaves']):.0f}"
                if before else "")
        rows.append([now["leaves"], f"{now['peak_kB'] / 1024:.0f}", more])
    return table(["leaves", "peak memory, MB", "bytes a leaf more"], rows)


def parts(runs):
    rows = []
    for name, entry in sorted(runs.items()):
        if name.startswith("part/"):
            rate = entry["counters"].get("items_per_second")
            rows.append([name[len("part/"):].replace("queue/", "queue with so many waiting: "),
                         f"{figures(entry['median'] * 1e6, 3)}", f"{rate / 1e6:.3g}" if rate else ""])
    return table(["part", "time, us", "millions a second"], rows)


def footprints(runs):
    rows = []
    for size in ("20 um", "30 um", "60 um", "120 um", "250 um"):
        def of(way):
            return runs.get(f"footprint/{way}, {size}")
        flown, cloud, back = of("parcels"), of("cloud"), of("adjoint of one cell")
        if not (flown and cloud and back):
            continue
        rows.append([size, f"{flown['counters']['parcels']:.0f}", figures(1e3 * flown["median"], 3),
                     figures(flown["counters"]["saved"]), figures(100.0 * flown["counters"]["L1"]),
                     figures(1e3 * cloud["median"], 3),
                     figures(100.0 * cloud["counters"]["L1"]), figures(flown["median"] / cloud["median"]),
                     figures(1e3 * back["median"], 3), figures(100.0 * flown["counters"]["noise_of_large"])])
    return table(["drops", "parcels for 2 % noise", "time, ms", "fewer than by plain counting, times",
                  "L1, %", "cloud, ms", "L1, %",
                  "parcels over cloud", "adjoint of one cell, ms", "noise of the large run, %"], rows)


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--repeats", type=int, default=3)
    parser.add_argument("--from", dest="kept", type=Path)
    parser.add_argument("--no-build", action="store_true")
    options = parser.parse_args()
    if options.kept:
        results = json.loads(options.kept.read_text(encoding="utf-8"))
    else:
        if not options.no_build:
            build()
        results = run(options.repeats)
    about = results["machine"]
    runs = gathered(results)
    print(f"{about['date']}; {about['model']}, {about['cores']} cores, cache {about['cache']}; "
          f"{about['compiler']}; preset `bench` (-O3, contracts off, no -march for this project, -march=native with fused "
          f"multiply-add for the loops of the others). Processor time, median (smallest to largest).\n")
    for leaves in (20000, 1000):
        print(f"One day, {leaves} leaves:\n\n{days(runs, leaves)}\n")
    print(f"Growth:\n\n{growth(runs)}\n")
    print(f"Memory of a fresh process, fields and footprints included:\n\n{memory(results)}\n")
    print(f"Parts:\n\n{parts(runs)}\n")
    print(f"Footprints:\n\n{footprints(runs)}")


if __name__ == "__main__":
    main()
