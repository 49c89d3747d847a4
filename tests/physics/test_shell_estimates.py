import numpy as np
import pytest
from uncertainties import ufloat

from bouncelab.errors import InputError
from bouncelab.physics.impact_shell import shell_impact
from bouncelab.physics.shell_estimates import fit_loss, resting_area, small_impact

BALL = {"mass": 0.43, "diameter": 0.22, "gauge_pressure": 80e3, "impact_speed": 6.0}


def test_the_loss_that_was_put_in_is_found_again():
    losses = np.array([10.0, 500.0, 3e3, 2e4])
    e = shell_impact(loss_constant=losses, curves=False, **BALL).restitution

    assert fit_loss(restitution=e, **BALL) == pytest.approx(losses, rel=1e-6)


def test_a_wall_takes_its_part_of_the_loss():
    wall = {"wall_stiffness": 1e4, "wall_loss": 1.0}
    loss = fit_loss(restitution=0.8, **BALL, **wall)

    assert loss < fit_loss(restitution=0.8, **BALL)
    hit = shell_impact(loss_constant=loss, **BALL, **wall)
    assert hit.restitution == pytest.approx(0.8, abs=1e-9)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"restitution": 0.0}, "restitution: read 0, allowed above 0"),
        ({"restitution": 1.0}, "restitution: read 1"),
        (
            {"restitution": 0.99, "wall_stiffness": 1e5, "wall_loss": 0.5},
            "without loss",
        ),
        ({"restitution": [0.7, 0.8], "mass": [1, 2, 3]}, "shapes"),
    ],
)
def test_a_restitution_that_no_loss_gives_is_refused(change, words):
    with pytest.raises(InputError, match=words):
        fit_loss(**{**BALL, "restitution": 0.8, **change})


def test_uncertain_pressure_makes_the_contact_time_uncertain():
    hit = small_impact(**{**BALL, "gauge_pressure": ufloat(80e3, 4e3)})

    assert hit.contact_time.std_dev / hit.contact_time.nominal_value == pytest.approx(
        0.025
    )


def test_the_shell_at_rest_carries_its_weight_on_that_area():
    """Where nothing moves, F = A (p − p_a) is the load."""
    gentle = shell_impact(**{**BALL, "impact_speed": 1e-4}, curves=False)
    heavy = 0.43 * 9.80665

    # Set down without speed a ball sinks twice as deep as it rests, so to twice A.
    area = np.pi * gentle.contact_radius**2
    assert area == pytest.approx(
        2 * resting_area(load=heavy, gauge_pressure=80e3), rel=1e-2
    )


def test_a_flat_ball_has_no_stiffness_to_reckon_with():
    with pytest.raises(InputError, match="gauge pressure: read 0 Pa, allowed above"):
        small_impact(**{**BALL, "gauge_pressure": 0.0})
