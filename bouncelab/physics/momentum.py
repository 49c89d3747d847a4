"""What momentum alone says: the centre of mass, a missing velocity, a force."""

from __future__ import annotations

from typing import Any

import numpy as np

from bouncelab.errors import InputError
from bouncelab.physics.numbers import checked, fitting, given, held

__all__ = [
    "average_force",
    "bodies",
    "centre_velocity",
    "missing_velocity",
    "moving_bodies",
]


def bodies(
    what: str, values: Any, unit: str, *, count: int | None = None, **limits: Any
) -> list[Any]:
    """Give one value, or one column of values, for each body.

    Parameters
    ----------
    what : str
        The quantity's name, for the message.
    values : sequence of float, UFloat or array_like
        One entry a body.
    unit : str
        Its SI unit.
    count : int, optional
        How many bodies there must be; any number if left out.
    **limits : float
        As in `bouncelab.physics.numbers.checked`.

    Returns
    -------
    list
        The entries, ready for arithmetic.

    Raises
    ------
    InputError
        If it is no sequence, is too short or long, or an entry cannot be used.

    Examples
    --------
    >>> len(bodies("mass", (0.62, 0.057), "kg", above=0))
    2
    """
    one = not isinstance(values, (tuple, list)) and np.ndim(values) == 0
    if one or (count is not None and len(values) != count):
        raise InputError(
            f"{what} of each body",
            f"{values!r}" if one else f"{len(values)} of them",
            f"one {what} a body" + ("" if count is None else f", so {count}"),
            "Give them as a list, body by body.",
        )
    return [
        checked(f"{what} {at}", v, unit, **limits) for at, v in enumerate(values, 1)
    ]


def moving_bodies(
    masses: Any, velocities: Any, count: int | None = None
) -> tuple[list[Any], list[Any]]:
    """Give masses and velocities of bodies that can be reckoned with.

    Parameters
    ----------
    masses : sequence of float, UFloat or array_like
        One a body, in kg.
    velocities : sequence of float, UFloat or array_like
        One a body, in m/s.
    count : int, optional
        How many bodies there must be; two or more if left out.

    Returns
    -------
    tuple of list
        Masses and velocities.

    Raises
    ------
    InputError
        If a mass is not above 0 kg, a velocity is not a number, or there are too
        few or too many of them.

    Examples
    --------
    >>> masses, velocities = moving_bodies((0.5, 3.5), (4.0, 0.0))
    >>> [float(velocity) for velocity in velocities]
    [4.0, 0.0]
    """
    mass = bodies("mass", masses, "kg", above=0)
    velocity = bodies("velocity", velocities, "m/s")
    fits = len(mass) >= 2 if count is None else len(mass) == count
    if len(mass) != len(velocity) or not fits:
        raise InputError(
            "masses and velocities",
            f"{len(mass)} masses and {len(velocity)} velocities",
            f"one of each for {count or 'two or more'} bodies",
            "Give a mass and a velocity for every body.",
        )
    return mass, velocity


@held
def centre_velocity(*, masses: Any, velocities: Any) -> Any:
    """Give the velocity of the centre of mass.

    Parameters
    ----------
    masses : sequence of float, UFloat or array_like
        One a body, in kg.
    velocities : sequence of float, UFloat or array_like
        One a body, in m/s; each may be a number or a vector of components.

    Returns
    -------
    float, UFloat or ndarray
        In m/s. Taken off every velocity it gives the centre-of-mass frame, in
        which the total momentum is zero.

    Raises
    ------
    InputError
        If a mass is not above 0 kg or there are fewer than two bodies.

    Examples
    --------
    >>> centre_velocity(masses=(1.0, 3.0), velocities=(8.0, 0.0))
    2.0
    """
    mass, velocity = moving_bodies(masses, velocities)
    # Shares of the mass, so that equal velocities give that same velocity.
    total = sum(mass)
    return given(sum(m / total * v for m, v in zip(mass, velocity, strict=True)))


@held
def missing_velocity(*, masses: Any, before: Any, after: Any) -> Any:
    """Give the last body's velocity afterwards, from momentum alone.

    Parameters
    ----------
    masses : sequence of float, UFloat or array_like
        One a body, in kg.
    before : sequence of float, UFloat or array_like
        Velocity of every body before, in m/s; numbers, or vectors of components.
    after : sequence of float, UFloat or array_like
        Velocity of every body but the last, afterwards.

    Returns
    -------
    float, UFloat or ndarray
        In m/s. For a body that bursts, all pieces start with its velocity.

    Raises
    ------
    InputError
        If a mass is not above 0 kg, or `after` is not one shorter than `before`.

    Examples
    --------
    >>> missing_velocity(masses=(1200.0, 3000.0), before=(27.5, 0.0), after=(0.0,))
    11.0
    """
    m, u = moving_bodies(masses, before)
    known = bodies("velocity", after, "m/s")
    if len(known) != len(m) - 1:
        raise InputError(
            "velocities after",
            f"{len(known)} of them",
            f"{len(m) - 1}, one for every body but the last",
            "Leave out the body that is asked for.",
        )
    given_up = sum(a * (b - c) for a, b, c in zip(m, u, known, strict=False))
    return given(u[-1] + given_up / m[-1])


@held
def average_force(
    *, mass: Any, velocity_before: Any, velocity_after: Any, contact_time: Any
) -> Any:
    r"""Give the average force that changes a body's velocity.

    Parameters
    ----------
    mass : float, UFloat or array_like
        In kg.
    velocity_before, velocity_after : float, UFloat or array_like
        In m/s, with their signs.
    contact_time : float, UFloat or array_like
        How long the force acts, in s.

    Returns
    -------
    float, UFloat or ndarray
        The net force :math:`m \Delta v/t` in N, in the direction of the change;
        the floor's push is larger by the weight.

    Raises
    ------
    InputError
        If mass or time is not above zero.

    Examples
    --------
    >>> force = average_force(
    ...     mass=0.057, velocity_before=0.0, velocity_after=58.0, contact_time=0.005
    ... )
    >>> round(force, 1)
    661.2
    """
    m = checked("mass", mass, "kg", above=0)
    u = checked("velocity before", velocity_before, "m/s")
    v = checked("velocity after", velocity_after, "m/s")
    time = checked("contact time", contact_time, "s", above=0)
    fitting(mass=m, velocity_before=u, velocity_after=v, contact_time=time)
    return given(m * (v - u) / time)
