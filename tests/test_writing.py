import subprocess
import sys

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from bouncelab.errors import BounceLabError, InputError, UnitError
from bouncelab.units import (
    STANDARD_ATMOSPHERE_PA,
    in_unit,
    kelvin,
    read_length,
    read_mass,
    read_number,
    read_pressure,
    read_temperature,
)

READERS = (read_length, read_pressure, read_temperature, read_mass, read_number)


@pytest.mark.parametrize(
    ("text", "inches"),
    [
        ("72 in", 72),
        ("72 in.", 72),
        ("72''", 72),
        ("6 ft", 72),
        ("6'", 72),
        ("5 ft 11 1/2 in", 71.5),
        ("5ft11", 71),
        ("5' 11\u00bd\"", 71.5),
        ("5\u2032 11\u00bd\u2033", 71.5),
        ("5\u2019 11\u00bd\u201d", 71.5),
        ("5 feet, 11 inches", 71),
        ('42 1/2"', 42.5),
        ("42-1/2 in", 42.5),
        ("42\u00bd in", 42.5),
        ("42\u215b\u2033", 42.125),
        ("\u00be in", 0.75),
        ("2 yd", 72),
    ],
)
def test_lengths_by_feet_and_inches_are_read(text, inches):
    assert read_length(text) == pytest.approx(inches * 25.4 / 1000, rel=1e-15)


@pytest.mark.parametrize(
    "text",
    [
        *("180cm", "180 cm", "180 cm.", "180 CM", "180\u2009cm", "180\u00a0cm"),
        *("1,80 m", "1.80 m", "1.8M", "1 m 80 cm", "1m80", "1 m 80", "+1.8 m"),
        *(
            "1800 mm",
            "1\u202f800 mm",
            "1.8 metres",
            "18 dm",
            "\uff11\uff18\uff10 cm",
            "1.8e2 cm",
        ),
    ],
)
def test_metric_lengths_are_read_to_the_last_bit(text):
    assert read_length(text) == 1.8


@pytest.mark.parametrize(
    ("text", "metres"),
    [
        ("1,234 m", 1.234),  # a decimal comma is the rule
        ("\u22125 cm", -0.05),
        ("57 cm", 0.57),
        ("-0 cm", 0.0),
    ],
)
def test_marks_and_signs_in_numbers_are_read(text, metres):
    assert read_length(text) == metres
    assert str(read_length(text))[0] != "-" or metres < 0


@pytest.mark.parametrize(
    ("text", "kilopascals"),
    [
        *(("55 kPa", 55), ("55 KPA", 55), ("55kpa", 55), ("55000 Pa", 55)),
        *(("0.55 bar", 55), ("0,6 bar (gauge)", 60), ("0.6 bar g", 60)),
        *(("0.6 barg", 60), ("600 mbar", 60), ("0.06 MPa", 60), ("600 hPa", 60)),
        *((text, 55.158058) for text in ("8 psi", "8 PSI", "8 lb/in²", "8 lbs")),
        *((text, 55.158058) for text in ("8 p.s.i.", "8 lb per sq in", "8 psig")),
        ("8 pounds per square inch", 55.158058),
        *(("0.5 kg/cm²", 49.03325), ("0.5 kgf/cm^2", 49.03325), ("1 atm", 101.325)),
        *((text, 60) for text in ("1.61325 bar abs", "1.61325 bar(a)")),
        *((text, 60) for text in ("161.325 kPa (absolute)", "1.61325 bara")),
        ("22.7 psia", 55.185991),
        ("400 mmHg", 53.328955),  # not in the table of factors
    ],
)
def test_pressures_are_gauge_unless_absolute_is_said(text, kilopascals):
    assert read_pressure(text) == pytest.approx(kilopascals * 1000, rel=1e-8)


def test_the_heading_says_gauge_or_absolute_and_the_cell_overrules_it():
    assert read_pressure("156", unit="kPa absolute") == 156000 - STANDARD_ATMOSPHERE_PA
    assert read_pressure("55 gauge", unit="kPa absolute") == 55000
    assert read_pressure("156 abs", unit="kPa", atmospheric_pressure=1e5) == 56000


@pytest.mark.parametrize("text", ["-200 kPa", "-1 kPa abs", "-15 psi"])
def test_a_pressure_below_empty_space_is_refused(text):
    with pytest.raises(InputError, match="an absolute pressure above 0") as caught:
        read_pressure(text)

    assert f"“{text}”" in str(caught.value)


@pytest.mark.parametrize(
    "text",
    [
        *("20 °C", "20C", "20 º C", "20ºC", "20 ˚C", "20 \u2103", "20 deg C"),
        *("20 degrees Celsius", "20 oC", "20,0 c", "68 F", "68°F", "68 deg F"),
        *("68 degrees Fahrenheit", "68 \u2109", "293.15 K"),
    ],
)
def test_temperatures_are_read(text):
    assert read_temperature(text) == pytest.approx(20, abs=1e-12)


