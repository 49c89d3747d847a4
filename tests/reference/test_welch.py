"""A published worked example of Welch's t test.

The first example of the general encyclopaedia article on the test (samples A1 and
A2): t = -2.4554, 24.9885 degrees of freedom, p = 0.021378. The pooled test gives
p = 0.020545; the two must not be confused.
"""

import numpy as np
import pytest

from bouncelab.analysis.any_differ import _welch
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


def test_welchs_analysis_of_variance_agrees_with_two_other_programs():
    """R's own example of `oneway.test`, and scipy 1.17 on the data SiRstv of NIST.

    R prints F = 3.4626, 17.776 degrees of freedom and p = 0.07939 for the ten
    patients' extra sleep (data and output from memory). `scipy.stats.f_oneway` with
    `equal_var=False` gives F and p of SiRstv as below; older ones cannot do it.
    """
    sleep = [
        "0.7 -1.6 -0.2 -1.2 -0.1 3.4 3.7 0.8 0.0 2.0",
        "1.9 0.8 1.1 0.1 -0.1 4.4 5.5 1.6 4.6 3.4",
    ]
    found = _welch([np.array(each.split(), dtype=float) for each in sleep], "drops")
    five = _welch([np.array(each.split(), dtype=float) for each in SIRSTV], "drops")

    assert (found.f, found.dof_within) == pytest.approx((3.4626, 17.776), abs=5e-4)
    assert found.p == pytest.approx(0.07939, abs=5e-6)
    assert five.f == pytest.approx(1.0516037072432207, rel=1e-10)
    assert five.p == pytest.approx(0.4288627102241082, rel=1e-10)


SIRSTV = [
    "196.3052 196.1240 196.1890 196.2569 196.3403",
    "196.3042 196.3825 196.1669 196.3257 196.0422",
    "196.1303 196.2005 196.2889 196.0343 196.1811",
    "196.2795 196.1748 196.1494 196.1485 195.9885",
    "196.2119 196.1051 196.1850 196.0052 196.2090",
]
