import numpy as np
import pytest
from uncertainties import ufloat

from bouncelab.errors import InputError
from bouncelab.physics.numbers import (
    applied,
    blockwise,
    checked,
    checked_drag,
    fitting,
    given,
)


@pytest.mark.parametrize(
    ("value", "read"),
    [
        (float("nan"), "nan kg"),
        (float("inf"), "inf kg"),
        (-0.5, "-0.5 kg"),
        ([1.0, -2.0, 3.0], "-2 kg"),
        (ufloat(-1.0, 0.1), "-1 kg"),
        ("0.6", "'0.6'"),
        (None, "None"),
        ([1.0, None], r"\[1.0, None\]"),
        ([1.0, [2.0]], r"\[1.0, \[2.0\]\]"),
        (1j, "1j"),
        (True, "True"),
    ],
)
def test_what_cannot_be_used_is_refused_with_what_was_read(value, read):
    with pytest.raises(InputError, match=f"mass: read {read}, allowed above 0 kg"):
        checked("mass", value, "kg", above=0)


def test_limits_are_said_together():
    with pytest.raises(InputError, match="read 2, allowed from 0 below 1"):
        checked("share", 2, least=0, below=1)
    with pytest.raises(InputError, match="read 2, allowed from 0 up to 1"):
        checked("share", 2, least=0, most=1)


def test_limits_called_least_and_most_are_themselves_allowed():
    assert checked("share", [0, 1], least=0, most=1).tolist() == [0.0, 1.0]


def test_whole_numbers_become_floats_and_uncertain_ones_stay():
    assert checked("mass", 1).dtype == np.float64
    assert checked("mass", [ufloat(1, 0.1)])[0].std_dev == 0.1


def test_shapes_that_do_not_fit_are_told_by_name():
    with pytest.raises(InputError, match=r"drop height, rebound: read shapes \(2,\)"):
        fitting(drop_height=[1, 2], rebound=[1, 2, 3])


def test_a_drag_that_overflows_is_refused():
    with pytest.raises(InputError, match="drag constant times height: read 500"):
        checked_drag(50.0, 10.0)
    with pytest.raises(InputError, match=r"drag constant: read -0\.1 1/m"):
        checked_drag(-0.1, 1.0)


@pytest.mark.parametrize("name", ["sqrt", "exp", "log1p", "arctan", "arcsinh", "sin"])
def test_functions_carry_uncertainties(name):
    found = applied(name, ufloat(0.6, 0.01))
    slope = (applied(name, 0.6 + 1e-6) - applied(name, 0.6 - 1e-6)) / 2e-6

    assert found.nominal_value == pytest.approx(applied(name, 0.6))
    assert found.std_dev == pytest.approx(0.01 * slope, rel=1e-6)


def test_a_single_result_is_a_plain_number():
    assert type(given(np.float64(1.0))) is float
    assert type(given(np.asarray(1.0))) is float
    assert given(np.array([1.0])).shape == (1,)


@pytest.mark.parametrize("shape", [(), (5,), (30_000,), (3, 9_000), (0,)])
def test_work_in_blocks_changes_no_digit(shape):
    values = np.random.default_rng(1).uniform(1, 2, shape)
    last = np.arange(shape[-1] if shape else 1) + 1.0 if shape != (0,) else values

    found = blockwise(lambda a, b, c: a / b + c, values, last, 0.5)
    assert np.array_equal(found, values / last + 0.5)


def test_uncertain_values_are_not_cut_into_blocks():
    found = blockwise(lambda a, b: a / b, np.array([ufloat(1, 0.1)] * 3), 2.0)

    assert [each.std_dev for each in found] == pytest.approx([0.05] * 3)


def test_an_empty_array_stays_empty():
    assert checked("mass", [], "kg", above=0).shape == (0,)
