import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bouncelab import units
from bouncelab.errors import InputError, UnitError


@pytest.mark.parametrize(
    ("text", "unit", "metres"),
    [
        ("72", "cm", 0.72),
        ("72 in", None, 1.8288),
        ("72 in", "cm", 1.8288),  # what the cell says comes before the heading
        ("6 ft", None, 1.8288),
        ("6'", None, 1.8288),
        ("5 ft 11 1/2 in", None, 1.8161),
        ("5' 11½\"", None, 1.8161),
        ("5\u2032 11 1/2\u2033", None, 1.8161),  # true marks of feet and inches
        ('42 1/2"', None, 1.0795),
        ("42 1/2", "in", 1.0795),
        ("½ in", None, 0.0127),
        ("1,80 m", None, 1.8),
        ("1m80", None, 1.8),
        ("1 m 80 cm", None, 1.8),
        ("180cm", None, 1.8),
        ("1800 mm", None, 1.8),
        ("\uff11\uff18\uff10 cm", None, 1.8),  # full-width digits
        ("180\u202fcm", None, 1.8),
        ("2 yd", None, 1.8288),
        (".5 m", None, 0.5),
        ("1e2", "cm", 1.0),
        ("\u22125 cm", None, -0.05),  # a real minus; the table refuses it later
        ("0.001 furlong", None, 0.201168),
    ],
)
def test_a_length_is_read_as_people_write_it(text, unit, metres):
    assert units.read_length(text, unit=unit) == pytest.approx(metres, rel=3e-6)


@pytest.mark.parametrize(
    ("text", "unit", "pascals"),
    [
        ("8 psi", None, 55158.06),
        ("8 lb/in²", None, 55158.06),
        ("55 kPa", None, 55000),
        ("55", "kPa", 55000),
        ("0.55 bar", None, 55000),
        ("0,6 bar (gauge)", None, 60000),
        ("0.6 bar g", None, 60000),
        ("0.6 barg", None, 60000),
        ("600 mbar", None, 60000),
        ("600 hPa", None, 60000),
        ("0.6 kg/cm²", None, 58839.9),
        ("0.6 atm", None, 60795),
        ("156.325 kPa abs", None, 55000),
        ("1.6 bar(a)", None, 58675),
        ("1.6 bar absolute", None, 58675),
        ("22.7 psia", None, 55185.98),
        ("156.325", "kPa absolute", 55000),
        ("55 kPa gauge", "kPa absolute", 55000),
    ],
)
def test_a_pressure_is_gauge_unless_it_says_absolute(text, unit, pascals):
    assert units.read_pressure(text, unit=unit) == pytest.approx(pascals, rel=1e-6)


def test_an_absolute_pressure_uses_the_barometer_if_one_is_given():
    read = units.read_pressure("150 kPa abs", atmospheric_pressure=98_000.0)

    assert read == pytest.approx(52_000)


@pytest.mark.parametrize(
    ("text", "unit", "celsius"),
    [
        ("20", "°C", 20),
        ("20 °C", None, 20),
        ("20C", None, 20),
        ("68º", "°F", 20),  # a mere degree: the heading says of what
        ("20 deg", "°C", 20),
        ("68 F", None, 20),
        ("68°F", "°C", 20),
        ("293.15 K", None, 20),
        ("-5,5", "°C", -5.5),
    ],
)
def test_a_temperature_is_read_as_people_write_it(text, unit, celsius):
    assert units.read_temperature(text, unit=unit) == pytest.approx(celsius, abs=1e-9)


READERS = {
    "length": units.read_length,
    "pressure": units.read_pressure,
    "temperature": units.read_temperature,
    "mass": units.read_mass,
}


@pytest.mark.parametrize("quantity", READERS)
def test_a_number_without_a_unit_is_never_guessed(quantity):
    with pytest.raises(UnitError, match="without a unit, allowed a number with its"):
        READERS[quantity]("72")


@pytest.mark.parametrize(
    ("quantity", "text", "unit", "words"),
    [
        ("length", "72 g", None, "which is no length"),
        ("length", "72 xyz", None, "Check the unit"),
        ("length", "72-74", "cm", "one"),
        ("length", "6l.5", "cm", "letter in place|Write one"),
        ("length", "11O", "cm", "letter in place of a digit"),
        ("length", "~72", "cm", "allowed a number such as"),
        ("length", "1,234.5", "cm", "allowed"),
        ("length", "72 cm 5 ft", None, "a larger unit before a smaller one"),
        ("length", "nan", "cm", "allowed a number"),
        ("length", "inf", "cm", "allowed a number"),
        ("length", "1e999", "cm", "allowed a number"),
        ("length", "", "cm", "Write the reading"),
        ("length", "1/0", "in", "allowed a number"),
        ("pressure", "8 cm", None, "which is no pressure"),
        ("pressure", "-3 bar abs", None, "above 0"),
        ("temperature", "-300", "°C", "above absolute zero"),
        ("temperature", "20 cm", None, "Check the unit"),
        ("mass", "57 cm", None, "which is no mass"),
    ],
)
def test_what_cannot_be_read_is_answered_with_what_can(quantity, text, unit, words):
    with pytest.raises(InputError, match=words) as caught:
        READERS[quantity](text, unit=unit)

    assert f"“{text}”" in str(caught.value)


@given(st.text(max_size=12), st.sampled_from(["cm", "kPa", "°C", None]))
def test_any_text_is_a_finite_number_or_refused_in_words(text, unit):
    for quantity, read in READERS.items():
        fits = unit and units.unit_symbol(unit, quantity)
        try:
            value = read(text, unit=unit if fits else None)
        except InputError:
            continue
        assert math.isfinite(value)


@given(st.floats(-3, 30), st.sampled_from(units.UNITS["length"]))
def test_a_length_shown_is_read_back(metres, unit):
    shown = units.show_length(metres, unit, 6)
    if metres < 0 and unit == "ft in":
        return  # people write no negative feet and inches; the reader refuses them

    assert units.read_length(shown) == pytest.approx(metres, abs=1e-6)


@given(st.floats(0, 2e5), st.sampled_from(units.UNITS["pressure"]))
def test_a_pressure_shown_is_read_back(pascals, unit):
    shown = units.show_pressure(pascals, unit, 6)

    assert units.read_pressure(shown) == pytest.approx(pascals, abs=0.1)


@given(st.floats(-50, 80), st.sampled_from(units.UNITS["temperature"]))
def test_a_temperature_shown_is_read_back(celsius, unit):
    shown = units.show_temperature(celsius, unit, 6)

    assert units.read_temperature(shown) == pytest.approx(celsius, abs=1e-5)


def test_feet_and_inches_never_show_twelve_inches():
    assert units.show_length(1.8287, "ft in") == "6 ft 0.0 in"
