"""An inflated and a solid ball in contact with the floor: curves in time."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np
from matplotlib.figure import Figure
from numpy.typing import NDArray

from bouncelab.figures.picture import COLOURS, Picture
from bouncelab.figures.pumping import inflated_balls
from bouncelab.kinds import Ball
from bouncelab.physics.fall import impact_speed
from bouncelab.physics.hertz import effective_modulus, hertz_stiffness
from bouncelab.physics.impact_shell import ShellImpact, shell_impact
from bouncelab.physics.impact_solid import SolidImpact, solid_impact

__all__ = ["COVERS", "HEIGHTS", "PRESSURE_STEP", "SOLIDS", "Contact", "Solid"]
__all__ += ["draw_contact", "meet_floor"]

Array = NDArray[np.float64]

HEIGHTS = tuple(0.25 * step for step in range(1, 9))  # m, all worked out together
PRESSURE_STEP = 5e3  # Pa
_FRAMES = 121
_AROUND = 0.15  # of the contact, shown before and after it
COVERS = {"none": 0.0, "lively": 2500.0, "dull": 10000.0}  # loss constant, Pa s/m


@dataclass(frozen=True, slots=True)
class Solid:
    """A solid ball; moduli of ball and floor in Pa, the loss in s/m."""

    name: str
    mass: float
    diameter: float
    moduli: tuple[float, float]
    ratios: tuple[float, float]
    loss: float


# Moduli of glass, concrete: OpenStax, University Physics 1, 12.3. Of soft rubber,
# Poisson's ratios and losses: from memory; another ball has others.
_CONCRETE, _GLASS, _RUBBER = 20e9, 60e9, 5e6
SOLIDS = {
    "rubber": Solid(
        "rubber ball", 0.050, 0.045, (_RUBBER, _CONCRETE), (0.5, 0.2), 0.03
    ),
    "marble": Solid(
        "glass marble", 0.0054, 0.016, (_GLASS, _CONCRETE), (0.22, 0.2), 0.05
    ),
}


@dataclass(frozen=True, slots=True)
class Contact:
    """Both balls on one clock; one value for each frame.

    Attributes
    ----------
    ball : Ball
        The inflated one.
    solid : Solid
        The other one.
    gauge_pressure, speed : float
        Before the contact, in Pa and m/s.
    stopped_at_mark : bool
        Whether a higher pressure than the marked maximum was asked for.
    contact_times, restitutions, peak_forces : tuple of float
        Of the inflated and the solid ball, in s, 1 and N.
    time : ndarray
        Since first contact, in s.
    dent, solid_dent, height, solid_height : ndarray
        How far each is pressed in, and its lowest point's height, in m. What is
        still pressed in when the force is gone stays so: the model ends there.
    force, solid_force, pressure, warming : ndarray
        In N, gauge in Pa, and in K.
    motion, in_air, lost : ndarray
        Energy of the inflated ball, in J.
    """

    ball: Ball
    solid: Solid
    gauge_pressure: float
    speed: float
    stopped_at_mark: bool
    contact_times: tuple[float, float]
    restitutions: tuple[float, float]
    peak_forces: tuple[float, float]
    time: Array
    dent: Array
    solid_dent: Array
    height: Array
    solid_height: Array
    force: Array
    solid_force: Array
    pressure: Array
    warming: Array
    motion: Array
    in_air: Array
    lost: Array


def _marks(ball: Ball) -> Array:
    """Give the gauge pressures that are worked out for a ball, in Pa."""
    most = float(ball.max_gauge_pressure_pa or 0.0)
    return np.append(np.arange(PRESSURE_STEP, most, PRESSURE_STEP), most)


@lru_cache(maxsize=8)
def _all_of(ball: Ball, cover: str) -> ShellImpact:
    """Follow a ball from every pressure and height at once: as quick as from one."""
    speeds = impact_speed(drop_height=np.array(HEIGHTS))
    pressures = _marks(ball)
    return shell_impact(
        mass=ball.mass_kg,
        diameter=ball.diameter_m,
        gauge_pressure=np.repeat(pressures, len(HEIGHTS)),
        impact_speed=np.tile(speeds, len(pressures)),
        loss_constant=COVERS[cover],
        flattening=cover != "none",
    )


@lru_cache(maxsize=4)
def _all_of_solid(name: str) -> SolidImpact:
    solid = SOLIDS[name]
    return solid_impact(
        mass=solid.mass,
        impact_speed=impact_speed(drop_height=np.array(HEIGHTS)),
        stiffness=hertz_stiffness(
            radius=solid.diameter / 2,
            effective_modulus=effective_modulus(
                youngs_moduli=solid.moduli, poisson_ratios=solid.ratios
            ),
        ),
        loss=solid.loss,
    )


def meet_floor(values: Mapping[str, Any]) -> Contact:
    """Follow an inflated and a solid ball through their contact with the floor.

    Parameters
    ----------
    values : mapping
        ``ball``, an id; ``gauge`` in kPa, in steps of 5; ``height``, the drop
        height in cm, in steps of 25; ``cover`` is one of `COVERS` and ``solid`` of
        `SOLIDS`.

    Returns
    -------
    Contact
        From a little before to a little after the inflated ball's contact.

    Examples
    --------
    >>> both = meet_floor(
    ...     {
    ...         "ball": "basketball-7",
    ...         "gauge": 55,
    ...         "height": 175,
    ...         "cover": "lively",
    ...         "solid": "rubber",
    ...     }
    ... )
    >>> [round(1e3 * t) for t in both.contact_times]
    [12, 2]
    """
    ball = next(each for each in inflated_balls() if each.id == values["ball"])
    asked = 1e3 * float(values["gauge"])
    marks = _marks(ball)
    row = int(np.argmin(np.abs(marks - min(asked, marks[-1]))))
    column = int(np.argmin(np.abs(np.array(HEIGHTS) - float(values["height"]) / 100)))
    shell = _all_of(ball, values["cover"])
    hard = _all_of_solid(values["solid"])
    one = row * len(HEIGHTS) + column
    curves, other = shell.curves, hard.curves
    assert curves is not None
    assert other is not None
    speed = float(impact_speed(drop_height=HEIGHTS[column]))
    ends = (float(shell.contact_time[one]), float(hard.contact_time[column]))
    bounces = (float(shell.restitution[one]), float(hard.restitution[column]))
    time = np.linspace(-_AROUND, 1 + _AROUND, _FRAMES) * ends[0]
    # The numbers that are shown are those at both ends and at the peaks themselves.
    hardest = curves.time[np.argmax(curves.force[:, one]), one]
    deepest = curves.time[np.argmax(curves.compression[:, one]), one]
    for moment in (0.0, float(hardest), float(deepest), ends[0]):
        time[np.argmin(np.abs(time - moment))] = moment
    after = time > ends[0]

    def at(name: str) -> Array:
        found: Array = np.interp(
            time, curves.time[:, one], getattr(curves, name)[:, one]
        )
        return found

    def at_solid(name: str) -> Array:
        found: Array = np.interp(
            time, other.time[:, column], getattr(other, name)[:, column]
        )
        return found

    def flown(end: float, e: float) -> Array:
        """Fly straight before and after; weight does little in a few thousandths."""
        risen = np.maximum(e * speed * (time - end), 0.0)
        return np.where(time < 0, -speed * time, risen)

    touching = (time >= 0) & ~after
    rests = time > ends[1]
    held = at("in_gas") + at("in_wall")
    gone = (
        shell.lost_in_cover[one]
        + shell.lost_to_flattening[one]
        + shell.left_in_vibration[one]
    )
    return Contact(
        ball=ball,
        solid=SOLIDS[values["solid"]],
        gauge_pressure=float(marks[row]),
        speed=speed,
        stopped_at_mark=asked > marks[-1],
        contact_times=ends,
        restitutions=bounces,
        peak_forces=(float(shell.peak_force[one]), float(hard.peak_force[column])),
        time=time,
        dent=np.maximum(at("compression"), 0.0),
        solid_dent=np.maximum(at_solid("compression"), 0.0),
        height=flown(ends[0], bounces[0]),
        solid_height=flown(ends[1], bounces[1]),
        force=np.where(touching, at("force"), 0.0),
        solid_force=np.where((time >= 0) & ~rests, at_solid("force"), 0.0),
        pressure=np.where(after, marks[row], at("gauge_pressure")),
        warming=np.where(after, 0.0, at("warming")),
        motion=np.where(after, shell.rebound_energy[one], at("kinetic")),
        in_air=np.where(after, 0.0, held),
        # What air and cover still hold when the force is gone ends as shaking.
        lost=np.where(after, gone, at("lost_in_cover") + at("lost_to_flattening")),
    )


def draw_contact(values: Mapping[str, Any]) -> Picture:
    """Draw the force of the floor on both balls against time.

    Parameters
    ----------
    values : mapping
        As for `meet_floor`.

    Returns
    -------
    Picture
        The area under each is the impulse.

    Examples
    --------
    >>> values = {"ball": "futsal", "gauge": 65, "height": 200, "solid": "rubber"}
    >>> draw_contact({**values, "cover": "dull"}).words.split(". ")[1]
    'futsal ball: up to 788 N within 10.2 ms'
    """
    both = meet_floor(values)
    shell, solid = both.contact_times
    figure = Figure(figsize=(6.4, 2.8))
    axes = figure.add_axes((0.11, 0.19, 0.6, 0.76))
    axes.plot(1e3 * both.time, both.force, color=COLOURS[0], lw=2, label=both.ball.name)
    hard = _all_of_solid(values["solid"]).curves
    assert hard is not None
    column = int(np.argmin(np.abs(np.array(HEIGHTS) - float(values["height"]) / 100)))
    axes.plot(
        1e3 * hard.time[:, column],
        hard.force[:, column],
        color=COLOURS[1],
        ls="--",
        lw=2,
        label=both.solid.name,
    )
    axes.set_xlabel("time since first contact (ms)")
    axes.set_ylabel("force of the floor (N)")
    axes.set_ylim(bottom=0)
    figure.legend(loc="center right", frameon=False)
    return Picture(
        figure,
        f"Force of the floor against time. {both.ball.name}: up to "
        f"{both.peak_forces[0]:.0f} N within {1e3 * shell:.1f} ms. {both.solid.name}: "
        f"up to {both.peak_forces[1]:.0f} N within {1e3 * solid:.2f} ms. The area "
        "under each line is the impulse.",
    )
