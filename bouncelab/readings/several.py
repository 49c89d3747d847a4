"""Which readings did a student type in one line? Heights, or times, of bounces."""

from __future__ import annotations

import re

from bouncelab.errors import InputError, UnitError
from bouncelab.units import read_length, read_number
from bouncelab.writing import short

__all__ = ["read_heights", "read_times"]

_EXAMPLE = {
    "heights": "heights such as 110, 68, 42 cm",
    "times": "times such as 0.61, 1.59, 2.37 s",
}
_SECONDS = re.compile(r"\s*(?:s|sec|secs|seconds?)\.?$", re.IGNORECASE)
_MOST = 20  # bounces that anybody could read
_AND = re.compile(r"\s+(?:and|then)\s+", re.IGNORECASE)
_BETWEEN = re.compile(r",(?!\d)|(?<=[^\W\d]),")  # no decimal comma
_INNER = re.compile(r"\d,\d")
_SEVERAL = re.compile(r"\d[\s/-]+\d")
_LAST_UNIT = re.compile(r"[^\d\s.,/⅛¼⅜½⅝¾⅞-][^\d]*$")


def read_heights(text: str) -> tuple[float, ...]:
    """Read heights that stand in one line.

    Parameters
    ----------
    text : str
        Heights between commas, semicolons or lines. One without a unit has the
        unit of the next one that has any, or else of the one before it.

    Returns
    -------
    tuple of float
        In m, in the order typed; 1 to 20 of them.

    Raises
    ------
    InputError
        If there is no height, more than 20, one below zero, one that cannot be
        read, or a comma that may stand between heights or inside one.
    UnitError
        If no unit stands anywhere, or one that measures something else.

    Notes
    -----
    A comma with a space after it stands between heights. One without a space is
    a decimal comma where all heights have one, or where semicolons stand between
    them; two or more in a row without spaces stand between heights.

    Examples
    --------
    >>> read_heights("110, 68, 42 cm")
    (1.1, 0.68, 0.42)
    >>> read_heights("1,10 m; 68 cm; 42")
    (1.1, 0.68, 0.42)
    """
    pieces = _pieces(text, "heights")
    units = [_own_unit(each) for each in pieces]
    # Those with a unit come first, so that a wrong one is named where it stands.
    heights = {
        place: _height(piece, place, None)
        for place, (piece, unit) in enumerate(zip(pieces, units, strict=True))
        if unit
    }
    if not heights:
        raise UnitError(
            "heights",
            f"“{short(text)}”",
            "a unit, as in 110, 68, 42 cm",
            "Write the unit after the last height.",
        )
    for place, piece in enumerate(pieces):
        if place not in heights:
            unit = next(each for each in units[place:] + units[place::-1] if each)
            heights[place] = _height(piece, place, unit)
    return tuple(heights[place] for place in range(len(pieces)))


def read_times(text: str) -> tuple[float, ...]:
    """Read times that stand in one line, in seconds.

    Parameters
    ----------
    text : str
        Times as `read_heights` reads heights; seconds, whether or not it says so.

    Returns
    -------
    tuple of float
        In s, in the order typed; 1 to 20 of them.

    Raises
    ------
    InputError
        As `read_heights`, except that times may be below zero.

    Examples
    --------
    >>> read_times("0.61, 1.59, 2.37 s")
    (0.61, 1.59, 2.37)
    """
    times = []
    for place, piece in enumerate(_pieces(text, "times")):
        try:
            times.append(read_number(_SECONDS.sub("", piece)))
        except InputError as error:
            do = "Write seconds, with a comma and a space between times."
            what = f"time {place + 1}"
            raise InputError(
                what, f"“{short(piece)}”", _EXAMPLE["times"], do
            ) from error
    return tuple(times)


def _pieces(text: str, kind: str) -> list[str]:
    pieces = _split(text, kind)
    if not pieces:
        raise InputError(kind, "nothing", _EXAMPLE[kind], "Write what you read.")
    if len(pieces) > _MOST:
        raise InputError(
            kind, f"{len(pieces)} of them", f"up to {_MOST}", "Leave out the last."
        )
    return pieces


def _split(text: str, kind: str) -> list[str]:
    spaced = _AND.sub("; " if ";" in text else ", ", text.strip())
    if ";" in spaced or "\n" in spaced:
        return [each.strip(" ,") for each in re.split(r"[;\n]", spaced) if each.strip()]
    pieces = [each.strip() for each in _BETWEEN.split(spaced) if each.strip()]
    inner = [len(_INNER.findall(each)) for each in pieces]
    if not any(inner):
        return pieces
    if max(inner) == 1 and all(inner) and len(pieces) > 1:
        return pieces  # 110,5, 68,2 cm
    if min(inner) > 1 or (len(pieces) == 1 and text.count(",") > 1):
        return [each.strip() for each in spaced.split(",")]
    raise InputError(
        kind,
        f"“{short(text)}”",
        f"a space after each comma between {kind}, or semicolons between them",
        "Write 1, 5 for two of them and 1.5 for one.",
    )


def _own_unit(piece: str) -> str:
    found = _LAST_UNIT.search(piece)
    return found.group().strip() if found else ""


def _height(piece: str, place: int, unit: str | None) -> float:
    what = f"height {place + 1}"
    try:
        height = read_length(piece, unit=unit)
    except InputError as error:
        do = error.do
        if _SEVERAL.search(piece):
            do = "Put a comma and a space between heights."
        elif isinstance(error, UnitError):
            do = "Check the unit."
        raise type(error)(what, error.read, error.allowed, do) from error
    if height < 0:
        raise InputError(
            what, f"“{short(piece)}”", "0 or more", "Measure up from the floor."
        )
    return height
