"""The calculation behind one row, step by step, with the student's own numbers."""

from __future__ import annotations

import html
from dataclasses import dataclass
from math import sqrt
from typing import TYPE_CHECKING

from bouncelab.analysis.words import (
    condition_words,
    rule_words,
    shown,
    unused_words,
    verdict_words,
    why_unused,
)
from bouncelab.units import in_unit, show_length

if TYPE_CHECKING:
    from bouncelab.analysis.ball_bounce import BallBounce
    from bouncelab.analysis.verdicts import RangeVerdict

__all__ = ["Step", "Working", "working"]

_MOST_DROPS = 40  # listed one by one
_POINT = {0.5: "centre", 1.0: "top"}


@dataclass(frozen=True, slots=True)
class Step:
    """One step: a title, sentences and formulas, and perhaps a table."""

    title: str
    lines: tuple[str, ...]
    headings: tuple[str, ...] = ()
    table: tuple[tuple[str, ...], ...] = ()


@dataclass(frozen=True, slots=True)
class Working:
    """The steps from readings to a result, in words."""

    title: str
    steps: tuple[Step, ...]

    def __str__(self) -> str:
        return self._repr_markdown_()

    def _repr_markdown_(self) -> str:
        parts = [f"### {_safe(self.title)}"]
        for number, step in enumerate(self.steps, start=1):
            parts.append(f"**{number}. {_safe(step.title)}**")
            parts += [_safe(line) for line in step.lines]
            if step.table:
                rows = [step.headings, ("---",) * len(step.headings), *step.table]
                parts.append(
                    "\n".join(f"| {' | '.join(map(_safe, r))} |" for r in rows)
                )
        return "\n\n".join(parts)

    def _repr_html_(self) -> str:
        parts = [f"<h4>{html.escape(self.title)}</h4><ol>"]
        for step in self.steps:
            parts.append(f"<li><strong>{html.escape(step.title)}</strong>")
            parts += [f"<p>{html.escape(line)}</p>" for line in step.lines]
            if step.table:
                head = "".join(
                    f'<th scope="col">{html.escape(each)}</th>'
                    for each in step.headings
                )
                body = "".join(
                    "<tr>"
                    + "".join(f"<td>{html.escape(cell)}</td>" for cell in row)
                    + "</tr>"
                    for row in step.table
                )
                parts.append(
                    f"<table><thead><tr>{head}</tr></thead><tbody>{body}</tbody></table>"
                )
            parts.append("</li>")
        return "".join([*parts, "</ol>"])


def working(row: BallBounce) -> Working:
    """Write out how one condition's restitution, uncertainty and verdict come about.

    Parameters
    ----------
    row : BallBounce
        The condition's findings.

    Returns
    -------
    Working
        Its steps; shows itself in a notebook.

    Examples
    --------
    >>> from bouncelab.analysis.bounciness import bounciness
    >>> from bouncelab.readings.drops import read_rows
    >>> rows = [["1 m", "62 cm"], ["1 m", "64 cm"], ["1 m", "66 cm"]]
    >>> found = bounciness(read_rows(["drop", "rebound"], rows))
    >>> [step.title for step in found.rows[0].working().steps][:3]
    ['Heights of the lowest point', 'The mean', 'The scatter of the drops']
    """
    steps = [_heights(row), _mean(row), _scatter(row), _shared(row), _together(row)]
    if row.no_air is not None:
        steps.append(_air(row))
    steps += [
        Step(f"The range {each.range.id}", _verdict(each)) for each in row.verdicts
    ]
    if row.unused or row.doubtful:
        steps.append(
            Step(
                "Drops that need a person's eye",
                (
                    unused_words(row.left_out, row.set_aside),
                    *why_unused(row.unused),
                    f"Doubtful drops in these numbers: {row.doubtful}.",
                ),
            )
        )
    return Working(f"How bouncy is {condition_words(row)}?", tuple(steps))


