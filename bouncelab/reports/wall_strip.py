"""A strip for the wall: a range to its true size, to hold a bounce against."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, floor
from pathlib import Path
from tempfile import TemporaryDirectory

from bouncelab.catalogue import BounceRange
from bouncelab.reports.tape_readings import ball_of, show_both
from bouncelab.typesetting.making import PaperSize, compile_typst
from bouncelab.units import in_unit, read_length

__all__ = ["StripSheet", "strip_sheets", "wall_strip"]

_SHEET, _LARGE_SHEET = 20, 15  # cm of scale on each sheet; large words need room
_LARGE = 1.35  # so much larger are letters in large print; lengths stay true
_MARGIN = 0.04  # m of scale beyond each limit
_BEYOND = 0.15  # m of scale above a range without an upper limit
_FOOT = 245.0  # mm from the top of the sheet to the strip's lower end
_LEFT = 25.0  # mm from the left edge of the sheet to the strip
_WIDE = 62.0  # mm, the strip's width


@dataclass(frozen=True, slots=True)
class StripSheet:
    """One sheet of a strip.

    Attributes
    ----------
    start, stop : int
        Heights above the floor at its lower and upper end, in cm.
    """

    start: int
    stop: int


def strip_sheets(asked: BounceRange, *, large: bool = False) -> list[StripSheet]:
    """Tell which heights each sheet of a strip shows.

    Parameters
    ----------
    asked : BounceRange
        The range; its limits are read at the point that it names.
    large : bool, optional
        Large print.

    Returns
    -------
    list of StripSheet
        From the floor up.

    Examples
    --------
    >>> from bouncelab.catalogue import find_range
    >>> strip_sheets(find_range("futsal-law-2"))
    [StripSheet(start=45, stop=60), StripSheet(start=60, stop=70)]
    """
    low, high = _limits(asked)
    bottom = low if low is not None else 0.0
    top = high if high is not None else bottom + _BEYOND
    start = max(0, 5 * floor(float(in_unit(bottom - _MARGIN, "length", "cm")) / 5))
    stop = 5 * ceil(float(in_unit(top + _MARGIN, "length", "cm")) / 5)
    count = ceil((stop - start) / (_LARGE_SHEET if large else _SHEET))
    step = 5 * ceil((stop - start) / count / 5)
    return [StripSheet(k, min(k + step, stop)) for k in range(start, stop, step)]


def _limits(asked: BounceRange) -> tuple[float | None, float | None]:
    return asked.rebound_min_m, asked.rebound_max_m


def wall_strip(
    asked: BounceRange, *, size: PaperSize = "a4", large: bool = False
) -> bytes:
    """Draw the strip to its true size.

    Parameters
    ----------
    asked : BounceRange
        The range.
    size : {"a4", "us-letter"}, optional
        The sheets.
    large : bool, optional
        Large print; what is to be measured stays as long.

    Returns
    -------
    bytes
        A PDF; each sheet has lines of 100 mm to measure.

    Raises
    ------
    BounceLabError
        If it cannot be typeset.
    """
    sheets = strip_sheets(asked, large=large)
    pages = [_page(asked, each, k, len(sheets)) for k, each in enumerate(sheets)]
    head = (
        f'#set document(title: "Wall strip {asked.id}", date: none)\n'
        f'#set page(paper: "{size}", margin: 0pt)\n'
        '#set text(size: 9pt, lang: "en", font: "Libertinus Serif")\n'
        f"#let k = {_LARGE if large else 1}\n"
    )
    with TemporaryDirectory() as place:
        return compile_typst(
            head + "\n#pagebreak()\n".join(pages),
            Path(place),
            title=f"wall strip {asked.id}",
        )


def _page(asked: BounceRange, sheet: StripSheet, number: int, count: int) -> str:
    parts = [
        *_scale(sheet),
        *_band(asked, sheet),
        *_ends(sheet, number, count),
        *_check_lines(),
        _words(asked, sheet, number, count),
    ]
    return "\n".join(parts)


def _at(sheet: StripSheet, metres: float) -> float:
    """Give the place of a height on the sheet, in mm from its top."""
    return _FOOT - float(in_unit(metres, "length", "mm")) + 10 * sheet.start


def _line(x0: float, y0: float, x1: float, y1: float, width: float) -> str:
    return (
        f"#place(top + left, line(start: ({x0:.3f}mm, {y0:.3f}mm), "
        f"end: ({x1:.3f}mm, {y1:.3f}mm), stroke: {width}pt))"
    )


def _text(
    x: float, y: float, words: str, *, size: float = 9, bold: bool = False
) -> str:
    weight = "bold" if bold else "regular"
    return (
        f"#place(top + left, dx: {x:.3f}mm, dy: {y:.3f}mm, "
        f'text(size: k * {size}pt, weight: "{weight}")[#"{words}"])'
    )


def _scale(sheet: StripSheet) -> list[str]:
    """Draw centimetres on the left side of the strip and inches on its right."""
    right = _LEFT + _WIDE
    made = []
    for half in range(2 * sheet.start, 2 * sheet.stop + 1):
        y = _FOOT - 5.0 * (half - 2 * sheet.start)
        long = 12 if half % 10 == 0 else 8 if half % 2 == 0 else 4
        made.append(_line(_LEFT, y, _LEFT + long, y, 0.9 if half % 10 == 0 else 0.5))
        if half % 10 == 0:
            inside = {2 * sheet.start: -2.4, 2 * sheet.stop: 2.4}.get(half, 0.0)
            made.append(
                _text(_LEFT + 13, y - 2.1 + inside, f"{half // 2}", size=13, bold=True)
            )
        elif half % 2 == 0:
            made.append(_text(_LEFT + 9, y - 1.2, f"{half // 2}", size=7))
    inch = read_length("1/4 in")
    bottom, top = read_length(f"{sheet.start} cm"), read_length(f"{sheet.stop} cm")
    for quarter in range(ceil(bottom / inch), floor(top / inch) + 1):
        y = _at(sheet, quarter * inch)
        whole = quarter % 4 == 0
        made.append(_line(right - (9 if whole else 4), y, right, y, 0.5))
        if whole:
            above = 2.2 if y > _FOOT - 2 else 0.0  # clear of the words below the strip
            made.append(_text(right - 16, y - 1.4 - above, f"{quarter // 4}", size=8))
    made.append(_line(_LEFT, _FOOT, _LEFT, _at(sheet, top), 0.9))
    made.append(_line(right, _FOOT, right, _at(sheet, top), 0.9))
    made.append(_text(_LEFT + 1, _at(sheet, top) - 4.2, "cm", size=8))
    made.append(_text(right - 7, _at(sheet, top) - 4.2, "in", size=8))
    return made


def _band(asked: BounceRange, sheet: StripSheet) -> list[str]:
    """Draw what lies within the range, and its limits."""
    low, high = _limits(asked)
    bottom, top = read_length(f"{sheet.start} cm"), read_length(f"{sheet.stop} cm")
    start = max(bottom, low if low is not None else bottom)
    stop = min(top, high if high is not None else top)
    left, right = _LEFT + 24, _LEFT + _WIDE - 17
    made = []
    if stop > start:
        y0, y1 = _at(sheet, stop), _at(sheet, start)
        made.append(
            f"#place(top + left, dx: {left:.3f}mm, dy: {y0:.3f}mm, rect("
            f"width: {right - left:.3f}mm, height: {y1 - y0:.3f}mm, "
            "fill: luma(225), stroke: none))"
        )
    for limit, words in ((low, "at least"), (high, "at most")):
        if limit is not None and bottom <= limit <= top:
            y = _at(sheet, limit)
            made.append(_line(left, y, right, y, 2.2))
            made.append(_line(_LEFT + _WIDE, y, _LEFT + _WIDE + 6, y, 2.2))
            made.append(
                _text(
                    _LEFT + _WIDE + 8,
                    y - 2,
                    f"{words} {show_both(limit)}",
                    size=11,
                    bold=True,
                )
            )
    return made


def _ends(sheet: StripSheet, number: int, count: int) -> list[str]:
    made = [
        _line(_LEFT - 8, _FOOT, _LEFT + _WIDE, _FOOT, 0.5),
        _text(
            _LEFT - 5,
            _FOOT + 1.5,
            f"This line stands {sheet.start} cm above the floor"
            if number == 0
            else f"Lay this line on the upper end of sheet {number}",
        ),
    ]
    if number + 1 < count:
        y = _at(sheet, read_length(f"{sheet.stop} cm"))
        made.append(_line(_LEFT - 8, y, _LEFT + _WIDE, y, 0.5))
        made.append(_text(_LEFT + 8, y - 4.2, f"sheet {number + 2} goes on here"))
    return made


def _check_lines() -> list[str]:
    x, y = 98.0, 254.0
    made = [_line(x, y, x + 100, y, 0.8)]
    made += [_line(x + k, y - 2, x + k, y + 2, 0.8) for k in (0.0, 100.0)]
    made.append(_text(x, y + 3, "Measure it: this line is 100 mm long. If it is not,"))
    made.append(_text(x, y + 8, "print again at 100 %, without fitting to the page."))
    up = 196.0
    made.append(_line(up, 130, up, 230, 0.8))
    made += [_line(up - 2, at, up + 2, at, 0.8) for at in (130.0, 230.0)]
    made.append(_text(up - 17, 178, "100 mm", size=8))
    return made


def _words(asked: BounceRange, sheet: StripSheet, number: int, count: int) -> str:
    named = "" if asked.points_named else " The source names no point of the ball."
    rule = ", ".join(each for each in (asked.body, asked.edition) if each)
    said = [
        f"{ball_of(asked).name}, range {asked.id}",
        f"{rule}. Drop from {show_both(asked.drop_height_m)}, read at the "
        f"{asked.drop_point} of the ball.",
        f"At the turn, read the {asked.rebound_point} of the ball against this strip."
        f"{named}",
        "Tape the strip upright to the wall, its lower line at the height that is "
        "written there; measure that height with a tape. Eyes level with the turn.",
        "Nobody climbs on chairs, tables or ladders to drop or to read; keep the "
        "landing place clear. Your school's rules come first.",
        f"Sheet {number + 1} of {count}: {sheet.start} cm to {sheet.stop} cm.",
    ]
    body = " #parbreak() ".join(f'#"{_safe(each)}"' for each in said)
    return (
        f"#place(top + left, dx: {_LEFT}mm, dy: 8mm, block(width: 170mm, "
        f"text(size: k * 9pt)[#set par(spacing: 0.6em, leading: 0.45em); {body}]))"
    )


def _safe(text: str) -> str:
    return text.replace("\\", "\\\\").replace('"', '\\"')
