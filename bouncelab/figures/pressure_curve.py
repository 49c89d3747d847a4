"""Bounce against pressure, and how far a ball is from the pressure it needs."""

from __future__ import annotations

import numpy as np
from matplotlib.figure import Figure

from bouncelab.analysis.air_to_add import air_to_add, over_the_mark
from bouncelab.analysis.pressure import Tuning
from bouncelab.analysis.tuning_words import whole
from bouncelab.figures.picture import COLOURS, Picture
from bouncelab.figures.scene import Reading, Scene, Shape, label, line, rectangle
from bouncelab.units import in_unit, show_pressure

__all__ = ["draw_pressure_curve", "pump_scene"]

_LEFT, _WIDTH, _TOP = 40.0, 560.0, 70.0  # of the gauge's scale, drawing units
_ROOM = 75.0  # for the words beside the bar
_COVER = 2.0  # standard uncertainties drawn about the curve, roughly 95 %
_USUAL_MAXIMUM = 70e3  # Pa, end of the scale where no maximum is known
_STROKES = (
    "Strokes are of a full pump without dead space; a real one needs some more. Count "
    "strokes to know when to look at the gauge, not in its place."
)


def draw_pressure_curve(tuning: Tuning) -> Picture:
    """Draw the share of the height that comes back against gauge pressure.

    Parameters
    ----------
    tuning : Tuning
        What was found for one ball and one range.

    Returns
    -------
    Picture
        Means with their scatter, the curve with its 95 % band inside the measured
        pressures, the second opinion, the range and the safe pressures.

    Examples
    --------
    >>> from bouncelab.figures.pressure_curve import draw_pressure_curve
    >>> callable(draw_pressure_curve)
    True
    """
    figure = Figure(figsize=(7.0, 3.4), layout="constrained")
    axes = figure.subplots()
    axes.set_xlabel("gauge pressure (kPa)")
    axes.set_ylabel("rebound height ÷ drop height")
    levels = tuning.levels
    if levels is None:
        axes.text(0.5, 0.5, tuning.advice, ha="center", va="center", wrap=True)
        axes.set_xticks([])
        axes.set_yticks([])
        return Picture(figure, f"{tuning.ball}: {tuning.advice}")
    kpa = in_unit(levels.pressure, "pressure", "kPa")
    half = _COVER * levels.spread / np.sqrt(levels.n)
    axes.errorbar(
        kpa,
        levels.ratio,
        yerr=half,
        fmt="o",
        color=COLOURS[0],
        capsize=4,
        label="mean of the drops",
    )
    low, high = tuning.window
    bottom, top = axes.get_ylim()
    axes.axhspan(
        max(low, bottom - 0.02),
        min(high, top + 0.02),
        color="0.88",
        zorder=0,
        label="range allowed",
    )
    if tuning.curve is not None:
        grid = np.linspace(levels.pressure[0], levels.pressure[-1], 200)
        shown, doubt = tuning.curve.at(grid), tuning.curve.uncertainty(grid)
        x = in_unit(grid, "pressure", "kPa")
        axes.plot(x, shown, color=COLOURS[0], label="curve e² = a − b/(p + c)")
        axes.fill_between(
            x,
            shown - _COVER * doubt,
            shown + _COVER * doubt,
            color=COLOURS[0],
            alpha=0.2,
        )
    if tuning.second is not None:
        axes.plot(
            x,
            tuning.second.at(grid) ** 2,
            color=COLOURS[1],
            linestyle="--",
            label="second opinion",
        )
    if tuning.best is not None:
        axes.axvline(
            in_unit(tuning.best, "pressure", "kPa"),
            color=COLOURS[2],
            linestyle=":",
            linewidth=2.5,
            label="middle of the range",
        )
    axes.legend(fontsize="small", loc="lower right")
    return Picture(figure, _words(tuning))


def _words(tuning: Tuning) -> str:
    levels = tuning.levels
    assert levels is not None
    points = ", ".join(
        f"{ratio:.3f} at {show_pressure(p)}"
        for p, ratio in zip(levels.pressure, levels.ratio, strict=True)
    )
    return f"{tuning.ball}, share of the height that comes back: {points}. " + (
        tuning.advice
    )


