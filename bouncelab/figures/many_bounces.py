"""A ball bounces until it rests: its path, and the bars of its energy."""

from __future__ import annotations

from collections.abc import Mapping
from math import floor, log10
from typing import Any

import numpy as np

from bouncelab.figures.bounce_path import (
    MOST_BOUNCES,
    BouncePath,
    follow_bounces,
    named_ball,
)
from bouncelab.figures.scene import (
    Reading,
    Scene,
    Shape,
    circle,
    label,
    line,
    path,
    rectangle,
)
from bouncelab.physics.bounces import total_time
from bouncelab.units import in_unit, show_length

__all__ = ["many_bounces_scene"]

_LEFT, _RIGHT, _TOP, _GROUND = 24.0, 616.0, 26.0, 180.0
_BAR, _BAR_LEFT, _BAR_TOP, _ROW = 330.0, 200.0, 204.0, 24.0
_MARK = 7.0  # edge of a square at a height of the student's own
_NAMED = 4  # rebounds said in a sentence
_POINTS = 16  # of each flight, for its curve
_SAME = 1e-9  # s


def many_bounces_scene(values: Mapping[str, Any]) -> Scene:
    """Show a ball that bounces again and again, and where its energy is.

    Parameters
    ----------
    values : mapping
        As for `bounces_of`; ``own``, if there, holds rebound heights in m that
        somebody read, from the first one on.

    Returns
    -------
    Scene
        In true time. Circles are the ball, squares are the heights read.

    Raises
    ------
    InputError
        If a value is outside its range.

    Examples
    --------
    >>> values = {"ball": "futsal", "height": 100, "restitution": 0.8, "air": "none"}
    >>> many_bounces_scene(values).told[:52]
    'It comes back to 64.0 cm, 41.0 cm, 26.2 cm, 16.8 cm,'
    """
    bounced = follow_bounces(values)
    own = tuple(values.get("own", ()))
    return Scene(
        times=[f"{t:.2f} s" for t in bounced.times],
        shapes=[*_drawing(bounced, own), *_bars(bounced)],
        readings=_readings(bounced, values),
        words=_words(bounced, values, own),
        told=_told(bounced),
        note=(
            "Played in true time. The ball is drawn small and moves to the right only "
            "so that its path can be seen; heights are those of its lowest point. One "
            "e for all bounces; real balls bounce a little better when they are slow. "
            f"No spin. At most {MOST_BOUNCES} bounces are drawn."
        ),
        view=(0.0, 0.0, 640.0, 306.0),
        seconds=float(bounced.times[-1]),
    )


def _drawing(bounced: BouncePath, own: tuple[float, ...]) -> list[Shape]:
    """Draw the path with the ball on it, and the heights that were read."""
    train, shown = bounced.train, bounced.bounces
    tall = max(float(train.drop_height), *own, 0.0)
    across = (_RIGHT - _LEFT) / bounced.times[-1]
    up = (_GROUND - _TOP) / tall
    times, heights = train.path(points=_POINTS)
    ends = _POINTS * (shown + 1)
    outline = " L".join(
        f"{_LEFT + across * t:.1f} {_GROUND - up * h:.1f}"
        for t, h in zip(times[:ends], heights[:ends], strict=True)
        if t <= bounced.times[-1] + _SAME
    )
    start = _GROUND - up * train.drop_height
    shapes = [
        line("bl-ground", x1=0, y1=_GROUND, x2=640, y2=_GROUND),
        line("bl-thin", x1=_LEFT, y1=start, x2=_RIGHT, y2=start),
        label("bl-small", "drop height", x=_RIGHT, y=start - 4, anchor="end"),
        path("bl-trace", [f"M{outline}"]),
    ]
    tops = (train.impact_times + np.append(train.impact_times[1:], np.nan)) / 2
    for place, height in enumerate(train.heights[: min(shown, MOST_BOUNCES - 1)]):
        share = height / train.drop_height
        if share * (_GROUND - _TOP) > 2 * _MARK:
            # Above a square, too.
            highest = (
                max(height, own[place]) + _MARK / 2 / up if place < len(own) else height
            )
            spot = {"x": _LEFT + across * tops[place], "y": _GROUND - up * highest - 10}
            shapes.append(label("bl-small", f"{100 * share:.0f} %", **spot))
    for place, height in enumerate(own[: min(shown, MOST_BOUNCES - 1)]):
        x, y = _LEFT + across * tops[place], _GROUND - up * height
        half = _MARK / 2
        shapes.append(
            rectangle("bl-two", x=x - half, y=y - half, width=_MARK, height=_MARK)
        )
    spot = {"x": _LEFT + across * bounced.times, "y": _GROUND - up * bounced.heights}
    return [*shapes, circle("bl-one", radius=5, **spot)]


