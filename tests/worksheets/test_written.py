"""Answers as people write them: number, unit and figures, and nothing ever run."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bouncelab.worksheets.written import read_answer


@pytest.mark.parametrize(
    ("text", "number", "unit", "figures"),
    [
        ("0,77", 0.77, "", (2, 2)),
        (".77", 0.77, "", (2, 2)),
        ("7.7e-1", 0.77, "", (2, 2)),
        ("7,7 × 10^-1", 0.77, "", (2, 2)),
        ("7.7·10⁻¹", 0.77, "", (2, 2)),
        ("7.7*10**-1", 0.77, "", (2, 2)),
        ("77 %", 77, "%", (2, 2)),
        ("77 per cent", 77, "%", (2, 2)),
        ("42.5 in", 42.5, "in", (3, 3)),
        ("42 1/2 in", 42.5, "in", (2, 4)),
        ("5 ft 11 1/2 in", 71.5, "in", (3, 6)),
        ("1.08 m", 1.08, "m", (3, 3)),
        ("1 080 mm", 1080, "mm", (3, 4)),
        ("≈ 1.1 m", 1.1, "m", (2, 2)),
        ("e = 0.77", 0.77, "", (2, 2)),
        ("e≈0,770.", 0.77, "", (3, 3)),
        ("v_1 = −3,2 m/s", -3.2, "m/s", (2, 2)),
        ("about 0.8", 0.8, "", (1, 1)),
        ("The answer is 0.8", 0.8, "", (1, 1)),
        ("1.80 ± 0.01 m", 1.8, "m", (3, 3)),
        ("\u0660\u066b\u0667\u0667", 0.77, "", (2, 2)),
        ("120 J", 120, "J", (2, 3)),
        ("2.5 kg m/s", 2.5, "kg·m/s", (2, 2)),
        ("12 °C", 12, "°C", (2, 2)),
        ("**0.50**", 0.5, "", (2, 2)),
        ("0", 0, "", (1, 1)),
        ("42½ in", 42.5, "in", (2, 4)),  # never 421/2
        ("(1.08 ± 0.02) m", 1.08, "m", (3, 3)),
        ("1.08 m ± 0.02 m", 1.08, "m", (3, 3)),
        ("\u0667\u0667\u066a", 77, "%", (2, 2)),
        ("12,345.6 J", 12345.6, "J", (6, 6)),
        ("1.234,5 J", 1234.5, "J", (5, 5)),
        ("1.1 m (rounded)", 1.1, "m", (2, 2)),
        ("– 0.5 m/s", -0.5, "m/s", (1, 1)),
        ("e = √(0.8/1.2) = 0.82", 0.82, "", (2, 2)),
        ("0.80/1.20 → 0.67", 0.67, "", (2, 2)),
        ("4.2 m·s⁻¹", 4.2, "m/s", (2, 2)),
        ("4.2 ms^-1", 4.2, "m/s", (2, 2)),
        ("4.2 metres per second", 4.2, "m/s", (2, 2)),
        ("minus 1.9 m/s", -1.9, "m/s", (2, 2)),
        ("e is 0·77", 0.77, "", (2, 2)),
        ("2·10^-1 J", 0.2, "J", (1, 1)),
        ("0.77?!", 0.77, "", (2, 2)),
    ],
)
def test_what_is_written_is_read(text, number, unit, figures):
    found = read_answer(text)

    assert found.number == pytest.approx(number)
    assert (found.unit, found.figures, found.why) == (unit, figures, "")
    assert found.text == text


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("", "nothing is written"),
        ("   ", "nothing is written"),
        ("no idea", "no number"),
        ("3 or 4", "more than one number"),
        ("0.7–0.8", "more than one number"),
        ("0.8 / 1.2", "more than one number"),
        ("0.6^0.5", "not known"),
        ("5 zorks", "“zorks” is not known"),
        ("1/0", "no number"),
        ("1e999", "no number"),
        ("9" * 500, "too long"),
        ("__import__('os').system('x')", "no number"),
        ("2**10**10", "more than one number|not known"),
    ],
)
def test_what_cannot_be_read_has_its_reason(text, why):
    import re

    assert re.search(why, read_answer(text).why)


def test_a_comma_before_three_digits_may_set_thousands_apart():
    assert read_answer("1,200 Pa").number == 1.2
    assert read_answer("1,200 Pa").thousands == 1200
    assert read_answer("0,770").thousands is None
    assert read_answer("1,20").thousands is None


@given(st.floats(1e-6, 1e9), st.integers(1, 8), st.sampled_from([".", ","]))
def test_any_number_comes_back_with_its_figures(value, figures, sign):
    text = f"{value:.{figures - 1}e}".replace(".", sign)
    found = read_answer(text)

    assert found.number == pytest.approx(value, rel=10.0 ** (1 - figures))
    low, high = found.figures
    assert low <= figures <= high


@given(st.text(max_size=80))
def test_nothing_that_is_typed_breaks_it(text):
    found = read_answer(text)

    assert found.number is None or math.isfinite(found.number)
    assert (found.number is None) <= bool(found.why)
