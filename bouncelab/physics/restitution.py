"""How much speed comes back? The coefficient of restitution of a dropped ball."""

from __future__ import annotations

from typing import Any

import numpy as np

from bouncelab.errors import InputError

__all__ = ["restitution_from_heights", "restitution_with_drag"]


def _plain(value: Any) -> Any:
    """Give values without their uncertainties, for checking."""
    array = np.asarray(value)
    if array.dtype != object:
        return array.astype(np.float64)
    from uncertainties import unumpy

    return np.asarray(unumpy.nominal_values(array), dtype=np.float64)


def _check_heights(drop_height: Any, rebound_height: Any) -> None:
    drop, rebound = _plain(drop_height), _plain(rebound_height)
    try:
        drop, rebound = np.broadcast_arrays(drop, rebound)
    except ValueError as error:
        raise InputError(
            what="heights",
            read=f"{drop.size} drop heights and {rebound.size} rebound heights",
            allowed="as many of one as of the other",
            do="Give one rebound height for each drop height.",
        ) from error
    # Written as "not (good)" so that NaN is refused too.
    bad = ~((drop > 0) & np.isfinite(drop))
    if bad.any():
        raise InputError(
            what="drop height",
            read=f"{drop[bad].flat[0]:g} m",
            allowed="above 0 m",
            do="Measure up from the floor to the bottom of the ball.",
        )
    bad = ~((rebound >= 0) & (rebound <= drop))
    if bad.any():
        raise InputError(
            what="rebound height",
            read=f"{rebound[bad].flat[0]:g} m",
            allowed=f"0 m up to the drop height of {drop[bad].flat[0]:g} m",
            do="Read the same point of the ball both times.",
        )


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
    _check_heights(drop_height, rebound_height)
    first, second = _arithmetic(drop_height), _arithmetic(rebound_height)
    return _given((second / first) ** 0.5)


def restitution_with_drag(
    *, drop_height: Any, rebound_height: Any, drag_constant: Any
) -> Any:
    r"""Give the coefficient of restitution corrected for air drag.

    Parameters
    ----------
    drop_height, rebound_height : float or array_like, shape (N,)
        Heights of the lowest point of the ball, in m.
    drag_constant : float or array_like, shape (N,)
        :math:`k` of `bouncelab.physics.fall.drag_constant`, in 1/m, not below 0.

    Returns
    -------
    float or ndarray, shape (N,)
        Speed just after over speed just before the impact. It is not below the
        plain one, and is above 1 where the air alone cannot explain the rise.

    Raises
    ------
    InputError
        As `restitution_from_heights`, or if a drag constant is below zero.

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
    _check_heights(drop_height, rebound_height)
    k = _plain(drag_constant)
    bad = ~((k >= 0) & np.isfinite(k))
    if bad.any():
        raise InputError(
            what="drag constant",
            read=f"{k[bad].flat[0]:g} 1/m",
            allowed="0 1/m or more",
            do="Work it out from mass, diameter and air density.",
        )
    first, second = _plain(drop_height), _plain(rebound_height)
    risen, fallen = 2 * k * second, -2 * k * first
    small = k < 1e-300
    safe = np.where(small, 1.0, fallen)
    ratio = np.where(
        small,
        second / first,
        np.expm1(np.where(small, 0.0, risen)) / -np.expm1(safe),
    )
    return _given(np.sqrt(ratio))


def _arithmetic(value: Any) -> Any:
    return np.asarray(value) if isinstance(value, (list, tuple)) else value


def _given(value: Any) -> Any:
    """Give a plain float for a single number."""
    if isinstance(value, np.ndarray) and value.ndim == 0:
        return value.item()
    return float(value) if isinstance(value, np.floating) else value
