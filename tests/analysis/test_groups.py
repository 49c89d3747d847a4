"""Several groups that drop one ball: what their differences leave open in e."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np
import pytest

from bouncelab.analysis.bounciness import Bounciness, bounciness
from bouncelab.analysis.quality import ReadingQuality
from bouncelab.catalogue import find_range
from bouncelab.readings.drops import read_rows

HEADINGS = ["ball", "group", "drop (cm)", "rebound (cm)"]
AGREEING = {"Oak": (108, 111, 114), "Elm": (109, 111, 113)}


def of(groups: Mapping[str, tuple[float, ...]], **options: Any) -> Bounciness:
    rows = [
        ["football", group, "200", str(rebound)]
        for group, rebounds in groups.items()
        for rebound in rebounds
    ]
    return bounciness(read_rows(HEADINGS, rows), **options)


def test_groups_that_agree_still_leave_open_how_groups_differ() -> None:
    (row,) = of(AGREEING).rows
    (alone,) = of({"Oak": (*AGREEING["Oak"], *AGREEING["Elm"])}).rows

    term = 0.009 / np.sqrt(3) / np.sqrt(2)
    assert row.basis.terms["how groups differ"] == pytest.approx(term, rel=1e-9)
    assert row.basis.type_b**2 == pytest.approx(alone.basis.type_b**2 + term**2)
    assert alone.basis.terms["how groups differ"] == 0


def test_groups_that_differ_show_it_in_their_scatter_and_it_counts_once() -> None:
    (row,) = of({"Oak": (110, 110.5, 111), "Elm": (116, 116.5, 117)}).rows

    assert row.basis.by_group
    assert row.basis.terms["how groups differ"] == 0


def test_a_verdict_knows_that_groups_differ_as_the_restitution_does() -> None:
    limits = [find_range("football-fifa-quality")]
    exact = ReadingQuality(*[0.0] * 5)
    (row,) = of(AGREEING, ranges=limits, quality=exact).rows
    (verdict,) = row.verdicts

    assert verdict.standard_uncertainty == pytest.approx(
        2 * row.e * row.drop_height * row.u, rel=2e-3
    )


def test_the_working_shows_how_groups_differ() -> None:
    assert "± 0.009 in e" in str(of(AGREEING).rows[0].working())
    assert "how groups differ" not in str(of({"Oak": (108, 111)}).rows[0].working())


@pytest.mark.parametrize("differ", [0.005, 0.01])
@pytest.mark.parametrize("groups", [2, 3, 5])
def test_intervals_of_several_groups_hold_the_true_e(
    groups: int, differ: float
) -> None:
    random = np.random.default_rng(groups)
    balls, trials, height, truth = 600, 5, 1.80, 0.75
    e = truth + random.normal(0, differ, (balls, groups, 1))
    e = e + random.normal(0, 0.0075, (balls, groups, trials))
    rows = [
        [f"{ball}", f"{group}", "180", f"{100 * height * e[ball, group, trial] ** 2}"]
        for ball, group, trial in np.ndindex(e.shape)
    ]
    found = bounciness(read_rows(HEADINGS, rows)).estimates

    assert found.e.size == balls
    covered = np.mean(np.abs(found.e - truth) <= found.expanded)
    assert 0.92 <= covered <= 0.99
