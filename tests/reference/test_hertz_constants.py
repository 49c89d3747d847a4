"""Hertz's impact with the constants as they are printed elsewhere.

K. L. Johnson, *Contact Mechanics* (1985), 11.4, from memory: T = 2.87 (m²/(R E*² v))^⅕.
The forms with 2.94 and 5.84 were read in published program code. Young's moduli:
OpenStax, *University Physics* 1, table of elastic moduli, 12.3 (source text).
"""

import math

import pytest

from bouncelab.physics.hertz import effective_modulus, hertz_impact, hertz_stiffness
from bouncelab.physics.impact_solid import solid_impact

STEEL, ALUMINIUM, GLASS = 200e9, 70e9, 60e9  # Pa
BALLS = [
    # radius m, density kg/m³, Young's modulus, Poisson's ratio
    (0.010, 7800.0, STEEL, 0.29),
    (0.008, 2500.0, GLASS, 0.22),
    (0.015, 2700.0, ALUMINIUM, 0.33),
]


@pytest.mark.parametrize(("r", "rho", "young", "nu"), BALLS)
@pytest.mark.parametrize("v", [0.1, 3.0])
def test_a_sphere_on_a_flat_of_its_own_material(r, rho, young, nu, v):
    mass = rho * 4 / 3 * math.pi * r**3
    modulus = effective_modulus(youngs_moduli=(young, young), poisson_ratios=(nu, nu))
    hit = hertz_impact(mass=mass, radius=r, effective_modulus=modulus, impact_speed=v)

    johnson = (mass**2 / (r * modulus**2 * v)) ** 0.2
    assert hit.contact_time / johnson == pytest.approx(2.87, abs=0.005)
    approach = (15 * mass * v**2 / (16 * modulus * math.sqrt(r))) ** 0.4
    assert hit.compression == pytest.approx(approach, rel=1e-12)
    printed = (15 * mass / (16 * modulus * math.sqrt(r * v))) ** 0.4
    assert hit.contact_time / printed == pytest.approx(2.94, abs=0.005)
    force = 4 / 3 * modulus * math.sqrt(r) * approach**1.5
    assert hit.peak_force == pytest.approx(force, rel=1e-12)
    # a² = R δ and a³ = 3FR/(4E*), Johnson, 4.2, from memory.
    radius = (3 * force * r / (4 * modulus)) ** (1 / 3)
    assert hit.contact_radius == pytest.approx(radius, rel=1e-12)


@pytest.mark.parametrize(("r", "rho", "young", "nu"), BALLS)
def test_two_equal_spheres(r, rho, young, nu):
    """T = 5.84 (ρ(1 − ν²)/E)^⅖ r v^(−⅕), with reduced mass and radius."""
    mass = rho * 4 / 3 * math.pi * r**3
    modulus = effective_modulus(youngs_moduli=(young, young), poisson_ratios=(nu, nu))
    hit = hertz_impact(
        mass=mass / 2, radius=r / 2, effective_modulus=modulus, impact_speed=2.0
    )

    scale = (rho * (1 - nu**2) / young) ** 0.4 * r * 2.0**-0.2
    assert hit.contact_time / scale == pytest.approx(5.84, abs=0.005)


def test_the_constant_itself():
    """2∫dx/√(1 − x^(5/2)) from 0 to 1 = 2.943275, worked out to six digits."""
    hit = hertz_impact(mass=1.0, radius=1.0, effective_modulus=1e6, impact_speed=1.0)
    followed = solid_impact(
        mass=1.0,
        impact_speed=1.0,
        stiffness=hertz_stiffness(radius=1.0, effective_modulus=1e6),
        curves=False,
    )

    assert hit.contact_time / hit.compression == pytest.approx(2.943275, abs=5e-7)
    assert followed.contact_time == pytest.approx(hit.contact_time, rel=1e-8)
