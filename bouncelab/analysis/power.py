"""How many drops does it take to tell two balls apart?"""

from __future__ import annotations

from math import inf, sqrt

from bouncelab.chance_laws import student_beyond, student_quantile
from bouncelab.errors import InputError

__all__ = ["drops_for", "power_of"]

_MOST = 1000  # drops of one ball; nobody makes more


def power_of(
    *, difference: float, spread: float, drops: int, risk: float = 0.05
) -> float:
    r"""Give the chance to find a difference between two balls.

    Parameters
    ----------
    difference : float
        Between the two means; only its size counts.
    spread : float
        Standard deviation of one drop, above 0, in the same unit.
    drops : int
        Of each ball, at least 2.
    risk : float, optional
        Of a false alarm where there is no difference.

    Returns
    -------
    float
        From `risk` to 1.

    Raises
    ------
    InputError
        If the spread is not above zero or there are fewer than two drops.

    Notes
    -----
    Two-sided t test of two equal samples; the test statistic follows the
    noncentral t distribution with :math:`\delta\sqrt{n/2}/\sigma`.

    References
    ----------
    .. [1] J. Cohen, *Statistical Power Analysis for the Behavioral Sciences*
       (1988), chapter 2, from memory.

    Examples
    --------
    >>> round(power_of(difference=0.01, spread=0.0075, drops=10), 2)
    0.8
    """
    if not spread > 0 or drops < 2:
        raise InputError(
            what="spread and drops",
            read=f"{spread:g} and {drops}",
            allowed="a spread above 0 and 2 drops or more",
            do="Drop each ball more than once.",
        )
    freedom = 2 * drops - 2
    away = abs(difference) / spread * sqrt(drops / 2)
    edge = float(student_quantile(freedom, 1 - risk / 2))
    return student_beyond(freedom, away, edge)


def drops_for(
    *, difference: float, spread: float, power: float = 0.8, risk: float = 0.05
) -> float:
    """Give the drops of each ball that find a difference with a given chance.

    Parameters
    ----------
    difference, spread, risk : float
        As in `power_of`.
    power : float, optional
        The chance wanted.

    Returns
    -------
    float
        At least 2; infinite if a thousand are not enough.

    Raises
    ------
    InputError
        As `power_of`.

    Examples
    --------
    >>> drops_for(difference=0.02, spread=0.0075)
    4
    """
    low, high = 2, _MOST

    def enough(drops: int) -> bool:
        chance = power_of(difference=difference, spread=spread, drops=drops, risk=risk)
        return chance >= power

    if not enough(high):
        return inf
    while low < high:
        middle = (low + high) // 2
        if enough(middle):
            high = middle
        else:
            low = middle + 1
    return low