@pytest.mark.parametrize("text", ["68", "68°", "68 deg", "68 degrees"])
def test_a_mere_degree_takes_the_unit_of_the_heading(text):
    assert read_temperature(text, unit="°F") == pytest.approx(20)
    assert read_temperature(text, unit="°C") == 68
    with pytest.raises(UnitError, match="without a unit"):
        read_temperature(text)


@pytest.mark.parametrize(
    ("reader", "text"),
    [(read_length, "72"), (read_pressure, "8"), (read_mass, "57")],
)
def test_a_number_without_any_unit_says_how_to_write_it(reader, text):
    with pytest.raises(UnitError) as caught:
        reader(text)

    assert f"“{text}” without a unit" in str(caught.value)
    assert "in the column's heading in brackets" in str(caught.value)


def test_the_unit_of_the_cell_comes_before_that_of_the_heading():
    assert read_length("72", unit="in") == read_length("72 in", unit="cm") == 1.8288


@pytest.mark.parametrize(
    ("text", "words"),
    [
        *((text, "say in a note") for text in ("~72", "≈72 cm", "72? cm", "72 cm?")),
        *((text, "say in a note") for text in ("c. 72 cm", "about 72 cm")),
        *((text, "Write one number") for text in ("72-74", "72–74 cm", "72 to 74 cm")),
        *((text, "reading alone") for text in ("72±1 cm", "72 cm +/- 1 cm")),
        *((text, "letter in place") for text in ("7O cm", "l80 cm", "1l0", "6l.5 cm")),
        *(
            (text, "in digits")
            for text in ("six feet", "nan", "inf cm", "-inf", "flat")
        ),
        ("1,800 mm", "without the comma"),
        *((text, "mark for thousands") for text in ("1 800 mm", "1,234.5", "1.234,5")),
        ("2026-02-01", "A date stands here"),
        ("72 cm 74 cm", "one reading in a cell"),
        ("1 m 8", "one reading in a cell"),
        ("5 ft 14 in", "a larger unit before a smaller"),
        ("72/74 cm", "one reading in a cell"),
        ("1/0 in", "one reading in a cell"),
        ("1.2.3 cm", "one reading in a cell"),
        ("8 psi", "which is no length"),
        ("72 cm!", "Check the unit"),
        ("72 xyz", "Check the unit"),
        ("1e400 cm", "a number such as"),
    ],
)
def test_what_is_no_length_is_refused_with_a_cure(text, words):
    with pytest.raises(InputError, match=words) as caught:
        read_length(text, unit="cm")

    assert f"“{text}”" in str(caught.value)
    assert caught.value.allowed
    assert (
        "72 cm" in str(caught.value)
        or "larger unit" in str(caught.value)
        or ("one way" in str(caught.value))
    )


@pytest.mark.parametrize(
    ("reader", "text"),
    [
        (read_temperature, "-300 °C"),
        (read_temperature, "20-22 °C"),
        (read_temperature, "20 psi"),
        (read_pressure, "7.5-8.5 psi"),
        (read_pressure, "8 psi abs?"),
        (read_mass, "57 cm"),
        (read_number, "1 000"),
        (read_number, "--5"),
        *((reader, " ") for reader in READERS),
    ],
)
def test_other_slips_are_refused_too(reader, text):
    with pytest.raises(InputError, match="allowed"):
        reader(text)


@given(st.text(max_size=30), st.sampled_from([None, "cm", "kPa absolute", "°F"]))
def test_any_text_is_read_or_refused_in_words(text, unit):
    for reader in READERS:
        keywords = {} if reader is read_number else {"unit": unit}
        try:
            outcome = reader(text, **keywords)
        except BounceLabError as error:
            outcome = error
        if isinstance(outcome, float):
            assert np.isfinite(outcome)
        else:
            assert outcome.allowed
            assert outcome.do.endswith(".")


@pytest.mark.parametrize(
    "text", ["1 " * 50_000, "1" * 99_999, '5 ft" ' * 9999, "½" * 99]
)
def test_a_very_long_text_is_refused_at_once_and_shown_in_part(text):
    for reader in READERS:
        with pytest.raises(InputError) as caught:
            reader(text)
        assert len(str(caught.value)) < 300


def test_arrays_are_shown_in_a_unit_too():
    assert in_unit(np.array([1.0, 2.0]), "length", "cm").tolist() == [100, 200]
    assert in_unit(np.array([20.0]), "temperature", "°F").tolist() == [68]
    assert kelvin(np.array([0.0])).tolist() == [273.15]


def test_usual_units_need_no_heavy_library():
    code = (
        "import sys\n"
        "from bouncelab.units import *\n"
        "read_length('5 ft 11 in'); read_pressure('8 psi'); read_temperature('20 C')\n"
        "print(sorted({'pint', 'numpy', 'pandas'} & set(sys.modules)))"
    )

    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True
    )

    assert done.stdout.strip() == "[]"
