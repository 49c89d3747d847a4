"""A ball leaves the floor, rises, falls and lands: speeds, heights and times."""

from __future__ import annotations

from typing import Any

import numpy as np

from bouncelab.errors import InputError
from bouncelab.physics.numbers import (
    checked,
    checked_drag,
    fitting,
    given,
    held,
    nominal,
)
from bouncelab.physics.smooth import (
    arctan_of_root,
    arsinh_of_root,
    exp_less_one,
    log_of_cosh,
    log_one_more,
    sine,
)
from bouncelab.units import STANDARD_GRAVITY

__all__ = [
    "flight_speed",
    "flight_time",
    "height_in_flight",
    "landing_speed",
    "launch_speed",
    "rise_height",
    "rise_time",
]

_LONGEST = 50.0  # flight in units of 1/√(k g); beyond it floats overflow
_STEPS = 60  # Newton needs 5 as a rule


def _up(speed: Any, drag_constant: Any, gravity: Any) -> tuple[Any, Any, Any, Any]:
    """Give speed, drag constant, gravity and the speed over terminal speed, squared."""
    v = checked("launch speed", speed, "m/s", least=0)
    k = checked_drag(drag_constant, 0.0)
    g = checked("gravity", gravity, "m/s²", above=0)
    fitting(launch_speed=v, drag_constant=k, gravity=g)
    return v, k, g, k * v**2 / g


@held
def rise_height(
    *, launch_speed: Any, drag_constant: Any = 0.0, gravity: Any = STANDARD_GRAVITY
) -> Any:
    r"""Give how high a ball rises.

    Parameters
    ----------
    launch_speed : float, UFloat or array_like
        Upward, in m/s, not below 0.
    drag_constant : float, UFloat or array_like, optional
        In 1/m; 0 leaves out the drag.
    gravity : float, UFloat or array_like, optional
        In m/s².

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
    :math:`h = \ln(1 + v^2/v_t^2)/(2k) \to v^2/(2g)`.

    Examples
    --------
    >>> round(rise_height(launch_speed=4.0, gravity=10.0), 3)
    0.8
    """
    v, _, g, share = _up(launch_speed, drag_constant, gravity)
    return given(v**2 / (2 * g) * log_one_more(share))


@held
def launch_speed(
    *, rise_height: Any, drag_constant: Any = 0.0, gravity: Any = STANDARD_GRAVITY
) -> Any:
    r"""Give the speed with which a ball must leave the floor to reach a height.

    Parameters
    ----------
    rise_height : float, UFloat or array_like
        In m, not below 0.
    drag_constant : float, UFloat or array_like, optional
        In 1/m; 0 leaves out the drag.
    gravity : float, UFloat or array_like, optional
        In m/s².

    Returns
    -------
    float, UFloat or ndarray
        In m/s.

    Raises
    ------
    InputError
        If a value is out of its range or the shapes do not fit.

    Notes
    -----
    `rise_height` turned round: :math:`v = v_t\sqrt{e^{2kh} - 1} \to \sqrt{2gh}`.

    Examples
    --------
    >>> round(launch_speed(rise_height=0.8, gravity=10.0), 3)
    4.0
    """
    h = checked("rise height", rise_height, "m", least=0)
    k = checked_drag(drag_constant, h)
    g = checked("gravity", gravity, "m/s²", above=0)
    fitting(rise_height=h, drag_constant=k, gravity=g)
    return given((2 * g * h * exp_less_one(2 * k * h)) ** 0.5)


@held
def rise_time(
    *, launch_speed: Any, drag_constant: Any = 0.0, gravity: Any = STANDARD_GRAVITY
) -> Any:
    r"""Give how long a ball rises.

    Parameters
    ----------
    launch_speed : float, UFloat or array_like
        Upward, in m/s, not below 0.
    drag_constant : float, UFloat or array_like, optional
        In 1/m; 0 leaves out the drag.
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
    :math:`t = \arctan(v/v_t)/\sqrt{k g} \to v/g`.

    Examples
    --------
    >>> round(rise_time(launch_speed=4.0, gravity=10.0), 3)
    0.4
    """
    v, _, g, share = _up(launch_speed, drag_constant, gravity)
    return given(v / g * arctan_of_root(share))


@held
def flight_time(
    *, launch_speed: Any, drag_constant: Any = 0.0, gravity: Any = STANDARD_GRAVITY
) -> Any:
    r"""Give the time from leaving the floor to landing on it.

    Parameters
    ----------
    launch_speed : float, UFloat or array_like
        Upward, in m/s, not below 0.
    drag_constant : float, UFloat or array_like, optional
        In 1/m; 0 leaves out the drag.
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
    With :math:`u = v/v_t`,
    :math:`T = (v_t/g)(\arctan u + \mathrm{arsinh}\,u) \to 2v/g`.

    Examples
    --------
    >>> round(flight_time(launch_speed=4.0, gravity=10.0), 3)
    0.8
    """
    v, _, g, share = _up(launch_speed, drag_constant, gravity)
    return given(v / g * (arctan_of_root(share) + arsinh_of_root(share)))


