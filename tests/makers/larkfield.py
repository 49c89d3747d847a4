"""Makes the invented class file of Larkfield School, with its planted mistakes.

Eight groups check the school's ball cupboard before an inter-house futsal day.
Run ``python tests/makers/larkfield.py`` from the top of the project to write
`data/larkfield_class.csv` and `data/larkfield_mistakes.csv` again.
"""

from __future__ import annotations

import csv
import io
from dataclasses import dataclass
from pathlib import Path

import numpy as np

if __package__:
    from makers.classes import KINDS, Kind, rebound_height
else:  # run as a script, from its own folder
    from classes import KINDS, Kind, rebound_height

__all__ = ["COMMENTS", "HEADINGS", "class_file", "mistakes_file"]

SEED = 1868
COMMENTS = [
    "# Invented data: Larkfield School does not exist, and nobody dropped these balls.",
    "# Checking the ball cupboard before the inter-house futsal day.",
]
HEADINGS = [
    "group",
    "ball",
    "floor",
    "trial",
    "drop height (cm)",
    "drop point",
    "rebound height (cm)",
    "rebound point",
    "circumference (cm)",
    "gauge pressure (kPa)",
    "temperature (°C)",
    "note",
]
WOOD, CONCRETE = "gym, wood", "hall, concrete"


@dataclass(frozen=True)
class Group:
    """How a group reads: its tape's offset and scatter in m, and its rounding."""

    name: str
    offset: float
    scatter: float
    step: float
    warmth: str
    tops: bool = False  # always reads the top of the ball


GROUPS = {
    group.name: group
    for group in (
        Group("Oak", 0.002, 0.006, 0.01, "20"),
        Group("Rowan", -0.003, 0.008, 0.01, "20.5"),
        Group("Hazel", 0.001, 0.005, 0.005, "19.5"),
        Group("Alder", 0.005, 0.009, 0.01, "20"),
        Group("Birch", -0.002, 0.007, 0.01, "20"),
        Group("Maple", 0.003, 0.010, 0.01, "21"),
        Group("Cedar", -0.004, 0.006, 0.01, "19.5", tops=True),
        Group("Elm", 0.000, 0.008, 0.005, "20.5", tops=True),
    )
}


@dataclass(frozen=True)
class Set:
    """Five drops of one ball: what is written in the cells, and what is true."""

    ball: str
    floor: str
    drop: str
    pressure: str = ""
    kpa: float = np.nan
    liveliness: float = 0.0  # added to e of that kind
    kind: str = ""
    warmth: str = ""
    top: bool = False

    @property
    def true_kind(self) -> Kind:
        return KINDS[self.kind or self.ball]


_FUTSAL = Set("Futsal ball", WOOD, "200", "60", 60)
_BIG = Set("Basketball size 7", WOOD, "180", "55", 55, top=True)
_FOOTBALL = Set("Football size 5", CONCRETE, "200", "80", 80, 0.01)
_TENNIS = Set("Tennis ball", CONCRETE, "254", liveliness=0.012)
_VOLLEY = Set("Volleyball", WOOD, "180", "31", 31, -0.01)
_HAND = Set("Handball", WOOD, "180", "45", 45)
_SMALL = Set("Basketball size 6", WOOD, "180", "55", 55, 0.01, top=True)
_TABLE = Set("Table tennis ball", CONCRETE, "30.5", liveliness=0.018)


def _at(base: Set, pressure: str, kpa: float) -> Set:
    return Set(
        base.ball,
        base.floor,
        base.drop,
        pressure,
        kpa,
        base.liveliness,
        base.kind,
        base.warmth,
        base.top,
    )


