"""Findings put into words and figures that a person reads."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import isfinite
from typing import TYPE_CHECKING, Any

from bouncelab.units import in_unit, show_length, show_pressure, show_temperature

if TYPE_CHECKING:
    from bouncelab.analysis.ball_bounce import BallBounce, Unused
    from bouncelab.analysis.verdicts import RangeVerdict
    from bouncelab.catalogue import BounceRange
    from bouncelab.readings.drops import Finding

__all__ = [
    "FINDING_HEADINGS",
    "HEADINGS",
    "cells",
    "condition_words",
    "finding_rows",
    "percent",
    "plain",
    "row_remarks",
    "rule_words",
    "said_once",
    "shown",
    "unused_words",
    "verdict_words",
    "why_unused",
]

HEADINGS = (
    "ball",
    "floor",
    "kPa",
    "drop cm",
    "rebound cm",
    "drops",
    "e in air",
    "e without air",
    "energy lost",
    "range",
    "verdict",
)
FINDING_HEADINGS = ("row", "column", "read", "why, and what to try")


def plain(value: Any) -> float | None:
    """Give a float, or None for what is missing, not a number or infinite."""
    if value is None or not isfinite(value):
        return None
    return float(value)


def shown(value: float | None, half_width: float | None) -> str:
    """Write a value with its uncertainty, which keeps two digits.

    Parameters
    ----------
    value, half_width : float or None
        Both in the same unit, or without one.

    Returns
    -------
    str
        Such as ``"0.776 ± 0.013"``; a dash if there is no value.

    References
    ----------
    .. [1] JCGM 100:2008, 7.2.6.

    Examples
    --------
    >>> shown(0.77614, 0.01349), shown(None, None)
    ('0.776 ± 0.013', '–')
    """
    if value is None or half_width is None:
        return "–"
    if not half_width > 0:
        return f"{value:.3f}"
    power = int(f"{half_width:.1e}".partition("e")[2])
    digits = max(0, 1 - power)
    return f"{value:.{digits}f} ± {half_width:.{digits}f}"


def cells(row: BallBounce) -> list[list[str]]:
    """Give the texts under `HEADINGS`, one line for each range (or just one)."""
    pressure = row.gauge_pressure
    common = [
        row.ball or "(no name)",
        row.floor,
        "–" if pressure is None else f"{in_unit(pressure, 'pressure', 'kPa'):.1f}",
        f"{in_unit(row.drop_height, 'length', 'cm'):.1f}",
        f"{in_unit(row.rebound_height, 'length', 'cm'):.1f}",
        str(row.n),
        shown(row.e, row.expanded),
        shown(row.no_air, row.no_air_expanded),
        f"{row.energy_lost:.0%}".replace("%", " %"),
    ]
    judged = [[each.range.id, verdict_words(each)] for each in row.verdicts]
    return [[*common, *each] for each in judged or [["–", "–"]]]


def verdict_words(verdict: RangeVerdict) -> str:
    """Write a verdict with its probability."""
    if verdict.probability is None:
        return str(verdict.word)
    return f"{verdict.word} (probability {percent(verdict.probability)})"


def percent(share: float) -> str:
    """Write a probability without claiming certainty."""
    if share > 0.995:
        return "over 99 %"
    if share < 0.005:
        return "under 1 %"
    return f"{share:.0%}".replace("%", " %")


def rule_words(rule: BounceRange) -> str:
    """Say what a range asks for, in one sentence."""
    named = "" if rule.points_named else ", taken: the source names no point"
    return (
        f"dropped from {show_length(rule.drop_height_m)} ({rule.drop_point} of the "
        f"ball), it must come back to {rule.limits} ({rule.rebound_point} of the "
        f"ball{named})."
    )


def condition_words(row: BallBounce) -> str:
    """Say what ball was dropped under which condition, in one phrase."""
    name = row.ball or "(no name)"
    parts = [f"{name} on {row.floor}" if row.floor else name]
    if row.gauge_pressure is not None:
        parts.append(show_pressure(row.gauge_pressure))
    if row.temperature is not None:
        parts.append(show_temperature(row.temperature))
    return ", ".join([*parts, f"from {show_length(row.drop_height)}"])


def unused_words(left_out: int, set_aside: int) -> str:
    """Say how many drops are not in the numbers.

    Parameters
    ----------
    left_out, set_aside : int
        Numbers of drops.

    Returns
    -------
    str
        One sentence.

    Examples
    --------
    >>> unused_words(1, 0)
    '1 drop was left out and none set aside.'
    """
    if not left_out and not set_aside:
        return "No drop was left out or set aside."
    drops = "1 drop was" if left_out == 1 else f"{left_out or 'No'} drops were"
    return f"{drops} left out and {set_aside or 'none'} set aside."


def finding_rows(
    findings: Sequence[Finding], headings: Mapping[str, str]
) -> list[list[str]]:
    """Give the texts under `FINDING_HEADINGS`, one line for each finding.

    Parameters
    ----------
    findings : sequence of Finding
        What was found.
    headings : mapping of str to str
        The file's own heading of each column of the table.

    Returns
    -------
    list of list of str
        Row, column, what was read, and why with what to try.
    """
    return [
        [
            str(each.row),
            headings.get(each.column, each.column.replace("_", " ")) or "row",
            each.read,
            said,
        ]
        for each, said in zip(findings, said_once(findings), strict=True)
    ]


def said_once(findings: Sequence[Finding]) -> list[str]:
    """Give the reason and the cure of each finding; a repeated one in brief.

    Parameters
    ----------
    findings : sequence of Finding
        What was found.

    Returns
    -------
    list of str
        One text for each finding.

    Examples
    --------
    >>> from dataclasses import replace
    >>> from bouncelab.readings.drops import Finding
    >>> hot = Finding(3, "temperature_c", "68", "68 °C is hot.", "Look.", "", "")
    >>> said_once([hot, replace(hot, row=4)])
    ['68 °C is hot. Look.', 'As in row 3.']
    """
    first: dict[tuple[str, str, str, str], int] = {}
    said = []
    for each in findings:
        key = (each.column, each.why, each.cure, each.weight)
        row = first.setdefault(key, each.row)
        said.append(
            f"{each.why} {each.cure}".strip()
            if row == each.row
            else f"As in row {row}."
        )
    return said


def why_unused(unused: Sequence[Unused]) -> list[str]:
    """Say of each drop that is not used on which row it stands and why."""
    return [
        f"Row {each.line} is {'set aside' if each.set_aside else 'left out'}: "
        f"{each.why}"
        for each in unused
    ]


def row_remarks(row: BallBounce, judged: bool) -> tuple[str, ...]:
    """Say what a reader of one condition's numbers must know.

    Parameters
    ----------
    row : BallBounce
        The condition.
    judged : bool
        Whether a range was found for it.

    Returns
    -------
    tuple of str
        Whole sentences; empty if there is nothing to say.
    """
    basis, said = row.basis, []
    if row.n == 1:
        said.append(
            "One drop shows no scatter: the uncertainty rests on what is assumed "
            "about the readings alone."
        )
    if basis.by_group:
        said.append(
            "The groups' means scatter more than their own drops explain, so, to be "
            "safe, each group's mean counts as one measurement."
        )
    if basis.alike:
        said.append(
            "The drops agree better than a rebound can be read, so the reading "
            "error is added."
        )
    turned = basis.drop_share or basis.rebound_share
    if turned and row.diameter and basis.diameter_from == "catalogue":
        said.append(
            f"The ball's diameter, {show_length(row.diameter)}, is that of its kind "
            "in the catalogue; measure it for a smaller uncertainty."
        )
    if basis.low:
        said.append(
            "The rebound is very low, so e is the root of mean rebound over mean drop."
        )
    if basis.coarse:
        said.append(
            "The rebound is known to no better than a tenth, so the uncertainty "
            "comes from random draws."
        )
    if row.doubtful:
        said.append(
            "1 doubtful drop is in these numbers until someone sets it aside."
            if row.doubtful == 1
            else f"{row.doubtful} doubtful drops are in these numbers until someone "
            "sets them aside."
        )
    if row.kind is None and judged:
        said.append(
            "The catalogue does not know this ball; it was compared with the one "
            "range that was asked for."
        )
    return (*said, *why_unused(row.unused))
