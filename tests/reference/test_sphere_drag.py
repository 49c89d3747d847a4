"""Drag of a smooth sphere: measured points, Indiana University of Pennsylvania page.

Read on that teaching page of mathematics. Used is the range of falling balls, and a
few slower points that tell the first term of the formula apart.
"""

import numpy as np
import pytest

from bouncelab.errors import InputError
from bouncelab.physics.surroundings import sphere_drag

# Reynolds number, drag coefficient
POINTS = [
    (57.54, 1.479),
    (144.5, 0.9204),
    (264.9, 0.7194),
    (512.9, 0.5623),
    (1000, 0.4786),
    (1862, 0.4365),
    (3162, 0.4074),
    (4764, 0.389),
    (8375, 0.3981),
    (15560, 0.4395),
    (26480, 0.4571),
    (34670, 0.4775),
    (58880, 0.4732),
    (100000, 0.4624),
    (170200, 0.4395),
]


@pytest.mark.parametrize(("reynolds", "measured"), POINTS)
def test_measured_points_lie_within_the_stated_uncertainty(reynolds, measured):
    coefficient, u = sphere_drag(reynolds)

    assert abs(coefficient - measured) < u


def test_up_to_a_hundred_thousand_they_lie_within_seven_percent():
    reynolds, measured = np.array(POINTS[:-1]).T

    assert sphere_drag(reynolds)[0] == pytest.approx(measured, rel=0.07)


def test_the_usual_textbook_value_lies_within_the_uncertainty():
    """0.45: OpenStax, College Physics, table 5.2, and University Physics 1, 6.4."""
    coefficient, u = sphere_drag([1e4, 3e4, 1e5])

    assert np.all(np.abs(coefficient - 0.45) < u)


def test_the_drag_crisis_is_left_out_and_said():
    """From 0.4046 at 231 700 to 0.1047 at 338 800 in the same table."""
    with pytest.raises(InputError, match="measured drag coefficient"):
        sphere_drag(231_700)
