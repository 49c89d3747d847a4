"""Does a mean rebound lie inside a range's limits? Probability, verdict and reason."""

from __future__ import annotations

import html
from dataclasses import dataclass
from math import isnan
from typing import Any, TypedDict, Unpack, overload

import numpy as np
from numpy.typing import NDArray

from bouncelab.analysis.chances import (
    acceptance_limits,
    edges,
    more_drops,
    probability_inside,
    quantile,
    verdict_words,
)
from bouncelab.analysis.words import percent
from bouncelab.catalogue import BounceRange, balls
from bouncelab.units import show_length, show_temperature

__all__ = [
    "SIGNS",
    "Verdict",
    "acceptance_limits",
    "circumstances",
    "judge",
    "more_drops",
    "probability_inside",
]

SAME_HEIGHT = 0.02  # of the rule's drop height, made good in proportion
SHOWN = 5e-5  # m; less is not seen in the centimetres that are printed
ABOUT = 2.0  # °C, for a rule that names one temperature; common practice
_SHARE = {"bottom": 0.0, "centre": 0.5, "top": 1.0}
SIGNS = {"meets": "✓", "does not meet": "✗", "cannot be told": "?"}
_COLOUR = {"meets": "#1b6e2e", "does not meet": "#a3271f", "cannot be told": "#6b5200"}
_MATERIALS = ("concrete", "granite", "steel", "table", "wood")


@dataclass(frozen=True, slots=True)
class Verdict:
    """Whether a ball meets a range.

    Attributes
    ----------
    word : {"meets", "does not meet", "cannot be told"}
        The verdict.
    probability : float or None
        That the true mean rebound lies inside the limits; None if the drops
        cannot be compared with the range.
    reason : str
        One plain sentence.
    remarks : tuple of str
        Where the circumstances were not the rule's, and what was made good.
    range_id : str
        The range.
    """

    word: str
    probability: float | None
    reason: str
    remarks: tuple[str, ...] = ()
    range_id: str = ""

    @property
    def sign(self) -> str:
        """A sign to stand before the word, so that colour is never alone."""
        return SIGNS[self.word]

    @property
    def consumers_risk(self) -> float | None:
        """Chance that the ball is outside the range though it is let through."""
        return None if self.probability is None else 1.0 - self.probability

    def __str__(self) -> str:
        sure = self.probability
        chance = "" if sure is None else f" (probability {percent(sure)})"
        return " ".join([f"{self.word}{chance}. {self.reason}", *self.remarks])

    def _repr_html_(self) -> str:
        sign, colour = self.sign, _COLOUR[self.word]
        _, _, rest = str(self).partition(self.word)
        return (
            f'<p><strong style="color:{colour}"><span aria-hidden="true">{sign}</span> '
            f"{self.word}</strong>{html.escape(rest)}</p>"
        )

    def to_dict(self) -> dict[str, Any]:
        """Give plain values for JSON."""
        return {
            "range": self.range_id,
            "verdict": self.word,
            "probability": self.probability,
            "reason": self.reason,
            "remarks": list(self.remarks),
        }


class Known(TypedDict, total=False):
    """What else is known of the drops that a mean comes from."""

    ball: str | None
    drop_height: float | None
    drop_point: str | None
    rebound_point: str | None
    diameter: float | None
    floor: str | None
    temperature: float | None
    n: int | None


