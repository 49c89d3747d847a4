"""Numbers on a sheet: figures, decimals, units, tolerances."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bouncelab.errors import InputError
from bouncelab.measures import MEASURES, from_si, to_si, unit_named
from bouncelab.worksheets.answers import number_asked
from bouncelab.worksheets.shown import Shown, decimals_shown, significant


@pytest.mark.parametrize(
    ("value", "figures", "text"),
    [
        (0.07482, 3, "0.0748"),
        (661.2, 2, "660"),
        (0.005, 1, "0.005"),
        (9.996, 3, "10.0"),
        (0.125, 2, "0.13"),
        (-0.977, 2, "−0.98"),
        (0.0, 3, "0"),
        (133000.0, 2, "130000"),
        (1234567.0, 3, "1.23e6"),
        (-1.33e-11, 3, "−1.33e-11"),
    ],
)
def test_a_number_has_the_figures_asked_for(value, figures, text):
    assert significant(value, figures) == text


@settings(max_examples=60)
@given(st.floats(1e-12, 1e12), st.integers(1, 8))
def test_rounding_takes_at_most_half_of_the_last_figure(value, figures):
    shown = float(significant(value, figures))

    assert abs(shown - value) <= 0.5000001 * 10 ** (1 - figures) * value


def test_a_scale_shows_its_decimals_and_rounds_halves_up():
    assert decimals_shown(1.2, 0.05) == "1.20"
    assert decimals_shown(57.5, 1) == "58"
    assert decimals_shown(0.575, 0.01) == "0.58"
    assert decimals_shown(-8.0, 1) == "−8"


def test_a_power_of_ten_is_written_for_text_and_for_mathematics():
    shown = Shown("7.48e-5", "kg·m/s")

    assert str(shown) == "7.48 × 10⁻⁵\u202fkg·m/s"
    assert shown.tex() == r"7.48 \times 10^{-5}\,\mathrm{kg\,m/s}"
    assert Shown("−4", "°C").tex() == r"-4\,\mathrm{{}^\circ C}"


@pytest.mark.parametrize("quantity", MEASURES)
def test_units_go_there_and_back(quantity):
    for unit in MEASURES[quantity]:
        assert from_si(to_si(12.5, unit, quantity), unit, quantity) == pytest.approx(
            12.5, rel=1e-12
        )


@pytest.mark.parametrize(
    ("text", "unit"),
    [
        ("m s^-1", "m/s"),
        ("m s⁻¹", "m/s"),
        ("kg*m/s", "kg·m/s"),
        ("Ns", "N·s"),
        ("inches", "in"),
        ("cm3", "cm³"),
        ("joules", "J"),
        ("degrees C", "°C"),
        ("KJ", "kJ"),
        ("mJ", "mJ"),
        ("furlong", None),
    ],
)
def test_a_unit_is_known_however_it_is_spelt(text, unit):
    assert unit_named(text) == unit


def test_a_tolerance_is_a_share_or_in_the_unit_asked():
    assert number_asked("v", 4.0, unit="m/s", tolerance="5 %").tolerance == 0.2
    assert number_asked("h", 0.96, unit="cm", tolerance="0,5 cm").tolerance == 0.5
    assert number_asked("left", 0.43, unit="%", tolerance="2 %").tolerance == 2
    assert number_asked("h", 0.96, unit="cm", tolerance="1 cm").tolerance_si == 0.01
    assert number_asked("t", 20.0, unit="K", tolerance=0.6).tolerance_si == (
        pytest.approx(0.6)
    )


def test_an_answer_rounded_to_the_fewest_figures_is_always_accepted():
    asked = number_asked("e", 0.1049, tolerance="1 %", figures=2)

    assert abs(float(asked.shown.text) - 0.1049) <= asked.tolerance


def test_a_wrong_idea_that_gives_a_right_answer_is_left_out():
    ideas = {"no difference": 0.8004, "square root forgotten": 0.64}
    asked = number_asked("e", 0.8, tolerance="1 %", wrong=ideas)

    assert list(asked.wrong) == ["square root forgotten"]


@pytest.mark.parametrize(
    "wrong",
    [
        {"tolerance": "0 %"},
        {"tolerance": "5 kPa"},
        {"tolerance": "a little"},
        {"tolerance": -1},
        {"figures": (3, 2)},
        {"marks": 0},
        {"unit": "furlong"},
    ],
)
def test_what_cannot_be_asked_is_refused_in_one_line(wrong):
    with pytest.raises(InputError) as told:
        number_asked("e", 0.8, **wrong)

    assert "e" in str(told.value)


@pytest.mark.parametrize("value", [float("nan"), float("inf"), None, "0.8 m", 1j])
def test_an_answer_is_one_finite_number(value):
    with pytest.raises(InputError, match="one finite number"):
        number_asked("e", value)
