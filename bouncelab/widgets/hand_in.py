"""A button that puts everything a group typed into one file."""

from __future__ import annotations

import base64
import html
import os
import sys
from datetime import datetime
from pathlib import Path
from typing import Any

import ipywidgets

from bouncelab.errors import BounceLabError
from bouncelab.places import write_whole
from bouncelab.readings.drops import read_rows
from bouncelab.readings.files import write_drops
from bouncelab.readings.hand_in import hand_in
from bouncelab.readings.journal import Journal

__all__ = ["HandIn"]

# There, files are the browser's own: only a download puts them on the computer.
_IN_BROWSER = sys.platform == "emscripten"
_BOX = "BOUNCELAB_HAND_IN"  # a classroom server gives each student one


class HandIn:
    """One button and one sentence.

    Parameters
    ----------
    folder : path-like, optional
        Where the entries are kept, from the notebook's own folder on.

    Attributes
    ----------
    button, said : ipywidgets.Button, ipywidgets.HTML
        What is pressed, and what came of it.
    """

    def __init__(self, folder: str | os.PathLike[str] = "readings") -> None:
        self._folder = folder
        self.button = ipywidgets.Button(
            description="Make one file to hand in",
            layout=ipywidgets.Layout(width="max-content"),
        )
        self.said = ipywidgets.HTML()
        self.button.on_click(self._write)
        self._box = ipywidgets.VBox([self.button, self.said])

    def _write(self, _button: Any) -> None:
        try:
            path, count = hand_in(self._folder)
            entries = "1 entry" if count == 1 else f"{count} entries"
            text = f"✓ {path.parent.name}/{path.name} holds {entries}."
            links = _links([path, *_class_files(path.parent)]) if _IN_BROWSER else ""
            box = os.environ.get(_BOX)
            if box:
                _deliver([path, *_class_files(path.parent)], Path(box))
                text += f" Handed in at {datetime.now():%H:%M}."
        except BounceLabError as error:
            text, links = f"✕ {error}", ""
        self.said.value = f"<p role='status'>{html.escape(text)}</p>{links}"

    def _repr_mimebundle_(self, **kwargs: Any) -> Any:
        return self._box._repr_mimebundle_(**kwargs)


def _deliver(paths: list[Path], box: Path) -> None:
    """Put files into a student's box, named so that a class's can lie together."""
    for path in paths:
        write_whole(box / f"{box.name}-{path.name}", path.read_bytes())


def _class_files(folder: Path) -> list[Path]:
    """Write the drops of each sheet as a class file, which reports are made of."""
    made = []
    for path in sorted(folder.glob("*.jsonl")):
        sheet = Journal(path).sheet
        lines, rows = sheet.table()
        if rows:
            made.append(path.with_suffix(".csv"))
            write_drops(read_rows(sheet.headings(), rows, lines=lines), made[-1])
    return made


def _links(paths: list[Path]) -> str:
    """Give a link to each file that saves it, the file inside the link."""
    items = []
    for path in paths:
        data = base64.b64encode(path.read_bytes()).decode()
        name = html.escape(path.name, quote=True)
        items.append(
            f"<p><a style='text-decoration:underline' download='{name}' "
            f"href='data:text/csv;base64,{data}'>"
            f"Save {name} to this computer</a></p>"
        )
    return "".join(items)
