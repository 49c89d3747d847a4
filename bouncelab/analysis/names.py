"""Names of balls: which were taken for one, and which might be one."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Sequence
from itertools import combinations

__all__ = ["about_names", "names_alike", "names_as_one", "plain_name"]

_MANY_NAMES = 300  # comparing every two of more would take long
_LONG_NAME = 5  # letters; shorter names differ by a letter for good reasons


def about_names(column: Iterable[object]) -> list[str]:
    """Say which names count as one ball, and which might be one.

    Parameters
    ----------
    column : iterable of str
        The name at each drop; pandas' missing values are passed over.

    Returns
    -------
    list of str
        One sentence for each.

    Examples
    --------
    >>> about_names(["Basketball", "basketball", "Basketbal"])[0]
    '“Basketball” and “basketball” are counted as one ball.'
    """
    typed = [each for each in dict.fromkeys(column) if isinstance(each, str)]
    first: dict[str, str] = {}
    for name in typed:
        first.setdefault(plain_name(name), " ".join(name.split()))
    return [*names_as_one(typed), *names_alike(list(first.values()))]


def names_alike(names: Sequence[str]) -> list[str]:
    """Point out balls whose names may be one name written in two ways.

    Parameters
    ----------
    names : sequence of str
        Names of balls, which already differ in more than case and spaces.

    Returns
    -------
    list of str
        One sentence for each pair. Numbers and single letters count as marks
        that tell balls apart, so ``Futsal 1`` and ``Futsal 2`` are no pair.

    Examples
    --------
    >>> names_alike(["Basketball 1", "Basket-ball 1", "Basketball 2"])
    ['“Basketball 1” and “Basket-ball 1” are counted as two balls. Is it one?']
    """
    unique = list(dict.fromkeys(name for name in names if name))
    if len(unique) > _MANY_NAMES:
        return []
    parts = {name: _parts(name) for name in unique}
    return [
        f"“{first}” and “{second}” are counted as two balls. Is it one?"
        for first, second in combinations(unique, 2)
        if parts[first][1] == parts[second][1]
        and _one_slip(parts[first][0], parts[second][0])
    ]


def plain_name(name: str) -> str:
    """Give a name without what people write differently: case and spaces.

    Parameters
    ----------
    name : str
        As typed.

    Returns
    -------
    str
        The same for all ways to write it.

    Examples
    --------
    >>> plain_name("Futsal  ball") == plain_name("FutsalBall")
    True
    """
    return unicodedata.normalize("NFKC", "".join(name.split())).casefold()


def names_as_one(typed: Sequence[str]) -> list[str]:
    """Say which names that people wrote in several ways count as one ball.

    Parameters
    ----------
    typed : sequence of str
        Names of balls as typed, each once.

    Returns
    -------
    list of str
        One sentence for each such ball; spaces at the ends and doubled ones are
        not seen by anybody and are passed over.

    Examples
    --------
    >>> names_as_one(["Futsal ball", "futsal ball", "Futsalball ", "Tennis ball"])
    ['“Futsal ball”, “futsal ball” and “Futsalball” are counted as one ball.']
    """
    ways: dict[str, list[str]] = {}
    for name in dict.fromkeys(" ".join(each.split()) for each in typed):
        ways.setdefault(plain_name(name), []).append(f"“{name}”")
    return [
        f"{', '.join(each[:-1])} and {each[-1]} are counted as one ball."
        for each in ways.values()
        if len(each) > 1
    ]


def _parts(name: str) -> tuple[str, tuple[str, ...]]:
    """Split a name into its letters and its marks (numbers, single letters)."""
    spaced = "".join(
        c if c.isalnum() else " " if c.isspace() else "" for c in name.casefold()
    )
    words = spaced.split()
    marks = tuple(w for w in words if len(w) == 1 or any(c.isdigit() for c in w))
    return "".join(w for w in words if w not in marks), marks


def _one_slip(first: str, second: str) -> bool:
    """Say whether two words differ by one letter at most."""
    short, long = sorted((first, second), key=len)
    if len(short) < _LONG_NAME or len(long) - len(short) > 1:
        return first == second and bool(first)
    start = 0
    while start < len(short) and short[start] == long[start]:
        start += 1
    same_length = len(short) == len(long)
    return short[start + same_length :] == long[start + 1 :]
