"""A. Picard, R. S. Davis, M. Gläser and K. Fujii, Metrologia 45 (2008) 149: CIPM-2007.

Density of moist air. The constants were read in an open program that carries them.
The formula is meant for 15 to 27 °C and 600 to 1100 hPa.
"""

import numpy as np
import pytest

from bouncelab.physics.surroundings import air_density
from bouncelab.units import kelvin


def cipm_2007(celsius, pressure, humidity):
    t = kelvin(celsius)
    saturated = np.exp(
        1.2378847e-5 * t**2 - 1.9121316e-2 * t + 33.93711047 - 6.3431645e3 / t
    )
    enhanced = 1.00062 + 3.14e-8 * pressure + 5.6e-7 * celsius**2
    x = humidity * enhanced * saturated / pressure
    z = (
        1
        - pressure
        / t
        * (
            1.58123e-6
            - 2.9331e-8 * celsius
            + 1.1043e-10 * celsius**2
            + (5.707e-6 - 2.051e-8 * celsius) * x
            + (1.9898e-4 - 2.376e-6 * celsius) * x**2
        )
        + (pressure / t) ** 2 * (1.83e-11 - 0.765e-8 * x**2)
    )
    return 3.483740e-3 * pressure / (z * t) * (1 - 0.3780 * x)


@pytest.mark.parametrize("celsius", [5.0, 15.0, 20.0, 27.0, 35.0])
@pytest.mark.parametrize("humidity", [0.0, 0.5, 1.0])
@pytest.mark.parametrize("pressure", [8e4, 101_325.0, 1.05e5])
def test_our_density_is_within_a_thousandth(celsius, humidity, pressure):
    """Ours is lighter by up to 0.06 %: no carbon dioxide of today, no real gas."""
    found = air_density(temperature_c=celsius, humidity=humidity, pressure=pressure)

    assert found == pytest.approx(cipm_2007(celsius, pressure, humidity), rel=1e-3)


@pytest.mark.parametrize("celsius", [5.0, 15.0, 20.0, 27.0, 35.0])
def test_what_the_vapour_takes_away_is_right_to_four_thousandths(celsius):
    """Dry less saturated, which hangs on the vapour pressure alone."""
    dry, wet = (air_density(temperature_c=celsius, humidity=h) for h in (0.0, 1.0))
    theirs = cipm_2007(celsius, 101_325.0, 0.0) - cipm_2007(celsius, 101_325.0, 1.0)

    assert dry - wet == pytest.approx(theirs, rel=4e-3)
