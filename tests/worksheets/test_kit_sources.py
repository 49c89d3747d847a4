"""The kit's worksheets: whole, possible, and worked out twice in different ways."""

import json
import re
from collections import Counter
from itertools import combinations
from statistics import mean

import pytest
import sympy as sp

from bouncelab.places import kit_folder
from bouncelab.worksheets.codes import new_code
from bouncelab.worksheets.filling import asides, body, check_text
from bouncelab.worksheets.running import solve, solve_code
from bouncelab.worksheets.source import read_source

SOURCES = sorted((kit_folder("notebooks") / "worksheets").glob("*.ipynb"))
NAMES = [path.stem for path in SOURCES]
G = sp.Rational("9.81")
AIR = 101_000
ZERO = sp.Rational("273.15")


def exact(value):
    """Give a given as the fraction that the sheet shows."""
    return sp.Rational(str(round(value, 12))) if isinstance(value, float) else value


def reading_a_tape(g):
    return {
        "bottom_read": g["bottom"],
        "top_read": g["bottom"] + g["across"],
        "across_read": g["across"],
        "metres": g["rebound"],
        "centimetres": g["inches"],
        "share_found": g["share"],
        "meant": f"{g['slip']} m",
    }


def again_and_again(g):
    n = sp.Symbol("n")
    height = g["drop"] * g["share"] ** n
    return {
        "first": height.subs(n, 1),
        "second": height.subs(n, 2),
        "third": height.subs(n, 3),
        "left": height.subs(n, 2) / g["drop"],
        "share_read": g["kept"],
    }


def design_your_own_test(g):
    good = [g["usual"] + g[name] for name in ("first", "second", "third", "fourth")]
    return {
        "odd": sp.Rational(g["usual"] + g["slip"], 100),
        "mean": sp.Rational(sum(good), 400),
        "spread": sp.Rational(max(good) - min(good), 100),
        "fair": "only the floor",
    }


def e_from_heights(g):
    e = sp.Symbol("e", positive=True)

    def of(drop, rebound):  # speeds from energy, their ratio solved for
        down, up = sp.sqrt(2 * G * drop), sp.sqrt(2 * G * rebound)
        return sp.solve(sp.Eq(e * down, up), e)[0]

    across = g["around"] / sp.pi
    return {
        "e": of(g["drop"], g["rebound"]),
        "across": across,
        "lowest": g["top"] - across,
        "e_two": of(g["drop_two"], g["top"] - across),
        "read": 2 * g["steepness"],
        "e_three": of(sp.Integer(1), g["steepness"]),
    }


def where_the_energy_goes(g):
    v, t = sp.symbols("v t", positive=True)
    fall = sp.solve(sp.Eq(G * t**2 / 2, g["drop"]), t)[0]
    rise = sp.solve(sp.Eq(v**2 / (2 * G), g["rebound"]), v)[0]
    start = g["mass"] * (G * fall) ** 2 / 2  # of motion, just before the floor
    left = g["mass"] * rise**2 / 2
    bounce = next(n for n in range(9) if 100 * g["kept"] ** n < g["limit"])
    return {
        "start": start,
        "lost": start - left,
        "left": left / start,
        "arrives": G * fall,
        "leaves": rise,
        "warmer": (start - left) / (2000 * g["mass"]),
        "bounce": bounce,
    }


def train_of_bounces(g):
    shown = [g["start"], g["start"] + g["flight"]]
    shown.append(exact(round(float(shown[1] + g["flight"] * g["hidden"]) + 1e-9, 2)))
    e = (shown[2] - shown[1]) / (shown[1] - shown[0])
    n = sp.Symbol("n", integer=True, nonnegative=True)
    one = g["drop"] * e**2
    flights = sp.summation(2 * sp.sqrt(2 * one / G) * e**n, (n, 0, sp.oo))
    return {
        "e": e,
        "one": one,
        "three": g["drop"] * e**6,
        "airborne": 2 * sp.sqrt(2 * one / G),
        "rest": sp.sqrt(2 * g["drop"] / G) + flights,
    }


