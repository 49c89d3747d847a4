"""The `bouncelab` command: files and options in, results out."""

from __future__ import annotations

import argparse
import codecs
import gc
import json
import os
import signal
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, NoReturn

from bouncelab.errors import BounceLabError

if TYPE_CHECKING:
    from bouncelab.analysis.quality import ReadingQuality
    from bouncelab.catalogue import BounceRange
    from bouncelab.readings.drops import Drops

__all__ = ["main"]

DONE, LOOK, FAILED = 0, 1, 2

_EPILOG = "Exit status: 0 done; 1 done, but something needs a person's eye; 2 not done."
# For consoles that cannot show these letters.
_LIKE = str.maketrans(
    {"−": "-", "√": "sqrt", "≥": ">=", "≤": "<=", "“": '"', "”": '"', "’": "'"}
)


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command.

    Parameters
    ----------
    argv : sequence of str, optional
        The words after ``bouncelab``; those of the command line if left out.

    Returns
    -------
    int
        0 done; 1 done, but something needs a person's eye; 2 not done.
    """
    codecs.register_error("alike", _alike)
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="alike")
    collecting = gc.isenabled()
    gc.disable()  # a run ends before rubbish matters, and its modules load faster
    try:
        options = _parser().parse_args(argv)
        status: int = options.run(options)
        sys.stdout.flush()
    except BounceLabError as error:
        from bouncelab.publish.console import visible

        _tell("bouncelab: " + visible(" ".join(str(error).split())))
        return FAILED
    except BrokenPipeError:
        # Whoever read our output has left; nothing more can be said.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return FAILED
    except KeyboardInterrupt:
        _tell("bouncelab: stopped.")
        return FAILED
    finally:
        if collecting:
            gc.enable()
    return status


class _Parser(argparse.ArgumentParser):
    """A parser whose complaint is one line."""

    def error(self, message: str) -> NoReturn:
        self.exit(FAILED, f"{self.prog}: {message}. Try {self.prog} --help.\n")


def _parser() -> argparse.ArgumentParser:
    parser = _Parser(
        prog="bouncelab",
        description="Bounciness of balls: from a class's drops to a verdict.",
        epilog=_EPILOG,
    )
    parser.add_argument("--version", action="store_true", help="show it and stop")
    parser.set_defaults(run=lambda options: _version(parser, options))
    commands = parser.add_subparsers(metavar="COMMAND", parser_class=_Parser)

    def command(name: str, run: Any, text: str, example: str) -> _Parser:
        made: _Parser = commands.add_parser(
            name,
            help=text,
            description=f"{text[0].upper()}{text[1:]}.",
            epilog=f"Example:\n  {example}\n\n{_EPILOG}",
            formatter_class=argparse.RawDescriptionHelpFormatter,
        )
        made.set_defaults(run=run)
        return made

    desk = command(
        "open",
        _open,
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
        _check,
        "look for doubtful readings in a class file (CSV or XLSX)",
        "bouncelab check data/larkfield_class.csv",
    )
    bounce = command(
        "bounce",
        _bounce,
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
    for name, text in _QUALITY.values():
        bounce.add_argument(name, metavar="LENGTH", help=text)
    listed = command(
        "ranges", _ranges, "list the published bounce ranges", "bouncelab ranges --json"
    )
    for each in (check, bounce, listed):
        each.add_argument("--json", action="store_true", help="JSON on standard output")
    return parser


_FILE = (
    "a table as CSV or XLSX, one drop a row, with headings such as ball, "
    "drop height (cm), rebound height (cm)"
)
# Field of ReadingQuality, option, what it says with the value taken if left out.
_QUALITY = {
    "drop_half_width": ("--drop-reading", "± of setting the drop height; else 0.5cm"),
    "rebound_half_width": ("--rebound-reading", "± of reading a rebound; else 1cm"),
    "tape_offset_half_width": ("--tape", "± of the tape's zero; else 0.3cm"),
    "diameter_half_width": ("--diameter", "± of a measured diameter; else 0.3cm"),
}


def _version(parser: argparse.ArgumentParser, options: argparse.Namespace) -> int:
    if not options.version:
        parser.error("a command is missing: open, check, bounce or ranges")
    from importlib.metadata import version

    print(f"bouncelab {version('bouncelab')}")
    return DONE


def _open(options: argparse.Namespace) -> int:
    from bouncelab.publish.desk import lay_out
    from bouncelab.publish.lab import open_browser, start

    first, said = lay_out(options.folder)
    for line in said:
        _tell(line)
    _tell("Starting JupyterLab ...")
    for name in ("SIGTERM", "SIGHUP", "SIGBREAK"):  # end in order, leave no server
        if hasattr(signal, name):
            signal.signal(getattr(signal, name), signal.default_int_handler)
    lab = start(options.folder, first, port=options.port)
    try:
        print(lab.address, flush=True)
        _tell("Your work is saved in", options.folder.resolve(), "- Ctrl+C ends it.")
        if not options.no_browser:
            open_browser(lab.address)
        ended = lab.wait()
    except KeyboardInterrupt:
        return DONE
    finally:
        lab.stop()
    return DONE if ended == 0 else FAILED


def _read(path: Path) -> Drops:
    from bouncelab.readings.checks import check_drops
    from bouncelab.readings.files import read_drops

    return check_drops(read_drops(path))


def _check(options: argparse.Namespace) -> int:
    from bouncelab.analysis.conditions import sort_drops

    drops = _read(options.file)
    used = sort_drops(drops)
    findings = sorted([*drops.findings, *used.findings], key=lambda each: each.row)
    if options.json:
        _json(
            {
                "rows_read": len(drops.table),
                "rows_used": int(used.line.size),
                "flags": [
                    {"row": f.row, "column": f.column, "read": f.read, "why": f.why}
                    for f in findings
                ],
            }
        )
    else:
        from bouncelab.publish.console import finding_lines, remark_lines, visible

        aside, total = int(used.unused[:, 2].sum()), len(drops.table)
        print(
            f"{visible(options.file.name)}: {total} {'row' if total == 1 else 'rows'} "
            f"read, {used.line.size} used, "
            f"{len(used.unused) - aside} left out, {aside} set aside; "
            f"{len(findings)} to look at."
        )
        for line in finding_lines(findings, drops.headings):
            print(line)
        for line in remark_lines(drops.remarks):
            print(line)
    return LOOK if findings else DONE


def _bounce(options: argparse.Namespace) -> int:
    from bouncelab.analysis.bounciness import bounciness

    quality, ranges = _quality(options), _chosen(options)
    found = bounciness(_read(options.file), ranges=ranges, quality=quality)
    verdicts = [each for row in found.rows for each in row.verdicts]
    if options.json:
        _json(found.to_dict())
    else:
        from bouncelab.publish.console import bounce_lines

        for line in bounce_lines(found):
            print(line)
    if not ranges:
        _tell("No range was asked for; bouncelab ranges lists them for --range ID.")
    elif not verdicts:
        _tell("None of the ranges is for a ball in this file.")
    fine = all(each.word == "meets" for each in verdicts)
    return DONE if fine and not found.findings and not found.left_out else LOOK


def _quality(options: argparse.Namespace) -> ReadingQuality:
    from bouncelab.analysis.quality import ReadingQuality
    from bouncelab.errors import InputError
    from bouncelab.units import read_length

    given = {}
    for field, (name, _) in _QUALITY.items():
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


def _chosen(options: argparse.Namespace) -> list[BounceRange]:
    """Give the ranges asked for; all of a person's own file if none is named."""
    from bouncelab.catalogue import find_range, load_ranges

    own = load_ranges(options.ranges) if options.ranges else ()
    if not options.range:
        return list(own)
    mine = {each.id: each for each in own}
    return [mine.get(each) or find_range(each) for each in options.range]


def _ranges(options: argparse.Namespace) -> int:
    from bouncelab.catalogue import ranges

    if options.json:
        _json([{key: _value(each, key) for key in _RANGE_KEYS} for each in ranges()])
    else:
        from bouncelab.publish.console import range_lines

        for line in range_lines(ranges()):
            print(line)
    return DONE


_RANGE_KEYS = (
    "id",
    "ball",
    "body",
    "edition",
    "drop_height_m",
    "drop_point",
    "rebound_min_m",
    "rebound_max_m",
    "rebound_point",
    "floor",
    "source",
    "confirmed",
)


def _value(range_: BounceRange, key: str) -> Any:
    from bouncelab.analysis.words import plain

    value = getattr(range_, key)
    return plain(value) if isinstance(value, float) else value


def _json(value: Any) -> None:
    print(json.dumps(value, indent=1, allow_nan=False))


def _tell(*parts: object) -> None:
    print(*parts, file=sys.stderr, flush=True)


def _alike(error: UnicodeError) -> tuple[str, int]:
    """Write a letter that the console lacks as one that it has."""
    if not isinstance(error, UnicodeEncodeError):
        raise error
    text = error.object[error.start : error.end].translate(_LIKE)
    return text.encode("ascii", "replace").decode(), error.end
