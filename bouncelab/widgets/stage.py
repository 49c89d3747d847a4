"""Something to move, a drawing that plays, and the numbers beside it."""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Mapping, Sequence
from dataclasses import asdict, dataclass
from typing import Any
from urllib.parse import quote

import traitlets

from bouncelab.errors import BounceLabError
from bouncelab.figures.picture import Picture
from bouncelab.figures.scene import Scene
from bouncelab.widgets.front import Panel

__all__ = ["Choice", "Slider", "Stage"]

_PAUSE = 0.005  # s; a drawing that is dragged comes before the plot beneath it
_NO_PICTURE = {"data": "", "words": "", "width": 0}

Values = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Slider:
    """A number to move; `least`, `most`, `step` and `value` in `unit`."""

    name: str
    label: str
    unit: str
    least: float
    most: float
    step: float
    value: float
    digits: int = 0
    kind: str = "slider"

    def read(self, given: Any) -> float:
        """Give a number within the limits, whatever the page sent."""
        try:
            number = float(given)
        except (TypeError, ValueError):
            return self.value
        inside = min(max(number, self.least), self.most)
        return inside if inside == inside else self.value

    def nearest(self, number: float) -> float:
        """Give the step that is nearest to a number within the limits."""
        steps = round((number - self.least) / self.step)
        return round(self.least + steps * self.step, 9)


@dataclass(frozen=True, slots=True)
class Choice:
    """Something to choose: value and text of each option."""

    name: str
    label: str
    options: tuple[tuple[str, str], ...]
    value: str
    kind: str = "choice"

    def read(self, given: Any) -> str:
        """Give one of the options, whatever the page sent."""
        return given if given in dict(self.options) else self.value


class Stage(Panel):
    """A drawing that follows its controls.

    Parameters
    ----------
    *controls : Slider or Choice
        What can be moved, from left to right.
    build : callable
        Takes the controls' values by name and gives a `Scene`.
    plot : callable, optional
        Takes the same and gives a `Picture`, drawn beneath, or None.
    """

    controls = traitlets.List([]).tag(sync=True)
    at = traitlets.Dict({}).tag(sync=True)
    scene = traitlets.Dict({}).tag(sync=True)
    picture = traitlets.Dict(_NO_PICTURE).tag(sync=True)

    def __init__(
        self,
        *controls: Slider | Choice,
        build: Callable[[Values], Scene],
        plot: Callable[[Values], Picture | None] | None = None,
    ) -> None:
        self._all: Sequence[Slider | Choice] = controls
        self._build, self._plot = build, plot
        self._later: asyncio.TimerHandle | None = None
        self._shown: Picture | None = None
        self.values: dict[str, Any] = {each.name: each.value for each in controls}
        super().__init__(
            part="stage",
            controls=[asdict(each) for each in controls],
            scene=build(self.values).to_dict(),
            at=dict(self.values),
        )
        self.on_msg(self._heard)
        self._draw()

    def offer(self, *controls: Slider | Choice) -> None:
        """Put other controls in place of those there; what still fits stays chosen.

        Parameters
        ----------
        *controls : Slider or Choice
            From left to right.
        """
        self._all = controls
        self.values = {
            each.name: each.read(self.values.get(each.name, each.value))
            for each in controls
        }
        self.controls = [
            {**asdict(each), "value": self.values[each.name]} for each in controls
        ]

    def set(self, **values: Any) -> None:
        """Move controls by name, as a student does on the page.

        Parameters
        ----------
        **values : float or str
            New values; a number outside its limits is moved to the nearest.
        """
        known = {each.name: each for each in self._all}
        for name, value in values.items():
            if name in known:
                self.values[name] = known[name].read(value)
        with self.hold_sync():  # one message to the page
            self.at = dict(self.values)
            try:
                self.scene = self._build(self.values).to_dict()
            except BounceLabError as error:
                said = str(error)
                told = f"✕ The drawing stays as it was. {said[:1].upper()}{said[1:]}"
                self.scene = {**self.scene, "told": told}
                return
        self._draw_soon()

    def follow(self, **values: float) -> None:
        """Move sliders to numbers of the student's own; the page's sliders follow.

        Parameters
        ----------
        **values : float
            New values, each taken at the nearest step. If one of them is outside
            its limits, no slider moves.
        """
        sliders = {each.name: each for each in self._all if isinstance(each, Slider)}
        known = {name: sliders[name] for name in values if name in sliders}
        if all(s.least <= values[name] <= s.most for name, s in known.items()):
            near = {name: s.nearest(values[name]) for name, s in known.items()}
        else:
            near = {}
        self.set(**near)

    def _heard(self, _panel: Any, content: dict[str, Any], _buffers: Any) -> None:
        step = content.get("step")
        if isinstance(step, dict) and isinstance(step.get("name"), str):
            self.set(**{step["name"]: step.get("value")})
        self.send({"number": content.get("number")})

    def _draw_soon(self) -> None:
        if self._later is not None:
            self._later.cancel()
            self._later = None
        try:
            loop = asyncio.get_running_loop()
        except RuntimeError:
            self._draw()
        else:
            self._later = loop.call_later(_PAUSE, self._draw)

    def _draw(self) -> None:
        if self._plot is None:
            return
        picture = self._plot(self.values)
        if picture is self._shown:
            return
        self._shown = picture
        if picture is None:
            self.picture = _NO_PICTURE
            return
        self.picture = {
            "data": "data:image/svg+xml," + quote(picture.svg()),
            "words": picture.words,
            "width": int(picture.figure.get_figwidth() * 96),
        }
