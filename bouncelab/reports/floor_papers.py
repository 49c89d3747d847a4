"""Papers for the gym floor: recording sheets, role cards, pump table, door sign."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path

from bouncelab.catalogue import BounceRange
from bouncelab.kinds import Ball, balls
from bouncelab.physics.ball_air import ball_volume
from bouncelab.physics.pump import pump_up
from bouncelab.places import write_whole
from bouncelab.reports.tape_readings import (
    TapeReadings,
    ball_of,
    show_both,
    tape_readings,
)
from bouncelab.reports.wall_strip import wall_strip
from bouncelab.typesetting.making import PaperSize, make_pdf
from bouncelab.typesetting.paper import Paper, plain, table
from bouncelab.units import read_pressure, show_pressure

__all__ = [
    "door_sign",
    "pump_table",
    "recording_sheet",
    "role_cards",
    "write_papers",
]

_RULES = (
    "Your school's rules, local codes and its qualified staff come before this paper."
)
# Headings that the kit reads; a table typed from this paper needs no others.
COLUMNS = (
    "group",
    "ball",
    "floor",
    "trial",
    "drop height",
    "drop point",
    "rebound height",
    "rebound point",
    "pressure",
    "temperature (°C)",
    "note",
)
_WIDTHS = (3, 5, 5, 6, 6, 6, 9, 7)
_DROPS, _LARGE_DROPS = 12, 8  # rows of a sheet
_STROKES = (60e-6, 100e-6, 150e-6, 250e-6)  # m³ a stroke, from small to large pumps
_ROLES = (
    (
        "Drops the ball",
        "Hold the ball still at the mark. Say *ready*, then open both hands at once: "
        "no push, no spin. Feet stay on the floor.",
        "Did I let go, or did I throw?",
    ),
    (
        "Reads the height",
        "Bring your eyes to the height where the ball turns. Read the same point of "
        "the ball each time, bottom or top, and say it with the unit.",
        "Were my eyes level with the turn?",
    ),
    (
        "Writes it down",
        "Repeat what you hear, then write it as it was said, with its unit. A reading "
        "that looks odd is written too, with a note.",
        "Could someone else read my numbers tomorrow?",
    ),
    (
        "Keeps it safe",
        "Watch the landing place: nobody walks there. Catch the ball after its first "
        "bounce and stop any ball that rolls.",
        "Is the floor clear before the next drop?",
    ),
)


def recording_sheet(asked: BounceRange | None = None, *, drops: int = _DROPS) -> Paper:
    """Give a sheet to write drops on, with the readings to look for worked out.

    Parameters
    ----------
    asked : BounceRange, optional
        The range that the ball shall meet; without one the sheet suits any ball.
    drops : int, optional
        How many rows there are to write in.

    Returns
    -------
    Paper
        Its columns are those that the kit reads from a file.
    """
    if asked is None:
        title, parts = "Drops of our group", []
        footer = "bouncelab: recording sheet"
    else:
        title = f"Drops of our group: {ball_of(asked).name}"
        parts = [_to_look_for(asked)]
        footer = f"bouncelab: recording sheet, range {asked.id}"
    parts.append(
        "Group [ ]{.gap width=2.5cm} Date [ ]{.gap width=2.5cm} "
        "Ball [ ]{.gap width=3cm} Floor [ ]{.gap width=2.5cm}"
    )
    parts.append(
        "We write lengths in [ ]{.gap width=1.2cm} (cm, m or in) and pressures in "
        "[ ]{.gap width=1.2cm} (kPa, bar or psi), and the pressure is what the gauge "
        "shows above the air outside, unless we write *abs* behind it."
    )
    columns = COLUMNS[3:]
    rows = [[str(k + 1), *[""] * (len(columns) - 1)] for k in range(drops)]
    parts.append("::: tall\n" + table(columns, rows, widths=_WIDTHS) + "\n:::")
    parts.append(
        "::: together\n"
        "*Point* is the part of the ball that you read: bottom, centre or top. Write "
        "odd readings too, and say in the note what happened. To let bouncelab read "
        "this table, type it into the notebook or a spreadsheet with the same headings "
        "and their units, such as *drop height (cm)*; add columns for group, ball and "
        "floor.\n:::"
    )
    parts.append(
        "::: caution\nKeep the landing place clear and catch the ball. Nobody climbs "
        "to drop or to read. Pump no ball above the pressure printed on it. "
        f"{_RULES}\n:::"
    )
    return Paper(title, "\n\n".join(parts), {}, footer)


def _to_look_for(asked: BounceRange) -> str:
    rows = [_reading_row(each) for each in tape_readings(asked)]
    ball = ball_of(asked)
    source = ", ".join(each for each in (asked.body, asked.edition) if each)
    said = (
        f"The rule reads the {asked.drop_point} of the ball at the drop and the "
        f"{asked.rebound_point} at the rebound."
        if asked.points_named
        else "The source names no point of the ball; the bottom is taken."
    )
    more = "".join(
        f" {name}: {plain(text)}."
        for name, text in (
            ("Floor", asked.floor),
            ("Temperature", asked.temperatures),
        )
        if text
    )
    readings = table(
        ["we read the", "drop from", "rebound at least", "rebound at most"], rows
    )
    return (
        f"**What the tape should show** ({plain(source)}; range {plain(asked.id)})\n\n"
        f"{readings}\n\n"
        f"{said}{more} Worked out for a ball {show_both(ball.diameter_m)} across; "
        "measure yours, and read the same point each time."
    )


def _reading_row(each: TapeReadings) -> list[str]:
    return [
        f"{each.point} of the ball",
        show_both(each.drop),
        "no limit" if each.low is None else show_both(each.low),
        "no limit" if each.high is None else show_both(each.high),
    ]


def role_cards() -> Paper:
    """Give four cards to cut out, one for each role in a group.

    Returns
    -------
    Paper
        Two cards side by side in each row.
    """
    cards = [
        f"::::: column\n:::: {{.box height=9.5cm}}\n::: sign\n**{name}**\n:::\n\n"
        f"::: card\n{what}\n\n*Ask yourself:* {ask}\n:::\n::::\n:::::"
        for name, what, ask in _ROLES
    ]
    rows = [
        ":::::: columns\n" + "\n".join(cards[k : k + 2]) + "\n::::::"
        for k in range(0, len(cards), 2)
    ]
    head = (
        "Cut out, one card each. Change roles after each ball, so that everyone drops "
        "and everyone reads. In a group of three, the one who writes keeps it safe too."
    )
    return Paper(
        "Roles in a group", "\n\n".join([head, *rows]), {}, "bouncelab: role cards"
    )


def pump_table(kinds: Sequence[Ball] | None = None) -> Paper:
    """Give what strokes of a pump do to balls, and one pressure in three units.

    Parameters
    ----------
    kinds : sequence of Ball, optional
        Kinds of balls; those that are pumped up and usual in a gym if left out.

    Returns
    -------
    Paper
        Tables worked out from the balls' usual sizes.

    Raises
    ------
    InputError
        If a size in the table of balls cannot be used.
    """
    chosen = balls() if kinds is None else kinds
    pumped = [each for each in chosen if each.usual_gauge_pressure_pa]
    step = read_pressure("10 kPa")
    rows = []
    for ball in pumped:
        start, stop = ball.usual_gauge_pressure_pa or (0.0, 0.0)
        most = ball.max_gauge_pressure_pa or stop
        volume = ball_volume(diameter=ball.diameter_m)
        strokes = [
            pump_up(
                gauge_pressure=0.0,
                target_gauge_pressure=step,
                maximum_gauge_pressure=most,
                ball_volume=volume,
                pump_volume=pump,
            ).strokes
            for pump in _STROKES
        ]
        rows.append(
            [
                plain(ball.name),
                f"{_kpa(start)} to {_kpa(stop)}",
                _kpa(most),
                *[f"{each:.1f}" for each in strokes],
            ]
        )
    headings = ["ball", "usual pressure (kPa)", "often marked (kPa)"]
    headings += [f"{volume * 1e6:.0f} cm³ pump" for volume in _STROKES]
    parts = [
        "::: caution\nThe maximum printed on the ball counts, not this table. Look for "
        "bulges and cuts first, wet the needle, push it in straight, faces away from "
        "the valve. Use a hand pump and look at the gauge after each few strokes: a "
        f"ball that bursts is loud and throws pieces. {_RULES}\n:::",
        table(
            headings,
            rows,
            right=range(3, len(headings)),
            widths=(9, 5, 5, 4, 4, 4, 4),
            caption="Strokes that raise the pressure by 10 kPa (about 1.5 psi)",
        ),
        "Strokes are worked out for a full stroke of a tight pump and a ball that "
        "keeps its size; a real pump needs more. Find yours: pump "
        "[ ]{.gap width=1.5cm} strokes, the gauge goes from "
        "[ ]{.gap width=1.5cm} to [ ]{.gap width=1.5cm}. "
        "To let air out, press the valve for a moment only, and look at the gauge.",
        f"::: together\n{_same_pressure()}\n:::",
    ]
    return Paper("Pump table", "\n\n".join(parts), {}, "bouncelab: pump table")


def _kpa(pascals: float) -> str:
    return show_pressure(pascals, "kPa", 0).removesuffix(" kPa")


def _same_pressure() -> str:
    rows = []
    for each in range(10, 130, 10):
        pressure = read_pressure(f"{each} kPa")
        rows.append(
            [
                _kpa(pressure),
                show_pressure(pressure, "bar", 2).removesuffix(" bar"),
                show_pressure(pressure, "psi", 1).removesuffix(" psi"),
            ]
        )
    half = len(rows) // 2
    wide = [[*low, *high] for low, high in zip(rows[:half], rows[half:], strict=True)]
    return table(
        ["kPa", "bar", "psi"] * 2,
        wide,
        right=range(6),
        caption="The same gauge pressure in three units",
    )


def door_sign() -> Paper:
    """Give a sign for the door of the gym.

    Returns
    -------
    Paper
        To be printed large.
    """
    text = (
        "::: sign\n**Knock and wait.**\n\nA class is measuring how balls bounce.\n\n"
        "Balls fly and roll here. Walk along the wall, not across the landing "
        "places.\n\nLesson ends at [ ]{.gap width=4cm}\n:::"
    )
    return Paper("Balls are being dropped", text, {}, "bouncelab: sign for the door")


def write_papers(
    folder: Path,
    asked: Iterable[BounceRange] = (),
    *,
    size: PaperSize = "a4",
    large: bool = False,
) -> list[Path]:
    """Write the papers for a lesson as PDF files.

    Parameters
    ----------
    folder : pathlib.Path
        Where; it is made if it is not there.
    asked : iterable of BounceRange, optional
        For each of them a recording sheet and a wall strip are added.
    size : {"a4", "us-letter"}, optional
        The sheets.
    large : bool, optional
        Large print.

    Returns
    -------
    list of pathlib.Path
        The files written.

    Raises
    ------
    BounceLabError
        If something cannot be typeset or written.
    """
    drops = _LARGE_DROPS if large else _DROPS
    made = {
        "recording_sheet.pdf": make_pdf(
            recording_sheet(drops=drops), size=size, large=large
        ),
        # Read from where the others stand: large for everyone.
        "role_cards.pdf": make_pdf(role_cards(), size=size, large=True),
        "pump_table.pdf": make_pdf(pump_table(), size=size, large=large),
        "door_sign.pdf": make_pdf(door_sign(), size=size, large=True),
    }
    for each in asked:
        made[f"recording_sheet_{each.id}.pdf"] = make_pdf(
            recording_sheet(each, drops=drops), size=size, large=large
        )
        made[f"wall_strip_{each.id}.pdf"] = wall_strip(each, size=size, large=large)
    for name, data in made.items():
        write_whole(folder / name, data)
    return [folder / name for name in made]
