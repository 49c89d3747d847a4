"""Judge whether a ball meets a bounce range, and how sure that is."""

from __future__ import annotations

import html
from dataclasses import dataclass
from math import inf, isfinite, isnan
from typing import Any

from bouncelab.catalogue import BounceRange
from bouncelab.errors import InputError
from bouncelab.units import show_length

__all__ = ["SIGNS", "Verdict", "guarded_limits", "judge", "probability_inside"]

SIGNS = {"meets": "✓", "does not meet": "✕", "cannot be told": "?"}
_SURE = 0.95  # common practice: a chance of 1 in 20 of being wrong at a limit
_GUARD = 1.645  # standard normal quantile of _SURE; JCGM 106:2012, 8.3.3


@dataclass(frozen=True, slots=True)
class Verdict:
    """What can be said of one mean rebound and one range.

    Attributes
    ----------
    word : {"meets", "does not meet", "cannot be told"}
        The verdict.
    probability : float
        That the true mean rebound lies inside the limits.
    reason : str
        One plain sentence.
    """

    word: str
    probability: float
    reason: str

    @property
    def sign(self) -> str:
        """A sign to stand before the word, so that colour is never alone."""
        return SIGNS[self.word]

    def __str__(self) -> str:
        return f"{self.sign} {self.word} ({self.probability:.0%}): {self.reason}"

    def _repr_html_(self) -> str:
        return f"<p>{html.escape(str(self))}</p>"

    def to_dict(self) -> dict[str, Any]:
        """Give plain values for JSON."""
        return {
            "verdict": self.word,
            "probability": self.probability,
            "reason": self.reason,
        }


def probability_inside(
    mean: float,
    standard_uncertainty: float,
    nu_eff: float,
    *,
    low: float | None,
    high: float | None,
) -> float:
    r"""Give the probability that the true value lies inside limits.

    Parameters
    ----------
    mean, standard_uncertainty : float
        The measured value and its standard uncertainty, in one unit.
    nu_eff : float
        Effective degrees of freedom, above 0; may be infinite.
    low, high : float or None
        Limits in the same unit; None where there is none.

    Returns
    -------
    float
        From 0 to 1.

    Raises
    ------
    InputError
        If a value is not a number, the uncertainty is below zero, or there is
        no limit at all.

    Notes
    -----
    .. math:: P = F_\nu\!\left(\frac{U - y}{u}\right)
                - F_\nu\!\left(\frac{L - y}{u}\right)

    with Student's distribution for :math:`\nu` degrees of freedom, which for
    many is the normal one.

    References
    ----------
    .. [1] JCGM 106:2012, *The role of measurement uncertainty in conformity
       assessment*, 7.2 and 7.4; Student's t for few readings: JCGM 101:2008,
       6.4.9.

    Examples
    --------
    >>> round(probability_inside(0.60, 0.02, float("inf"), low=0.5, high=0.65), 3)
    0.994
    """
    if isnan(mean) or not standard_uncertainty >= 0 or not nu_eff > 0:
        raise InputError(
            what="a measured rebound",
            read=f"{mean:g} with uncertainty {standard_uncertainty:g} "
            f"and {nu_eff:g} degrees of freedom",
            allowed="numbers, the uncertainty 0 or more, the freedom above 0",
            do="Check the drops that it comes from.",
        )
    if low is None and high is None:
        raise InputError("limits", "none", "a lower or an upper one", "Give one.")
    bottom = -inf if low is None else low
    top = inf if high is None else high
    if standard_uncertainty == 0:
        return float(bottom <= mean <= top)
    from scipy.special import stdtr

    freedom = min(nu_eff, 1e10)  # beyond this it is the normal distribution
    below = (bottom - mean) / standard_uncertainty
    above = (top - mean) / standard_uncertainty
    # The upper tail twice, so that a sure verdict does not drown in rounding.
    inside = 1.0 - stdtr(freedom, below) - stdtr(freedom, -above)
    return float(min(max(inside, 0.0), 1.0))


def guarded_limits(
    range: BounceRange, standard_uncertainty: float
) -> tuple[float, float]:
    """Give the limits between which a mean is safely inside a range.

    Parameters
    ----------
    range : BounceRange
        The range.
    standard_uncertainty : float
        Of the mean rebound, in m.

    Returns
    -------
    tuple of float
        Lower and upper acceptance limit in m, each 1.645 standard uncertainties
        inside the rule's; infinite where the rule has no limit. The first lies
        above the second if the uncertainty leaves no room.

    References
    ----------
    .. [1] JCGM 106:2012, 8.3.3: 5 % risk of a wrong acceptance at a limit.

    Examples
    --------
    >>> from bouncelab.catalogue import find_range
    >>> low, high = guarded_limits(find_range("futsal-law-2"), 0.01)
    >>> round(low, 4), round(high, 4)
    (0.5164, 0.6336)
    """
    guard = _GUARD * standard_uncertainty
    low, high = range.rebound_min_m, range.rebound_max_m
    return (
        -inf if low is None else low + guard,
        inf if high is None else high - guard,
    )


def judge(
    mean_rebound: float,
    standard_uncertainty: float,
    nu_eff: float,
    range: BounceRange,
) -> Verdict:
    """Say whether a mean rebound meets a range.

    Parameters
    ----------
    mean_rebound : float
        Raw height of the point that the rule reads, from the rule's drop height,
        in m.
    standard_uncertainty : float
        Of that mean, in m.
    nu_eff : float
        Its effective degrees of freedom.
    range : BounceRange
        The range.

    Returns
    -------
    Verdict
        ``meets`` from a probability of 0.95 on, ``does not meet`` up to 0.05,
        else ``cannot be told``.

    Raises
    ------
    InputError
        As `probability_inside`.

    Examples
    --------
    >>> from bouncelab.catalogue import find_range
    >>> judge(0.70, 0.01, 9, find_range("futsal-law-2")).word
    'does not meet'
    """
    low, high = range.rebound_min_m, range.rebound_max_m
    chance = probability_inside(
        mean_rebound, standard_uncertainty, nu_eff, low=low, high=high
    )
    said = f"Its mean rebound of {show_length(mean_rebound)}"
    limits = _limits(low, high)
    outside = _outside(mean_rebound, low, high)
    if chance >= _SURE:
        return Verdict("meets", chance, f"{said} lies inside {limits}.")
    if chance <= 1 - _SURE:
        if outside:
            return Verdict("does not meet", chance, f"{said} is {outside} {limits}.")
        why = f"{said} is known too poorly to be likely inside {limits}."
        return Verdict("cannot be told", chance, why)
    where = f"is {outside}" if outside else "lies inside"
    reach = (
        "by less than it is uncertain"
        if outside
        else "but the uncertainty reaches over a limit"
    )
    why = (
        f"{said} {where} {limits}, {reach}. More drops, or a better reading, may tell."
    )
    return Verdict("cannot be told", chance, why)


def _limits(low: float | None, high: float | None) -> str:
    if low is None:
        return f"the limit of at most {show_length(high or 0.0)}"
    if high is None:
        return f"the limit of at least {show_length(low)}"
    return f"{show_length(low)} to {show_length(high)}"


def _outside(mean: float, low: float | None, high: float | None) -> str:
    if low is not None and mean < low:
        return f"{show_length(low - mean)} below"
    if high is not None and isfinite(high) and mean > high:
        return f"{show_length(mean - high)} above"
    return ""
