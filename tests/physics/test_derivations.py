import subprocess
import sys

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bouncelab.errors import InputError
from bouncelab.physics.bounces import total_time
from bouncelab.physics.certainty import sensitivities
from bouncelab.physics.collisions import collide
from bouncelab.physics.derivations import derive, topics
from bouncelab.physics.restitution import (
    restitution_from_heights,
    restitution_with_drag,
)
from strategies import drop_heights, restitutions

masses = st.floats(0.01, 10)
velocities = st.floats(-20, 20)
DERIVED = {topic: derive(topic) for topic in topics()}
few = settings(max_examples=30, deadline=None)  # sympy warms up in the first


@few
@given(masses, masses, velocities, velocities, st.floats(0, 1))
def test_collisions_agree_with_the_numeric_code(m1, m2, u1, u2, e):
    numbers = {"m1": m1, "m2": m2, "u1": u1, "u2": u2, "e": e}
    after = collide(masses=(m1, m2), velocities=(u1, u2), restitution=e)
    lost = DERIVED["energy lost"].evaluate(**numbers)["L"]

    assert list(DERIVED["collision"].evaluate(**numbers).values()) == pytest.approx(
        after.velocities_after, abs=1e-11
    )
    assert lost == pytest.approx(after.ledger.energy_lost, rel=1e-9, abs=1e-9)


@few
@given(drop_heights, st.floats(0.01, 1), st.floats(1e-3, 0.5))
def test_restitution_agrees_with_the_numeric_code(drop, share, k):
    heights = {"drop_height": drop, "rebound_height": share * drop}
    numbers = {"h1": drop, "h2": share * drop}

    assert DERIVED["restitution"].evaluate(**numbers)["e"] == pytest.approx(
        restitution_from_heights(**heights), rel=1e-13
    )
    # The form that a person reads loses digits for little drag, the code does not.
    found = DERIVED["restitution with drag"].evaluate(**numbers, k=k)["e"]
    assert found == pytest.approx(
        restitution_with_drag(**heights, drag_constant=k), rel=1e-9
    )


@few
@given(drop_heights, restitutions.filter(lambda e: e < 0.99), st.floats(1, 20))
def test_the_total_time_agrees_with_the_numeric_code(drop, e, g):
    assert DERIVED["total time"].evaluate(h=drop, e=e, g=g)["T"] == pytest.approx(
        total_time(drop_height=drop, restitution=e, gravity=g), rel=1e-12
    )


@few
@given(st.floats(1e5, 3e5), st.floats(1e-3, 1e-2), st.floats(0.5, 1.5))
def test_the_work_of_a_squeeze_is_the_area_under_the_curve(p0, v0, share):
    from scipy.integrate import quad

    found = DERIVED["adiabatic work"].evaluate(p0=p0, V0=v0, V=share * v0, n=1.4)["A"]
    area, _ = quad(lambda v: p0 * (v0 / v) ** 1.4, share * v0, v0, epsrel=1e-12)

    assert found == pytest.approx(area, rel=1e-9, abs=1e-9)


@few
@given(drop_heights, st.floats(0.1, 0.9), st.floats(0.1, 0.8))
def test_sensitivities_agree_with_the_numeric_code(drop, share, around):
    s = sensitivities(drop_height=drop, rebound_height=share * drop)
    doubts = {"uH": 0.002, "uT": 0.01, "uC": 0.003}
    found = DERIVED["uncertainty"].evaluate(
        H=drop, T=share * drop + around / np.pi, C=around, **doubts
    )
    parts = np.array([s.drop * 0.002, s.rebound * 0.01, s.circumference * 0.003])

    assert [found["de/dH"], found["de/dT"], found["de/dC"]] == pytest.approx(
        [s.drop, s.rebound, s.circumference], rel=1e-11
    )
    assert found["u"] == pytest.approx(np.sqrt(parts @ parts), rel=1e-11)


@pytest.mark.parametrize("topic", topics())
def test_every_step_has_words_and_an_equation_that_follows(topic):
    derivation = DERIVED[topic]

    assert len(derivation.steps) >= 4
    for step in derivation.steps:
        assert step.words[0].isupper()
        assert step.equation.lhs != step.equation.rhs
        assert "$$" in step._repr_markdown_()
    shown = derivation._repr_markdown_()
    assert shown.index(derivation.title) < shown.index(derivation.steps[0].words)
    assert len(derivation.to_dict()["steps"]) == len(derivation.steps)
    # What stands last is what is worked with.
    last = derivation.steps[-1].equation
    free = {str(each) for each in last.rhs.free_symbols}
    assert free <= {*derivation.symbols, "e", "h2"}


def test_the_last_equations_put_into_the_first_are_true():
    import sympy

    steps = DERIVED["collision"].steps
    after = {each.equation.lhs: each.equation.rhs for each in steps[2:]}

    for given_ in steps[:2]:
        difference = given_.equation.lhs - given_.equation.rhs
        assert sympy.simplify(difference.subs(after)) == 0


def test_a_students_numbers_come_last():
    found = derive("restitution").with_numbers(h1=1.8, h2=1.08)

    assert found.steps[:-1] == derive("restitution").steps
    assert found.steps[-1].words == "With drop height 1.8 m and rebound height 1.08 m:"
    assert float(found.steps[-1].equation.rhs) == pytest.approx(0.7746, abs=5e-5)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: derive("luck"), "topic of a derivation: read 'luck', allowed coll"),
        (
            lambda: derive("restitution").evaluate(h1=1.0),
            r"read h1, allowed h1 \(drop height in m\), h2",
        ),
        (
            lambda: derive("restitution").evaluate(h1=1.0, h2=float("nan")),
            "rebound height in m: read nan",
        ),
        (
            lambda: derive("restitution").evaluate(h1=0.0, h2=1.0),
            "read h1 = 0, h2 = 1, allowed numbers for which the formula has a value",
        ),
        (
            lambda: derive("total time").evaluate(h=1.0, g=9.8, e=1.0),
            "nothing is divided by zero",
        ),
    ],
)
def test_what_cannot_be_derived_is_refused(call, words):
    with pytest.raises(InputError, match=words):
        call()


def test_sympy_is_loaded_only_when_asked_for():
    code = (
        "import sys, bouncelab.physics.derivations as d; d.topics();"
        "assert 'sympy' not in sys.modules and 'scipy' not in sys.modules;"
        "d.derive('restitution'); assert 'sympy' in sys.modules"
    )
    subprocess.run([sys.executable, "-c", code], check=True)