_MARKS = str.maketrans({each: f"\\{each}" for each in "\\`*_[]|$~#"})


def _safe(text: str) -> str:
    """Keep a class's own names from acting as Markdown or HTML."""
    return html.escape(" ".join(text.split()), quote=False).translate(_MARKS)


def _cm(metres: float) -> str:
    return f"{in_unit(metres, 'length', 'cm'):.1f}"


def _heights(row: BallBounce) -> Step:
    basis, trials = row.basis, row.trials
    lines = ["Both heights must be those of one point of the ball: its lowest point."]
    for share, when in (
        (basis.drop_share, "at the drop"),
        (basis.rebound_share, "at the rebound"),
    ):
        if share and row.diameter is not None:
            point = _POINT.get(share)
            start = (
                f"The {point} of the ball was read {when}; its lowest point is"
                if point
                else f"Different points were read {when}; on average the lowest is"
            )
            lines.append(
                f"{start} {show_length(share * row.diameter)} lower "
                f"(diameter {show_length(row.diameter)}, {basis.diameter_from})."
            )
    lines.append("Each drop gives e = √(rebound height ÷ drop height).")
    table = tuple(
        (
            str(int(line)),
            group or "–",
            _cm(drop),
            _cm(rebound),
            f"√({_cm(rebound)} ÷ {_cm(drop)}) = {e:.4f}{' (doubtful)' * bool(doubt)}",
        )
        for line, group, drop, rebound, e, doubt in list(
            zip(
                trials.line,
                trials.group,
                trials.drop_height,
                trials.rebound_height,
                trials.e,
                trials.doubtful,
                strict=True,
            )
        )[:_MOST_DROPS]
    )
    if row.n > _MOST_DROPS:
        lines.append(f"The first {_MOST_DROPS} of {row.n} drops are shown.")
    headings = ("row", "group", "drop (cm)", "rebound (cm)", "e")
    return Step("Heights of the lowest point", tuple(lines), headings, table)


def _mean(row: BallBounce) -> Step:
    if row.basis.low:
        how = (
            f"The rebound is very low, so e = √(mean rebound ÷ mean drop) = "
            f"√({_cm(row.rebound_height)} ÷ {_cm(row.drop_height)}) = {row.e:.4f}."
        )
    elif row.basis.by_group:
        how = f"The mean of the {len(row.groups)} groups' means of e is {row.e:.4f}."
    elif row.n == 1:
        how = f"There is one drop, so e = {row.e:.4f}."
    else:
        how = f"The mean of the {row.n} values of e is {row.e:.4f}."
    return Step(
        "The mean",
        (
            how,
            f"The share of the energy that comes back is e² = {row.resilience:.3f}; "
            f"the share lost is 1 − e² = {row.energy_lost:.3f}.",
        ),
    )


def _scatter(row: BallBounce) -> Step:
    basis = row.basis
    if row.n == 1:
        lines: tuple[str, ...] = (
            "One drop shows no scatter. Drop the ball again to see some.",
        )
    else:
        groups = basis.by_group
        units = int(basis.dof_a) + 1
        what = "groups' means" if groups else "drops"
        first = (
            "The groups' means scatter more than their own drops explain, so each "
            "group's mean counts as one measurement. "
            if groups
            else ""
        )
        lines = (
            f"{first}The {units} {what} have the standard deviation "
            f"s = {basis.spread:.5f}.",
            f"Their mean has the uncertainty u(A) = s ÷ √{units} = "
            f"{basis.type_a:.5f}, with {units} − 1 = {units - 1} degrees of freedom.",
        )
    return Step("The scatter of the drops", lines)


