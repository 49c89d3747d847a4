"""Do any of several levels differ at all? One test over all of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from bouncelab.analysis.compared import Level
from bouncelab.analysis.group_effect import group_effect
from bouncelab.analysis.words import plain
from bouncelab.chance_laws import fisher_above

__all__ = ["AnyDiffer", "any_differ"]

_RISK = 0.05
_TINY = 1e-18  # a variance of e below it is none


@dataclass(frozen=True, slots=True)
class AnyDiffer:
    """Analysis of variance of all levels together.

    Attributes
    ----------
    f : float
        Scatter of the levels over the scatter within them.
    dof, dof_within : float
        Degrees of freedom of the two.
    p : float
        Chance of an F as large if no level differs.
    method : str
        What was compared: the same groups, groups, or drops.
    """

    f: float
    dof: float
    dof_within: float
    p: float
    method: str

    @property
    def differ(self) -> bool:
        """Whether some level differs by more than chance, at the 5 % level."""
        return self.p < _RISK

    def words(self, named: bool) -> str:
        """Say it in a sentence.

        Parameters
        ----------
        named : bool
            Whether any pair could be told apart.

        Returns
        -------
        str
            With F and the chance in brackets.
        """
        if self.differ:
            said = "Taken all together, they do differ"
            said += "" if named else ", though no single pair can be named"
        else:
            said = "Taken all together, nothing shows that any of them differ"
            said += "; the pairs named above stand for themselves" if named else ""
        chance = "under 0.001" if self.p < 0.001 else f"{self.p:.3f}"
        return (
            f"{said} (F = {self.f:.1f} with {self.dof:.0f} and "
            f"{round(self.dof_within, 1):g} degrees of freedom; chance {chance})."
        )

    def to_dict(self) -> dict[str, Any]:
        """Give plain values for JSON."""
        return {
            "f": plain(self.f),
            "dof": plain(self.dof),
            "dof_within": plain(self.dof_within),
            "p": plain(self.p),
            "differ": self.differ,
            "method": self.method,
        }


def any_differ(levels: Sequence[Level]) -> AnyDiffer | None:
    r"""Tell whether any of three levels or more differ.

    Parameters
    ----------
    levels : sequence of Level
        What is compared, each with two drops or more.

    Returns
    -------
    AnyDiffer or None
        None for two levels, which their pair says, and where nothing scatters.

    Notes
    -----
    Where groups dropped the ball at several levels, a group's mean at a level is the
    sum of its group, its level and chance, and the levels are tested beyond the
    groups. Else Welch's analysis of variance, of the groups' means or, without
    groups, of the drops: with :math:`w_i = n_i/s_i^2`, :math:`W = \sum w_i`,
    :math:`\Lambda = \sum (1 - w_i/W)^2/(n_i - 1)` and k levels

    .. math:: F = \frac{\sum w_i (\bar e_i - \bar e)^2/(k - 1)}
              {1 + 2 (k - 2) \Lambda/(k^2 - 1)},

    with :math:`k - 1` and :math:`(k^2 - 1)/(3\Lambda)` degrees of freedom.

    References
    ----------
    .. [1] B. L. Welch, *Biometrika* 38 (1951) 330, from memory.

    Examples
    --------
    >>> def level(name, *e):
    ...     odd = np.zeros(len(e), bool)
    ...     return Level(name, np.array(e), ("",) * len(e), odd, 0.7, 0.0)
    >>> found = any_differ(
    ...     [
    ...         level("A", 0.70, 0.71, 0.72),
    ...         level("B", 0.70, 0.71, 0.72),
    ...         level("C", 0.80, 0.81, 0.82),
    ...     ]
    ... )
    >>> found.differ, found.dof, round(found.dof_within, 6)
    (True, 2, 4.0)
    """
    if len(levels) < 3:
        return None
    means = [_means(each) for each in levels]
    blocks = _beyond_groups(levels, means)
    if blocks is not None:
        return blocks
    if all(len(each) > 1 for each in means):
        return _welch([np.array(list(each.values())) for each in means], "groups")
    return _welch([each.e for each in levels], "drops")


def _means(level: Level) -> dict[str, float]:
    who = np.array(level.group, dtype=object)
    return {name: float(level.e[who == name].mean()) for name in level.groups}


def _beyond_groups(
    levels: Sequence[Level], means: Sequence[dict[str, float]]
) -> AnyDiffer | None:
    """Test levels by what each group found at several of them."""
    groups = list(dict.fromkeys(name for each in means for name in each))
    parts = []
    for name in groups:
        here = [k for k, each in enumerate(means) if name in each]
        if len(here) > 1:
            e = np.array([means[k][name] for k in here])
            of = tuple(str(k) for k in here)
            parts.append(Level(name, e, of, np.zeros(e.size, bool), 0.0, 0.0))
    found = group_effect(parts) if len(parts) > 1 else None
    if found is None or found.between_dof != len(levels) - 1:
        return None
    if found.within_squares < _TINY:
        return None
    return AnyDiffer(
        found.f, found.between_dof, found.within_dof, found.p, "the same groups"
    )


def _welch(parts: Sequence[np.ndarray[Any, Any]], method: str) -> AnyDiffer | None:
    n = np.array([each.size for each in parts], dtype=float)
    variance = np.array([each.var(ddof=1) for each in parts])
    if variance.min() < _TINY:
        return None
    mean = np.array([each.mean() for each in parts])
    weight, k = n / variance, len(parts)
    middle = float(weight @ mean) / float(weight.sum())
    spread = float(np.sum((1 - weight / weight.sum()) ** 2 / (n - 1)))
    between = float(weight @ (mean - middle) ** 2) / (k - 1)
    f = between / (1 + 2 * (k - 2) * spread / (k**2 - 1))
    within = (k**2 - 1) / (3 * spread)
    return AnyDiffer(f, k - 1, within, float(fisher_above(k - 1, within, f)), method)
