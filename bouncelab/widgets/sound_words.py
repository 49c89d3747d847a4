"""What the sound lab says: impacts, answers and comparisons as texts on the screen."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import isfinite
from typing import Any

from bouncelab.analysis.ball_bounce import BallBounce
from bouncelab.analysis.words import condition_words, shown
from bouncelab.kinds import Ball
from bouncelab.physics.fall import impact_speed
from bouncelab.readings.edited_train import BY_HAND, Mark, drag_of, said_at
from bouncelab.readings.sound import Heard, HeardDrop
from bouncelab.uncertainty import expanded
from bouncelab.units import in_unit, show_length

__all__ = [
    "answer_words",
    "compared_words",
    "gravity_words",
    "heard_words",
    "mark_rows",
    "tape_choices",
]

_OFF = 4.0  # times its uncertainty, of an impact that a person should look at
_SET = 0.005  # m, standard uncertainty of a drop height that was set by tape
_LEAST_OFF = 0.002  # s; less is never pointed out


def heard_words(heard: Heard, name: str) -> list[str]:
    """Say what a recording holds.

    Parameters
    ----------
    heard : Heard
        What `listen` gave.
    name : str
        The recording's.

    Returns
    -------
    list of str
        Sentences.
    """
    count = len(heard.drops)
    drops = {0: "No drop", 1: "One drop"}.get(count, f"{count} drops")
    was = "was" if count < 2 else "were"
    said = [f"{name}, {heard.seconds:.1f} s. {drops} {was} heard."]
    if heard.why:
        said.append(heard.why)
    if not count and any(each.clear for each in heard.impacts):
        said.append(
            "The sudden sounds stand below. If you know which are the ball's, bring "
            "them back: three give an answer."
        )
    return said


def mark_rows(marks: Sequence[Mark], drop: HeardDrop | None) -> list[dict[str, Any]]:
    """Give each mark as a row of the table.

    Parameters
    ----------
    marks : sequence of Mark
        In the order of time.
    drop : HeardDrop or None
        What those that count say; None if they say nothing.

    Returns
    -------
    list of dict
        Name, label, texts of the columns, and what stands in the drawing.
    """
    rows = []
    number, before = 0, None
    for mark in marks:
        off, gap = "", ""
        if mark.counts:
            number += 1
            gap = "" if before is None else f"{mark.time - before:.4f}"
            before = mark.time
            if drop is not None:
                off = f"{1000 * float(drop.fit.residuals[number - 1]):+z.1f}"
                off = "0.0" if off == "+0.0" else off.replace("-", "\u2212")
        rows.append(
            {
                "name": mark.name,
                "number": str(number) if mark.counts else "–",
                "label": f"impact {number}" if mark.counts else "a sound left out",
                "at": mark.time,
                "time": f"{mark.time:.4f}",
                "u": f"{1000 * mark.u:.2f}",
                "gap": gap,
                "off": off,
                "counts": mark.counts,
                "by_hand": mark.by_hand,
                "why": _why(mark),
            }
        )
    return rows


def _why(mark: Mark) -> str:
    if mark.heard is None:
        return "added by you" if mark.counts else "added by you, struck out"
    moved = ", moved by you" if mark.by_hand else ""
    if mark.counts:
        return f"{'brought back by you' if mark.why else 'counts'}{moved}"
    return f"left out: {mark.why}{moved}" if mark.why else f"struck out by you{moved}"


def answer_words(
    marks: Sequence[Mark], drop: HeardDrop, ball: Ball | None
) -> list[str]:
    """Say what the impacts that count give.

    Parameters
    ----------
    marks : sequence of Mark
        In the order of time.
    drop : HeardDrop
        What they say.
    ball : Ball or None
        What was corrected for.

    Returns
    -------
    list of str
        Sentences, the answer first.
    """
    count = len(drop.impacts)
    said = [
        f"e = {shown(drop.restitution, 2 * drop.restitution_u)} at the second of "
        f"{count} impacts; ± holds the true value in about 95 of 100 such recordings."
    ]
    if drop.slope is None:
        said.append(
            "These impacts do not say how e changes with speed: what is usual of balls "
            "is taken. More bounces would tell."
        )
    else:
        u = 2 * drop.slope_u
        said.append(
            f"At twice that speed e would be lower by {shown(drop.slope, u)}."
            if drop.slope > u
            else f"How e changes with speed cannot be told: {shown(drop.slope, u)} "
            "lower at twice the speed."
        )
    if drop.drop_height is not None and drop.drop_height_u is not None:
        height, half = (
            in_unit(each, "length", "cm")
            for each in (drop.drop_height, 2 * drop.drop_height_u)
        )
        said.append(
            f"It was let go at {shown(height, half)} cm, if the same law holds for the "
            "first impact."
        )
    said.append(
        f"Air and time on the floor are allowed for as for a {ball.name}."
        if ball is not None
        else "Air and time on the floor are not allowed for: choose the kind of ball."
    )
    return [*said, *_doubts(marks, drop)]


def gravity_words(drop: HeardDrop, height: float) -> str:
    """Say what g follows from a drop height that was measured.

    Parameters
    ----------
    drop : HeardDrop
        From times.
    height : float
        By tape, in m; taken to be sure to half a centimetre.

    Returns
    -------
    str
        A sentence.
    """
    if drop.drop_height is None:
        return ""
    g, u = drop.gravity(height, _SET)
    return (
        f"Let go at {show_length(height)}, it fell with g = {shown(g, 2 * u)} m/s², if "
        "the same law holds for the first impact."
    )


def _doubts(marks: Sequence[Mark], drop: HeardDrop) -> list[str]:
    said = []
    counting = [mark for mark in marks if mark.counts]
    far = [
        (number, float(off))
        for number, (mark, off) in enumerate(
            zip(counting, drop.fit.residuals, strict=True), start=1
        )
        if abs(off) > max(_OFF * mark.u, _LEAST_OFF)
    ]
    if far:
        number, off = max(far, key=lambda each: abs(each[1]))
        side = "late" if off > 0 else "early"
        said.append(
            f"? Impact {number} comes {1000 * abs(off):.0f} ms too {side} for the law "
            "of the others. Is it the ball's, or was one missed?"
        )
    if any(mark.by_hand for mark in counting):
        said.append(
            f"An impact placed by hand counts as sure to {1000 * BY_HAND:.1f} ms."
        )
    return said


def tape_choices(rows: Mapping[str, BallBounce]) -> list[list[str]]:
    """Give the tape's results that can be compared with, as value and text.

    Parameters
    ----------
    rows : mapping of str to BallBounce
        A condition of a class's table by its name.

    Returns
    -------
    list of list of str
        None of them first.
    """
    return [
        ["", "nothing"],
        *(
            [value, f"{condition_words(row)}: e = {shown(*_tape(row))}"]
            for value, row in rows.items()
        ),
    ]


def _tape(row: BallBounce) -> tuple[float, float]:
    """Give the tape's e without air if it is known, else with it, and its ±."""
    if row.no_air is not None and row.no_air_expanded is not None:
        return row.no_air, row.no_air_expanded
    return row.e, row.expanded


