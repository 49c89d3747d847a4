"""One sheet marked: right, right by the student's own numbers, or which wrong idea."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from math import floor, log10
from typing import Any

from bouncelab.errors import BounceLabError
from bouncelab.measures import from_si, quantity_of, to_si
from bouncelab.worksheets.answers import Answer
from bouncelab.worksheets.keys import KeyRow
from bouncelab.worksheets.running import Variant, solve
from bouncelab.worksheets.source import Source
from bouncelab.worksheets.written import Written, read_answer

__all__ = ["Marked", "mark_sheet"]

_ROUGH = 0.05  # a number further off than this share was not only rounded
_SHORT = (("can't", "cannot"), ("can not", "cannot"), ("n't", " not"))
_NOT = {"not", "no", "never", "neither", "nor", "cannot"}


@dataclass(frozen=True, slots=True)
class Marked:
    """What became of one answer.

    Attributes
    ----------
    row : KeyRow
        The question with its key.
    written : str
        What the student wrote.
    marks : int
        Given so far.
    result : str
        ``right``, ``follows`` (right by the student's own earlier answers),
        ``wrong``, ``empty``, ``unread``, or ``for the teacher``.
    said : tuple of str
        Sentences to the student.
    idea : str
        The wrong idea that the number points to; empty if none.
    """

    row: KeyRow
    written: str
    marks: int
    result: str
    said: tuple[str, ...]
    idea: str = ""

    @property
    def needs_eye(self) -> bool:
        """Whether a teacher has to look at it."""
        return self.result in ("unread", "for the teacher") and bool(
            self.written or self.row.kind == "drawing"
        )


def mark_sheet(
    rows: Sequence[KeyRow], answers: Mapping[str, str], source: Source | None
) -> list[Marked]:
    """Mark what was written on one sheet.

    Parameters
    ----------
    rows : sequence of KeyRow
        The sheet's key, in its order.
    answers : mapping of str to str
        What was written, by question or printed number.
    source : Source or None
        The teacher's source; without it no answer can be followed from the student's
        own earlier ones.

    Returns
    -------
    list of Marked
        One for each question.

    Notes
    -----
    A right number earns its marks, less one for a missing or other unit and one for
    too many or too few figures, but never less than one. A number that is wrong by
    the sheet but right by the student's own earlier answers earns the same. A slip of
    writing (the number in another unit, a % left out, rounded too far) costs one mark.
    """
    earlier: dict[str, Any] = {}
    made = []
    for row in rows:
        text = answers.get(row.question, answers.get(row.number, "")).strip()
        own: float | str | None
        if row.kind == "number":
            marked, own = _number(row, text, earlier, source)
        elif row.kind == "choice":
            marked, own = _choice(row, text, earlier, source)
        else:
            marked, own = _words(row, text), None
        if own is not None:
            earlier[row.question] = own
        made.append(marked)
    return made


def _followed(
    row: KeyRow, earlier: Mapping[str, Any], source: Source | None
) -> Answer | None:
    """Give what is right by the student's own earlier answers."""
    if source is None or not earlier:
        return None
    try:
        variant: Variant = solve(source, row.givens, earlier)
    except BounceLabError:
        return None
    return variant.answers.get(row.question)


def _number(
    row: KeyRow, text: str, earlier: Mapping[str, Any], source: Source | None
) -> tuple[Marked, float | None]:
    if not text:
        return Marked(row, text, 0, "empty", ("Nothing is written here.",)), None
    written = read_answer(text)
    value, unit_said = _in_unit(written, row)
    for other in _otherwise(written, row):
        again, said_again = _in_unit(other, row)
        if again is not None and abs(again - float(row.answer)) <= row.tolerance:
            written, value, unit_said = other, again, said_again
    if value is None:
        said = f"Your teacher looks at this one: {written.why or unit_said}."
        return Marked(row, text, 0, "unread", (said,)), None
    own = to_si(value, row.unit, row.quantity)
    if row.unit_matters and written.unit not in ("", row.unit):
        said = f"Not yet. It is asked for in {row.unit}. The key has {row.shown}."
        return Marked(row, text, 0, "wrong", (said,), "left in another unit"), own
    faults = [*([unit_said] if unit_said else []), *_figures(written, row)]
    earned = max(1, row.marks - len(faults)) if row.marks else 0
    if abs(value - float(row.answer)) <= row.tolerance:
        head = "Right." if not faults else "The number is right."
        return Marked(row, text, earned, "right", (head, *faults)), own
    follows = _followed(row, earlier, source)
    if follows is not None and follows.kind == "number":
        if abs(own - follows.value) <= follows.tolerance_si:
            head = (
                "Right by your own earlier answer: it earns its marks. With the key's "
                f"numbers it would be {row.shown}."
            )
            return Marked(row, text, earned, "follows", (head, *faults)), own
        idea = _ideas(own, follows.wrong, follows.value, follows.tolerance_si)
        if idea:
            return _wrong(row, text, idea), own
    idea = _ideas(value, row.wrong, float(row.answer), row.tolerance)
    if idea:
        return _wrong(row, text, idea), own
    slip = _slip(written, value, row)
    if slip is not None:
        why = (slip[1], unit_said) if unit_said else slip[1:]
        return Marked(
            row, text, max(0, row.marks - len(why)), "wrong", why, slip[0]
        ), own
    return _wrong(row, text, ""), own


def _slip(written: Written, value: float, row: KeyRow) -> tuple[str, str] | None:
    """Give a slip of writing, with what to say of it; the working was right."""
    wanted, bare = float(row.answer), float(written.number or 0)
    if written.unit == "" and row.quantity == "ratio" and row.unit == "":
        if abs(bare / 100 - wanted) <= row.tolerance:
            return "% left out", f"Write {written.text} %, or {row.shown}."
    elif written.unit != row.unit and abs(bare - wanted) <= row.tolerance:
        unit = row.unit or "no unit"
        return "wrong unit", f"The number fits {unit}, but you wrote {written.unit}."
    if not bare or abs(value - wanted) > _ROUGH * abs(wanted):
        return None
    # The last digit written is worth 10**place; right as rounded there is half of it.
    figures = written.figures[1 if "/" in written.text else 0]
    place = floor(log10(abs(bare))) + 1 - max(1, figures)
    if abs(value - wanted) <= 0.5000001 * 10.0**place * abs(value / bare):
        return "rounded too far", f"Rounded too far: the key has {row.shown}."
    return None


def _near(value: float, found: float, right: float, tolerance: float) -> bool:
    """Say whether a number is that of a wrong idea; a larger one may be off by more."""
    scale = max(1.0, abs(found / right)) if right else 1.0
    return abs(value - found) <= tolerance * scale


def _ideas(
    value: float, wrong: Mapping[str, Any], right: float, tolerance: float
) -> str:
    """Name the wrong idea behind a number, or all that lead to it."""
    off = {
        idea: abs(value - float(found))
        for idea, found in wrong.items()
        if _near(value, float(found), right, tolerance)
    }
    least = min(off.values(), default=0.0)
    # What the rounding of an answer cannot tell apart is not told apart here.
    close = [i for i in sorted(off, key=off.__getitem__) if off[i] <= least + tolerance]
    return ", or ".join(close)


def _wrong(row: KeyRow, text: str, idea: str) -> Marked:
    hint = f" It looks like this slip: {idea}." if idea else ""
    said = f"Not yet.{hint} The key has {row.shown}."
    return Marked(row, text, 0, "wrong", (said,), idea)


def _in_unit(written: Written, row: KeyRow) -> tuple[float | None, str]:
    """Give the number in the unit that was asked for, and what to say of the unit."""
    if written.number is None or written.unit is None:
        return None, written.why
    if written.unit == row.unit:
        return written.number, ""
    if written.unit == "":
        return written.number, f"Write the unit, too: {row.unit}."
    try:
        both = {row.quantity, quantity_of(written.unit)}
        if "ratio" in both and len(both) > 1:
            return None, f"{written.unit} is no unit for this answer"
        value = from_si(
            to_si(written.number, written.unit, row.quantity), row.unit, row.quantity
        )
    except BounceLabError:
        return None, f"{written.unit} is no unit for this answer"
    return value, ""


def _otherwise(written: Written, row: KeyRow) -> list[Written]:
    """Give what else may be meant: 1,200 is 1200, and a share is also a percentage."""
    others = []
    if written.thousands is not None:
        low = len(f"{written.thousands:.0f}".rstrip("0"))
        both = (low, written.figures[1])
        others.append(replace(written, number=written.thousands, figures=both))
    if written.unit == "" and written.number is not None and row.unit == "%":
        others.append(replace(written, number=100 * written.number, unit="%"))
    return others


def _figures(written: Written, row: KeyRow) -> list[str]:
    if row.figures is None:
        return []
    low, high = row.figures
    few, many = written.figures
    if many < low:
        return [f"Too few figures: give {low}, such as {row.shown}."]
    if few > high:
        return [
            f"Too many figures: what was measured allows {low}, such as {row.shown}."
        ]
    return []


def _choice(
    row: KeyRow, text: str, earlier: Mapping[str, Any], source: Source | None
) -> tuple[Marked, str | None]:
    if not text:
        return Marked(row, text, 0, "empty", ("Nothing is written here.",)), None
    chosen = _chosen(text, row.choices)
    if chosen is None:
        said = f"Choose one of: {', '.join(row.choices)}."
        return Marked(row, text, 0, "unread", (said,)), None
    if chosen == row.answer:
        return Marked(row, text, row.marks, "right", ("Right.",)), chosen
    follows = _followed(row, earlier, source)
    if follows is not None and follows.value == chosen:
        head = (
            "Right by your own earlier answer: it earns its marks. With the key's "
            f"numbers it would be “{row.answer}”."
        )
        return Marked(row, text, row.marks, "follows", (head,)), chosen
    idea = next((name for name, each in row.wrong.items() if each == chosen), "")
    hint = f" It looks like this slip: {idea}." if idea else ""
    said = f"Not yet.{hint} The key has “{row.answer}”."
    return Marked(row, text, 0, "wrong", (said,), idea), chosen


def _chosen(text: str, choices: Sequence[str]) -> str | None:
    """Give the choice that is meant: as written, or alone in a text and not denied."""

    def bare(words: str) -> str:
        words = words.casefold().replace("’", "'")
        for short, long in _SHORT:
            words = words.replace(short, long)
        kept = "".join(c if c.isalnum() else " " for c in words)
        return " ".join(kept.split())

    said = bare(text)
    plain = {bare(each): each for each in choices}
    if said in plain:
        return plain[said]
    left, inside = f" {said} ", []
    for each in sorted(plain, key=len, reverse=True):  # “inelastic” before “elastic”
        if f" {each} " in left:
            inside.append(each)
            left = left.replace(f" {each} ", " ; ")
    denied = not _NOT.isdisjoint(left.split())
    return plain[inside[0]] if len(inside) == 1 and not denied else None


def _words(row: KeyRow, text: str) -> Marked:
    if not text and row.kind == "words":
        return Marked(row, text, 0, "empty", ("Nothing is written here.",))
    said = "Your teacher looks at this one."
    return Marked(row, text, 0, "for the teacher", (said,))
