"""mpmath, an independent program of fifty digits: roots and an integral."""

import mpmath
import pytest

from bouncelab.physics.hertz import hertz_impact
from bouncelab.physics.solids import hunt_crossley_restitution


@pytest.mark.parametrize("s", ["0.001", "0.0029", "0.0031", "0.02", "0.5", "5", "30"])
def test_hunt_crossley_where_the_force_is_gone(s):
    """s(1 + e) = ln[(1 + s)/(1 − s e)]; below s = 0.003 the kit takes a series."""
    with mpmath.workdps(50):
        loss = mpmath.mpf(s)

        def gap(e):
            return (1 + loss) * mpmath.exp(-loss * (1 + e)) - (1 - loss * e)

        start = min(1 - 2 * loss / 3, 1 / loss) if loss < 1 else 1 / loss
        exact = float(mpmath.findroot(gap, start))
    found = hunt_crossley_restitution(loss=float(s), impact_speed=1.0)

    assert found == pytest.approx(exact, abs=1e-15 if float(s) < 0.003 else 1e-11)


def test_the_time_of_hertz_is_an_integral():
    """2∫dx/√(1 − x^(5/2)) from 0 to 1."""
    with mpmath.workdps(30):
        exact = 2 * mpmath.quad(lambda x: 1 / mpmath.sqrt(1 - x**2.5), [0, 1])
    hit = hertz_impact(mass=1.0, radius=1.0, effective_modulus=1e6, impact_speed=1.0)

    assert hit.contact_time / hit.compression == pytest.approx(float(exact), rel=1e-12)
