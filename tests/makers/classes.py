"""Invented classes that drop balls: clean tables of many kinds, and slips to plant.

A rebound follows PHYSICS-book formulas: the share of the energy that comes back
is e² = a − b/(p + c), air drag takes its part on the way down and up, then each
group adds its tape's offset and its reading scatter, and rounds.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

__all__ = ["KINDS", "STYLES", "Kind", "Made", "Style", "make_class", "rebound_height"]

INCH = 0.0254  # m


@dataclass(frozen=True)
class Kind:
    """A kind of ball: e² = a − b/(p + c) with p in kPa, drag constant k in 1/m."""

    name: str
    diameter: float
    drag: float
    a: float
    b: float = 0.0
    c: float = 15.0
    pressure: float = np.nan  # kPa gauge


KINDS = {
    kind.name: kind
    for kind in (
        Kind("Basketball size 7", 0.242, 0.022, 0.80, 12.9, pressure=55),
        Kind("Basketball size 6", 0.231, 0.023, 0.80, 12.5, pressure=55),
        Kind("Football size 5", 0.2196, 0.0244, 0.78, 11.4, pressure=80),
        Kind("Futsal ball", 0.2005, 0.021, 0.42, 7.0, pressure=75),
        Kind("Volleyball", 0.21, 0.036, 0.80, 8.0, pressure=31),
        Kind("Handball", 0.188, 0.018, 0.70, 9.0, pressure=45),
        Kind("Tennis ball", 0.0667, 0.020, 0.56),
        Kind("Table tennis ball", 0.040, 0.129, 0.81),
    )
}


def rebound_height(kind: Kind, drop: float, pressure: float, de: float = 0.0) -> float:
    """Give the rebound of the bottom of a ball, with air drag, in m."""
    e2 = kind.a - (kind.b / (pressure + kind.c) if kind.b else 0.0)
    e2 = max(np.sqrt(max(e2, 0.02)) + de, 0.0) ** 2
    return float(np.log1p(e2 * -np.expm1(-2 * kind.drag * drop)) / (2 * kind.drag))


@dataclass(frozen=True)
class Style:
    """How a class works: who drops what, how often, and how it reads."""

    groups: int = 8
    kinds: tuple[str, ...] = tuple(KINDS)
    trials: int = 5
    drops: tuple[float, ...] = (1.80,)  # m
    pressures: tuple[float, ...] = ()  # kPa; empty for each kind's own
    step: float = 0.01  # m, what a rebound is rounded to
    unit: str = "cm"
    scatter: float = 0.008  # m, of one reading by eye
    bounce: float = 0.006  # of e from drop to drop
    offset: float = 0.005  # m, of a group's tape
    differ: float = 0.006  # of e between the groups' balls
    top: bool = False  # rebound read at the top of the ball
    dead: float = 0.0  # share of groups whose ball is dead
    named: bool = True  # the ball and the group are written down
    drop_scatter: float = 0.0  # m, drop heights measured one by one


STYLES = {
    "to the centimetre": Style(),
    "half inches": Style(step=INCH / 2, unit="in", drops=(72 * INCH,)),
    "many pressures": Style(
        kinds=("Basketball size 7", "Football size 5"),
        pressures=(10, 20, 30, 45, 60, 70),
        trials=3,
        groups=4,
    ),
    "tops, each group its own ball": Style(top=True, differ=0.025),
    "dead balls among them": Style(dead=0.25, kinds=("Football size 5", "Futsal ball")),
    "one trial": Style(trials=1),
    "two trials": Style(trials=2, differ=0.02),
    "three trials": Style(trials=3, scatter=0.012),
    "twenty trials": Style(groups=1, trials=20, kinds=("Tennis ball", "Handball")),
    "five heights": Style(drops=(0.3, 0.6, 1.0, 1.5, 2.0), trials=3, groups=4),
    "coarse and careless": Style(step=0.05, scatter=0.03, bounce=0.012),
    "millimetres from film": Style(
        step=0.001,
        scatter=0.001,
        bounce=0.004,
        drops=(0.305,),
        offset=0.001,
        kinds=("Table tennis ball",),
        trials=10,
        groups=3,
    ),
    "bare numbers": Style(
        named=False, groups=1, kinds=("Basketball size 7",), drop_scatter=0.01
    ),
}


@dataclass
class Made:
    """A made class: headings and rows of text, with what each row truly is."""

    headings: list[str]
    rows: list[list[str]] = field(default_factory=list)

    def at(self, heading: str) -> int:
        """Give the place of the heading that starts with a word."""
        return next(
            i for i, each in enumerate(self.headings) if each.startswith(heading)
        )


def _text(value: float, step: float, unit: str) -> str:
    per = {"cm": 0.01, "in": INCH}[unit]
    number = round(value / step) * step / per
    return f"{number:.4f}".rstrip("0").rstrip(".")


def make_class(style: Style, rng: np.random.Generator) -> Made:
    """Make the table of one clean class."""
    made = Made(
        [
            "group",
            "ball",
            "trial",
            f"drop height ({style.unit})",
            f"rebound height ({style.unit})",
            "rebound point",
            "circumference (cm)",
            "pressure (kPa)",
            "temperature (°C)",
        ]
    )
    careful = np.exp(rng.normal(0, 0.25, style.groups))
    for group in range(style.groups):
        tape = rng.normal(0, style.offset)
        warmth = 19 + round(2 * rng.random(), 1)
        for name in style.kinds:
            kind = KINDS[name]
            own = rng.normal(0, style.differ)
            if rng.random() < style.dead:
                own -= rng.uniform(0.15, 0.45)
            for pressure in style.pressures or (kind.pressure,):
                for height in style.drops:
                    for trial in range(style.trials):
                        drop = height + rng.normal(0, style.drop_scatter or 1e-9)
                        de = own + rng.normal(0, style.bounce)
                        rebound = rebound_height(kind, drop, pressure, de) + tape
                        rebound += rng.normal(0, style.scatter * careful[group])
                        rebound = max(rebound, 0) + style.top * kind.diameter
                        words = (
                            [f"Group {group + 1}", name] if style.named else ["", ""]
                        )
                        made.rows.append(
                            [
                                *words,
                                str(trial + 1),
                                _text(
                                    drop,
                                    style.step if style.drop_scatter else 1e-4,
                                    style.unit,
                                ),
                                _text(rebound, style.step, style.unit),
                                "top" if style.top else "bottom",
                                f"{kind.diameter * np.pi * 100:.1f}",
                                "" if np.isnan(pressure) else f"{pressure:g}",
                                f"{warmth:g}",
                            ]
                        )
    return made
