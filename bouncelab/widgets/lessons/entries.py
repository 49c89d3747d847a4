"""What a student typed into a lesson's boxes, refused in the student's own words."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from bouncelab.errors import InputError
from bouncelab.units import read_length

__all__ = ["naming", "read_drop_and_rebound"]


@contextmanager
def naming(box: str) -> Iterator[None]:
    """Let an error name the box, where several ask for the same quantity.

    Parameters
    ----------
    box : str
        What stands above the box.

    Raises
    ------
    InputError
        Whatever is raised inside, with the box's name.

    Examples
    --------
    >>> try:
    ...     with naming("height of the wall"):
    ...         read_length("2l cm", unit="cm")
    ... except InputError as error:
    ...     print(error.what)
    height of the wall
    """
    try:
        yield
    except InputError as error:
        raise type(error)(box, error.read, error.allowed, error.do) from error


def read_drop_and_rebound(drop: str, rebound: str) -> tuple[float, float]:
    """Read a drop height and the rebound that belongs to it.

    Parameters
    ----------
    drop, rebound : str
        As typed; a number alone is taken as centimetres.

    Returns
    -------
    (float, float)
        Both, in m.

    Raises
    ------
    InputError
        If one cannot be read, or the rebound is above the drop; it speaks of what
        was typed, in the units in which it was typed.

    Examples
    --------
    >>> read_drop_and_rebound("1.8 m", "110")
    (1.8, 1.1)
    """
    with naming("drop height"):
        fallen = read_length(drop.strip(), unit="cm")
    with naming("rebound height"):
        risen = read_length(rebound.strip(), unit="cm")
    if not 0 <= risen <= fallen or fallen == 0:
        raise InputError(
            what=f"rebound height with a drop height of {drop.strip()}",
            read=f"“{rebound.strip()}”",
            allowed="a drop height above 0, and a rebound from 0 up to it",
            do="Read the same point of the ball both times, and look at both boxes.",
        )
    return fallen, risen
