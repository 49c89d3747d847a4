"""A lesson's plan on paper: who has which ball when, and what to mind."""

from __future__ import annotations

import csv
import io
from pathlib import Path

from bouncelab.analysis.planning import Plan
from bouncelab.places import write_whole
from bouncelab.reports.floor_papers import role_cards
from bouncelab.typesetting.making import PaperSize, make_html, make_pdf
from bouncelab.typesetting.paper import Paper, plain, table

__all__ = ["plan_paper", "plan_rows", "write_plan"]


def plan_rows(plan: Plan, *, brief: bool = False) -> list[list[str]]:
    """Give the plan as a table: a row for each turn, a column for each group.

    Parameters
    ----------
    plan : Plan
        The plan.
    brief : bool, optional
        Give pressures as numbers in brackets.

    Returns
    -------
    list of list of str
        Number and start of the turn, then the ball of each group; a dash where a
        group has none.
    """
    has = {(turn.slot, turn.group): turn for turn in plan.turns}
    rows = []
    for slot, start in enumerate(plan.starts):
        row = [str(slot + 1), f"{start:.0f} min"]
        for group in range(len(plan.sizes)):
            turn = has.get((slot, group))
            if turn is None:
                row.append("–")
            elif plan.rounds > 1:
                which = plan.pressure(turn)
                told = f" ({which})" if brief else f", pressure {which}"
                row.append(f"{plan.balls[turn.ball]}{told}")
            else:
                row.append(plan.balls[turn.ball])
        rows.append(row)
    return rows


def plan_paper(plan: Plan) -> Paper:
    """Give the plan as a paper for the wall and for the teacher.

    Parameters
    ----------
    plan : Plan
        The plan.

    Returns
    -------
    Paper
        The order, the time, what can be seen, and the cautions.
    """
    groups = [f"group {k + 1}" for k in range(len(plan.sizes))]
    told = plan.assumed
    rows = [[plain(cell) for cell in row] for row in plan_rows(plan, brief=True)]
    parts = [
        "\n".join(f"- {plain(each)}" for each in plan.words),
        "## Who has which ball when",
        table(["turn", "starts at", *groups], rows),
        f"In each turn a group drops its ball {plan.drops} times, then passes it on. "
        "A group with a dash has no ball in this turn: it predicts, looks at its "
        "readings or helps to keep the floor clear.",
        _roles(plan),
    ]
    if plan.rounds > 1:
        rounds = [f"round {k + 1}" for k in range(plan.rounds)]
        orders = [
            [plain(ball), *map(str, order)]
            for ball, order in zip(plan.balls, plan.orders, strict=True)
        ]
        parts += [
            "## Which pressure in which round",
            f"A round is {plan.slots // plan.rounds} turns. "
            "The number in brackets is the pressure, 1 the lowest; choose them below "
            "the maximum printed on the ball. Between two rounds every ball is "
            "brought to its next pressure and the gauge is read again. Each ball has "
            "an order of its own, so that not all get fuller while arms get tired.",
            table(["ball", *rounds], orders),
        ]
    parts += [
        "::: caution\nRead the maximum printed on each ball aloud before anyone pumps; "
        "it holds whatever the plan says. Landing places stay clear, one student of "
        "each group watches them; nobody climbs to drop or to read. Your school's "
        "rules and its qualified staff come first.\n:::",
        "## What this rests on",
        f"{told.drop_seconds:.0f} s for a drop, {told.change_seconds:.0f} s to pass "
        f"balls on, {told.slack:.0%} lost now and then; e scatters by "
        f"{told.drop_spread:g} from drop to drop, by {told.group_spread:g} from group "
        "to group and by "
        f"{told.own_spread:g} more for each ball. All of it is common practice, no "
        "source: your own class's file tells better (*bouncelab compare*). The chance "
        "to see a difference is that of a paired t test on the groups, the risk of a "
        "false alarm, 5 in 100, shared among all pairs of balls.",
    ]
    return Paper(
        "Plan of the lesson", "\n\n".join(parts), {}, "bouncelab: plan of the lesson"
    )


def _roles(plan: Plan) -> str:
    """Say who does what, for the sizes of the groups."""
    for_size = {
        2: "of two, 1 drops and keeps the landing place clear, 2 reads and writes",
        3: "of three, 1 drops, 2 reads, 3 writes and keeps the landing place clear",
        4: "of four, 1 drops, 2 reads, 3 writes, 4 keeps the landing place clear",
    }
    sizes = sorted({min(each, 4) for each in plan.sizes})
    said = "; in a group ".join(for_size[each] for each in sizes)
    more = (
        " In larger groups the others predict each rebound and check the reading."
        if max(plan.sizes) > 4
        else ""
    )
    return (
        f"**Roles.** Number the students of each group. In a group {said}. Each time "
        f"the group has a new ball, everyone takes the next role.{more}"
    )


def write_plan(plan: Plan, folder: Path, *, size: PaperSize = "a4") -> list[Path]:
    """Write the plan as a table, a page and a PDF with role cards.

    Parameters
    ----------
    plan : Plan
        The plan.
    folder : pathlib.Path
        Where; it is made if it is not there.
    size : {"a4", "us-letter"}, optional
        The sheets.

    Returns
    -------
    list of pathlib.Path
        ``plan.csv``, ``plan.html``, ``plan.pdf`` and ``role_cards.pdf``.

    Raises
    ------
    BounceLabError
        If something cannot be typeset or written.
    """
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    groups = [f"group {k + 1}" for k in range(len(plan.sizes))]
    writer.writerow(["turn", "starts at", *groups])
    writer.writerows(plan_rows(plan))
    paper = plan_paper(plan)
    made = {
        "plan.csv": out.getvalue().encode("utf-8-sig"),
        "plan.html": make_html(paper).encode(),
        "plan.pdf": make_pdf(paper, size=size),
        "role_cards.pdf": make_pdf(role_cards(), size=size),
    }
    for name, data in made.items():
        write_whole(folder / name, data)
    return [folder / name for name in made]
