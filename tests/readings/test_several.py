from math import inf

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bouncelab.errors import InputError, UnitError
from bouncelab.readings.several import read_heights, read_times


@pytest.mark.parametrize(
    ("typed", "read"),
    [
        ("110, 68, 42 cm", (1.10, 0.68, 0.42)),
        ("110,68,42 cm", (1.10, 0.68, 0.42)),
        ("110 cm,68 cm,42 cm.", (1.10, 0.68, 0.42)),
        ("110,5, 68,2, 42,1 cm", (1.105, 0.682, 0.421)),
        ("110; 68,5; 42 cm", (1.10, 0.685, 0.42)),
        ("1,10 m; 68 cm; 42", (1.10, 0.68, 0.42)),
        ("1.1 m, 0.68 m and 42 cm", (1.10, 0.68, 0.42)),
        ("1 m 10 cm, 68 cm", (1.10, 0.68)),
        ("110\n68\n42 centimetres", (1.10, 0.68, 0.42)),
        ("43 1/2, 26½ in", (1.1049, 0.6731)),
        ("42cm", (0.42,)),
        ("0, 0 cm", (0.0, 0.0)),
    ],
)
def test_heights_are_read_as_people_write_them(typed, read):
    assert read_heights(typed) == pytest.approx(read, abs=1e-12)


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("", "Write what you read"),
        (" , ", "Write what you read"),
        ("110,68 cm", "semicolons between them"),  # two heights, or 110.68 cm
        ("110, 68,42 cm", "semicolons between them"),
        ("110 68 42 cm", "Put a comma and a space"),
        ("110-68 cm", "Put a comma and a space"),
        ("110, x, 42 cm", "height 2: read “x”"),
        ("110, 68, 4Z cm", "letter in place of a digit"),
        ("110, -3 cm", "height 2: .*Measure up from the floor"),
        (", ".join(["9"] * 21) + " cm", "up to 20"),
    ],
)
def test_what_cannot_be_read_is_answered_in_words(typed, words):
    with pytest.raises(InputError, match=words):
        read_heights(typed)


@pytest.mark.parametrize("typed", ["110, 68", "110 kg, 68 kg"])
def test_heights_need_a_unit_of_length(typed):
    with pytest.raises(UnitError, match="unit"):
        read_heights(typed)


@given(st.lists(st.integers(0, 3000), min_size=3, max_size=20), st.sampled_from(";,"))
def test_whole_millimetres_come_back_whatever_stands_between(heights, between):
    typed = f"{between} ".join(map(str, heights)) + " mm"

    assert read_heights(typed) == pytest.approx([h / 1000 for h in heights])


@given(st.text(max_size=40))
def test_any_text_gives_heights_or_words(typed):
    try:
        read = read_heights(typed)
    except InputError:
        read = ()

    assert all(0 <= height < inf for height in read)


@pytest.mark.parametrize(
    ("typed", "read"),
    [
        ("0.61, 1.59, 2.37 s", (0.61, 1.59, 2.37)),
        ("0,61; 1,59; 2,37", (0.61, 1.59, 2.37)),
        ("0.61 s, 1.59 seconds and 2.37 sec", (0.61, 1.59, 2.37)),
        ("0, 1", (0.0, 1.0)),
        ("-0.5, 0.2", (-0.5, 0.2)),
    ],
)
def test_times_are_read_in_seconds(typed, read):
    assert read_times(typed) == read


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("", "times such as"),
        ("0.61, later", "time 2: read “later”.*Write seconds"),
        ("610 ms, 1590 ms", "Write seconds"),
        ("0.61 1.59", "a comma and a space between times"),
        ("0,61", "semicolons between them"),
    ],
)
def test_times_that_cannot_be_read_are_answered_in_words(typed, words):
    with pytest.raises(InputError, match=words):
        read_times(typed)