PLAN = {
    "Oak": [_FUTSAL, _BIG, _FOOTBALL, _VOLLEY, _SMALL, _at(_BIG, "15", 15)],
    "Rowan": [
        _FUTSAL,
        _at(_BIG, "8 psi", 55.16),
        _FOOTBALL,
        _HAND,
        _SMALL,
        _at(_BIG, "4 psi", 27.58),
    ],
    "Hazel": [
        _at(_FUTSAL, "0,6 bar", 60),
        _BIG,
        _FOOTBALL,
        _VOLLEY,
        _TABLE,
        _at(_BIG, "40", 40),
    ],
    "Alder": [
        _FUTSAL,
        _BIG,
        _FOOTBALL,
        _HAND,
        _TABLE,
        Set(
            "Futsal ball from the cold store",
            WOOD,
            "200",
            "52",
            52,
            -0.03,
            "Futsal ball",
            "6",
        ),
    ],
    "Birch": [
        _FUTSAL,
        _BIG,
        _TENNIS,
        _VOLLEY,
        Set(_SMALL.ball, WOOD, "72 in", "55", 55, 0.01, top=True),
        _at(_FUTSAL, "30", 30),
    ],
    "Maple": [_FUTSAL, _BIG, _TENNIS, _HAND, _SMALL, _at(_FUTSAL, "45", 45)],
    "Cedar": [_FUTSAL, _BIG, _TENNIS, _VOLLEY, _TABLE, _at(_FUTSAL, "75", 75)],
    "Elm": [_FUTSAL, _BIG, _TENNIS, _HAND, _TABLE, _at(_FUTSAL, "90", 90)],
}
INCH = 0.0254  # m
QUARTERS = ("", " 1/4", " 1/2", " 3/4")


def _metres(text: str) -> float:
    return float(text[:-3]) * INCH if text.endswith(" in") else float(text) / 100


def _written(height: float, step: float, in_inches: bool) -> str:
    if in_inches:
        quarters = round(height / INCH * 4)
        return f"{quarters // 4}{QUARTERS[quarters % 4]} in"
    return f"{round(height / step) * step * 100:.1f}".removesuffix(".0")


def _clean_rows() -> list[list[str]]:
    rng = np.random.default_rng(SEED)
    rows = []
    for group in GROUPS.values():
        for drops in PLAN[group.name]:
            kind = drops.true_kind
            own = drops.liveliness + rng.normal(0, 0.002)
            # Small balls are read with a card held beside them.
            eye = group.scatter * (0.3 if kind.diameter < 0.05 else 1.0)
            step = 0.005 if kind.diameter < 0.05 else group.step
            top = drops.top or group.tops
            for trial in range(5):
                drop = _metres(drops.drop)
                rebound = rebound_height(
                    kind, drop, drops.kpa, own + rng.normal(0, 0.005)
                )
                rebound += group.offset + rng.normal(0, eye) + top * kind.diameter
                rows.append(
                    [
                        group.name,
                        drops.ball,
                        drops.floor,
                        str(trial + 1),
                        drops.drop,
                        "bottom",
                        _written(rebound, step, drops.drop.endswith("in")),
                        "top" if top else "bottom",
                        f"{kind.diameter * np.pi * 100:.1f}",
                        drops.pressure,
                        drops.warmth or group.warmth,
                        "",
                    ]
                )
    return rows


@dataclass(frozen=True)
class Mistake:
    """One planted mistake: where, what is typed there, and what it was."""

    group: str
    ball: str
    trials: tuple[int, ...]
    column: str
    heading: str
    typed: str  # empty: computed in `_plant`
    check: str
    what: str