def compared_words(drop: HeardDrop, row: BallBounce, ball: Ball | None) -> str:
    """Say whether ear and tape agree.

    Parameters
    ----------
    drop : HeardDrop
        From times.
    row : BallBounce
        From heights.
    ball : Ball or None
        For the air's drag on the way down.

    Returns
    -------
    str
        Sentences with both results at the same impact speed.

    Notes
    -----
    The two share nothing but gravity. Their difference has the uncertainty of both,
    with the tape's degrees of freedom (Welch and Satterthwaite).
    """
    speed = float(
        impact_speed(drop_height=row.drop_height, drag_constant=drag_of(ball))
    )
    e, u = said_at(drop, speed)
    with_air = row.no_air is None or row.no_air_u is None
    tape, tape_u = (row.e, row.u) if with_air else (row.no_air, row.no_air_u)
    apart = e - float(tape or 0.0)
    both = expanded(
        type_a=float(tape_u or 0.0), dof_a=max(min(row.nu_eff, 1e6), 1.0), type_b=u
    )
    half = float(both.expanded)
    said = [
        f"Ear: e = {shown(e, 2 * u)}. Tape: e = {shown(*_tape(row))}. Both at "
        f"{speed:.1f} m/s, as from {in_unit(row.drop_height, 'length', 'cm'):.0f} cm."
    ]
    size = shown(abs(apart), half)
    if not isfinite(half) or abs(apart) <= half:
        said.append(f"✓ They agree: they differ by {size}, less than can be told.")
    else:
        word = "higher" if apart > 0 else "lower"
        said.append(
            f"✕ They do not agree: the ear's is {word} by {size}. Is it the same ball, "
            "floor and pressure? Is an impact missing, or the tape off?"
        )
    if with_air:
        said.append("The tape's e has the air in it still: name the kind of ball.")
    if drop.slope is None:
        said.append(
            "The recording alone does not say how e changes with speed; what is usual "
            "is taken, and the ± says how open that is."
        )
    return " ".join(said)
