"""What a class found, in a paragraph and a few lines; and what it measured."""

from __future__ import annotations

from collections.abc import Sequence

from bouncelab.analysis.ball_bounce import BallBounce
from bouncelab.analysis.bounciness import Bounciness
from bouncelab.analysis.comparison import Comparison
from bouncelab.analysis.pressure import Tuning
from bouncelab.analysis.words import FINDING_HEADINGS, finding_rows, shown, unused_words
from bouncelab.catalogue import BounceRange
from bouncelab.reports.parts import (
    Parts,
    ball_words,
    counted,
    listed,
    ordered_rows,
    where_words,
)
from bouncelab.typesetting.paper import plain, table
from bouncelab.units import show_length, show_pressure, show_temperature

__all__ = ["found_part", "look_part", "measured_part"]

_NOTICED = 60  # doubtful readings that are listed
_NAMED = 24  # balls, groups or days that are named
_WORDS = {
    "meets": "meets it",
    "does not meet": "does not meet it",
    "cannot be told": "cannot be told",
}
_APART = 1.2  # ratio of drop heights that is worth a word


def found_part(
    parts: Parts,
    found: Bounciness,
    ranges: Sequence[BounceRange],
    told: Sequence[Comparison],
    tunings: Sequence[Tuning],
) -> None:
    """Answer in plain words what the class found.

    Parameters
    ----------
    parts : Parts
        Takes it.
    found : Bounciness
        The class's results.
    ranges : sequence of BounceRange
        The ranges to meet.
    told : sequence of Comparison
        What differs.
    tunings : sequence of Tuning
        How much air each ball needs.
    """
    rows = ordered_rows(found)
    parts.say("## What we found")
    if not rows:
        parts.say("No drop of this class can be used; see what to look at.")
        return
    said = [_who(rows), *_most_and_least(rows), _apart(told), *_air(tunings)]
    count = len(found.findings)
    if count:
        said.append(
            f"{counted(count, 'reading')} should be looked at before anyone relies on "
            "these numbers."
        )
    parts.say(" ".join(each for each in said if each))
    parts.say(_against(rows, ranges))


def _who(rows: Sequence[BallBounce]) -> str:
    drops = sum(row.n for row in rows)
    groups = {name for row in rows for name in row.groups if name}
    balls = {row.ball for row in rows}
    by = f" by {counted(len(groups), 'group')}" if groups else ""
    return (
        f"{counted(drops, 'drop')}{by}, {counted(len(balls), 'ball')}: the heights "
        "tell how much of its speed each ball keeps when it bounces."
    )


def _most_and_least(rows: Sequence[BallBounce]) -> list[str]:
    most, least = max(rows, key=lambda r: r.e), min(rows, key=lambda r: r.e)
    if most is least:
        return [f"{_named(most, rows)} kept {_kept(most)}."]
    said = [
        f"The liveliest, {_named(most, rows)}, kept {_kept(most)}; the least lively, "
        f"{_named(least, rows)}, kept {_kept(least)}."
    ]
    low, high = (f([row.drop_height for row in rows]) for f in (min, max))
    if high > _APART * low:
        said.append(
            f"They fell from {show_length(low)} to {show_length(high)}; as a rule, "
            "the faster a ball lands, the smaller the share that it keeps, so look "
            "twice before you compare balls from different heights."
        )
    return said


def _named(row: BallBounce, rows: Sequence[BallBounce]) -> str:
    where = where_words(row, rows)
    return plain(f"{ball_words(row)} ({where})" if where else ball_words(row))


def _kept(row: BallBounce) -> str:
    share = f"{row.e:.0%}".replace("%", " %")
    return f"{share} of its speed (*e* = {shown(row.e, row.expanded)})"


def _apart(told: Sequence[Comparison]) -> str:
    differ = [each.by for each in told if any(pair.different for pair in each.pairs)]
    # Groups may matter on the whole though no two of them are told apart.
    who = any(each.group_effect and each.group_effect.matters for each in told)
    alike = [
        each.by
        for each in told
        if each.by not in differ and not (who and each.by == "group")
    ]
    said = []
    if differ:
        said.append(
            f"Luck alone hardly explains how much some {_many(differ, 'and some')} "
            "differ"
        )
    if alike:
        said.append(
            f"{'no' if differ else 'No'} two {_many(alike, 'and no two')} could be "
            "told apart"
        )
    if who and "group" not in differ:
        said.append(f"{'it' if said else 'It'} mattered a little who measured")
    return f"{'; '.join(said)}." if said else ""


def _many(words: Sequence[str], between: str) -> str:
    return f" {between} ".join(f"{word}s" for word in words)


