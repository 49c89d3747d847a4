"""The report of one class: a page for the screen and a PDF to print."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from bouncelab.analysis.bounciness import bounciness
from bouncelab.analysis.quality import ReadingQuality
from bouncelab.catalogue import BounceRange
from bouncelab.places import write_whole
from bouncelab.readings.drops import Drops
from bouncelab.reports.bounce_part import bounce_part
from bouncelab.reports.differ_part import air_part, comparisons, differ_part, tunings
from bouncelab.reports.found_part import found_part, look_part, measured_part
from bouncelab.reports.group_pages import group_part, groups_of
from bouncelab.reports.method_part import method_part
from bouncelab.reports.parts import Parts
from bouncelab.reports.persons import without_names
from bouncelab.typesetting.making import PaperSize, make_html, make_pdf
from bouncelab.typesetting.paper import Paper, plain

__all__ = ["class_paper", "write_report"]

_MOST_GROUPS = 40  # with a page of their own


def class_paper(
    drops: Drops,
    *,
    ranges: Sequence[BounceRange] = (),
    quality: ReadingQuality | None = None,
    names: bool = False,
    notes: bool = False,
) -> Paper:
    """Put a class's report together.

    Parameters
    ----------
    drops : Drops
        The class's table, checked.
    ranges : sequence of BounceRange, optional
        Ranges to meet.
    quality : ReadingQuality, optional
        How well heights could be read.
    names : bool, optional
        Whether to show who measured where the column is one of pupils or students;
        else they become Group 1, Group 2 and so on. Names of groups are always shown.
    notes : bool, optional
        Whether to show the column of notes, in which names may stand.

    Returns
    -------
    Paper
        For `make_html` and `make_pdf`.
    """
    quality = quality or ReadingQuality()
    found = bounciness(
        drops if names else without_names(drops), ranges=list(ranges), quality=quality
    )
    told, tuned = comparisons(found), tunings(found, ranges)
    parts = Parts()
    invented = _invented(drops)
    if invented:
        parts.say(f"*{plain(invented)}*")
    found_part(parts, found, ranges, told, tuned)
    here = len(parts.texts)  # the contents, once all parts are known
    measured_part(parts, found)
    look_part(parts, found)
    if any(row.n for row in found.rows):
        bounce_part(parts, found)
        differ_part(parts, told)
        air_part(parts, found, tuned, ranges)
    groups = groups_of(found)
    for k, name in enumerate(groups[:_MOST_GROUPS], start=1):
        group_part(parts, found, name, f"group-{k}", notes=notes)
    if len(groups) > _MOST_GROUPS:
        parts.say(f"Only the first {_MOST_GROUPS} of {len(groups)} groups have a page.")
    method_part(parts, quality, ranges)
    parts.texts.insert(here, _contents(parts))
    return Paper(
        f"How our balls bounce: {_called(drops)}",
        "\n\n".join(parts.texts),
        parts.figures,
        f"bouncelab report of {_called(drops)}",
    )


def write_report(
    drops: Drops,
    folder: Path,
    *,
    name: str = "report",
    ranges: Sequence[BounceRange] = (),
    quality: ReadingQuality | None = None,
    names: bool = False,
    notes: bool = False,
    size: PaperSize = "a4",
) -> tuple[Path, Path]:
    """Write a class's report as HTML and as PDF.

    Parameters
    ----------
    drops : Drops
        The class's table, checked.
    folder : pathlib.Path
        Where; it is made if it is not there.
    name : str, optional
        Of the two files, without its ending.
    ranges, quality, names, notes
        As for `class_paper`.
    size : {"a4", "us-letter"}, optional
        The sheets of the PDF.

    Returns
    -------
    tuple of pathlib.Path
        The page and the PDF.

    Raises
    ------
    BounceLabError
        If something cannot be typeset or written.
    """
    paper = class_paper(drops, ranges=ranges, quality=quality, names=names, notes=notes)
    page, sheets = folder / f"{name}.html", folder / f"{name}.pdf"
    write_whole(page, make_html(paper).encode())
    write_whole(sheets, make_pdf(paper, size=size))
    return page, sheets


def _called(drops: Drops) -> str:
    return Path(drops.source).stem.replace("_", " ") if drops.source else "our class"


def _invented(drops: Drops) -> str:
    """Give the file's own word that its data is invented, if it says so."""
    others = drops.layout.others if drops.layout else ()
    for _, line in others:
        text = line if isinstance(line, str) else " ".join(line)
        if "invented" in text.casefold():
            return text.lstrip("# ").strip()
    return ""


def _contents(parts: Parts) -> str:
    links = {
        of_group: " · ".join(
            f"[{name}](#{mark})"
            for mark, name in parts.places.items()
            if mark.startswith("group-") == of_group
        )
        for of_group in (False, True)
    }
    own = f"\n\nA page for each group: {links[True]}" if links[True] else ""
    return f"In this report: {links[False]}{own}"
