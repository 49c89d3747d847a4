"""GTC, an independent program: uncertainty with finite degrees of freedom."""

import numpy as np
import pytest
from GTC import multiple_ureal, reporting, sqrt, ureal

from bouncelab.physics.certainty import restitution_uncertainty, sensitivities
from bouncelab.uncertainty import effective_dof, expanded, propagate


@pytest.mark.parametrize(
    ("u1", "nu1", "u2", "nu2"),
    [(0.002, 9, 0.01, 4), (0.02, 3, 0.01, 20), (0.005, 50, 0.03, 2)],
)
def test_effective_degrees_of_freedom_of_a_restitution(u1, nu1, u2, nu2):
    h1, h2 = ureal(1.8, u1, nu1), ureal(1.1, u2, nu2)
    theirs = sqrt(h2 / h1)
    heights = {"drop_height": 1.8, "rebound_height": 1.1}
    parts = [
        restitution_uncertainty(**heights, drop_u=u1, rebound_u=0.0),
        restitution_uncertainty(**heights, drop_u=0.0, rebound_u=u2),
    ]

    assert np.hypot(*parts) == pytest.approx(theirs.u, rel=1e-12)
    assert effective_dof(parts, [nu1, nu2]) == pytest.approx(theirs.df, rel=1e-12)


def test_type_a_and_b_together():
    mean, shared = ureal(0.78, 0.003, 4), ureal(0.0, 0.002)
    theirs = mean + shared
    found = expanded(type_a=0.003, dof_a=4, type_b=0.002)

    assert found.standard == pytest.approx(theirs.u, rel=1e-12)
    assert found.nu_eff == pytest.approx(theirs.df, rel=1e-12)


@pytest.mark.parametrize("r", [-0.5, 0.8])
def test_heights_that_share_an_error(r):
    h1, h2 = multiple_ureal([1.8, 1.1], [0.004, 0.01], 9)
    h1.set_correlation(r, h2)
    theirs = sqrt(h2 / h1)
    v = np.outer([0.004, 0.01], [0.004, 0.01]) * [[1, r], [r, 1]]

    assert restitution_uncertainty(
        drop_height=1.8, rebound_height=1.1, drop_u=0.004, rebound_u=0.01, correlation=r
    ) == pytest.approx(theirs.u, rel=1e-12)
    assert propagate(lambda a, b: np.sqrt(b / a), [1.8, 1.1], v).standard[
        0
    ] == pytest.approx(theirs.u, rel=1e-9)


@pytest.mark.parametrize("dof", [2, 4, 17, 80])
@pytest.mark.parametrize("percent", [68, 95, 99])
def test_coverage_factors(dof, percent):
    found = expanded(type_a=1.0, dof_a=dof, type_b=0.0, coverage=percent / 100)

    assert found.expanded == pytest.approx(reporting.k_factor(dof, percent), rel=1e-6)


def test_each_reading_moves_restitution_by_its_share_and_the_right_way():
    """A rebound read at the top, with a tape whose zero is off for both heights."""
    top, drop = ureal(1.32, 0.006), ureal(1.80, 0.003)
    around, tape = ureal(0.76, 0.002), ureal(0.0, 0.004)
    theirs = sqrt((top + tape - around / np.pi) / (drop + tape))
    slopes = sensitivities(drop_height=1.80, rebound_height=1.32 - 0.76 / np.pi)

    for slope, reading in (
        (slopes.rebound, top),
        (slopes.drop, drop),
        (slopes.circumference, around),
        (slopes.offset, tape),
    ):
        assert slope * reading.u == pytest.approx(
            reporting.u_component(theirs, reading), rel=1e-12
        )
