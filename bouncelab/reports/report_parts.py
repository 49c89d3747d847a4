"""The parts of a class's report, as Markdown with their figures."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field

from bouncelab.analysis.ball_bounce import BallBounce
from bouncelab.analysis.bounciness import Bounciness
from bouncelab.analysis.compared import BY
from bouncelab.analysis.comparison import Comparison, compare
from bouncelab.analysis.pressure import CAUTION, Tuning, tune_pressure
from bouncelab.analysis.words import (
    FINDING_HEADINGS,
    HEADINGS,
    cells,
    condition_words,
    finding_rows,
    rule_words,
    shown,
    unused_words,
    verdict_words,
)
from bouncelab.catalogue import BounceRange
from bouncelab.errors import InputError
from bouncelab.figures.levels import draw_comparison
from bouncelab.figures.picture import Picture
from bouncelab.figures.pressure_curve import draw_pressure_curve
from bouncelab.figures.strips import draw_strips
from bouncelab.kinds import find_ball
from bouncelab.typesetting.paper import figure, plain, table
from bouncelab.units import show_length, show_pressure, show_temperature

__all__ = [
    "Parts",
    "air_part",
    "bounce_part",
    "compare_part",
    "found_part",
    "look_part",
    "ordered_rows",
]

_HEADINGS = ["ball", "floor", "kPa", "drop (cm)", "rebound (cm)", "drops", "*e*"]
_HEADINGS += ["*e* without air", "energy lost"]
_STRIPS = 8  # in one figure, so that it fits a page
_PAIRS = 12  # told in words, the surest first
_NOTICED = 60  # doubtful readings that are listed


@dataclass
class Parts:
    """Markdown and the figures that it shows, growing part by part.

    Attributes
    ----------
    texts : list of str
        Paragraphs.
    figures : dict of str to bytes
        SVG by file name.
    """

    texts: list[str] = field(default_factory=list)
    figures: dict[str, bytes] = field(default_factory=dict)

    def say(self, *texts: str) -> None:
        """Add paragraphs.

        Parameters
        ----------
        *texts : str
            Markdown; empty ones are left out.
        """
        self.texts += [text for text in texts if text]

    def show(self, picture: Picture, caption: str, *, width: str = "16cm") -> None:
        """Add a figure with its description in words.

        Parameters
        ----------
        picture : Picture
            The figure.
        caption : str
            A line under it.
        width : str, optional
            With its unit.
        """
        name = f"figure{len(self.figures) + 1}.svg"
        self.figures[name] = picture.svg(outlines=True).encode()
        self.texts.append(figure(name, picture, caption=caption, width=width))


def found_part(parts: Parts, found: Bounciness) -> None:
    """Say in a few sentences what the class found, and what it measured.

    Parameters
    ----------
    parts : Parts
        Takes it.
    found : Bounciness
        The class's results.
    """
    rows = ordered_rows(found)
    parts.say("## What we found")
    if not rows:
        parts.say("No drop of this class can be used; see what to look at.")
        return
    drops = sum(row.n for row in rows)
    groups = {name for row in rows for name in row.groups if name}
    balls = list(dict.fromkeys(row.ball or "(no name)" for row in rows))
    by = f" by {_counted(len(groups), 'group')}" if groups else ""
    parts.say(
        f"{_counted(drops, 'drop')}{by}, {_counted(len(balls), 'ball')}. The number "
        "*e* is the coefficient of restitution: the share of its speed that a ball "
        "keeps at the floor."
    )
    most, least = max(rows, key=lambda r: r.e), min(rows, key=lambda r: r.e)
    said = []
    if most is not least:
        said.append(
            f"The liveliest was {plain(condition_words(most))}: "
            f"*e* = {shown(most.e, most.expanded)}."
        )
        said.append(
            f"The least lively was {plain(condition_words(least))}: "
            f"*e* = {shown(least.e, least.expanded)}."
        )
    else:
        said.append(
            f"{plain(condition_words(most))}: *e* = {shown(most.e, most.expanded)}."
        )
    for word in ("meets", "does not meet", "cannot be told"):
        who = [
            f"{plain(row.ball or '(no name)')}{_at(row)} ({plain(verdict.range.id)})"
            for row in rows
            for verdict in row.verdicts
            if verdict.word == word
        ]
        if who:
            begin = {
                "meets": "Meets its range",
                "does not meet": "Does not meet its range",
                "cannot be told": "Cannot be told",
            }[word]
            said.append(f"**{begin}:** {'; '.join(who)}.")
    count = len(found.findings)
    if count:
        said.append(
            f"{_counted(count, 'reading')} should be looked at before anyone relies on "
            "these numbers."
        )
    parts.say("\n".join(f"- {each}" for each in said))
    parts.say("### What was measured")
    parts.say(
        table(
            [
                "ball",
                "floor",
                "gauge pressure",
                "temperature",
                "drop",
                "drops",
                "groups",
            ],
            [
                [
                    plain(row.ball or "(no name)"),
                    plain(row.floor or "–"),
                    _or_dash(row.gauge_pressure, show_pressure),
                    _or_dash(row.temperature, show_temperature),
                    show_length(row.drop_height),
                    str(row.n),
                    str(len([each for each in row.groups if each])) or "–",
                ]
                for row in rows
            ],
            right=(5, 6),
        )
    )


def ordered_rows(found: Bounciness) -> list[BallBounce]:
    """Give the conditions with drops, those of one ball together.

    Parameters
    ----------
    found : Bounciness
        The class's results.

    Returns
    -------
    list of BallBounce
        Balls in the order of the table; then by floor, pressure and temperature.
    """
    rows = [row for row in found.rows if row.n]
    first = {name: k for k, name in enumerate(dict.fromkeys(row.ball for row in rows))}
    floors = {name: k for k, name in enumerate(dict.fromkeys(r.floor for r in rows))}
    return sorted(
        rows,
        key=lambda row: (
            first[row.ball],
            floors[row.floor],
            row.gauge_pressure or 0.0,
            row.temperature or 0.0,
        ),
    )


def _counted(count: int, noun: str) -> str:
    return f"{count} {noun}{'s' * (count != 1)}"


def _at(row: BallBounce) -> str:
    pressure = row.gauge_pressure
    return "" if pressure is None else f" at {show_pressure(pressure)}"


def _or_dash(value: float | None, show: Callable[[float], str]) -> str:
    return "–" if value is None else show(value)


def look_part(parts: Parts, found: Bounciness) -> None:
    """List doubtful readings, and say what was done about them.

    Parameters
    ----------
    parts : Parts
        Takes it.
    found : Bounciness
        The class's results.
    """
    parts.say("## Readings to look at")
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
    parts.say("## How bouncy is each ball?")
    width = HEADINGS.index("range")
    lines = [[plain(each) or "–" for each in cells(row)[0][:width]] for row in rows]
    parts.say(
        "::: small",
        table(
            _HEADINGS,
            lines,
            right=range(2, width),
            widths=(9, 6, 3, 4, 5, 4, 9, 9, 4),
        ),
        ":::",
        "± is the expanded uncertainty, 95 % coverage. Heights are those of the lowest "
        "point of the ball. *Without air* is corrected for air drag, where the kind of "
        "ball is known.",
    )
    for start in range(0, len(rows), _STRIPS):
        some = rows[start : start + _STRIPS]
        parts.show(
            draw_strips(some),
            "Each mark is one drop, hollow if its reading is doubtful; the upright "
            "line is the mean, the bar its 95 % interval"
            + (
                ", the shaded band the range." if any(r.verdicts for r in some) else "."
            ),
        )
    judged = [(row, verdict) for row in rows for verdict in row.verdicts]
    if judged:
        parts.say("### Against the ranges")
        for rule in dict.fromkeys(verdict.range for _, verdict in judged):
            parts.say(f"**{plain(rule.id)}:** {plain(rule_words(rule))}")
        parts.say(
            "\n".join(
                f"- {plain(condition_words(row))}: **{plain(verdict_words(verdict))}** "
                f"({plain(verdict.range.id)}). {plain(verdict.reason)}"
                for row, verdict in judged
            )
        )
    alike: dict[str, list[str]] = {}
    for row in rows:
        for each in row.remarks:
            if not each.startswith("Row "):
                who = f"{plain(row.ball or '(no name)')}{_at(row)}"
                alike.setdefault(each, []).append(who)
    said = [f"- {'; '.join(who)}: {plain(text)}" for text, who in alike.items()]
    said += [f"- {plain(each)}" for each in found.remarks]
    if said:
        parts.say("### What to know about these numbers", "\n".join(said))


def compare_part(parts: Parts, found: Bounciness) -> None:
    """Tell what differs: balls, then whatever else was varied.

    Parameters
    ----------
    parts : Parts
        Takes it.
    found : Bounciness
        The class's results.
    """
    told: list[Comparison] = []
    for by in BY:
        try:
            told.append(compare(found, by=by))
        except InputError:
            continue  # nothing varied in this way
    if not told:
        return
    parts.say("## What differs?")
    parts.say(
        "Two things *differ* if so large a difference would come by luck in fewer than "
        "5 of 100 classes in which all are alike, all pairs counted together. *Cannot "
        "be told* does not mean *the same*."
    )
    for each in told:
        _one_comparison(parts, each)


def _one_comparison(parts: Parts, told: Comparison) -> None:
    parts.say(f"### By {told.by}", plain(told.held))
    pairs = sorted(told.pairs, key=lambda pair: pair.p)
    lines = [
        [
            plain(f"{pair.finding}. {pair.hint}".strip()),
            pair.size,
            "under 0.001" if pair.p_holm < 0.001 else f"{pair.p_holm:.3f}",
            plain(pair.method),
        ]
        for pair in pairs[:_PAIRS]
    ]
    parts.say(
        "::: small",
        table(
            ["what can be said", "*e* differs by", "chance by luck", "compared"],
            lines,
            right=(1, 2),
            widths=(26, 8, 6, 7),
        ),
        ":::",
    )
    if len(pairs) > _PAIRS:
        parts.say(f"… and {len(pairs) - _PAIRS} pairs that are less sure.")
    parts.show(draw_comparison(told), f"Coefficient of restitution by {told.by}.")
    parts.say(*(plain(each) for each in told.remarks))


def air_part(
    parts: Parts, found: Bounciness, wanted: Iterable[BounceRange]
) -> list[Tuning]:
    """Tell how much air each ball needs for its range, or why it cannot be told.

    Parameters
    ----------
    parts : Parts
        Takes it.
    found : Bounciness
        The class's results.
    wanted : iterable of BounceRange
        The ranges to meet.

    Returns
    -------
    list of Tuning
        One for each ball and range that belong together.
    """
    names = list(dict.fromkeys(row.ball for row in found.rows if row.n and row.ball))
    made = [
        tune_pressure(found, ball=name, range=each)
        for each in wanted
        for name in names
        if (kind := find_ball(name)) is not None
        and kind.id == each.ball
        and kind.usual_gauge_pressure_pa is not None
    ]
    if not made:
        return []
    parts.say("## How much air does a ball need?")
    parts.say(f"::: caution\n{CAUTION}\n:::")
    for tuning in made:
        parts.say(f"### {plain(tuning.ball)}, {plain(tuning.range)}")
        parts.say(plain(tuning.advice))
        if tuning.curve is not None:
            parts.show(
                draw_pressure_curve(tuning),
                "Share of the height that comes back, against gauge pressure.",
                width="14cm",
            )
    return made
