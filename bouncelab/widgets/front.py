"""The front end: what all panels share, and its scripts and styles put together."""

from __future__ import annotations

from pathlib import Path

import anywidget
import traitlets

__all__ = ["Panel", "script", "style"]

_HERE = Path(__file__).parent
# Plain files are easier to read and to check than one long one.
_SCRIPTS = ("common.js", "question.js", "drop_lab.js", "stage.js")
_STYLES = ("common.css", "drop_lab.css", "stage.css")


def script(*more: str) -> str:
    """Give the front end's script, one JavaScript module for every panel.

    Parameters
    ----------
    *more : str
        Names of scripts that only one kind of panel needs.

    Returns
    -------
    str
        All of them together.

    Examples
    --------
    >>> script().count("export default")
    1
    """
    names = (*_SCRIPTS, *more, "main.js")
    return "\n".join((_HERE / name).read_text("utf-8") for name in names)


def style(*more: str) -> str:
    """Give the front end's style sheet.

    Parameters
    ----------
    *more : str
        Names of style sheets that only one kind of panel needs.

    Returns
    -------
    str
        All of them together.

    Examples
    --------
    >>> ".bl-lab {" in style()
    True
    """
    return "\n".join((_HERE / name).read_text("utf-8") for name in (*_STYLES, *more))


class Panel(anywidget.AnyWidget):  # type: ignore[misc]  # it has no types
    """One part of a page; it holds no thought of its own.

    Attributes
    ----------
    part : {"table", "question", "stage", "listening"}
        Which of the front end's parts it is.
    key : str
        Under which name unanswered keys are kept in the browser.
    """

    _esm = script()
    _css = style()
    part = traitlets.Unicode("").tag(sync=True)
    key = traitlets.Unicode("").tag(sync=True)
