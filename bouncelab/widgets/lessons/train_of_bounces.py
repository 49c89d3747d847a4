"""Where did the energy go?"""

from __future__ import annotations

import os
from collections.abc import Mapping
from typing import Any

from bouncelab.errors import BounceLabError, InputError
from bouncelab.figures.bounce_path import MOST_BOUNCES, named_ball
from bouncelab.figures.hammer import METALS, hammer_scene
from bouncelab.figures.many_bounces import many_bounces_scene
from bouncelab.figures.rebound_heights import draw_rebound_heights
from bouncelab.physics.restitution import restitution_from_heights
from bouncelab.readings.several import read_heights
from bouncelab.units import in_unit, read_length
from bouncelab.widgets.lessons.entries import naming
from bouncelab.widgets.lessons.lesson import Lesson
from bouncelab.widgets.stage import Choice, Slider, Stage

__all__ = ["TrainOfBounces"]

_BALLS = ("basketball-7", "futsal", "tennis", "table-tennis", "squash", "golf")


class TrainOfBounces(Lesson):
    """A ball that bounces until it rests, and a hammer that warms metal.

    Parameters
    ----------
    folder : path-like, optional
        Where answers are kept, from the notebook's own folder on.

    Attributes
    ----------
    prediction, hammer_prediction, explanation : Question
        Before and after.
    bouncing, hammering : Stage
        A dropped ball with its energy, and blows on a piece of metal.
    heights : Question
        Rebound heights of the student's own, laid over the prediction.
    """

    def __init__(self, folder: str | os.PathLike[str] = "readings") -> None:
        super().__init__("train-of-bounces", folder)
        self._own: tuple[float, ...] = ()
        self._moved: dict[str, float] = {}
        self.prediction = self.ask(
            "second",
            "A ball is dropped from 100 cm and comes back to 64 cm. How high does it "
            "come after the second bounce?",
            "such as 50 cm",
        )
        self.bouncing = Stage(
            Choice(
                "ball",
                "ball",
                tuple((b, named_ball(b).name) for b in _BALLS),
                _BALLS[0],
            ),
            Slider("height", "drop height", "cm", 20, 250, 1, 180),
            Slider("restitution", "e: share of speed kept", "", 0, 0.95, 0.01, 0.8, 2),
            Choice(
                "air",
                "air",
                (("air", "in air"), ("none", "as if there were none")),
                "air",
            ),
            build=lambda values: many_bounces_scene({**values, "own": self._own}),
            plot=lambda values: draw_rebound_heights({**values, "own": self._own}),
        )
        self.heights = self.answers.ask(
            ("drop", "Your drop height", "such as 180 cm"),
            (
                "heights",
                "Your rebound heights, from the first bounce on",
                "such as 110, 68, 42 cm",
            ),
            told=lambda answers: _read(answers)[2],
        )
        self.heights.observe(self._lay_over, names="state")
        self._lay_over()
        self.hammer_prediction = self.ask(
            "warmer",
            "You strike 100 g of lead 20 times with a hammer of 1 kg at 5 m/s. How "
            "much warmer can the lead get at most?",
            "such as 2 K",
        )
        self.hammering = Stage(
            Slider("hammer", "mass of the hammer", "kg", 0.2, 1.5, 0.1, 1, 1),
            Slider("speed", "speed of a blow", "m/s", 1, 6, 0.5, 3, 1),
            Slider("blows", "blows", "", 1, 30, 1, 10),
            Slider("restitution", "e of a blow", "", 0, 0.8, 0.05, 0.1, 2),
            Choice("metal", "metal", tuple((m, m) for m in METALS), "iron"),
            Slider("piece", "mass of the piece", "g", 50, 500, 10, 100),
            Slider("share", "share that stays in the piece", "%", 0, 100, 5, 100),
            build=hammer_scene,
        )
        self.explanation = self.ask(
            "where",
            "Someone says: the ball lies still, so its energy is gone. What do you "
            "answer, and where would you look for the energy?",
        )

    def _lay_over(self, _change: Any = None) -> None:
        """Take the heights over into drawing and plot."""
        given = {name: self.answers.given(name) for name in ("drop", "heights")}
        own, moved, _ = _read(given)
        if (own, moved) == (self._own, self._moved):
            return
        # Who moves a slider keeps it so, until a number that it follows changes.
        news = {} if moved == self._moved else moved
        self._own, self._moved = own, moved
        self.bouncing.follow(**news)


def _read(
    answers: Mapping[str, str],
) -> tuple[tuple[float, ...], dict[str, float], str]:
    """Give the heights to draw, what sliders follow, and what to say about both."""
    dropped, typed = (answers.get(name, "").strip() for name in ("drop", "heights"))
    own: tuple[float, ...] = ()
    moved: dict[str, float] = {}
    try:
        if typed:
            own = read_heights(typed)
        if dropped:
            moved = _follow(dropped, own)
    except BounceLabError as error:
        return own[:MOST_BOUNCES], {}, f"? {error}"
    return own[:MOST_BOUNCES], moved, _said(own, moved)


def _follow(dropped: str, own: tuple[float, ...]) -> dict[str, float]:
    """Give drop height in cm, and e of the first bounce if there is one."""
    with naming("your drop height"):
        drop = read_length(dropped, unit="cm")
    if drop <= 0 or (own and own[0] > drop):
        raise InputError(
            what="your drop height",
            read=f"“{dropped}”",
            allowed="above 0, and no lower than the first rebound",
            do="Look at both boxes, and at their units.",
        )
    moved = {"height": in_unit(drop, "length", "cm")}
    if own:
        e = restitution_from_heights(drop_height=drop, rebound_height=own[0])
        moved["restitution"] = e
    return moved


def _said(own: tuple[float, ...], moved: Mapping[str, float]) -> str:
    if not own:
        return "✓ Kept. Now your rebound heights."
    said = "✓ Kept, and laid over the prediction as squares."
    if len(own) > MOST_BOUNCES:
        said = f"✓ Kept. The first {MOST_BOUNCES} are laid over the prediction."
    if "restitution" not in moved:
        return f"{said} With your drop height, the sliders follow your numbers."
    return (
        f"{said} Your first bounce says e = {moved['restitution']:.2f} if there were "
        "no air; drop height and e above stand so, as far as they reach. Choose your "
        "ball, then move e until the circles lie in the squares."
    )
