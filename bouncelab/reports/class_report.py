"""The report of one class: a page for the screen and a PDF to print."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from bouncelab.analysis.bounciness import Bounciness, bounciness
from bouncelab.analysis.quality import ReadingQuality
from bouncelab.catalogue import BounceRange
from bouncelab.places import write_whole
from bouncelab.readings.drops import Drops
from bouncelab.reports.group_pages import group_part, groups_of
from bouncelab.reports.report_parts import (
    Parts,
    air_part,
    bounce_part,
    compare_part,
    found_part,
    look_part,
)
from bouncelab.typesetting.making import PaperSize, make_html, make_pdf
from bouncelab.typesetting.paper import Paper, plain
from bouncelab.units import show_length

__all__ = ["class_paper", "write_report"]

_MOST_GROUPS = 40  # with a page of their own


def class_paper(
    drops: Drops,
    *,
    ranges: Sequence[BounceRange] = (),
    quality: ReadingQuality | None = None,
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
    notes : bool, optional
        Whether to show the column of notes, in which names may stand.

    Returns
    -------
    Paper
        For `make_html` and `make_pdf`.
    """
    quality = quality or ReadingQuality()
    found = bounciness(drops, ranges=list(ranges), quality=quality)
    parts = Parts()
    invented = _invented(drops)
    if invented:
        parts.say(f"*{plain(invented)}*")
    found_part(parts, found)
    look_part(parts, found)
    bounce_part(parts, found)
    compare_part(parts, found)
    air_part(parts, found, ranges)
    names = groups_of(found)
    for name in names[:_MOST_GROUPS]:
        group_part(parts, found, name, notes=notes)
    if len(names) > _MOST_GROUPS:
        parts.say(f"Only the first {_MOST_GROUPS} of {len(names)} groups have a page.")
    parts.say("::: new-page\n:::", *_method(found, quality, ranges))
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
    ranges, quality, notes
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
    paper = class_paper(drops, ranges=ranges, quality=quality, notes=notes)
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


def _method(
    found: Bounciness, quality: ReadingQuality, ranges: Sequence[BounceRange]
) -> list[str]:
    halves = [
        ("setting the drop height", quality.drop_half_width),
        ("reading a rebound by eye", quality.rebound_half_width),
        ("the tape's zero, the same for all drops", quality.tape_offset_half_width),
        ("a measured diameter", quality.diameter_half_width),
    ]
    assumed = "; ".join(f"{what} ± {show_length(half)}" for what, half in halves)
    sources = [
        f"- {plain(each.id)}: {plain(each.source)} ({plain(each.confirmed)})."
        for each in ranges
    ]
    return [
        "## How this was worked out",
        "A ball that falls from $h_1$ and comes back to $h_2$ keeps the share *e* of "
        "its speed, since height goes with the square of the speed:",
        r"$$e = \sqrt{\frac{h_2}{h_1}}$$",
        "Both heights are those of the same point of the ball; where another point was "
        "read, the diameter *d* is taken off. The mean of *n* drops has a Type A "
        r"uncertainty $u_\mathrm{A} = s/\sqrt{n}$ from the scatter *s*. What all drops "
        "share is added once (Type B), each half-width *a* with $a/\\sqrt{3}$: "
        f"{assumed}. Together, with the sensitivities of *e*,",
        r"$$u^2(e) = u_\mathrm{A}^2 + \left(\frac{e}{2 h_2}\right)^2 u^2(h_2) "
        r"+ \left(\frac{e}{2 h_1}\right)^2 u^2(h_1)$$",
        "and the expanded uncertainty is $U = k\\,u$ with Student's *k* for 95 % "
        "and the effective degrees of freedom. Where groups differ by more than their "
        "drops, each group's mean counts as one measurement.",
        "**Verdicts** follow the whole interval: a ball meets a range if the "
        "probability that its mean rebound lies inside is at least 95 %, does not meet "
        "it if it is at most 5 %, and else it cannot be told.",
        "**Comparisons**: differences within each group where the same groups dropped "
        "both (paired Student), else between groups' means or drops (Welch), with "
        "Holm's allowance for many pairs. **Groups** are set against their own scatter "
        "by an analysis of variance. **Bounce against pressure**: "
        "$e^2 = a - b/(p + c)$ by weighted least squares, gauge uncertainty within, "
        "never used beyond the measured pressures.",
        "Rules: JCGM 100:2008 (GUM) for uncertainty, JCGM 106:2012 for verdicts; "
        "B. L. Welch, *Biometrika* 34 (1947) 28; S. Holm, *Scand. J. Statist.* 6 "
        "(1979) 65 (both from memory).",
        *(["**Sources of the ranges**", "\n".join(sources)] if sources else []),
        "::: caution\nPump no ball above the pressure printed on it. Nobody climbs to "
        "drop or to read, landing places stay clear, and very cold or hot balls are "
        "for qualified staff. Your school's rules and local codes come before this "
        "report.\n:::",
    ]
