"""What a sheet asks for: the right answer, what is accepted, and wrong ideas."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from math import floor, log10
from typing import Any

from bouncelab.errors import InputError
from bouncelab.measures import from_si, quantity_of, to_si
from bouncelab.worksheets.shown import Shown, decimals_shown, significant

__all__ = ["Answer", "choice_asked", "number_asked"]

_TOLERANCE = re.compile(r"\s*(\d+(?:[.,]\d+)?(?:e-?\d+)?)\s*(\S.*)?", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Answer:
    """One question of one sheet with its answer.

    Attributes
    ----------
    question : str
        Its name in the source.
    kind : {"number", "choice", "words", "drawing"}
        What a student writes.
    value : float or str or None
        A number in SI (°C for a temperature); the right words of a choice.
    unit, quantity : str
        As asked, by `bouncelab.measures`.
    tolerance : float
        What a number may be off by, in `unit`.
    figures : tuple of (int, int) or None
        The fewest and the most significant figures accepted; None for any.
    marks : int
        1 or more.
    symbol : str
        Markdown before the place of the answer, such as ``"$e$"``.
    wrong : mapping of str to float or str
        Wrong ideas, each with the answer that it leads to, as `value`.
    choices : tuple of str
        What there is to choose from.
    expected : tuple of str
        Points that a teacher looks for.
    space : str
        Height of the place on paper, such as ``"2.4cm"``; lines for words.
    step : float or None
        The key shows a number with the decimals of this step of a scale; without
        one, with the fewest figures accepted, or 3.
    number : str
        As printed: 1, 2a.
    unit_matters : bool
        Whether the number counts in `unit` only, as where converting is the question.
    """

    question: str
    kind: str
    value: Any = None
    unit: str = ""
    quantity: str = ""
    tolerance: float = 0.0
    figures: tuple[int, int] | None = None
    marks: int = 1
    symbol: str = ""
    wrong: Mapping[str, Any] = field(default_factory=dict)
    choices: tuple[str, ...] = ()
    expected: tuple[str, ...] = ()
    space: str = ""
    step: float | None = None
    number: str = ""
    unit_matters: bool = False

    def in_unit(self, value: float) -> float:
        """Give an SI number in the unit that is asked for."""
        return from_si(value, self.unit, self.quantity)

    @property
    def tolerance_si(self) -> float:
        """What a number may be off by, in SI."""
        unit, quantity = self.unit, self.quantity
        if quantity == "temperature":
            return abs(to_si(self.tolerance, unit) - to_si(0.0, unit))
        return to_si(self.tolerance, unit, quantity)

    @property
    def shown(self) -> Shown:
        """The answer as a key shows it: rounded, with its unit."""
        if self.kind != "number":
            return Shown(self.value or "")
        return self.show(self.value)

    def show(self, value: float) -> Shown:
        """Give an SI number as the key shows the answer."""
        number = self.in_unit(value)
        if self.step is not None:
            return Shown(decimals_shown(number, self.step), self.unit)
        figures = self.figures[0] if self.figures else 3
        return Shown(significant(number, figures), self.unit)


def number_asked(
    question: str,
    value: Any,
    *,
    unit: str = "",
    quantity: str = "",
    tolerance: float | str = "2 %",
    figures: int | tuple[int, int] | None = None,
    wrong: Mapping[str, Any] | None = None,
    **more: Any,
) -> Answer:
    """Give a question that is answered with a number.

    Parameters
    ----------
    question : str
        Its name.
    value : float
        In SI.
    unit, quantity : str, optional
        As asked.
    tolerance : float or str, optional
        In `unit`, such as ``0.01`` or ``"0.5 cm"``, or a share such as ``"2 %"``;
        never less than rounding to the fewest figures takes.
    figures : int or tuple of (int, int), optional
        Significant figures accepted: a number for that many or one more.
    wrong : mapping of str to float, optional
        Wrong ideas with what they lead to, in SI.
    **more : object
        Other fields of `Answer`.

    Returns
    -------
    Answer
        Wrong ideas that lead to an accepted answer are left out: they could not
        be told from right.

    Raises
    ------
    InputError
        If something cannot be used.

    Examples
    --------
    >>> asked = number_asked("e", 0.774, tolerance="2 %", figures=2)
    >>> round(asked.tolerance, 5), asked.shown.text
    (0.01548, '0.77')
    """
    measured = quantity or quantity_of(unit)
    try:
        number = float(value)
    except (TypeError, ValueError):
        number = float("nan")
    if number != number or abs(number) == float("inf"):
        raise _unfit(question, f"{value!r} as its answer", "one finite number")
    off = _off_by(question, tolerance, from_si(number, unit, measured), unit)
    if isinstance(figures, int):
        figures = (figures, figures + 1)
    if figures and not 1 <= figures[0] <= figures[1]:
        raise _unfit(question, f"figures={figures}", "1 or more, the fewest first")
    if figures:
        off = max(off, _half_unit(from_si(number, unit, measured), figures[0]))
    ideas = {idea: float(found) for idea, found in (wrong or {}).items()}
    asked = Answer(
        question,
        "number",
        number,
        unit=unit,
        quantity=measured,
        tolerance=off,
        figures=tuple(figures) if figures else None,  # type: ignore[arg-type]
        wrong={
            idea: found
            for idea, found in ideas.items()
            if abs(from_si(found, unit, measured) - from_si(number, unit, measured))
            > off
        },
        **more,
    )
    if asked.marks < 1 or asked.marks != int(asked.marks):
        raise _unfit(question, f"marks={asked.marks}", "a whole number, 1 or more")
    return asked


def choice_asked(
    question: str,
    right: str,
    among: Sequence[str],
    wrong: Mapping[str, str],
    **more: Any,
) -> Answer:
    """Give a question that is answered by one of some words.

    Parameters
    ----------
    question : str
        Its name.
    right : str
        The right words.
    among : sequence of str
        What there is to choose from.
    wrong : mapping of str to str
        Wrong ideas with the words they lead to.
    **more : object
        Other fields of `Answer`.

    Returns
    -------
    Answer
        Without ideas that lead to the right words.

    Raises
    ------
    InputError
        If words stand twice, or the right ones or those of an idea are not there.

    Examples
    --------
    >>> choice_asked("b", "yes", ["yes", "no"], {"sign": "no", "luck": "yes"}).wrong
    {'sign': 'no'}
    """
    lost = [each for each in (right, *wrong.values()) if each not in among]
    if lost or len(set(among)) != len(among):
        read = f"“{(lost or [right])[0]}” among {', '.join(among)}"
        raise _unfit(question, read, "words that differ, the right ones among them")
    ideas = {idea: words for idea, words in wrong.items() if words != right}
    return Answer(question, "choice", right, wrong=ideas, choices=tuple(among), **more)


def _off_by(question: str, tolerance: float | str, number: float, unit: str) -> float:
    allowed = (
        f"a number above 0 in {unit or 'no unit'}, or a share such as “2 %”"
        " of an answer that is not 0"
    )
    if isinstance(tolerance, str):
        found = _TOLERANCE.fullmatch(tolerance)
        size = float(found[1].replace(",", ".")) if found else 0.0
        own = ((found[2] or "") if found else "").strip()
        if own == "%" and unit != "%":
            size *= abs(number) / 100.0
        elif own not in ("", unit):
            size = 0.0
    else:
        size = float(tolerance)
    if not 0 < size < float("inf"):
        raise _unfit(question, f"tolerance={tolerance!r}", allowed)
    return size


def _half_unit(number: float, figures: int) -> float:
    """Give what rounding to so many figures may take or add."""
    if number == 0:
        return 0.0
    return 0.5000001 * 10.0 ** (floor(log10(abs(number))) - figures + 1)


def _unfit(question: str, read: str, allowed: str) -> InputError:
    return InputError(
        what=f"the question “{question}” of the source",
        read=read,
        allowed=allowed,
        do="Mend the cell that declares it.",
    )
