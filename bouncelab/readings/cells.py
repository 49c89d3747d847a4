"""Read the cells of one column: a number for each text, or what stood in the way."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np

from bouncelab.errors import InputError
from bouncelab.readings.headings import POINTS, Heading, point_of
from bouncelab.units import (
    is_absolute,
    read_length,
    read_number,
    read_pressure,
    read_temperature,
)

__all__ = ["NEEDED", "ColumnReader", "Finding", "objects"]

# A drop without these cannot be used; without the others it can. The empty name
# stands for the whole line.
NEEDED = frozenset(
    {"", "drop_height_m", "rebound_height_m", "drop_point", "rebound_point"}
)
_SAID = {
    "drop_height_m": "drop height",
    "rebound_height_m": "rebound height",
    "drop_point": "drop point",
    "rebound_point": "rebound point",
    "diameter_m": "diameter",
    "circumference": "circumference",
    "gauge_pressure_pa": "pressure",
    "temperature_c": "temperature",
    "trial": "trial",
}


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing about one cell that a person should look at.

    Attributes
    ----------
    row : int
        The line that a person sees in the file, or the row number on the screen.
    column : str
        The table's column, such as ``"rebound_height_m"``; empty for the whole row.
    read : str
        What was typed there, exactly.
    why : str
        The reason, in one plain sentence.
    cure : str
        What to try, in one plain sentence.
    check : str
        The short name of the check that found it, such as ``"unit slip"``.
    weight : {"unreadable", "impossible", "doubtful"}
        The first two leave the drop out of the estimates; a doubtful one stays
        in until a person sets it aside.
    """

    row: int
    column: str
    read: str
    why: str
    cure: str
    check: str
    weight: str


class _Wrong(NamedTuple):
    weight: str
    check: str
    why: str
    cure: str


def objects(texts: Iterable[str]) -> Any:
    """Give an array of texts that stays one in every pandas."""
    listed = list(texts)
    out = np.empty(len(listed), dtype=object)
    out[:] = listed
    return out


class ColumnReader:
    """Reads columns of text, each distinct text once, and notes what fails."""

    def __init__(self, lines: Any, atmospheric_pressure: float) -> None:
        self.lines = lines
        self.air = atmospheric_pressure
        self.findings: list[Finding] = []
        self.remarks: list[str] = []

    def numbers(self, column: str, texts: Sequence[str], heading: Heading) -> Any:
        """Give the numbers of a column in SI units, NaN where none can be read."""
        unit = heading.unit or None
        read: Callable[[str], float]
        if column == "gauge_pressure_pa":
            if is_absolute(heading.text) or any(map(is_absolute, set(texts))):
                self.remarks.append(
                    "Absolute pressures were turned into gauge pressures with "
                    f"{self.air:.0f} Pa of air outside."
                )
            if is_absolute(heading.text) and not unit:
                unit = "absolute"

            def read(text: str) -> float:
                return read_pressure(text, unit=unit, atmospheric_pressure=self.air)

        elif column == "temperature_c":

            def read(text: str) -> float:
                return read_temperature(text, unit=unit)

        elif column == "trial":
            read = _count
        else:

            def read(text: str) -> float:
                return read_length(text, unit=unit)

        known: dict[str, float] = {}
        wrong: dict[str, _Wrong] = {}
        for text in set(texts):
            known[text] = math.nan
            if not text.strip():
                if column in NEEDED:
                    wrong[text] = _missing(column)
                continue
            try:
                known[text] = read(text)
            except InputError as error:
                wrong[text] = _unreadable(column, error)
            else:
                too_low = _too_low(column, known[text])
                if too_low:
                    wrong[text] = too_low
        self._note(column, texts, wrong)
        return np.fromiter(map(known.__getitem__, texts), "float64", count=len(texts))

    def points(
        self, column: str, texts: Sequence[str] | None, found: list[Heading]
    ) -> Any:
        """Give the points that were read: one word of `POINTS`, or empty."""
        height = column.replace("point", "height_m")
        usual = next((h.point for h in found if h.column == height and h.point), "")
        if texts is None:
            return np.full(len(self.lines), usual or "bottom", dtype=object)
        known: dict[str, str] = {}
        wrong: dict[str, _Wrong] = {}
        for text in set(texts):
            said = point_of(text) if text.strip() else usual or "bottom"
            known[text] = said or ""
            if said is None:
                allowed = ", ".join(POINTS)
                error = InputError(column, text, allowed, "Write one of these words.")
                wrong[text] = _unreadable(column, error)
        self._note(column, texts, wrong)
        return objects(map(known.__getitem__, texts))

    def one_size(self, diameter: Any, around: Any, texts: Sequence[str]) -> Any:
        """Give diameters in m: those typed in `texts`, else circumferences over pi."""
        with np.errstate(invalid="ignore"):
            apart = np.abs(diameter - around) > 0.02 * around
        two = _Wrong(
            "doubtful",
            "two sizes",
            "The diameter and the circumference are not of one ball.",
            "Measure the circumference again; the diameter is that over 3.14.",
        )
        for at in np.flatnonzero(apart):
            self._add(int(at), "diameter_m", texts[int(at)], two)
        return np.where(np.isnan(diameter), around, diameter)

    def _note(
        self, column: str, texts: Sequence[str], wrong: dict[str, _Wrong]
    ) -> None:
        if wrong:
            name = "diameter_m" if column == "circumference" else column
            for at, text in enumerate(texts):
                if text in wrong:
                    self._add(at, name, text, wrong[text])

    def _add(self, at: int, column: str, text: str, wrong: _Wrong) -> None:
        weight, check, why, cure = wrong
        line = int(self.lines[at])
        self.findings.append(Finding(line, column, text, why, cure, check, weight))


def _unreadable(column: str, error: InputError) -> _Wrong:
    said = _SAID[column]
    if "without a unit" in error.read:
        why = f"The {said} has no unit. Allowed is {error.allowed}."
        return _Wrong("unreadable", "no unit", why, error.do)
    why = f"This is no {said}. Allowed is {error.allowed}."
    return _Wrong("unreadable", "cannot be read", why, error.do)


def _missing(column: str) -> _Wrong:
    return _Wrong(
        "unreadable",
        "missing",
        f"The {_SAID[column]} is missing.",
        "Write it if you have it; else drop the ball again.",
    )


def _too_low(column: str, value: float) -> _Wrong | None:
    if column in ("drop_height_m", "diameter_m", "circumference") and value <= 0:
        why = f"A {_SAID[column]} must be above zero."
    elif column == "rebound_height_m" and value < 0:
        why = "A ball cannot come back to below the floor."
    else:
        return None
    cure = "Measure up from the floor, and write it again."
    return _Wrong("impossible", "not above the floor", why, cure)


def _count(text: str) -> float:
    value = read_number(text.strip().lstrip("#").lower().removeprefix("trial"))
    if value != int(value) or abs(value) > 1e9:
        raise InputError(
            what="trial",
            read=f"“{text}”",
            allowed="a whole number such as 3",
            do="Number the trials 1, 2, 3.",
        )
    return value
