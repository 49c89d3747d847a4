"""The numbers of the teacher notes, worked out by the library."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import cache
from statistics import median
from typing import Any

from bouncelab.analysis.bounciness import Bounciness, bounciness
from bouncelab.catalogue import find_range, ranges
from bouncelab.kinds import Ball, balls
from bouncelab.physics.ball_air import ball_volume, sealed_pressure
from bouncelab.physics.bounces import bounce_train, total_time
from bouncelab.physics.collisions import collide
from bouncelab.physics.fall import drag_constant, fall_time, impact_speed
from bouncelab.physics.impact_shell import shell_impact
from bouncelab.physics.pump import pump_up
from bouncelab.physics.restitution import restitution_from_heights
from bouncelab.physics.surroundings import air_density
from bouncelab.places import kit_folder
from bouncelab.readings.checks import check_drops
from bouncelab.readings.drops import Drops
from bouncelab.readings.files import read_drops
from bouncelab.reports.server_size import (
    NOTEBOOKS,
    TYPING,
    seconds_to_start,
    students_held,
)
from bouncelab.reports.tape_readings import ball_of, show_both, tape_readings
from bouncelab.units import (
    STANDARD_ATMOSPHERE_PA,
    STANDARD_GRAVITY,
    read_length,
    read_pressure,
    read_temperature,
    show_length,
    show_pressure,
    show_temperature,
)

__all__ = ["NUMBERS", "TABLES"]

# What the notes choose; all that follows from it is worked out below.
_DROP = read_length("1.8 m")
_HIGH = read_length("100 in")
_SET = read_pressure("60 kPa")
_HALL, _COLD = read_temperature("20 °C"), read_temperature("5 °C")
_E = 0.75
_CLASS, _CORES = 30, 4  # who log in at once, on which machine


@cache
def _kind(name: str) -> Ball:
    return next(each for each in balls() if each.id == name)


@cache
def _checked() -> Drops:
    return check_drops(read_drops(kit_folder("data") / "larkfield_class.csv"))


@cache
def _larkfield() -> Bounciness:
    """Take the class as it is after each doubtful reading was set aside."""
    table = _checked().table.copy()
    table.loc[table["flag"] == "doubtful", "flag"] = "set_aside"
    return bounciness(replace(_checked(), table=table))


def _row(ball: str) -> Any:
    return next(each for each in _larkfield().rows if each.ball == ball)


def _scatter() -> float:
    """Tell how single drops of one large ball differ: a standard deviation."""
    rows = [each for each in _larkfield().rows if each.gauge_pressure is not None]
    spreads = [float(each.trials.rebound_height.std(ddof=1)) for each in rows]
    return float(median(spreads))


def _e(drop: float, rebound: float) -> float:
    return float(restitution_from_heights(drop_height=drop, rebound_height=rebound))


def _number(value: Any, digits: int) -> str:
    return f"{float(value):.{digits}f}"


def _percent(share: Any) -> str:
    return f"{100 * float(share):.0f} %"


def _e_at(asked: str, limit: str) -> str:
    bottom, _ = tape_readings(find_range(asked))
    height = bottom.low if limit == "low" else bottom.high
    return _number(_e(bottom.drop, height or 0.0), 2)


def _mixed_points(right: bool) -> str:
    """Basketball let go at its bottom and read at its top, at the range's middle."""
    asked = find_range("basketball-fiba-1998")
    low, high = asked.rebound_min_m or 0.0, asked.rebound_max_m or 0.0
    top = (low + high) / 2
    rebound = top - ball_of(asked).diameter_m if right else top
    return _number(_e(asked.drop_height_m, rebound), 2)


def _fall_of(name: str) -> float:
    ball = _kind(name)
    drag = drag_constant(
        mass=ball.mass_kg,
        diameter=ball.diameter_m,
        drag_coefficient=ball.drag_coefficient,
        air_density=air_density(temperature_c=_HALL),
    )
    return float(fall_time(drop_height=_HIGH, drag_constant=drag))


def _cold() -> float:
    return float(
        sealed_pressure(
            gauge_pressure=_SET, temperature_c=_HALL, new_temperature_c=_COLD
        )
    )


