"""How many students a classroom server holds, from what one was measured to take.

The figures are those of ``tests/benchmarks/bench_classroom.py`` on 2 cores with ten
students; the contributors' guide has them with their conditions.
"""

from __future__ import annotations

from math import floor

from bouncelab.errors import InputError

__all__ = ["seconds_to_start", "students_held"]

HUB = 140e6  # bytes: the hub, its proxy and its culler, with nobody in
SEAT = 235e6  # bytes: a student with notebook 1 in use, the hub's share of it included
NOTEBOOK = 110e6  # bytes: one more notebook of the same student
START = 4.6  # seconds of one core, from logging in to notebook 1 run to its end
TYPING = 0.064  # of a core, while a student corrects a reading every second
NOTEBOOKS = 4  # that one student may have open at a time
SHARE = 0.9  # of the memory, as the written service takes it; the rest is the system's


def students_held(memory: float, *, notebooks: int = 2) -> int:
    """Work out how many students fit into a machine's memory.

    Parameters
    ----------
    memory : float
        Bytes of the machine.
    notebooks : int, optional
        Notebooks that each student has open at a time.

    Returns
    -------
    int
        Students.

    Raises
    ------
    InputError
        If no notebook is open, or there is no memory.

    Examples
    --------
    >>> students_held(8e9)
    20
    """
    if notebooks < 1 or not memory > 0:
        raise InputError(
            what="a classroom server",
            read=f"{memory:g} bytes, {notebooks} notebooks",
            allowed="some memory, and a notebook at least",
            do="Say how much memory the machine has.",
        )
    each = SEAT + (notebooks - 1) * NOTEBOOK
    return max(0, floor((SHARE * memory - HUB) / each))


def seconds_to_start(students: int, cores: int) -> float:
    """Work out how long a class waits when all log in at once.

    Parameters
    ----------
    students : int
        Who log in at the same moment.
    cores : int
        Of the machine, with no other work on them.

    Returns
    -------
    float
        Seconds, until the last one has notebook 1 run to its end.

    Examples
    --------
    >>> seconds_to_start(30, 4) < seconds_to_start(30, 2)
    True
    """
    return START * students / cores
