import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from uncertainties import ufloat

from bouncelab.errors import InputError
from bouncelab.physics.gas import (
    ADIABATIC,
    absolute_pressure,
    amount_of_gas,
    gauge_pressure,
    squeeze,
)

pressures = st.floats(1e3, 1e6)  # Pa
volumes = st.floats(1e-4, 1.0)  # m³
celsius = st.floats(-40, 60)
exponents = st.floats(1, 1.7)


@given(st.floats(-101_325, 1e6))
def test_gauge_and_absolute_undo_each_other(gauge):
    absolute = absolute_pressure(gauge_pressure=gauge)

    assert gauge_pressure(absolute_pressure=absolute) == pytest.approx(gauge, abs=1e-9)


@given(pressures, volumes, volumes, celsius, exponents)
def test_a_gas_let_back_is_as_it_was(p, v, v_new, t, n):
    there = squeeze(
        absolute_pressure=p, volume=v, new_volume=v_new, temperature_c=t, exponent=n
    )
    back = squeeze(
        absolute_pressure=there.absolute_pressure, volume=v_new, new_volume=v,
        temperature_c=there.temperature_c, exponent=n,
    )  # fmt: skip

    assert back.absolute_pressure == pytest.approx(p, rel=1e-9)
    assert back.temperature_c == pytest.approx(t, abs=1e-7)
    assert back.work == pytest.approx(-there.work, rel=1e-7)


@given(pressures, volumes, volumes, celsius, exponents)
def test_no_gas_is_lost_in_a_squeeze(p, v, v_new, t, n):
    after = squeeze(
        absolute_pressure=p, volume=v, new_volume=v_new, temperature_c=t, exponent=n
    )
    before = amount_of_gas(absolute_pressure=p, volume=v, temperature_c=t)

    if after.temperature_c > -200:
        then = amount_of_gas(
            absolute_pressure=after.absolute_pressure,
            volume=v_new,
            temperature_c=after.temperature_c,
        )
        assert then == pytest.approx(before, rel=1e-9)


@given(pressures, volumes, st.floats(1.01, 20))
def test_boyles_law_is_the_limit_of_the_others(p, v, ratio):
    state = {"absolute_pressure": p, "volume": v, "new_volume": v / ratio}
    slow = squeeze(**state, exponent=1)
    nearly = squeeze(**state, exponent=1 + 1e-9)

    assert slow.absolute_pressure * v / ratio == pytest.approx(p * v)
    assert slow.temperature_c == 20.0
    assert slow.work == pytest.approx(p * v * math.log(ratio))
    assert nearly.work == pytest.approx(slow.work, rel=1e-7)


@given(pressures, volumes, st.floats(1.01, 20))
def test_work_of_a_fast_squeeze_is_what_warms_the_gas(p, v, ratio):
    """Work = n c_v ΔT with c_v = R/(γ − 1), and pV = nRT."""
    after = squeeze(absolute_pressure=p, volume=v, new_volume=v / ratio)
    warming = after.temperature_c - 20.0

    assert after.work == pytest.approx(p * v / 293.15 * warming / (ADIABATIC - 1))


def test_pressure_in_a_squeeze_is_work_over_volume():
    """dW = −p dV, by a small step."""
    state = {"absolute_pressure": 150e3, "volume": 7.4e-3}
    less, more = (
        squeeze(**state, new_volume=7.0e-3 * (1 + side * 1e-6)).work for side in (-1, 1)
    )

    middle = squeeze(**state, new_volume=7.0e-3).absolute_pressure
    assert (less - more) / 1.4e-8 == pytest.approx(middle, rel=1e-6)


def test_uncertain_volumes_pass_through():
    after = squeeze(
        absolute_pressure=ufloat(100e3, 1e3), volume=ufloat(2.0, 0.02), new_volume=1.0,
        exponent=1,
    )  # fmt: skip

    assert after.absolute_pressure.std_dev == pytest.approx(
        200e3 * math.hypot(0.01, 0.01)
    )


def test_columns_fit_together():
    after = squeeze(
        absolute_pressure=[100e3, 200e3],
        volume=1.0,
        new_volume=np.array([[0.5], [1.0]]),
    )

    assert after.work.shape == (2, 2)
    assert after.work[1].tolist() == [0.0, 0.0]


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (
            {"absolute_pressure": 0.0},
            "absolute pressure: read 0 Pa, allowed above 0 Pa",
        ),
        ({"absolute_pressure": -5e3}, "read -5000 Pa"),
        ({"volume": 0.0}, "volume: read 0 m³"),
        ({"new_volume": -1.0}, "new volume: read -1 m³"),
        ({"temperature_c": -300.0}, "temperature: read -300 °C, allowed above -273.15"),
        ({"exponent": 0.5}, "exponent: read 0.5, allowed from 1"),
        ({"volume": float("nan")}, "volume: read nan m³"),
        ({"volume": [1, 2], "new_volume": [1, 2, 3]}, r"shapes \(2,\), \(3,\)"),
    ],
)
def test_what_no_gas_can_do_is_refused_with_words(change, words):
    good = {"absolute_pressure": 100e3, "volume": 1.0, "new_volume": 0.5}

    with pytest.raises(InputError, match=words):
        squeeze(**{**good, **change})


def test_a_gauge_below_vacuum_is_refused():
    with pytest.raises(
        InputError, match="absolute pressure: read -8675 Pa, allowed from 0"
    ):
        absolute_pressure(gauge_pressure=-110e3)
