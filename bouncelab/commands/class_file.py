"""What commands that take a class file have in common: options and their meaning."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from bouncelab.commands.offer import Parser, tell

if TYPE_CHECKING:
    from bouncelab.analysis.quality import ReadingQuality
    from bouncelab.catalogue import BounceRange
    from bouncelab.readings.drops import Drops

__all__ = [
    "FILE",
    "QUALITY",
    "chosen_ranges",
    "quality",
    "read_class",
    "take_file",
    "take_quality",
    "take_ranges",
]

FILE = (
    "a table as CSV or XLSX, one drop a row, with headings such as ball, "
    "drop height (cm), rebound height (cm); or a folder of such files"
)
# Field of ReadingQuality, option, what it says with the value taken if left out.
QUALITY = {
    "drop_half_width": ("--drop-reading", "± of setting the drop height; else 0.5cm"),
    "rebound_half_width": ("--rebound-reading", "± of reading a rebound; else 1cm"),
    "tape_offset_half_width": ("--tape", "± of the tape's zero; else 0.3cm"),
    "diameter_half_width": ("--diameter", "± of a measured diameter; else 0.3cm"),
}


def take_file(parser: Parser) -> None:
    """Let a command take a class file.

    Parameters
    ----------
    parser : Parser
        Of the command.
    """
    parser.add_argument("file", metavar="FILE", type=Path, help=FILE)


def take_ranges(parser: Parser, *, one: bool = False) -> None:
    """Let a command take bounce ranges.

    Parameters
    ----------
    parser : Parser
        Of the command.
    one : bool, optional
        Whether it must be one range and no more.
    """
    if one:
        parser.add_argument(
            "--range", metavar="ID", nargs=1, required=True, help="the range to meet"
        )
    else:
        parser.add_argument(
            "--range",
            metavar="ID",
            action="append",
            default=[],
            help="compare with this range; may be given several times "
            "(bouncelab ranges)",
        )
    parser.add_argument(
        "--ranges", metavar="FILE", type=Path, help="a CSV of ranges of your own"
    )


def take_quality(parser: Parser) -> None:
    """Let a command take how well heights can be read.

    Parameters
    ----------
    parser : Parser
        Of the command.
    """
    for name, text in QUALITY.values():
        parser.add_argument(name, metavar="LENGTH", help=text)


def read_class(path: Path) -> Drops:
    """Read and check a class file, or a folder of groups' files as one class.

    Parameters
    ----------
    path : Path
        The file or folder.

    Returns
    -------
    Drops
        With its doubtful readings marked.
    """
    if path.is_dir():
        from bouncelab.readings.folder import read_folder

        folder = read_folder(path)
        for note in folder.notes[1:]:
            tell(note)
        return folder.drops
    from bouncelab.readings.checks import check_drops
    from bouncelab.readings.files import read_drops

    return check_drops(read_drops(path))


def quality(options: argparse.Namespace) -> ReadingQuality:
    """Give how well heights can be read, as the options say it.

    Parameters
    ----------
    options : argparse.Namespace
        Those of a command that takes them.

    Returns
    -------
    ReadingQuality
        In metres.
    """
    from bouncelab.analysis.quality import ReadingQuality
    from bouncelab.errors import InputError
    from bouncelab.units import read_length

    given = {}
    for field, (name, _) in QUALITY.items():
        text = getattr(options, name.strip("-").replace("-", "_"))
        if text is not None:
            try:
                given[field] = read_length(text)
                ReadingQuality(**given)
            except InputError as error:
                raise InputError(
                    what=name,
                    read=f"“{text}”",
                    allowed="a length of 0 or more with its unit, such as 0.5cm",
                    do="Give half of the interval in which the true value lies.",
                ) from error
    return ReadingQuality(**given)


def chosen_ranges(options: argparse.Namespace) -> list[BounceRange]:
    """Give the ranges asked for; all of a person's own file if none is named.

    Parameters
    ----------
    options : argparse.Namespace
        Those of a command that takes ranges.

    Returns
    -------
    list of BounceRange
        In the order of the command line.
    """
    from bouncelab.catalogue import find_range, load_ranges

    own = load_ranges(options.ranges) if options.ranges else ()
    if not options.range:
        return list(own)
    mine = {each.id: each for each in own}
    return [mine.get(each) or find_range(each) for each in options.range]
