"""How bouncy is each ball? From the table of drops to a restitution with its doubt."""

from __future__ import annotations

import html
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from bouncelab.analysis.ball_bounce import BallBounce, Basis, Trials, Unused
from bouncelab.analysis.conditions import DIAMETER_FROM, Conditions, sort_drops
from bouncelab.analysis.estimates import Estimates, estimate
from bouncelab.analysis.names import about_names
from bouncelab.analysis.quality import ReadingQuality
from bouncelab.analysis.verdicts import fitting_ranges, verdict_for
from bouncelab.analysis.words import (
    FINDING_HEADINGS,
    HEADINGS,
    cells,
    finding_rows,
    plain,
    row_remarks,
    unused_words,
)
from bouncelab.catalogue import BounceRange
from bouncelab.readings.drops import Drops, Finding

if TYPE_CHECKING:
    import pandas as pd

__all__ = ["Bounciness", "bounciness"]


@dataclass(frozen=True)
class Bounciness:
    """How every ball of a table of drops bounced.

    Attributes
    ----------
    drops : Drops
        The table it comes from.
    ranges : tuple of BounceRange
        The ranges to compare with.
    quality : ReadingQuality
        What was assumed about the readings.
    conditions : Conditions
        The drops used, sorted, as arrays.
    estimates : Estimates
        The results as arrays, one value for each condition.
    remarks : tuple of str
        What was taken for granted for the whole table.
    findings : tuple of Finding
        Everything a person should look at, in the order of rows.
    """

    drops: Drops
    ranges: tuple[BounceRange, ...]
    quality: ReadingQuality
    conditions: Conditions
    estimates: Estimates
    remarks: tuple[str, ...]
    findings: tuple[Finding, ...]

    @property
    def left_out(self) -> int:
        """Number of drops that could not be used."""
        return int(np.sum(self.conditions.unused[:, 2] == 0))

    @property
    def set_aside(self) -> int:
        """Number of drops that a person set aside."""
        return int(np.sum(self.conditions.unused[:, 2] == 1))

    @cached_property
    def rows(self) -> tuple[BallBounce, ...]:
        """One `BallBounce` for each condition, in the order of the table."""
        return tuple(_rows(self))

    def table(self) -> pd.DataFrame:
        """Give the results as a table; columns as the keys of `to_dict`."""
        import pandas as pd

        return pd.DataFrame([each for row in self.rows for each in row.to_dict()])

    def to_dict(self) -> dict[str, Any]:
        """Give plain values for JSON."""
        return {
            "rows": [each for row in self.rows for each in row.to_dict()],
            "flags": [
                {"row": f.row, "column": f.column, "read": f.read, "why": f.why}
                for f in self.findings
            ],
            "left_out": self.left_out,
            "set_aside": self.set_aside,
            "remarks": list(self.remarks),
        }

    def _repr_html_(self) -> str:
        table = _html_table(
            "Bounciness by ball and condition: heights of the lowest point; "
            "± is the expanded uncertainty, 95 %",
            HEADINGS,
            [line for row in self.rows for line in cells(row)],
        )
        said = [unused_words(self.left_out, self.set_aside), *self.remarks]
        notes = "".join(f"<p>{html.escape(each)}</p>" for each in said)
        if self.findings:
            notes += _html_table(
                f"Readings to look at: {len(self.findings)}",
                FINDING_HEADINGS,
                finding_rows(self.findings, self.drops.headings),
            )
        return table + notes


def _html_table(
    caption: str, headings: Sequence[str], rows: Sequence[Sequence[str]]
) -> str:
    """Give a table; its texts flush left, where JupyterLab would put them right."""
    left = 'style="text-align: left"'
    head = "".join(f'<th scope="col" {left}>{html.escape(h)}</th>' for h in headings)
    body = "".join(
        "<tr>" + "".join(f"<td {left}>{html.escape(c)}</td>" for c in row) + "</tr>"
        for row in rows
    )
    return (
        f"<table><caption {left}>{html.escape(caption)}</caption>"
        f"<thead><tr>{head}</tr></thead><tbody>{body}</tbody></table>"
    )


