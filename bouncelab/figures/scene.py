"""A drawing that moves: shapes, frame by frame, with the same thing in words."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, TypeAlias

import numpy as np

from bouncelab.errors import InputError

__all__ = [
    "Reading",
    "Scene",
    "Shape",
    "arrows",
    "circle",
    "label",
    "line",
    "path",
    "rectangle",
    "signed",
]

_DIGITS = 2  # of a drawing unit; a hundredth of one is less than a pixel

Value: TypeAlias = Any  # a number, or an array with one for each frame


@dataclass(frozen=True, slots=True)
class Shape:
    """One SVG element.

    Attributes
    ----------
    tag : str
        ``circle``, ``line``, ``rect``, ``path`` or ``text``.
    fixed : mapping
        Attributes that stay.
    moving : mapping
        Attributes with one value for each frame.
    text : str
        What a ``text`` says.
    """

    tag: str
    fixed: Mapping[str, Any] = field(default_factory=dict)
    moving: Mapping[str, Sequence[Any]] = field(default_factory=dict)
    text: str = ""


@dataclass(frozen=True, slots=True)
class Reading:
    """A number that stands beside the drawing: one text for each frame, or one."""

    label: str
    values: Sequence[str]


@dataclass(frozen=True, slots=True)
class Scene:
    """A drawing that moves.

    Attributes
    ----------
    times : sequence of str
        What the clock shows at each frame; one frame is a still.
    shapes : sequence of Shape
        From the back to the front.
    readings : sequence of Reading
        Numbers at each frame.
    words : str
        What the drawing shows, made from the same numbers.
    told : str
        The finding in a sentence; spoken when it changes.
    note : str
        What the model leaves out.
    view : tuple of float
        Left, top, width and height of the drawing.
    seconds : float
        How long it plays at normal pace.
    still : int
        The frame that is shown first and printed.
    """

    times: Sequence[str]
    shapes: Sequence[Shape]
    readings: Sequence[Reading]
    words: str
    told: str = ""
    note: str = ""
    view: tuple[float, float, float, float] = (0.0, 0.0, 480.0, 240.0)
    seconds: float = 5.0
    still: int = 0

    def __post_init__(self) -> None:
        frames = len(self.times)
        for each in self.shapes:
            for name, values in each.moving.items():
                if len(values) != frames:
                    raise InputError(
                        what=f"the frames of {each.tag} {name}",
                        read=str(len(values)),
                        allowed=str(frames),
                        do="Give one value for each moment.",
                    )

    def to_dict(self) -> dict[str, Any]:
        """Give plain values for the front end."""
        return {
            "times": list(self.times),
            "shapes": [
                {
                    "tag": each.tag,
                    "fixed": dict(each.fixed),
                    "moving": {k: list(v) for k, v in each.moving.items()},
                    "text": each.text,
                }
                for each in self.shapes
            ],
            "readings": [
                {"label": each.label, "values": list(each.values)}
                for each in self.readings
            ],
            "words": self.words,
            "told": self.told,
            "note": self.note,
            "view": list(self.view),
            "seconds": self.seconds,
            "still": self.still,
        }


def _split(
    look: str, values: Mapping[str, Value]
) -> tuple[dict[str, Any], dict[str, Any]]:
    fixed: dict[str, Any] = {"class": look}
    moving: dict[str, Any] = {}
    for name, value in values.items():
        if np.ndim(value) == 0:
            fixed[name] = round(float(value), _DIGITS)
        else:
            moving[name] = np.round(np.asarray(value), _DIGITS).tolist()
    return fixed, moving


def circle(look: str, *, x: Value, y: Value, radius: Value) -> Shape:
    """Give a circle; each value is a number, or one for each frame."""
    return Shape("circle", *_split(look, {"cx": x, "cy": y, "r": radius}))


def line(look: str, *, x1: Value, y1: Value, x2: Value, y2: Value) -> Shape:
    """Give a line; each value is a number, or one for each frame."""
    return Shape("line", *_split(look, {"x1": x1, "y1": y1, "x2": x2, "y2": y2}))


def rectangle(look: str, *, x: Value, y: Value, width: Value, height: Value) -> Shape:
    """Give a rectangle; each value is a number, or one for each frame."""
    size = {"x": x, "y": y, "width": width, "height": height}
    return Shape("rect", *_split(look, size))


def label(look: str, text: str, *, x: Value, y: Value, anchor: str = "middle") -> Shape:
    """Give a text; its place is fixed, or one for each frame."""
    fixed, moving = _split(look, {"x": x, "y": y})
    return Shape("text", {**fixed, "text-anchor": anchor}, moving, text)


def signed(value: float, digits: int) -> str:
    """Write a number with its sign; nothing has none.

    Examples
    --------
    >>> signed(0.25, 1), signed(-0.25, 2), signed(-0.001, 2)
    ('+0.2', '−0.25', '0.00')
    """
    said = f"{value:+.{digits}f}"
    if not said.strip("+-0."):
        return said[1:]
    return said.replace("-", "−")


def path(look: str, outlines: Sequence[str]) -> Shape:
    """Give an outline: SVG path data, one for each frame or a single one."""
    if len(outlines) == 1:
        return Shape("path", {"class": look, "d": outlines[0]})
    return Shape("path", {"class": look}, {"d": list(outlines)})


def arrows(look: str, *, x: Value, y: Value, length: Value) -> list[Shape]:
    """Give a level arrow, one for each frame: a shaft from x on, and its head.

    A dashed shaft has a whole head, of the look's name with ``-head``; a short arrow
    has a small head, and one without length none.
    """
    starts, heights, longs = np.broadcast_arrays(
        *(np.atleast_1d(np.asarray(each, dtype=float)) for each in (x, y, length))
    )
    shafts, heads = [], []
    for start, height, long in zip(starts, heights, longs, strict=True):
        tip, back = start + long, np.clip(long, -7.0, 7.0)
        there = f"M{start:.1f} {height:.1f}"
        seen = abs(long) >= 0.05
        shafts.append(f"{there}h{long:.1f}" if seen else there)
        heads.append(
            f"M{tip - back:.1f} {height - 4:.1f}L{tip:.1f} {height:.1f}"
            f"L{tip - back:.1f} {height + 4:.1f}"
            if seen
            else there
        )
    return [
        path(look, shafts),
        path(f"{look}-head" if look == "bl-arrow-two" else look, heads),
    ]
