"""A ball from its drop to its last bounces: where it is, and where its energy is."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from bouncelab.kinds import Ball, balls
from bouncelab.physics.bounces import Train, bounce_train
from bouncelab.physics.energy import height_energy, motion_energy
from bouncelab.physics.fall import (
    drag_constant,
    effective_gravity,
    fall_height,
    impact_speed,
)
from bouncelab.physics.flight import (
    flight_time,
    height_in_flight,
    launch_speed,
    rise_time,
)
from bouncelab.physics.surroundings import air_density
from bouncelab.units import STANDARD_GRAVITY, read_length

__all__ = [
    "GRAVITIES",
    "MOST_BOUNCES",
    "BouncePath",
    "bounces_of",
    "follow_bounces",
    "named_ball",
]

Array = NDArray[np.float64]

MOST_BOUNCES = 12
GRAVITIES = {
    "none": STANDARD_GRAVITY,
    "moon": 1.62,  # m/s², at its surface; from memory
}
_FRAMES = 181
_LOW = 0.01  # m; bounces below it are too small to see
_PAUSE = 0.5  # s shown of a ball that stays where it fell


@dataclass(frozen=True, slots=True)
class BouncePath:
    """What a ball goes through; one value for each frame, unless said otherwise.

    Attributes
    ----------
    train : Train
        Its bounces.
    bounces : int
        How many of them are shown.
    times, heights, speeds : ndarray
        In s, m and m/s.
    passed : ndarray of int
        Impacts so far.
    start : float
        All energy, in J.
    of_height, of_motion, to_air, to_floor : ndarray
        Where it is, in J; `to_floor` is what the impacts took, into ball and
        floor. They add up to `start`.
    """

    train: Train
    bounces: int
    times: Array
    heights: Array
    speeds: Array
    passed: NDArray[np.intp]
    start: float
    of_height: Array
    of_motion: Array
    to_air: Array
    to_floor: Array


@lru_cache(maxsize=64)
def named_ball(name: str) -> Ball:
    """Give a kind of ball by its id, such as ``"futsal"``."""
    return next(ball for ball in balls() if ball.id == name)


@lru_cache(maxsize=64)
def _in_air(name: str) -> tuple[float, float]:
    """Give a ball's drag constant and effective gravity in air of 20 °C."""
    ball, density = named_ball(name), air_density(temperature_c=20.0)
    size = {"mass": ball.mass_kg, "diameter": ball.diameter_m, "air_density": density}
    k = drag_constant(drag_coefficient=ball.drag_coefficient, **size)
    return float(k), float(effective_gravity(**size))


def bounces_of(values: Mapping[str, Any]) -> Train:
    """Work out the bounces that a set of controls asks for.

    Parameters
    ----------
    values : mapping
        ``ball``, an id; ``height`` of the drop in cm; ``restitution``; ``air`` is
        ``air``, ``none``, or ``moon`` where there is none either.

    Returns
    -------
    Train
        Of `MOST_BOUNCES` bounces.

    Raises
    ------
    InputError
        If a value is outside its range.

    Examples
    --------
    >>> values = {"ball": "futsal", "height": 100, "restitution": 0.8, "air": "none"}
    >>> bounces_of(values).heights[:3].round(3)
    array([0.64 , 0.41 , 0.262])
    """
    asked = (values["ball"], values["height"], values["restitution"], values["air"])
    return _train(*asked)


@lru_cache(maxsize=256)  # the drawing and the plot beneath it ask for the same
def _train(name: str, height: float, restitution: float, air: str) -> Train:
    k, gravity = _in_air(name) if air == "air" else (0.0, GRAVITIES[air])
    return bounce_train(
        drop_height=read_length(f"{height:g}", unit="cm"),
        restitution=float(restitution),
        bounces=MOST_BOUNCES,
        drag_constant=k,
        gravity=gravity,
    )


def follow_bounces(values: Mapping[str, Any], most: int = MOST_BOUNCES) -> BouncePath:
    """Follow a dropped ball through the bounces that can be seen.

    Parameters
    ----------
    values : mapping
        As for `bounces_of`.
    most : int, optional
        How many bounces at most, from 1 to `MOST_BOUNCES`.

    Returns
    -------
    BouncePath
        Until it lands after a bounce below 1 cm, or after the last of the train.

    Raises
    ------
    InputError
        If a value is outside its range.

    Notes
    -----
    The energy of motion includes that of the air that moves along with the ball;
    with it, the energy of height is weight times height.

    Examples
    --------
    >>> values = {"ball": "futsal", "height": 100, "restitution": 0.5, "air": "none"}
    >>> path = follow_bounces(values)
    >>> path.bounces, round(float(path.to_floor[-1] / path.start), 4)
    (4, 0.9961)
    """
    train = bounces_of(values)
    shown = min(int((train.heights >= _LOW).sum()) + 1, most)
    landing = train.path(points=2)[0][2 * shown + 1]
    if train.launch_speeds[0] == 0:
        landing += _PAUSE
    times = np.linspace(0.0, landing, _FRAMES)
    impacts = train.impact_times[:shown]
    passed = np.searchsorted(impacts, times, side="right")
    heights, speeds = _where(train, times, passed)
    air = {"gravity": train.gravity}
    mass = named_ball(values["ball"]).mass_kg
    if values["air"] == "air":
        # Weight is the same with and without air; what has to be moved is not.
        mass *= STANDARD_GRAVITY / train.gravity
    start = height_energy(mass=mass, height=train.drop_height, **air)
    each = motion_energy(mass=mass, speed=train.impact_speeds[:shown])
    each = each - motion_energy(mass=mass, speed=train.launch_speeds[:shown])
    to_floor = np.concatenate([[0.0], np.cumsum(each)])[passed]
    of_height = height_energy(mass=mass, height=heights, **air)
    of_motion = motion_energy(mass=mass, speed=speeds)
    return BouncePath(
        train=train,
        bounces=shown,
        times=times,
        heights=heights,
        speeds=speeds,
        passed=passed,
        start=start,
        of_height=of_height,
        of_motion=of_motion,
        to_air=np.maximum(start - of_height - of_motion - to_floor, 0.0),
        to_floor=to_floor,
    )


def _where(train: Train, times: Array, passed: NDArray[np.intp]) -> tuple[Array, Array]:
    """Give height and speed at each time."""
    air = {"drag_constant": train.drag_constant, "gravity": train.gravity}
    first = passed == 0
    bounce = np.maximum(passed, 1) - 1
    launch, top = train.launch_speeds[bounce], train.heights[bounce]
    landed = flight_time(launch_speed=launch, **air)
    since = np.where(first, 0.0, np.minimum(times - train.impact_times[bounce], landed))
    fallen = np.asarray(fall_height(time=np.where(first, times, 0.0), **air))
    flown = np.asarray(height_in_flight(time=since, launch_speed=launch, **air))
    heights = np.where(first, train.drop_height - fallen, flown)
    # Below the top of its path by this much: as fast as a fall, or a rise, of it.
    below = np.maximum(np.where(first, fallen, top - flown), 0.0)
    rising = ~first & (since < rise_time(launch_speed=launch, **air))
    speeds = np.where(
        rising,
        launch_speed(rise_height=below, **air),
        impact_speed(drop_height=below, **air),
    )
    return np.maximum(heights, 0.0), speeds
