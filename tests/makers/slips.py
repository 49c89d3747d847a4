"""Slips to plant in an invented class, one kind a function, as people make them."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from makers.classes import INCH, KINDS, Made

__all__ = ["PLANTED"]

Planter = Callable[[Made, np.random.Generator], list[int]]
INCHES_A_CM = INCH / 0.01
PSI = 6.894757  # kPa


def _number(text: str) -> float:
    return float(text)


def _written(value: float, digits: int = 1) -> str:
    return f"{round(value, digits):g}"


def _any(made: Made, rng: np.random.Generator) -> int:
    return int(rng.integers(len(made.rows)))


def _change(heading: str, change: Callable[[float], str]) -> Planter:
    def plant(made: Made, rng: np.random.Generator) -> list[int]:
        row, place = _any(made, rng), made.at(heading)
        made.rows[row][place] = change(float(made.rows[row][place]))
        return [row]

    return plant


def _both_inches(made: Made, rng: np.random.Generator) -> list[int]:
    row = _any(made, rng)
    for heading in ("drop", "rebound"):
        place = made.at(heading)
        made.rows[row][place] = _written(float(made.rows[row][place]) / INCHES_A_CM)
    return [row]


def _group_inches(made: Made, rng: np.random.Generator, only: str = "") -> list[int]:
    group = made.rows[_any(made, rng)][0]
    rows = [i for i, row in enumerate(made.rows) if row[0] == group]
    for row in rows:
        for heading in [only] if only else ["drop", "rebound"]:
            place = made.at(heading)
            made.rows[row][place] = _written(float(made.rows[row][place]) / INCHES_A_CM)
    return rows


def _swapped(made: Made, rng: np.random.Generator) -> list[int]:
    place = made.at("rebound")
    while True:
        row = _any(made, rng)
        text = made.rows[row][place].split(".")[0]
        if len(text) == 3 and abs(int(text[1]) - int(text[2])) >= 2:
            made.rows[row][place] = text[0] + text[2] + text[1]
            return [row]


def _wrong_hundred(made: Made, rng: np.random.Generator) -> list[int]:
    place = made.at("rebound")
    while True:
        row = _any(made, rng)
        text = made.rows[row][place]
        if float(text) >= 110:
            made.rows[row][place] = text[1:]
            return [row]


def _big(made: Made, rng: np.random.Generator) -> tuple[int, float]:
    while True:
        row = _any(made, rng)
        kind = KINDS[made.rows[row][1]]
        if kind.diameter > 0.15:
            return row, kind.diameter * 100


def _top(made: Made, rng: np.random.Generator) -> list[int]:
    row, wide = _big(made, rng)
    place = made.at("rebound height")
    made.rows[row][place] = _written(float(made.rows[row][place]) + wide)
    return [row]


def _group_tops(made: Made, rng: np.random.Generator) -> list[int]:
    first, _ = _big(made, rng)
    group, ball = made.rows[first][:2]
    rows = [i for i, row in enumerate(made.rows) if row[:2] == [group, ball]]
    place = made.at("rebound height")
    for row in rows:
        wide = KINDS[ball].diameter * 100
        made.rows[row][place] = _written(float(made.rows[row][place]) + wide)
    return rows


def _above(made: Made, rng: np.random.Generator) -> list[int]:
    row = _any(made, rng)
    drop = float(made.rows[row][made.at("drop")])
    made.rows[row][made.at("rebound height")] = _written(drop * rng.uniform(1.01, 1.3))
    return [row]


def _exchanged(made: Made, rng: np.random.Generator) -> list[int]:
    row = made.rows[place := _any(made, rng)]
    drop, rebound = made.at("drop"), made.at("rebound height")
    row[drop], row[rebound] = row[rebound], row[drop]
    return [place]


def _equal(made: Made, rng: np.random.Generator) -> list[int]:
    row = _any(made, rng)
    made.rows[row][made.at("rebound height")] = made.rows[row][made.at("drop")]
    return [row]


def _pumped(made: Made, rng: np.random.Generator) -> int:
    while True:
        row = _any(made, rng)
        if made.rows[row][made.at("pressure")]:
            return row


def _pressure(change: Callable[[float], float]) -> Planter:
    def plant(made: Made, rng: np.random.Generator) -> list[int]:
        row, place = _pumped(made, rng), made.at("pressure")
        made.rows[row][place] = _written(change(float(made.rows[row][place])), 2)
        return [row]

    return plant


def _group_pressure(change: Callable[[float], float]) -> Planter:
    def plant(made: Made, rng: np.random.Generator) -> list[int]:
        group = made.rows[_pumped(made, rng)][0]
        place = made.at("pressure")
        rows = [i for i, row in enumerate(made.rows) if row[0] == group and row[place]]
        for row in rows:
            made.rows[row][place] = _written(change(float(made.rows[row][place])), 2)
        return rows

    return plant


def _off(share: float) -> Planter:
    def plant(made: Made, rng: np.random.Generator) -> list[int]:
        row, place = _any(made, rng), made.at("rebound height")
        drop = float(made.rows[row][made.at("drop")])
        value = float(made.rows[row][place]) - share * drop
        made.rows[row][place] = _written(max(value, 0), 0)
        return [row]

    return plant


def _copied_row(made: Made, rng: np.random.Generator) -> list[int]:
    row = _any(made, rng)
    made.rows.insert(row + 1, list(made.rows[row]))
    return [row + 1]


def _copied_run(made: Made, rng: np.random.Generator) -> list[int]:
    groups = sorted({row[0] for row in made.rows})
    one, two = rng.choice(groups, 2, replace=False)
    source = [i for i, row in enumerate(made.rows) if row[0] == one]
    target = [i for i, row in enumerate(made.rows) if row[0] == two]
    start = int(rng.integers(0, max(1, len(source) - 10)))
    place = made.at("rebound height")
    for i, j in list(zip(source, target, strict=True))[start : start + 10]:
        made.rows[j][place] = made.rows[i][place]
    return [max(i, j) for i, j in zip(source, target, strict=True)][start : start + 10]


PLANTED: dict[str, tuple[str, Planter]] = {
    "rebound above the drop": ("rebound above drop", _above),
    "heights exchanged": ("rebound above drop", _exchanged),
    "rebound equal to the drop": ("rebound equals drop", _equal),
    "top read once": ("points mixed up", _top),
    "top read by a whole group": ("points mixed up", _group_tops),
    "rebound in inches": (
        "unit slip",
        _change("rebound height", lambda x: _written(x / INCHES_A_CM)),
    ),
    "drop in inches": (
        "unit slip",
        _change("drop height", lambda x: _written(x / INCHES_A_CM)),
    ),
    "both in inches": ("unit slip", _both_inches),
    "a whole group in inches": ("unit slip", _group_inches),
    "a group's rebounds in inches": (
        "unit slip",
        lambda made, rng: _group_inches(made, rng, "rebound height"),
    ),
    "point slipped": (
        "digit slip",
        _change("rebound height", lambda x: _written(x / 10, 2)),
    ),
    "extra zero": ("digit slip", _change("rebound height", lambda x: _written(x * 10))),
    "metres in a cm column": (
        "digit slip",
        _change("drop height", lambda x: _written(x / 100, 3)),
    ),
    "two digits exchanged": ("digit slip", _swapped),
    "the hundred left out": ("digit slip", _wrong_hundred),
    "absolute for gauge": ("absolute for gauge", _pressure(lambda p: p + 101.3)),
    "absolute by a whole group": (
        "absolute for gauge",
        _group_pressure(lambda p: p + 101.3),
    ),
    "psi in a kPa column": ("pressure unit slip", _pressure(lambda p: p / PSI)),
    "bar in a kPa column": ("pressure unit slip", _pressure(lambda p: p / 100)),
    "psi by a whole group": ("pressure unit slip", _group_pressure(lambda p: p / PSI)),
    "off by a twentieth of the drop": ("far from its trials", _off(0.05)),
    "off by a tenth of the drop": ("far from its trials", _off(0.10)),
    "off by a fifth of the drop": ("far from its trials", _off(0.20)),
    "row pasted twice": ("copied row", _copied_row),
    "ten rows of another group": ("copied run", _copied_run),
    "°F in a °C column": (
        "°F for °C",
        _change("temperature", lambda t: _written(t * 1.8 + 32, 0)),
    ),
}
