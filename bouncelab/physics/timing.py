"""How well does a ball bounce? From the times at which it was heard to land."""

from __future__ import annotations

from dataclasses import dataclass
from math import asinh, atan, log1p, sqrt
from typing import Annotated, Any, TypeAlias

import numpy as np
from numpy.typing import NDArray

from bouncelab.errors import InputError
from bouncelab.physics.flight import flight_speed, flight_time, landing_speed
from bouncelab.physics.least_squares import Model, least_squares
from bouncelab.physics.numbers import checked, held, nominal
from bouncelab.physics.restitution import restitution_from_times
from bouncelab.physics.results import Result
from bouncelab.uncertainty import propagate
from bouncelab.units import STANDARD_GRAVITY

__all__ = ["ImpactTiming", "fit_impact_times"]

Numbers: TypeAlias = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class ImpactTiming(Result):
    """What the impact times of one train say.

    Attributes
    ----------
    restitution : float
        At the second impact, whose speed is known from the flight before it.
    slope : float
        How much e would fall from there to twice the speed; 0 if not fitted.
    first_impact, first_interval : float
        Time of the first impact and time to the second one, in s.
    covariance : ndarray, shape (P, P)
        Of first impact, first interval, restitution and, if fitted, slope.
    dof : int
        Times less parameters.
    residuals : ndarray, shape (n,)
        Times less fitted times, in s.
    time_uncertainty : float
        Standard uncertainty of a time, in s: the one given (root mean square, if
        each had its own), or from the residuals.
    impact_speed : float
        At the second impact, in m/s.
    drop_height, drop_height_u : float
        Height of release with its standard uncertainty, in m, if e follows the
        same line up to the first impact; NaN where there is none.
    """

    restitution: Annotated[Any, ""]
    slope: Annotated[Any, ""]
    first_impact: Annotated[Any, "s"]
    first_interval: Annotated[Any, "s"]
    covariance: Annotated[Any, ""]
    dof: int
    residuals: Annotated[Any, "s"]
    time_uncertainty: Annotated[Any, "s"]
    impact_speed: Annotated[Any, "m/s"]
    drop_height: Annotated[Any, "m"]
    drop_height_u: Annotated[Any, "m"]

    @property
    def restitution_u(self) -> float:
        """Standard uncertainty of the restitution."""
        return float(np.sqrt(self.covariance[2, 2]))

    @property
    def slope_u(self) -> float:
        """Standard uncertainty of the slope; 0 if it was not fitted."""
        slope = self.covariance.shape[0] == 4
        return float(np.sqrt(self.covariance[3, 3])) if slope else 0.0


