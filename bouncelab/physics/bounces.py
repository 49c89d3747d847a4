"""A ball that bounces again and again: when, how fast and how high, to the end."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Annotated, Any, TypeAlias

import numpy as np
from numpy.typing import NDArray

from bouncelab.errors import InputError
from bouncelab.physics.fall import fall_height, fall_time, impact_speed
from bouncelab.physics.flight import (
    flight_time,
    height_in_flight,
    landing_speed,
    rise_height,
)
from bouncelab.physics.numbers import checked, fitting, given, held, nominal
from bouncelab.physics.results import Result
from bouncelab.units import STANDARD_GRAVITY

__all__ = [
    "Train",
    "bounce_train",
    "restitution_by_speed",
    "total_path",
    "total_time",
]

Numbers: TypeAlias = NDArray[np.float64]

_MOST_BOUNCES = 10_000


@dataclass(frozen=True, slots=True)
class Train(Result):
    """The bounces of one drop; the last axis of each array counts the n impacts.

    Attributes
    ----------
    impact_times : ndarray, shape (..., n)
        Since the release, in s.
    impact_speeds, launch_speeds : ndarray, shape (..., n)
        Just before and just after each impact, in m/s.
    restitutions : ndarray, shape (..., n)
        Coefficient of restitution of each impact.
    heights : ndarray, shape (..., n)
        How high the ball rises after each impact, in m.
    drop_height, drag_constant, gravity, contact_time : float or ndarray
        What was asked for; in m, 1/m, m/s² and s.
    """

    impact_times: Annotated[Any, "s"]
    impact_speeds: Annotated[Any, "m/s"]
    launch_speeds: Annotated[Any, "m/s"]
    restitutions: Annotated[Any, ""]
    heights: Annotated[Any, "m"]
    drop_height: Annotated[Any, "m"]
    drag_constant: Annotated[Any, "1/m"]
    gravity: Annotated[Any, "m/s²"]
    contact_time: Annotated[Any, "s"]

    def path(self, points: int = 40) -> tuple[Numbers, Numbers]:
        """Give times and heights of the lowest point, for drawing.

        Parameters
        ----------
        points : int, optional
            For the first fall, and for each flight after it; 2 or more.

        Returns
        -------
        times : ndarray, shape (points × (n + 1),)
            In s since the release.
        heights : ndarray, shape (points × (n + 1),)
            In m. The line ends as the ball lands after the last impact of the
            train.

        Raises
        ------
        InputError
            If this is more than one train, or there are fewer than 2 points.

        Examples
        --------
        >>> train = bounce_train(drop_height=1.0, restitution=0.5, bounces=2)
        >>> times, heights = train.path(points=3)
        >>> heights.round(2)
        array([1.  , 0.75, 0.  , 0.  , 0.25, 0.  , 0.  , 0.06, 0.  ])
        """
        if np.ndim(self.impact_times) != 1 or points < 2:
            raise InputError(
                what="path of a train",
                read=f"shape {np.shape(self.impact_times)}, {points} points",
                allowed="one train, 2 points or more",
                do="Work out one train at a time.",
            )
        drag = {"drag_constant": self.drag_constant, "gravity": self.gravity}
        flown = flight_time(launch_speed=self.launch_speeds, **drag)
        share = np.linspace(0.0, 1.0, points)
        fallen = share * self.impact_times[0]
        inside = share * flown[:, None]  # since leaving the floor
        heights = height_in_flight(
            time=inside, launch_speed=self.launch_speeds[:, None], **drag
        )
        start = self.impact_times + self.contact_time
        first = self.drop_height - fall_height(time=fallen, **drag)
        first[-1] = 0.0
        return (
            np.concatenate([fallen, (start[:, None] + inside).ravel()]),
            np.concatenate([first, heights.ravel()]),
        )


def restitution_by_speed(
    *, restitution: float, slope: float, speed: float
) -> Callable[[Any], Any]:
    r"""Give a coefficient of restitution that falls as the impact gets faster.

    Parameters
    ----------
    restitution : float
        At the speed given, from 0 to 1.
    slope : float
        How much it would fall from there to twice the speed.
    speed : float
        In m/s, above 0.

    Returns
    -------
    callable
        A function of impact speeds in m/s, for `bounce_train`.

    Raises
    ------
    InputError
        If a value is out of its range.

    Notes
    -----
    :math:`e(v) = e_1 - b\,(v/v_1 - 1)`, kept between 0 and 1. A straight line
    is enough over the speeds of one train.

    Examples
    --------
    >>> e = restitution_by_speed(restitution=0.75, slope=0.05, speed=5.0)
    >>> round(float(e(2.5)), 3)
    0.775
    """
    e1 = float(_restitution(restitution, single=True))
    b = float(checked("slope", slope, single=True))
    v1 = float(checked("speed", speed, "m/s", above=0, single=True))
    return lambda speeds: np.clip(e1 - b * (np.asarray(speeds) / v1 - 1), 0.0, 1.0)


@held
def bounce_train(
    *,
    drop_height: Any,
    restitution: Any,
    bounces: Any,
    drag_constant: Any = 0.0,
    gravity: Any = STANDARD_GRAVITY,
    contact_time: Any = 0.0,
) -> Train:
    r"""Follow a dropped ball through its bounces.

    Parameters
    ----------
    drop_height : float or array_like, shape (...)
        Height of the lowest point at release, in m.
    restitution : float, array_like of shape (...), or callable
        Coefficient of restitution, from 0 to 1; or a function that gives it for
        an array of impact speeds in m/s.
    bounces : int
        How many impacts to follow, from 1 to 10 000.
    drag_constant : float or array_like, shape (...), optional
        In 1/m; 0 leaves out the drag.
    gravity : float or array_like, shape (...), optional
        In m/s².
    contact_time : float or array_like, shape (...), optional
        How long the ball stays on the floor each time, in s.

    Returns
    -------
    Train
        Times, speeds and heights. A dead ball stays where it is: all its later
        impacts come at once, with no speed.

    Raises
    ------
    InputError
        If a value is out of its range, a function gives a restitution outside 0
        to 1, or the shapes do not fit.

    Notes
    -----
    Each flight follows `bouncelab.physics.flight`. Without drag and with one e
    the n-th rebound is :math:`h_n = e^{2n} h_0`.

    Examples
    --------
    >>> train = bounce_train(drop_height=1.0, restitution=0.8, bounces=3)
    >>> train.heights.round(3)
    array([0.64 , 0.41 , 0.262])
    """
    if not (isinstance(bounces, (int, np.integer)) and 1 <= bounces <= _MOST_BOUNCES):
        raise InputError(
            what="number of bounces",
            read=f"{bounces}",
            allowed=f"a whole number from 1 to {_MOST_BOUNCES}",
            do="Count the impacts on the floor.",
        )
    steady = None if callable(restitution) else nominal(_restitution(restitution))
    height = nominal(checked("drop height", drop_height, "m", above=0))
    k = nominal(checked("drag constant", drag_constant, "1/m", least=0))
    g = nominal(checked("gravity", gravity, "m/s²", above=0))
    contact = nominal(checked("contact time", contact_time, "s", least=0))
    shape = fitting(
        drop_height=height,
        restitution=0.0 if steady is None else steady,
        drag_constant=k,
        gravity=g,
        contact_time=contact,
    )
    drag = {"drag_constant": k, "gravity": g}
    time = np.broadcast_to(fall_time(drop_height=height, **drag), shape)
    speed = np.broadcast_to(impact_speed(drop_height=height, **drag), shape)
    rows: list[tuple[Any, ...]] = []
    for _ in range(bounces):
        e = nominal(_restitution(restitution(speed))) if steady is None else steady
        launch = e * speed
        high = rise_height(launch_speed=launch, **drag)
        rows.append((time, speed, launch, np.broadcast_to(e, shape), high))
        time = time + np.where(launch > 0, contact, 0.0)
        time = time + flight_time(launch_speed=launch, **drag)
        speed = np.asarray(landing_speed(launch_speed=launch, **drag))
    times, impacts, launches, restitutions, heights = (
        np.stack(each, axis=-1) for each in zip(*rows, strict=True)
    )
    return Train(
        impact_times=times,
        impact_speeds=impacts,
        launch_speeds=launches,
        restitutions=restitutions,
        heights=heights,
        drop_height=given(height),
        drag_constant=given(k),
        gravity=given(g),
        contact_time=given(contact),
    )


def _restitution(value: Any, single: bool = False) -> Any:
    return checked("coefficient of restitution", value, least=0, most=1, single=single)


def _unending(restitution: Any) -> Any:
    return checked(
        "coefficient of restitution",
        restitution,
        least=0,
        below=1,
        do="With 1 the ball would never come to rest.",
    )


@held
def total_time(
    *, drop_height: Any, restitution: Any, gravity: Any = STANDARD_GRAVITY
) -> Any:
    r"""Give the time from release until a ball has stopped bouncing.

    Parameters
    ----------
    drop_height : float, UFloat or array_like
        Height of the lowest point at release, in m, not below 0.
    restitution : float, UFloat or array_like
        From 0 to below 1, the same for all impacts.
    gravity : float, UFloat or array_like, optional
        In m/s².

    Returns
    -------
    float, UFloat or ndarray
        In s.

    Raises
    ------
    InputError
        If a value is out of its range or the shapes do not fit.

    Notes
    -----
    :math:`\sqrt{2h/g}\,(1 + e)/(1 - e)`: infinitely many bounces in a finite
    time. No drag and no contact time.

    References
    ----------
    .. [1] J. B. Tatum, *Classical Mechanics*, section 5.2 (LibreTexts).

    Examples
    --------
    >>> round(total_time(drop_height=1.0, restitution=0.5, gravity=9.8), 2)
    1.36
    """
    h = checked("drop height", drop_height, "m", least=0)
    e = _unending(restitution)
    g = checked("gravity", gravity, "m/s²", above=0)
    fitting(drop_height=h, restitution=e, gravity=g)
    return given((2 * h / g) ** 0.5 * (1 + e) / (1 - e))


@held
def total_path(*, drop_height: Any, restitution: Any) -> Any:
    r"""Give the distance a ball travels, down and up, until it rests.

    Parameters
    ----------
    drop_height : float, UFloat or array_like
        Height of the lowest point at release, in m, not below 0.
    restitution : float, UFloat or array_like
        From 0 to below 1, the same for all impacts.

    Returns
    -------
    float, UFloat or ndarray
        In m.

    Raises
    ------
    InputError
        If a value is out of its range or the shapes do not fit.

    Notes
    -----
    :math:`h (1 + e^2)/(1 - e^2)`, without drag.

    Examples
    --------
    >>> round(total_path(drop_height=1.0, restitution=0.5), 3)
    1.667
    """
    h = checked("drop height", drop_height, "m", least=0)
    e = _unending(restitution)
    fitting(drop_height=h, restitution=e)
    return given(h * (1 + e**2) / (1 - e**2))
