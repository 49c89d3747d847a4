"""A sealed ball carried from a cold store into a warm hall: what its gauge shows."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from bouncelab.figures.pumping import inflated_balls
from bouncelab.figures.scene import (
    Reading,
    Scene,
    Shape,
    circle,
    label,
    line,
    rectangle,
)
from bouncelab.physics.ball_air import air_in_ball, ball_volume, sealed_pressure
from bouncelab.physics.gas import absolute_pressure
from bouncelab.units import STANDARD_ATMOSPHERE_PA, show_pressure

__all__ = ["store_and_hall_scene"]

_WALK, _FRAMES = 20, 61  # frames on the way, and in all
_WALL = 180.0
_GROUND = 150.0
_METRE = 400.0  # drawing units
_BAR, _FULL = 460.0, 250e3  # length of the pressure bar, for so many Pa
_COLD, _HOT = -10.0, 40.0  # °C, ends of the thermometer


def store_and_hall_scene(values: Mapping[str, Any]) -> Scene:
    """Show a ball that is carried from one room to another and takes its warmth.

    Parameters
    ----------
    values : mapping
        ``ball``, an id; ``gauge`` in kPa, read in the store; ``store`` and ``hall``
        in °C.

    Returns
    -------
    Scene
        The air inside from the store's temperature to the hall's.

    Examples
    --------
    >>> store_and_hall_scene(
    ...     {"ball": "basketball-7", "gauge": 50, "store": 5, "hall": 25}
    ... ).told
    'No air went in or out, and the gauge went from 50.0 kPa to 60.9 kPa.'
    """
    ball = next(each for each in inflated_balls() if each.id == values["ball"])
    before = 1e3 * float(values["gauge"])
    store, hall = float(values["store"]), float(values["hall"])
    share = np.clip(np.linspace(0, 1, _FRAMES - _WALK + 1), 0, 1)[1:]
    celsius = store + (hall - store) * np.concatenate([np.zeros(_WALK), share])
    gauge = sealed_pressure(
        gauge_pressure=before, temperature_c=store, new_temperature_c=celsius
    )
    inside = absolute_pressure(gauge_pressure=gauge)
    air = air_in_ball(
        gauge_pressure=gauge,
        volume=ball_volume(diameter=ball.diameter_m),
        temperature_c=celsius,
    )
    most = float(ball.max_gauge_pressure_pa or 0)
    after = float(gauge[-1])
    told = (
        f"No air went in or out, and the gauge went from {show_pressure(before)} to "
        f"{show_pressure(after)}."
    )
    if before > most:
        told += (
            f" Already in the store that is above the {show_pressure(most)} marked on "
            "such a ball: nobody pumps it so far."
        )
    elif after > most:
        told += (
            f" That is above the {show_pressure(most)} marked on such a ball: a member "
            "of staff lets air out before it gets there."
        )
    return Scene(
        times=[
            *["on the way"] * _WALK,
            *[f"air inside at {t:.1f} °C" for t in celsius[_WALK:]],
        ],
        shapes=[
            *_rooms(store, hall),
            *_ball(ball.diameter_m),
            *_thermometer(celsius),
            *_bar(inside, most),
        ],
        readings=[
            Reading("temperature of the air inside", [f"{t:.1f} °C" for t in celsius]),
            Reading("gauge pressure", [show_pressure(p) for p in gauge]),
            Reading("absolute pressure", [show_pressure(p) for p in inside]),
            Reading("air in the ball", [f"{1e3 * m:.2f} g" for m in air]),
            Reading("marked maximum, gauge", [show_pressure(most)]),
        ],
        words=(
            f"A {ball.name} goes from a store at {store:.0f} °C to a hall at "
            f"{hall:.0f} °C. Its gauge pressure goes from {show_pressure(before)} to "
            f"{show_pressure(after)}, its absolute pressure from "
            f"{show_pressure(inside[0])} to {show_pressure(inside[-1])}; the air in it "
            f"stays {1e3 * air[0]:.2f} g."
        ),
        told=told,
        note=(
            "The ball keeps its size and leaks nothing. A real ball needs half an hour "
            "or more to take the hall's temperature (common practice, no source); its "
            "cover gives a little. Cold also stiffens the cover, which the gauge does "
            "not show."
        ),
        view=(0.0, 0.0, 560.0, 240.0),
        seconds=4.0,
        still=_FRAMES - 1,
    )


def _rooms(store: float, hall: float) -> list[Shape]:
    return [
        rectangle("bl-wall", x=0, y=0, width=_WALL, height=_GROUND),
        line("bl-ground", x1=0, y1=_GROUND, x2=560, y2=_GROUND),
        line("bl-ground", x1=_WALL, y1=0, x2=_WALL, y2=60),
        label("", f"store, {store:.0f} °C", x=12, y=20, anchor="start"),
        label("", f"hall, {hall:.0f} °C", x=_WALL + 12, y=20, anchor="start"),
    ]


def _ball(diameter: float) -> list[Shape]:
    radius = _METRE * diameter / 2
    way = np.concatenate([np.linspace(0, 1, _WALK), np.ones(_FRAMES - _WALK)])
    x = 90 + 240 * way
    # It rolls: a mark on it turns as far as it goes.
    turn = 240 * way / radius
    y = _GROUND - radius
    return [
        circle("bl-air", x=x, y=y, radius=radius),
        line(
            "bl-ground",
            x1=x + 0.6 * radius * np.sin(turn),
            y1=y - 0.6 * radius * np.cos(turn),
            x2=x + radius * np.sin(turn),
            y2=y - radius * np.cos(turn),
        ),
    ]


def _thermometer(celsius: Any) -> list[Shape]:
    x, low, high = 500.0, 140.0, 30.0

    def height(t: Any) -> Any:
        return low + (high - low) * (t - _COLD) / (_HOT - _COLD)

    top = height(celsius)
    shapes = [
        label("bl-small", "air inside", x=x + 6, y=20),
        rectangle("bl-wall", x=x, y=high, width=14, height=low - high),
        rectangle("bl-bar-lost", x=x, y=top, width=14, height=low - top),
    ]
    for t in (0, 20, 40):
        y = height(float(t))
        shapes += [
            line("bl-thin", x1=x - 4, y1=y, x2=x + 18, y2=y),
            label("bl-small", f"{t} °C", x=x - 8, y=y + 4, anchor="end"),
        ]
    return shapes


def _bar(inside: Any, most: float) -> list[Shape]:
    def place(pressure: Any) -> Any:
        return 20 + _BAR * pressure / _FULL

    y = 176.0
    outside = place(STANDARD_ATMOSPHERE_PA)
    limit = place(STANDARD_ATMOSPHERE_PA + most)
    return [
        rectangle("bl-bar-kept", x=20, y=y, width=place(inside) - 20, height=16),
        label("bl-small", "absolute: from vacuum", x=20, y=y - 6, anchor="start"),
        line("bl-thin", x1=outside, y1=y - 6, x2=outside, y2=y + 36),
        line("bl-arrow", x1=outside, y1=y + 28, x2=place(inside), y2=y + 28),
        label("bl-small", "air outside", x=outside - 5, y=y + 50, anchor="end"),
        label("bl-small", "gauge: from here", x=outside, y=y + 50, anchor="start"),
        line("bl-arrow-two", x1=limit, y1=y - 6, x2=limit, y2=y + 36),
        label("bl-small", "marked maximum", x=limit, y=y + 50, anchor="start"),
    ]
