"""Two things collide."""

from __future__ import annotations

import os

from bouncelab.figures.two_bodies import two_bodies_scene
from bouncelab.widgets.lessons.lesson import Lesson
from bouncelab.widgets.stage import Choice, Slider, Stage

__all__ = ["TwoBodies"]


class TwoBodies(Lesson):
    """Two things collide: any masses, speeds and restitution.

    Parameters
    ----------
    folder : path-like, optional
        Where answers are kept, from the notebook's own folder on.

    Attributes
    ----------
    prediction, explanation : Question
        Before and after.
    stage : Stage
        Two bodies on a line.
    """

    def __init__(self, folder: str | os.PathLike[str] = "readings") -> None:
        super().__init__("two-bodies", folder)
        self.prediction = self.ask(
            "after",
            "A body of 1 kg at 2 m/s meets one of 3 kg at rest and sticks to it. "
            "How fast do they move on?",
            "such as 1 m/s",
        )
        self.stage = Stage(
            Slider("mass_one", "mass of the left body", "kg", 0.1, 8, 0.1, 1, 1),
            Slider("mass_two", "mass of the right body", "kg", 0.1, 8, 0.1, 3, 1),
            Slider("speed_one", "velocity of the left one", "m/s", -2, 3, 0.1, 2, 1),
            Slider("speed_two", "velocity of the right one", "m/s", -3, 2, 0.1, 0, 1),
            Slider("restitution", "e: 0 sticks, 1 is elastic", "", 0, 1, 0.05, 0.5, 2),
            Slider("released", "energy that a spring releases", "J", 0, 5, 0.5, 0, 1),
            Choice(
                "seen",
                "seen from",
                (("floor", "the floor"), ("centre", "the centre of mass")),
                "floor",
            ),
            build=two_bodies_scene,
        )
        self.explanation = self.ask(
            "energy",
            "Momentum stayed the same each time. What about the energy, and why?",
        )
