"""What the checks catch, and how rarely they trouble a good reading, by simulation."""

from __future__ import annotations

import numpy as np
import pytest

from bouncelab.readings.checks import CHECKS, check_drops
from bouncelab.readings.drops import read_rows
from makers.classes import STYLES, make_class
from makers.slips import PLANTED

GOOD_ROWS = 1200  # of each style
CLASSES = 12  # of each of two styles, for each slip
STATED = {slip: share for check in CHECKS for slip, share in check.measured}


def share_flagged(style: str) -> float:
    rng = np.random.default_rng(20)
    rows = flagged = 0
    while rows < GOOD_ROWS:
        made = make_class(STYLES[style], rng)
        found = check_drops(read_rows(made.headings, made.rows)).findings
        rows += len(made.rows)
        flagged += len({each.row for each in found})
    return flagged / rows


@pytest.fixture(scope="module")
def flagged() -> dict[str, float]:
    return {style: share_flagged(style) for style in STYLES}


@pytest.mark.parametrize("style", STYLES)
def test_at_most_one_good_reading_in_200_is_flagged(
    flagged: dict[str, float], style: str
) -> None:
    assert flagged[style] <= 1 / 200


def test_in_all_styles_together_fewer_than_one_in_1000_is_flagged(
    flagged: dict[str, float],
) -> None:
    assert np.mean(list(flagged.values())) < 1 / 1000


def test_every_slip_that_can_be_planted_has_a_stated_rate() -> None:
    assert set(PLANTED) == set(STATED)


@pytest.mark.parametrize("slip", PLANTED)
def test_a_planted_slip_is_caught_as_often_as_stated(slip: str) -> None:
    _, plant = PLANTED[slip]
    caught = planted = 0
    for style in ("to the centimetre", "three trials"):
        rng = np.random.default_rng(30)
        for _ in range(CLASSES):
            made = make_class(STYLES[style], rng)
            rows = plant(made, rng)
            drops = check_drops(read_rows(made.headings, made.rows))
            lines = drops.table.index[rows]
            planted += len(rows)
            caught += len(set(lines) & {each.row for each in drops.findings})
    # Four standard errors of a share, never less than 0.08.
    stated = STATED[slip]
    slack = 4 * np.sqrt(stated * (1 - stated) / (2 * CLASSES))
    assert caught / planted == pytest.approx(stated, abs=max(0.08, slack))


def test_most_slips_are_called_by_their_own_name() -> None:
    rng = np.random.default_rng(40)
    named = []
    for check, plant in PLANTED.values():
        for _ in range(4):
            made = make_class(STYLES["to the centimetre"], rng)
            rows = plant(made, rng)
            drops = check_drops(read_rows(made.headings, made.rows))
            line = drops.table.index[rows[0]]
            names = {each.check for each in drops.findings if each.row == line}
            named.append(check in names)
    assert np.mean(named) > 0.85
