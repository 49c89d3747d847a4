"""A small source, and one of any cells, for tests."""

import json

CODE = """
from bouncelab.physics.energy import motion_energy
from bouncelab.physics.restitution import restitution_from_heights
from bouncelab.worksheets.sheet import reading, start_sheet

sheet = start_sheet()
"""
GIVENS = """
g = sheet.draw(
    h1=reading(1.20, 2.00, step=0.05, unit="m"),
    h2=reading(40, 160, step=1, unit="cm"),
    m=reading(0.40, 0.65, step=0.01, unit="kg"),
    v=reading(4.0, 6.0, step=0.1, unit="m/s"),
    such_that={"the rebound stays well below the drop": lambda g: g.h2 < 0.8 * g.h1},
)
"""
ANSWERS = """
e = sheet.answer(
    "e",
    restitution_from_heights(drop_height=g.h1, rebound_height=g.h2),
    figures=2, marks=2, symbol="$e$",
    wrong={"square root forgotten": g.h2 / g.h1},
)
after = sheet.answer("after", e * g.v, unit="m/s", tolerance="3 %", marks=2,
    figures=2, wrong={"speeds divided": g.v / e})
sheet.answer("left", motion_energy(mass=g.m, speed=after), unit="J", figures=2)
sheet.choice("elastic", "partly inelastic",
    among=["elastic", "partly inelastic", "perfectly inelastic"])
sheet.words("why", ["speeds are compared", "energy goes with the square"])
sheet.drawing("graph", ["axes with units", "a falling curve"], space="5cm")
"""
MARKDOWN = """# How much speed comes back?

## 1. The number

A ball falls {{h1}} and rises {{h2}}.

{{answer e}}

## 2. The speed

It arrives with {{v}}; its mass is {{m}}.

{{answer after}}

{{answer left}}

## 3. In words

{{answer elastic}}

{{answer why}}

{{answer graph}}
"""
WORKING = r"""### Working

$$e = \sqrt{\frac{{{h2}}}{{{h1}}}} = {{e}}$$
"""


def source_bytes(*cells):
    """Give a notebook of (kind, text) cells; the example of a source without any."""
    cells = cells or (
        ("markdown", MARKDOWN),
        ("code", CODE),
        ("code", GIVENS),
        ("code", ANSWERS),
        ("markdown", "### Hint\n\nWhich of the two is larger?"),
        ("markdown", WORKING),
        ("markdown", "### For the teacher\n\nThe air is left out."),
    )
    made = [
        {"cell_type": kind, "id": f"c{k}", "metadata": {}, "source": text}
        | ({"outputs": [], "execution_count": None} if kind == "code" else {})
        for k, (kind, text) in enumerate(cells)
    ]
    book = {"cells": made, "metadata": {}, "nbformat": 4, "nbformat_minor": 5}
    return json.dumps(book).encode()
