"""Proper Inflation of a Basketball, sample paper, University of Hawaii, Astronomy 110.

Read in a copy: the 1998 rule (from 1.80 m to the bottom, back to 1.2 to 1.4 m to
the top) with a 24 cm ball is given as a rebound of 62 ± 6 % of the drop; a ball is
right at about 60 %.
"""

import pytest

from bouncelab.physics.restitution import restitution_from_heights

DROP, TOPS, DIAMETER = 1.80, (1.2, 1.4), 0.24


def test_sixty_hundredths_lie_inside_the_rule():
    low, high = ((top - DIAMETER) / DROP for top in TOPS)

    assert low < 0.60 < high


def test_the_printed_62_percent_do_not_follow_from_the_rule():
    """The rule with a 24 cm ball gives 59 ± 6 %: the width agrees, the middle is 3 off.

    Why is not known; the share 62 % would need a ball of 18 cm.
    """
    low, high = (100 * (top - DIAMETER) / DROP for top in TOPS)

    assert (high - low) / 2 == pytest.approx(6, abs=0.5)
    assert (high + low) / 2 == pytest.approx(58.9, abs=0.05)
    assert 100 * (sum(TOPS) / 2 - 0.18) / DROP == pytest.approx(62, abs=0.5)


def test_the_rule_in_terms_of_restitution():
    """Worked out: 0.730 to 0.803."""
    found = restitution_from_heights(
        drop_height=DROP, rebound_height=[top - DIAMETER for top in TOPS]
    )

    assert found.round(3).tolist() == [0.730, 0.803]
