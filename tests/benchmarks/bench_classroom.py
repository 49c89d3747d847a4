"""What does a student cost a classroom server, and how long do ten wait at once?

On a real hub on this machine: ten log in together, open notebook 1 and run it; then
they rest; then each types a key every second. Memory is the proportional share
(PSS: what several processes have in common is counted once). Run it as root, so that
each student has an account.
"""

import statistics
import sys
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent.parent))

from makers.hub_lesson import all_at_once, attend
from makers.hub_room import running_room

STUDENTS = 10
REST = TYPING = 20


def seat_of(process):
    """The login whose seat a process belongs to, or none."""
    return process.environ().get("JUPYTERHUB_USER")


def cost(room):
    """Memory and processor time so far, of each student and of the hub."""
    memory, seconds = {}, {}
    for process in room.processes():
        login = seat_of(process)
        used = process.cpu_times()
        memory[login] = memory.get(login, 0) + process.memory_full_info().pss
        seconds[login] = seconds.get(login, 0) + used.user + used.system
    return memory, seconds


def each(values, room):
    return [values[login] for login in room.students]


def fill(seat):
    """Type ten drops."""
    drop = {"ball": "Futsal ball", "drop_height": "200", "rebound_height": "50"}
    for row in range(10):
        for column, text in drop.items():
            seat.types(row + 1, do="cell", row=row, column=column, text=text)


def typing(seat):
    """Correct a rebound each second: a verdict and a drawing follow every time."""
    end = time.monotonic() + TYPING
    number = 100
    while time.monotonic() < end:
        number += 1
        text = f"{50 + number % 10}"
        seat.types(number, do="cell", row=0, column="rebound_height", text=text)
        time.sleep(1)


def main():
    names = [f"Student {chr(65 + k)}" for k in range(STUDENTS)]
    with running_room(names) as room:
        if not room.apart:
            print("(not as root: students share one account)")
        bare, busy = cost(room)
        seats = all_at_once(lambda login: attend(room.guest(login)), room.students)
        assert not any(seat.errors for seat in seats)
        for name in ("page", "first widget"):
            took = [seat.seconds[name] for seat in seats]
            print(
                f"ten at once, to the {name}: median {statistics.median(took):.0f} s, "
                f"last {max(took):.0f} s"
            )
        memory, began = cost(room)
        print(f"processor to come that far: {statistics.mean(each(began, room)):.1f} s")
        print(f"the hub's work for that: {(began[None] - busy[None]) / STUDENTS:.1f} s")
        print(f"memory of the hub: {bare[None] / 1e6:.0f} MB alone")
        print(f"memory of the hub: {memory[None] / 1e6:.0f} MB with all of them")
        print(f"memory of a student: {max(each(memory, room)) / 1e6:.0f} MB")
        all_at_once(fill, seats)
        time.sleep(2)  # the last drawing
        _, began = cost(room)
        time.sleep(REST)
        _, rested = cost(room)
        all_at_once(typing, seats)
        memory, typed = cost(room)
        for name, before, after, seconds in (
            ("rest", began, rested, REST),
            ("typing", rested, typed, TYPING),
        ):
            used = [after[k] - before[k] for k in room.students]
            print(f"a core at {name}: {100 * statistics.mean(used) / seconds:.1f} %")
        print(
            f"memory of a student after typing: {max(each(memory, room)) / 1e6:.0f} MB"
        )
        seats[0].guest.open_notebook(
            "notebooks/08_a_ball_brought_to_the_mark.ipynb"
        ).run(
            "from bouncelab import TuneBall\n"
            "lesson = TuneBall('../data/larkfield_class.csv')\nlesson.stage"
        )
        more, _ = cost(room)
        login = room.students[0]
        print(f"one more notebook: {(more[login] - memory[login]) / 1e6:.0f} MB")


if __name__ == "__main__":
    main()
