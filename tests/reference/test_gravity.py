"""Normal gravity: WGS 84 (NIMA TR8350.2), GRS 80 (H. Moritz), and an older formula.

The constants were read in open programs that carry them; values on the ellipsoid are
worked out from them to the digits shown.
"""

import numpy as np
import pytest

from bouncelab.physics.surroundings import local_gravity

ON_THE_ELLIPSOID = [
    (0.0, 9.780325),
    (34.05, 9.796534),
    (40.7, 9.802322),
    (45.0, 9.806198),
    (51.5, 9.812034),
    (90.0, 9.832185),
]
LATITUDES = np.linspace(-90, 90, 37)


@pytest.mark.parametrize(("latitude", "gravity"), ON_THE_ELLIPSOID)
def test_wgs_84(latitude, gravity):
    assert local_gravity(latitude=latitude) == pytest.approx(gravity, abs=5.1e-7)


def test_the_pole_of_wgs_84():
    assert local_gravity(latitude=90) == pytest.approx(9.8321849378, abs=1e-9)


def test_grs_80_differs_by_less_than_two_millionths():
    square = np.sin(np.radians(LATITUDES)) ** 2
    grs = 9.7803267715 * (1 + 0.001931851353 * square)
    grs /= np.sqrt(1 - 0.00669438002290 * square)

    assert local_gravity(latitude=LATITUDES) == pytest.approx(grs, abs=2e-6)


@pytest.mark.parametrize("height", [0.0, 1000.0])
def test_the_older_international_formula_agrees_to_a_hundred_thousandth(height):
    """9.780318 (1 + 0.0053024 sin²φ − 0.0000058 sin²2φ) − 3.085e-6 H."""
    at = np.radians(LATITUDES)
    older = 9.780318 * (
        1 + 0.0053024 * np.sin(at) ** 2 - 0.0000058 * np.sin(2 * at) ** 2
    )
    found = local_gravity(latitude=LATITUDES, height=height)

    assert found == pytest.approx(older - 3.085e-6 * height, abs=1e-5)


def test_a_kilometre_up_gravity_is_less_by_three_thousandths():
    """Free air: −3.086e-6 m/s² for each metre."""
    drop = local_gravity(latitude=45) - local_gravity(latitude=45, height=1000)

    assert drop == pytest.approx(3.086e-3, abs=1e-12)
