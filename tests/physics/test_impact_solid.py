import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import simpson

from bouncelab.errors import InputError
from bouncelab.physics.impact_solid import solid_impact
from bouncelab.physics.solids import hunt_crossley_restitution, kelvin_voigt_restitution

few = settings(max_examples=8, deadline=None)
BALL = {"mass": 0.1, "impact_speed": 2.0, "stiffness": 1e6}

laws = st.sampled_from(
    [
        {"exponent": 1.5},
        {"exponent": 1.0, "loss": 0.1},
        {"exponent": 1.5, "loss": 0.3},
        {"exponent": 2.0, "loss": 0.05},
        {"exponent": 1.0, "loss": 5e-5, "loss_exponent": 0.0},
        {"exponent": 1.5, "loss": 5e-5, "loss_exponent": 0.5},
    ]
)


@few
@given(laws, st.floats(0.1, 10))
def test_the_energies_close_at_every_moment(law, speed):
    hit = solid_impact(**{**BALL, **law, "impact_speed": speed})
    c = hit.curves

    held = (c.kinetic + c.stored + c.lost) / hit.impact_energy
    assert np.abs(held - 1).max() < 1e-8
    assert hit.rebound_energy + hit.lost + hit.left_in_vibration == pytest.approx(
        hit.impact_energy, rel=1e-8
    )


@few
@given(laws)
def test_the_impulse_is_the_area_under_the_force(law):
    hit = solid_impact(**{**BALL, **law})

    area = simpson(hit.curves.force, x=hit.curves.time)
    assert area == pytest.approx(hit.impulse, rel=1e-3)


@pytest.mark.parametrize("q", [1.0, 1.5, 2.0, 2.5])
def test_hunt_crossley_gives_the_same_for_every_exponent(q):
    loss = np.geomspace(0.005, 10, 30)
    hit = solid_impact(**BALL, exponent=q, loss=loss, curves=False)

    assert hit.restitution == pytest.approx(
        hunt_crossley_restitution(loss=loss, impact_speed=2.0), abs=1e-8
    )


@pytest.mark.parametrize("speed", [0.1, 10.0])
def test_kelvin_voigt_knows_no_speed(speed):
    zeta, k = np.linspace(0.001, 0.99, 40), 1e4
    hit = solid_impact(
        mass=0.1,
        impact_speed=speed,
        stiffness=k,
        exponent=1.0,
        loss=2 * zeta * np.sqrt(k * 0.1) / k,
        loss_exponent=0.0,
        curves=False,
    )

    assert hit.restitution == pytest.approx(
        kelvin_voigt_restitution(damping_ratio=zeta), abs=1e-8
    )


@pytest.mark.parametrize("q", [1.0, 1.5, 2.0])
def test_nothing_is_lost_without_loss(q):
    hit = solid_impact(**BALL, exponent=q)

    assert hit.restitution == pytest.approx(1.0, abs=1e-9)
    assert hit.compression == pytest.approx(
        ((q + 1) * 0.1 * 4 / 2e6) ** (1 / (q + 1)), rel=1e-8
    )


def test_a_batch_gives_what_single_impacts_give():
    speeds = np.linspace(0.1, 5, 50)
    many = solid_impact(**{**BALL, "impact_speed": speeds}, loss=0.1)

    assert many.curves.force.shape == (241, 50)
    for at in (0, 49):
        one = solid_impact(**{**BALL, "impact_speed": speeds[at]}, loss=0.1)
        assert many.restitution[at] == pytest.approx(one.restitution, abs=1e-13)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"mass": -1}, "mass: read -1 kg"),
        ({"impact_speed": 0}, "impact speed: read 0 m/s"),
        ({"stiffness": float("inf")}, "stiffness: read inf"),
        ({"exponent": 0.5}, "exponent: read 0.5, allowed from 1"),
        ({"loss": -0.1}, "loss: read -0.1"),
        ({"loss_exponent": 2.0}, "exponent less loss exponent: read -0.5"),
        ({"mass": [1, 2], "stiffness": [1, 2, 3]}, "shapes"),
        ({"mass": np.ones(20_001)}, "curves=False"),
    ],
)
def test_what_is_no_contact_is_refused_with_words(change, words):
    with pytest.raises(InputError, match=words):
        solid_impact(**{**BALL, **change})
