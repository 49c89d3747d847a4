"""A ball brought to the mark."""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import replace
from functools import lru_cache
from typing import Any

from bouncelab.analysis.pressure import Tuning, tune_pressure
from bouncelab.catalogue import ranges
from bouncelab.errors import InputError
from bouncelab.figures.picture import Picture
from bouncelab.figures.pressure_curve import draw_pressure_curve, pump_scene
from bouncelab.figures.scene import Scene
from bouncelab.kinds import find_ball
from bouncelab.units import read_pressure
from bouncelab.widgets.lessons.class_source import ClassSource
from bouncelab.widgets.lessons.lesson import Lesson
from bouncelab.widgets.stage import Choice, Slider, Stage

__all__ = ["TuneBall"]

_LITRE = 1e-3  # m³


class TuneBall(Lesson):
    """Pressure against bounce, and how much air to add or to let out.

    Parameters
    ----------
    file : path-like
        A class file with drops of a ball at several pressures, or a folder of groups'
        files; a folder is looked at every second, and what is new is taken in.
    folder : path-like, optional
        Where answers are kept, from the notebook's own folder on.

    Attributes
    ----------
    prediction, explanation : Question
        Before and after.
    stage : Stage
        The gauge and the curve.

    Raises
    ------
    FileError
        If the file cannot be read.
    InputError
        If no ball in it has a pressure and a range.
    """

    def __init__(
        self,
        file: str | os.PathLike[str],
        folder: str | os.PathLike[str] = "readings",
    ) -> None:
        super().__init__("tune-ball", folder)
        self._source = ClassSource(file)
        self.prediction = self.ask(
            "half",
            "A ball at half its pressure: does it bounce half as high?",
            "such as: yes, or 80 % as high",
        )
        self._tuned = lru_cache(maxsize=64)(self._tune)
        self._drawn = lru_cache(maxsize=64)(
            lambda pair: draw_pressure_curve(self._tuned(pair)[0])
        )
        self.stage = Stage(*self._controls(), build=self._build, plot=self._plot)
        self.explanation = self.ask(
            "more", "Why does more air make the ball livelier, and why less and less?"
        )

        self._source.watch(self._changed)

    def _controls(self) -> list[Choice | Slider]:
        pairs = self._pairs()
        return [
            Choice("pair", "ball and range", tuple(pairs), pairs[0][0]),
            Slider("now", "pressure in the ball now", "kPa", 0, 110, 1, 30, 0),
            Slider(
                "stroke", "one stroke of our pump moves", "L", 0.05, 0.6, 0.05, 0.2, 2
            ),
        ]

    def _changed(self) -> None:
        """Take in what is new in a watched folder."""
        self._tuned.cache_clear()
        self._drawn.cache_clear()
        self.stage.offer(*self._controls())
        self.stage.set()

    def _pairs(self) -> list[tuple[str, str]]:
        """Give each ball with most pressures first, with each range for its kind."""
        counts: dict[str, int] = {}
        for row in self._source.found.rows:
            if row.gauge_pressure is not None:
                counts[row.ball] = counts.get(row.ball, 0) + 1
        pairs = []
        for ball in sorted(counts, key=lambda each: -counts[each]):
            kind = find_ball(ball)
            for each in ranges():
                if kind is not None and each.ball == kind.id:
                    said = f"{ball}: {each.body}, {each.edition}"
                    pairs.append((f"{ball}|{each.id}", said))
        if not pairs and self._source.notes:
            return [("", "no ball with pressures yet")]
        if not pairs:
            raise InputError(
                what="the class file",
                read="no ball with both a pressure and a published range",
                allowed="drops of one ball at four pressures or more",
                do="Fill in the column “gauge pressure (kPa)”.",
            )
        return pairs

    def _tune(self, pair: str) -> tuple[Tuning, float | None]:
        ball, _, id = pair.rpartition("|")
        wanted = next(each for each in ranges() if each.id == id)
        kind = find_ball(ball)
        most = kind.max_gauge_pressure_pa if kind else None
        tuned = tune_pressure(self._source.found, ball=ball, range=wanted)
        # The slider says what is in the ball, not the row that was written last.
        return replace(tuned, now=None, air=""), most

    def _build(self, values: Mapping[str, Any]) -> Scene:
        files = " ".join(self._source.notes)
        if not values["pair"]:
            said = "No group's file here has a ball with its pressures yet."
            return Scene(["now"], [], [], said, told=said, note=files)
        tuning, most = self._tuned(values["pair"])
        now = read_pressure(f"{values['now']} kPa")
        scene = pump_scene(
            tuning, now=now, stroke=values["stroke"] * _LITRE, maximum=most
        )
        return replace(scene, note=f"{scene.note} {files}".strip())

    def _plot(self, values: Mapping[str, Any]) -> Picture | None:
        return self._drawn(values["pair"]) if values["pair"] else None
