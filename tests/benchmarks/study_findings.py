"""Do the class's findings hold what they promise? Simulated classes, many of them.

Run it by hand: python tests/benchmarks/study_findings.py [classes]

Each class has a tape that stands up to 3 mm too high or low, heights set to ± 5 mm,
rebounds read to ± 1 cm, bounces that scatter, groups that read differently, and a
gauge with a standard uncertainty of 1.5 kPa. All is invented; what is put in is known,
so that what comes out can be judged.
"""

import sys
import tempfile
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from bouncelab.analysis.bounciness import bounciness
from bouncelab.analysis.comparison import compare
from bouncelab.analysis.pressure import tune_pressure
from bouncelab.catalogue import load_ranges
from bouncelab.readings.drops import read_rows

DROP = 1.8  # m
HEADINGS = ["group", "ball", "drop (m)", "rebound (m)", "pressure (kPa)"]
CURVE = (0.75, 6e3, 8e3)  # e² = a − b/(p + c), p in Pa
LEVELS = (15e3, 25e3, 35e3, 45e3, 55e3, 65e3)
TARGET = 40e3


@dataclass(frozen=True)
class Spread:
    """How a class scatters: of e from drop to drop, group to group, ball in group."""

    drop: float = 0.005
    group: float = 0.0
    own: float = 0.0
    gauge: float = 1500.0


def heights(rng, e, spread, shift, wall):
    """One reading of drop and rebound: what is set and read is not what is so."""
    mark, tape = wall
    rebound = (e + shift + rng.normal(0, spread.drop)) ** 2 * (DROP + mark)
    return [f"{DROP:g}", f"{rebound + tape + rng.uniform(-0.01, 0.01):.4f}"]


def a_wall(rng):
    """What all drops of a lesson share: where the mark and the tape's zero are."""
    return rng.uniform(-0.005, 0.005), rng.uniform(-0.003, 0.003)


def one_class(rng, balls, spread, *, groups=4, n=5):
    wall = a_wall(rng)
    rows = []
    for k in range(groups):
        shift = rng.normal(0, spread.group)
        for ball, e in balls.items():
            own = shift + rng.normal(0, spread.own)
            for _ in range(n):
                rows.append([f"g{k}", ball, *heights(rng, e, spread, own, wall), ""])
    return bounciness(read_rows(HEADINGS, rows))


def pressure_class(rng, spread, *, groups=4, n=5):
    wall = a_wall(rng)
    shifts = rng.normal(0, spread.group, groups)
    a, b, c = CURVE
    rows = []
    for level in LEVELS:
        real = level + rng.normal(0, spread.gauge)  # one pump sets it for all groups
        e = np.sqrt(a - b / (real + c))
        for k in range(groups):
            for _ in range(n):
                read = heights(rng, e, spread, shifts[k], wall)
                rows.append([f"g{k}", "basketball 7", *read, f"{level / 1e3:g}"])
    return bounciness(read_rows(HEADINGS, rows))


def own_range():
    middle = CURVE[0] - CURVE[1] / (TARGET + CURVE[2])
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "own.csv"
        path.write_text(
            "id,ball,drop height (m),rebound at least (m),rebound at most (m)\n"
            f"own,basketball-7,{DROP},"
            f"{DROP * (middle - 0.05)},{DROP * (middle + 0.05)}\n"
        )
        return load_ranges(path)[0], middle


def of_e(seed, count, spread, groups):
    rng = np.random.default_rng(seed)
    hits = 0
    for _ in range(count):
        (row,) = one_class(rng, {"A": 0.75}, spread, groups=groups).rows
        hits += abs(row.e - 0.75) <= row.expanded
    return {"covers": hits / count}


def of_differences(seed, count, spread, balls):
    rng = np.random.default_rng(seed)
    inside = alarms = pairs = 0
    for _ in range(count):
        made = {name: 0.75 for name in balls}
        told = compare(one_class(rng, made, spread), by="ball")
        inside += sum(pair.low <= 0 <= pair.high for pair in told.pairs)
        pairs += len(told.pairs)
        alarms += any(pair.different for pair in told.pairs)
    return {"covers": inside / pairs, "false alarms": alarms / count}


def of_pressure(seed, count, spread, groups):
    rng = np.random.default_rng(seed)
    wanted, middle = own_range()
    hits = told = safe = edges = 0
    a, b, c = CURVE
    for _ in range(count):
        found = pressure_class(rng, spread, groups=groups, n=5)
        result = tune_pressure(found, ball="basketball 7", range=wanted)
        if result.best is None:
            continue
        told += 1
        low = -np.inf if result.low is None else result.low
        high = np.inf if result.high is None else result.high
        hits += low <= TARGET <= high
        for edge in (result.safe_low, result.safe_high):
            if edge is not None:
                e = np.sqrt(a - b / (edge + c)) + rng.normal(0, spread.drop, 200)
                safe += np.mean(np.abs(e**2 - middle) <= 0.05)
                edges += 1
    return {"covers": hits / told, "safe": safe / edges, "told": told / count}


QUIET, LOUD = Spread(), Spread(group=0.004, own=0.002)
STUDIES = {
    "e, one group": (of_e, QUIET, 1),
    "e, four groups that happen to be alike": (of_e, QUIET, 4),
    "e, eight groups that differ": (of_e, LOUD, 8),
    "differences, two balls": (of_differences, QUIET, "AB"),
    "differences, two balls, groups differ": (of_differences, LOUD, "AB"),
    "differences, five balls, groups differ": (of_differences, LOUD, "ABCDE"),
    "pressure, one group": (of_pressure, QUIET, 1),
    "pressure, four that happen to be alike": (of_pressure, QUIET, 4),
    "pressure, four groups that differ": (of_pressure, LOUD, 4),
}


def main(count=2000):
    print(f"{count} classes each" + " " * 26 + "covers  false alarms   safe   told")
    with ProcessPoolExecutor(2) as executor:
        jobs = {
            name: executor.submit(work, 20261, count, spread, more)
            for name, (work, spread, more) in STUDIES.items()
        }
        for name, job in jobs.items():
            got = job.result()
            cells = [got.get(k) for k in ("covers", "false alarms", "safe", "told")]
            shown = ["    –" if each is None else f"{each:.3f}" for each in cells]
            print(f"{name:<40} {shown[0]}         {shown[1]}  {shown[2]}  {shown[3]}")


if __name__ == "__main__":
    main(*map(int, sys.argv[1:]))
