"""Bounciness gets a number."""

from __future__ import annotations

import html
import os
from functools import cached_property
from math import sqrt
from typing import TYPE_CHECKING, Any

from bouncelab.errors import BounceLabError, InputError
from bouncelab.figures.bounce_path import named_ball
from bouncelab.figures.drop_and_rebound import draw_drop_and_rebound
from bouncelab.figures.three_ways import PLACES, three_ways_scene
from bouncelab.figures.wiggle import wiggle_scene
from bouncelab.physics.certainty import restitution_uncertainty
from bouncelab.physics.fall import impact_speed
from bouncelab.physics.flight import launch_speed
from bouncelab.physics.restitution import (
    restitution_from_heights,
    restitution_from_times,
)
from bouncelab.readings.several import read_times
from bouncelab.units import in_unit, read_length
from bouncelab.widgets.lessons.entries import naming, read_drop_and_rebound
from bouncelab.widgets.lessons.lesson import Lesson
from bouncelab.widgets.stage import Choice, Slider, Stage

if TYPE_CHECKING:
    from ipywidgets import HTMLMath

__all__ = ["OneNumber"]

_BALLS = ("futsal", "basketball-7", "tennis", "table-tennis")
_ASKED = (
    ("drop", "drop height, in cm if you write no unit", "such as 180 cm"),
    ("rebound", "rebound height", "such as 110 cm"),
    ("doubt", "how far a height may be off, either way", "such as 1 cm"),
    ("times", "times of impacts, from a film or a sound", "such as 0.61, 1.59, 2.37 s"),
)


class OneNumber(Lesson):
    """The coefficient of restitution, measured in three ways and doubted.

    Parameters
    ----------
    folder : path-like, optional
        Where answers are kept, from the notebook's own folder on.

    Attributes
    ----------
    prediction, explanation : Question
        Before and after.
    bouncing : Stage
        One drop, with e from heights, speeds and times.
    readings : Question
        The student's own heights and times, and e from them.
    wiggling : Stage
        Readings that are a little wrong each time.
    """

    def __init__(self, folder: str | os.PathLike[str] = "readings") -> None:
        super().__init__("one-number", folder)
        self._own: tuple[float, ...] = ()
        self.prediction = self.ask(
            "kept",
            "A ball dropped from 100 cm comes back to 64 cm. What share of its speed "
            "does it keep at the floor?",
            "such as 50 %",
        )
        self.bouncing = Stage(
            Choice(
                "ball",
                "ball",
                tuple((name, named_ball(name).name) for name in _BALLS),
                _BALLS[0],
            ),
            Slider("height", "drop height", "cm", 50, 250, 1, 100),
            Slider("restitution", "e of the ball", "", 0.3, 0.95, 0.01, 0.8, 2),
            Choice("air", "where", tuple(PLACES.items()), "none"),
            build=three_ways_scene,
            plot=lambda values: draw_drop_and_rebound({**values, "own": self._own}),
        )
        self.readings = self.answers.ask(*_ASKED, told=_found)
        self.readings.observe(self._taken, names="state")
        self.wiggling = Stage(
            Slider("drop", "true drop height", "cm", 50, 250, 1, 100),
            Slider("rebound", "true rebound height", "cm", 5, 200, 1, 64),
            Slider("drop_doubt", "drop read to ±", "cm", 0, 5, 0.5, 0.5, 1),
            Slider("rebound_doubt", "rebound read to ±", "cm", 0, 10, 0.5, 2, 1),
            Slider("tape", "the tape reads too high by", "cm", -5, 5, 0.5, 0, 1),
            build=wiggle_scene,
        )
        self.explanation = self.ask(
            "why-e",
            "A friend writes: “my ball bounces 90 cm, yours only 60 cm, so mine is "
            "bouncier.” What is missing, and why is e a better number than a height?",
        )
        self._taken()

    @cached_property
    def derivation(self) -> HTMLMath:
        """The way to e = √(h₂/h₁), with the student's own numbers at its end."""
        from ipywidgets import HTMLMath

        shown = HTMLMath(self._derived())
        shown.add_class("bl-lab")
        return shown

    def _taken(self, _change: Any = None) -> None:
        """Take the student's heights over into stages, plot and derivation."""
        own = _own_heights({n: self.answers.given(n) for n in ("drop", "rebound")})
        if own == self._own:
            return
        self._own = own
        if own:
            drop, rebound = (in_unit(each, "length", "cm") for each in own)
            e = restitution_from_heights(drop_height=own[0], rebound_height=own[1])
            self.bouncing.follow(height=drop, restitution=e)
            self.wiggling.follow(drop=drop, rebound=rebound)
        else:
            self.bouncing.set()
        if "derivation" in self.__dict__:  # not before it is shown: sympy is slow
            self.derivation.value = self._derived()

    def _derived(self) -> str:
        from bouncelab.physics.derivations import derive

        derived = derive("restitution")
        if self._own:
            derived = derived.with_numbers(h1=self._own[0], h2=self._own[1])
        return "".join(
            f"<p>{html.escape(step['words'])}</p><p>$${step['equation']}$$</p>"
            for step in derived.to_dict()["steps"]
        )


def _own_heights(answers: dict[str, str]) -> tuple[float, ...]:
    """Give drop and rebound height, or nothing if they cannot be used."""
    try:
        return read_drop_and_rebound(answers["drop"], answers["rebound"])
    except BounceLabError:
        return ()


def _found(answers: dict[str, str]) -> str:
    """Say what follows from the readings so far."""
    given = {name for name, _, _ in _ASKED if answers.get(name, "").strip()}
    said = []
    try:
        if {"drop", "rebound"} <= given:
            said.append(_from_heights(answers, "doubt" in given))
        if "times" in given:
            e = restitution_from_times(read_times(answers["times"]))
            said.append(f"The times say e = {e:.3f}.")
    except BounceLabError as error:
        said.append(f"? {error}")
    return " ".join(said) or "✓ Kept. Fill in both heights for a number."


def _from_heights(answers: dict[str, str], doubted: bool) -> str:
    drop, rebound = read_drop_and_rebound(answers["drop"], answers["rebound"])
    e = restitution_from_heights(drop_height=drop, rebound_height=rebound)
    speeds = (
        impact_speed(drop_height=drop),
        launch_speed(rise_height=rebound),
    )
    said = (
        f"It arrives with {speeds[0]:.2f} m/s and leaves with {speeds[1]:.2f} m/s, so "
        f"the heights say e = {e:.3f}"
    )
    if not doubted or rebound == 0:  # there the formula has no slope
        return f"{said}."
    name = "how far a height may be off"
    with naming(name):
        off = read_length(answers["doubt"].strip(), unit="cm")
    if off < 0:
        raise InputError(
            name,
            f"“{answers['doubt'].strip()}”",
            "0 cm or more",
            "Write it without a sign.",
        )
    each = off / sqrt(3)  # all errors inside the limits equally likely
    u = restitution_uncertainty(
        drop_height=drop, rebound_height=rebound, drop_u=each, rebound_u=each
    )
    return f"{said}, with a standard uncertainty of {u:.3f}."
