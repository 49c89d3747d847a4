"""Givens are drawn within their ranges, and codes lead back to them."""

from collections import Counter

import pytest

from bouncelab.errors import InputError, NotebookError
from bouncelab.worksheets.codes import checked_code, new_code
from bouncelab.worksheets.givens import draw, one_of, reading, whole

SCALES = {
    "h": reading(1.20, 2.00, step=0.05, unit="m"),
    "p": reading(7.0, 11.0, step=0.1, unit="psi"),
    "t": reading(-8, 6, step=1, unit="°C"),
    "n": whole(3, 6),
    "ball": one_of("basketball", "football"),
}


def test_a_given_is_just_what_the_sheet_shows():
    for k in range(300):
        found = draw(SCALES, f"C{k}", {})
        assert 1.20 <= found["h"].value <= 2.00
        assert float(found["h"].shown.text) == found["h"].value
        assert len(found["h"].shown.text) == 4
        assert found["t"].value == float(found["t"].shown.text.replace("−", "-"))
        assert found["n"].value in (3, 4, 5, 6)
        assert found["ball"].value == found["ball"].shown.text


def test_all_values_of_a_scale_turn_up_about_equally_often():
    counts = Counter(draw(SCALES, f"C{k}", {})["h"].shown.text for k in range(1700))

    assert len(counts) == 17
    assert 60 < min(counts.values()) <= max(counts.values()) < 145


def test_figures_can_be_asked_for_in_place_of_decimals():
    scale = {"h": reading(80, 120, step=5, unit="cm", figures=2)}
    shown = {draw(scale, f"C{k}", {})["h"].shown.text for k in range(200)}

    assert {"80", "85", "110", "120"} <= shown
    assert "105" not in shown  # two figures show 110, and that is what is drawn


def test_what_must_hold_holds_on_every_sheet():
    ask = {"warm and low": lambda g: g.t > 0 and g.h < 1.5}

    assert all(
        found["t"].value > 0 and found["h"].value < 1.5
        for found in (draw(SCALES, f"C{k}", ask) for k in range(200))
    )


def test_what_cannot_hold_is_named():
    ask = {"the floor is lava": lambda g: g.h > 3}

    with pytest.raises(NotebookError, match="the floor is lava"):
        draw(SCALES, "C", ask)


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: reading(2, 1, step=0.1, unit="m"),
        lambda: reading(1, 2, step=0, unit="m"),
        lambda: reading(1, float("inf"), step=1, unit="m"),
        lambda: reading(0, 1, step=1e-9, unit="m"),
        lambda: reading(0, 1, step=0.1, unit="furlong"),
        one_of,
    ],
)
def test_a_scale_that_cannot_be_is_refused(wrong):
    with pytest.raises(InputError):
        wrong()


def test_a_code_copied_with_a_slip_is_noticed():
    code = new_code("autumn", "ann", 0, "ranges")
    others = [
        code[:k] + letter + code[k + 1 :]
        for k in range(len(code))
        if code[k] != "-"
        for letter in "23456789BCDFGHJKMNPQRSTVWXYZ"
        if letter != code[k]
    ]
    missed = 0
    for other in others:
        try:
            checked_code(other, "ranges")
            missed += 1
        except InputError:
            pass

    assert checked_code(f" {code.lower().replace('-', ' ')} ", "ranges") == code
    assert missed <= 2  # about one slip in 784 is not


def test_a_code_of_other_ranges_is_refused_with_the_reason():
    code = new_code("autumn", "ann", 0, "from 1 to 2")

    with pytest.raises(InputError, match="ranges of this source were changed"):
        checked_code(code, "from 1 to 3")


@pytest.mark.parametrize("text", ["", "K7QM3X", "K7QM3X-R0", "A" * 500, "K7QM3X-RD\0"])
def test_what_is_no_code_is_refused(text):
    with pytest.raises(InputError):
        checked_code(text, "ranges")


def test_codes_differ_by_seed_and_by_student():
    made = {
        new_code(seed, who, attempt, "")
        for seed in ("a", "b")
        for who in ("ann", "bob")
        for attempt in (0, 1)
    }

    assert len(made) == 8


def test_a_seed_with_a_byte_that_is_no_letter_still_gives_a_code():
    assert new_code("autumn\udcff", "ann", 0, "") != new_code("autumn", "ann", 0, "")
