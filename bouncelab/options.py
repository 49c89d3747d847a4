"""What the command line understands: commands, options and their help."""

from __future__ import annotations

import argparse
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import NoReturn, TypeAlias

__all__ = ["QUALITY", "build_parser"]

Run: TypeAlias = Callable[[argparse.Namespace], int]

_EPILOG = "Exit status: 0 done; 1 done, but something needs a person's eye; 2 not done."
_FILE = (
    "a table as CSV or XLSX, one drop a row, with headings such as ball, "
    "drop height (cm), rebound height (cm)"
)
# Field of ReadingQuality, option, what it says with the value taken if left out.
QUALITY = {
    "drop_half_width": ("--drop-reading", "± of setting the drop height; else 0.5cm"),
    "rebound_half_width": ("--rebound-reading", "± of reading a rebound; else 1cm"),
    "tape_offset_half_width": ("--tape", "± of the tape's zero; else 0.3cm"),
    "diameter_half_width": ("--diameter", "± of a measured diameter; else 0.3cm"),
}


class _Parser(argparse.ArgumentParser):
    """A parser whose complaint is one line."""

    def error(self, message: str) -> NoReturn:
        self.exit(2, f"{self.prog}: {message}. Try {self.prog} --help.\n")


def build_parser(
    runs: Mapping[str, Run], version: Callable[..., int]
) -> argparse.ArgumentParser:
    """Give the parser of the command line.

    Parameters
    ----------
    runs : mapping of str to callable
        What runs each command.
    version : callable
        What runs if no command is named.

    Returns
    -------
    argparse.ArgumentParser
        Its answer holds ``run``, to be called with it.
    """
    parser = _Parser(
        prog="bouncelab",
        description="Bounciness of balls: from a class's drops to a verdict.",
        epilog=_EPILOG,
    )
    parser.add_argument("--version", action="store_true", help="show it and stop")
    parser.set_defaults(run=lambda options: version(parser, options))
    commands = parser.add_subparsers(metavar="COMMAND", parser_class=_Parser)

    def command(name: str, text: str, example: str) -> _Parser:
        made: _Parser = commands.add_parser(
            name,
            help=text,
            description=f"{text[0].upper()}{text[1:]}.",
            epilog=f"Example:\n  {example}\n\n{_EPILOG}",
            formatter_class=argparse.RawDescriptionHelpFormatter,
        )
        made.set_defaults(run=runs[name])
        return made

    desk = command(
        "open",
        "put notebooks and demo data in a folder and open JupyterLab on them",
        "bouncelab open our-lesson",
    )
    desk.add_argument(
        "folder",
        metavar="FOLDER",
        nargs="?",
        type=Path,
        default=Path("bouncelab-work"),
        help="where to work; bouncelab-work if left out. Your own changes there stay",
    )
    desk.add_argument(
        "--no-browser", action="store_true", help="only print the address"
    )
    desk.add_argument(
        "--port",
        type=int,
        metavar="N",
        help="its port; if left out, the first free one",
    )

    check = command(
        "check",
        "look for doubtful readings in a class file (CSV or XLSX)",
        "bouncelab check data/larkfield_class.csv",
    )
    bounce = command(
        "bounce",
        "work out the bounciness of every ball in a class file",
        "bouncelab bounce data/larkfield_class.csv --range futsal-law-2 --tape 0.5cm",
    )
    for each in (check, bounce):
        each.add_argument("file", metavar="FILE", type=Path, help=_FILE)
    bounce.add_argument(
        "--range",
        metavar="ID",
        action="append",
        default=[],
        help="compare with this range; may be given several times (bouncelab ranges)",
    )
    bounce.add_argument(
        "--ranges", metavar="FILE", type=Path, help="a CSV of ranges of your own"
    )
    for name, text in QUALITY.values():
        bounce.add_argument(name, metavar="LENGTH", help=text)
    compared = command(
        "compare",
        "tell which balls differ, or the pressures, floors or groups of one",
        "bouncelab compare data/larkfield_class.csv --by ball",
    )
    compared.add_argument("file", metavar="FILE", type=Path, help=_FILE)
    compared.add_argument(
        "--by",
        choices=("ball", "pressure", "floor", "temperature", "group"),
        default="ball",
        help="what to compare; ball if left out",
    )
    compared.add_argument(
        "--ball", metavar="NAME", help="of which ball, where not balls are compared"
    )
    tuned = command(
        "pressure",
        "tell how much air a ball needs to meet a bounce range",
        'bouncelab pressure data/larkfield_class.csv --ball "Futsal ball" '
        "--range futsal-law-2",
    )
    tuned.add_argument("file", metavar="FILE", type=Path, help=_FILE)
    tuned.add_argument("--ball", metavar="NAME", required=True, help="as in the file")
    tuned.add_argument(
        "--range", metavar="ID", nargs=1, required=True, help="the range to meet"
    )
    tuned.add_argument(
        "--ranges", metavar="FILE", type=Path, help="a CSV of ranges of your own"
    )
    tuned.add_argument(
        "--gauge", metavar="PRESSURE", help="the gauge's uncertainty; else 1.5kPa"
    )
    tuned.add_argument(
        "--maximum", metavar="PRESSURE", help="the maximum printed on the ball"
    )
    listed = command(
        "ranges", "list the published bounce ranges", "bouncelab ranges --json"
    )
    for each in (check, bounce, compared, tuned, listed):
        each.add_argument("--json", action="store_true", help="JSON on standard output")
    return parser
