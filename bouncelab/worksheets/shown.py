"""How numbers stand on a sheet: significant figures, units, and mathematics."""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Decimal
from math import isfinite

from bouncelab.errors import InputError

__all__ = ["Shown", "decimals_shown", "significant"]

from dataclasses import dataclass

_RAISED = str.maketrans("-0123456789", "⁻⁰¹²³⁴⁵⁶⁷⁸⁹")
_NARROW = "\u202f"  # between a number and its unit, never broken
_LARGEST, _SMALLEST = 5, -4  # powers of ten that are still written out


def significant(value: float, figures: int) -> str:
    """Write a number with so many significant figures.

    Parameters
    ----------
    value : float
        The number.
    figures : int
        1 or more.

    Returns
    -------
    str
        With a decimal point; with a power of ten as ``7.48e-5`` where the number is
        very large or small. Halves are rounded up.

    Raises
    ------
    InputError
        If the number is not finite or `figures` is below 1.

    Examples
    --------
    >>> significant(0.07482, 3), significant(661.2, 2), significant(91.875, 3)
    ('0.0748', '660', '91.9')
    >>> significant(7.4839e-6, 3)
    '7.48e-6'
    """
    if not isfinite(value) or figures < 1:
        raise InputError(
            what="a number on a sheet",
            read=f"{value} with {figures} significant figures",
            allowed="a finite number with 1 figure or more",
            do="Check the cell that works it out.",
        )
    if value == 0:
        return "0"
    exact = Decimal(repr(float(value)))
    last = Decimal(1).scaleb(exact.adjusted() - figures + 1)
    rounded = exact.quantize(last, rounding=ROUND_HALF_UP)
    if rounded.adjusted() > exact.adjusted():  # 9.99 became 10.0
        rounded = rounded.quantize(last.scaleb(1))
    power = rounded.adjusted()
    if _SMALLEST <= power <= _LARGEST:
        return f"{rounded:f}".replace("-", "−")
    front = f"{rounded.scaleb(-power):f}".replace("-", "−")
    return f"{front}e{power}"


def decimals_shown(value: float, step: float) -> str:
    """Write a number with the decimals that a step of a scale has.

    Parameters
    ----------
    value : float
        The number.
    step : float
        Such as 0.05 of a tape that is read to 5 cm, in m.

    Returns
    -------
    str
        With a decimal point.

    Examples
    --------
    >>> decimals_shown(1.2, 0.05), decimals_shown(120, 5)
    ('1.20', '120')
    """
    places = max(0, -int(Decimal(repr(float(step))).normalize().as_tuple().exponent))
    exact = Decimal(f"{value:.12g}")  # so that 0.575 is a half, and rounded up
    rounded = exact.quantize(Decimal(1).scaleb(-places), rounding=ROUND_HALF_UP)
    return f"{rounded:f}".replace("-", "−")


@dataclass(frozen=True, slots=True)
class Shown:
    """A number or a word as it stands on a sheet.

    Attributes
    ----------
    text : str
        The number's digits, or the words.
    unit : str
        Its unit; empty for none.
    """

    text: str
    unit: str = ""

    def __str__(self) -> str:
        """Give it for running text."""
        front, power, exponent = self.text.partition("e")
        if power and exponent.lstrip("-").isdigit():
            return f"{front} × 10{exponent.translate(_RAISED)}{self._unit()}"
        return f"{self.text}{self._unit()}"

    def _unit(self) -> str:
        return f"{_NARROW}{self.unit}" if self.unit else ""

    def tex(self) -> str:
        """Give it for mathematics between dollar signs."""
        front, power, exponent = self.text.partition("e")
        if not (front.lstrip("−").replace(".", "").isdigit()):
            return f"\\text{{{self.text}}}"
        made = front.replace("−", "-")
        if power:
            made += f" \\times 10^{{{exponent}}}"
        return made + _tex_unit(self.unit)


def _tex_unit(unit: str) -> str:
    if not unit:
        return ""
    if unit == "%":
        return r"\,\%"
    text = unit.replace("°C", r"{}^\circ C").replace("°F", r"{}^\circ F")
    text = text.replace("·", r"\,").replace("²", "^2").replace("³", "^3")
    return rf"\,\mathrm{{{text}}}"
