"""Makes the second invented file of Larkfield School: floors, and a ball in the cold.

Four groups drop one futsal ball on three floors, and on one floor after it lay an
hour in the cold store, in the corridor and in a sunny room, its valve untouched.
Run ``python tests/makers/floors.py`` from the top of the project to write
`data/larkfield_floors.csv` again.
"""

from __future__ import annotations

import csv
import io
from pathlib import Path

import numpy as np

if __package__:
    from makers.classes import KINDS, rebound_height
    from makers.larkfield import COMMENTS, CONCRETE, GROUPS, HEADINGS, WOOD
else:  # run as a script, from its own folder
    from classes import KINDS, rebound_height
    from larkfield import COMMENTS, CONCRETE, GROUPS, HEADINGS, WOOD

__all__ = ["COLD", "FLOORS", "floors_file"]

SEED = 1871
FLOORS = {WOOD: 0.0, CONCRETE: 0.007, "yard, artificial turf": -0.055}  # added to e
WARMTHS = (6, 13, 27)  # °C, beside the hall's 20
COLD = 0.0016  # e lost for each kelvin that the cover is colder
_HALL, _GAUGE, _AIR = 20, 60.0, 101.325  # °C, kPa, kPa
_DROP = 2.0  # m


def _sealed(warmth: float) -> float:
    """Give the gauge pressure in kPa of air that was 60 kPa at 20 °C."""
    return (_GAUGE + _AIR) * (warmth + 273.15) / (_HALL + 273.15) - _AIR


def floors_file() -> str:
    """Give the file's text."""
    rng = np.random.default_rng(SEED)
    kind = KINDS["Futsal ball"]
    out = io.StringIO()
    out.write("\n".join(COMMENTS) + "\n")
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(HEADINGS)
    for name in ("Oak", "Rowan", "Hazel", "Alder"):
        group = GROUPS[name]
        sets = [(floor, _HALL) for floor in FLOORS] + [(WOOD, t) for t in WARMTHS]
        for floor, warmth in sets:
            own = FLOORS[floor] - COLD * (_HALL - warmth) + rng.normal(0, 0.002)
            for trial in range(5):
                rebound = rebound_height(
                    kind, _DROP, _sealed(warmth), own + rng.normal(0, 0.005)
                )
                rebound += group.offset + rng.normal(0, group.scatter)
                rounded = round(rebound / group.step) * group.step * 100
                writer.writerow(
                    [
                        name,
                        kind.name,
                        floor,
                        trial + 1,
                        f"{_DROP * 100:.0f}",
                        "bottom",
                        f"{rounded:.1f}".removesuffix(".0"),
                        "bottom",
                        f"{kind.diameter * np.pi * 100:.1f}",
                        f"{round(_sealed(warmth)):.0f}",
                        warmth,
                        "",
                    ]
                )
    return out.getvalue()


if __name__ == "__main__":
    data = Path(__file__).resolve().parents[2] / "data"
    (data / "larkfield_floors.csv").write_text(floors_file(), "utf-8", newline="\n")
