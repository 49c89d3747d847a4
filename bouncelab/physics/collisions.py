"""Two bodies meet on a line: momentum, impulse and energy before and after."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Any

import numpy as np

from bouncelab.physics.ledger import Ledger, ledger_of
from bouncelab.physics.momentum import centre_velocity, moving_bodies
from bouncelab.physics.numbers import applied, checked, fitting, given, held, nominal
from bouncelab.physics.results import Result

__all__ = ["EARTH_MASS", "Collision", "bounce_off_earth", "collide", "stick"]

EARTH_MASS = 5.9722e24  # kg: IAU nominal GM over CODATA 2018 G, from memory


@dataclass(frozen=True, slots=True)
class Collision(Result):
    """Bodies just before and just after they meet on a line.

    Attributes
    ----------
    masses, velocities_before, velocities_after : tuple
        One entry a body, in kg and m/s.
    restitution : float, UFloat or ndarray
        As it was given. With energy released the speed of parting is larger.
    impulse : float, UFloat or ndarray
        What the second body (of two) was given by the first, in N s.
    centre_velocity : float, UFloat or ndarray
        Of the centre of mass, in m/s; the same before and after.
    ledger : Ledger
        Momentum and energy.
    """

    masses: Annotated[Any, "kg"]
    velocities_before: Annotated[Any, "m/s"]
    velocities_after: Annotated[Any, "m/s"]
    restitution: Annotated[Any, ""]
    impulse: Annotated[Any, "N s"]
    centre_velocity: Annotated[Any, "m/s"]
    ledger: Ledger

    @property
    def seen_from_centre(self) -> tuple[tuple[Any, ...], tuple[Any, ...]]:
        """Give velocities before and after in the centre-of-mass frame, in m/s."""
        return (
            tuple(v - self.centre_velocity for v in self.velocities_before),
            tuple(v - self.centre_velocity for v in self.velocities_after),
        )


@held
def collide(
    *, masses: Any, velocities: Any, restitution: Any, energy_released: Any = 0.0
) -> Collision:
    r"""Give two bodies just after they meet on a line.

    Parameters
    ----------
    masses : pair of float, UFloat or array_like, shape (N,)
        In kg.
    velocities : pair of float, UFloat or array_like, shape (N,)
        Along the line, in m/s, with their signs. Shapes broadcast.
    restitution : float, UFloat or array_like, shape (N,)
        Speed of parting over speed of meeting, no unit: 0 sticks, 1 is elastic.
        It is never above 1; what an explosion or a spring adds is said in
        `energy_released`.
    energy_released : float, UFloat or array_like, shape (N,), optional
        Energy that a spring or charge gives to the motion, in J. The first body
        is then the one behind if both move alike.

    Returns
    -------
    Collision
        Velocities after, impulse and ledger.

    Raises
    ------
    InputError
        If a mass is not above 0 kg, restitution is outside 0 to 1, the energy
        released is below 0 J, a value is not a number, or the shapes do not fit.

    Notes
    -----
    With :math:`\mu = m_1 m_2/(m_1+m_2)` and :math:`w = u_1 - u_2`,

    .. math::
        J = \mu (1 + e) w, \quad v_1 = u_1 - J/m_1, \quad v_2 = u_2 + J/m_2,
        \quad \Delta E = \tfrac12 \mu (1 - e^2) w^2

    With energy :math:`E` released the bodies part at
    :math:`\sqrt{e^2 w^2 + 2E/\mu}`. Nothing outside pushes meanwhile. Restitution
    is a property of the pair and its speed: a measured value holds near that speed.

    References
    ----------
    .. [1] I. Newton, *Philosophiae Naturalis Principia Mathematica* (1687),
       Scholium after Corollary VI of the Laws of Motion.
    .. [2] OpenStax, *College Physics 2e* (2022), 8.4 and 8.5.

    Examples
    --------
    >>> after = collide(masses=(0.5, 3.5), velocities=(4.0, 0.0), restitution=1.0)
    >>> after.velocities_after
    (-3.0, 1.0)
    """
    (m1, m2), (u1, u2) = moving_bodies(masses, velocities, 2)
    e = checked(
        "restitution",
        restitution,
        least=0,
        most=1,
        do="Say in energy_released what a spring or charge adds to the motion.",
    )
    energy = checked("energy released", energy_released, "J", least=0)
    fitting(m1=m1, m2=m2, u1=u1, u2=u2, restitution=e, energy_released=energy)
    total = m1 + m2
    reduced = m1 * (m2 / total)
    meeting = u1 - u2
    parting = e * meeting
    if np.any(nominal(energy) > 0):
        ahead = np.where(nominal(meeting) < 0, -1.0, 1.0)
        parting = ahead * applied("sqrt", parting**2 + 2 * energy / reduced)
    kick = meeting + parting
    v1, v2 = u1 - m2 / total * kick, u2 + m1 / total * kick
    return Collision(
        masses=(given(m1), given(m2)),
        velocities_before=(given(u1), given(u2)),
        velocities_after=(given(v1), given(v2)),
        restitution=given(e),
        impulse=given(reduced * kick),
        centre_velocity=centre_velocity(masses=(m1, m2), velocities=(u1, u2)),
        ledger=ledger_of(
            ([m1 * u1, m2 * u2], [m1 * v1, m2 * v2]),
            (
                [_kinetic(m1, u1), _kinetic(m2, u2)],
                [_kinetic(m1, v1), _kinetic(m2, v2)],
            ),
            0.5 * reduced * (1 - e**2) * meeting**2,
            energy,
        ),
    )


def _kinetic(mass: Any, velocity: Any) -> Any:
    return 0.5 * mass * velocity**2


@held
def stick(*, masses: Any, velocities: Any, plane: bool = False) -> Collision:
    r"""Give the bodies after a perfectly inelastic collision: they stay together.

    Parameters
    ----------
    masses : sequence of float, UFloat or array_like
        One a body, two bodies or more, in kg.
    velocities : sequence of float, UFloat or array_like
        One a body, in m/s.
    plane : bool, optional
        Whether each velocity is a vector, its two components on the last axis.

    Returns
    -------
    Collision
        Every velocity after is that of the centre of mass. The impulse is that
        on the last body. They are taken not to turn.

    Raises
    ------
    InputError
        As `collide`.

    Examples
    --------
    >>> caught = stick(masses=(0.150, 70.0), velocities=(35.0, 0.0))
    >>> round(caught.velocities_after[0], 4)
    0.0748
    """
    m, u = moving_bodies(masses, velocities)
    if plane:
        m = [each[..., np.newaxis] for each in m]
    together = centre_velocity(masses=m, velocities=u)
    lost = sum(_kinetic(a, b - together) for a, b in zip(m, u, strict=True))
    before = [_kinetic(a, b) for a, b in zip(m, u, strict=True)]
    after = [_kinetic(a, together) for a in m]
    if plane:
        lost = lost.sum(-1)
        before, after = ([k.sum(-1) for k in ks] for ks in (before, after))
    momenta = ([a * b for a, b in zip(m, u, strict=True)], [a * together for a in m])
    return Collision(
        masses=tuple(given(each[..., 0] if plane else each) for each in m),
        velocities_before=tuple(map(given, u)),
        velocities_after=(given(together),) * len(m),
        restitution=0.0,
        impulse=given(m[-1] * (together - u[-1])),
        centre_velocity=given(together),
        ledger=ledger_of(momenta, (before, after), lost),
    )


@held
def bounce_off_earth(
    *, mass: Any, impact_speed: Any, restitution: Any, other_mass: Any = EARTH_MASS
) -> Collision:
    r"""Give a ball and the Earth after a bounce: why the floor "does not move".

    Parameters
    ----------
    mass : float, UFloat or array_like
        Of the ball, in kg.
    impact_speed : float, UFloat or array_like
        Downwards, in m/s, not below 0.
    restitution : float, UFloat or array_like
        From 0 to 1.
    other_mass : float or array_like, optional
        Of what it bounces off, in kg: the Earth, if nothing else is said.

    Returns
    -------
    Collision
        Downwards counts as positive; the ball comes first, the Earth second.

    Raises
    ------
    InputError
        As `collide`, or if the speed is below 0 m/s.

    Notes
    -----
    The Earth takes up momentum :math:`m(1+e)v`, more than the ball brought, but at
    a speed of :math:`(1+e)v\,m/M`: below :math:`10^{-23}` m/s for any ball. Its
    kinetic energy is about :math:`(1+e)^2 m/M` of the ball's. So the ledger of
    momentum cannot do without the Earth, and that of energy can.

    Examples
    --------
    >>> bounce = bounce_off_earth(mass=0.62, impact_speed=6.0, restitution=0.8)
    >>> round(bounce.velocities_after[0], 6)
    -4.8
    >>> bounce.velocities_after[1] < 1e-23
    True
    """
    speed = checked("impact speed", impact_speed, "m/s", least=0)
    return collide(
        masses=(mass, other_mass), velocities=(speed, 0.0), restitution=restitution
    )
