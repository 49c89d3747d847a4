"""J. B. Tatum, Classical Mechanics, section 5.2 (LibreTexts): bounces until rest.

The total of 1.36 s was read in the text; its inputs, h = 1 m and e = 0.5 with
g = 9.8 m/s², are from memory and do give it. The path follows from the same sum.
"""

import pytest

from bouncelab.physics.bounces import bounce_train, total_path, total_time
from bouncelab.physics.restitution import restitution_from_total_time

G = 9.8


def test_all_bounces_take_136_hundredths_of_a_second():
    total = total_time(drop_height=1.0, restitution=0.5, gravity=G)

    assert total == pytest.approx(1.36, abs=0.005)
    assert restitution_from_total_time(
        drop_height=1.0, total_time=1.36, gravity=G
    ) == pytest.approx(0.5, abs=0.002)


def test_the_path_is_one_and_two_thirds_of_the_height_added_up_bounce_by_bounce():
    train = bounce_train(drop_height=1.0, restitution=0.5, bounces=60, gravity=G)

    assert total_path(drop_height=1.0, restitution=0.5) == pytest.approx(
        1.667, abs=5e-4
    )
    assert 1.0 + 2 * train.heights.sum() == pytest.approx(5 / 3)
    assert train.impact_times[-1] == pytest.approx(1.355, abs=5e-4)
