"""Where do the formulas come from? Each derived step by step, with words between.

The algebra is done by sympy, loaded when a derivation is asked for. What stands
here are the starting points and the order of the steps; the results are found,
not copied, and the tests compare them with the numeric functions.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from bouncelab.errors import InputError
from bouncelab.physics.steps import Derivation, Step

__all__ = ["derive", "topics"]


def topics() -> tuple[str, ...]:
    """Give the names of the derivations.

    Returns
    -------
    tuple of str
        For `derive`.

    Examples
    --------
    >>> topics()[:2]
    ('collision', 'energy lost')
    """
    return tuple(_TOPICS)


def derive(topic: str) -> Derivation:
    """Derive one of the formulas that the kit computes with.

    Parameters
    ----------
    topic : str
        One of `topics`.

    Returns
    -------
    Derivation
        Its steps, to be shown in a notebook.

    Raises
    ------
    InputError
        If the topic is not known.

    Examples
    --------
    >>> print(derive("restitution").results["e"])
    sqrt(h2)/sqrt(h1)
    """
    if topic not in _TOPICS:
        raise InputError(
            what="topic of a derivation",
            read=repr(topic),
            allowed=", ".join(_TOPICS),
            do="Choose one of these.",
        )
    return _TOPICS[topic]()


def _symbols(positive: bool, **meanings: str) -> tuple[dict[str, Any], dict[str, str]]:
    import sympy

    sign = {"positive": True} if positive else {"real": True}
    return {name: sympy.Symbol(name, **sign) for name in meanings}, meanings


def _upright(ratio: Any, e: Any) -> Any:
    """Write -a/(e - 1) as a/(1 - e)."""
    above, below = ratio.factor().as_numer_denom()
    return (-above).expand() / (1 - e) if (below - e + 1).expand() == 0 else ratio


def _two_bodies() -> tuple[list[Step], dict[str, Any], dict[str, Any], dict[str, str]]:
    import sympy

    masses, said = _symbols(True, m1="first mass in kg", m2="second mass in kg")
    rest, more = _symbols(
        False,
        u1="first velocity before in m/s",
        u2="second velocity before in m/s",
        e="coefficient of restitution",
    )
    s = masses | rest
    v1, v2 = sympy.symbols("v1 v2", real=True)
    momentum = sympy.Eq(
        s["m1"] * s["u1"] + s["m2"] * s["u2"], s["m1"] * v1 + s["m2"] * v2
    )
    parting = sympy.Eq(v2 - v1, s["e"] * (s["u1"] - s["u2"]))
    found = sympy.solve([momentum, parting], [v1, v2], dict=True)[0]
    after = {
        str(v): u + sympy.factor(found[v] - u)
        for v, u in ((v1, s["u1"]), (v2, s["u2"]))
    }
    steps = [
        Step(
            "No push from outside acts during the short blow: momentum is kept.",
            momentum,
        ),
        Step(
            "The speed of parting is e times the speed of meeting: that is what the "
            "coefficient of restitution means.",
            parting,
        ),
        Step(
            "Two equations, two unknowns. The first velocity after:",
            sympy.Eq(v1, after["v1"]),
        ),
        Step("And the second:", sympy.Eq(v2, after["v2"])),
    ]
    return steps, after, s, said | more


def _collision() -> Derivation:
    steps, after, s, said = _two_bodies()
    return Derivation(
        "velocities after a collision on a line", tuple(steps), after, s, said
    )


def _energy_lost() -> Derivation:
    import sympy

    steps, after, s, said = _two_bodies()
    m1, m2, u1, u2 = (s[name] for name in ("m1", "m2", "u1", "u2"))
    v1, v2, lost = sympy.symbols("v1 v2 L", real=True)
    half = sympy.Rational(1, 2)
    before = half * m1 * u1**2 + half * m2 * u2**2
    left = half * m1 * v1**2 + half * m2 * v2**2
    found = before - left.subs({v1: after["v1"], v2: after["v2"]})
    meeting = m1 * m2 / (m1 + m2) / 2 * (u1 - u2) ** 2
    result = meeting * sympy.expand(sympy.simplify(found / meeting))
    steps += [
        Step(
            "The energy that leaves the motion: before less after.",
            sympy.Eq(lost, before - left),
        ),
        Step(
            "Put both velocities in. Only the speed of meeting is left, so every "
            "moving observer sees the same loss.",
            sympy.Eq(lost, result),
        ),
    ]
    return Derivation(
        "energy lost in a collision on a line", tuple(steps), {"L": result}, s, said
    )


def _restitution() -> Derivation:
    import sympy

    s, said = _symbols(True, h1="drop height in m", h2="rebound height in m")
    m, g, v, w, e = sympy.symbols("m g v w e", positive=True)
    down = sympy.Eq(m * g * s["h1"], m * v**2 / 2)
    up = sympy.Eq(m * w**2 / 2, m * g * s["h2"])
    speed, back = sympy.solve(down, v)[0], sympy.solve(up, w)[0]
    result = sympy.simplify(back / speed)
    steps = (
        Step("On the way down, energy of height becomes energy of motion.", down),
        Step("So the ball arrives with", sympy.Eq(v, speed)),
        Step("On the way up it is the other way round.", up),
        Step("So it left the floor with", sympy.Eq(w, back)),
        Step("The definition: rebound speed over impact speed.", sympy.Eq(e, w / v)),
        Step("Mass and gravity cancel.", sympy.Eq(e, result)),
    )
    return Derivation("restitution from two heights", steps, {"e": result}, s, said)


def _total_time() -> Derivation:
    import sympy

    s, said = _symbols(
        True,
        h="drop height in m",
        g="gravity in m/s²",
        e="coefficient of restitution",
    )
    t, flights, total = sympy.symbols("t S T", positive=True)
    fall = sympy.Eq(s["h"], s["g"] * t**2 / 2)
    first = sympy.solve(fall, t)[0]
    again = sympy.Eq(flights, 2 * s["e"] * t + s["e"] * flights)
    sum_of = _upright(sympy.solve(again, flights)[0], s["e"])
    result = first * _upright(sympy.simplify((t + sum_of) / t), s["e"])
    steps = (
        Step("The first fall takes the time t.", fall),
        Step("Hence", sympy.Eq(t, first)),
        Step(
            "The ball leaves e times as fast as it came, so the first flight, up and "
            "down, takes 2et. All later flights are a copy of all flights, e times as "
            "long. Call their sum S:",
            again,
        ),
        Step("Solved for S, if e is below 1:", sympy.Eq(flights, sum_of)),
        Step(
            "The first fall and all flights: without end in number, but not in time.",
            sympy.Eq(total, result),
        ),
    )
    return Derivation("time until a ball rests", steps, {"T": result}, s, said)


def _drag() -> Derivation:
    import sympy

    s, said = _symbols(
        True,
        h1="drop height in m",
        h2="rebound height in m",
        k="drag constant in 1/m",
    )
    k = s["k"]
    g, y, start, e = sympy.symbols("g y w e", positive=True)
    squared = sympy.Function("W")  # the speed, squared
    down = sympy.Eq(squared(y).diff(y), 2 * (g - k * squared(y)))
    up = sympy.Eq(squared(y).diff(y), -2 * (g + k * squared(y)))
    fallen = sympy.dsolve(down, squared(y), ics={squared(0): 0}).rhs
    risen = sympy.dsolve(up, squared(y), ics={squared(0): start}).rhs
    left = sympy.solve(risen.subs(y, s["h2"]), start)[0]
    arrived, left = (
        g / k * sympy.expand(sympy.simplify(each * k / g))
        for each in (fallen.subs(y, s["h1"]), left)
    )
    result = sympy.sqrt(left / arrived)
    steps = (
        Step(
            "Falling a little further adds energy of motion, less what the drag takes. "
            "With W the speed squared and y the way fallen:",
            down,
        ),
        Step("From rest, so at the floor", sympy.Eq(squared(s["h1"]), arrived)),
        Step("Rising, gravity and drag both take away:", up),
        Step(
            "The ball stops at the rebound height, so it left with",
            sympy.Eq(squared(0), left),
        ),
        Step(
            "Restitution squared is the ratio of the two; gravity cancels.",
            sympy.Eq(e, result),
        ),
    )
    return Derivation("restitution corrected for drag", steps, {"e": result}, s, said)


def _adiabatic_work() -> Derivation:
    import sympy

    s, said = _symbols(
        True,
        p0="absolute pressure before in Pa",
        V0="volume before in m³",
        V="volume after in m³",
        n="exponent, 1.4 for fast squeezing of air",
    )
    p0, v0, v, n = s.values()
    p, work, each = sympy.symbols("p A x", positive=True)
    law = sympy.Eq(p * each**n, p0 * v0**n)
    pressure = sympy.solve(law, p)[0]
    # For n = 1 the integral is a logarithm; what follows is for all other n.
    found = -sympy.integrate(pressure, (each, v0, v), conds="none")
    start = p0 * v0 / (n - 1)
    result = start * sympy.powsimp(sympy.expand(sympy.simplify(found / start)))
    steps = (
        Step(
            "Squeezed so fast that no heat gets out, the gas keeps p xⁿ, with x its "
            "volume on the way.",
            law,
        ),
        Step("So the pressure on the way is", sympy.Eq(p, pressure)),
        Step(
            "Work on the gas is pressure times the volume it loses, added up.",
            sympy.Eq(work, -sympy.Integral(pressure, (each, v0, v))),
        ),
        Step("For any n but 1:", sympy.Eq(work, result)),
    )
    return Derivation("work of an adiabatic squeeze", steps, {"A": result}, s, said)


def _sensitivity() -> Derivation:
    import sympy

    s, said = _symbols(
        True,
        H="drop height in m",
        T="rebound read at the top in m",
        C="circumference in m",
        uH="standard uncertainty of the drop height in m",
        uT="standard uncertainty of the reading at the top in m",
        uC="standard uncertainty of the circumference in m",
    )
    height, top, around, *doubts = s.values()
    e, h2, u = sympy.symbols("e h2 u", positive=True)
    rebound = top - around / sympy.pi
    value = sympy.sqrt(rebound / height)
    steps = [
        Step(
            "The top of the ball is one diameter above its lowest point, so the "
            "rebound height is",
            sympy.Eq(h2, rebound),
        ),
        Step("Then", sympy.Eq(e, value)),
    ]
    results, squares = {}, []
    for name, symbol, doubt in zip("HTC", (height, top, around), doubts, strict=True):
        slope = value.diff(symbol)
        # It is easier to remember with e and the rebound height in it.
        share = (slope / value).subs(top, h2 + around / sympy.pi)
        short = sympy.simplify(share) * e
        results[f"de/d{name}"] = slope
        squares.append((short / e * doubt) ** 2)
        words = f"How far e moves for a small error of {name}:"
        steps.append(Step(words, sympy.Eq(sympy.Derivative(e, symbol), short)))
    doubt = e * sympy.sqrt(sum(squares))
    results["u"] = doubt.subs({e: value, h2: rebound})
    steps.append(
        Step(
            "Errors that know nothing of each other add in squares, each by its slope.",
            sympy.Eq(u, doubt),
        )
    )
    return Derivation("uncertainty of restitution", tuple(steps), results, s, said)


_TOPICS: dict[str, Callable[[], Derivation]] = {
    "collision": _collision,
    "energy lost": _energy_lost,
    "restitution": _restitution,
    "total time": _total_time,
    "restitution with drag": _drag,
    "adiabatic work": _adiabatic_work,
    "uncertainty": _sensitivity,
}
