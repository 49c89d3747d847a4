"""The front end's scripts and styles, put together from files beside this one."""

from __future__ import annotations

from pathlib import Path

__all__ = ["script", "style"]

_HERE = Path(__file__).parent


def script(name: str) -> str:
    """Give a panel's script with what all of them share in front.

    Parameters
    ----------
    name : str
        The file's name.

    Returns
    -------
    str
        One JavaScript module.

    Examples
    --------
    >>> "export default" in script("drop_lab.js")
    True
    """
    return _text("common.js") + "\n" + _text(name)


def style(name: str) -> str:
    """Give a panel's style sheet with what all of them share in front.

    Parameters
    ----------
    name : str
        The file's name.

    Returns
    -------
    str
        One style sheet.

    Examples
    --------
    >>> ".bl-lab" in style("drop_lab.css")
    True
    """
    return _text("common.css") + "\n" + _text(name)


def _text(name: str) -> str:
    return (_HERE / name).read_text("utf-8")