def pump_scene(
    tuning: Tuning, *, now: float, stroke: float, maximum: float | None
) -> Scene:
    """Show the gauge, the pressure wanted, and how much air is between them.

    Parameters
    ----------
    tuning : Tuning
        What was found for the ball.
    now : float
        Gauge pressure that the ball has, in Pa.
    stroke : float
        What one stroke of the pump moves, in m³.
    maximum : float or None
        The marked maximum in Pa; no advice ever goes beyond it.

    Returns
    -------
    Scene
        A still.
    """
    end = 1.15 * max(maximum or _USUAL_MAXIMUM, now)

    def at(pressure: float) -> float:
        return _LEFT + _WIDTH * pressure / end

    shapes: list[Shape] = []
    if tuning.safe_low is not None and tuning.safe_high is not None:
        x = at(tuning.safe_low)
        width = at(tuning.safe_high) - x
        shapes.append(rectangle("bl-air", x=x, y=_TOP - 22, width=width, height=22))
        # Beside the bar, where no mark of a pressure crosses it.
        left = x > _LEFT + _ROOM and not x - _ROOM < at(now) < x
        beside, anchor = (x - 4, "end") if left else (x + width + 4, "start")
        text = "stays in range"
        shapes.append(label("bl-small", text, x=beside, y=_TOP - 7, anchor=anchor))
    shapes.append(line("bl-ground", x1=_LEFT, y1=_TOP, x2=_LEFT + _WIDTH, y2=_TOP))
    step = 10e3 if end < 150e3 else 25e3
    for tick in np.arange(0, end, step):
        x = at(float(tick))
        shapes.append(line("bl-ground", x1=x, y1=_TOP, x2=x, y2=_TOP + 6))
        text = f"{in_unit(float(tick), 'pressure', 'kPa'):.0f}"
        shapes.append(label("bl-small", text, x=x, y=_TOP + 18))
    shapes.append(label("", "gauge pressure (kPa)", x=_LEFT + _WIDTH / 2, y=_TOP + 36))
    marks = [("now", now, "bl-arrow", 46.0)]
    if tuning.best is not None:
        marks.append(("wanted", tuning.best, "bl-arrow-two", 30.0))
    if maximum is not None:
        marks.append(("marked maximum", maximum, "bl-ground", 62.0))
    for text, pressure, look, height in marks:
        x = at(pressure)
        shapes.append(line(look, x1=x, y1=_TOP - height + 4, x2=x, y2=_TOP))
        shapes.append(label("", text, x=x, y=_TOP - height))
    return Scene(
        times=["now"],
        shapes=shapes,
        readings=_readings(tuning, now),
        # What cannot be told stands in large letters below, and once is enough.
        words=f"The ball has {show_pressure(now)}. "
        + (tuning.advice if tuning.best is not None else ""),
        told=_told(tuning, now, stroke, maximum),
        note="" if tuning.best is None else _STROKES,
        view=(0.0, -10.0, _LEFT * 2 + _WIDTH, 125.0),
    )


def _readings(tuning: Tuning, now: float) -> list[Reading]:
    rows = [Reading("pressure now", [show_pressure(now)])]
    levels, curve = tuning.levels, tuning.curve
    if levels is not None and curve is not None:
        inside = levels.pressure[0] <= now <= levels.pressure[-1]
        share = f"{float(curve.at(now)):.1%}".replace("%", " %")
        share = share if inside else "not measured here"
        rows.append(Reading("share of the height that comes back", [share]))
    best = "–" if tuning.best is None else whole(tuning.best)
    rows.append(Reading("pressure wanted", [best]))
    return rows


def _told(tuning: Tuning, now: float, stroke: float, maximum: float | None) -> str:
    best, levels = tuning.best, tuning.levels
    if best is None or levels is None or levels.diameter is None:
        return over_the_mark(now, maximum) or tuning.advice
    return air_to_add(
        now=now, best=best, diameter=levels.diameter, stroke=stroke, maximum=maximum
    )
