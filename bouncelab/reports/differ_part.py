"""What differs between balls, pressures, floors, temperatures, groups; how much air."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from bouncelab.analysis.bounciness import Bounciness
from bouncelab.analysis.compared import BY
from bouncelab.analysis.comparison import Comparison, Pair, compare
from bouncelab.analysis.pressure import CAUTION, Tuning, tune_pressure
from bouncelab.catalogue import BounceRange
from bouncelab.errors import InputError
from bouncelab.figures.levels import draw_comparison
from bouncelab.figures.pressure_curve import draw_pressure_curve
from bouncelab.kinds import find_ball
from bouncelab.reports.parts import Parts, counted, unbroken
from bouncelab.typesetting.paper import plain, table
from bouncelab.units import show_temperature

__all__ = ["air_part", "comparisons", "differ_part", "tunings"]

_PAIRS = 12  # told in words, the surest first
_ALIKE = 4  # of those that cannot be told apart, the nearest to it
_WARMTH = 5.0  # K between drops; more may show in the bounce
_LEVELS = 18  # in one figure, so that it fits a page


def comparisons(found: Bounciness) -> list[Comparison]:
    """Compare whatever a class varied.

    Parameters
    ----------
    found : Bounciness
        The class's results.

    Returns
    -------
    list of Comparison
        By ball, pressure, floor, temperature and group, as far as there is something
        to compare.
    """
    told = []
    for by in BY:
        try:
            told.append(compare(found, by=by))
        except InputError:
            continue  # nothing varied in this way
    return told


def differ_part(parts: Parts, told: Sequence[Comparison]) -> None:
    """Tell what differs: balls, then whatever else was varied.

    Parameters
    ----------
    parts : Parts
        Takes it.
    told : sequence of Comparison
        By `comparisons`.
    """
    parts.begin("differ", "What differs?")
    if not told:
        parts.say(
            "Nothing can be compared: that takes two balls, pressures, floors, "
            "temperatures or groups with two drops each, and the rest held the same."
        )
        return
    parts.say(
        "Two things *differ* if so large a difference would come by luck in fewer than "
        "5 of 100 classes in which all are alike, all pairs counted together. *Cannot "
        "be told* does not mean *the same*."
    )
    for each in told:
        _one(parts, each)


def _one(parts: Parts, told: Comparison) -> None:
    pairs = sorted(told.pairs, key=lambda pair: pair.p)
    apart = [pair for pair in pairs if pair.different]
    alike = [pair for pair in pairs if not pair.different]
    some = [*apart[:_PAIRS], *alike[:_ALIKE]]
    parts.say("::: together", f"### By {told.by}", plain(told.held))
    parts.say("::: small", _table(some), ":::", ":::")
    if len(pairs) > len(some):
        more = [
            (len(apart) - _PAIRS, "pair that differs", "pairs that differ"),
            (
                len(alike) - _ALIKE,
                "pair that cannot be told apart",
                "pairs that cannot be told apart",
            ),
        ]
        said = [f"{n} more {one if n == 1 else many}" for n, one, many in more if n > 0]
        parts.say(f"… and {', and '.join(said)}.")
    for start in range(0, len(told.levels), _LEVELS):
        levels = told.levels[start : start + _LEVELS]
        parts.show(
            draw_comparison(replace(told, levels=levels)),
            f"Coefficient of restitution by {told.by}.",
        )
    parts.say(*(plain(each) for each in told.remarks))


def _table(pairs: Sequence[Pair]) -> str:
    lines = [
        [
            plain(f"{pair.finding}. {pair.hint}".strip()),
            unbroken(pair.size),
            "under 0.001" if pair.p_holm < 0.001 else f"{pair.p_holm:.3f}",
            plain(pair.method),
        ]
        for pair in pairs
    ]
    return table(
        ["what can be said", "*e* differs by", "chance by luck", "compared"],
        lines,
        right=(1, 2),
        widths=(26, 8, 6, 7),
    )


def tunings(found: Bounciness, wanted: Iterable[BounceRange]) -> list[Tuning]:
    """Find how much air each ball needs for its range.

    Parameters
    ----------
    found : Bounciness
        The class's results.
    wanted : iterable of BounceRange
        The ranges to meet.

    Returns
    -------
    list of Tuning
        One for each ball with air and range that belong together.
    """
    names = list(dict.fromkeys(row.ball for row in found.rows if row.n and row.ball))
    return [
        tune_pressure(found, ball=name, range=each)
        for each in wanted
        for name in names
        if (kind := find_ball(name)) is not None
        and kind.id == each.ball
        and kind.usual_gauge_pressure_pa is not None
    ]


def air_part(
    parts: Parts,
    found: Bounciness,
    made: Sequence[Tuning],
    wanted: Sequence[BounceRange],
) -> None:
    """Tell how much air each ball needs for its range, or why it cannot be told.

    Parameters
    ----------
    parts : Parts
        Takes it.
    found : Bounciness
        The class's results.
    made : sequence of Tuning
        By `tunings`.
    wanted : sequence of BounceRange
        The ranges to meet.
    """
    parts.begin("air", "How much air does a ball need?")
    if not made:
        parts.say(
            "None of the ranges asked for belongs to a ball with air that this class "
            "dropped."
            if wanted
            else "That depends on how high it shall bounce, and no range was asked "
            "for. *bouncelab ranges* lists those that are known."
        )
        return
    parts.say(f"::: caution\n{CAUTION}\n:::")
    for tuning in made:
        parts.say(f"### {plain(tuning.ball)}, {plain(tuning.range)}")
        parts.say(plain(tuning.advice))
        parts.say(plain(_warmth(found, tuning.ball)))
        if tuning.curve is not None and tuning.levels is not None:
            levels = counted(len(tuning.levels.pressure), "pressure")
            parts.show(
                draw_pressure_curve(tuning),
                "Share of the height that comes back, against gauge pressure, "
                f"measured at {levels}.",
                width="14cm",
            )


def _warmth(found: Bounciness, ball: str) -> str:
    """Say so if pressures may have differed because temperatures did."""
    degrees = [
        row.temperature
        for row in found.rows
        if row.n
        and row.ball == ball
        and row.gauge_pressure is not None
        and row.temperature is not None
    ]
    if not degrees or max(degrees) - min(degrees) < _WARMTH:
        return ""
    return (
        f"These drops were made at {show_temperature(min(degrees))} to "
        f"{show_temperature(max(degrees))}: what warmth does is in this curve, too. "
        "Vary the pressure alone before you rely on it."
    )
