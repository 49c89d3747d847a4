"""One bounce, one number: e from heights, from speeds and from times."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from bouncelab.figures.bounce_path import BouncePath, follow_bounces, named_ball
from bouncelab.figures.scene import (
    Reading,
    Scene,
    Shape,
    circle,
    label,
    line,
    path,
)
from bouncelab.physics.restitution import (
    restitution_from_heights,
    restitution_from_speeds,
    restitution_from_times,
    restitution_with_drag,
)
from bouncelab.units import show_length

__all__ = ["PLACES", "ThreeWays", "three_ways", "three_ways_scene"]

PLACES = {
    "air": "in a hall, with air",
    "none": "in a hall, as if there were no air",
    "moon": "on the Moon",
}

_BOUNCES = 2
_LEFT, _RIGHT, _TOP, _GROUND = 60.0, 600.0, 30.0, 200.0
_PART = 9.0  # length of an arrow for 1 m/s
_POINTS = 24
_SAME = 1e-9  # s


@dataclass(frozen=True, slots=True)
class ThreeWays:
    """One coefficient of restitution, found in three ways.

    Attributes
    ----------
    heights, speeds, times : float
        From drop and rebound height, from the speeds at the floor, and from two
        flights.
    corrected : float
        From the heights, with the drag allowed for.
    """

    heights: float
    speeds: float
    times: float
    corrected: float


def three_ways(bounced: BouncePath) -> ThreeWays:
    """Find e in three ways from one train of bounces.

    Parameters
    ----------
    bounced : BouncePath
        With a rebound above 0.

    Returns
    -------
    ThreeWays
        Without air all of them agree.

    Examples
    --------
    >>> values = {"ball": "futsal", "height": 100, "restitution": 0.8, "air": "moon"}
    >>> round(three_ways(follow_bounces(values)).times, 12)
    0.8
    """
    train = bounced.train
    fallen = {"drop_height": train.drop_height, "rebound_height": train.heights[0]}
    return ThreeWays(
        heights=restitution_from_heights(**fallen),
        speeds=restitution_from_speeds(
            impact_speed=train.impact_speeds[0], rebound_speed=train.launch_speeds[0]
        ),
        times=restitution_from_times(train.impact_times[:3]),
        corrected=restitution_with_drag(**fallen, drag_constant=train.drag_constant),
    )


def three_ways_scene(values: Mapping[str, Any]) -> Scene:
    """Show a drop with two flights, and what each way of measuring finds.

    Parameters
    ----------
    values : mapping
        As for `bounces_of`, with a restitution above 0.

    Returns
    -------
    Scene
        In true time, with heights, speeds and times marked.

    Raises
    ------
    InputError
        If a value is outside its range.

    Examples
    --------
    >>> values = {"ball": "futsal", "height": 100, "restitution": 0.8, "air": "none"}
    >>> three_ways_scene(values).told
    'e from heights 0.800, from speeds 0.800, from times 0.800.'
    """
    bounced = follow_bounces(values, most=_BOUNCES)
    found = three_ways(bounced)
    train = bounced.train
    flights = train.impact_times[1:3] - train.impact_times[:2]
    heights, speeds = train.heights, (train.impact_speeds[0], train.launch_speeds[0])
    one = [
        ("drop height h₁", show_length(train.drop_height)),
        ("rebound height h₂", show_length(heights[0])),
        ("e from heights, √(h₂ / h₁)", f"{found.heights:.3f}"),
        ("impact speed v", f"{speeds[0]:.2f} m/s"),
        ("rebound speed w", f"{speeds[1]:.2f} m/s"),
        ("e from speeds, w / v", f"{found.speeds:.3f}"),
        ("first flight T₁", f"{flights[0]:.3f} s"),
        ("second flight T₂", f"{flights[1]:.3f} s"),
        ("e from times, T₂ / T₁", f"{found.times:.3f}"),
    ]
    if values["air"] == "air":
        one.append(("e from heights, drag allowed for", f"{found.corrected:.3f}"))
    return Scene(
        times=[f"{t:.2f} s" for t in bounced.times],
        shapes=_drawing(bounced),
        readings=[Reading(name, [text]) for name, text in one],
        words=(
            f"Height against time: a {named_ball(values['ball']).name} dropped "
            f"{PLACES[values['air']]} from {show_length(train.drop_height)}, back to "
            f"{show_length(heights[0])} and {show_length(heights[1])}. It lands at "
            f"{speeds[0]:.2f} and leaves at {speeds[1]:.2f} m/s; the flights take "
            f"{flights[0]:.3f} and {flights[1]:.3f} s."
        ),
        told=(
            f"e from heights {found.heights:.3f}, from speeds {found.speeds:.3f}, "
            f"from times {found.times:.3f}."
        ),
        note=(
            "Played in true time; the arrows are the speeds at the floor. The same e "
            "at both bounces, no spin, and no time on the floor: a real ball stays "
            "there for up to about a hundredth of a second."
        ),
        view=(0.0, 0.0, 640.0, 250.0),
        seconds=float(bounced.times[-1]),
    )


def _drawing(bounced: BouncePath) -> list[Shape]:
    train = bounced.train
    across = (_RIGHT - _LEFT) / bounced.times[-1]
    up = (_GROUND - _TOP) / train.drop_height
    times, heights = train.path(points=_POINTS)
    outline = " L".join(
        f"{_LEFT + across * t:.1f} {_GROUND - up * h:.1f}"
        for t, h in zip(times, heights, strict=True)
        if t <= bounced.times[-1] + _SAME
    )
    impacts = _LEFT + across * train.impact_times[:3]
    top = (impacts[0] + impacts[1]) / 2
    rebound = _GROUND - up * train.heights[0]
    down, back = (
        _PART * float(v[0]) for v in (train.impact_speeds, train.launch_speeds)
    )
    shapes = [
        line("bl-ground", x1=0, y1=_GROUND, x2=640, y2=_GROUND),
        path("bl-trace", [f"M{outline}"]),
        *_upright("h₁", _LEFT - 16, _TOP),
        *_upright("h₂", float(top), rebound),
        line("bl-thin", x1=top, y1=rebound, x2=top + 40, y2=rebound),
    ]
    # A head stays whole where its shaft is dashed.
    for side, long, name, look, head in (
        (-1, down, "v", "bl-arrow", "bl-arrow"),
        (1, back, "w", "bl-arrow-two", "bl-arrow-two-head"),
    ):
        x, point = impacts[0] + 9 * side, 6.0
        high = _GROUND - 4 - long
        tip = _GROUND - 4 if side < 0 else high
        shapes += [
            line(look, x1=x, y1=_GROUND - 4, x2=x, y2=high),
            path(
                head,
                [
                    f"M{x - point:.1f} {tip + side * point:.1f} L{x:.1f} {tip:.1f} "
                    f"L{x + point:.1f} {tip + side * point:.1f}"
                ],
            ),
            label("", name, x=x + (8 * side), y=_GROUND - 4 - long - 5),
        ]
    for name, left, right in (
        ("first flight T₁", impacts[0], impacts[1]),
        ("second flight T₂", impacts[1], impacts[2]),
    ):
        y = _GROUND + 14
        shapes += [
            line("bl-thin", x1=left, y1=y, x2=right, y2=y),
            line("bl-ground", x1=left, y1=y - 5, x2=left, y2=y + 5),
            line("bl-ground", x1=right, y1=y - 5, x2=right, y2=y + 5),
            label("", name, x=(left + right) / 2, y=y + 18),
        ]
    spot = {"x": _LEFT + across * bounced.times, "y": _GROUND - up * bounced.heights}
    return [*shapes, circle("bl-one", radius=6, **spot)]


def _upright(name: str, x: float, top: float) -> list[Shape]:
    """Draw a height with its name beside it."""
    return [
        line("bl-thin", x1=x, y1=_GROUND, x2=x, y2=top),
        line("bl-ground", x1=x - 5, y1=top, x2=x + 5, y2=top),
        label("", name, x=x + 6, y=_beside(top), anchor="start"),
    ]


def _beside(top: float) -> float:
    """Give the place of a height's name: beside it, or above one that is low."""
    return top - 8 if _GROUND - top < 26 else (top + _GROUND) / 2 + 4
