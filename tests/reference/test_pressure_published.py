"""Published restitution against pressure, and the form of curve that the kit fits.

The only figures seen that give one ball at two known pressures are those of the
University of Texas at Arlington, Physics (2006), read on the study's page: a ball of
synthetic leather has e = 0.79 at 8.5 psi and, at 14 psi, bounces as the conditioned
leather one, e = 0.81, from 51.7 in on hard linoleum. Both are printed to two
decimals, so each is known to ± 0.005. Two points cannot test three constants: what is
tested is that curves of the form pass through both for the walls that balls have, and
where the form, or the model with one constant of loss, would not.
"""

import numpy as np
import pytest
from scipy.optimize import brentq

from bouncelab.analysis.curves import FORMS, _linear
from bouncelab.catalogue import find_ball
from bouncelab.physics.fall import impact_speed
from bouncelab.physics.impact_shell import shell_impact
from bouncelab.units import read_length, read_pressure

PRESSURE = np.array([read_pressure("8.5 psi"), read_pressure("14 psi")])
PRINTED, ROUNDING = np.array([0.79, 0.81]), 0.005
FORM = "a - b/(p + c)"


def curve_through(c):
    """The kit's own best a and b, with its limit on a, for a wall of c."""
    base = FORMS[FORM](PRESSURE, c)
    a, b, _ = _linear(base[None, :, None], PRINTED[None] ** 2, np.ones((1, 2)))
    return a[0, 0], b[0, 0], np.sqrt(a[0, 0] - b[0, 0] * base)


@pytest.mark.parametrize("wall", [1e3, 5e3, 12e3, 30e3, 100e3, 300e3])
def test_the_form_passes_through_both_pressures_within_their_rounding(wall):
    a, b, e = curve_through(wall)

    assert np.abs(e - PRINTED).max() < 1e-6
    assert 0.70 < a < 1.02
    assert b > 0


def test_a_wall_as_stiff_as_no_ball_s_does_not_fit():
    """Misfit: beyond about 400 kPa the gas would give back more than it took."""
    _, _, e = curve_through(1e6)

    assert np.abs(e - PRINTED).max() > ROUNDING


def test_one_constant_of_loss_rises_too_steeply_for_it():
    """Misfit: set at 8.5 psi, it says 0.86 at 14 psi where 0.81 was found.

    It is the reason why a class's pressures are fitted, and not foretold.
    """
    ball = find_ball("basketball-7")
    speed = float(impact_speed(drop_height=read_length("51.7 in")))

    def e(loss, pressure):
        return float(
            shell_impact(
                mass=ball.mass_kg,
                diameter=ball.diameter_m,
                gauge_pressure=pressure,
                impact_speed=speed,
                loss_constant=loss,
                curves=False,
            ).restitution
        )

    loss = brentq(lambda each: e(each, PRESSURE[0]) - PRINTED[0], 1e3, 1e4)

    assert e(loss, PRESSURE[1]) == pytest.approx(0.86, abs=0.005)
    assert e(loss, PRESSURE[1]) - PRINTED[1] > 5 * ROUNDING
