"""Two discs meet in the plane, with friction and spin."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Any

import numpy as np

from bouncelab.errors import InputError
from bouncelab.physics.ledger import Ledger, ledger_of
from bouncelab.physics.momentum import bodies
from bouncelab.physics.numbers import checked, fitting, given, held
from bouncelab.physics.results import Result

__all__ = ["SOLID_DISC", "DiscCollision", "Meeting", "collide_discs", "meet"]

SOLID_DISC = 0.5  # moment of inertia over m r²: uniform disc, any mechanics text


@dataclass(frozen=True, slots=True)
class DiscCollision(Result):
    """Two discs just after they meet.

    Attributes
    ----------
    velocities_after : pair of ndarray, shape (N, 2)
        In m/s.
    spins_after : pair of float or ndarray, shape (N,)
        Counter-clockwise, in rad/s.
    normal_impulse, tangential_impulse : float or ndarray, shape (N,)
        On the second disc, along the line of centres and a quarter turn
        counter-clockwise from it, in N s.
    slides : bool or ndarray, shape (N,)
        Whether friction was too weak to stop the surfaces sliding.
    lost_along, lost_across : float or ndarray, shape (N,)
        Energy lost to restitution below 1 and to friction, in J.
    angular_momentum_before, angular_momentum_after : float or ndarray, shape (N,)
        About the point of contact, spins and orbits, in kg m²/s.
    ledger : Ledger
        Momentum and energy, spin included.
    """

    velocities_after: Annotated[Any, "m/s"]
    spins_after: Annotated[Any, "rad/s"]
    normal_impulse: Annotated[Any, "N s"]
    tangential_impulse: Annotated[Any, "N s"]
    slides: Annotated[Any, ""]
    lost_along: Annotated[Any, "J"]
    lost_across: Annotated[Any, "J"]
    angular_momentum_before: Annotated[Any, "kg m2/s"]
    angular_momentum_after: Annotated[Any, "kg m2/s"]
    ledger: Ledger


@dataclass(frozen=True, slots=True)
class Meeting(Result):
    """When and where two discs meet.

    Attributes
    ----------
    time : float or ndarray, shape (N,)
        From now, in s; infinite if they miss each other.
    positions : pair of ndarray, shape (N, 2)
        Of the centres then, in m; not a number if they miss.
    line_of_centres : ndarray, shape (N, 2)
        From the first centre to the second, in m.
    """

    time: Annotated[Any, "s"]
    positions: Annotated[Any, "m"]
    line_of_centres: Annotated[Any, "m"]


def _vectors(what: str, values: Any, unit: str) -> Any:
    array = checked(what, values, unit)
    if array.ndim == 0 or array.shape[-1] != 2:
        raise InputError(
            what,
            f"shape {array.shape}",
            "two components on the last axis",
            "Give each as a pair, across and up.",
        )
    return array[..., 0], array[..., 1]


def _two(what: str, values: Any) -> Any:
    try:
        first, second = values
    except (TypeError, ValueError) as error:
        raise InputError(
            what, f"{values!r}", "one for each of two discs", "Give a pair."
        ) from error
    return first, second


def _fit(*named: tuple[str, Any, Any]) -> None:
    fitting(
        **{f"{name} {at}": v for name, *two in named for at, v in enumerate(two, 1)}
    )


def _joined(x: Any, y: Any) -> Any:
    return np.stack(np.broadcast_arrays(x, y), axis=-1)


@held
def collide_discs(
    *,
    masses: Any,
    radii: Any,
    velocities: Any,
    line_of_centres: Any,
    restitution: Any,
    spins: Any = (0.0, 0.0),
    friction: Any = 0.0,
    tangential_restitution: Any = 0.0,
    inertia_factors: Any = (SOLID_DISC, SOLID_DISC),
) -> DiscCollision:
    r"""Give two discs just after they meet, with friction between their rims.

    Parameters
    ----------
    masses, radii : pair of float or array_like, shape (N,)
        In kg and m, above 0.
    velocities : pair of array_like, shape (N, 2)
        Of the centres, in m/s.
    line_of_centres : array_like, shape (N, 2)
        From the first centre to the second, of any length.
    restitution : float or array_like, shape (N,)
        Along the line of centres, from 0 to 1.
    spins : pair of float or array_like, shape (N,), optional
        Counter-clockwise, in rad/s.
    friction : float or array_like, shape (N,), optional
        Coefficient of friction between the rims, not below 0.
    tangential_restitution : float or array_like, shape (N,), optional
        −1 to 1: 0 stops the sliding, 1 reverses it, if friction suffices.
    inertia_factors : pair of float or array_like, shape (N,), optional
        Moment of inertia over :math:`m r^2`: ½ for a uniform disc, 1 for a hoop.

    Returns
    -------
    DiscCollision
        Velocities, spins, impulses, ledger. Shapes broadcast to (N,).

    Raises
    ------
    InputError
        If a value is outside its range, shapes do not fit, the line of centres
        has no length, or the discs move apart along it.

    Notes
    -----
    Unit normal :math:`n`, tangent :math:`t` a quarter turn on;
    :math:`J_n = \mu(1+e)(v_1-v_2)\cdot n`. The rims slide at
    :math:`u_t = (v_1-v_2)\cdot t + \omega_1 r_1 + \omega_2 r_2`, and with
    :math:`1/m_t = 1/m_1 + 1/m_2 + 1/(\beta_1 m_1) + 1/(\beta_2 m_2)`

    .. math:: J_t = \mathrm{clip}\{m_t (1+e_t) u_t,\ \pm\mu_f J_n\}

    Coulomb friction with one coefficient, contact at a point, nothing pushes from
    outside meanwhile. A wall is a disc of very large mass.

    References
    ----------
    .. [1] W. J. Stronge, *Impact Mechanics* (2000), ch. 3 and 4, from memory.

    Examples
    --------
    >>> after = collide_discs(
    ...     masses=(0.2, 0.2),
    ...     radii=(0.05, 0.05),
    ...     velocities=([3.0, 0.0], [0.0, 0.0]),
    ...     line_of_centres=[1.0, 1.0],
    ...     restitution=1.0,
    ... )
    >>> [velocity.round(12).tolist() for velocity in after.velocities_after]
    [[1.5, -1.5], [1.5, 1.5]]
    """
    m1, m2 = bodies("mass", masses, "kg", count=2, above=0)
    r1, r2 = bodies("radius", radii, "m", count=2, above=0)
    s1, s2 = bodies("spin", spins, "rad/s", count=2)
    b1, b2 = bodies("inertia factor", inertia_factors, "", count=2, above=0)
    first, second = _two("velocities", velocities)
    x1, y1 = _vectors("velocity 1", first, "m/s")
    x2, y2 = _vectors("velocity 2", second, "m/s")
    nx, ny = _vectors("line of centres", line_of_centres, "m")
    e = checked("restitution", restitution, least=0, most=1)
    grip = checked("friction", friction, least=0)
    e_t = checked("tangential restitution", tangential_restitution, least=-1, most=1)
    _fit(
        ("mass", m1, m2), ("radius", r1, r2), ("spin", s1, s2),
        ("inertia factor", b1, b2), ("velocity", x1, x2),
        ("line of centres and restitution", nx, e), ("friction", grip, e_t),
    )  # fmt: skip
    length = np.hypot(nx, ny)
    checked("length of the line of centres", length, "m", above=0)
    nx, ny = nx / length, ny / length
    meeting = (x1 - x2) * nx + (y1 - y2) * ny
    checked(
        "speed of meeting along the line of centres",
        meeting,
        "m/s",
        least=0,
        do="Point it from the first disc to the second; they must be closing in.",
    )

    reduced = m1 * (m2 / (m1 + m2))
    along = reduced * (1 + e) * meeting
    sliding = (y1 - y2) * nx - (x1 - x2) * ny + s1 * r1 + s2 * r2
    give = (1 + 1 / b1) / m1 + (1 + 1 / b2) / m2
    wanted = (1 + e_t) * sliding / give
    most = grip * along
    across = np.clip(wanted, -most, most)
    jx, jy = along * nx - across * ny, along * ny + across * nx
    after1 = (x1 - jx / m1, y1 - jy / m1)
    after2 = (x2 + jx / m2, y2 + jy / m2)
    spin1 = s1 - across / (b1 * m1 * r1)
    spin2 = s2 - across / (b2 * m2 * r2)

    inertia1, inertia2 = b1 * m1 * r1**2, b2 * m2 * r2**2
    lost_along = 0.5 * reduced * (1 - e**2) * meeting**2
    lost_across = across * (sliding - 0.5 * give * across)

    def turning(vx1: Any, vy1: Any, w1: Any, vx2: Any, vy2: Any, w2: Any) -> Any:
        orbits = m2 * r2 * (nx * vy2 - ny * vx2) - m1 * r1 * (nx * vy1 - ny * vx1)
        return orbits + inertia1 * w1 + inertia2 * w2

    v1, v2 = _joined(*after1), _joined(*after2)
    u1, u2 = _joined(x1, y1), _joined(x2, y2)
    heavy1, heavy2 = np.asarray(m1)[..., np.newaxis], np.asarray(m2)[..., np.newaxis]
    before = [_energy(m1, x1, y1, inertia1, s1), _energy(m2, x2, y2, inertia2, s2)]
    energy1 = _energy(m1, *after1, inertia1, spin1)
    energy2 = _energy(m2, *after2, inertia2, spin2)
    ledger = ledger_of(
        ([heavy1 * u1, heavy2 * u2], [heavy1 * v1, heavy2 * v2]),
        (before, [energy1, energy2]),
        lost_along + lost_across,
    )
    return DiscCollision(
        velocities_after=(v1, v2),
        spins_after=(given(spin1), given(spin2)),
        normal_impulse=given(along),
        tangential_impulse=given(across),
        slides=given(np.abs(wanted) > most),
        lost_along=given(lost_along),
        lost_across=given(lost_across),
        angular_momentum_before=given(turning(x1, y1, s1, x2, y2, s2)),
        angular_momentum_after=given(turning(*after1, spin1, *after2, spin2)),
        ledger=ledger,
    )


def _energy(mass: Any, x: Any, y: Any, inertia: Any, spin: Any) -> Any:
    return 0.5 * (mass * (x**2 + y**2) + inertia * spin**2)


@held
def meet(*, positions: Any, radii: Any, velocities: Any) -> Meeting:
    r"""Give when and where two discs that move evenly first touch.

    Parameters
    ----------
    positions : pair of array_like, shape (N, 2)
        Of the centres now, in m.
    radii : pair of float or array_like, shape (N,)
        In m.
    velocities : pair of array_like, shape (N, 2)
        In m/s.

    Returns
    -------
    Meeting
        Time, positions then and line of centres, for `collide_discs`.

    Raises
    ------
    InputError
        If a value is no number, a radius is not above 0 m, or the discs overlap.

    Notes
    -----
    The earlier root of :math:`|d + w t| = r_1 + r_2`, in the form that loses no
    digits, with :math:`d` from one centre to the other and :math:`w` its change.

    Examples
    --------
    >>> meet(
    ...     positions=([0.0, 0.0], [1.0, 0.0]),
    ...     radii=(0.25, 0.25),
    ...     velocities=([2.0, 0.0], [0.0, 0.0]),
    ... ).time
    0.25
    """
    r1, r2 = bodies("radius", radii, "m", count=2, above=0)
    here, motion = _two("positions", positions), _two("velocities", velocities)
    px, py = zip(*(_vectors("position", each, "m") for each in here), strict=True)
    vx, vy = zip(*(_vectors("velocity", each, "m/s") for each in motion), strict=True)
    _fit(("radius", r1, r2), ("position", *px), ("velocity", *vx))
    dx, dy, wx, wy = px[1] - px[0], py[1] - py[0], vx[1] - vx[0], vy[1] - vy[0]
    reach = r1 + r2
    room = dx**2 + dy**2 - reach**2
    gap = np.hypot(dx, dy) - reach
    checked(
        "gap between the rims",
        # Discs set down just touching may overlap by rounding.
        np.where(gap > -1e-9 * reach, np.maximum(gap, 0.0), gap),
        "m",
        least=0,
        do="Set the discs further apart.",
    )
    speed = np.hypot(wx, wy)
    moving = np.where(speed > 0, speed, 1.0)
    # How far ahead they pass each other most closely, and how much they overlap then.
    ahead = -(dx * (wx / moving) + dy * (wy / moving))
    root = ahead**2 - room
    hits = (speed > 0) & (ahead > 0) & (root >= 0)
    below = np.where(hits, ahead + np.sqrt(np.where(hits, root, 0.0)), 1.0)
    time = np.where(hits, np.maximum(room, 0.0) / below / moving, np.inf)
    then = np.where(hits, time, np.nan)
    there = [_joined(px[k] + vx[k] * then, py[k] + vy[k] * then) for k in (0, 1)]
    return Meeting(given(time), tuple(there), there[1] - there[0])
