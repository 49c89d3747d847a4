"""The sheet that a group types into: every cell as typed, every step undoable."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from bouncelab.errors import InputError

__all__ = ["COLUMNS", "UNITS", "Sheet", "SheetColumn", "apply"]

MOST_ROWS = 2000  # a class of 40 with 50 drops each; a file does the rest
LONGEST_CELL = 500


@dataclass(frozen=True, slots=True)
class SheetColumn:
    """One column of the sheet.

    Attributes
    ----------
    name : str
        The column's name in the saved journal.
    heading : str
        What stands above it; also the heading in a saved class file.
    quantity : str
        ``"length"``, ``"pressure"``, ``"temperature"``, or empty for words.
    carried : bool
        Whether a new row starts with the text of the row above.
    shown : bool
        Whether it stands on the screen; the kit fills in the others.
    """

    name: str
    heading: str
    quantity: str = ""
    carried: bool = False
    shown: bool = True


COLUMNS = (
    SheetColumn("ball", "ball", carried=True),
    SheetColumn("floor", "floor", carried=True),
    SheetColumn("drop_height", "drop height", "length", carried=True),
    SheetColumn("rebound_height", "rebound height", "length"),
    SheetColumn("circumference", "circumference", "length", carried=True),
    SheetColumn("gauge_pressure", "gauge pressure", "pressure", carried=True),
    SheetColumn("temperature", "temperature", "temperature", carried=True),
    SheetColumn("note", "note"),
    SheetColumn("method", "method", shown=False),
)
UNITS = {
    "length": ("cm", "m", "mm", "in"),
    "pressure": ("kPa", "bar", "psi"),
    "temperature": ("°C", "°F"),
}
_SHOWN = sum(column.shown for column in COLUMNS)
_PLACE = {column.name: place for place, column in enumerate(COLUMNS)}
_FIRST_UNITS = {c.name: UNITS[c.quantity][0] for c in COLUMNS if c.quantity}
_FIRST_SETUP = {
    "group": "",
    "drop_point": "bottom",
    "rebound_point": "bottom",
    "range": "",
    "prediction": "",
    "reason": "",
    "explanation": "",
    "show_length": "cm",
    "show_pressure": "kPa",
}
_POINTS = ("bottom", "centre", "top")
_MARKED = tuple(_PLACE[c.name] for c in COLUMNS if c.carried)
_READ = _PLACE["rebound_height"]

Row = tuple[str, ...]
_EMPTY: Row = ("",) * len(COLUMNS)


@dataclass(frozen=True, slots=True)
class Sheet:
    """What stands on the screen, as text.

    Attributes
    ----------
    rows : tuple of tuple of str
        One text for each of `COLUMNS`, exactly as typed.
    aside : tuple of bool
        Rows that a person has set aside.
    units : dict of str to str
        For each column that measures something, the unit of a bare number.
    setup : dict of str to str
        What holds for the whole sheet: group, points read, range, prediction;
        names that begin with ``answer-`` hold answers in words.
    """

    rows: tuple[Row, ...] = (_EMPTY,)
    aside: tuple[bool, ...] = (False,)
    units: Mapping[str, str] = field(default_factory=lambda: dict(_FIRST_UNITS))
    setup: Mapping[str, str] = field(default_factory=lambda: dict(_FIRST_SETUP))

    def to_dict(self) -> dict[str, Any]:
        """Give plain values for JSON."""
        return {
            "rows": [list(row) for row in self.rows],
            "aside": list(self.aside),
            "units": dict(self.units),
            "setup": dict(self.setup),
        }

    @classmethod
    def from_dict(cls, plain: Mapping[str, Any]) -> Sheet:
        """Rebuild a sheet; what a newer kit added is kept at its first value."""
        rows = tuple(
            tuple(str(cell) for cell in [*row, *_EMPTY][: len(COLUMNS)])
            for row in plain["rows"]
        )
        aside = tuple(bool(a) for a in plain["aside"])
        if len(aside) != len(rows) or not rows:
            raise InputError(
                what="a saved sheet",
                read=f"{len(rows)} rows and {len(aside)} marks",
                allowed="one mark for each row, and one row at least",
                do="Open the copy that was saved before this one.",
            )
        return cls(
            rows,
            aside,
            {**_FIRST_UNITS, **plain.get("units", {})},
            {**_FIRST_SETUP, **plain.get("setup", {})},
        )

    def headings(self) -> list[str]:
        """Give the headings of a class file: unit in brackets where one is."""
        named = [
            f"{c.heading} ({self.units[c.name]})" if c.quantity else c.heading
            for c in COLUMNS
            if c.shown or self._filled(c.name)
        ]
        return ["group", *named, "drop point", "rebound point", "set aside"]

    def table(self) -> tuple[list[int], list[list[str]]]:
        """Give row numbers and cells of the rows in which a drop was typed.

        A row that only carries what stood above it is not a drop yet.
        """
        numbers, rows = [], []
        filled = [_PLACE[c.name] for c in COLUMNS if c.shown or self._filled(c.name)]
        points = [self.setup["drop_point"], self.setup["rebound_point"]]
        for number, (row, aside) in enumerate(
            zip(self.rows, self.aside, strict=True), start=1
        ):
            if row[_READ].strip():
                numbers.append(number)
                mark = "yes" if aside else ""
                cells = [row[place] for place in filled]
                rows.append([self.setup["group"], *cells, *points, mark])
        return numbers, rows

    def _filled(self, name: str) -> bool:
        return any(row[_PLACE[name]] for row in self.rows)


def _cell(sheet: Sheet, step: Mapping[str, Any]) -> Sheet:
    row, place = _where(sheet, step)
    return _filled(sheet, row, place, [[str(step["text"])]])


def _paste(sheet: Sheet, step: Mapping[str, Any]) -> Sheet:
    row, place = _where(sheet, step)
    lines = str(step["text"]).replace("\r\n", "\n").replace("\r", "\n")
    block = [line.split("\t") for line in lines.rstrip("\n").split("\n")]
    widest = max(len(line) for line in block)
    if place + widest > _SHOWN:
        raise InputError(
            what="what was pasted",
            read=f"{widest} columns from “{COLUMNS[place].heading}” on",
            allowed=f"at most {_SHOWN - place} from there",
            do="Copy fewer columns, or start further to the left.",
        )
    return _filled(sheet, row, place, block)


def _whole_row(sheet: Sheet, step: Mapping[str, Any]) -> Sheet:
    """Fill a row in one step; cells that are not named become empty."""
    cells = {str(name): str(text) for name, text in step["cells"].items()}
    block = [[cells.get(column.name, "") for column in COLUMNS]]
    return _filled(sheet, _row(sheet, step), 0, block)


def _filled(
    sheet: Sheet, row: int, place: int, block: Sequence[Sequence[str]]
) -> Sheet:
    longest = max(len(cell) for line in block for cell in line)
    if longest > LONGEST_CELL:
        raise InputError(
            what="a cell",
            read=f"{longest} letters",
            allowed=f"up to {LONGEST_CELL}",
            do="Write a reading here, and long remarks on paper.",
        )
    sheet = _grown(sheet, row + len(block) - len(sheet.rows))
    rows = list(sheet.rows)
    for offset, line in enumerate(block):
        cells = list(rows[row + offset])
        cells[place : place + len(line)] = [c.strip("\n") for c in line]
        rows[row + offset] = tuple(cells)
    return replace(sheet, rows=tuple(rows))


def _grown(sheet: Sheet, count: int) -> Sheet:
    if count <= 0:
        return sheet
    if len(sheet.rows) + count > MOST_ROWS:
        raise InputError(
            what="the sheet",
            read=f"{len(sheet.rows) + count} rows",
            allowed=f"up to {MOST_ROWS}",
            do="Put a larger table in a class file, and open it with bouncelab check.",
        )
    above = sheet.rows[-1]
    carried = tuple(
        above[place] if place in _MARKED else "" for place in range(len(COLUMNS))
    )
    return replace(
        sheet,
        rows=sheet.rows + (carried,) * count,
        aside=sheet.aside + (False,) * count,
    )


def _add(sheet: Sheet, step: Mapping[str, Any]) -> Sheet:
    return _grown(sheet, int(step.get("count", 1)))


def _aside(sheet: Sheet, step: Mapping[str, Any]) -> Sheet:
    row = _row(sheet, step)
    sheet = _grown(sheet, row + 1 - len(sheet.rows))
    marks = list(sheet.aside)
    marks[row] = not marks[row]
    return replace(sheet, aside=tuple(marks))


def _unit(sheet: Sheet, step: Mapping[str, Any]) -> Sheet:
    """Change the unit of bare numbers; numbers already typed keep theirs."""
    name, unit = str(step["column"]), str(step["unit"])
    column = COLUMNS[_PLACE[name]] if name in _PLACE else None
    allowed = UNITS.get(column.quantity, ()) if column else ()
    if unit not in allowed:
        raise InputError(
            what=f"the unit of {name}",
            read=unit,
            allowed=", ".join(allowed) or "none",
            do="Choose one of these.",
        )
    place, old = _PLACE[name], sheet.units[name]
    if unit == old:
        return sheet
    rows = tuple(
        (*row[:place], f"{row[place].strip()} {old}", *row[place + 1 :])
        if _is_bare(row[place])
        else row
        for row in sheet.rows
    )
    return replace(sheet, rows=rows, units={**sheet.units, name: unit})


# Degree signs, straight, curly and true marks of feet and inches.
_MARKS = "\u00b0\u00ba\"'\u2032\u2033\u201d\u2019"


def _is_bare(text: str) -> bool:
    return bool(text.strip()) and not any(
        letter.isalpha() or letter in _MARKS for letter in text
    )


def _setup(sheet: Sheet, step: Mapping[str, Any]) -> Sheet:
    name, text = str(step["field"]), str(step["text"])
    if name not in _FIRST_SETUP and not name.startswith("answer-"):
        allowed = ", ".join(_FIRST_SETUP)
        raise InputError("a setting", name, allowed, "Choose one of these.")
    if name.endswith("_point") and text not in _POINTS:
        raise InputError(name, text, ", ".join(_POINTS), "Choose one of these.")
    return replace(sheet, setup={**sheet.setup, name: text})


_STEPS = {
    "cell": _cell,
    "row": _whole_row,
    "paste": _paste,
    "add": _add,
    "aside": _aside,
    "unit": _unit,
    "setup": _setup,
}


def _row(sheet: Sheet, step: Mapping[str, Any]) -> int:
    row = int(step["row"])
    # One row past the end is where Enter on the last row leads.
    if not 0 <= row <= len(sheet.rows):
        raise InputError(
            what="a row",
            read=str(row + 1),
            allowed=f"1 to {len(sheet.rows)}",
            do="Add rows first.",
        )
    return row


def _where(sheet: Sheet, step: Mapping[str, Any]) -> tuple[int, int]:
    name = str(step["column"])
    if name not in _PLACE:
        raise InputError("a column", name, ", ".join(_PLACE), "Choose one of these.")
    return _row(sheet, step), _PLACE[name]


def apply(sheet: Sheet, step: Mapping[str, Any]) -> Sheet:
    """Give the sheet after one step of a person's work.

    Parameters
    ----------
    sheet : Sheet
        The sheet before; it is not changed.
    step : mapping
        ``do`` is one of ``cell`` (row, column, text), ``row`` (row, cells: texts by
        column), ``paste`` (row, column, text with tabs and line ends), ``add``
        (count), ``aside`` (row), ``unit`` (column, unit), ``setup`` (field, text;
        ``whole`` if it is more than a key, to be undone by itself).
        Rows count from 0.

    Returns
    -------
    Sheet
        The sheet after.

    Raises
    ------
    InputError
        If the step is unknown or does not fit the sheet.

    Examples
    --------
    >>> sheet = apply(
    ...     Sheet(), {"do": "cell", "row": 0, "column": "ball", "text": "Futsal A"}
    ... )
    >>> sheet.rows[0][0]
    'Futsal A'
    """
    do = step.get("do")
    if do not in _STEPS:
        raise InputError("a step", repr(do), ", ".join(_STEPS), "Choose one of these.")
    try:
        return _STEPS[do](sheet, step)
    except (KeyError, TypeError) as error:
        raise InputError(
            what=f"the step {do!r}",
            read=repr(dict(step)),
            allowed="all of its parts",
            do="Load the notebook's page again.",
        ) from error
