"""D. Morin, Harvard University, problem of the week 1 (2002), with its solution.

Light balls on heavy ones, dropped together from h, everything elastic.
"""

import pytest

from bouncelab.physics.chains import drop_stack

TINY = 1e-7  # of the mass below: light enough to leave it undisturbed to six digits


def tower(count):
    return drop_stack(
        masses=[TINY**k for k in range(count)],
        drop_height=1.0,
        floor_restitution=1.0,
        restitution=1.0,
    )


def test_the_upper_of_two_balls_rises_nine_times_as_high():
    assert tower(2).rises[1] == pytest.approx(9, rel=1e-5)


@pytest.mark.parametrize("count", [1, 2, 3, 4, 5, 6])
def test_the_top_of_n_balls_leaves_at_2_to_the_n_minus_1_times_the_speed(count):
    drop = tower(count)

    factor = 2**count - 1
    assert drop.velocities_after[-1] / drop.impact_speed == pytest.approx(
        factor, rel=1e-4
    )
    assert drop.rises[-1] == pytest.approx(factor**2, rel=2e-4)


def test_six_balls_are_enough_for_a_kilometre_from_a_metre():
    """Worked out from (2ⁿ − 1)² h."""
    assert tower(5).rises[-1] < 1000 < tower(6).rises[-1]
