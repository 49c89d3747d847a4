"""What a student does in a lesson on the classroom server, by a page's requests."""

import json
import time
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field

from bouncelab.places import kit_folder

FIRST = "notebooks/01_drop_lab.ipynb"


@dataclass
class Seat:
    """A student at work: what came of it, and how long each step took."""

    guest: object
    kernel: object = None
    errors: list = field(default_factory=list)
    models: dict = field(default_factory=dict)
    seconds: dict = field(default_factory=dict)

    def hears(self, messages):
        for message in messages:
            content = message["content"]
            if message["msg_type"] == "error":
                self.errors.append(f"{content['ename']}: {content['evalue']}")
            elif message["msg_type"] == "comm_open":
                self.models[content["comm_id"]] = content["data"]["state"]
            elif message["msg_type"] == "comm_msg":
                self.models[content["comm_id"]] |= content["data"].get("state", {})

    def model(self, name, value):
        """The widget of which this is said."""
        (found,) = [k for k, state in self.models.items() if state.get(name) == value]
        return found

    def tell(self, model, content):
        """Send a widget what its page would; give what it answers."""
        data = {"method": "custom", "content": content}
        number = self.kernel.send("comm_msg", {"comm_id": model, "data": data})
        messages = list(self.kernel.messages(number))
        self.hears(messages)
        return [
            each["content"]["data"].get("content")
            for each in messages
            if each["msg_type"] == "comm_msg"
        ]

    def types(self, number, **step):
        """Type one thing into the sheet; say whether it was answered as kept."""
        table = self.model("part", "table")
        return {"number": number} in self.tell(table, {"number": number, "step": step})

    def hands_in(self):
        self.tell(
            self.model("description", "Make one file to hand in"), {"event": "click"}
        )


def cells():
    notebook = json.loads((kit_folder("notebooks") / FIRST.split("/")[1]).read_text())
    code = [each for each in notebook["cells"] if each["cell_type"] == "code"]
    return [(each["id"], "".join(each["source"])) for each in code]


def attend(guest):
    """Log in, open notebook 1 and run every cell of it."""
    begun = time.monotonic()
    seat = Seat(guest)
    if not guest.log_in():
        seat.errors.append("not let in")
        return seat
    seat.seconds["let in"] = time.monotonic() - begun
    guest.sit_down()
    seat.seconds["page"] = time.monotonic() - begun
    seat.kernel = guest.open_notebook(FIRST)
    for name, source in cells():
        seat.hears(seat.kernel.run(source))
        if name == "measure-sheet":
            seat.seconds["first widget"] = time.monotonic() - begun
    return seat


def reading(login, students):
    """A rebound in cm that no other student has."""
    return f"{50 + students.index(login) / 10:.1f}"


def work(seat, students):
    """Type one drop and hand in; say whether each key was answered as kept."""
    height = reading(seat.guest.login, students)
    kept = [
        seat.types(1, do="setup", field="group", text=seat.guest.login),
        seat.types(2, do="cell", row=0, column="ball", text="Futsal ball"),
        seat.types(3, do="cell", row=0, column="drop_height", text="200"),
        seat.types(4, do="cell", row=0, column="rebound_height", text=height),
    ]
    seat.hands_in()
    return all(kept)


def all_at_once(act, items):
    with ThreadPoolExecutor(len(items)) as pool:
        return list(pool.map(act, items))
