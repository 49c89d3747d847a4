"""The numbers that differ from sheet to sheet, drawn as a scale would show them."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from types import SimpleNamespace
from typing import Any

from bouncelab.errors import InputError, NotebookError
from bouncelab.measures import from_si, quantity_of, to_si
from bouncelab.worksheets.shown import Shown, decimals_shown, significant

__all__ = ["Choice", "Given", "Reading", "draw", "one_of", "reading", "whole"]

_TRIES = 2000
_MOST = 1_000_000  # different values of one given


@dataclass(frozen=True, slots=True)
class Given:
    """One given of one sheet.

    Attributes
    ----------
    name : str
        As the source calls it.
    value : float, int or str
        What cells work with: SI, and just what the sheet shows.
    shown : Shown
        What the sheet shows.
    """

    name: str
    value: Any
    shown: Shown


@dataclass(frozen=True, slots=True)
class Reading:
    """What a scale may show: from, to, and the step in which it is read.

    Attributes
    ----------
    low, high, step : Decimal
        In `unit`.
    unit, quantity : str
        As in `bouncelab.measures`.
    figures : int or None
        Significant figures; as many as the step has if None.
    """

    low: Decimal
    high: Decimal
    step: Decimal
    unit: str
    quantity: str
    figures: int | None

    @property
    def count(self) -> int:
        """How many values there are."""
        return int((self.high - self.low) / self.step) + 1

    def at(self, place: int) -> Any:
        """Give one of the values, in SI, as it will be shown."""
        number = float(self.low + place * self.step)
        if self.quantity == "count":
            return int(number)
        return self._back(self._digits(number))

    def show(self, value: Any) -> Shown:
        """Give a value as the sheet shows it."""
        if self.quantity == "count":
            return Shown(str(value), self.unit)
        number = from_si(value, self.unit, self.quantity)
        return Shown(self._digits(number), self.unit)

    def _digits(self, number: float) -> str:
        if self.figures is not None:
            return significant(number, self.figures)
        return decimals_shown(float(f"{number:.12g}"), float(self.step))

    def _back(self, digits: str) -> float:
        return to_si(float(digits.replace("−", "-")), self.unit, self.quantity)


@dataclass(frozen=True, slots=True)
class Choice:
    """One of some words or numbers.

    Attributes
    ----------
    among : tuple
        What there is to choose from.
    """

    among: tuple[Any, ...]

    @property
    def count(self) -> int:
        """How many values there are."""
        return len(self.among)

    def at(self, place: int) -> Any:
        """Give one of the values."""
        return self.among[place]

    def show(self, value: Any) -> Shown:
        """Give a value as the sheet shows it."""
        return Shown(str(value))


def reading(
    low: float,
    high: float,
    *,
    step: float,
    unit: str = "",
    figures: int | None = None,
    quantity: str = "",
) -> Reading:
    """Say between which readings of a scale a given lies.

    Parameters
    ----------
    low, high : float
        The lowest and the highest reading, in `unit`.
    step : float
        From one reading to the next, such as 0.01 for a tape in m that is read to
        the centimetre.
    unit : str, optional
        As people see it, such as ``"cm"`` or ``"kPa"``.
    figures : int, optional
        Significant figures shown; if left out, the decimals of the step.
    quantity : str, optional
        Where the unit does not say it: ``"temperature change"`` for K.

    Returns
    -------
    Reading
        For `draw`.

    Raises
    ------
    InputError
        If the range is empty, the step is not above 0, or the unit is not known.

    Examples
    --------
    >>> reading(1.20, 2.00, step=0.05, unit="m").count
    17
    """
    first, last, by = (Decimal(repr(float(each))) for each in (low, high, step))
    finite = all(each.is_finite() for each in (first, last, by))
    if not finite or by <= 0 or last < first or (last - first) / by >= _MOST:
        raise InputError(
            what="the range of a given",
            read=f"{low} to {high} in steps of {step}",
            allowed=f"low, then high, and a step above 0 with at most {_MOST} values",
            do="Mend the range in the cell that draws the givens.",
        )
    return Reading(first, last, by, unit, quantity or quantity_of(unit), figures)


def whole(low: int, high: int, *, step: int = 1) -> Reading:
    """Say between which whole numbers a given lies; as `reading`.

    Parameters
    ----------
    low, high : int
        The lowest and the highest.
    step : int, optional
        From one to the next.

    Returns
    -------
    Reading
        For `draw`.

    Raises
    ------
    InputError
        If the range is empty or the step is not above 0.

    Examples
    --------
    >>> whole(3, 6).count
    4
    """
    return reading(int(low), int(high), step=int(step), quantity="count")


def one_of(*among: Any) -> Choice:
    """Say among which words or numbers a given is chosen.

    Parameters
    ----------
    *among : str, int or float
        One or more.

    Returns
    -------
    Choice
        For `draw`.

    Raises
    ------
    InputError
        If there is none.

    Examples
    --------
    >>> one_of("basketball", "football").count
    2
    """
    if not among:
        raise InputError(
            what="a given with a choice",
            read="nothing to choose from",
            allowed="one_of with one word or more",
            do="Write the words between the brackets.",
        )
    return Choice(tuple(among))


def draw(
    scales: Mapping[str, Reading | Choice],
    code: str,
    such_that: Mapping[str, Callable[[Any], bool]],
) -> dict[str, Given]:
    """Draw the givens of one sheet.

    Parameters
    ----------
    scales : mapping of str to Reading or Choice
        By the names of the givens.
    code : str
        Of the sheet; the same code draws the same givens.
    such_that : mapping of str to callable
        What must hold, in words, and as a function of the givens.

    Returns
    -------
    dict of str to Given
        In the order of `scales`.

    Raises
    ------
    NotebookError
        If nothing was found for which all of it holds.

    Examples
    --------
    >>> found = draw({"h": reading(1, 2, step=0.5, unit="m")}, "BCD", {})
    >>> found["h"].value in (1.0, 1.5, 2.0)
    True
    """
    missed = dict.fromkeys(such_that, 0)
    for attempt in range(_TRIES):
        values = {
            name: scale.at(_place(f"{code}|{name}|{attempt}", scale.count))
            for name, scale in scales.items()
        }
        wrong = _first_missed(such_that, SimpleNamespace(**values))
        if wrong is None:
            return {
                name: Given(name, value, scales[name].show(value))
                for name, value in values.items()
            }
        missed[wrong] += 1
    worst = max(missed, key=missed.__getitem__)
    raise NotebookError(
        what="the cell that draws the givens",
        read=f"ranges in which “{worst}” did not hold in {missed[worst]} of {_TRIES} "
        "draws",
        allowed="ranges in which all that is asked can hold together",
        do="Widen a range, or ask for less in such_that.",
    )


def _first_missed(
    such_that: Mapping[str, Callable[[Any], bool]], givens: SimpleNamespace
) -> str | None:
    for words, holds in such_that.items():
        if not holds(givens):
            return words
    return None


def _place(text: str, count: int) -> int:
    return int.from_bytes(hashlib.sha256(text.encode()).digest(), "big") % count
