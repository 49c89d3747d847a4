"""One ledger for every collision: momentum, impulse and energy, body by body."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated, Any

from bouncelab.physics.numbers import given
from bouncelab.physics.results import Result

__all__ = ["Ledger", "ledger_of"]


@dataclass(frozen=True, slots=True)
class Ledger(Result):
    """Momentum and energy before and after, body by body and together.

    Attributes
    ----------
    momentum_before, momentum_after, impulse : tuple
        One entry a body, in kg m/s; the impulse is what the body was given, in N s.
    kinetic_before, kinetic_after : tuple
        One entry a body, in J.
    total_momentum_before, total_momentum_after : float, UFloat or ndarray
        In kg m/s.
    total_kinetic_before, total_kinetic_after : float, UFloat or ndarray
        In J.
    energy_lost : float, UFloat or ndarray
        What left the motion for sound, warmth and dents, in J: worked out from
        restitution, not as the difference of the totals.
    energy_released : float, UFloat or ndarray
        What a spring or a charge gave to the motion, in J.
    """

    momentum_before: Annotated[Any, "kg m/s"]
    momentum_after: Annotated[Any, "kg m/s"]
    impulse: Annotated[Any, "N s"]
    kinetic_before: Annotated[Any, "J"]
    kinetic_after: Annotated[Any, "J"]
    total_momentum_before: Annotated[Any, "kg m/s"]
    total_momentum_after: Annotated[Any, "kg m/s"]
    total_kinetic_before: Annotated[Any, "J"]
    total_kinetic_after: Annotated[Any, "J"]
    energy_lost: Annotated[Any, "J"]
    energy_released: Annotated[Any, "J"]

    @property
    def unaccounted(self) -> Any:
        """Give kinetic before + released − lost − after, in J: 0 but for rounding."""
        before = self.total_kinetic_before + self.energy_released
        return before - self.energy_lost - self.total_kinetic_after


def ledger_of(
    momenta: tuple[Sequence[Any], Sequence[Any]],
    kinetics: tuple[Sequence[Any], Sequence[Any]],
    lost: Any,
    released: Any = 0.0,
) -> Ledger:
    """Sum up what each body had before and has after.

    Parameters
    ----------
    momenta : pair of sequence of float, UFloat or ndarray
        Before and after, one entry a body, in kg m/s.
    kinetics : pair of sequence of float, UFloat or ndarray
        Before and after, one entry a body, in J.
    lost : float, UFloat or ndarray
        Energy that left the motion, in J.
    released : float, UFloat or ndarray, optional
        Energy that a spring or charge put in, in J.

    Returns
    -------
    Ledger
        With the impulse on each body and the totals.

    Examples
    --------
    >>> kept = ledger_of(([2.0, 0.0], [0.0, 2.0]), ([4.0, 0.0], [0.0, 4.0]), 0.0)
    >>> kept.impulse, kept.unaccounted
    ((-2.0, 2.0), 0.0)
    """
    (p0, p1), (k0, k1) = momenta, kinetics
    return Ledger(
        momentum_before=tuple(map(given, p0)),
        momentum_after=tuple(map(given, p1)),
        impulse=tuple(given(b - a) for a, b in zip(p0, p1, strict=True)),
        kinetic_before=tuple(map(given, k0)),
        kinetic_after=tuple(map(given, k1)),
        total_momentum_before=given(sum(p0)),
        total_momentum_after=given(sum(p1)),
        total_kinetic_before=given(sum(k0)),
        total_kinetic_after=given(sum(k1)),
        energy_lost=given(lost),
        energy_released=given(released),
    )
