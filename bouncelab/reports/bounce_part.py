"""How bouncy each ball is: a table, every rebound in strips, and the ranges."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from bouncelab.analysis.ball_bounce import BallBounce
from bouncelab.analysis.bounciness import Bounciness
from bouncelab.analysis.words import condition_words, rule_words, shown, verdict_words
from bouncelab.figures.strips import draw_strips
from bouncelab.reports.parts import (
    Parts,
    ball_words,
    ordered_rows,
    unbroken,
    where_words,
)
from bouncelab.typesetting.paper import plain, table
from bouncelab.units import in_unit

__all__ = ["bounce_part"]

_STRIPS = 7  # in one figure, so that it fits a page with its caption
_FIGURES = 12

_Column = tuple[str, int, Callable[[BallBounce], str]]


def bounce_part(parts: Parts, found: Bounciness) -> None:
    """Give the table of results, every rebound in strips, and the verdicts.

    Parameters
    ----------
    parts : Parts
        Takes it.
    found : Bounciness
        The class's results.
    """
    rows = ordered_rows(found)
    if not rows:
        return
    parts.begin("bounce", "How bouncy is each ball?")
    parts.say("::: small", _results(rows), ":::")
    air = any(row.no_air is not None for row in rows)
    parts.say(
        "± is the expanded uncertainty, 95 % coverage. *e* is the coefficient of "
        "restitution, the share of its speed that a ball keeps, as the heights show "
        "it. Heights are those of the lowest point of the ball."
        + (
            " *Without air*: corrected for air drag, where the kind of ball is known."
            if air
            else ""
        )
    )
    shares = list(_shares(rows))
    for some in shares[:_FIGURES]:
        parts.show(draw_strips(some), _caption(some))
    left = len(rows) - sum(len(some) for some in shares[:_FIGURES])
    if left:
        parts.say(f"… and {left} more, which stand in the table.")
    _ranges(parts, rows)
    _remarks(parts, found, rows)


def _results(rows: Sequence[BallBounce]) -> str:
    columns: list[_Column] = [
        ("ball", 9, lambda r: plain(ball_words(r))),
        ("floor", 6, lambda r: plain(r.floor)),
        ("kPa", 3, lambda r: _number(r.gauge_pressure, "pressure", "kPa")),
        ("°C", 3, lambda r: _number(r.temperature, "temperature", "°C")),
        ("drop (cm)", 4, lambda r: _number(r.drop_height, "length", "cm")),
        ("drops", 4, lambda r: str(r.n)),
        ("rebound (cm)", 5, lambda r: _number(r.rebound_height, "length", "cm")),
        ("*e*", 9, lambda r: unbroken(shown(r.e, r.expanded))),
        (
            "*e* without air",
            9,
            lambda r: unbroken(shown(r.no_air, r.no_air_expanded)),
        ),
        ("energy lost", 4, lambda r: f"{r.energy_lost:.0%}".replace("%", " %")),
    ]
    texts = [[cell(row) or "–" for _, _, cell in columns] for row in rows]
    # A column in which nobody wrote anything tells nothing.
    kept = [k for k in range(len(columns)) if any(each[k] != "–" for each in texts)]
    return table(
        [columns[k][0] for k in kept],
        [[each[k] for k in kept] for each in texts],
        right=[place for place, k in enumerate(kept) if k > 1],
        widths=[columns[k][1] for k in kept],
    )


def _number(value: float | None, quantity: str, unit: str) -> str:
    return "–" if value is None else f"{in_unit(value, quantity, unit):.1f}"


def _shares(rows: Sequence[BallBounce]) -> Iterator[list[BallBounce]]:
    """Share strips out over figures; a ball's own stay together if they can."""
    some: list[BallBounce] = []
    for ball in dict.fromkeys(row.ball for row in rows):
        own = [row for row in rows if row.ball == ball]
        if some and len(some) + len(own) > _STRIPS:
            yield some
            some = []
        some += own
        while len(some) > _STRIPS:
            yield some[:_STRIPS]
            some = some[_STRIPS:]
    if some:
        yield some


def _caption(rows: Sequence[BallBounce]) -> str:
    said = "Each mark is one drop"
    if any(row.doubtful for row in rows):
        said += ", hollow if its reading is doubtful"
    said += "; the upright line is the mean, the bar its 95 % interval"
    if any(row.verdicts for row in rows):
        said += ", the shaded band the range"
    return f"{said}."


def _ranges(parts: Parts, rows: Sequence[BallBounce]) -> None:
    judged = [(row, verdict) for row in rows for verdict in row.verdicts]
    if not judged:
        return
    parts.say("### Against the ranges")
    for rule in dict.fromkeys(verdict.range for _, verdict in judged):
        lines = [
            f"- {plain(condition_words(row))}: **{plain(verdict_words(verdict))}**. "
            f"{plain(verdict.reason)}"
            for row, verdict in judged
            if verdict.range == rule
        ]
        parts.say(f"**{plain(rule.id)}:** {plain(rule_words(rule))}", "\n".join(lines))


def _remarks(parts: Parts, found: Bounciness, rows: Sequence[BallBounce]) -> None:
    alike: dict[str, list[str]] = {}
    for row in rows:
        for each in row.remarks:
            if not each.startswith("Row "):  # those stand among the readings
                who = " ".join([ball_words(row), where_words(row, rows)]).strip()
                alike.setdefault(each, []).append(plain(who))
    said = [f"- {'; '.join(who)}: {plain(text)}" for text, who in alike.items()]
    said += [f"- {plain(each)}" for each in found.remarks]
    if said:
        parts.say("### What to know about these numbers", "\n".join(said))
