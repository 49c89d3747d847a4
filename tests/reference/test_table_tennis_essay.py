"""A school essay on the bounce of a table tennis ball: mean rebounds from five drops.

Read in the essay: 100, 80, 60, 20 cm back to 63.7, 51, 42, 15.3 cm. The row for
40 cm is misprinted there and left out.
"""

import numpy as np
import pytest

from bouncelab.physics.fall import drag_constant
from bouncelab.physics.restitution import (
    restitution_from_heights,
    restitution_with_drag,
)
from bouncelab.physics.surroundings import air_density

HEIGHTS = {
    "drop_height": np.array([1.00, 0.80, 0.60, 0.20]),
    "rebound_height": np.array([0.637, 0.51, 0.42, 0.153]),
}


def test_the_share_that_comes_back_falls_with_height():
    e = restitution_from_heights(**HEIGHTS)

    assert e**2 == pytest.approx([0.64, 0.64, 0.70, 0.765], abs=0.005)


def test_most_of_that_fall_is_drag():
    """With a 2.7 g, 40 mm ball, drag coefficient 0.47, about two thirds of it."""
    k = drag_constant(
        mass=0.0027, diameter=0.040, drag_coefficient=0.47, air_density=air_density()
    )
    plain = restitution_from_heights(**HEIGHTS)
    corrected = restitution_with_drag(**HEIGHTS, drag_constant=k)

    assert np.ptp(plain) == pytest.approx(0.077, abs=0.001)
    assert np.ptp(corrected) < 0.4 * np.ptp(plain)
    assert corrected.min() > 0.86
