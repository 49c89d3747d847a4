"""ITF, *Rules of Tennis*, Appendix I (read in secondary copies of its table).

Types 1 to 3: rebound of 135 to 147 cm (53 to 58 in) from 254 cm (100 in).
"""

import pytest

from bouncelab.physics.rebounds import drop_height, rebound_height
from bouncelab.physics.restitution import restitution_from_heights

DROP = 2.54


@pytest.mark.parametrize(
    ("rebound", "restitution"),
    # The restitution was worked out by hand from the printed heights.
    [(1.35, 0.729), (1.47, 0.761)],
)
def test_rebounds_and_restitution_of_the_window(rebound, restitution):
    e = restitution_from_heights(drop_height=DROP, rebound_height=rebound)

    assert e == pytest.approx(restitution, abs=5e-4)
    assert rebound_height(drop_height=DROP, restitution=e) == pytest.approx(rebound)
    assert drop_height(rebound_height=rebound, restitution=e) == pytest.approx(DROP)
    rounded = rebound_height(drop_height=DROP, restitution=restitution)
    assert rounded == pytest.approx(rebound, abs=0.005)
