"""Why a ball bounces at all: air that is squeezed, pumped in and warmed."""

from __future__ import annotations

import os

from bouncelab.errors import BounceLabError
from bouncelab.figures.pumping import inflated_balls, pumping_scene
from bouncelab.figures.squeeze import squeeze_scene
from bouncelab.figures.squeeze_path import draw_squeeze
from bouncelab.figures.store_and_hall import store_and_hall_scene
from bouncelab.physics.ball_air import sealed_pressure
from bouncelab.units import read_pressure, read_temperature, show_pressure
from bouncelab.widgets.lessons.entries import naming
from bouncelab.widgets.lessons.lesson import Lesson
from bouncelab.widgets.stage import Choice, Slider, Stage

__all__ = ["SealedAir"]

_ASKED = (
    ("cold", "temperature in the cold place", "such as 6 °C"),
    ("cold-gauge", "gauge pressure there", "such as 48 kPa"),
    ("warm", "temperature in the warm place", "such as 21 °C"),
    ("warm-gauge", "gauge pressure there, after an hour", "such as 56 kPa"),
)


class SealedAir(Lesson):
    """Air in a closed space: squeezed, pumped in, and carried into the warm.

    Parameters
    ----------
    folder : path-like, optional
        Where answers are kept, from the notebook's own folder on.

    Attributes
    ----------
    prediction, pump_prediction, explanation : Question
        Before and after.
    squeezing, pumping, carrying : Stage
        A closed syringe, two balls with a pump, and a ball that gets warm.
    readings : Question
        A ball of the class in two places, beside what the law says.
    """

    def __init__(self, folder: str | os.PathLike[str] = "readings") -> None:
        super().__init__("sealed-air", folder)
        self.prediction = self.ask(
            "halved",
            "A closed syringe shows a gauge pressure of 0 kPa. You squeeze its air "
            "slowly to half the volume. What does the gauge show then?",
            "such as 50 kPa",
        )
        self.squeezing = Stage(
            Slider(
                "volume",
                "volume where it turns (start: 100 %)",
                "%",
                40,
                150,
                5,
                50,
            ),
            Slider("gauge", "gauge pressure at the start", "kPa", 0, 60, 5, 0),
            Choice(
                "way",
                "how",
                (
                    ("slow", "slowly in, slowly back"),
                    ("fast", "fast in and at once back"),
                    ("wait", "fast in, wait, fast back, wait"),
                ),
                "slow",
            ),
            build=squeeze_scene,
            plot=draw_squeeze,
        )
        self.pump_prediction = self.ask(
            "same-air",
            "A basketball and a handball show the same gauge pressure. Does one hold "
            "more air? Which one, and how many times as much?",
            "such as twice as much",
        )
        kinds = tuple((ball.id, ball.name) for ball in inflated_balls())
        self.pumping = Stage(
            Choice("left", "left ball", kinds, "basketball-7"),
            Choice("right", "right ball", kinds, "handball-3"),
            Slider("gauge", "gauge pressure to reach", "kPa", 0, 110, 5, 50),
            Slider("stroke", "outside air in one stroke", "ml", 50, 300, 10, 100),
            Slider("temperature", "temperature", "°C", 0, 35, 1, 20),
            build=pumping_scene,
        )
        self.carrying = Stage(
            Choice("ball", "ball", kinds, "futsal"),
            Slider("gauge", "gauge pressure in the store", "kPa", 0, 110, 5, 60),
            Slider("store", "temperature of the store", "°C", -5, 35, 1, 5),
            Slider("hall", "temperature of the hall", "°C", -5, 35, 1, 22),
            build=store_and_hall_scene,
        )
        self.readings = self.answers.ask(*_ASKED, told=_compared)
        self.explanation = self.ask(
            "why",
            "Why does a ball bounce at all, and what does pumping change? Say it to "
            "somebody who thinks that the air only pushes when you squeeze it.",
        )


def _compared(answers: dict[str, str]) -> str:
    """Say what the law gives for a ball of the class, beside its reading."""
    texts = [answers.get(name, "").strip() for name, _, _ in _ASKED]
    if not all(texts[:3]):
        return "Kept. Fill in the first three for the law's answer."
    try:
        with naming(_ASKED[0][1]):
            cold = read_temperature(texts[0], unit="°C")
        with naming("gauge pressure in the cold place"):
            before = read_pressure(texts[1], unit="kPa")
        with naming(_ASKED[2][1]):
            warm = read_temperature(texts[2], unit="°C")
        law = sealed_pressure(
            gauge_pressure=before, temperature_c=cold, new_temperature_c=warm
        )
        said = f"By the law the gauge shows {show_pressure(law)} in the warm place."
        if not texts[3]:
            return said
        with naming("gauge pressure in the warm place"):
            apart = read_pressure(texts[3], unit="kPa") - law
    except BounceLabError as error:
        return f"? {error}"
    side = "above" if apart > 0 else "below"
    return f"{said} You read {show_pressure(abs(apart))} {side} it."
