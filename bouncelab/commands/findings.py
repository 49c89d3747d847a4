"""The commands that tell what a class file holds."""

from __future__ import annotations

import argparse

from bouncelab.commands.class_file import (
    chosen_ranges,
    quality,
    read_class,
    take_file,
    take_quality,
    take_ranges,
)
from bouncelab.commands.offer import DONE, LOOK, Commands, show, show_json, tell

__all__ = ["offer"]


def offer(commands: Commands) -> None:
    """Offer ``check``, ``bounce``, ``compare``, ``pressure`` and ``ranges``.

    Parameters
    ----------
    commands : Commands
        Takes them.
    """
    check = commands.add(
        "check",
        "look for doubtful readings in a class file (CSV or XLSX)",
        "bouncelab check data/larkfield_class.csv",
        _check,
        json=True,
    )
    bounce = commands.add(
        "bounce",
        "work out the bounciness of every ball in a class file",
        "bouncelab bounce data/larkfield_class.csv --range futsal-law-2 --tape 0.5cm",
        _bounce,
        json=True,
    )
    compared = commands.add(
        "compare",
        "tell which balls differ, or the pressures, floors or groups of one",
        "bouncelab compare data/larkfield_class.csv --by ball",
        _compare,
        json=True,
    )
    tuned = commands.add(
        "pressure",
        "tell how much air a ball needs to meet a bounce range",
        'bouncelab pressure data/larkfield_class.csv --ball "Futsal ball" '
        "--range futsal-law-2",
        _pressure,
        json=True,
    )
    for each in (check, bounce, compared, tuned):
        take_file(each)
    take_ranges(bounce)
    take_quality(bounce)
    compared.add_argument(
        "--by",
        choices=("ball", "pressure", "floor", "temperature", "group"),
        default="ball",
        help="what to compare; ball if left out",
    )
    compared.add_argument(
        "--ball", metavar="NAME", help="of which ball, where not balls are compared"
    )
    compared.add_argument(
        "--reference",
        metavar="TEMPERATURE",
        help="carry e to this temperature, with --by temperature; else 20 °C",
    )
    tuned.add_argument("--ball", metavar="NAME", required=True, help="as in the file")
    take_ranges(tuned, one=True)
    tuned.add_argument(
        "--gauge", metavar="PRESSURE", help="the gauge's uncertainty; else 1.5kPa"
    )
    tuned.add_argument(
        "--maximum", metavar="PRESSURE", help="the maximum printed on the ball"
    )
    tuned.add_argument(
        "--now", metavar="PRESSURE", help="in the ball now; else that written last"
    )
    commands.add(
        "ranges",
        "list the published bounce ranges",
        "bouncelab ranges --json",
        _ranges,
        json=True,
    )


def _check(options: argparse.Namespace) -> int:
    from bouncelab.analysis.conditions import sort_drops

    drops = read_class(options.file)
    used = sort_drops(drops)
    findings = sorted([*drops.findings, *used.findings], key=lambda each: each.row)
    if options.json:
        show_json(
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
        show(finding_lines(findings, drops.headings))
        show(remark_lines(drops.remarks))
    return LOOK if findings else DONE


def _bounce(options: argparse.Namespace) -> int:
    from bouncelab.analysis.bounciness import bounciness

    asked, ranges = quality(options), chosen_ranges(options)
    found = bounciness(read_class(options.file), ranges=ranges, quality=asked)
    verdicts = [each for row in found.rows for each in row.verdicts]
    if options.json:
        show_json(found.to_dict())
    else:
        from bouncelab.publish.console import bounce_lines

        show(bounce_lines(found))
    if not ranges:
        tell("No range was asked for; bouncelab ranges lists them for --range ID.")
    elif not verdicts:
        tell("None of the ranges is for a ball in this file.")
    fine = all(each.word == "meets" for each in verdicts)
    return DONE if fine and not found.findings and not found.left_out else LOOK


def _compare(options: argparse.Namespace) -> int:
    from bouncelab.analysis.bounciness import bounciness
    from bouncelab.analysis.comparison import compare
    from bouncelab.units import read_temperature

    found = bounciness(read_class(options.file))
    given = {}
    if options.reference is not None:
        given["reference"] = read_temperature(options.reference)
    told = compare(found, by=options.by, ball=options.ball, **given)
    if options.json:
        show_json(told.to_dict())
    else:
        from bouncelab.publish.console import comparison_lines

        show(comparison_lines(told))
    return LOOK if found.findings or found.left_out else DONE


def _pressure(options: argparse.Namespace) -> int:
    from bouncelab.analysis.bounciness import bounciness
    from bouncelab.analysis.pressure import tune_pressure
    from bouncelab.units import read_pressure

    (wanted,) = chosen_ranges(options)
    given = {
        name: read_pressure(text)
        for name, text in (
            ("gauge_uncertainty", options.gauge),
            ("maximum", options.maximum),
            ("now", options.now),
        )
        if text is not None
    }
    found = bounciness(read_class(options.file))
    told = tune_pressure(found, ball=options.ball, range=wanted, **given)
    if options.json:
        show_json(told.to_dict())
    else:
        from bouncelab.publish.console import tuning_lines

        show(tuning_lines(told))
    fine = told.best is not None and not told.reasons and not found.findings
    return DONE if fine else LOOK


def _ranges(options: argparse.Namespace) -> int:
    from bouncelab.catalogue import ranges

    if options.json:
        show_json([each.to_dict() for each in ranges()])
    else:
        from bouncelab.publish.console import range_lines

        show(range_lines(ranges()))
    return DONE
