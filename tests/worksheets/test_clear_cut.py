"""Verdicts that hang on no rounding: the gap against the guide's own formula."""

import numpy as np
import pytest

from bouncelab.worksheets.clear_cut import gap_to_limits


def test_the_gap_is_that_of_the_nearest_end_to_the_nearest_limit():
    heights = [55.0, 56.0, 57.0, 58.0, 59.0]
    u = np.sqrt(np.var(heights, ddof=1) / 5 + 1.2**2 / 3)
    low, high = 57 - 2 * u, 57 + 2 * u

    found = gap_to_limits(heights, half_width=1.2, limits=(50, 65))
    assert found == pytest.approx(min(low - 50, 65 - high))
    assert gap_to_limits(heights, half_width=1.2, limits=(low,)) == pytest.approx(0)
