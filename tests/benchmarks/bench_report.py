"""What does a class's report cost, and do a hundred share out over two cores?

Run it by hand: python tests/benchmarks/bench_report.py [how many classes]
"""

import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from bouncelab.batches import local_processes
from bouncelab.places import kit_folder
from bouncelab.reports.many_classes import write_reports

CLASS = kit_folder("data") / "larkfield_class.csv"
CLASSES, ROUNDS = 100, 5
LONGEST, GAIN = 3.0, 1.7
IMPORTS = "import pandas, matplotlib.figure, matplotlib.backends.backend_svg"
REPORT = f"""{IMPORTS}
import sys
from bouncelab.cli import main
main(["report", {str(CLASS)!r}, "--out", sys.argv[1], "--range", "futsal-law-2"])
"""


def seconds(text, *words):
    start = time.perf_counter()
    subprocess.run([sys.executable, "-c", text, *words], capture_output=True)
    return time.perf_counter() - start


def processor():
    """Give the processor's time of all processes that have ended, in s."""
    return os.times().children_user + os.times().children_system


def one(folder):
    pairs = [(seconds(IMPORTS), seconds(REPORT, folder)) for _ in range(ROUNDS)]
    imports = min(each[0] for each in pairs)
    own = min(each[1] for each in pairs) - imports
    print(
        f"report of {CLASS.stem}, HTML and PDF: {own:.2f} s beyond importing pandas "
        f"and matplotlib, {own / imports:.1f} x those imports (aim {LONGEST} s)"
    )
    return own > LONGEST


def many(folder, count):
    classes = folder / "classes"
    classes.mkdir()
    lines = CLASS.read_text("utf-8").splitlines()
    for k in range(count):  # no two alike: each lacks another drop
        left = [*lines[: 3 + k], *lines[4 + k :]]
        (classes / f"class_{k:03}.csv").write_text("\n".join(left), "utf-8")
    taken, worked = {}, {}
    for workers in (2, 1):
        start, before = time.perf_counter(), processor()
        with local_processes(workers) as executor:
            _, done = write_reports(classes, folder / str(workers), executor=executor)
        taken[workers] = time.perf_counter() - start
        worked[workers] = processor() - before
        assert not any(each.error for each in done)
    start = time.perf_counter()
    write_reports(classes, folder / "2")
    again = time.perf_counter() - start
    gain = taken[1] / taken[2]
    print(
        f"{count} classes on 2 processes: {taken[2]:.0f} s, {gain:.2f} x as fast as on "
        f"one (aim {GAIN} x, {os.cpu_count()} cores, load {os.getloadavg()[0]:.1f}), "
        f"for {worked[2] / worked[1]:.2f} x the processor's time; "
        f"once more with nothing changed: {100 * again / taken[2]:.1f} % of that time"
    )
    return gain < GAIN


def main():
    count = int(sys.argv[1]) if len(sys.argv) > 1 else CLASSES
    with tempfile.TemporaryDirectory() as place:
        slow = one(place)
        return int(many(Path(place), count) or slow)


if __name__ == "__main__":
    sys.exit(main())
