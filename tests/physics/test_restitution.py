import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from uncertainties import ufloat, unumpy

from bouncelab.errors import InputError
from bouncelab.physics.bounces import total_time
from bouncelab.physics.restitution import (
    restitution_from_heights,
    restitution_from_speeds,
    restitution_from_times,
    restitution_from_total_time,
    restitution_with_drag,
)
from strategies import drag_constants, drop_heights, restitutions


@given(drop_heights, st.floats(0, 1), st.floats(0.01, 100))
def test_restitution_does_not_know_the_unit_of_height(drop, share, factor):
    here = restitution_from_heights(drop_height=drop, rebound_height=share * drop)
    there = restitution_from_heights(
        drop_height=factor * drop,
        rebound_height=min(factor * (share * drop), factor * drop),
    )

    assert 0 <= here <= 1
    assert there == pytest.approx(here, rel=1e-12)


@given(drop_heights, st.floats(0, 1), drag_constants)
def test_the_correction_for_drag_never_lowers_restitution(drop, share, k):
    heights = {"drop_height": drop, "rebound_height": share * drop}
    plain = restitution_from_heights(**heights)

    assert restitution_with_drag(**heights, drag_constant=k) >= plain * (1 - 1e-15)


@given(drop_heights, st.floats(0, 1))
def test_the_correction_vanishes_smoothly_with_the_drag(drop, share):
    heights = {"drop_height": drop, "rebound_height": share * drop}
    plain = restitution_from_heights(**heights)

    assert restitution_with_drag(**heights, drag_constant=0) == pytest.approx(
        plain, rel=1e-15
    )
    for k in (1e-300, 1e-12, 1e-6):
        corrected = restitution_with_drag(**heights, drag_constant=k)
        first_order = plain * (1 + k * drop * (1 + share) / 2)
        assert corrected == pytest.approx(first_order, rel=1e-8)


def test_arrays_broadcast_and_single_numbers_stay_single():
    found = restitution_with_drag(
        drop_height=[[1.0], [2.0]], rebound_height=[0.5, 0.6, 0.7], drag_constant=0.02
    )

    assert found.shape == (2, 3)
    assert isinstance(
        restitution_from_heights(drop_height=1.0, rebound_height=0.5), float
    )


def test_uncertainties_are_carried_by_each_form():
    drop, rebound = ufloat(1.0, 0.002), ufloat(0.64, 0.01)
    plain = restitution_from_heights(drop_height=drop, rebound_height=rebound)
    dragged = restitution_with_drag(
        drop_height=drop, rebound_height=rebound, drag_constant=ufloat(0.0, 0.02)
    )
    many = restitution_from_heights(
        drop_height=drop, rebound_height=unumpy.uarray([0.64, 0.5], [0.01, 0.01])
    )

    assert plain.std_dev == pytest.approx(0.4 * np.hypot(0.002, 0.01 / 0.64))
    # k moves e by e (h1 + h2)/2 each unit.
    assert dragged.std_dev**2 - plain.std_dev**2 == pytest.approx(
        (0.8 * 0.82 * 0.02) ** 2
    )
    assert many[0].std_dev == pytest.approx(plain.std_dev)
    # Both rebounds share the drop height, and so do not vary on their own.
    assert (many[0] / many[1]).std_dev < np.hypot(
        many[0].std_dev / many[0].nominal_value, many[1].std_dev / many[1].nominal_value
    ) * (many[0] / many[1]).nominal_value


@given(drop_heights, restitutions.filter(lambda e: e < 0.99))
def test_total_time_gives_restitution_back(drop, e):
    total = total_time(drop_height=drop, restitution=e)

    found = restitution_from_total_time(drop_height=drop, total_time=total)
    assert found == pytest.approx(e, abs=1e-12)


@given(st.floats(0.2, 0.95), st.integers(3, 9), st.floats(-5, 5), st.floats(0, 0.02))
def test_times_give_restitution_back_whenever_the_clock_starts(e, n, start, contact):
    flights = 0.8 * e ** np.arange(n - 1)
    times = start + np.concatenate([[0.0], np.cumsum(flights + contact)])

    found = restitution_from_times(times, contact_time=contact)
    assert found == pytest.approx(e, abs=1e-9)


def test_several_trains_at_once():
    found = restitution_from_times([[0, 1.0, 1.5], [0, 1.0, 1.25]])

    assert found == pytest.approx([0.5, 0.25])


def test_speeds_give_the_ratio():
    assert restitution_from_speeds(impact_speed=[4, 2], rebound_speed=1) == (
        pytest.approx([0.25, 0.5])
    )


@pytest.mark.parametrize(
    ("function", "values", "words"),
    [
        (
            restitution_from_heights,
            {"drop_height": 1.0, "rebound_height": 1.2},
            "read 1.2 m, allowed 0 m up to the drop height of 1 m. Read the same point",
        ),
        (
            restitution_from_heights,
            {"drop_height": 0.0, "rebound_height": 0.0},
            "drop height: read 0 m, allowed above 0 m",
        ),
        (
            restitution_from_heights,
            {"drop_height": 1.0, "rebound_height": -0.1},
            "rebound height: read -0.1 m, allowed from 0 m",
        ),
        (
            restitution_from_heights,
            {"drop_height": [1, 1], "rebound_height": [0.5, float("nan")]},
            "rebound height: read nan m",
        ),
        (
            restitution_from_heights,
            {"drop_height": [1, 1], "rebound_height": [0.5, 0.5, 0.5]},
            r"read shapes \(2,\), \(3,\)",
        ),
        (
            restitution_with_drag,
            {"drop_height": 1.0, "rebound_height": 0.5, "drag_constant": -0.1},
            "drag constant: read -0.1 1/m, allowed from 0 1/m",
        ),
        (
            restitution_from_speeds,
            {"impact_speed": 2.0, "rebound_speed": 3.0},
            "rebound speed over impact speed: read 1.5, allowed up to 1",
        ),
        (
            restitution_from_speeds,
            {"impact_speed": 2.0, "rebound_speed": -1.0},
            "read -1 m/s, .* Write it without a sign",
        ),
        (
            restitution_from_total_time,
            {"drop_height": 1.0, "total_time": 0.1},
            "allowed from 1. Start the clock",
        ),
    ],
)
def test_what_cannot_be_true_is_refused_in_words(function, values, words):
    with pytest.raises(InputError, match=words):
        function(**values)


@pytest.mark.parametrize(
    ("times", "words"),
    [
        ([0.0, 1.0], "read 2 of them, allowed 3 or more"),
        (1.0, "read 1 of them"),
        ([0.0, 1.0, 0.9], "flight between two impacts: read -0.1 s"),
        ([0.0, 1.0, 2.5], "read 1.5, allowed up to 1. Check that no impact"),
    ],
)
def test_times_out_of_order_are_refused(times, words):
    with pytest.raises(InputError, match=words):
        restitution_from_times(times)