def _shared(row: BallBounce) -> Step:
    basis, quality = row.basis, row.basis.quality
    half_widths = {
        "setting the drop height": quality.drop_half_width,
        "the tape's zero": quality.tape_offset_half_width,
        "the ball's diameter": basis.diameter_half_width,
        "reading the rebound": quality.rebound_half_width,
    }
    table = tuple(
        (
            name,
            f"± {show_length(half_widths[name], 'cm', 2)}",
            f"{show_length(half_widths[name] / sqrt(3), 'cm', 2)}",
            f"{term:.5f}",
        )
        for name, term in basis.terms.items()
        if term > 0 and name in half_widths
    )
    groups = basis.terms["how groups differ"]
    if groups > 0:
        wide = quality.group_half_width
        row_of_groups = f"± {wide:.3f} in e", f"{wide / sqrt(3):.4f} in e"
        table += (("how groups differ", *row_of_groups, f"{groups:.5f}"),)
    held = (
        "The error of reading one rebound differs from drop to drop, so it is in the "
        "scatter already and does not count twice."
        if row.n > 1 and not basis.alike
        else "The error of reading the rebound counts here, for no scatter shows it."
    )
    return Step(
        "What all drops share",
        (
            "These errors are the same in every drop: more drops do not make them "
            "smaller, so they are added once. Their sizes are assumptions that you "
            "may change. If any value within ± a is equally likely, the standard "
            "uncertainty is a ÷ √3.",
            held,
            f"Together, as the root of the sum of squares: u(B) = {basis.type_b:.5f}.",
        ),
        ("what", "within", "standard uncertainty", "moves e by"),
        table,
    )


def _together(row: BallBounce) -> Step:
    basis = row.basis
    if basis.coarse:
        lines = [
            "The rebound is known to no better than a tenth of itself, and there the "
            "square root is far from a straight line. So 20 000 random errors of "
            f"these sizes were tried; e then strays by u = {row.u:.3f}, and in 95 of "
            f"100 cases by less than U = {row.expanded:.3f}."
        ]
    else:
        freedom = (
            f"{row.nu_eff:.1f} degrees of freedom (Welch–Satterthwaite)"
            if row.nu_eff < 1e6
            else "no limit to the degrees of freedom"
        )
        factor = row.expanded / row.u if row.u > 0 else 0.0
        lines = [
            f"u = √(u(A)² + u(B)²) = √({basis.type_a:.5f}² + {basis.type_b:.5f}²) = "
            f"{row.u:.5f}, with {freedom}.",
            f"Student's t for 95 % is {factor:.2f}, so "
            f"U = {factor:.2f} × {row.u:.5f} = {row.expanded:.5f}.",
        ]
    lines.append(
        f"Result: e = {shown(row.e, row.expanded)}; the ± holds the true value in "
        "about 95 of 100 such experiments."
    )
    return Step("Both together", tuple(lines))


def _air(row: BallBounce) -> Step:
    basis = row.basis
    return Step(
        "Without the air",
        (
            "Air slows the ball on its way down and up, so the floor gives back more "
            "speed than the heights show. With the drag constant of this kind of "
            f"ball, k = {basis.drag_constant:.4f} per metre, each drop gives "
            "e = √[(exp(2 k × rebound) − 1) ÷ (1 − exp(−2 k × drop))].",
            f"Corrected for air drag, e = {shown(row.no_air, row.no_air_expanded)}. "
            "The drag coefficient is known to 10 to 20 % only, which adds "
            f"u = {basis.drag_term:.4f}.",
            "Rules speak of raw heights, so the correction is not used for a range.",
        ),
    )


def _verdict(verdict: RangeVerdict) -> tuple[str, ...]:
    rule = verdict.range
    lines = [
        f"{rule.body}, {rule.edition}: {rule_words(rule)}",
        f"Mean rebound of the {rule.rebound_point} of the ball: "
        f"{show_length(verdict.rebound)}, with the standard uncertainty "
        f"{show_length(verdict.standard_uncertainty, 'cm', 2)}.",
        f"Verdict: {verdict_words(verdict)}. {verdict.reason}",
    ]
    return tuple(lines)
