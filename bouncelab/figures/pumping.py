"""Two balls pumped to one gauge pressure: strokes, and the air that is in them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from bouncelab.figures.scene import (
    Reading,
    Scene,
    Shape,
    circle,
    label,
    line,
    rectangle,
)
from bouncelab.kinds import Ball, balls
from bouncelab.physics.ball_air import air_in_ball, ball_volume
from bouncelab.physics.gas import absolute_pressure
from bouncelab.physics.pump import Pumping, pump_up
from bouncelab.units import show_pressure

__all__ = ["inflated_balls", "pumping_scene"]

_FRAMES = 61
_METRE = 520.0  # drawing units
_MIDDLES = (150.0, 410.0)
_GROUND = 190.0
_DOT = 0.5e-3  # kg of air for each dot


def inflated_balls() -> tuple[Ball, ...]:
    """Give the kinds of balls that are pumped up, in the catalogue's order.

    Returns
    -------
    tuple of Ball
        Those with a marked maximum.

    Examples
    --------
    >>> inflated_balls()[0].id
    'basketball-7'
    """
    return tuple(ball for ball in balls() if ball.max_gauge_pressure_pa is not None)


def pumping_scene(values: Mapping[str, Any]) -> Scene:
    """Show two balls that are pumped up from flat with one pump.

    Parameters
    ----------
    values : mapping
        ``left`` and ``right``, ids of balls; ``gauge`` in kPa; ``stroke`` in ml of
        outside air; ``temperature`` in °C, of everything.

    Returns
    -------
    Scene
        Both reach the pressure together, each with strokes of its own. It stops at
        the lower one of the marked maxima.

    Examples
    --------
    >>> pumping_scene(
    ...     {
    ...         "left": "basketball-7",
    ...         "right": "handball-3",
    ...         "gauge": 50,
    ...         "stroke": 100,
    ...         "temperature": 20,
    ...     }
    ... ).told
    'Both show 50.0 kPa. Air in them: 13.6 g and 6.2 g.'
    """
    known = {ball.id: ball for ball in inflated_balls()}
    pair = tuple(known[values[side]] for side in ("left", "right"))
    asked = 1e3 * float(values["gauge"])
    lowest = min(float(ball.max_gauge_pressure_pa or 0) for ball in pair)
    target = min(asked, lowest)
    gauge = np.linspace(0, target, _FRAMES)
    celsius = float(values["temperature"])
    shapes: list[Shape] = [line("bl-ground", x1=0, y1=_GROUND, x2=560, y2=_GROUND)]
    readings = [
        Reading("gauge pressure, both", [show_pressure(p) for p in gauge]),
        Reading(
            "absolute pressure, both",
            [show_pressure(p) for p in absolute_pressure(gauge_pressure=gauge)],
        ),
    ]
    done = []
    for place, ball in enumerate(pair):
        volume = ball_volume(diameter=ball.diameter_m)
        job = pump_up(
            gauge_pressure=0.0,
            target_gauge_pressure=gauge,
            maximum_gauge_pressure=ball.max_gauge_pressure_pa,
            ball_volume=volume,
            pump_volume=1e-6 * float(values["stroke"]),
            temperature_c=celsius,
        )
        air = air_in_ball(gauge_pressure=gauge, volume=volume, temperature_c=celsius)
        shapes += _ball(ball, _MIDDLES[place], air)
        shapes += _pump(_MIDDLES[place], job)
        done.append((ball, job, air))
        side = ("left", "right")[place]
        readings += [
            Reading(f"strokes, {side}", [f"{n:.1f}" for n in job.strokes]),
            Reading(f"air in it, {side}", [f"{1e3 * m:.1f} g" for m in air]),
            Reading(f"pumped in, {side}", [f"{1e3 * m:.1f} g" for m in job.air_added]),
            Reading(f"marked maximum, {side}", [_maximum(ball)]),
        ]
    (_, _, first), (_, _, second) = done
    told = (
        f"Both show {show_pressure(target)}. Air in them: "
        f"{1e3 * first[-1]:.1f} g and {1e3 * second[-1]:.1f} g."
    )
    if asked > lowest:
        told = (
            f"Stopped at {show_pressure(lowest)}, the marked maximum: higher, that "
            f"ball may burst. {told}"
        )
    return Scene(
        times=[f"gauge {show_pressure(p, digits=0)}" for p in gauge],
        shapes=shapes,
        readings=readings,
        words=" ".join(_words(*each) for each in done),
        told=told,
        note=(
            "One dot is half a gram of air. The balls keep their size, and the pump "
            "has no leak and no dead space: a real one needs more strokes. The maxima "
            "are those commonly marked on such balls; the one on your ball counts."
        ),
        view=(0.0, 0.0, 560.0, 240.0),
        seconds=4.0,
        still=_FRAMES - 1,
    )


def _maximum(ball: Ball) -> str:
    return show_pressure(float(ball.max_gauge_pressure_pa or 0), digits=0)


def _ball(ball: Ball, x: float, air: Any) -> list[Shape]:
    radius = _METRE * ball.diameter_m / 2
    y = _GROUND - radius
    shapes = [circle("bl-air", x=x, y=y, radius=radius)]
    # Turned by the golden angle, dots lie evenly in a disc.
    dots = np.arange(int(air[-1] / _DOT) + 1) + 0.5
    out = (radius - 5) * np.sqrt(dots / len(dots))
    turn = np.pi * (3 - np.sqrt(5)) * dots
    # Those pumped in last lie anywhere, not at the rim.
    order = np.argsort((dots * 0.618034) % 1)
    for count, dot in enumerate(order):
        there = air >= _DOT * count
        shapes.append(
            circle(
                "bl-one",
                x=x + out[dot] * np.cos(turn[dot]),
                y=y + out[dot] * np.sin(turn[dot]),
                radius=3.0 if there.all() else np.where(there, 3.0, 0.0),
            )
        )
    return [*shapes, label("", ball.name, x=x, y=_GROUND + 18)]


def _pump(x: float, job: Pumping) -> list[Shape]:
    """Draw a pump whose handle goes down once for each stroke."""
    side, high = x + 92, 60.0
    down = (job.strokes % 1) * high
    top = _GROUND - 16 - high
    return [
        rectangle("bl-wall", x=side, y=top, width=22, height=high + 16),
        rectangle("bl-solid", x=side + 8, y=top - 46 + down, width=6, height=46),
        rectangle("bl-two", x=side - 6, y=top - 52 + down, width=34, height=8),
        label("bl-small", f"{job.strokes[-1]:.1f} strokes", x=x, y=_GROUND + 36),
    ]


def _words(ball: Ball, job: Pumping, air: Any) -> str:
    name = ball.name[:1].upper() + ball.name[1:]
    return (
        f"{name}: {1e3 * air[0]:.1f} g of air while flat, "
        f"{job.strokes[-1]:.1f} strokes bring in {1e3 * job.air_added[-1]:.1f} g more, "
        f"{1e3 * air[-1]:.1f} g in all."
    )
