"""GTC (Measurement Standards Laboratory of New Zealand) and `uncertainties`.

Two independent programs that propagate uncertainties by derivatives of their own.
"""

import GTC
import numpy as np
import pytest
from uncertainties import correlated_values, ufloat, umath

from bouncelab.physics.bounces import total_time
from bouncelab.physics.certainty import restitution_uncertainty, sensitivities
from bouncelab.physics.fall import drag_constant, fall_time, impact_speed
from bouncelab.physics.flight import flight_speed, flight_time
from bouncelab.physics.restitution import (
    restitution_from_heights,
    restitution_with_drag,
)
from bouncelab.uncertainty import expanded, propagate

DROPS = [(1.0, 0.002, 0.64, 0.01), (1.8, 0.003, 1.08, 0.006), (2.54, 0.001, 0.4, 0.02)]


@pytest.mark.parametrize("r", [-0.5, 0.0, 0.9])
@pytest.mark.parametrize(("h1", "u1", "h2", "u2"), DROPS)
def test_restitution_beside_gtc(h1, u1, h2, u2, r):
    first = GTC.ureal(h1, u1, independent=False)
    second = GTC.ureal(h2, u2, independent=False)
    GTC.set_correlation(r, first, second)
    theirs = GTC.sqrt(second / first)
    ours = restitution_uncertainty(
        drop_height=h1, rebound_height=h2, drop_u=u1, rebound_u=u2, correlation=r
    )

    assert ours == pytest.approx(theirs.u, rel=1e-12)


def test_a_rebound_read_at_the_top_beside_gtc():
    """Top reading, drop, circumference, and a tape whose zero is off for both."""
    top, drop = GTC.ureal(1.32, 0.006), GTC.ureal(1.80, 0.003)
    around, tape = GTC.ureal(0.76, 0.002), GTC.ureal(0.0, 0.004)
    theirs = GTC.sqrt((top + tape - around / np.pi) / (drop + tape))
    slopes = sensitivities(drop_height=1.80, rebound_height=1.32 - 0.76 / np.pi)

    for ours, each in (
        (slopes.rebound, top),
        (slopes.drop, drop),
        (slopes.circumference, around),
        (slopes.offset, tape),
    ):
        assert ours * each.u == pytest.approx(
            GTC.reporting.u_component(theirs, each), rel=1e-12
        )


@pytest.mark.parametrize(
    ("n", "scatter", "shared"), [(3, 0.004, 0.001), (8, 0.01, 0.02)]
)
def test_effective_freedom_and_coverage_beside_gtc(n, scatter, shared):
    mean = GTC.ureal(0.8, scatter / n**0.5, n - 1) + GTC.ureal(0.0, shared, 50)
    ours = expanded(
        type_a=scatter / n**0.5, dof_a=n - 1, type_b=shared, dof_b=50, coverage=0.95
    )

    assert ours.standard == pytest.approx(mean.u, rel=1e-12)
    assert ours.nu_eff == pytest.approx(mean.df, rel=1e-12)
    assert ours.expanded / ours.standard == pytest.approx(
        GTC.reporting.k_factor(mean.df, 95), rel=1e-6
    )


def test_propagation_with_correlations_beside_uncertainties():
    means = np.array([1.8, 1.08, 0.0219])
    u = np.array([0.003, 0.006, 0.003])
    r = np.array([[1, 0.3, -0.2], [0.3, 1, 0.1], [-0.2, 0.1, 1]])
    covariance = r * np.outer(u, u)

    def corrected(h1, h2, k, m=np):
        return m.sqrt(m.expm1(2 * k * h2) / -m.expm1(-2 * k * h1)), h1 * h2

    theirs = corrected(*correlated_values(means, covariance), m=umath)
    ours = propagate(corrected, means, covariance)

    assert ours.values == pytest.approx([each.n for each in theirs], rel=1e-14)
    assert ours.standard == pytest.approx([each.s for each in theirs], rel=1e-9)


H1, H2, K = ufloat(1.8, 0.003), ufloat(1.08, 0.006), ufloat(0.1288, 0.02)
V, G, E = ufloat(5.0, 0.1), ufloat(9.6, 0.05), ufloat(0.8, 0.01)
CLOSED_FORMS = {
    "restitution": (
        lambda: restitution_from_heights(drop_height=H1, rebound_height=H2),
        lambda: umath.sqrt(H2 / H1),
    ),
    "restitution with drag": (
        lambda: restitution_with_drag(
            drop_height=H1, rebound_height=H2, drag_constant=K
        ),
        lambda: umath.sqrt(umath.expm1(2 * K * H2) / -umath.expm1(-2 * K * H1)),
    ),
    "impact speed": (
        lambda: impact_speed(drop_height=H1, drag_constant=K, gravity=G),
        lambda: umath.sqrt(G / K * -umath.expm1(-2 * K * H1)),
    ),
    "fall time": (
        lambda: fall_time(drop_height=H1, drag_constant=K, gravity=G),
        lambda: umath.acosh(umath.exp(K * H1)) / umath.sqrt(K * G),
    ),
    "flight time": (
        lambda: flight_time(launch_speed=V, drag_constant=K, gravity=G),
        lambda: (
            (umath.atan(V * umath.sqrt(K / G)) + umath.asinh(V * umath.sqrt(K / G)))
            / umath.sqrt(K * G)
        ),
    ),
    "total time": (
        lambda: total_time(drop_height=H1, restitution=E, gravity=G),
        lambda: umath.sqrt(2 * H1 / G) * (1 + E) / (1 - E),
    ),
    "drag constant": (
        lambda: drag_constant(mass=H1, diameter=H2, drag_coefficient=E, air_density=K),
        lambda: K * E * np.pi * H2**2 / 8 / (H1 + 1.5 * K * np.pi * H2**3 / 6),
    ),
}


@pytest.mark.parametrize("name", CLOSED_FORMS)
def test_closed_forms_beside_the_formula_in_uncertainties(name):
    ours, theirs = (each() for each in CLOSED_FORMS[name])

    assert ours.n == pytest.approx(theirs.n, rel=1e-13)
    assert ours.s == pytest.approx(theirs.s, rel=1e-8)
    # The same inputs, so nothing is left of the difference.
    assert (ours - theirs).s == pytest.approx(0, abs=1e-8 * theirs.s)


def test_a_flights_inverse_beside_uncertainties():
    """Speed from time from speed: its doubt is that of the speed at the start."""
    time = flight_time(launch_speed=V, drag_constant=K, gravity=G)
    back = flight_speed(interval=time, drag_constant=K, gravity=G)

    assert back.n == pytest.approx(V.n, rel=1e-13)
    assert (back - V).s == pytest.approx(0, abs=1e-8)
