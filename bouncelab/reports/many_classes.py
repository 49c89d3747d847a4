"""Reports of many classes: one each, and a page that leads to them."""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass, replace
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
from bouncelab.reports.parts import counted
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
    names, notes : bool
        Whether to show who measured where that is persons, and the column of notes.
    size : {"a4", "us-letter"}
        Of the PDF's sheets.
    """

    file: Path
    out: Path
    name: str
    ranges: tuple[BounceRange, ...]
    quality: ReadingQuality
    names: bool
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
        ``rows`` of the file, its ``groups`` and ``balls``, and ``doubtful`` readings.

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
        names=job.names,
        notes=job.notes,
        size=job.size,
    )
    named = {
        f"{what}s": len({str(each) for each in drops.table[what]} - {"", "nan"})
        for what in ("group", "ball")
    }
    told = {"rows": len(drops.table), **named, "doubtful": len(drops.findings)}
    write_whole(job.out / f"{job.name}.json", json.dumps(told).encode())
    return told


def write_reports(
    folder: Path,
    out: Path,
    *,
    ranges: Sequence[BounceRange] = (),
    quality: ReadingQuality | None = None,
    names: bool = False,
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
    ranges, quality, names, notes, size
        As for `bouncelab.reports.class_report.write_report`.
    executor : concurrent.futures.Executor, optional
        What runs the classes; see `bouncelab.batches.run_pieces`.
    progress : callable, optional
        Told of each class as it ends.

    Returns
    -------
    tuple of pathlib.Path and list of Done
        The index page, and what became of each class, with what `report_class` gave.
        A class whose file, options and kit are those of an earlier run is not worked
        out again.

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
    called = _called(files)
    quality = quality or ReadingQuality()
    jobs = [
        ClassJob(path, out, name, tuple(ranges), quality, names, notes, size)
        for path, name in zip(files, called, strict=True)
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
        done_before=lambda job: (
            ledger.has(job.name, marks[job.name]) and bool(_told(out, job.name))
        ),
        progress=note,
    )
    done = [
        replace(each, result=_told(out, each.name)) if each.before else each
        for each in done
    ]
    index = out / "index.html"
    write_whole(index, make_html(_index(folder, files, done)).encode())
    return index, done


def _called(files: Sequence[Path]) -> list[str]:
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
    options = repr((job.ranges, job.quality, job.names, job.notes, job.size))
    return fingerprint(data, options, version("bouncelab"))


def _told(out: Path, name: str) -> dict[str, Any]:
    """Give what an earlier run told of a class; empty if that cannot be read."""
    try:
        told = json.loads((out / f"{name}.json").read_bytes())
        return {key: int(told[key]) for key in ("rows", "groups", "balls", "doubtful")}
    except (OSError, ValueError, TypeError, KeyError):
        return {}


def _index(folder: Path, files: Sequence[Path], done: Sequence[Done]) -> Paper:
    rows, failed = [], []
    for path, each in zip(files, done, strict=True):
        if each.error:
            said_of = "" if each.error.startswith(path.name) else f"{path.name}: "
            failed.append(f"- {plain(said_of + each.error)}")
            rows.append([plain(path.name), "–", "–", "–", "–", "none: see above"])
            continue
        told, link = each.result, quote(each.name)
        counts = [str(told[key]) for key in ("groups", "balls", "rows", "doubtful")]
        paper = f"[page](<{link}.html>), [PDF](<{link}.pdf>)"
        rows.append([plain(path.name), *counts, paper])
    look = sum(bool(each.result and each.result["doubtful"]) for each in done)
    said = [
        f"{counted(len(done), 'class file')}: {len(done) - len(failed)} with a report, "
        f"{look} of these with readings to look at."
    ]
    if failed:
        said += [f"**No report of {counted(len(failed), 'file')}:**", "\n".join(failed)]
    headings = ["file", "groups", "balls", "drops", "to look at", "report"]
    return Paper(
        f"Reports of the classes in {folder.resolve().name}",
        "\n\n".join([*said, table(headings, rows, right=(1, 2, 3, 4))]),
        {},
        "bouncelab reports",
    )
