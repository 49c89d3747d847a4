"""Same pressure, other bounce."""

from __future__ import annotations

import os
from collections.abc import Mapping
from functools import lru_cache
from typing import Any

from bouncelab.analysis.bounciness import bounciness
from bouncelab.analysis.comparison import BY, Comparison, Pair, compare
from bouncelab.analysis.words import shown
from bouncelab.errors import InputError
from bouncelab.figures.levels import draw_comparison
from bouncelab.figures.picture import Picture
from bouncelab.figures.scene import Reading, Scene
from bouncelab.readings.checks import check_drops
from bouncelab.readings.files import read_drops
from bouncelab.widgets.lessons.lesson import Lesson
from bouncelab.widgets.stage import Choice, Stage

__all__ = ["CompareClass"]

_MOST = 14  # pairs shown at once, the surest first
_ARROW = "The arrow points to the livelier one."


class CompareClass(Lesson):
    """Compare balls, or one ball's pressures, floors, temperatures and groups.

    Parameters
    ----------
    file : path-like
        A class file.
    folder : path-like, optional
        Where answers are kept, from the notebook's own folder on.
    by : str, optional
        What is compared at first.

    Attributes
    ----------
    prediction, explanation : Question
        Before and after.
    stage : Stage
        What to compare, and what comes of it.

    Raises
    ------
    FileError
        If the file cannot be read.
    """

    def __init__(
        self,
        file: str | os.PathLike[str],
        folder: str | os.PathLike[str] = "readings",
        *,
        by: str = "ball",
    ) -> None:
        super().__init__("compare-class", folder)
        self._found = bounciness(check_drops(read_drops(file)))
        names = list(dict.fromkeys(row.ball for row in self._found.rows if row.n))
        self.prediction = self.ask(
            "same",
            "Two balls of one kind, pumped to the same gauge pressure: "
            "the same bounce?",
            "yes or no",
        )
        self._told = lru_cache(maxsize=128)(self._compare)
        self._drawn = lru_cache(maxsize=128)(self._draw)
        balls = [("", "the one with most to compare"), *((n, n) for n in names)]
        self.stage = Stage(
            Choice("by", "compare by", tuple((each, each) for each in BY), by),
            Choice("ball", "within which ball (only if not by ball)", tuple(balls), ""),
            build=self._build,
            plot=self._plot,
        )
        self.explanation = self.ask(
            "why", "Name two reasons why the same pressure need not be the same bounce."
        )

    def _compare(self, by: str, ball: str) -> Comparison | str:
        try:
            chosen = ball if by != "ball" and ball else None
            return compare(self._found, by=by, ball=chosen)
        except InputError as error:
            return str(error)

    def _build(self, values: Mapping[str, Any]) -> Scene:
        told = self._told(values["by"], values["ball"])
        if isinstance(told, str):
            return Scene(["now"], [], [], told, told=told)
        pairs = sorted(told.pairs, key=lambda each: each.p)
        differ = sum(each.different for each in pairs)
        cut = f" The surest {_MOST} pairs are shown." if len(pairs) > _MOST else ""
        return Scene(
            times=["now"],
            shapes=[],
            readings=[
                Reading(_upwards(each), [_short(each)]) for each in pairs[:_MOST]
            ],
            words=" ".join(str(each) for each in pairs[:_MOST]),
            told=f"{differ} of {len(pairs)} pairs can be told apart.",
            note=f"{told.held} {_ARROW}{cut} The sign ✓ is wrong in at most 5 of 100 "
            "classes in which nothing differs, however many pairs are looked at. "
            + " ".join(told.remarks),
        )

    def _plot(self, values: Mapping[str, Any]) -> Picture | None:
        return self._drawn(values["by"], values["ball"])

    def _draw(self, by: str, ball: str) -> Picture | None:
        told = self._told(by, ball)
        return None if isinstance(told, str) else draw_comparison(told)


def _upwards(pair: Pair) -> str:
    """Name both, the livelier one last."""
    low, high = (pair.a, pair.b) if pair.difference >= 0 else (pair.b, pair.a)
    return f"{low} → {high}"


def _short(pair: Pair) -> str:
    size = shown(abs(pair.difference), (pair.high - pair.low) / 2)
    sign = "✓ told apart" if pair.different else "? cannot be told"
    return f"e differs by {size}  {sign}"
