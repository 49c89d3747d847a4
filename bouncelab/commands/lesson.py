"""The commands that prepare a lesson on paper."""

from __future__ import annotations

import argparse
from pathlib import Path

from bouncelab.commands.class_file import chosen_ranges, take_ranges
from bouncelab.commands.offer import DONE, Commands, Parser, show, tell

__all__ = ["offer"]


def offer(commands: Commands) -> None:
    """Offer ``papers`` and ``notes``.

    Parameters
    ----------
    commands : Commands
        Takes them.
    """
    papers = commands.add(
        "papers",
        "write recording sheets, wall strips, role cards, a pump table and a door sign",
        "bouncelab papers --out papers --range futsal-law-2",
        _papers,
    )
    take_ranges(papers)
    _take_paper(papers)
    notes = commands.add(
        "notes",
        "write the teacher notes as one PDF",
        "bouncelab notes --out papers",
        _notes,
    )
    _take_paper(notes)


def _take_paper(parser: Parser) -> None:
    parser.add_argument(
        "--out", metavar="FOLDER", type=Path, required=True, help="where to write"
    )
    parser.add_argument(
        "--paper",
        choices=("a4", "us-letter"),
        default="a4",
        help="size of the sheets; a4 if left out",
    )
    parser.add_argument("--large", action="store_true", help="large print")


def _papers(options: argparse.Namespace) -> int:
    from bouncelab.reports.floor_papers import write_papers

    made = write_papers(
        options.out, chosen_ranges(options), size=options.paper, large=options.large
    )
    show(str(each) for each in made)
    tell("Print at 100 %, without fitting to the page, so that strips keep their size.")
    return DONE


def _notes(options: argparse.Namespace) -> int:
    from bouncelab.reports.notes import write_notes

    show([str(write_notes(options.out, size=options.paper, large=options.large))])
    return DONE
