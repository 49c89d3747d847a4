"""Accounts of the system and their folders: made, given back, never another's."""

import asyncio
import os
import socket
import stat
import subprocess
import tempfile
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from pathlib import Path
from types import SimpleNamespace

import pytest

from bouncelab.errors import BounceLabError, InputError
from bouncelab.publish.hub import close_room
from bouncelab.publish.hub_accounts import (
    at_work,
    can_make_accounts,
    lay_shared,
    remove_account,
    seat_account,
    who_listens,
)
from bouncelab.publish.hub_people import Person
from bouncelab.publish.hub_roll import keep_roll

pwd = pytest.importorskip("pwd", reason="accounts of a Unix system")
pytestmark = pytest.mark.skipif(
    not can_make_accounts(), reason="accounts are made by root, with useradd"
)
TEACHER, ADA, BEN = "bl-try-teacher", "bl-try-ada", "bl-try-ben"


@pytest.fixture
def room():
    with tempfile.TemporaryDirectory(prefix="bl-") as place:
        folder = Path(place)
        folder.chmod(0o755)
        seat_account(folder, TEACHER, teacher=TEACHER)
        lay_shared(folder, teacher=TEACHER)
        seat_account(folder, ADA, teacher=TEACHER)
        yield folder
        for login in (ADA, BEN, TEACHER):
            remove_account(folder, login)


def owner(path):
    found = path.lstat()
    return pwd.getpwuid(found.st_uid).pw_name


def mode(path):
    return stat.S_IMODE(path.stat().st_mode)


def test_each_folder_is_open_to_just_those_it_is_for(room):
    teachers = pwd.getpwnam(TEACHER).pw_gid
    assert mode(room / "homes") == 0o711
    assert mode(room / "homes" / ADA) == 0o700
    assert mode(room / "hand-in") == 0o751
    assert (room / "hand-in").stat().st_gid == teachers
    assert owner(room / "hand-in") == "root"
    assert mode(room / "hand-in" / ADA) == 0o2770
    assert (room / "hand-in" / ADA).stat().st_gid == teachers
    assert owner(room / "shared" / "data" / "balls.csv") == "root"
    assert mode(room / "shared" / "data" / "balls.csv") == 0o644
    assert owner(room / "shared" / "from-teacher") == TEACHER
    assert not (room / "hand-in" / TEACHER).exists()


def test_what_an_account_left_is_nobodys_until_it_comes_back(room):
    home = room / "homes" / ADA
    number = pwd.getpwnam(ADA).pw_uid
    (home / "notebooks").mkdir()
    (home / "notebooks" / "mine.txt").write_text("57 cm")
    (home / "out").symlink_to("/etc/hostname")
    for each in (home / "notebooks", home / "notebooks" / "mine.txt", home / "out"):
        os.chown(each, number, number, follow_symlinks=False)

    remove_account(room, ADA)
    with pytest.raises(KeyError):
        pwd.getpwnam(ADA)
    seat_account(room, BEN, teacher=TEACHER)  # may well get the number that is free
    assert owner(home) == "root"
    assert mode(home) == 0o700
    assert mode(room / "hand-in" / ADA) == 0o700

    seat_account(room, ADA, teacher=TEACHER)
    for each in (home, home / "notebooks" / "mine.txt", home / "out"):
        assert owner(each) == ADA
    assert owner(Path("/etc/hostname")) == "root"
    assert (home / "notebooks" / "mine.txt").read_text() == "57 cm"
    assert mode(room / "hand-in" / ADA) == 0o2770


def test_an_account_that_is_not_the_rooms_is_left_alone(room):
    remove_account(room, "nobody")
    remove_account(room, "bl-try-nobody-at-all")

    assert pwd.getpwnam("nobody").pw_dir != str(room / "homes" / "nobody")


def test_a_name_that_the_system_refuses_is_one_line(room):
    with pytest.raises(BounceLabError, match="ask whoever looks after") as slip:
        seat_account(room, "Bad Name:", teacher=TEACHER)
    assert "\n" not in str(slip.value)


def test_a_box_that_its_student_regrouped_is_the_teachers_to_read_again(room):
    box, student = room / "hand-in" / ADA, pwd.getpwnam(ADA)
    (box / "out").mkdir()
    (box / "out" / "host").symlink_to("/etc/hostname")
    os.chown(box, student.pw_uid, student.pw_gid)

    seat_account(room, ADA, teacher=TEACHER)

    assert box.stat().st_gid == pwd.getpwnam(TEACHER).pw_gid
    assert mode(box) == 0o2770
    assert owner(box / "out") == "root"  # nothing that a student can swap is walked
    assert owner(Path("/etc/hostname")) == "root"


def test_a_room_in_which_somebody_works_is_not_closed_by_half(room):
    folder = room.resolve()
    people = [
        Person("Teacher", "", TEACHER, "", teacher=True),
        Person("Ada", "", ADA, "", teacher=False),
    ]
    keep_roll(folder, people, {})
    left = subprocess.Popen(["sleep", "60"], user=ADA)
    try:
        assert at_work(folder, [TEACHER, ADA, "root", "nobody-here"]) == [ADA]
        with pytest.raises(InputError, match=f"pkill -u {ADA}"):
            close_room(folder)
        assert pwd.getpwnam(TEACHER)
    finally:
        left.kill()
        left.wait()
    assert close_room(folder) == 2
    with pytest.raises(KeyError):
        pwd.getpwnam(TEACHER)


@contextmanager
def listening(login):
    """Listen on a port as an account; a socket belongs to who made it."""
    os.seteuid(pwd.getpwnam(login).pw_uid)
    try:
        server = socket.create_server(("127.0.0.1", 0))
    finally:
        os.seteuid(0)
    with server:
        yield server.getsockname()[1]


def started_seat(login, port, monkeypatch):
    """Start a seat whose server is said to have been started on a port."""
    hub_server = pytest.importorskip("bouncelab.publish.hub_server")
    seat = hub_server.Seat(user=SimpleNamespace(name=login, server=None), hub=None)
    stopped = []

    async def begun(self):
        return "127.0.0.1", port

    async def ended(now=False):
        stopped.append(now)

    async def running():
        return None

    monkeypatch.setattr(hub_server._Limits, "start", begun)
    monkeypatch.setattr(seat, "stop", ended)
    monkeypatch.setattr(seat, "poll", running)
    with ThreadPoolExecutor(1) as executor:
        return executor.submit(asyncio.run, seat.start()), stopped


def test_a_seat_on_whose_port_another_account_listens_is_not_taken(room, monkeypatch):
    seat_account(room, BEN, teacher=TEACHER)
    with listening(ADA) as port:
        assert who_listens(port) == {pwd.getpwnam(ADA).pw_uid}
        done, stopped = started_seat(ADA, port, monkeypatch)
        assert done.result() == ("127.0.0.1", port)
        assert stopped == []

        done, stopped = started_seat(BEN, port, monkeypatch)
        with pytest.raises(RuntimeError, match="belongs to another account"):
            done.result()
        assert stopped == [True]
    assert who_listens(port) == set()