_REBOUND, _HEIGHT = "rebound_height_m", "rebound height (cm)"
MISTAKES = [
    Mistake(
        "Oak",
        "Football size 5",
        (3,),
        _REBOUND,
        _HEIGHT,
        "",
        "unit slip",
        "rebound read in inches and typed as centimetres",
    ),
    Mistake(
        "Hazel",
        "Table tennis ball",
        (2,),
        _REBOUND,
        _HEIGHT,
        "30.5",
        "rebound equals drop",
        "drop height typed again as the rebound",
    ),
    Mistake(
        "Alder",
        "Football size 5",
        (4,),
        _REBOUND,
        _HEIGHT,
        "",
        "digit slip",
        "last two digits exchanged",
    ),
    Mistake(
        "Alder",
        "Handball",
        (2,),
        _REBOUND,
        _HEIGHT,
        "9S",
        "cannot be read",
        "a letter S typed for a 5",
    ),
    Mistake(
        "Birch",
        "Volleyball",
        (2,),
        _REBOUND,
        _HEIGHT,
        "180",
        "rebound above drop",
        "drop and rebound typed in each other's place",
    ),
    Mistake(
        "Birch",
        "Tennis ball",
        (1,),
        "temperature_c",
        "temperature (°C)",
        "68",
        "°F for °C",
        "thermometer read in °F",
    ),
    Mistake(
        "Maple",
        "Basketball size 6",
        (5,),
        _REBOUND,
        _HEIGHT,
        "",
        "far from its trials",
        "the ball struck a foot",
    ),
    Mistake("Maple", "Tennis ball", (4,), "", "", "", "copied row", "row pasted twice"),
    Mistake(
        "Cedar",
        "Volleyball",
        (1, 2, 3, 4, 5),
        "gauge_pressure_pa",
        "gauge pressure (kPa)",
        "132.3",
        "absolute for gauge",
        "absolute pressure typed as gauge",
    ),
    Mistake(
        "Elm",
        "Handball",
        (1, 2, 3, 4, 5),
        _REBOUND,
        "rebound point",
        "bottom",
        "points mixed up",
        "top of the ball read, bottom written",
    ),
]


def _plant(mistake: Mistake, row: list[str]) -> str:
    """Put a mistake into a row; give what stands there now."""
    if not mistake.heading:
        return ""
    place = HEADINGS.index(mistake.heading)
    now = mistake.typed
    if mistake.check == "rebound above drop":
        row[HEADINGS.index("drop height (cm)")] = row[place]
    if not now:
        right = row[place]
        if mistake.check == "unit slip":
            now = f"{float(right) / (INCH * 100):.1f}"
        elif mistake.check == "digit slip":
            now = right[0] + right[2] + right[1]
        else:
            now = f"{float(right) - 17:g}"
    row[place] = now
    return row[HEADINGS.index(_HEIGHT)] if mistake.column == _REBOUND else now


def _planted() -> tuple[list[list[str]], list[list[str]]]:
    rows, listed = _clean_rows(), []
    for mistake in MISTAKES:
        for trial in mistake.trials:
            place = next(
                i
                for i, row in enumerate(rows)
                if [row[0], row[1], row[3]] == [mistake.group, mistake.ball, str(trial)]
            )
            if mistake.check == "copied row":
                rows.insert(place + 1, list(rows[place]))
                place += 1
            read = _plant(mistake, rows[place])
            listed.append((rows[place], mistake, read))
    first = len(COMMENTS) + 2  # the line of the first drop
    lines = {id(row): first + i for i, row in enumerate(rows)}
    listed.sort(key=lambda each: lines[id(each[0])])
    return rows, [
        [str(lines[id(row)]), mistake.column, read, mistake.check, mistake.what]
        for row, mistake, read in listed
    ]


def _text(comments: list[str], table: list[list[str]]) -> str:
    out = io.StringIO()
    out.writelines(f"{comment}\n" for comment in comments)
    csv.writer(out, lineterminator="\n").writerows(table)
    return out.getvalue()


def class_file() -> str:
    """Give the text of the class file."""
    return _text(COMMENTS, [HEADINGS, *_planted()[0]])


def mistakes_file() -> str:
    """Give the text of the list of planted mistakes."""
    comments = ["# The mistakes planted in larkfield_class.csv; row is its line there."]
    table = [["row", "column", "read", "check", "what"], *_planted()[1]]
    return _text(comments, table)


if __name__ == "__main__":
    data = Path(__file__).resolve().parents[2] / "data"
    (data / "larkfield_class.csv").write_text(class_file(), "utf-8", newline="\n")
    (data / "larkfield_mistakes.csv").write_text(mistakes_file(), "utf-8", newline="\n")
