"""Whether it matters who measured, on simulated classes; all of them are invented."""

import numpy as np
import pytest
from scipy.stats import f_oneway

from bouncelab.analysis.compared import Level
from bouncelab.analysis.group_effect import group_effect


def a_level(rng, *, between=0.0, groups=6, n=5, mean=0.7, offsets=None):
    if offsets is None:
        offsets = rng.normal(0, between, groups)
    names = [f"group {k}" for k in range(len(offsets)) for _ in range(n)]
    e = np.concatenate([mean + each + rng.normal(0, 0.006, n) for each in offsets])
    return Level("A", e, tuple(names), np.zeros(e.size, bool), float(e.mean()), 0.0)


def test_with_one_level_it_is_scipys_one_way_analysis():
    level = a_level(np.random.default_rng(1), between=0.004)
    found = group_effect([level])
    parts = [level.e[np.array(level.group) == name] for name in level.groups]
    f, p = f_oneway(*parts)

    assert found.f == pytest.approx(f, rel=1e-9)
    assert found.p == pytest.approx(p, rel=1e-9)


def test_false_alarms_are_as_rare_as_said():
    rng = np.random.default_rng(2)
    alarms = sum(group_effect([a_level(rng)]).p < 0.05 for _ in range(600))

    assert 0.03 <= alarms / 600 <= 0.07


def test_the_spread_between_groups_is_found_beside_two_levels():
    rng = np.random.default_rng(3)
    between, within = [], []
    for _ in range(150):
        offsets = rng.normal(0, 0.01, 8)
        levels = [a_level(rng, offsets=offsets, mean=mean) for mean in (0.6, 0.8)]
        found = group_effect(levels)
        between.append(found.between**2)
        within.append(found.within**2)

    assert np.sqrt(np.mean(between)) == pytest.approx(0.01, rel=0.08)
    assert np.sqrt(np.mean(within)) == pytest.approx(0.006, rel=0.03)


def test_what_differs_between_levels_is_not_laid_to_the_groups():
    rng = np.random.default_rng(4)
    levels = [a_level(rng, offsets=np.zeros(4), mean=mean) for mean in (0.5, 0.9)]

    assert group_effect(levels).p > 0.05


def test_groups_that_share_no_level_cannot_be_parted_from_it():
    one = Level("A", np.array([0.7, 0.71]), ("Oak",) * 2, np.zeros(2, bool), 0.7, 0.0)
    two = Level("B", np.array([0.8, 0.81]), ("Elm",) * 2, np.zeros(2, bool), 0.8, 0.0)

    assert group_effect([one, two]) is None
    assert group_effect([one]) is None


def test_drops_without_groups_say_nothing():
    level = Level("A", np.array([0.7, 0.71]), ("", ""), np.zeros(2, bool), 0.7, 0.0)

    assert group_effect([level]) is None


def test_it_says_who_measured_in_words():
    rng = np.random.default_rng(5)
    told = str(group_effect([a_level(rng, between=0.03)]))

    assert "matters who measured" in told
    assert "measure alike" in str(group_effect([a_level(rng)]))
