import pytest
from hypothesis import given
from hypothesis import strategies as st
from uncertainties import ufloat

from bouncelab.errors import InputError
from bouncelab.physics.ball_air import sealed_pressure
from bouncelab.physics.pump import piston_force, pressure_to_set, pump_up

JOB = {
    "gauge_pressure": 20e3,
    "target_gauge_pressure": 55e3,
    "maximum_gauge_pressure": 62e3,
    "ball_volume": 7.4e-3,
    "pump_volume": 1e-4,
}


@given(st.floats(20e3, 62e3))
def test_strokes_add_up_by_way_of_any_pressure(between):
    whole = pump_up(**{**JOB, "target_gauge_pressure": 62e3})
    first = pump_up(**{**JOB, "target_gauge_pressure": between})
    second = pump_up(
        **{**JOB, "gauge_pressure": between, "target_gauge_pressure": 62e3}
    )

    assert first.strokes + second.strokes == pytest.approx(whole.strokes)
    assert first.strokes_to_maximum == pytest.approx(second.strokes, abs=1e-9)
    assert first.air_added + second.air_added == pytest.approx(whole.air_added)


def test_each_stroke_adds_a_pump_of_outside_air():
    job = pump_up(**JOB)
    a_stroke = 101_325 * 1e-4 / (8.314462618 * 293.15) * 0.0289644

    assert job.air_added == pytest.approx(job.strokes * a_stroke, rel=1e-12)


def test_an_uncertain_gauge_makes_strokes_uncertain():
    job = pump_up(**{**JOB, "gauge_pressure": ufloat(20e3, 1.5e3)})

    assert job.strokes.std_dev == pytest.approx(1.5e3 * 7.4e-3 / (101_325 * 1e-4))


def test_a_ball_set_in_the_warm_is_right_in_the_cold():
    indoors = pressure_to_set(
        gauge_pressure=50e3, temperature_c=5.0, pump_temperature_c=21.0,
        maximum_gauge_pressure=80e3,
    )  # fmt: skip

    assert indoors > 50e3
    assert sealed_pressure(
        gauge_pressure=indoors, temperature_c=21.0, new_temperature_c=5.0
    ) == pytest.approx(50e3)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (
            {"target_gauge_pressure": 62.1e3},
            "read 62100 Pa, allowed up to the 62000 Pa",
        ),
        ({"target_gauge_pressure": [50e3, 90e3]}, "read 90000 Pa.*may burst"),
        ({"target_gauge_pressure": 10e3}, "rise of the gauge pressure: read -10000 Pa"),
        ({"target_gauge_pressure": float("nan")}, "gauge pressure: read nan Pa"),
        ({"maximum_gauge_pressure": 0.0}, "marked maximum: read 0 Pa"),
        ({"maximum_gauge_pressure": None}, "marked maximum: read None"),
        ({"pump_volume": 0.0}, "pump volume: read 0 m³"),
        ({"gauge_pressure": -120e3}, "absolute pressure"),
    ],
)
def test_pumping_stops_where_it_should(change, words):
    with pytest.raises(InputError, match=words):
        pump_up(**{**JOB, **change})


@pytest.mark.parametrize("wanted", [61e3, 70e3])
def test_no_pressure_above_the_mark_is_proposed_for_any_temperature(wanted):
    with pytest.raises(InputError, match="marked on the ball"):
        pressure_to_set(
            gauge_pressure=wanted, temperature_c=0.0, pump_temperature_c=25.0,
            maximum_gauge_pressure=62e3,
        )  # fmt: skip


def test_a_narrower_pump_is_easier_to_push():
    assert piston_force(gauge_pressure=60e3, diameter=0.02) == pytest.approx(
        piston_force(gauge_pressure=60e3, diameter=0.04) / 4
    )