def _bars(bounced: BouncePath) -> list[Shape]:
    """Draw four bars that are together as long as all energy."""
    rows = (
        ("energy of height", bounced.of_height, "bl-bar-kept"),
        ("energy of motion", bounced.of_motion, "bl-air"),
        ("given to ball and floor", bounced.to_floor, "bl-bar-lost"),
        ("given to the air", bounced.to_air, "bl-wall"),
    )
    shapes: list[Shape] = []
    for row, (name, amount, look) in enumerate(rows):
        y, long = _BAR_TOP + _ROW * row, _BAR * amount / bounced.start
        shapes += [
            label("", name, x=_BAR_LEFT - 10, y=y + 13, anchor="end"),
            rectangle(look, x=_BAR_LEFT, y=y, width=long, height=16),
        ]
    end = _BAR_LEFT + _BAR
    foot = _BAR_TOP + _ROW * len(rows)
    return [
        *shapes,
        line("bl-thin", x1=end, y1=_BAR_TOP - 4, x2=end, y2=foot),
        label("bl-small", "all of it", x=end + 6, y=_BAR_TOP + 10, anchor="start"),
    ]


def _readings(bounced: BouncePath, values: Mapping[str, Any]) -> list[Reading]:
    digits = max(2 - floor(log10(bounced.start)), 1)
    energies = {
        "energy of height": bounced.of_height,
        "energy of motion": bounced.of_motion,
        "given to ball and floor": bounced.to_floor,
        "given to the air": bounced.to_air,
    }
    readings = [
        Reading("bounces so far", [str(n) for n in bounced.passed]),
        Reading("height", [show_length(h) for h in bounced.heights]),
        Reading("speed", [f"{v:.2f} m/s" for v in bounced.speeds]),
    ]
    for name, amounts in energies.items():
        shares = amounts / bounced.start
        said = [
            f"{x:.{digits}f} J, {100 * share:.0f} %"
            for x, share in zip(amounts, shares, strict=True)
        ]
        readings.append(Reading(name, said))
    e = float(values["restitution"])
    if values["air"] == "none" and e < 1:
        rests = total_time(drop_height=bounced.train.drop_height, restitution=e)
        readings.append(Reading("at rest after", [f"{rests:.2f} s"]))
    return readings


def _told(bounced: BouncePath) -> str:
    train = bounced.train
    if train.launch_speeds[0] == 0:
        return (
            "It stays on the floor: the energy that it brought there went at once into "
            "warmth of ball and floor and into sound."
        )
    heights = train.heights[: bounced.bounces]
    said = ", ".join(show_length(height) for height in heights[:_NAMED])
    number = min(len(heights), _NAMED)
    left = heights[number - 1] / train.drop_height
    return (
        f"It comes back to {said}, from top to top. After {_counted(number)} "
        f"{100 * left:.0f} % of its energy is left."
    )


def _counted(bounces: int) -> str:
    return "1 bounce" if bounces == 1 else f"{bounces} bounces"


def _words(
    bounced: BouncePath, values: Mapping[str, Any], own: tuple[float, ...]
) -> str:
    name = named_ball(values["ball"]).name
    where = "in air" if values["air"] == "air" else "as if there were no air"
    said = (
        f"Height against time: a {name} dropped from "
        f"{show_length(bounced.train.drop_height)} {where}, e = "
        f"{float(values['restitution']):.2f}, {_counted(bounced.bounces)} in "
        f"{bounced.times[-1]:.1f} s. Beneath, bars of its energy."
    )
    if own:
        read = ", ".join(f"{in_unit(h, 'length', 'cm'):.1f}" for h in own)
        said += f" Squares: the heights that you read, {read} cm."
    return said
