"""How high and how fast does a ball come back? From its restitution to its rebound."""

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
from bouncelab.physics.smooth import exp_less_one, log_one_more

__all__ = ["drop_height", "rebound_height", "rebound_speed"]


@held
def rebound_height(
    *, drop_height: Any, restitution: Any, drag_constant: Any = 0.0
) -> Any:
    r"""Give the height to which a dropped ball comes back.

    Parameters
    ----------
    drop_height : float, UFloat or array_like
        Height of the lowest point of the ball at release, in m.
    restitution : float, UFloat or array_like
        Coefficient of restitution, from 0 to 1.
    drag_constant : float, UFloat or array_like, optional
        In 1/m; 0 leaves out the air.

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
    .. math:: h_2 = \frac{\ln[1 + e^2 (1 - e^{-2 k h_1})]}{2 k} \to e^2 h_1

    Examples
    --------
    >>> round(rebound_height(drop_height=1.0, restitution=0.8), 3)
    0.64
    """
    first = checked("drop height", drop_height, "m", above=0)
    e = checked("coefficient of restitution", restitution, least=0, most=1)
    k = checked_drag(drag_constant, first)
    fitting(drop_height=first, restitution=e, drag_constant=k)
    speed = e**2 * first * exp_less_one(-2 * k * first)  # squared, over 2 g
    return given(speed * log_one_more(2 * k * speed))


@held
def drop_height(
    *, rebound_height: Any, restitution: Any, drag_constant: Any = 0.0
) -> Any:
    r"""Give the height to drop a ball from for a wanted rebound.

    Parameters
    ----------
    rebound_height : float, UFloat or array_like
        Height of the lowest point of the ball, in m.
    restitution : float, UFloat or array_like
        Coefficient of restitution, above 0 and up to 1.
    drag_constant : float, UFloat or array_like, optional
        In 1/m; 0 leaves out the air.

    Returns
    -------
    float, UFloat or ndarray
        In m.

    Raises
    ------
    InputError
        If a value is out of its range, the shapes do not fit, or the ball does
        not come back so high from any height, since its fall has a last speed.

    Notes
    -----
    `rebound_height` turned round:
    :math:`h_1 = -\ln[1 - (e^{2 k h_2} - 1)/e^2]/(2 k) \to h_2/e^2`.

    Examples
    --------
    >>> round(drop_height(rebound_height=0.64, restitution=0.8), 3)
    1.0
    """
    second = checked("rebound height", rebound_height, "m", least=0)
    e = checked("coefficient of restitution", restitution, above=0, most=1)
    k = checked_drag(drag_constant, second)
    fitting(rebound_height=second, restitution=e, drag_constant=k)
    speed = second * exp_less_one(2 * k * second) / e**2
    if np.any(nominal(2 * k * speed) >= 1):
        raise InputError(
            what="rebound height",
            read=f"{np.max(nominal(second)):g} m",
            allowed="a height that the ball reaches after a fall at its last speed",
            do="Ask for a lower rebound.",
        )
    return given(speed * log_one_more(-2 * k * speed))


@held
def rebound_speed(*, impact_speed: Any, restitution: Any) -> Any:
    r"""Give the speed of a ball just after an impact.

    Parameters
    ----------
    impact_speed : float, UFloat or array_like
        Just before the impact, in m/s.
    restitution : float, UFloat or array_like
        Coefficient of restitution, from 0 to 1.

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
    :math:`v' = e v`, the definition of :math:`e`.

    Examples
    --------
    >>> rebound_speed(impact_speed=4.0, restitution=0.75)
    3.0
    """
    v = checked("impact speed", impact_speed, "m/s", least=0)
    e = checked("coefficient of restitution", restitution, least=0, most=1)
    fitting(impact_speed=v, restitution=e)
    return given(e * v)
