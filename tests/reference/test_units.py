"""NIST Special Publication 811 (2008), appendix B, and the library pint.

The figures of SP 811 are from memory; pint is an independent program, so it is a
check and not a source.
"""

import pint
import pytest

from bouncelab.units import read_length, read_mass, read_pressure, read_temperature


@pytest.mark.parametrize(
    ("text", "metres"),
    [("1 in", 0.0254), ("1 ft", 0.3048), ("1 yd", 0.9144)],  # SP 811, B.6, exact
)
def test_lengths_are_those_of_sp_811(text, metres):
    assert read_length(text) == pytest.approx(metres, rel=1e-15)


@pytest.mark.parametrize(
    ("text", "pascals"),
    [
        ("1 psi", 6894.757),  # SP 811, B.8, seven digits
        ("1 atm", 101325.0),  # SP 811, B.8, exact
        ("1 kgf/cm²", 98066.5),  # SP 811, B.8, exact
        ("1 bar", 1e5),
    ],
)
def test_pressures_are_those_of_sp_811(text, pascals):
    assert read_pressure(text) == pytest.approx(pascals, abs=5e-4)


@pytest.mark.parametrize(
    ("text", "kilograms"),
    [("1 lb", 0.45359237), ("1 oz", 0.02834952)],  # SP 811, B.8
)
def test_masses_are_those_of_sp_811(text, kilograms):
    assert read_mass(text) == pytest.approx(kilograms, abs=5e-9)


@pytest.mark.parametrize(
    ("text", "celsius"),
    # ITF Rules of Tennis, Appendix I (1965 text): 68 °F is about 20 °C. The others
    # are the fixed points by which the scales are defined (SP 811, B.8).
    [("68 °F", 20), ("32 °F", 0), ("212 °F", 100), ("273.15 K", 0)],
)
def test_temperatures_are_those_of_sp_811(text, celsius):
    assert read_temperature(text) == pytest.approx(celsius, abs=1e-12)


@pytest.mark.parametrize(
    ("unit", "read", "si"),
    [
        *[(u, read_length, "m") for u in ("m", "cm", "mm", "inch", "foot", "yard")],
        *[(u, read_pressure, "Pa") for u in ("Pa", "hPa", "kPa", "MPa", "bar", "psi")],
        *[(u, read_pressure, "Pa") for u in ("mbar", "atm", "torr", "inHg")],
        *[(u, read_mass, "kg") for u in ("kg", "g", "mg", "lb", "oz")],
    ],
)
def test_the_table_of_usual_units_agrees_with_pint(unit, read, si):
    peer = pint.UnitRegistry().Quantity(3.7, unit).to(si).magnitude

    assert read(f"3.7 {unit}") == pytest.approx(peer, rel=1e-14)


def test_a_rule_in_feet_and_inches_is_the_rule_in_metres():
    """US and Canada basketball rules about 1937: 6 ft; 4 ft to 4 ft 7 in."""
    assert read_length("6 ft") == pytest.approx(1.8288)
    assert read_length("4 ft 7 in") == pytest.approx(1.3970)
