"""A published worked example of Welch's t test.

The first example of the general encyclopaedia article on the test (samples A1 and
A2): t = -2.4554, 24.9885 degrees of freedom, p = 0.021378. The pooled test gives
p = 0.020545; the two must not be confused.
"""

import numpy as np
import pytest

from bouncelab.analysis.compared import Level
from bouncelab.analysis.comparison import _test

A1 = "27.5 21.0 19.0 23.6 17.0 17.9 16.9 20.1 21.9 22.6 23.1 19.6 19.0 21.7 21.4"
A2 = "27.1 22.0 20.8 23.4 23.4 23.5 25.8 22.0 24.8 20.2 21.9 22.1 22.9 20.5 24.4"


def test_the_published_chance_is_found():
    levels = [
        Level(
            name,
            np.array(text.split(), dtype=float),
            ("",) * 15,
            np.zeros(15, dtype=bool),
            0.0,
            0.0,
        )
        for name, text in (("A1", A1), ("A2", A2))
    ]
    gap, _, p, method = _test(*levels)

    assert gap == pytest.approx(22.98667 - 20.82, abs=1e-5)
    assert p == pytest.approx(0.021378, abs=5e-7)
    assert method == "drops"
