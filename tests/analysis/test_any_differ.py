"""Whether any of several levels differ; simulated classes are invented."""

import numpy as np
import pytest
from scipy.stats import ttest_ind

from bouncelab.analysis.any_differ import _welch, any_differ
from bouncelab.analysis.compared import Level

GROUPS = ("Oak", "Elm", "Ash", "Fir")


def a_level(name, e, group=None):
    who = ("",) * len(e) if group is None else tuple(group)
    return Level(name, np.asarray(e), who, np.zeros(len(e), bool), 0.0, 0.0)


def blocks(rng, shifts, *, own=0.006, groups=0.01, n=4):
    """Every group drops every ball; groups read differently."""
    offsets = rng.normal(0, groups, len(GROUPS))
    return [
        a_level(
            str(k),
            np.concatenate([0.7 + s + o + rng.normal(0, own, n) for o in offsets]),
            [name for name in GROUPS for _ in range(n)],
        )
        for k, s in enumerate(shifts)
    ]


def test_beside_groups_it_is_the_analysis_of_blocks_worked_out_by_hand():
    levels = blocks(np.random.default_rng(1), (0.0, 0.004, 0.01))
    table = np.array([each.e.reshape(4, -1).mean(axis=1) for each in levels])
    of_levels = table.mean(axis=1, keepdims=True)
    left = table - of_levels - table.mean(axis=0) + table.mean()
    between = 4 * np.sum((of_levels - table.mean()) ** 2) / 2
    found = any_differ(levels)

    assert found.f == pytest.approx(between / (np.sum(left**2) / 6), rel=1e-9)
    assert (found.dof, found.dof_within) == (2, 6)
    assert found.method == "the same groups"


def test_of_two_samples_it_is_the_square_of_welchs_t():
    """scipy.stats.ttest_ind, an independent program."""
    rng = np.random.default_rng(2)
    a, b = rng.normal(0, 1, 7), rng.normal(0.8, 2, 11)
    peer = ttest_ind(a, b, equal_var=False)
    found = _welch([a, b], "drops")

    assert found.f == pytest.approx(peer.statistic**2, rel=1e-12)
    assert found.dof_within == pytest.approx(peer.df, rel=1e-12)
    assert found.p == pytest.approx(peer.pvalue, rel=1e-9)


@pytest.mark.parametrize("groups", [0.0, 0.01])
def test_false_alarms_are_as_rare_as_said_though_groups_differ(groups):
    rng = np.random.default_rng(3)
    alarms = [
        any_differ(blocks(rng, (0, 0, 0, 0), groups=groups)).differ for _ in range(600)
    ]

    assert 0.03 <= np.mean(alarms) <= 0.07


def test_drops_without_groups_that_scatter_unlike_raise_few_alarms():
    rng = np.random.default_rng(4)
    alarms = []
    for _ in range(1000):
        sizes = ((0.003, 12), (0.006, 8), (0.012, 6))
        made = [a_level(str(n), rng.normal(0.7, sd, n)) for sd, n in sizes]
        alarms.append(any_differ(made).differ)

    assert 0.03 <= np.mean(alarms) <= 0.07


def test_it_says_what_holds_and_no_more():
    rng = np.random.default_rng(5)
    apart = any_differ(blocks(rng, (0, 0.03, 0.06)))
    alike = any_differ(blocks(np.random.default_rng(6), (0, 0, 0)))

    assert apart.words(True).startswith("Taken all together, they do differ (F = ")
    assert "no single pair can be named" in apart.words(False)
    assert "nothing shows that any of them differ (F" in alike.words(False)
    assert "stand for themselves" in alike.words(True)


def test_nothing_is_said_of_two_levels_or_of_drops_that_do_not_scatter():
    one, two = a_level("A", [0.7, 0.71, 0.72]), a_level("B", [0.8, 0.81, 0.83])
    still = a_level("C", [0.7, 0.7, 0.7])

    assert any_differ([one, two]) is None
    assert any_differ([one, two, still]) is None
    assert any_differ([a_level(k, [0.7, 0.7], "ab") for k in "ABC"]) is None
