"""The hundredth of a second you cannot see: balls in contact with the floor."""

from __future__ import annotations

import os

from bouncelab.errors import BounceLabError
from bouncelab.figures.contact_curves import COVERS, SOLIDS, draw_contact
from bouncelab.figures.floor_contact import floor_contact_scene
from bouncelab.figures.pumping import inflated_balls
from bouncelab.kinds import find_ball
from bouncelab.physics.fall import impact_speed
from bouncelab.physics.restitution import restitution_from_heights
from bouncelab.physics.shell_estimates import small_impact
from bouncelab.units import STANDARD_GRAVITY, read_pressure
from bouncelab.widgets.lessons.entries import read_drop_and_rebound
from bouncelab.widgets.lessons.lesson import Lesson
from bouncelab.widgets.stage import Choice, Slider, Stage

__all__ = ["FloorContact"]

_ASKED = (
    ("ball", "which ball", "such as futsal ball"),
    ("gauge", "its gauge pressure", "such as 65 kPa"),
    ("drop", "drop height", "such as 180 cm"),
    ("rebound", "rebound height", "such as 60 cm"),
)
_LOSSES = {"none": "loses nothing (a dream)", "lively": "lively", "dull": "dull"}


class FloorContact(Lesson):
    """An inflated ball against the floor, beside a solid one.

    Parameters
    ----------
    folder : path-like, optional
        Where answers are kept, from the notebook's own folder on.

    Attributes
    ----------
    prediction, explanation : Question
        Before and after.
    stage : Stage
        Both balls, slowed down a thousand times.
    readings : Question
        A ball of the class: its contact time and the push of the floor.
    """

    def __init__(self, folder: str | os.PathLike[str] = "readings") -> None:
        super().__init__("floor-contact", folder)
        self.prediction = self.ask(
            "how-long",
            "A basketball falls from 1.75 m. For how long does it touch the floor?",
            "such as 0.1 s",
        )
        kinds = tuple((ball.id, ball.name) for ball in inflated_balls())
        self.stage = Stage(
            Choice("ball", "inflated ball", kinds, "basketball-7"),
            Slider("gauge", "gauge pressure", "kPa", 5, 110, 5, 55),
            Slider("height", "drop height", "cm", 25, 200, 25, 175),
            Choice(
                "cover",
                "its cover",
                tuple((name, _LOSSES[name]) for name in COVERS),
                "lively",
            ),
            Choice(
                "solid",
                "solid ball beside it",
                tuple((name, solid.name) for name, solid in SOLIDS.items()),
                "rubber",
            ),
            build=floor_contact_scene,
            plot=draw_contact,
        )
        self.readings = self.answers.ask(*_ASKED, told=_estimated)
        self.explanation = self.ask(
            "dead",
            "Somebody says: a dead ball has no energy. And: two balls at the same "
            "gauge pressure bounce the same. What do you answer?",
        )


def _estimated(answers: dict[str, str]) -> str:
    """Say how long a ball of the class touches the floor, and how hard."""
    texts = [answers.get(name, "").strip() for name, _, _ in _ASKED]
    if not all(texts):
        return "Kept. Fill in all four for the estimate."
    ball = find_ball(texts[0])
    if ball is None or ball.max_gauge_pressure_pa is None:
        return "? Kept. Name an inflated ball that the kit knows, such as basketball."
    try:
        gauge = read_pressure(texts[1], unit="kPa")
        drop, rebound = read_drop_and_rebound(*texts[2:])
        e = restitution_from_heights(drop_height=drop, rebound_height=rebound)
        speed = impact_speed(drop_height=drop)
        small = small_impact(
            mass=ball.mass_kg,
            diameter=ball.diameter_m,
            gauge_pressure=gauge,
            impact_speed=speed,
        )
    except BounceLabError as error:
        return f"? {error}"
    mean = ball.mass_kg * speed * (1 + e) / small.contact_time
    weights = mean / (ball.mass_kg * STANDARD_GRAVITY)
    said = (
        f"{ball.name}: e = {e:.2f}. It touches the floor for about "
        f"{1e3 * small.contact_time:.0f} ms; meanwhile the floor pushes with "
        f"{mean:.0f} N on average, {weights:.0f} times its weight."
    )
    if gauge > ball.max_gauge_pressure_pa:
        said += " That pressure is above what is commonly marked on such a ball!"
    return said
