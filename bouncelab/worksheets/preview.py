"""One example sheet with its key, as a notebook shows it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from bouncelab.typesetting.paper import table

if TYPE_CHECKING:
    from bouncelab.worksheets.sheet import Sheet

__all__ = ["example"]


def example(sheet: Sheet) -> str:
    """Give an example sheet's numbers and its key as Markdown.

    Parameters
    ----------
    sheet : Sheet
        After its cells have run.

    Returns
    -------
    str
        Markdown.
    """
    givens = [[name, str(each.shown)] for name, each in sheet.givens.items()]
    answers = [
        [name, str(each.shown), str(each.marks)] for name, each in sheet.answers.items()
    ]
    return "\n\n".join(
        [
            table(["given", "on this example"], givens),
            table(["question", "answer", "marks"], answers),
        ]
    )
