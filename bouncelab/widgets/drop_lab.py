"""The drop lab: a sheet to type drops into, with its answers beside it."""

from __future__ import annotations

import asyncio
import html
import os
from pathlib import Path
from typing import Any
from urllib.parse import quote

import ipywidgets
import traitlets

from bouncelab.analysis.bounciness import Bounciness, bounciness
from bouncelab.catalogue import BounceRange, load_ranges, ranges
from bouncelab.errors import BounceLabError
from bouncelab.readings.checks import check_drops
from bouncelab.readings.drops import Drops, read_rows
from bouncelab.readings.files import write_drops
from bouncelab.readings.journal import Journal
from bouncelab.readings.sheet import COLUMNS, UNITS
from bouncelab.widgets.front import Panel
from bouncelab.widgets.lab_words import (
    choices,
    comparison,
    finding_cells,
    points_drawn,
    range_words,
    results,
    workings,
)
from bouncelab.widgets.questions import Question

__all__ = ["DropLab", "Table"]

# A soft hyphen lets a long heading stand over a narrow column.
_PARTED = {
    "circumference": "circum\u00adference",
    "temperature": "temper\u00adature",
}
_PAUSE = 0.25  # s without a keystroke before the picture is drawn again


class Table(Panel):
    """The sheet with its answers."""

    columns = traitlets.List([]).tag(sync=True)
    state = traitlets.Dict({}).tag(sync=True)
    picture = traitlets.Dict({"data": "", "words": "", "width": 0}).tag(sync=True)


