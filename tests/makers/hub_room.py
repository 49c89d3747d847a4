"""A real classroom server on this machine, for as long as a test needs it."""

import csv
import os
import random
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from contextlib import contextmanager, suppress
from pathlib import Path

import psutil
import requests

from bouncelab.publish.hub_accounts import can_make_accounts
from bouncelab.publish.lab import is_free
from makers.hub_guest import Guest
from makers.reachable import reachable_python

STARTED, STOPPED = 60.0, 90.0
MAIN = "import sys; from bouncelab.cli import main; sys.exit(main())"


def three_free_ports():
    """Below those that the system itself gives out to whoever asks."""
    while True:
        first = random.randrange(20_000, 32_000)
        if all(is_free("127.0.0.1", first + k) for k in range(3)):
            return first


class RunningRoom:
    """The room's folder, its address, and who may come in with which code."""

    def __init__(self, place, names):
        self.place = place
        self.folder = place / "room"
        self.apart = can_make_accounts()
        self.log = place / "hub.log"
        self.port = three_free_ports()
        self.base = f"http://127.0.0.1:{self.port}"
        self.python, more = reachable_python(place)
        # What a tester's own shell says of Jupyter is no part of the room.
        kept = {k: v for k, v in os.environ.items() if not k.startswith("JUPYTER")}
        self.environment = {**kept, **more}
        self.guests = []
        self.write(names)

    def bouncelab(self, *words):
        done = subprocess.run(
            [self.python, "-c", MAIN, *map(str, words)],
            env=self.environment,
            capture_output=True,
            text=True,
        )
        assert done.returncode in (0, 1), done.stderr
        return done.stderr

    def write(self, names):
        listed = self.place / "class.csv"
        listed.write_text("\n".join(["name", *names, ""]))
        more = [] if self.apart else ["--one-account"]
        words = ["hub", self.folder, "--students", listed, "--port", self.port]
        self.said = self.bouncelab(*words, *more)
        slips = self.folder / "private" / "codes.csv"
        with slips.open(encoding="utf-8-sig", newline="") as file:
            self.codes = {row["login"]: row["code"] for row in csv.DictReader(file)}
        self.students = [each for each in self.codes if not each.startswith("teacher")]
        self.teacher = next(each for each in self.codes if each.startswith("teacher"))

    def guest(self, login, code=None):
        code = self.codes.get(login, "") if code is None else code
        self.guests.append(Guest(self.base, login, code))
        return self.guests[-1]

    def start(self):
        with self.log.open("wb") as out:
            self.process = subprocess.Popen(
                [
                    *(self.python, "-m", "jupyterhub"),
                    *("-f", str(self.folder / "jupyterhub_config.py")),
                ],
                env=self.environment,
                cwd=self.folder,
                stdin=subprocess.DEVNULL,
                stdout=out,
                stderr=subprocess.STDOUT,
                start_new_session=True,
            )
        end = time.monotonic() + STARTED
        while self.process.poll() is None and time.monotonic() < end:
            with requests.Session() as asked, suppress(requests.ConnectionError):
                asked.trust_env = False
                if asked.get(f"{self.base}/hub/login", timeout=5).ok:
                    return
            time.sleep(0.2)
        raise AssertionError(self.log.read_text("utf-8", "replace")[-2000:])

    def processes(self):
        """Everything that runs for this room, the hub first."""
        if self.process.poll() is not None:
            return []
        hub = psutil.Process(self.process.pid)
        return [hub, *hub.children(recursive=True)]

    def stop(self):
        """End it in order; give what would not end and had to be killed."""
        for guest in self.guests:
            guest.close()
        all_of_it = self.processes()
        self.process.send_signal(signal.SIGTERM)
        try:
            self.process.wait(STOPPED)
        except subprocess.TimeoutExpired:
            self.process.kill()
            self.process.wait()
        _, left = psutil.wait_procs(all_of_it, timeout=10)
        for each in left:
            each.kill()
        return left


@contextmanager
def running_room(names):
    place = Path(tempfile.mkdtemp(prefix="bl-"))
    place.chmod(0o755)  # students' accounts pass through it
    room = None
    try:
        room = RunningRoom(place, names)
        room.start()
        yield room
    finally:
        left = room.stop() if hasattr(room, "process") else []
        if room and room.apart:
            room.bouncelab("hub", room.folder, "--close")
            passwd = Path("/etc/passwd").read_text()
            assert str(room.folder) not in passwd, "accounts were left behind"
        shutil.rmtree(place)
    assert left == [], "the hub left processes behind"


if __name__ == "__main__":
    with running_room(["Ada Brook", "Ben Carter"]) as one:
        print(one.base, one.codes, flush=True)
        sys.stdin.readline()
