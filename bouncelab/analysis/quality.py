"""How well can a class read heights? The assumptions behind every uncertainty."""

from __future__ import annotations

from dataclasses import dataclass, fields
from math import inf

from bouncelab.errors import InputError

__all__ = ["ReadingQuality"]


@dataclass(frozen=True, slots=True)
class ReadingQuality:
    """What is assumed about the readings; a user may change each.

    Each is the half-width of an interval within which any value is equally
    likely, so its standard uncertainty is the half-width over √3 [1]_. The
    first four are common practice for a tape on a wall and an eye beside it, no
    source.

    Attributes
    ----------
    drop_half_width : float
        Setting the drop height against its mark, in m; common to all drops of
        a condition, which share the mark.
    rebound_half_width : float
        Reading one rebound, in m; differs from drop to drop, so the scatter of
        the drops already holds it. Used for a single drop only, or where the
        drops agree better than they can be read.
    timed_half_width : float
        The same for a rebound that was worked out from times between impacts, in m:
        what a millisecond makes of half a metre.
    tape_offset_half_width : float
        The tape's zero against the floor, in m; the same for both heights.
    diameter_half_width : float
        A measured diameter of the ball, in m; used where another point than the
        lowest was read.
    catalogue_share : float
        The same for a diameter from the catalogue, as a share of it: the rules
        of basketball and tennis let balls of one kind differ by this much.
    group_half_width : float
        How far a group's mean of e may lie from what all groups would find;
        differs from group to group. Used where several groups agree so well that
        their scatter does not show it: by chance they may. Common practice, no
        source.

    Raises
    ------
    InputError
        If one of them is below zero or not a number.

    References
    ----------
    .. [1] JCGM 100:2008, *Guide to the Expression of Uncertainty in
       Measurement*, 4.3.7.

    Examples
    --------
    >>> ReadingQuality(tape_offset_half_width=0.005).tape_offset_half_width
    0.005
    """

    drop_half_width: float = 0.005
    rebound_half_width: float = 0.010
    timed_half_width: float = 0.003
    tape_offset_half_width: float = 0.003
    diameter_half_width: float = 0.003
    catalogue_share: float = 0.025
    group_half_width: float = 0.009

    def __post_init__(self) -> None:
        for field in fields(self):
            value = getattr(self, field.name)
            if not 0 <= value < inf:
                raise InputError(
                    what=field.name.replace("_", " "),
                    read=str(value),
                    allowed="0 or more",
                    do="Give half of the interval in which the true value lies.",
                )
