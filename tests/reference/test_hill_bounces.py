"""C. Hill, Learning Scientific Programming with Python, chapter 6: bounces by sound.

Read on the book's page: dropped from 57.5 cm, ln T_n against n gives e = 0.86 and,
from the intercept, g = 9.7 m/s². The page prints v0 = √(2g/h0), a misprint for
√(2 g h0). The recording was not to be had: times are worked out from the figures.
"""

import numpy as np
import pytest

from bouncelab.physics.bounces import bounce_train
from bouncelab.physics.fall import fall_time
from bouncelab.physics.timing import fit_impact_times

G, E, DROP = 9.7, 0.86, 0.575
TIMES = 0.344 + np.concatenate([[0.0], np.cumsum([0.592, 0.509, 0.438, 0.377, 0.324])])


def test_a_train_has_the_times_that_follow_from_the_printed_figures():
    train = bounce_train(drop_height=DROP, restitution=E, bounces=3, gravity=G)

    assert fall_time(drop_height=DROP, gravity=G) == pytest.approx(0.344, abs=5e-4)
    assert np.diff(train.impact_times) == pytest.approx([0.592, 0.509], abs=5e-4)


def test_the_times_give_restitution_and_height_back():
    found = fit_impact_times(TIMES, gravity=G, steady=True)

    assert found.restitution == pytest.approx(0.86, abs=0.005)
    assert found.drop_height == pytest.approx(0.575, abs=0.005)


def test_the_known_height_gives_gravity_back():
    """Without drag the height found is proportional to the gravity put in."""
    found = fit_impact_times(TIMES, gravity=1.0, steady=True)

    assert DROP / found.drop_height == pytest.approx(9.7, abs=0.05)