class DropLab:
    """A sheet for one group's drops, kept on disk at every keystroke.

    Parameters
    ----------
    name : str, optional
        Names the sheet; another name is another sheet.
    folder : path-like, optional
        Where it is kept, from the notebook's own folder on.
    own_ranges : path-like, optional
        A CSV file of bounce ranges to choose from besides the published ones.

    Attributes
    ----------
    table : Table
    prediction, explanation : Question
        The parts to show in a notebook; showing the lab shows the table.
    working : ipywidgets.HTML
        How the numbers come about, step by step.
    drops : Drops
        The readings so far, checked.
    found : Bounciness or None
        What they say; None before the first whole drop.

    Raises
    ------
    FileError
        If a saved sheet is there and cannot be read.

    Examples
    --------
    >>> import tempfile
    >>> folder = tempfile.TemporaryDirectory()
    >>> lab = DropLab("doctest", folder=folder.name)
    >>> lab.take({"do": "cell", "row": 0, "column": "rebound_height", "text": "60"})
    >>> lab.drops.table["flag"].tolist()  # the drop height is missing
    ['left_out']
    >>> folder.cleanup()
    """

    def __init__(
        self,
        name: str = "drop-lab",
        *,
        folder: str | os.PathLike[str] = "readings",
        own_ranges: str | os.PathLike[str] | None = None,
    ) -> None:
        own: tuple[BounceRange, ...] = load_ranges(own_ranges) if own_ranges else ()
        self.ranges = {each.id: each for each in (*ranges(), *own)}
        self.journal = Journal(Path(folder) / f"{name}.jsonl")
        self.drops: Drops = read_rows(self.journal.sheet.headings(), [])
        self.found: Bounciness | None = None
        self._saved = self._taken_up()
        self._later: asyncio.TimerHandle | None = None
        key = str(self.journal.path.absolute())
        columns = [
            {
                "name": column.name,
                "heading": column.heading,
                "label": _PARTED.get(column.name, column.heading),
                "units": list(UNITS.get(column.quantity, ())),
            }
            for column in COLUMNS
            if column.shown
        ]
        self.working = ipywidgets.HTML()
        self.table = Table(part="table", key=key, columns=columns)
        self.prediction = Question(
            part="question",
            key=key + " prediction",
            questions=[
                {
                    "field": "prediction",
                    "text": "How high will the bottom of the ball come back?",
                    "example": "such as 90 cm",
                },
                {"field": "reason", "text": "Why do you think so?", "long": True},
            ],
        )
        self.explanation = Question(
            part="question",
            key=key + " explanation",
            questions=[
                {
                    "field": "explanation",
                    "text": "What happened to the energy that did not come back?",
                    "long": True,
                }
            ],
        )
        for panel in (self.table, self.prediction, self.explanation):
            panel.on_msg(self._heard)
        self._think("")
        self._draw()

    def take(self, step: dict[str, Any]) -> None:
        """Take one step of a person's work, keep it, and answer it.

        Parameters
        ----------
        step : dict
            As for `bouncelab.readings.sheet.apply`, or ``undo``, ``redo``.
        """
        refused = ""
        try:
            self.journal.step(step)
            self._saved = f"✓ Saved in {self._name()}."
        except BounceLabError as error:
            if not self.journal.unsaved:
                refused = f"Not done, nothing was changed: {error}"
        self._think(refused)
        self._draw_soon()

    def save(self) -> None:
        """Write the drops as a class file beside the sheet."""
        path = self.journal.path.with_suffix(".csv")
        refused = ""
        try:
            write_drops(self.drops, path)
            where = f"{path.parent.name}/{path.name}"
            self._saved = f"✓ The class file is {where}: give it to your teacher."
        except BounceLabError as error:
            refused = str(error)
        self._think(refused)

    def _repr_mimebundle_(self, **kwargs: Any) -> Any:
        return self.table._repr_mimebundle_(**kwargs)

    def _name(self) -> str:
        return f"{self.journal.path.parent.name}/{self.journal.path.name}"

    def _taken_up(self) -> str:
        typed = len(self.journal.sheet.table()[0])
        if not typed:
            return "Each key you press is saved at once."
        drops = "1 drop" if typed == 1 else f"{typed} drops"
        return f"✓ Taken up again from {self._name()}: {drops}."

    def _heard(self, panel: Panel, content: dict[str, Any], _buffers: Any) -> None:
        step = content.get("step")
        if not isinstance(step, dict):
            return
        if step.get("do") == "save":
            self.save()
        else:
            self.take(step)
        panel.send({"number": content.get("number")})

    def _think(self, refused: str) -> None:
        sheet = self.journal.sheet
        lines, rows = sheet.table()
        self.drops = check_drops(read_rows(sheet.headings(), rows, lines=lines))
        chosen = self.ranges.get(sheet.setup["range"])
        self.found = None
        if rows:
            self.found = bounciness(self.drops, ranges=[chosen] if chosen else [])
        problem = ""
        if self.journal.unsaved:
            try:
                self.journal.save()
            except BounceLabError as error:
                problem = str(error)
        self.table.state = {
            "sheet": sheet.to_dict(),
            "findings": finding_cells(self.found, self.drops),
            "choices": choices(tuple(self.ranges.values())),
            "results": results(self.found, sheet.setup, chosen),
            "rule": range_words(chosen),
            "points": points_drawn(sheet.setup),
            "saved": " ".join([self._saved, *self.journal.remarks]),
            "problem": problem,
            "refused": refused,
            "can_undo": bool(self.journal.history.past),
            "can_redo": bool(self.journal.history.future),
        }
        said = comparison(self.found, sheet)
        setup = dict(sheet.setup)
        self.prediction.state = {"setup": setup, **said}
        kept = "Kept with your drops." if setup["explanation"].strip() else ""
        self.explanation.state = {"setup": setup, "answer": kept, "bad": False}

    def _draw_soon(self) -> None:
        """Draw when typing pauses: a picture takes ten times as long as a verdict."""
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
        from bouncelab.figures.strips import draw_strips

        rows = self.found.rows[:12] if self.found else ()
        setup = self.journal.sheet.setup
        if rows:
            unit = setup["show_length"].replace("ft in", "in")
            picture = draw_strips(rows, unit=unit)
            data = "data:image/svg+xml," + quote(picture.svg())
            self.table.picture = {
                "data": data,
                "words": picture.words,
                "width": int(picture.figure.get_figwidth() * 96),
            }
        else:
            self.table.picture = {"data": "", "words": "", "width": 0}
        self.working.value = workings(rows, html.escape)