@overload
def judge(  # numpydoc ignore=GL08
    mean_rebound: float,
    standard_uncertainty: float,
    nu_eff: float,
    limits: BounceRange,
    **drops: Unpack[Known],
) -> Verdict: ...
@overload
def judge(  # numpydoc ignore=GL08
    mean_rebound: NDArray[np.float64],
    standard_uncertainty: Any,
    nu_eff: Any,
    limits: BounceRange,
    **drops: Unpack[Known],
) -> tuple[Verdict, ...]: ...
def judge(
    mean_rebound: Any,
    standard_uncertainty: Any,
    nu_eff: Any,
    limits: BounceRange,
    **drops: Unpack[Known],
) -> Any:
    """Say whether a ball meets a range: raw heights, as its rule reads them.

    Parameters
    ----------
    mean_rebound, standard_uncertainty : float or ndarray, shape (N,)
        Mean rebound height and its standard uncertainty, in m.
    nu_eff : float or ndarray, shape (N,)
        Effective degrees of freedom.
    limits : BounceRange
        The range.
    **drops
        What else is known of the drops; each a single value. `ball`: id of its
        kind. `drop_height`: in m. `drop_point`, `rebound_point`: the points that
        were read, the rule's if left out. `diameter`: in m, to turn one point
        into another. `floor`: a text, and `temperature`: in °C, empty and NaN if
        nobody wrote them down. `n`: the number of drops.

    Returns
    -------
    Verdict or tuple of Verdict
        One for each mean.

    Raises
    ------
    InputError
        If a number cannot be one.

    Notes
    -----
    A ball meets the range if the probability that its true mean lies inside is
    at least 0.95, and does not if it is 0.05 or less. Where the uncertainty is
    so large that no ball could meet the range, it must also be too low, or too
    high, with 0.95. A drop height within 2 % of the rule's is made good in
    proportion. Air drag is left in: the rule's own limits contain it.

    References
    ----------
    .. [1] JCGM 106:2012, 7.2 to 7.5 and 8.3.2.

    Examples
    --------
    >>> from bouncelab.catalogue import find_range
    >>> print(judge(0.47, 0.008, 12.0, find_range("futsal-law-2")))
    does not meet (probability under 1 %). It bounced 3.0 cm too low: 47.0 cm; \
the range asks for 50.0 cm to 65.0 cm. The source does not name the point of the \
ball; the bottom is taken.
    """
    given = np.broadcast_arrays(mean_rebound, standard_uncertainty, nu_eff)
    found = tuple(
        _judge(float(y), float(u), float(nu), limits, **drops)
        for y, u, nu in zip(*(np.ravel(each) for each in given), strict=True)
    )
    return found[0] if given[0].ndim == 0 else found


def _judge(
    mean: float,
    u: float,
    nu: float,
    limits: BounceRange,
    *,
    ball: str | None = None,
    drop_height: float | None = None,
    drop_point: str | None = None,
    rebound_point: str | None = None,
    diameter: float | None = None,
    floor: str | None = None,
    temperature: float | None = None,
    n: int | None = None,
) -> Verdict:
    def untold(reason: str) -> Verdict:
        return Verdict("cannot be told", None, reason, range_id=limits.id)

    if ball is not None and ball != limits.ball:
        names = {each.id: each.name for each in balls()}
        return untold(
            f"This range is for another ball: {names.get(limits.ball, limits.ball)}."
        )
    wanted = _SHARE[limits.drop_point], _SHARE[limits.rebound_point]
    read = (
        _SHARE[drop_point or limits.drop_point],
        _SHARE[rebound_point or limits.rebound_point],
    )
    if diameter is None and (read != wanted or (drop_height and any(wanted))):
        return untold(
            f"The rule reads the {limits.drop_point} of the ball at the drop and the "
            f"{limits.rebound_point} at the rebound, and the diameter is not known."
        )
    across = diameter or 0.0
    lowest = mean - read[1] * across
    remarks = list(circumstances(limits, floor=floor, temperature=temperature))
    if drop_height is not None:
        fallen = drop_height - read[0] * across
        rule = limits.drop_height_m - wanted[0] * across
        apart = fallen - rule
        if abs(apart) > SAME_HEIGHT * limits.drop_height_m + 1e-12:
            return untold(
                f"The range drops from {show_length(limits.drop_height_m)}, this "
                f"ball from {show_length(drop_height)}."
            )
        lowest, u = lowest * rule / fallen, u * rule / fallen
        if abs(apart) > SHOWN:
            remarks.append(
                f"The drops start {show_length(abs(apart), digits=2)} "
                f"{'higher' if apart > 0 else 'lower'} than the rule's, so the mean "
                "rebound was scaled in proportion."
            )
    if read != wanted:
        remarks.append(
            f"The heights were turned into those of the points that the rule reads "
            f"with the ball's diameter, {show_length(across)}."
        )
    mean = lowest + wanted[1] * across
    words, inside = verdict_words(mean, u, nu, *edges(limits))
    word = str(words[0])
    reason = _reason(word, mean, u, nu, limits, n)
    return Verdict(word, float(inside[0]), reason, tuple(remarks), limits.id)


