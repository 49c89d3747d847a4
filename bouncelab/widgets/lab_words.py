"""What the drop lab says: findings and results as the texts on the screen."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from bouncelab.analysis.ball_bounce import BallBounce
from bouncelab.analysis.bounciness import Bounciness
from bouncelab.analysis.conformity import SIGNS
from bouncelab.analysis.words import (
    percent,
    rule_words,
    said_once,
    shown,
    unused_words,
    why_unused,
)
from bouncelab.catalogue import BounceRange, balls
from bouncelab.errors import InputError
from bouncelab.readings.drops import Drops
from bouncelab.readings.sheet import COLUMNS, UNITS, Sheet
from bouncelab.units import read_length, show_length, show_pressure

__all__ = [
    "choices",
    "comparison",
    "finding_cells",
    "points_drawn",
    "range_words",
    "results",
    "workings",
]

_FEEDS = {
    "drop_height_m": "drop_height",
    "rebound_height_m": "rebound_height",
    "diameter_m": "circumference",
    "gauge_pressure_pa": "gauge_pressure",
    "temperature_c": "temperature",
    "ball": "ball",
    "floor": "floor",
    "note": "note",
}
_HEADING = {column.name: column.heading for column in COLUMNS}
_POINTS = {"bottom": "bottom of the ball", "centre": "centre", "top": "top of the ball"}
_LENGTHS = ("cm", "m", "mm", "in", "ft in")
_NEAR_SHARE = 0.02  # of a length: closer than a class's tape and eyes can tell
_HIGHEST = {"drop": 0.86, "rebound": 0.54}  # of the drawing, centre of the ball
_RADIUS = 0.13


def finding_cells(found: Bounciness | None, drops: Drops) -> list[dict[str, Any]]:
    """Give each finding with the cell of the sheet that it is about.

    Parameters
    ----------
    found : Bounciness or None
        The results, whose findings include the sheet's.
    drops : Drops
        The sheet, for when there are no results.

    Returns
    -------
    list of dict
        ``row`` as on the screen, ``column`` of the sheet or empty, and words.
    """
    every = found.findings if found else drops.findings
    cells = []
    for each, said in zip(every, said_once(every), strict=True):
        column = _FEEDS.get(each.column, "")
        cells.append(
            {
                "row": each.row,
                "column": column,
                "heading": _HEADING.get(column, each.column or "the row").capitalize(),
                "read": each.read,
                "said": said,
                "weight": each.weight,
            }
        )
    return cells


def choices(known: Sequence[BounceRange]) -> dict[str, list[list[str]]]:
    """Give what can be chosen for each setting: value and text."""
    return {
        "drop_point": [[value, text] for value, text in _POINTS.items()],
        "rebound_point": [[value, text] for value, text in _POINTS.items()],
        "range": [["", "no range"], *([each.id, _range_text(each)] for each in known)],
        "show_length": [[unit, unit] for unit in _LENGTHS],
        "show_pressure": [[unit, unit] for unit in UNITS["pressure"]],
    }


def _range_text(each: BounceRange) -> str:
    limits = each.as_printed or f"{show_length(each.drop_height_m)}; {each.limits}"
    whose = ", ".join(text for text in (each.body, each.edition) if text) or each.id
    return f"{_kind(each)}: {limits} ({whose})"


def _kind(each: BounceRange) -> str:
    names = {ball.id: ball.name for ball in balls()}
    return names.get(each.ball, each.ball.replace("-", " "))


def range_words(chosen: BounceRange | None) -> str:
    """Say what the chosen range asks for and where it is from; nothing if none is."""
    if chosen is None:
        return ""
    rule = rule_words(chosen)
    parts = [rule[0].upper() + rule[1:]]
    if chosen.floor:
        parts.append(f"Floor: {chosen.floor}.")
    if chosen.temperatures:
        parts.append(f"Temperature: {chosen.temperatures}.")
    parts += [f"{note}." for note in [chosen.notes.rstrip(".")] if note]
    if chosen.source:
        parts.append(f"Source: {chosen.source} ({chosen.confirmed}).")
    return " ".join(parts)


def results(
    found: Bounciness | None,
    setup: Mapping[str, str],
    chosen: BounceRange | None = None,
) -> dict[str, Any]:
    """Give the table of results as texts.

    Parameters
    ----------
    found : Bounciness or None
        The results; None before the first drop.
    setup : mapping of str to str
        The sheet's settings: units to show.
    chosen : BounceRange, optional
        The range to compare with.

    Returns
    -------
    dict
        Headings, lines, remarks, advice and a sentence to be spoken.
    """
    length, pressure = setup["show_length"], setup["show_pressure"]
    lines, remarks, spoken = [], [], []
    for row in found.rows if found else ():
        word, verdict, reason = _verdict(row, chosen)
        name = row.ball or "ball without a name"
        lines.append(
            {
                "cells": [
                    name,
                    _where(row, pressure),
                    str(row.n),
                    show_length(row.drop_height, length),
                    show_length(row.rebound_height, length),
                    shown(row.e, row.expanded),
                    percent(row.energy_lost),
                    shown(row.no_air, row.no_air_expanded),
                ],
                "word": word,
                "verdict": verdict,
                "reason": reason,
            }
        )
        spoken.append(f"{name}: e {shown(row.e, row.expanded)}. {verdict}".strip())
        remarks += [f"{name}: {text}" for text in row.remarks]
        remarks += [f"{name}: {text}" for text in why_unused(row.unused)]
    if found:
        remarks = [unused_words(found.left_out, found.set_aside), *remarks]
        remarks += found.remarks
        if len(lines) == 0:
            remarks = []
    doubts = len(found.findings) if found else 0
    if doubts:
        spoken.append("1 reading" if doubts == 1 else f"{doubts} readings")
        spoken[-1] += " to look at again."
    if not found:
        advice = (
            "Type the ball's name, a drop height and a rebound height: the answer "
            "appears here. The other columns may stay empty."
        )
    elif not lines:
        advice = "No drop can be used yet: see what is marked above."
    else:
        advice = (
            "" if chosen else "Does it meet a rule? Choose a range above the table."
        )
    return {
        "headings": [
            "ball",
            "floor, pressure, temperature",
            "drops used",
            "drop height",
            "rebound height",
            "e, coefficient of restitution (±\u00a095\u00a0%)",
            "energy lost",
            "e corrected for air drag (±\u00a095\u00a0%)",
        ],
        "lines": lines,
        "remarks": list(dict.fromkeys(remarks)),
        "advice": advice,
        "spoken": " ".join(spoken),
    }


def _where(row: BallBounce, pressure: str) -> str:
    parts = [row.floor] if row.floor else []
    if row.gauge_pressure is not None:
        parts.append(show_pressure(row.gauge_pressure, pressure))
    if row.temperature is not None:
        parts.append(f"{row.temperature:.0f} °C")
    return ", ".join(parts) or "–"


def _verdict(row: BallBounce, chosen: BounceRange | None) -> tuple[str, str, str]:
    if not row.verdicts:
        if chosen is None:
            return "", "", ""
        return "", "", f"This range is for another ball: {_kind(chosen)}."
    each = row.verdicts[0]
    verdict = f"{SIGNS[each.word]} {each.word}"
    if each.probability is not None:
        verdict += f" (probability {percent(each.probability)})"
    reason = each.reason
    if row.doubtful and each.word == "cannot be told":
        reason = f"Look first at what is marked “?” above. {reason}"
    return each.word, verdict + ".", reason


def comparison(found: Bounciness | None, sheet: Sheet) -> dict[str, Any]:
    """Set a prediction beside what was measured.

    Parameters
    ----------
    found : Bounciness or None
        The results.
    sheet : Sheet
        Holds the prediction as typed.

    Returns
    -------
    dict
        ``answer`` for the screen, and ``bad`` where the prediction cannot be read.
    """
    text = sheet.setup["prediction"].strip()
    if not text:
        return {"answer": "", "bad": False}
    try:
        predicted = read_length(text)
    except InputError as error:
        said = (
            f"? Your prediction reads {error.read}. Write a height with its unit, such "
            "as 90 cm."
        )
        return {"answer": said, "bad": True}
    unit = sheet.setup["show_length"]
    if found is None or not found.rows:
        said = f"Your prediction, {show_length(predicted, unit)}, is kept. Now drop!"
        return {"answer": said, "bad": False}
    row = found.rows[0]
    apart = predicted - row.rebound_height
    name = row.ball or "The ball"
    said = (
        f"You predicted {show_length(predicted, unit)}. {name} came back to "
        f"{show_length(row.rebound_height, unit)} (bottom of the ball, mean of "
        f"{row.n}), "
    )
    if abs(apart) <= _NEAR_SHARE * row.rebound_height:
        said += "as close as tape and eyes can tell."
    else:
        said += f"{show_length(abs(apart), unit)} {'less' if apart > 0 else 'more'}."
    return {"answer": said, "bad": False}


def points_drawn(setup: Mapping[str, str]) -> dict[str, Any]:
    """Give the drawing of the points that are read, as fractions of its height.

    Parameters
    ----------
    setup : mapping of str to str
        ``drop_point`` and ``rebound_point``.

    Returns
    -------
    dict
        ``balls`` with centre, radius and the height read, and ``words``.
    """
    drop, rebound = setup["drop_point"], setup["rebound_point"]
    share = {"bottom": -1.0, "centre": 0.0, "top": 1.0}
    balls = [
        {
            "label": label,
            "centre": _HIGHEST[label],
            "radius": _RADIUS,
            "read": _HIGHEST[label] + share[point] * _RADIUS,
        }
        for label, point in (("drop", drop), ("rebound", rebound))
    ]
    words = f"Measure from the floor to the {_POINTS[drop]} at the drop"
    if drop == rebound:
        words += ", and to the same point at the rebound."
    else:
        words += (
            f", and to the {_POINTS[rebound]} at the rebound. The kit takes the "
            "difference off with the ball's size: fill in its circumference."
        )
    return {"balls": balls, "words": words}


def workings(rows: Sequence[BallBounce], escape: Callable[[str], str]) -> str:
    """Give the working of each row as HTML that can be folded."""
    if not rows:
        return "<p>The working appears here after the first drop.</p>"
    # The widget's own line height is that of a button.
    parts = ['<div class="bl-working" style="line-height: 1.5; max-width: 90ch">']
    for row in rows:
        told = row.working()
        text = told._repr_html_()
        if len(rows) > 1:
            title = escape(told.title)
            text = text.partition("</h4>")[2]
            text = f"<details><summary>{title}</summary>{text}</details>"
        parts.append(text)
    return "".join([*parts, "</div>"])
