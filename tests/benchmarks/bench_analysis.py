"""How many rows a second does the analysis work through, once they are read?

Run it by hand: python tests/benchmarks/bench_analysis.py
"""

import statistics
import sys
import time

import numpy as np
import pandas as pd

from bouncelab.analysis.bounciness import bounciness
from bouncelab.catalogue import find_range
from bouncelab.readings.drops import COLUMNS, Drops

ROWS = 1_000_000
AIM = 1e6  # rows a second


def table(rows, balls):
    random = np.random.default_rng(7)
    found = pd.DataFrame({name: np.full(rows, "", object) for name in COLUMNS})
    which = random.integers(0, balls, rows)
    names = np.array([f"Futsal ball {k}" for k in range(balls)], object)
    groups = np.array([f"group {k}" for k in range(200)], object)
    found["ball"], found["group"] = names[which], groups[which % 200]
    found["floor"] = "gym"
    found["drop_point"] = found["rebound_point"] = "bottom"
    found["drop_height_m"] = 2.0
    e = random.normal(0.56, 0.01, rows)
    found["rebound_height_m"] = np.round(2.0 * e**2, 2)
    found["gauge_pressure_pa"] = random.choice([45e3, 60e3, 75e3], rows)
    found["temperature_c"] = 20.0
    found["diameter_m"] = np.nan
    for name, kind in COLUMNS.items():
        if kind == "str":
            found[name] = found[name].astype("str")
    found.index = pd.RangeIndex(2, rows + 2, name="row")
    return Drops(found, pd.DataFrame(index=found.index))


if __name__ == "__main__":
    good = True
    for balls in (30, 3000):
        drops = table(ROWS, balls)
        bounciness(drops)  # imports and first-time work stay out of the figure
        times = []
        for _ in range(3):
            start = time.perf_counter()
            found = bounciness(drops, ranges=[find_range("futsal-law-2")])
            middle = time.perf_counter()
            found.to_dict()
            times.append((middle - start, time.perf_counter() - middle))
        core, show = (statistics.median(each) for each in zip(*times, strict=True))
        good &= ROWS / core >= AIM
        print(
            f"{ROWS:,} rows in {len(found.rows):,} conditions: {core:.2f} s, "
            f"{ROWS / core:,.0f} rows/s (aim: {AIM:,.0f}) "
            f"{'ok' if ROWS / core >= AIM else 'TOO SLOW'}; "
            f"rows, verdicts and JSON {show:.2f} s more"
        )
    sys.exit(0 if good else 1)