@held
def fit_impact_times(
    impact_times: Any,
    *,
    time_uncertainty: Any = None,
    steady: bool = False,
    usual_slope: tuple[float, float] | None = None,
    drag_constant: float = 0.0,
    gravity: float = STANDARD_GRAVITY,
    contact_time: float = 0.0,
) -> ImpactTiming:
    r"""Fit the law of bounces to the times of the impacts of one train.

    Parameters
    ----------
    impact_times : array_like, shape (n,)
        Starts of impacts that follow each other without a gap, in s, from any
        zero.
    time_uncertainty : array_like, shape () or (n,), optional
        Standard uncertainty of one time or of each, in s; without it the residuals
        tell, and there must be one time more than parameters.
    steady : bool, optional
        One restitution for the whole train: three parameters in place of four.
    usual_slope : tuple of float, optional
        What is known of the slope beforehand, with its standard uncertainty: it
        counts as one value more, so that a short train can do without steady.
    drag_constant : float, optional
        In 1/m; 0 leaves out the drag.
    gravity : float, optional
        In m/s²; without drag it moves only the speed and the drop height.
    contact_time : float, optional
        How long the ball stays on the floor each time, in s. Leaving it out
        raises e by some thousandths for an inflated ball.

    Returns
    -------
    ImpactTiming
        Restitution, its slope with speed, their covariance, the drop height.

    Raises
    ------
    InputError
        If there are too few times, they do not increase, the flights do not
        shrink, a value is out of its range, or no law of bounces fits.

    Notes
    -----
    Unknown are the first impact, the first interval, and :math:`e_1, b` of

    .. math:: e_k = e_1 - b\,(v_k/v_1 - 1)

    with :math:`v_k` the speed at impact :math:`k` from 0. They minimise the
    squares of the errors of the *times* (Gauss and Newton), which no fair
    estimate can do better. For 8 impacts the ratio of the first two intervals is
    2 times noisier, and 9 times noisier than a steady fit. But one steady e for a
    long train comes out 0.01 to 0.03 too high, since slow bounces bounce better.

    References
    ----------
    .. [1] C. E. Aguiar and F. Laudares, *Am. J. Phys.* 71 (2003) 499, for
       restitution and gravity from the times of flights.

    Examples
    --------
    >>> from bouncelab.physics.bounces import bounce_train
    >>> train = bounce_train(drop_height=1.5, restitution=0.75, bounces=7)
    >>> found = fit_impact_times(train.impact_times)
    >>> round(found.restitution, 6), round(found.drop_height, 6)
    (0.75, 1.5)
    """
    times = nominal(checked("impact times", impact_times, "s"))
    sure = time_uncertainty is not None
    count = 3 if steady else 4
    known = usual_slope is not None and not steady
    needed = count - known if sure else count + 1
    if times.ndim != 1 or times.size < needed:
        raise InputError(
            what="impact times",
            read=f"{times.size} of them",
            allowed=f"{needed} or more, of one train",
            do="Let the ball bounce on, or fit one steady restitution.",
        )
    weights = np.ones(times.size)
    if sure:
        given = nominal(
            checked("uncertainty of a time", time_uncertainty, "s", above=0)
        )
        if given.shape not in ((), times.shape):
            raise InputError(
                what="uncertainty of a time",
                read=f"{given.size} of them for {times.size} times",
                allowed="one for all times, or one for each",
                do="Give as many uncertainties as times.",
            )
        weights = 1.0 / np.broadcast_to(given, times.shape)
    by_hand = restitution_from_times(times, contact_time=contact_time)
    law = _Law(
        times.size,
        float(checked("drag constant", drag_constant, "1/m", least=0, single=True)),
        float(checked("gravity", gravity, "m/s²", above=0, single=True)),
        float(checked("contact time", contact_time, "s", least=0, single=True)),
    )
    drag = {"drag_constant": law.drag_constant, "gravity": law.gravity}
    origin = times[0]
    launch = flight_speed(interval=times[1] - origin - law.contact_time, **drag)
    start = np.array([0.0, launch, min(by_hand, 0.999), 0.0])
    refusal = InputError(
        what="impact times",
        read=", ".join(f"{each:.3f} s" for each in times[:6]),
        allowed="times of one ball whose bounces shrink by one law",
        do="Check for a missed impact, a second ball or a wrong contact time.",
    )
    values, beforehand = weights * (times - origin), None
    if usual_slope is not None and not steady:
        usual, doubt = usual_slope
        checked("uncertainty of the usual slope", doubt, "", above=0, single=True)
        beforehand = usual_slope
        values = np.append(values, usual / doubt)
    try:
        fit = least_squares(law.weighted(weights, beforehand), values, start[:count])
    except InputError as error:
        raise refusal from error
    best = fit.parameters
    if not 0 < best[2] <= 1:
        raise refusal

    u = float(np.sqrt(np.mean(weights**-2.0))) if sure else fit.residual_sd
    spread = fit.unscaled if sure else u**2 * fit.unscaled
    # From launch speed to first interval, which is what a person can check.
    turn = np.eye(best.size)
    turn[1, 1] = law.flight(best[1])[1]
    height, height_u = _height(law, best, spread)
    return ImpactTiming(
        restitution=float(best[2]),
        slope=0.0 if steady else float(best[3]),
        first_impact=float(best[0] + origin),
        first_interval=law.contact_time + flight_time(launch_speed=best[1], **drag),
        covariance=turn @ spread @ turn.T,
        dof=fit.dof,
        residuals=fit.residuals[: times.size] / weights,
        time_uncertainty=u,
        impact_speed=landing_speed(launch_speed=best[1], **drag),
        drop_height=height,
        drop_height_u=height_u,
    )


