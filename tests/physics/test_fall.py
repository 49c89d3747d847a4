import pytest
from hypothesis import given
from hypothesis import strategies as st
from uncertainties import ufloat

from bouncelab.errors import InputError
from bouncelab.physics.fall import (
    air_density,
    drag_constant,
    effective_gravity,
    fall_height,
    fall_time,
    height_for_speed,
    impact_speed,
    terminal_speed,
)
from bouncelab.physics.rebounds import rebound_height
from bouncelab.units import STANDARD_GRAVITY
from strategies import drag_constants, drop_heights

# mass kg, diameter m, drag coefficient; then k in 1/m, effective over full gravity,
# and plain over true e after drops of 1.0, 1.8 and 2.5 m for e = 0.8.
BALLS = {
    "basketball": (0.620, 0.242, 0.50, 0.0219, 0.979, 0.9825, 0.9691, 0.9577),
    "football": (0.430, 0.2196, 0.47, 0.0244, 0.977, 0.9806, 0.9657, 0.9532),
    "tennis": (0.0577, 0.0667, 0.55, 0.0200, 0.995, 0.9840, 0.9717, 0.9612),
    "table tennis": (0.0027, 0.040, 0.47, 0.1288, 0.978, 0.9073, 0.8473, 0.8024),
    "balloon": (0.0035, 0.25, 0.47, 0.760, 0.19, 0.646, 0.518, 0.447),
}


@pytest.mark.parametrize("ball", BALLS)
def test_balls_fall_as_the_table_of_usual_balls_says(ball):
    mass, diameter, coefficient, k, share, *low = BALLS[ball]
    air = {"mass": mass, "diameter": diameter, "air_density": 1.204}
    found = drag_constant(**air, drag_coefficient=coefficient)
    digit = 10.0 ** -len(str(low[0]).partition(".")[2])

    assert found == pytest.approx(k, abs=0.5e-3 if k == 0.760 else 0.5e-4)
    assert effective_gravity(**air) / STANDARD_GRAVITY == pytest.approx(
        share, abs=0.005 if share == 0.19 else 0.0005
    )
    for height, ratio in zip((1.0, 1.8, 2.5), low, strict=True):
        back = rebound_height(drop_height=height, restitution=0.8, drag_constant=found)
        assert (back / height) ** 0.5 / 0.8 == pytest.approx(ratio, abs=0.51 * digit)


@given(drop_heights, drag_constants)
def test_fall_and_its_inverses_go_there_and_back(height, k):
    time = fall_time(drop_height=height, drag_constant=k)
    speed = impact_speed(drop_height=height, drag_constant=k)

    assert fall_height(time=time, drag_constant=k) == pytest.approx(height, rel=1e-13)
    # Near the terminal speed the height hangs on the last digits of the speed.
    loose = 1e-13 * 2.72 ** min(2 * k * height, 30)
    assert height_for_speed(impact_speed=speed, drag_constant=k) == pytest.approx(
        height, rel=loose
    )


@given(drop_heights)
def test_without_drag_the_school_formulas_hold(height):
    g = STANDARD_GRAVITY

    for k in (0.0, 1e-300, 1e-17):
        assert impact_speed(drop_height=height, drag_constant=k) == pytest.approx(
            (2 * g * height) ** 0.5, rel=1e-15
        )
        assert fall_time(drop_height=height, drag_constant=k) == pytest.approx(
            (2 * height / g) ** 0.5, rel=1e-15
        )


@given(drop_heights, st.floats(0.001, 0.8))
def test_drag_makes_falls_slower_and_longer_but_never_past_the_terminal_speed(h, k):
    speed = impact_speed(drop_height=h, drag_constant=k)

    assert speed < impact_speed(drop_height=h)
    assert speed <= terminal_speed(drag_constant=k)
    assert fall_time(drop_height=h, drag_constant=k) > fall_time(drop_height=h)


def test_a_long_fall_reaches_the_terminal_speed():
    assert impact_speed(drop_height=250.0, drag_constant=1.0) == pytest.approx(
        terminal_speed(drag_constant=1.0), rel=1e-15
    )


def test_air_carries_and_clings_to_the_ball():
    air = {"mass": 0.0035, "diameter": 0.25, "air_density": air_density()}

    assert effective_gravity(**air) < STANDARD_GRAVITY / 4
    assert effective_gravity(**(air | {"air_density": 0.0})) == STANDARD_GRAVITY
    assert drag_constant(**(air | {"air_density": 0.0}), drag_coefficient=0.5) == 0


def test_uncertainties_pass_through_a_fall():
    found = fall_time(drop_height=ufloat(2.0, 0.02), drag_constant=ufloat(0.0, 0.01))

    # t grows by t/(2h) a metre of height, and by t h/6 a unit of k.
    parts = (found.nominal_value * 0.005) ** 2 + (found.nominal_value / 300) ** 2
    assert found.std_dev == pytest.approx(parts**0.5, rel=1e-9)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: impact_speed(drop_height=-1), "drop height: read -1 m"),
        (lambda: impact_speed(drop_height=1, gravity=0), "gravity: read 0 m/s²"),
        (lambda: impact_speed(drop_height=1, drag_constant=-1), "drag constant"),
        (lambda: fall_time(drop_height=[1, 2], gravity=[9, 9, 9]), "read shapes"),
        (lambda: fall_height(time=float("nan")), "time: read nan s"),
        (lambda: terminal_speed(drag_constant=0), "allowed above 0 1/m"),
        (
            lambda: height_for_speed(impact_speed=20.0, drag_constant=0.1),
            "impact speed: read 20 m/s, allowed below the terminal speed",
        ),
        (
            lambda: drag_constant(
                mass=0, diameter=0.2, drag_coefficient=0.5, air_density=1.2
            ),
            "mass: read 0 kg, allowed above 0 kg",
        ),
    ],
)
def test_falls_that_cannot_be_are_refused(call, words):
    with pytest.raises(InputError, match=words):
        call()