def _reason(
    word: str, mean: float, u: float, nu: float, limits: BounceRange, n: int | None
) -> str:
    low, high = edges(limits)
    beyond = max(low - mean, mean - high)  # below 0 inside
    side = "low" if low - mean >= mean - high else "high"
    height = show_length(mean)
    if limits.rebound_point != "bottom":  # elsewhere heights are of the bottom
        height += f" ({limits.rebound_point} of the ball)"
    if word == "meets":
        return f"It bounced {height}; the range asks for {limits.limits}."
    if word == "does not meet":
        return (
            f"It bounced {_fine(beyond)} too {side}: {height}; the range asks for "
            f"{limits.limits}."
        )
    half = quantile(nu, 0.975) * u
    if half > (high - low) / 2:
        start = (
            f"The uncertainty, ± {_fine(half)}, is too large for a range of "
            f"{limits.limits}"
        )
    else:
        place = f"{_fine(abs(beyond))} {'outside' if beyond > 0 else 'inside'}"
        start = (
            f"The mean rebound, {height}, is "
            f"{'on' if abs(beyond) < SHOWN else place} the "
            f"{'lower' if side == 'low' else 'upper'} limit, and its uncertainty, "
            f"± {_fine(half)}, reaches over it"
        )
    if n is None:
        return f"{start}."
    if n < 2:
        return f"{start}; drop the ball several times."
    more = more_drops(mean, u, nu, limits, n)
    if more is None:
        return f"{start}; more drops alone will hardly settle it."
    drops = "1 more drop" if more == 1 else f"{more} more drops"
    return f"{start}; {drops} may settle it."


def _fine(metres: float) -> str:
    return show_length(metres, digits=1 if metres >= 0.01 else 2)


def circumstances(
    limits: BounceRange,
    *,
    floor: str | None = None,
    temperature: float | None = None,
) -> tuple[str, ...]:
    """Say where the drops were not made as a range's rule asks.

    Parameters
    ----------
    limits : BounceRange
        The range.
    floor : str, optional
        What the ball fell on; empty if nobody wrote it down.
    temperature : float, optional
        In °C; NaN if nobody measured it.

    Returns
    -------
    tuple of str
        Whole sentences. What is left out is not spoken of.

    Examples
    --------
    >>> from bouncelab.catalogue import find_range
    >>> circumstances(find_range("croquet-ca-championship"), floor="gym, wood")
    ('The rule drops on: steel plate, 1 in, set in concrete; this ball fell on: gym, \
wood.',)
    """
    said = []
    if not limits.points_named:
        said.append(
            "The source does not name the point of the ball; the "
            f"{limits.drop_point} is taken."
        )
    if floor is not None:
        asked = [each for each in _MATERIALS if each in limits.floor.casefold()]
        # A plate set in something is asked for by its first material.
        asked.sort(key=limits.floor.casefold().index)
        if asked and not floor.strip():
            said.append(f"The rule drops on: {limits.floor}; no floor is written down.")
        elif asked and asked[0] not in floor.casefold():
            fell = floor.strip()
            said.append(
                f"The rule drops on: {limits.floor}; this ball fell on: {fell}."
            )
    low, high = limits.temperature_min_c, limits.temperature_max_c
    if temperature is not None and limits.temperatures:
        slack = ABOUT if low == high else 0.0
        if isnan(temperature):
            said.append(f"The rule asks for {limits.temperatures}; nobody measured it.")
        elif (low is not None and temperature < low - slack) or (
            high is not None and temperature > high + slack
        ):
            said.append(
                f"The rule asks for {limits.temperatures}; these drops were made at "
                f"{show_temperature(temperature)}."
            )
    return tuple(said)
