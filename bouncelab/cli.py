"""The `bouncelab` command: files and options in, results out."""

from __future__ import annotations

import argparse
import codecs
import gc
import json
import os
import signal
import sys
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from bouncelab.errors import BounceLabError
from bouncelab.options import QUALITY, build_parser

if TYPE_CHECKING:
    from bouncelab.analysis.quality import ReadingQuality
    from bouncelab.catalogue import BounceRange
    from bouncelab.readings.drops import Drops

__all__ = ["main"]

DONE, LOOK, FAILED = 0, 1, 2

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
        options = build_parser(_RUNS, _version).parse_args(argv)
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


def _version(parser: argparse.ArgumentParser, options: argparse.Namespace) -> int:
    if not options.version:
        parser.error(
            "a command is missing: open, check, bounce, compare, pressure or ranges"
        )
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
        _show(finding_lines(findings, drops.headings))
        _show(remark_lines(drops.remarks))
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

        _show(bounce_lines(found))
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
        _json([each.to_dict() for each in ranges()])
    else:
        from bouncelab.publish.console import range_lines

        _show(range_lines(ranges()))
    return DONE


def _compare(options: argparse.Namespace) -> int:
    from bouncelab.analysis.bounciness import bounciness
    from bouncelab.analysis.comparison import compare

    found = bounciness(_read(options.file))
    told = compare(found, by=options.by, ball=options.ball)
    if options.json:
        _json(told.to_dict())
    else:
        from bouncelab.publish.console import comparison_lines

        _show(comparison_lines(told))
    return LOOK if found.findings or found.left_out else DONE


def _pressure(options: argparse.Namespace) -> int:
    from bouncelab.analysis.bounciness import bounciness
    from bouncelab.analysis.pressure import tune_pressure
    from bouncelab.units import read_pressure

    (wanted,) = _chosen(options)
    given = {
        name: read_pressure(text)
        for name, text in (
            ("gauge_uncertainty", options.gauge),
            ("maximum", options.maximum),
        )
        if text is not None
    }
    found = bounciness(_read(options.file))
    told = tune_pressure(found, ball=options.ball, range=wanted, **given)
    if options.json:
        _json(told.to_dict())
    else:
        from bouncelab.publish.console import tuning_lines

        _show(tuning_lines(told))
    fine = told.best is not None and not told.reasons and not found.findings
    return DONE if fine else LOOK


def _show(lines: Iterable[str]) -> None:
    for line in lines:
        print(line)


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


_RUNS = {
    "open": _open,
    "check": _check,
    "bounce": _bounce,
    "compare": _compare,
    "pressure": _pressure,
    "ranges": _ranges,
}
