"""The teacher notes: their numbers worked out anew, and all of them in one PDF.

A number stands in the text between ``<!--name-->`` and ``<!--/-->``, which a
reader of the file does not see; a table between ``<!--table name-->`` and
``<!--/table-->``.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from pathlib import Path

from bouncelab.errors import InputError
from bouncelab.places import kit_folder, write_whole
from bouncelab.reports.note_numbers import NUMBERS, TABLES
from bouncelab.typesetting.making import PaperSize, make_pdf
from bouncelab.typesetting.paper import Paper

__all__ = ["PAGES", "note_paper", "refreshed", "write_notes"]

PAGES = (
    "README.md",
    "lesson_45_minutes.md",
    "lesson_90_minutes.md",
    "week_project.md",
    "on_the_floor.md",
    "notebooks.md",
    "recording.md",
    "without_installing.md",
    "classroom_server.md",
    "wrong_ideas.md",
    "questions.md",
    "marking.md",
    "safety.md",
    "links.md",
)

_NUMBER = re.compile(r"<!--([a-zA-Z0-9.]+)-->(.*?)<!--/-->", re.DOTALL)
_TABLE = re.compile(r"<!--table ([a-z]+)-->\n.*?<!--/table-->", re.DOTALL)
# A table's marks fill their lines; those of a number stand within one.
_MARK = re.compile(r"<!--/?table.*?-->\n?|<!--.*?-->")
_LINK = re.compile(r"\[([^\]]+)\]\((?!https?:)[^)]*\)")


def refreshed(text: str) -> str:
    """Give a page with every number and table worked out anew.

    Parameters
    ----------
    text : str
        Markdown of a page.

    Returns
    -------
    str
        The same text with the library's numbers.

    Raises
    ------
    InputError
        If it asks for a number or a table that the kit does not work out.

    Examples
    --------
    >>> refreshed("from <!--drop-->?<!--/-->")
    'from <!--drop-->1.80 m<!--/-->'
    """

    def number(found: re.Match[str]) -> str:
        return f"<!--{found[1]}-->{_named(found[1], NUMBERS)()}<!--/-->"

    def table(found: re.Match[str]) -> str:
        made = _named(found[1], TABLES)()
        return f"<!--table {found[1]}-->\n{made}\n<!--/table-->"

    return _NUMBER.sub(number, _TABLE.sub(table, text))


def _named(name: str, known: Mapping[str, Callable[[], str]]) -> Callable[[], str]:
    if name not in known:
        raise InputError(
            what="a number in the teacher notes",
            read=f"“{name}”",
            allowed=", ".join(sorted(known)),
            do="Use one of these names, or add it to reports/note_numbers.py.",
        )
    return known[name]


def note_paper() -> Paper:
    """Put all pages of the notes together.

    Returns
    -------
    Paper
        Its numbers are those of this very library.

    Raises
    ------
    BounceLabError
        If a page is missing or asks for an unknown number.
    """
    folder = kit_folder("teacher_notes")
    texts = []
    for name in PAGES:
        text = refreshed((folder / name).read_text("utf-8"))
        text = _MARK.sub("", text)
        texts.append(_LINK.sub(r"\1", text))  # files beside this one are pages here
    return Paper(
        "Teacher notes",
        "\n\n::: new-page\n:::\n\n".join(texts),
        {},
        "bouncelab: teacher notes",
    )


def write_notes(folder: Path, *, size: PaperSize = "a4", large: bool = False) -> Path:
    """Write the notes as one PDF.

    Parameters
    ----------
    folder : pathlib.Path
        Where; it is made if it is not there.
    size : {"a4", "us-letter"}, optional
        The sheets.
    large : bool, optional
        Large print.

    Returns
    -------
    pathlib.Path
        The file.

    Raises
    ------
    BounceLabError
        If the notes cannot be typeset or written.
    """
    path = folder / "teacher_notes.pdf"
    write_whole(path, make_pdf(note_paper(), size=size, large=large))
    return path