def _strokes() -> float:
    ball = _kind("futsal")
    step = read_pressure("10 kPa")
    job = pump_up(
        gauge_pressure=_SET - step,
        target_gauge_pressure=_SET,
        maximum_gauge_pressure=ball.max_gauge_pressure_pa or _SET,
        ball_volume=ball_volume(diameter=ball.diameter_m),
        pump_volume=100e-6,
    )
    return float(job.strokes)


def _contact() -> Any:
    ball = _kind("futsal")
    return shell_impact(
        mass=ball.mass_kg,
        diameter=ball.diameter_m,
        gauge_pressure=_SET,
        impact_speed=float(impact_speed(drop_height=_DROP)),
    )


def _bounces() -> Any:
    return bounce_train(drop_height=_DROP, restitution=_E, bounces=4)


def _lost(e: float) -> str:
    return _percent(1 - e**2)


NUMBERS: dict[str, Callable[[], str]] = {
    # chosen
    "drop": lambda: show_length(_DROP, "m", 2),
    "drop.high": lambda: show_both(_HIGH),
    "tape": lambda: show_length(2.0, "m", 0),
    "pressure": lambda: show_pressure(_SET, "kPa", 0),
    "hall": lambda: show_temperature(_HALL, digits=0),
    "cold": lambda: show_temperature(_COLD, digits=0),
    "e": lambda: _number(_E, 2),
    # the fall
    "fall.time": lambda: f"{float(fall_time(drop_height=_DROP)):.2f} s",
    "fall.speed": lambda: f"{float(impact_speed(drop_height=_DROP)):.1f} m/s",
    "fall.later": lambda: (
        f"{1000 * (_fall_of('table-tennis') - _fall_of('futsal')):.0f} ms"
    ),
    "fall.alike": lambda: (
        f"{1000 * abs(_fall_of('basketball-7') - _fall_of('tennis')):.0f} ms"
    ),
    # bounciness
    "e.futsal.low": lambda: _e_at("futsal-law-2", "low"),
    "e.futsal.high": lambda: _e_at("futsal-law-2", "high"),
    "e.points.right": lambda: _mixed_points(True),
    "e.points.wrong": lambda: _mixed_points(False),
    "e.half": lambda: _number(_e(2.0, 1.0), 2),
    "lost": lambda: _lost(_E),
    "kept": lambda: _percent(_E**2),
    "inches.read": lambda: show_length(read_length("24.2 in"), "cm", 1),
    # the invented class
    "class.drops": lambda: str(sum(each.n for each in _larkfield().rows)),
    "class.marked": lambda: str(len(_checked().findings)),
    "class.scatter": lambda: show_length(_scatter(), "cm", 1),
    "class.e": lambda: _number(_row("Futsal ball").e, 3),
    "class.U": lambda: _number(_row("Futsal ball").expanded, 3),
    "class.cold": lambda: _number(_row("Futsal ball from the cold store").e, 3),
    # air
    "outside": lambda: show_pressure(STANDARD_ATMOSPHERE_PA, "kPa", 0),
    "cold.pressure": lambda: show_pressure(_cold(), "kPa", 0),
    "cold.drop": lambda: show_pressure(_SET - _cold(), "kPa", 0),
    "absolute": lambda: show_pressure(_SET + STANDARD_ATMOSPHERE_PA, "kPa", 0),
    "strokes": lambda: _number(_strokes(), 0),
    # the contact
    "contact.time": lambda: f"{1000 * float(_contact().contact_time):.0f} ms",
    "contact.force": lambda: f"{float(_contact().peak_force):.0f} N",
    "weight": lambda: f"{_kind('futsal').mass_kg * STANDARD_GRAVITY:.1f} N",
    # trains of bounces
    "train.1": lambda: show_length(float(_bounces().heights[0]), "m", 2),
    "train.2": lambda: show_length(float(_bounces().heights[1]), "m", 2),
    "train.3": lambda: show_length(float(_bounces().heights[2]), "m", 2),
    "gap.1": lambda: f"{_gap(0):.2f} s",
    "gap.2": lambda: f"{_gap(1):.2f} s",
    "gap.3": lambda: f"{_gap(2):.2f} s",
    "train.time": lambda: (
        f"{float(total_time(drop_height=_DROP, restitution=_E)):.1f} s"
    ),
    # a classroom server
    "hub.class": lambda: str(_CLASS),
    "hub.cores": lambda: str(_CORES),
    "hub.wait": lambda: f"{seconds_to_start(_CLASS, _CORES):.0f} s",
    "hub.typing": lambda: _percent(TYPING),
    "hub.notebooks": lambda: str(NOTEBOOKS),
    # collisions
    "collision.1": lambda: f"{float(_meeting().velocities_after[0]):.2f} m/s",
    "collision.2": lambda: f"{float(_meeting().velocities_after[1]):.2f} m/s",
}