@held
def landing_speed(
    *, launch_speed: Any, drag_constant: Any = 0.0, gravity: Any = STANDARD_GRAVITY
) -> Any:
    r"""Give the speed with which a ball lands where it was launched.

    Parameters
    ----------
    launch_speed : float, UFloat or array_like
        Upward, in m/s, not below 0.
    drag_constant : float, UFloat or array_like, optional
        In 1/m; 0 leaves out the drag.
    gravity : float, UFloat or array_like, optional
        In m/s².

    Returns
    -------
    float, UFloat or ndarray
        In m/s, downward.

    Raises
    ------
    InputError
        If a value is out of its range or the shapes do not fit.

    Notes
    -----
    :math:`v/\sqrt{1 + u^2}` with :math:`u = v/v_t`.

    Examples
    --------
    >>> landing_speed(launch_speed=4.0)
    4.0
    """
    v, _, _, share = _up(launch_speed, drag_constant, gravity)
    return given(v / (1 + share) ** 0.5)


@held
def flight_speed(
    *, interval: Any, drag_constant: Any = 0.0, gravity: Any = STANDARD_GRAVITY
) -> Any:
    r"""Give the launch speed of a flight from its time.

    Parameters
    ----------
    interval : float, UFloat or array_like
        Time from leaving the floor to landing, in s, not below 0.
    drag_constant : float, UFloat or array_like, optional
        In 1/m; 0 leaves out the drag.
    gravity : float, UFloat or array_like, optional
        In m/s².

    Returns
    -------
    float, UFloat or ndarray
        In m/s.

    Raises
    ------
    InputError
        If a value is out of its range, the shapes do not fit, or the interval
        is too long for any flight with so much drag.

    Notes
    -----
    `flight_time` turned round by Newton's method from :math:`u = T\sqrt{kg}/2`;
    since the time bends down with u, no step goes too far. A last step carries
    the uncertainties.

    Examples
    --------
    >>> round(flight_speed(interval=0.8, gravity=10.0), 3)
    4.0
    """
    t = checked("interval", interval, "s", least=0)
    k = checked_drag(drag_constant, 0.0)
    g = checked("gravity", gravity, "m/s²", above=0)
    shape = fitting(interval=t, drag_constant=k, gravity=g)
    half = k * g * t**2 / 4  # (T√(kg)/2)²
    checked(
        "interval times root of drag constant and gravity",
        2 * np.sqrt(nominal(half)),
        most=_LONGEST,
        do="Check the times, and the drag constant.",
    )

    def off(ratio: Any, half: Any) -> Any:
        share = half * ratio**2
        return ratio * (arctan_of_root(share) + arsinh_of_root(share)) / 2 - 1

    plain, ratio = nominal(half), np.ones(shape)  # launch speed over g T/2
    slope = np.ones(shape)
    for _ in range(_STEPS):
        share = plain * ratio**2
        slope = 0.5 / (1 + share) + 0.5 / np.sqrt(1 + share)
        step = off(ratio, plain) / slope
        ratio = ratio - step
        if np.all(np.abs(step) <= 1e-15 * ratio):
            break
    return given(g * t / 2 * (ratio - off(ratio, half) / slope))


@held
def height_in_flight(
    *,
    time: Any,
    launch_speed: Any,
    drag_constant: Any = 0.0,
    gravity: Any = STANDARD_GRAVITY,
) -> Any:
    r"""Give the height above the floor during a flight.

    Parameters
    ----------
    time : float or array_like
        Since leaving the floor, in s, from 0 to the landing.
    launch_speed : float or array_like
        Upward, in m/s, not below 0.
    drag_constant : float or array_like, optional
        In 1/m; 0 leaves out the drag.
    gravity : float or array_like, optional
        In m/s².

    Returns
    -------
    float or ndarray
        In m.

    Raises
    ------
    InputError
        If a value is out of its range, a time is after the landing, or the
        shapes do not fit.

    Notes
    -----
    Upward, with :math:`\tau = t\sqrt{k g}`:
    :math:`\ln(\cos\tau + u \sin\tau)/k`; downward from the top by
    :math:`\ln\cosh(\tau - \tau_{top})/k`. Both go over into
    :math:`v t - g t^2/2`.

    Examples
    --------
    >>> round(height_in_flight(time=0.2, launch_speed=4.0, gravity=10.0), 3)
    0.6
    """
    v, k, g, share = map(nominal, _up(launch_speed, drag_constant, gravity))
    t = nominal(checked("time", time, "s", least=0))
    fitting(time=t, launch_speed=share)
    top = v / g * arctan_of_root(share)
    last = top + v / g * arsinh_of_root(share)
    late = t > last * (1 + 1e-12)
    if late.any():
        raise InputError(
            what="time",
            read=f"{np.broadcast_to(t, late.shape)[late].flat[0]:g} s",
            allowed="from 0 s to the landing",
            do="Start the next flight there.",
        )
    up = np.minimum(t, top)
    turn = k * g * up**2
    # (cos τ + u sin τ - 1)/k, without the 1 that would swallow its digits.
    gain = v * up * sine(turn) - g * up**2 / 2 * sine(turn / 4) ** 2
    down = t - up
    height = gain * log_one_more(k * gain)
    height = height - g * down**2 / 2 * log_of_cosh(k * g * down**2)
    return given(np.maximum(height, 0.0))