def collisions_on_a_line(g):
    v, w = sp.symbols("v w", real=True)
    light, heavy, u = g["light"], g["heavy"], g["fast"]
    momentum = sp.Eq(light * u, light * v + heavy * w)
    energy = sp.Eq(light * u**2, light * v**2 + heavy * w**2)
    (after,) = [s for s in sp.solve([momentum, energy], [v, w]) if s[1] != 0]
    both = g["thrown"] + g["catcher"]
    stuck = sp.solve(sp.Eq(g["thrown"] * g["speed"], both * v), v)[0]
    before = g["thrown"] * g["speed"] ** 2
    return {
        "striker": after[0],
        "target": after[1],
        "together": stuck,
        "share_lost": 1 - both * stuck**2 / before,
        "e": g["kept"],
    }


def cold_ball(g):
    p = sp.Symbol("p", positive=True)
    warm, cold = g["warm"] + ZERO, g["cold"] + ZERO
    inside = g["gauge"] + AIR
    found = sp.solve(sp.Eq(inside / warm, p / cold), p)[0]
    return {
        "inside": inside,
        "kelvins": g["warm"],
        "inside_cold": found,
        "gauge_cold": found - AIR,
        "read": (g["low"] + g["rise"] * g["asked"]) / sp.Integer(100),
        "each": g["rise"] / sp.Integer(100),
    }


def pressure_for_a_range(g):
    x, low, high = sp.Symbol("x"), g["low"], g["low"] + g["width"]
    ends = [(low, sp.Rational("0.50")), (high, sp.Rational("0.65"))]
    line = sp.interpolate(ends, x)
    psi = (
        sp.Rational("0.45359237") * sp.Rational("9.80665") / sp.Rational("0.0254") ** 2
    )
    shown = exact(g["shown"] / float(psi)) * psi  # as many psi as the gauge shows
    words = "it meets it" if low <= shown <= high else "it comes too high"
    return {
        "lowest": low,
        "highest": high,
        "middle": (low + high) / 2,
        "each": 1000 * sp.diff(line, x),
        "before": line.subs(x, g["now"]),
        "kilopascals": shown,
        "meets": words if shown >= low else "it does not come high enough",
    }


def squeezed_air(g):
    V = sp.Symbol("V", positive=True)
    p0, v0, v1 = g["gauge"] + AIR, g["volume"], g["smaller"]
    n = sp.Rational("1.4")
    slow = p0 * v0 / v1
    fast = (p0 * v0**n / V**n).subs(V, v1)
    work = sp.integrate(p0 * v0**n / V**n, (V, v1, v0))
    # First law: the work is stored by 5/2 of pV/T for each kelvin.
    kelvin = g["warm"] + ZERO
    warmer = kelvin + work / (sp.Rational(5, 2) * p0 * v0 / kelvin)
    return {
        "slowly": slow,
        "gauge_slowly": slow - AIR,
        "fast": fast,
        "warmer": warmer - ZERO,
        "which": g["steep"],
        "times": sp.Rational(str(g["ratio"])) ** n,
    }


def meets_or_cannot_be_told(g):
    offsets = [g[name] for name in ("first", "second", "third", "fourth", "fifth")]
    read = [sp.Rational(g["middle"] + each, 100) for each in offsets]
    middle = sum(read) / 5
    deviation = sp.sqrt(sum((each - middle) ** 2 for each in read) / 4)
    x, a = sp.symbols("x a", positive=True)
    flat = sp.sqrt(sp.integrate(x**2 / (2 * a), (x, -a, a))).subs(a, g["tape"])
    wide = 2 * sp.sqrt(deviation**2 / 5 + flat**2)
    h1, h2 = sp.symbols("h1 h2", positive=True)
    e = sp.sqrt(h2 / h1)
    at = {h1: 2, h2: middle}
    u_e = sp.sqrt(
        (sp.diff(e, h1).subs(at) / 200) ** 2 + (sp.diff(e, h2).subs(at) * wide / 2) ** 2
    )
    low, high = middle - wide, middle + wide
    inside = low >= sp.Rational(1, 2) and high <= sp.Rational("0.65")
    outside = high < sp.Rational(1, 2) or low > sp.Rational("0.65")
    return {
        "mean": middle,
        "deviation": deviation,
        "scatter": deviation / sp.sqrt(5),
        "from_tape": flat,
        "expanded": wide,
        "verdict": "meets"
        if inside
        else "does not meet"
        if outside
        else "cannot be told",
        "e": e.subs(at),
        "u_e": u_e,
    }


