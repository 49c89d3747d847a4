"""Whatever comes in: a finite answer, or a refusal in words. Never a warning."""

import inspect
import random
from functools import partial

import numpy as np
import pytest
from uncertainties import ufloat

from bouncelab import monte_carlo, uncertainty
from bouncelab.errors import InputError
from bouncelab.physics import (
    bounces,
    certainty,
    fall,
    flight,
    rebounds,
    restitution,
    surroundings,
    timing,
)

ROOMS = (bounces, certainty, fall, flight, rebounds, restitution, surroundings, timing)
TRIALS = 150
SIZES = [0.0, 5e-324, 1e-160, 1e-9, 0.5, 1, 1.0, 3.0, 1e9, 1e160, 1e308, 10**400]
OTHERS = [-1.0, float("nan"), float("inf"), "x", None, True, [], [1.0, 2.0], [3.0] * 3]
OTHERS += [np.array([[0.5], [1.0]]), ufloat(1.0, 0.1)]
# A mapping of samplers, and a yes or no, are not numbers to try.
APART = {"simulate_restitution"}
FLAGS = {"steady"}


def functions():
    for room in ROOMS:
        for name in room.__all__:
            each = getattr(room, name)
            if inspect.isfunction(each) and name not in APART:
                yield pytest.param(each, id=f"{room.__name__.split('.')[-1]}.{name}")


def arguments(function, dice):
    first, rest = [], {}
    for name, each in inspect.signature(function).parameters.items():
        needed = each.default is each.empty
        if name in FLAGS or not (needed or dice.random() < 0.5):
            continue
        value = dice.choice(SIZES if dice.random() < 0.7 else OTHERS)
        if each.kind is each.KEYWORD_ONLY:
            rest[name] = value
        else:
            first.append(value)
    return first, rest


def outcome(call):
    try:
        return call(), None
    except InputError as refusal:
        return None, refusal


def is_finite(result):
    if isinstance(result, tuple):
        return all(map(is_finite, result))
    if isinstance(result, (float, np.ndarray)) and np.asarray(result).dtype != object:
        return bool(np.all(np.isfinite(result)))
    return True


@pytest.mark.parametrize("function", list(functions()))
def test_strange_numbers_get_an_answer_or_a_refusal(function):
    dice = random.Random(f"{function.__name__}")
    for _ in range(TRIALS):
        first, rest = arguments(function, dice)
        result, refusal = outcome(partial(function, *first, **rest))
        assert is_finite(result), (first, rest)
        assert refusal is None or (refusal.what and refusal.do.endswith("."))


@pytest.mark.parametrize(
    "call",
    [
        lambda x: (
            uncertainty.expanded(type_a=x(), dof_a=x(), type_b=x(), dof_b=x()).expanded
        ),
        lambda x: (
            uncertainty.expanded(type_a=1.0, dof_a=3, type_b=1.0, coverage=x()).expanded
        ),
        lambda x: (
            uncertainty.propagate(
                lambda a, b: a * b, [x(), x()], [[x(), 0], [0, x()]]
            ).covariance
        ),
        lambda x: monte_carlo.normal(x(), x())(np.random.default_rng(1), 5),
        lambda x: monte_carlo.rectangular(x(), x())(np.random.default_rng(1), 5),
        lambda x: monte_carlo.student(x(), x(), x())(np.random.default_rng(1), 5),
        lambda x: (
            monte_carlo.monte_carlo(
                lambda a, b: a * b, {"a": x(), "b": x()}, draws=100, coverage=x()
            ).estimate
        ),
    ],
    ids=[
        "expanded",
        "coverage",
        "propagate",
        "normal",
        "rectangular",
        "student",
        "draw",
    ],
)
def test_strange_uncertainties_get_an_answer_or_a_refusal(call):
    dice = random.Random(7)
    values = [*SIZES, *OTHERS[:-1]]
    for _ in range(3 * TRIALS):
        result, refusal = outcome(lambda: call(lambda: dice.choice(values)))
        assert is_finite(result)
        assert refusal is None or refusal.do.endswith(".")