@dataclass(frozen=True, slots=True)
class _Law:
    """Impact times and their slopes for given parameters."""

    size: int
    drag_constant: float
    gravity: float
    contact_time: float

    def flight(self, launch: float) -> tuple[float, float, float, float]:
        """Give time and landing speed of a flight, each with its slope."""
        g = self.gravity
        share = self.drag_constant * launch**2 / g
        u, more = sqrt(share), 1 + share
        factor = (atan(u) + asinh(u)) / u if u > 1e-8 else 2.0
        return (
            launch / g * factor,
            (1 / more + 1 / sqrt(more)) / g,
            launch / sqrt(more),
            more**-1.5,
        )

    def fallen(self, speed: float) -> float:
        """Give the height of a fall that ends with a speed; NaN if none does."""
        share = self.drag_constant * speed**2 / self.gravity
        if share >= 1:
            return float("nan")
        factor = -log1p(-share) / share if share > 1e-12 else 1.0
        return factor * speed**2 / (2 * self.gravity)

    def times(self, at: Numbers) -> tuple[Numbers, Numbers] | None:
        """Give the times, shape (n,), and slopes, (n, P); None where there are none."""
        first, launch, e1 = at[:3]
        b = at[3] if at.size == 4 else 0.0
        times, slopes = np.zeros(self.size), np.zeros((self.size, 4))
        times[0], slopes[0, 0] = first, 1.0
        d_launch = np.array([0.0, 1.0, 0.0, 0.0])
        speed_1, d_speed_1 = 1.0, d_launch
        for k in range(self.size - 1):
            if not 0 < launch < 1e3:
                return None
            flown, of_flown, speed, of_speed = self.flight(launch)
            times[k + 1] = times[k] + self.contact_time + flown
            slopes[k + 1] = slopes[k] + of_flown * d_launch
            d_speed = of_speed * d_launch
            if k == 0:
                speed_1, d_speed_1 = speed, d_speed
            ratio = speed / speed_1
            d_e = -b * (d_speed - ratio * d_speed_1) / speed_1
            d_e[2:] += 1.0, 1 - ratio
            e = e1 - b * (ratio - 1)
            launch, d_launch = e * speed, e * d_speed + speed * d_e
        return times, slopes[:, : at.size]

    def weighted(self, weights: Numbers, slope: tuple[float, float] | None) -> Model:
        """Give the law of times, and of a slope, in units of uncertainties."""

        def law(at: Numbers) -> tuple[Numbers, Numbers] | None:
            found = self.times(at)
            if found is None:
                return None
            values, slopes = weights * found[0], weights[:, None] * found[1]
            if slope is None:
                return values, slopes
            more = np.zeros(at.size)
            more[3] = 1 / slope[1]
            return np.append(values, at[3] / slope[1]), np.vstack([slopes, more])

        return law


def _height(law: _Law, at: Numbers, spread: Numbers) -> tuple[float, float]:
    """Give the height of release and its standard uncertainty; NaN if none fits."""

    def height(launch: float, e1: float, b: float = 0.0) -> float:
        # e0 = e1 - b (v0/v1 - 1) and v0 = launch/e0: a quadratic for e0.
        half = (e1 + b) / 2
        root = half**2 - b * launch / law.flight(launch)[2]
        if root < 0:
            return float("nan")
        return law.fallen(launch / (half + sqrt(root)))

    try:
        found = propagate(height, at[1:], spread[1:, 1:])
    except InputError:  # the line does not reach up to the first impact
        return float("nan"), float("nan")
    return float(found.values[0]), float(found.standard[0])