def _air(tunings: Sequence[Tuning]) -> list[str]:
    said = []
    for each in tunings:
        if each.best is not None:
            between = ""
            if each.low is not None and each.high is not None:
                between = (
                    f" (95 % interval {show_pressure(each.low, 'kPa', 0)} to "
                    f"{show_pressure(each.high, 'kPa', 0)})"
                )
            said.append(
                f"For the middle of {plain(each.range)}, {plain(each.ball)} wants "
                f"about {show_pressure(each.best, 'kPa', 0)}{between}."
            )
    return said


def _against(rows: Sequence[BallBounce], ranges: Sequence[BounceRange]) -> str:
    """Give a line for each ball and range, its verdicts together."""
    lines: dict[tuple[str, str], dict[str, list[str]]] = {}
    for row in rows:
        for verdict in row.verdicts:
            words = lines.setdefault((ball_words(row), verdict.range.id), {})
            where = where_words(row, rows)
            words.setdefault(str(verdict.word), []).append(where)
    said = []
    for (ball, rule), words in lines.items():
        told = [
            f"**{_WORDS[word]}** {plain(_together(words[word]))}"
            for word in _WORDS
            if word in words
        ]
        said.append(
            f"- {plain(ball)}, range {plain(rule)}: {' · '.join(told)}".rstrip()
        )
    if ranges and not said:
        names = listed([each.id for each in ranges])
        return f"No ball of this class belongs to {plain(names)}."
    return "\n".join(said)


def _together(where: Sequence[str]) -> str:
    """Say ``at 45 kPa and 60 kPa`` in place of ``at 45 kPa and at 60 kPa``."""
    words = [each for each in where if each]
    if words and all(each.startswith("at ") and "," not in each for each in words):
        return f"at {listed([each.removeprefix('at ') for each in words])}"
    return "; ".join(words)


def measured_part(parts: Parts, found: Bounciness) -> None:
    """Say what was measured: who, what, where, when.

    Parameters
    ----------
    parts : Parts
        Takes it.
    found : Bounciness
        The class's results.
    """
    rows, whole = ordered_rows(found), found.drops.table
    if whole.empty:
        return
    pressures = [r.gauge_pressure for r in rows if r.gauge_pressure is not None]
    degrees = [r.temperature for r in rows if r.temperature is not None]
    used = sum(row.n for row in rows)
    heights = [row.drop_height for row in rows]
    lines = {
        "Groups": _names(whole["group"]),
        "Balls": _names(whole["ball"]),
        "Floors": _names(whole["floor"]),
        "When": _names(whole["when"]),
        "Dropped from": _span([show_length(f(heights)) for f in (min, max) if heights]),
        "Gauge pressure": _span(
            [show_pressure(f(pressures)) for f in (min, max) if pressures]
        ),
        "Temperature": _span(
            [show_temperature(f(degrees)) for f in (min, max) if degrees]
        ),
        "Drops": f"{len(whole)} in the file, {used} used. "
        + unused_words(found.left_out, found.set_aside),
    }
    parts.begin("measured", "What was measured")
    parts.say(
        "\n".join(f"- {key}: {plain(said)}" for key, said in lines.items() if said)
    )


def _names(column: Sequence[object]) -> str:
    texts = dict.fromkeys(str(each).strip() for each in column)
    names = [each for each in texts if each and each not in ("nan", "<NA>")]
    more = len(names) - _NAMED
    if more > 0:
        names = [*names[:_NAMED], f"{more} more"]
    return listed(names)


def _span(ends: Sequence[str]) -> str:
    return " to ".join(dict.fromkeys(ends))


def look_part(parts: Parts, found: Bounciness) -> None:
    """List doubtful readings, and say what was done about them.

    Parameters
    ----------
    parts : Parts
        Takes it.
    found : Bounciness
        The class's results.
    """
    parts.begin("look", "Readings to look at")
    done = unused_words(found.left_out, found.set_aside)
    if not found.findings:
        parts.say(f"No reading looks doubtful. {done}")
        return
    parts.say(
        f"{done} A doubtful reading stays in the numbers until a person sets it aside; "
        "one that cannot be true or cannot be read is left out. *Row* is the line of "
        "the file."
    )
    rows = finding_rows(found.findings, found.drops.headings)
    told = [[plain(each) or "–" for each in row] for row in rows[:_NOTICED]]
    parts.say(table(FINDING_HEADINGS, told, right=(0,)))
    if len(rows) > _NOTICED:
        parts.say(f"… and {len(rows) - _NOTICED} more: *bouncelab check* lists them.")