def _gap(k: int) -> float:
    """Time between two impacts that follow each other."""
    times = _bounces().impact_times
    return float(times[k + 1] - times[k])


def _meeting() -> Any:
    return collide(masses=(0.4, 0.2), velocities=(3.0, 0.0), restitution=_E)


def _range_table() -> str:
    lines = [
        "| range | drop, bottom of the ball | rebound, bottom | e from | to |",
        "| --- | --- | --- | --- | --- |",
    ]
    for asked in ranges():
        bottom, _ = tape_readings(asked)
        limits = [
            "–" if each is None else _number(_e(bottom.drop, each), 2)
            for each in (bottom.low, bottom.high)
        ]
        window = " to ".join(
            show_length(each, "cm", 0)
            for each in (bottom.low, bottom.high)
            if each is not None
        )
        drop = show_length(bottom.drop, "cm", 0)
        lines.append(f"| {asked.id} | {drop} | {window} | {limits[0]} | {limits[1]} |")
    return "\n".join(lines)


def _class_table() -> str:
    lines = [
        "| ball | gauge pressure | drops | drop | rebounds, bottom | e ± U |",
        "| --- | --- | --- | --- | --- | --- |",
    ]
    for row in sorted(
        _larkfield().rows, key=lambda each: (each.ball, each.gauge_pressure or 0.0)
    ):
        pressure = row.gauge_pressure
        shown = "–" if pressure is None else show_pressure(pressure, "kPa", 0)
        heights = row.trials.rebound_height
        window = f"{show_length(heights.min(), 'cm', 0)} to " + show_length(
            heights.max(), "cm", 0
        )
        drop = show_length(row.trials.drop_height.mean(), "cm", 0)
        lines.append(
            f"| {row.ball} | {shown} | {row.n} | {drop} | {window} "
            f"| {row.e:.3f} ± {row.expanded:.3f} |"
        )
    return "\n".join(lines)


def _needs_table() -> str:
    """Tell what classes of several sizes need, in groups of three or four."""
    lines = [
        "| students | groups | tapes | balls | laptops or sheets | role cards |",
        "| --- | --- | --- | --- | --- | --- |",
    ]
    for students in (16, 20, 24, 28, 32):
        groups = -(-students // 4)
        lines.append(
            f"| {students} | {groups} | {groups} and a spare | {2 * groups} "
            f"| {groups} | {groups} sets of four |"
        )
    return "\n".join(lines)


def _classroom_table() -> str:
    lines = [
        "| memory of the machine | students, one notebook each | two each |",
        "| --- | --- | --- |",
    ]
    for memory in (8, 16, 32):
        one, two = (students_held(memory * 1e9, notebooks=k) for k in (1, 2))
        lines.append(f"| {memory} GB | {one} | {two} |")
    return "\n".join(lines)


def _train_table() -> str:
    heights = [_DROP, *(float(each) for each in _bounces().heights)]
    lines = ["| bounce | height | part of the first |", "| --- | --- | --- |"]
    lines += [
        f"| {k} | {show_length(each, 'cm', 0)} | {_percent(each / _DROP)} |"
        for k, each in enumerate(heights)
    ]
    return "\n".join(lines)


TABLES: dict[str, Callable[[], str]] = {
    "ranges": _range_table,
    "class": _class_table,
    "classroom": _classroom_table,
    "needs": _needs_table,
    "train": _train_table,
}
