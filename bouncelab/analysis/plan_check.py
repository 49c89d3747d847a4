"""Does a plan keep its promise? Simulated lessons through the real analysis."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import Any

import numpy as np

from bouncelab.analysis.bounciness import Bounciness, bounciness
from bouncelab.analysis.comparison import compare
from bouncelab.analysis.planning import Plan
from bouncelab.errors import InputError
from bouncelab.readings.drops import read_rows

__all__ = ["PlanCheck", "check_plan"]

_HEADINGS = ["group", "ball", "drop height (m)", "rebound height (m)"]


@dataclass(frozen=True, slots=True)
class PlanCheck:
    """What came of simulated lessons.

    Attributes
    ----------
    lessons : int
        How many.
    seen : float
        Share in which the planned difference was told.
    false_alarms : float
        Share in which balls that are alike were told apart, all pairs together.
    covered : float
        Share of the intervals of a difference that hold the true one.
    expanded, expanded_gap : float
        Mean half-widths of the intervals of one ball's e and of that difference.
    """

    lessons: int
    seen: float
    false_alarms: float
    covered: float
    expanded: float
    expanded_gap: float

    def to_dict(self) -> dict[str, Any]:
        """Give plain values for JSON."""
        return asdict(self)

    def __str__(self) -> str:
        return (
            f"Of {self.lessons} simulated lessons {100 * self.seen:.0f} of 100 saw the "
            f"difference, {100 * self.false_alarms:.0f} of 100 told balls apart that "
            f"were alike, and {100 * self.covered:.0f} of 100 intervals held the "
            f"truth. One ball's e came out to ± {self.expanded:.3f}, a difference to "
            f"± {self.expanded_gap:.3f}."
        )


def check_plan(plan: Plan, *, lessons: int = 200, seed: int = 0) -> PlanCheck:
    """Simulate lessons with a plan, with and without the difference worth seeing.

    Parameters
    ----------
    plan : Plan
        The plan; its first round is run.
    lessons : int, optional
        How many of each kind.
    seed : int, optional
        The same number gives the same lessons.

    Returns
    -------
    PlanCheck
        Shares of the lessons.

    Raises
    ------
    InputError
        If there is not a lesson to simulate.
    """
    if lessons < 1:
        raise InputError("simulated lessons", str(lessons), "1 or more", "Take 200.")
    rng = np.random.default_rng(seed)
    seen = alarms = covered = 0
    wide, wide_gap = 0.0, 0.0
    for _ in range(lessons):
        found = _lesson(rng, plan, plan.difference)
        told = compare(found, by="ball")
        lively, other = (plan.balls[k] for k in plan.hardest)
        pair = next(p for p in told.pairs if {p.a, p.b} == {lively, other})
        true = plan.difference if pair.b == lively else -plan.difference
        seen += pair.different
        covered += pair.low <= true <= pair.high
        wide += float(np.mean([row.expanded for row in found.rows]))
        wide_gap += (pair.high - pair.low) / 2
        alike = compare(_lesson(rng, plan, 0.0), by="ball")
        alarms += any(pair.different for pair in alike.pairs)
    sums = (seen, alarms, covered, wide, wide_gap)
    return PlanCheck(lessons, *(each / lessons for each in sums))


def _lesson(rng: np.random.Generator, plan: Plan, gap: float) -> Bounciness:
    """Give the results of one lesson with one of the hardest two livelier by `gap`."""
    told = plan.assumed
    shift = rng.normal(0, told.group_spread, len(plan.sizes))
    own = rng.normal(0, told.own_spread, (len(plan.sizes), len(plan.balls)))
    rows = []
    for turn in plan.turns:
        if turn.round:
            continue
        e = told.e + gap * (turn.ball == plan.hardest[0]) + shift[turn.group]
        e += own[turn.group, turn.ball]
        for each in rng.normal(e, told.drop_spread, plan.drops):
            rebound = f"{told.drop_height * each**2:.6f}"
            group, ball = f"group {turn.group + 1}", plan.balls[turn.ball]
            rows.append([group, ball, f"{told.drop_height:g}", rebound])
    return bounciness(read_rows(_HEADINGS, rows))
