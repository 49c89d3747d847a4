"""The command that writes reports: of one class, or of a folder of them."""

from __future__ import annotations

import argparse
import gc
from pathlib import Path
from typing import TYPE_CHECKING

from bouncelab.commands.class_file import (
    chosen_ranges,
    quality,
    read_class,
    take_quality,
    take_ranges,
)
from bouncelab.commands.offer import DONE, FAILED, LOOK, Commands, show, tell

if TYPE_CHECKING:
    from bouncelab.batches import Done

__all__ = ["offer"]


def offer(commands: Commands) -> None:
    """Offer ``report``.

    Parameters
    ----------
    commands : Commands
        Takes it.
    """
    report = commands.add(
        "report",
        "write a class's report as a page and a PDF, or those of a folder of classes",
        "bouncelab report data/larkfield_class.csv --out reports --range futsal-law-2",
        _report,
    )
    report.add_argument(
        "file",
        metavar="FILE",
        type=Path,
        help="a class file (CSV or XLSX), or a folder of them",
    )
    report.add_argument(
        "--out", metavar="FOLDER", type=Path, required=True, help="where to write"
    )
    report.add_argument(
        "--one-class",
        action="store_true",
        help="the folder holds one class: a file of each group, or what they handed in",
    )
    take_ranges(report)
    take_quality(report)
    report.add_argument(
        "--names",
        action="store_true",
        help="show who measured where the file names pupils or students, not groups",
    )
    report.add_argument(
        "--notes",
        action="store_true",
        help="show the column of notes, too; names may stand in it",
    )
    report.add_argument(
        "--paper",
        choices=("a4", "us-letter"),
        default="a4",
        help="size of the PDF's sheets; a4 if left out",
    )
    report.add_argument(
        "--workers",
        metavar="N",
        type=int,
        help="processes for a folder; one for each core if left out",
    )


def _report(options: argparse.Namespace) -> int:
    gc.enable()  # this is no short run
    if options.file.is_dir() and not options.one_class:
        return _many(options)
    from bouncelab.reports.class_report import write_report

    drops = read_class(options.file)
    made = write_report(
        drops,
        options.out,
        name=f"{options.file.resolve().stem}_report",
        ranges=chosen_ranges(options),
        quality=quality(options),
        names=options.names,
        notes=options.notes,
        size=options.paper,
    )
    show(str(each) for each in made)
    if drops.findings:
        tell(f"Readings to look at: {len(drops.findings)}; the report names them.")
    return LOOK if drops.findings else DONE


def _many(options: argparse.Namespace) -> int:
    from bouncelab.batches import local_processes
    from bouncelab.reports.many_classes import write_reports

    with local_processes(options.workers) as executor:
        index, done = write_reports(
            options.file,
            options.out,
            ranges=chosen_ranges(options),
            quality=quality(options),
            names=options.names,
            notes=options.notes,
            size=options.paper,
            executor=executor,
            progress=_progress,
        )
    show([str(index)])
    failed = [each for each in done if each.error]
    for each in failed:
        tell(f"{each.name}: {each.error}")
    if len(failed) == len(done):
        return FAILED
    doubtful = any(each.result["doubtful"] for each in done if not each.error)
    return LOOK if failed or doubtful else DONE


def _progress(done: Done, count: int, total: int) -> None:
    how = "as before" if done.before else "not done" if done.error else "done"
    tell(f"{count} of {total}: {done.name}, {how}")
