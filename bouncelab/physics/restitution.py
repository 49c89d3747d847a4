"""How much speed comes back? The coefficient of restitution of a dropped ball."""

from __future__ import annotations

from typing import Any

import numpy as np

from bouncelab.errors import InputError
from bouncelab.physics.numbers import (
    blockwise,
    checked,
    checked_drag,
    fitting,
    given,
    held,
    nominal,
)
from bouncelab.physics.smooth import exp_less_one
from bouncelab.units import STANDARD_GRAVITY

__all__ = [
    "restitution_from_heights",
    "restitution_from_speeds",
    "restitution_from_times",
    "restitution_from_total_time",
    "restitution_with_drag",
]


def checked_heights(drop: Any, rebound: Any) -> tuple[Any, Any]:
    """Give drop and rebound heights that belong together, or say why they do not.

    Parameters
    ----------
    drop, rebound : float, UFloat or array_like
        In m.

    Returns
    -------
    tuple of ndarray
        Both, ready for arithmetic.

    Raises
    ------
    InputError
        As `restitution_from_heights`.

    Examples
    --------
    >>> checked_heights(1.0, 0.64)
    (array(1.), array(0.64))
    """
    first = checked(
        "drop height",
        drop,
        "m",
        above=0,
        do="Measure up from the floor to the bottom of the ball.",
    )
    second = checked("rebound height", rebound, "m", least=0)
    fitting(drop_heights=first, rebound_heights=second)
    at_most, found = np.broadcast_arrays(nominal(first), nominal(second))
    bad = found > at_most
    if bad.any():
        raise InputError(
            what="rebound height",
            read=f"{found[bad].flat[0]:g} m",
            allowed=f"0 m up to the drop height of {at_most[bad].flat[0]:g} m",
            do="Read the same point of the ball both times.",
        )
    return first, second


@held
def restitution_from_heights(*, drop_height: Any, rebound_height: Any) -> Any:
    r"""Give the coefficient of restitution of a dropped ball.

    Parameters
    ----------
    drop_height : float, UFloat or array_like, shape (N,)
        Height from which the lowest point of the ball falls from rest, in m.
    rebound_height : float, UFloat or array_like, shape (N,)
        Height to which the lowest point comes back, in m. Shapes broadcast.

    Returns
    -------
    float, UFloat or ndarray, shape (N,)
        Rebound speed over impact speed at the floor, from 0 to 1, no unit.

    Raises
    ------
    InputError
        If a drop height is not above zero, a rebound is below zero or above its
        drop, a value is not a number, or the shapes do not fit.

    Notes
    -----
    Each height gives a speed :math:`v = \sqrt{2 g h}`, so :math:`g` cancels:

    .. math:: e = \sqrt{h_2 / h_1}

    The air is left out, and the floor does not move.

    References
    ----------
    .. [1] OpenStax, *College Physics 2e* (2022), 8.5, take-home activity.

    Examples
    --------
    >>> restitution_from_heights(drop_height=1.00, rebound_height=0.64)
    0.8
    """
    first, second = checked_heights(drop_height, rebound_height)
    return given(blockwise(lambda h1, h2: (h2 / h1) ** 0.5, first, second))


@held
def restitution_with_drag(
    *, drop_height: Any, rebound_height: Any, drag_constant: Any
) -> Any:
    r"""Give the coefficient of restitution corrected for air drag.

    Parameters
    ----------
    drop_height, rebound_height : float, UFloat or array_like, shape (N,)
        Heights of the lowest point of the ball, in m.
    drag_constant : float, UFloat or array_like, shape (N,)
        :math:`k` of `bouncelab.physics.fall.drag_constant`, in 1/m, not below 0.

    Returns
    -------
    float, UFloat or ndarray, shape (N,)
        Speed just after over speed just before the impact. It is not below the
        plain one, and is above 1 where the air alone cannot explain the rise.

    Raises
    ------
    InputError
        As `restitution_from_heights`, or if a drag constant is below zero or,
        times the height, above 300.

    Notes
    -----
    With quadratic drag the ball arrives at
    :math:`v = v_t\sqrt{1 - e^{-2 k h_1}}` and rises
    :math:`h_2 = \ln(1 + v'^2/v_t^2)/(2k)`, so

    .. math:: e = \sqrt{\frac{e^{2 k h_2} - 1}{1 - e^{-2 k h_1}}}

    The terminal speed and :math:`g` cancel. Constant drag coefficient, still
    air, no spin. As :math:`k \to 0` it goes over into :math:`\sqrt{h_2/h_1}`.

    Examples
    --------
    >>> round(
    ...     restitution_with_drag(
    ...         drop_height=1.8, rebound_height=1.08, drag_constant=0.0219
    ...     ),
    ...     4,
    ... )
    0.7993
    """
    first, second = checked_heights(drop_height, rebound_height)
    k = checked_drag(drag_constant, first)
    fitting(rebound_height=second, drag_constant=k)

    def speeds(h1: Any, h2: Any, k: Any) -> Any:
        more = exp_less_one(2 * k * h2) / exp_less_one(-2 * k * h1)
        return (h2 / h1 * more) ** 0.5

    return given(blockwise(speeds, first, second, k))


