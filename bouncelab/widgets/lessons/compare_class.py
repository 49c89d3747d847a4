"""Same pressure, other bounce."""

from __future__ import annotations

import os
from collections.abc import Mapping
from functools import lru_cache
from typing import Any

from bouncelab.analysis.comparison import BY, Comparison, Pair, compare
from bouncelab.analysis.words import shown
from bouncelab.errors import InputError
from bouncelab.figures.levels import draw_comparison
from bouncelab.figures.picture import Picture
from bouncelab.figures.scene import Reading, Scene
from bouncelab.widgets.lessons.class_source import ClassSource
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
        A class file, or a folder of groups' files; a folder is looked at every second,
        and what is new is taken in.
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
        self._source = ClassSource(file)
        self.prediction = self.ask(
            "same",
            "Two balls of one kind, pumped to the same gauge pressure: "
            "the same bounce?",
            "yes or no",
        )
        self._told = lru_cache(maxsize=128)(self._compare)
        self._drawn = lru_cache(maxsize=128)(self._draw)
        self._by = by
        self.stage = Stage(*self._controls(), build=self._build, plot=self._plot)
        self.explanation = self.ask(
            "why", "Name two reasons why the same pressure need not be the same bounce."
        )

        self._source.watch(self._changed)

    def _controls(self) -> list[Choice]:
        found = self._source.found
        names = list(dict.fromkeys(row.ball for row in found.rows if row.n))
        balls = [("", "the one with most to compare"), *((n, n) for n in names)]
        return [
            Choice("by", "compare by", tuple((each, each) for each in BY), self._by),
            Choice("ball", "within which ball (only if not by ball)", tuple(balls), ""),
        ]

    def _changed(self) -> None:
        """Take in what is new in a watched folder."""
        self._told.cache_clear()
        self._drawn.cache_clear()
        self.stage.offer(*self._controls())
        self.stage.set()

    def _compare(self, by: str, ball: str) -> Comparison | str:
        try:
            chosen = ball if by != "ball" and ball else None
            return compare(self._source.found, by=by, ball=chosen)
        except InputError as error:
            return f"Comparing by {by}: there is {error.read}. {error.do}"

    def _build(self, values: Mapping[str, Any]) -> Scene:
        told = self._told(values["by"], values["ball"])
        if isinstance(told, str):
            files = " ".join(self._source.notes)
            return Scene(["now"], [], [], told, told=told, note=files)
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
            + " ".join([*told.remarks, *self._source.notes]),
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
    if pair.different and pair.other_groups:
        sign = "✓ the ball or the group"
    return f"e differs by {size}  {sign}"
