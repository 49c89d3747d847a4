"""Published measurements of contacts, as far as they give numbers to compare with.

Each test names its paper; all were read as abstracts or organisations' pages, so
only orders of magnitude and ranges are checked, and no model is fitted to them.
"""

import math

import numpy as np
import pytest

from bouncelab.physics.hertz import hertz_impact, hertz_stiffness
from bouncelab.physics.impact_shell import shell_impact
from bouncelab.physics.impact_solid import solid_impact
from bouncelab.physics.shell_estimates import fit_loss, small_impact
from bouncelab.physics.solids import yield_restitution, yield_speed


def drop_speed(height):
    return math.sqrt(2 * 9.80665 * height)


@pytest.mark.parametrize("law", [(1.5, 1.5), (1.5, 0.5)])
def test_contact_times_follow_hertz_though_40_per_cent_is_lost(law):
    """D. Gugan, *Am. J. Phys.* 68 (2000) 920: 40 % of the energy, e about 0.775.

    Both laws of loss, tuned to that e, keep Hertz's time within 6 %.
    """
    q, r = law
    k = hertz_stiffness(radius=0.02, effective_modulus=5e6)
    ball = {"mass": 0.05, "impact_speed": 2.0}
    losses = np.geomspace(1e-5, 1.0, 2000)
    state = {"stiffness": k, "exponent": q, "loss_exponent": r, "curves": False}
    tried = solid_impact(**ball, **state, loss=losses).restitution
    loss = np.interp(-math.sqrt(0.6), -tried, losses)
    hit = solid_impact(**ball, **state, loss=loss)
    hertz = hertz_impact(radius=0.02, effective_modulus=5e6, **ball)

    assert hit.restitution**2 == pytest.approx(0.60, abs=1e-5)
    assert hit.contact_time == pytest.approx(hertz.contact_time, rel=0.06)


@pytest.mark.parametrize(
    ("mass", "diameter", "pressure", "height", "e"),
    [
        (0.62, 0.242, 55e3, 1.8, 0.77),
        (0.43, 0.22, 80e3, 2.0, 0.85),
        (0.27, 0.21, 31e3, 1.8, 0.8),
    ],
)
def test_forces_are_hundreds_of_weights(mass, diameter, pressure, height, e):
    """R. Cross, *Am. J. Phys.* 67 (1999) 222: 100 to 1000 times the weight."""
    ball = {
        "mass": mass,
        "diameter": diameter,
        "gauge_pressure": pressure,
        "impact_speed": drop_speed(height),
    }
    hit = shell_impact(loss_constant=fit_loss(restitution=e, **ball), **ball)

    assert 100 < hit.peak_force / (mass * 9.80665) < 1000


@pytest.mark.parametrize(
    ("q", "r", "leaves"), [(1.0, 0.0, True), (1.5, 0.5, True), (1.5, 1.5, False)]
)
def test_balls_leave_the_floor_still_compressed(q, r, leaves):
    """R. Cross, *Am. J. Phys.* 67 (1999) 222: the ball leaves still compressed.

    Kelvin and Voigt's law and the viscoelastic one do so. A loss in step with the
    force, as in Hunt and Crossley's law and in the inflated shell above some 10 kPa,
    does not: there the force is 0 only where the compression is. A limit of these.
    """
    hit = solid_impact(
        mass=0.05,
        impact_speed=2.0,
        stiffness=1e5,
        exponent=q,
        loss_exponent=r,
        loss=1e-3,
    )

    kept = hit.curves.compression[-1] / hit.compression
    assert (kept > 0.02) == leaves


def test_a_golf_ball_on_a_club():
    """USGA, *Golf Journal* (2025): about 500 µs, up to about 3000 lbf (13.3 kN).

    A ball of 45.93 g that takes 500 µs at 50 m/s (club's speed; the ball then leaves
    at about 70 m/s), soft enough to be followed with Hertz's law.
    """
    state = {"mass": 0.2 * 0.04593 / (0.2 + 0.04593), "impact_speed": 50.0}
    state |= {"loss": 0.004, "curves": False}
    first = solid_impact(**state, stiffness=1e8)
    # Times go with the stiffness to the power of −2/5.
    stiffness = 1e8 * (first.contact_time / 500e-6) ** 2.5
    hit = solid_impact(**state, stiffness=stiffness)

    assert hit.contact_time == pytest.approx(500e-6)
    assert 0.7 < hit.restitution < 0.9
    assert 8e3 < hit.peak_force < 14e3


@pytest.mark.parametrize("pressure", [60e3, 80e3, 96.5e3])
def test_a_football_is_in_contact_for_less_than_10_ms_or_hardly_more(pressure):
    """*Proceedings* (MDPI) 2018, 2, 236: foot contact under 10 ms, up to 0.965 bar.

    On a floor, by the formula for small compression, at the pressures of play. A
    foot gives way, which shortens the time by √(m₂/(m₁ + m₂)).
    """
    hit = small_impact(
        mass=0.43, diameter=0.22, gauge_pressure=pressure, impact_speed=20.0
    )

    with_a_foot = hit.contact_time * math.sqrt(1.5 / (0.43 + 1.5))
    assert hit.contact_time < 10.5e-3
    assert 5e-3 < with_a_foot < 10e-3


def test_restitution_falls_with_speed():
    """S. J. Haake et al., *J. Sports Sci.* 21 (2003), tennis balls; USGA, golf."""
    slow, fast = (
        solid_impact(
            mass=0.05, impact_speed=v, stiffness=2e6, loss=0.01, curves=False
        ).restitution
        for v in (10.0, 30.0)
    )

    assert fast < slow


def test_steel_on_steel_yields_early():
    """K. L. Johnson, *Contact Mechanics* (1985), 11.5, from memory.

    Y = 1 GPa, E* = 115 GPa, ρ = 7800 kg/m³: 0.14 m/s, and e about 0.7 at 1 m/s.
    """
    first = yield_speed(yield_stress=1e9, effective_modulus=115e9, density=7800)

    assert first == pytest.approx(0.14, abs=0.005)
    assert yield_restitution(impact_speed=1.0, yield_speed=first) == pytest.approx(
        0.7, abs=0.05
    )
    # A power of −¼ of the speed: sixteen times as fast, half the restitution.
    slow, fast = (yield_restitution(impact_speed=v, yield_speed=first) for v in (1, 16))
    assert fast / slow == pytest.approx(0.5)
    assert slow == pytest.approx(1.18 * first**0.25)