@held
def restitution_from_speeds(*, impact_speed: Any, rebound_speed: Any) -> Any:
    r"""Give the coefficient of restitution from the speeds at the floor.

    Parameters
    ----------
    impact_speed, rebound_speed : float, UFloat or array_like, shape (N,)
        Speeds just before and just after the impact, in m/s, both as positive
        numbers.

    Returns
    -------
    float, UFloat or ndarray, shape (N,)
        From 0 to 1, no unit.

    Raises
    ------
    InputError
        If an impact speed is not above zero, a rebound speed is below zero or
        above its impact speed, or the shapes do not fit.

    Notes
    -----
    The definition: :math:`e = v'/v`.

    Examples
    --------
    >>> restitution_from_speeds(impact_speed=4.0, rebound_speed=3.0)
    0.75
    """
    before = checked("impact speed", impact_speed, "m/s", above=0)
    after = checked(
        "rebound speed", rebound_speed, "m/s", least=0, do="Write it without a sign."
    )
    fitting(impact_speed=before, rebound_speed=after)
    result = after / before
    checked(
        "rebound speed over impact speed",
        nominal(result),
        most=1,
        do="Check which speed is which.",
    )
    return given(result)


@held
def restitution_from_times(impact_times: Any, *, contact_time: Any = 0.0) -> Any:
    r"""Give the coefficient of restitution from the times of impacts, by hand.

    Parameters
    ----------
    impact_times : array_like, shape (..., n)
        Starts of n = 3 or more impacts on the floor that follow each other, in s.
    contact_time : float, UFloat or array_like, shape (...), optional
        How long the ball stays on the floor each time, in s.

    Returns
    -------
    float, UFloat or ndarray, shape (...)
        From 0 to 1, no unit.

    Raises
    ------
    InputError
        If there are fewer than three times, they do not increase, or a flight
        is not longer than the contact or than the flight before it.

    Notes
    -----
    With :math:`m = n - 2` flights compared with the :math:`m` before them,

    .. math:: e = \frac{t_{n-1} - t_1 - m t_c}{t_{n-2} - t_0 - m t_c}

    No drag, and one :math:`e` for all impacts; where it depends on speed, this
    is a mean that leans towards the fast ones.
    `bouncelab.physics.timing.fit_impact_times` does better.

    Examples
    --------
    >>> round(restitution_from_times([0.0, 1.0, 1.8, 2.44]), 3)
    0.8
    """
    times = checked("impact time", impact_times, "s")
    if times.ndim == 0 or times.shape[-1] < 3:
        raise InputError(
            what="impact times",
            read=f"{times.size} of them",
            allowed="3 or more",
            do="Let the ball bounce on.",
        )
    contact = checked("contact time", contact_time, "s", least=0)
    fitting(trains=times[..., 0], contact_time=contact)
    flights = times[..., 1:] - times[..., :-1] - contact[..., None]
    checked(
        "flight between two impacts",
        nominal(flights),
        "s",
        above=0,
        do="Write the times in order, each after the one before it.",
    )
    result = flights[..., 1:].sum(axis=-1) / flights[..., :-1].sum(axis=-1)
    checked(
        "later flights over earlier flights",
        nominal(result),
        most=1,
        do="Check that no impact was missed.",
    )
    return given(result)


@held
def restitution_from_total_time(
    *, drop_height: Any, total_time: Any, gravity: Any = STANDARD_GRAVITY
) -> Any:
    r"""Give the coefficient of restitution from the time until the ball rests.

    Parameters
    ----------
    drop_height : float, UFloat or array_like
        Height of the lowest point at release, in m.
    total_time : float, UFloat or array_like
        From release until the last bounce has died away, in s.
    gravity : float, UFloat or array_like, optional
        In m/s².

    Returns
    -------
    float, UFloat or ndarray
        From 0 to 1, no unit.

    Raises
    ------
    InputError
        If a value is not above zero or the time is shorter than the first fall.

    Notes
    -----
    The geometric series of all flights gives
    :math:`T = \sqrt{2h/g}\,(1 + e)/(1 - e)`, turned round here. No drag, no
    contact time, one :math:`e` for all impacts.

    Examples
    --------
    >>> fallen = (2 * 1.0 / 9.80665) ** 0.5
    >>> round(restitution_from_total_time(drop_height=1.0, total_time=3 * fallen), 12)
    0.5
    """
    height = checked("drop height", drop_height, "m", above=0)
    total = checked("total time", total_time, "s", above=0)
    g = checked("gravity", gravity, "m/s²", above=0)
    fitting(drop_height=height, total_time=total, gravity=g)
    falls = total / (2 * height / g) ** 0.5
    checked(
        "total time over time of the first fall",
        nominal(falls),
        least=1,
        do="Start the clock when the ball is let go.",
    )
    return given((falls - 1) / (falls + 1))
