import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from uncertainties import ufloat

from bouncelab.errors import InputError
from bouncelab.physics.hertz import effective_modulus, hertz_impact, hertz_stiffness

BALL = {"mass": 0.05, "radius": 0.02, "effective_modulus": 5e6}


@given(st.floats(0.1, 10))
def test_times_and_forces_scale_with_speed_as_hertz_says(speed):
    slow = hertz_impact(**BALL, impact_speed=1.0)
    other = hertz_impact(**BALL, impact_speed=speed)

    assert other.contact_time / slow.contact_time == pytest.approx(speed**-0.2)
    assert other.peak_force / slow.peak_force == pytest.approx(speed**1.2)
    assert other.contact_radius**2 == pytest.approx(0.02 * other.compression)


def test_the_spring_holds_all_the_energy_at_the_deepest_point():
    k = hertz_stiffness(radius=0.02, effective_modulus=5e6)
    deepest = hertz_impact(**BALL, impact_speed=3.0).compression

    assert 0.4 * k * deepest**2.5 == pytest.approx(0.5 * 0.05 * 9.0)


def test_the_softer_material_decides():
    modulus = effective_modulus(youngs_moduli=(1e6, 200e9), poisson_ratios=(0.5, 0.3))

    assert modulus == pytest.approx(1e6 / 0.75, rel=1e-4)


def test_uncertain_speed_passes_through():
    hit = hertz_impact(**BALL, impact_speed=ufloat(2.0, 0.1))

    assert hit.contact_time.std_dev / hit.contact_time.nominal_value == pytest.approx(
        0.2 * 0.05
    )


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: hertz_impact(**BALL, impact_speed=0.0), "impact speed: read 0 m/s"),
        (lambda: hertz_stiffness(radius=-1, effective_modulus=1), "radius: read -1 m"),
        (
            lambda: effective_modulus(youngs_moduli=(1, 1), poisson_ratios=(0.3, 0.6)),
            "Poisson's ratio 2: read 0.6, allowed from 0 up to 0.5",
        ),
        (
            lambda: effective_modulus(youngs_moduli=(1,), poisson_ratios=(0.3, 0.3)),
            "one Young's modulus a body, so 2",
        ),
        (
            lambda: hertz_impact(**{**BALL, "mass": [1, 2]}, impact_speed=[1, 2, 3]),
            "shapes",
        ),
        (
            lambda: hertz_impact(**{**BALL, "mass": np.nan}, impact_speed=1),
            "mass: read nan",
        ),
    ],
)
def test_what_is_no_sphere_is_refused_with_words(call, words):
    with pytest.raises(InputError, match=words):
        call()
