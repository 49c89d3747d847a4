"""A button that puts everything a group typed into one file."""

from __future__ import annotations

import html
import os
from typing import Any

import ipywidgets

from bouncelab.errors import BounceLabError
from bouncelab.readings.hand_in import hand_in

__all__ = ["HandIn"]


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
        except BounceLabError as error:
            text = f"✕ {error}"
        self.said.value = f"<p role='status'>{html.escape(text)}</p>"

    def _repr_mimebundle_(self, **kwargs: Any) -> Any:
        return self._box._repr_mimebundle_(**kwargs)
