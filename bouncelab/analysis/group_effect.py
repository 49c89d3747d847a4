"""How much does it matter who measured? Groups set against their own scatter."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt
from typing import Any

import numpy as np
from numpy.typing import NDArray

from bouncelab.analysis.compared import Level
from bouncelab.analysis.words import plain
from bouncelab.chance_laws import fisher_above

__all__ = ["GroupEffect", "group_effect"]

_RISK = 0.05


@dataclass(frozen=True, slots=True)
class GroupEffect:
    """Analysis of variance of the measuring groups.

    Attributes
    ----------
    groups : int
        How many measured.
    between_squares, within_squares : float
        Sums of squares of e: of the groups, after what differs between the levels is
        taken off, and of the drops within a group and level.
    between_dof, within_dof : int
        Their degrees of freedom.
    f, p : float
        Ratio of the mean squares, and the chance of one as large if groups are alike.
    within, between : float
        Standard deviation of e from drop to drop, and from group to group beyond it.
    """

    groups: int
    between_squares: float
    within_squares: float
    between_dof: int
    within_dof: int
    f: float
    p: float
    within: float
    between: float

    @property
    def matters(self) -> bool:
        """Whether groups differ by more than chance makes them, at the 5 % level."""
        return self.p < _RISK

    def __str__(self) -> str:
        if self.matters:
            return (
                f"It matters who measured: from group to group e scatters by "
                f"{self.between:.4f}, beside {self.within:.4f} from drop to drop."
            )
        return (
            f"The {self.groups} groups measure alike, as far as these drops can tell "
            f"(scatter from drop to drop {self.within:.4f})."
        )

    def to_dict(self) -> dict[str, Any]:
        """Give plain values for JSON."""
        return {
            "groups": self.groups,
            "f": plain(self.f),
            "between_dof": self.between_dof,
            "within_dof": self.within_dof,
            "p": plain(self.p),
            "sd_within": plain(self.within),
            "sd_between": plain(self.between),
        }


def group_effect(levels: Sequence[Level]) -> GroupEffect | None:
    r"""Tell whether groups measure differently.

    Parameters
    ----------
    levels : sequence of Level
        What is compared; each drop has its group.

    Returns
    -------
    GroupEffect or None
        None if there are not two groups that share a level, or no drop to spare.

    Notes
    -----
    Each drop is the sum of its level, its group and chance. The groups' sum of
    squares is what the groups explain beyond the levels; with one level it is the
    one-way analysis of variance. The spread between groups is the square root of
    :math:`(M_b - M_w)/n_0` with the mean squares M and
    :math:`n_0 = (N - \sum n_k^2/N)/(G - 1)`.

    References
    ----------
    .. [1] One-way analysis of variance as in JCGM 100:2008 (GUM), annex H.5.

    Examples
    --------
    >>> import numpy as np
    >>> e = np.array([0.70, 0.71, 0.75, 0.76])
    >>> level = Level(
    ...     "A", e, ("Oak", "Oak", "Elm", "Elm"), np.zeros(4, bool), 0.73, 0.0
    ... )
    >>> found = group_effect([level])
    >>> found.between_dof, found.within_dof, round(found.f)
    (1, 2, 50)
    """
    pairs = [
        (k, name, float(e))
        for k, level in enumerate(levels)
        for name, e in zip(level.group, level.e, strict=True)
        if name
    ]
    if not pairs:
        return None
    place = np.array([k for k, _, _ in pairs])
    names = list(dict.fromkeys(name for _, name, _ in pairs))
    who = np.array([names.index(name) for _, name, _ in pairs])
    e = np.array([value for _, _, value in pairs])
    e = e - e.mean()  # leading digits that all share would drown the rest
    of_level = place[:, None] == np.unique(place)
    of_group = who[:, None] == np.arange(1, len(names))
    alone, low = _left(of_level.astype(float), e)
    both, high = _left(np.hstack([of_level, of_group]).astype(float), e)
    between, within = high - low, e.size - high
    if between < 1 or within < 1:
        return None
    squares, rest = max(alone - both, 0.0), both
    mean_between, mean_within = squares / between, rest / within
    counts = np.bincount(who)
    typical = (e.size - float(np.sum(counts**2)) / e.size) / max(len(names) - 1, 1)
    f, p = _ratio(mean_between, mean_within, between, within)
    return GroupEffect(
        groups=len(names),
        between_squares=squares,
        within_squares=rest,
        between_dof=between,
        within_dof=within,
        f=f,
        p=p,
        within=sqrt(mean_within),
        between=sqrt(max(mean_between - mean_within, 0.0) / typical),
    )


def _left(columns: NDArray[np.float64], e: NDArray[np.float64]) -> tuple[float, int]:
    """Give the sum of squares that a linear model leaves, and its rank."""
    fitted, _, rank, _ = np.linalg.lstsq(columns, e, rcond=None)
    left = e - columns @ fitted
    return float(left @ left), int(rank)


def _ratio(between: float, within: float, k: int, n: int) -> tuple[float, float]:
    if within == 0:
        return (float("inf"), 0.0) if between > 0 else (0.0, 1.0)
    f = between / within
    return f, float(fisher_above(k, n, f))
