"""How much do like drops differ? The scatter, and what it makes of their mean."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
import pandas as pd
from numpy.typing import NDArray

__all__ = ["Scatter", "scatter"]

Numbers: TypeAlias = NDArray[np.float64]
Codes: TypeAlias = NDArray[np.intp]
Truths: TypeAlias = NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class Scatter:
    """The drops of M conditions as repeated measurements (Type A).

    Attributes
    ----------
    n, groups : ndarray of int, shape (M,)
        Drops, and groups that made them.
    by_group : ndarray of bool, shape (M,)
        The group is the unit: its mean counts as one measurement.
    weight : ndarray of float, shape (N,)
        Weight of each drop in its condition's mean; they add up to 1.
    condition : ndarray of int, shape (N,)
        The condition of each drop.
    group : ndarray of int, shape (N,)
        The pair of condition and group of each drop.
    of : ndarray of int
        The condition of each pair.
    dof : ndarray of float, shape (M,)
        Degrees of freedom: units less 1, so 0 for a single one.
    """

    n: Codes
    groups: Codes
    by_group: Truths
    weight: Numbers
    condition: Codes
    group: Codes
    of: Codes
    dof: Numbers

    def mean(self, values: Numbers) -> Numbers:
        """Give the weighted mean of each condition, shape (M,)."""
        mean = np.bincount(
            self.condition, weights=self.weight * values, minlength=self.n.size
        )
        return mean.astype(np.float64, copy=False)

    def spread(self, values: Numbers) -> Numbers:
        """Give the standard deviation between the units, 0 for a single one."""
        within, between = _spreads(
            values, self.condition, self.group, self.of, self.n, self.groups
        )
        return np.where(self.by_group, between, within)

    def type_a(self, values: Numbers) -> Numbers:
        """Give the standard uncertainty of the mean by the scatter, shape (M,)."""
        return self.spread(values) / np.sqrt(self.dof + 1)


def scatter(values: Numbers, condition: Codes, group: Codes, size: int) -> Scatter:
    r"""Decide for each condition whether drops or groups are the units.

    Parameters
    ----------
    values : ndarray of float, shape (N,)
        What is averaged: the restitution of each drop, no unit.
    condition, group : ndarray of int, shape (N,)
        Codes from 0.
    size : int
        Number of conditions M.

    Returns
    -------
    Scatter
        Weights, units and degrees of freedom.

    Notes
    -----
    From :math:`n` drops the mean has the uncertainty :math:`s/\sqrt n`, with
    :math:`n - 1` degrees of freedom; from :math:`G` group means
    :math:`s_g/\sqrt G`, with :math:`G - 1`. The larger holds: drops of one group
    share its way of reading, and pooling them would hide that groups differ.

    Examples
    --------
    >>> e = np.array([0.80, 0.80, 0.76, 0.76])
    >>> who = np.array([0, 0, 1, 1])
    >>> found = scatter(e, np.zeros(4, dtype=np.intp), who, 1)
    >>> bool(found.by_group[0]), found.type_a(e).round(3), found.dof
    (True, array([0.02]), array([1.]))
    """
    n = np.bincount(condition, minlength=size)
    width = int(group.max(initial=-1)) + 1
    pair, pairs = pd.factorize(condition * width + group)
    of = pairs // max(width, 1)
    groups = np.bincount(of, minlength=size)
    within, between = _spreads(values, condition, pair, of, n, groups)
    # A hair's breadth keeps groups of one drop each from counting as different.
    by_group = between / np.sqrt(groups) > within / np.sqrt(n) * (1 + 1e-9)
    each_group = groups[condition] * np.bincount(pair)[pair]
    weight = 1.0 / np.where(by_group[condition], each_group, n[condition])
    dof = np.where(by_group, groups, n) - 1.0
    return Scatter(n, groups, by_group, weight, condition, pair, of, dof)


def _spreads(
    values: Numbers, condition: Codes, pair: Codes, of: Codes, n: Codes, groups: Codes
) -> tuple[Numbers, Numbers]:
    """Give the standard deviations of drops and of group means."""
    means = np.bincount(pair, weights=values) / np.bincount(pair)
    return _deviation(values, condition, n), _deviation(means, of, groups)


def _deviation(values: Numbers, code: Codes, count: Codes) -> Numbers:
    mean = np.bincount(code, weights=values, minlength=count.size) / count
    squares = np.bincount(
        code, weights=(values - mean[code]) ** 2, minlength=count.size
    )
    spread = np.sqrt(squares / np.maximum(count - 1, 1))
    # Equal readings have no scatter, whatever the last binary digit says.
    return np.where(spread > 1e-12 * np.abs(mean), spread, 0.0)
