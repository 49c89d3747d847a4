import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from uncertainties import ufloat

from bouncelab.errors import InputError
from bouncelab.physics.solids import (
    hunt_crossley_restitution,
    kelvin_voigt_restitution,
    viscoelastic_restitution,
    yield_restitution,
    yield_speed,
)


@settings(deadline=None)  # the first call imports scipy
@given(st.floats(1e-4, 100))
def test_hunt_crossley_solves_its_equation(s):
    e = hunt_crossley_restitution(loss=s, impact_speed=1.0)

    # ln[(1 + s)/(1 − s e)] with 1 − s e written out where it is tiny.
    if s < 10:
        assert s * (1 + e) == pytest.approx(
            np.log1p(s) - np.log1p(-s * e), rel=1e-8, abs=1e-12
        )
    assert 0 < e < 1


def test_the_series_and_the_closed_form_of_hunt_crossley_meet():
    s = np.linspace(0.0029, 0.0031, 21)
    e = hunt_crossley_restitution(loss=s, impact_speed=1.0)

    assert np.abs(np.diff(e, 2)).max() < 1e-9


def test_the_series_of_hunt_crossley_follows_from_its_equation():
    """Worked out with sympy from s(1 + e) = ln[(1 + s)/(1 − s e)]."""
    import sympy

    s = sympy.Symbol("s", positive=True)
    terms = sympy.symbols("a1:6")
    e = 1 + sum(a * s**n for n, a in enumerate(terms, 1))
    gap = sympy.series(
        s * (1 + e) - sympy.log(1 + s) + sympy.log(1 - s * e), s, 0, 8
    ).removeO()
    known = {}
    for order in range(3, 8):
        (term,) = (
            left
            for left in sympy.expand(gap).coeff(s, order).subs(known).free_symbols
            if left in terms
        )
        (value,) = sympy.solve(sympy.expand(gap).coeff(s, order).subs(known), term)
        known[term] = value
    small = 1e-3
    exact = float(e.subs(known).subs(s, small))

    assert [str(known[a]) for a in terms] == [
        "-2/3", "4/9", "-44/135", "104/405", "-40/189",
    ]  # fmt: skip
    assert hunt_crossley_restitution(loss=small, impact_speed=1) == pytest.approx(
        exact, abs=1e-15
    )


@given(st.floats(0, 0.999))
def test_a_floor_that_cannot_pull_gives_more_back(zeta):
    free = kelvin_voigt_restitution(damping_ratio=zeta)
    held = kelvin_voigt_restitution(damping_ratio=zeta, pulls=True)

    assert held <= free <= 1
    assert free > 0.135


@given(st.floats(0.001, 0.999))
def test_kelvin_voigt_agrees_with_the_form_in_two_arguments(zeta):
    root = np.sqrt(1 - zeta**2)
    angle = np.pi - np.arctan2(2 * zeta * root, 1 - 2 * zeta**2)

    assert kelvin_voigt_restitution(damping_ratio=zeta) == pytest.approx(
        np.exp(-zeta / root * angle), rel=1e-9
    )


@pytest.mark.parametrize(
    "restitution",
    [
        lambda v: hunt_crossley_restitution(loss=0.1, impact_speed=v),
        lambda v: viscoelastic_restitution(
            mass=0.01, stiffness=1e9, dissipation=1e-6, impact_speed=v
        ),
        lambda v: yield_restitution(impact_speed=v, yield_speed=0.01),
    ],
)
def test_faster_impacts_lose_more(restitution):
    assert np.all(np.diff(restitution(np.linspace(0.1, 5, 50))) < 0)


def test_nothing_is_lost_in_the_gentlest_impacts_unless_something_yields():
    assert hunt_crossley_restitution(loss=1.0, impact_speed=0.0) == 1
    assert kelvin_voigt_restitution(damping_ratio=0.0) == 1
    assert (
        viscoelastic_restitution(
            mass=1, stiffness=1e6, dissipation=1e-4, impact_speed=0.0
        )
        == 1
    )


def test_uncertain_damping_passes_through():
    e = kelvin_voigt_restitution(damping_ratio=ufloat(0.01, 0.001))

    assert e.std_dev == pytest.approx(np.pi * 0.001, rel=0.06)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (
            lambda: hunt_crossley_restitution(loss=-1, impact_speed=1),
            "loss: read -1 s/m",
        ),
        (lambda: kelvin_voigt_restitution(damping_ratio=1.0), "allowed from 0 below 1"),
        (
            lambda: viscoelastic_restitution(
                mass=0.01, stiffness=1e9, dissipation=1e-5, impact_speed=1
            ),
            "Follow such an impact in time",
        ),
        (
            lambda: yield_restitution(impact_speed=0.1, yield_speed=0.14),
            "impact speed over yield speed: read 0.714286, allowed from 2",
        ),
        (
            lambda: yield_speed(yield_stress=0, effective_modulus=1, density=1),
            "yield stress: read 0 Pa",
        ),
    ],
)
def test_what_a_law_cannot_say_is_refused_with_words(call, words):
    with pytest.raises(InputError, match=words):
        call()