def bounciness(
    drops: Drops,
    *,
    ranges: Sequence[BounceRange] = (),
    quality: ReadingQuality | None = None,
) -> Bounciness:
    r"""Give how every ball bounced, with uncertainty and verdicts.

    Parameters
    ----------
    drops : Drops
        The table; check it first, so that impossible readings are left out with
        their reasons.
    ranges : sequence of BounceRange, optional
        Published ranges to compare with; each is used for its kind of ball.
    quality : ReadingQuality, optional
        What is assumed about the readings.

    Returns
    -------
    Bounciness
        One row for each ball, floor, gauge pressure, drop height and
        temperature.

    Notes
    -----
    For heights :math:`h_1, h_2` of the lowest point, each drop gives
    :math:`e = \sqrt{h_2/h_1}`, and a condition their mean; below a rebound of
    5 % of the drop, :math:`\sqrt{\bar h_2/\bar h_1}`. Doubtful drops are used,
    those left out or set aside are not. Uncertainties: see `Estimates`.

    Examples
    --------
    >>> from bouncelab.readings.drops import read_rows
    >>> rows = [["red", f"{height} cm"] for height in (62, 64, 66)]
    >>> drops = read_rows(["ball", "rebound", "drop"], [[*r, "1 m"] for r in rows])
    >>> print(bounciness(drops).rows[0])
    red: coefficient of restitution 0.800 ± 0.030
    """
    quality = quality or ReadingQuality()
    conditions = sort_drops(drops)
    found = estimate(conditions, quality)
    findings = sorted(
        [*drops.findings, *conditions.findings], key=lambda each: each.row
    )
    remarks = [*drops.remarks, *about_names(drops.table["ball"])]
    return Bounciness(
        drops=drops,
        ranges=tuple(ranges),
        quality=quality,
        conditions=conditions,
        estimates=found,
        remarks=tuple(remarks),
        findings=tuple(findings),
    )


def _rows(found: Bounciness) -> list[BallBounce]:
    c, est = found.conditions, found.estimates
    order = np.argsort(c.condition, kind="stable")
    ends = np.cumsum(est.scatter.n)
    unused: dict[int, list[Unused]] = {}
    for (line, place, aside), why in zip(c.unused.tolist(), c.unused_why, strict=True):
        unused.setdefault(place, []).append(Unused(line, why, bool(aside)))
    return [
        _row(found, place, order[end - n : end], tuple(unused.get(place, ())))
        for place, (n, end) in enumerate(
            zip(est.scatter.n.tolist(), ends.tolist(), strict=True)
        )
    ]


def _row(
    found: Bounciness, m: int, at: NDArray[np.intp], unused: tuple[Unused, ...]
) -> BallBounce:
    c, est = found.conditions, found.estimates
    trials = Trials(
        line=c.line[at],
        group=[c.groups[group] for group in c.group[at].tolist()],
        drop_height=c.drop[at],
        rebound_height=c.rebound[at],
        e=np.sqrt(c.rebound[at] / c.drop[at]),
        doubtful=c.doubtful[at],
    )
    basis = Basis(
        by_group=bool(est.scatter.by_group[m]),
        low=bool(est.low[m]),
        coarse=bool(est.coarse[m]),
        alike=bool(est.alike[m]),
        drop_share=float(est.drop_share[m]),
        rebound_share=float(est.rebound_share[m]),
        diameter_from=DIAMETER_FROM[int(c.diameter_from[at].max())],
        diameter_half_width=float(est.diameter_half_width[m]),
        spread=float(est.spread[m]),
        type_a=float(est.type_a[m]),
        dof_a=float(est.dof_a[m]),
        type_b=float(est.type_b[m]),
        terms={name: float(term[m]) for name, term in est.terms.items()},
        rebound_type_a=float(est.rebound_type_a[m]),
        drag_constant=float(est.drag_constant[m]),
        drag_term=float(est.drag_term[m]),
        quality=replace(
            found.quality, rebound_half_width=found.quality.timed_half_width
        )
        if c.timed[m]
        else found.quality,
    )
    kind = c.kind[m]
    row = BallBounce(
        ball=c.ball[m],
        floor=c.floor[m],
        kind=kind.id if kind else None,
        gauge_pressure=plain(c.pressure[m]),
        temperature=plain(c.temperature[m]),
        diameter=plain(est.diameter[m]),
        n=int(est.scatter.n[m]),
        drop_height=float(est.drop[m]),
        rebound_height=float(est.rebound[m]),
        e=float(est.e[m]),
        u=float(est.u[m]),
        expanded=float(est.expanded[m]),
        nu_eff=float(est.nu_eff[m]),
        no_air=plain(est.no_air[m]),
        no_air_u=plain(est.no_air_u[m]),
        no_air_expanded=plain(est.no_air_expanded[m]),
        groups=tuple(dict.fromkeys(trials.group)),
        unused=unused,
        doubtful=int(trials.doubtful.sum()),
        remarks=(),
        verdicts=(),
        trials=trials,
        basis=basis,
    )
    fitting = fitting_ranges(found.ranges, row.kind)
    verdicts = tuple(verdict_for(row, each) for each in fitting)
    return replace(row, verdicts=verdicts, remarks=row_remarks(row, bool(fitting)))
