"""Whether a verdict is clear: how near an interval's ends come to a range's limits."""

from __future__ import annotations

from collections.abc import Sequence
from math import sqrt
from statistics import mean, stdev

__all__ = ["gap_to_limits"]


def gap_to_limits(
    readings: Sequence[float], *, half_width: float, limits: Sequence[float]
) -> float:
    r"""Give how near either end of mean ± U comes to a limit.

    Parameters
    ----------
    readings : sequence of float
        At least two.
    half_width : float
        Of what all readings share, such as the tape's zero, in the same unit.
    limits : sequence of float
        Of the range.

    Returns
    -------
    float
        In the same unit: with too small a gap the verdict hangs on a rounding.

    Notes
    -----
    :math:`U = 2\sqrt{s^2/n + a^2/3}`, JCGM 100:2008 (GUM), 4.2.3, 4.3.7 and 6.2.

    Examples
    --------
    >>> gap_to_limits([56, 58], half_width=0.0, limits=(50, 65))
    5.0
    """
    wide = 2 * sqrt(stdev(readings) ** 2 / len(readings) + half_width**2 / 3)
    ends = (mean(readings) - wide, mean(readings) + wide)
    return min(abs(end - limit) for end in ends for limit in limits)
