"""Reports of many classes: one each, and a page that leads to them."""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass
from importlib.metadata import version
from pathlib import Path
from typing import Any
from urllib.parse import quote

from bouncelab.analysis.quality import ReadingQuality
from bouncelab.batches import Done, Ledger, fingerprint, run_pieces
from bouncelab.catalogue import BounceRange
from bouncelab.errors import FileError
from bouncelab.places import write_whole
from bouncelab.readings.checks import check_drops
from bouncelab.readings.files import read_drops
from bouncelab.reports.class_report import write_report
from bouncelab.typesetting.making import PaperSize, make_html
from bouncelab.typesetting.paper import Paper, plain, table

__all__ = ["ClassJob", "report_class", "write_reports"]

ENDINGS = (".csv", ".xlsx")


@dataclass(frozen=True, slots=True)
class ClassJob:
    """One class file and how its report shall be.

    Attributes
    ----------
    file, out : pathlib.Path
        The class file, and the folder of the reports.
    name : str
        Of the report's files, without an ending.
    ranges : tuple of BounceRange
        To meet.
    quality : ReadingQuality
        How well heights could be read.
    notes : bool
        Whether to show the column of notes.
    size : {"a4", "us-letter"}
        Of the PDF's sheets.
    """

    file: Path
    out: Path
    name: str
    ranges: tuple[BounceRange, ...]
    quality: ReadingQuality
    notes: bool
    size: PaperSize


def report_class(job: ClassJob) -> dict[str, Any]:
    """Write one class's report; runs on any machine that sees both folders.

    Parameters
    ----------
    job : ClassJob
        The class.

    Returns
    -------
    dict
        ``rows`` of the file and ``doubtful`` readings.

    Raises
    ------
    BounceLabError
        If the file cannot be read or the report not written.
    """
    drops = check_drops(read_drops(job.file))
    write_report(
        drops,
        job.out,
        name=job.name,
        ranges=job.ranges,
        quality=job.quality,
        notes=job.notes,
        size=job.size,
    )
    told = {"rows": len(drops.table), "doubtful": len(drops.findings)}
    write_whole(job.out / f"{job.name}.json", json.dumps(told).encode())
    return told


def write_reports(
    folder: Path,
    out: Path,
    *,
    ranges: Sequence[BounceRange] = (),
    quality: ReadingQuality | None = None,
    notes: bool = False,
    size: PaperSize = "a4",
    executor: Executor | None = None,
    progress: Callable[[Done, int, int], None] | None = None,
) -> tuple[Path, list[Done]]:
    """Write the report of every class file in a folder, and an index page.

    Parameters
    ----------
    folder, out : pathlib.Path
        Class files (CSV, XLSX), and where the reports go.
    ranges, quality, notes, size
        As for `bouncelab.reports.class_report.write_report`.
    executor : concurrent.futures.Executor, optional
        What runs the classes; see `bouncelab.batches.run_pieces`.
    progress : callable, optional
        Told of each class as it ends.

    Returns
    -------
    tuple of pathlib.Path and list of Done
        The index page, and what became of each class. A class whose file, options
        and kit are those of an earlier run is not worked out again.

    Raises
    ------
    FileError
        If there is no class file, or nothing can be written.
    """
    files = sorted(
        path
        for path in folder.iterdir()
        if path.suffix.lower() in ENDINGS and not path.name.startswith((".", "~"))
    )
    if not files:
        raise FileError(
            what=f"the folder {folder.name}",
            read="no class file",
            allowed="files that end in .csv or .xlsx",
            do="Put the classes' files there, one for each class.",
        )
    names = _names(files)
    quality = quality or ReadingQuality()
    jobs = [
        ClassJob(path, out, name, tuple(ranges), quality, notes, size)
        for path, name in zip(files, names, strict=True)
    ]
    marks = {job.name: _mark(job) for job in jobs}
    ledger = Ledger(out / "finished.jsonl")

    def note(done: Done, count: int, total: int) -> None:
        if not done.error and not done.before:
            made = [f"{done.name}{ending}" for ending in (".html", ".pdf", ".json")]
            ledger.add(done.name, marks[done.name], made)
        if progress is not None:
            progress(done, count, total)

    done = run_pieces(
        report_class,
        jobs,
        name=lambda job: job.name,
        executor=executor,
        done_before=lambda job: ledger.has(job.name, marks[job.name]),
        progress=note,
    )
    index = out / "index.html"
    write_whole(index, make_html(_index(folder, out, files, done)).encode())
    return index, done


def _names(files: Sequence[Path]) -> list[str]:
    """Name each report after its file; two files of one stem keep their endings."""
    stems = [path.stem for path in files]
    return [
        f"{path.stem}_{path.suffix[1:]}_report"
        if stems.count(path.stem) > 1
        else f"{path.stem}_report"
        for path in files
    ]


def _mark(job: ClassJob) -> str:
    try:
        data = job.file.read_bytes()
    except OSError:
        data = b""
    options = repr((job.ranges, job.quality, job.notes, job.size))
    return fingerprint(data, options, version("bouncelab"))


def _index(
    folder: Path, out: Path, files: Sequence[Path], done: Sequence[Done]
) -> Paper:
    rows = []
    for path, each in zip(files, done, strict=True):
        if each.error:
            rows.append([plain(path.name), "–", "–", plain(each.error)])
            continue
        told = each.result or json.loads((out / f"{each.name}.json").read_bytes())
        link = quote(each.name)
        rows.append(
            [
                plain(path.name),
                str(told["rows"]),
                str(told["doubtful"]),
                f"[page](<{link}.html>), [PDF](<{link}.pdf>)",
            ]
        )
    failed = sum(bool(each.error) for each in done)
    said = f"{len(done)} class files, {failed} of them could not be reported."
    return Paper(
        f"Reports of the classes in {folder.resolve().name}",
        f"{said}\n\n"
        + table(["file", "drops", "to look at", "report"], rows, right=(1, 2)),
        {},
        "bouncelab reports",
    )
