"""NIST Statistical Reference Datasets (public domain): one-way analysis of variance.

Read in the data files of NIST: SiRstv (five instruments, five readings each) and
AtmWtAg (two instruments, 24 readings; the leading seven digits are all alike). What
the class's groups go through must agree with the certified values: here to 11 digits
for SiRstv; for AtmWtAg to 9, as the data's own leading digits take seven away.
"""

import numpy as np
import pytest

from bouncelab.analysis.compared import Level
from bouncelab.analysis.group_effect import group_effect

SIRSTV = [
    """196.3052 196.1240 196.1890 196.2569 196.3403""",
    """196.3042 196.3825 196.1669 196.3257 196.0422""",
    """196.1303 196.2005 196.2889 196.0343 196.1811""",
    """196.2795 196.1748 196.1494 196.1485 195.9885""",
    """196.2119 196.1051 196.1850 196.0052 196.2090""",
]
ATMWTAG = [
    """107.8681568 107.8681465 107.8681572 107.8681785 107.8681446 107.8681903
107.8681526 107.8681494 107.8681616 107.8681587 107.8681519 107.8681486
107.8681419 107.8681569 107.8681508 107.8681672 107.8681385 107.8681518
107.8681662 107.8681424 107.8681360 107.8681333 107.8681610 107.8681477""",
    """107.8681079 107.8681344 107.8681513 107.8681197 107.8681604 107.8681385
107.8681642 107.8681365 107.8681151 107.8681082 107.8681517 107.8681448
107.8681198 107.8681482 107.8681334 107.8681609 107.8681101 107.8681512
107.8681469 107.8681360 107.8681254 107.8681261 107.8681450 107.8681368""",
]


def found_for(texts):
    parts = [np.array(text.split(), dtype=float) for text in texts]
    who = tuple(f"instrument {k}" for k, part in enumerate(parts) for _ in part)
    e = np.concatenate(parts)
    return group_effect([Level("x", e, who, np.zeros(e.size, bool), 0.0, 0.0)])


def test_sirstv():
    found = found_for(SIRSTV)

    assert (found.between_dof, found.within_dof) == (4, 20)
    assert found.between_squares == pytest.approx(5.11462616e-2, rel=1e-11)
    assert found.within_squares == pytest.approx(2.1663656e-1, rel=1e-11)
    assert found.f == pytest.approx(1.18046237440255, rel=1e-11)
    assert found.within == pytest.approx(1.04076068334656e-1, rel=1e-11)


def test_atmwtag():
    found = found_for(ATMWTAG)

    assert (found.between_dof, found.within_dof) == (1, 46)
    assert found.between_squares == pytest.approx(3.638341875e-9, rel=1e-9)
    assert found.within_squares == pytest.approx(1.04951729166667e-8, rel=1e-9)
    assert found.f == pytest.approx(15.946733567793, rel=1e-9)
    assert found.within == pytest.approx(1.5104831444641e-5, rel=1e-9)
