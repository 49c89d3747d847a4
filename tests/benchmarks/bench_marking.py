"""How long does it take to mark the notebooks of a school?

Run it by hand: python tests/benchmarks/bench_marking.py
"""

import json
import random
import sys
import tempfile
import time
from pathlib import Path

from bouncelab.worksheets.class_marks import mark_class, read_folder
from bouncelab.worksheets.feedback import marks_csv
from bouncelab.worksheets.keys import read_key
from bouncelab.worksheets.making import blank_students, make_sheets
from bouncelab.worksheets.source import read_source

SHEETS, AIM = 300, 3.0  # s


def fill(out, key):
    """Write answers into every sheet: right, wrong, and by a unit slip."""
    lot = random.Random(1)
    rows = {}
    for row in key:
        rows.setdefault(row.file, {})[row.question] = row
    for path in (out / "students").glob("*.ipynb"):
        book = json.loads(path.read_text("utf-8"))
        for cell in book["cells"]:
            name = cell["metadata"].get("bouncelab", {}).get("question")
            row = rows[path.stem].get(name)
            if row is None:
                continue
            cell["source"] = "in words"
            if row.kind == "number":
                value = row.answer * lot.choice([1, 1, 1.2, 100])
                cell["source"] = f"{value:.3g} {row.unit}"
        path.write_text(json.dumps(book), "utf-8")


def main():
    with tempfile.TemporaryDirectory() as place:
        out = Path(place)
        source = read_source("age_14_e_from_heights")
        make_sheets(source, blank_students(SHEETS), out, "x", forms=("ipynb",))
        key = read_key(out / "teacher" / "key.csv")
        fill(out, key)
        start = time.perf_counter()
        filled, _ = read_folder(out / "students")
        marks = mark_class(key, filled, source)
        marks_csv(marks)
        mine = time.perf_counter() - start
        start = time.perf_counter()
        for path in (out / "students").glob("*.ipynb"):
            json.loads(path.read_bytes())
        peer = time.perf_counter() - start
    print(
        f"{len(marks.sheets)} notebooks marked in {mine:.2f} s (aim {AIM:.0f} s), "
        f"{mine / peer:.0f} x reading them as JSON alone"
    )
    return int(mine > AIM)


if __name__ == "__main__":
    sys.exit(main())