AGAIN = {
    "age_11_reading_a_tape": reading_a_tape,
    "age_11_again_and_again": again_and_again,
    "age_11_design_your_own_test": design_your_own_test,
    "age_14_e_from_heights": e_from_heights,
    "age_14_where_the_energy_goes": where_the_energy_goes,
    "age_14_train_of_bounces": train_of_bounces,
    "age_14_collisions_on_a_line": collisions_on_a_line,
    "age_14_cold_ball": cold_ball,
    "age_14_pressure_for_a_range": pressure_for_a_range,
    "age_16_squeezed_air": squeezed_air,
    "age_16_meets_or_cannot_be_told": meets_or_cannot_be_told,
}


def variants(name, count):
    source = read_source(name)
    codes = [new_code("kit", str(k), 0, source.ranges) for k in range(count)]
    return source, [solve_code(source, code) for code in codes]


def test_there_are_ten_sources_and_more_in_three_levels():
    assert len(NAMES) >= 10
    assert {name[:6] for name in NAMES} == {"age_11", "age_14", "age_16"}
    assert set(NAMES) == set(AGAIN)


@pytest.mark.parametrize("name", NAMES)
def test_each_answer_is_found_again_by_symbols(name):
    _, found = variants(name, 8)
    for variant in found:
        expected = AGAIN[name]({k: exact(v) for k, v in variant.drawn.items()})
        asked = {
            question: each.value
            for question, each in variant.answers.items()
            if each.kind in ("number", "choice")
        }
        assert set(asked) == set(expected)
        for question, value in asked.items():
            if isinstance(value, str):
                assert value == expected[question], (question, variant.drawn)
            else:
                again = float(expected[question])
                assert value == pytest.approx(again, rel=1e-9, abs=1e-12), question


@pytest.mark.parametrize("name", NAMES)
def test_every_sheet_is_possible_and_its_answers_can_be_told_apart(name):
    source, found = variants(name, 150)
    for variant in found:
        check_text(source, variant)
        for question, each in variant.answers.items():
            if each.kind != "number":
                continue
            middle = each.in_unit(each.value)
            shown = float(each.shown.text.replace("−", "-"))
            assert abs(shown - middle) <= each.tolerance, question
            if question.split("_")[0] == "e":
                assert 0 < each.value < 1
            if question in ("inside", "inside_cold", "slowly", "fast"):
                assert each.value > 0
    told = [
        len(each.wrong) > 0
        for variant in found
        for each in variant.answers.values()
        if each.kind == "number"
    ]
    assert mean(told) > 0.6


@pytest.mark.parametrize("name", NAMES)
def test_wrong_ideas_of_a_question_mostly_lead_to_different_numbers(name):
    _, found = variants(name, 100)
    alike = Counter(
        (question, *sorted(pair))
        for variant in found
        for question, each in variant.answers.items()
        if each.kind == "number"
        for pair in combinations(each.wrong, 2)
        if abs(each.wrong[pair[0]] - each.wrong[pair[1]]) <= each.tolerance_si
    )

    assert {pair: n for pair, n in alike.items() if n > 15} == {}


@pytest.mark.parametrize("name", NAMES)
def test_each_has_words_a_graph_and_worked_steps(name):
    source, (variant,) = variants(name, 1)
    kinds = [each.kind for each in variant.answers.values()]
    blocks = list(body(source, variant))
    steps = " ".join(text for _, text in asides(source, variant, "working"))

    assert "words" in kinds
    assert any(each.kind == "picture" for each in blocks) or "drawing" in kinds
    assert steps
    assert not re.search(r"\{\{\s*\w+\s*\}\}", steps)


@pytest.mark.parametrize("name", NAMES)
def test_a_students_own_answers_can_be_carried_on(name):
    source, (variant,) = variants(name, 1)
    numbers = {
        question: each.value * 1.03
        for question, each in variant.answers.items()
        if each.kind == "number"
    }
    own = solve(source, json.loads(json.dumps(dict(variant.drawn))), earlier=numbers)

    assert set(own.answers) == set(variant.answers)
    first = next(iter(numbers))
    assert own.answers[first].value == variant.answers[first].value


@pytest.mark.parametrize("name", NAMES)
def test_a_source_is_found_without_its_age(name):
    short = name.split("_", 2)[-1]
    assert read_source(short) is read_source(f"{short}.ipynb") is read_source(name)
