"""A real hub on loopback: ten students at once, and what each may see of the others."""

import stat
from http import HTTPStatus
from pathlib import Path
from urllib.parse import urlsplit

import psutil
import pytest
import requests
import zmq

from bouncelab.publish.hub_accounts import can_make_accounts
from bouncelab.readings.folder import read_folder
from bouncelab.readings.journal import Journal
from bouncelab.reports.server_size import SEAT

pytest.importorskip("jupyterhub", reason="JupyterHub is not installed: extra hub")

from makers.hub_lesson import FIRST, all_at_once, attend, reading, work
from makers.hub_room import running_room

pwd = pytest.importorskip("pwd", reason="accounts of a Unix system")

NAMES = [
    *("Ada Brook", "Ben Carter", "Cy Dale", "Di Evans", "Ed Frost"),
    *("Flo Grant", "Gil Hart", "Hal Ivey", "Isa James", "Jo King"),
]
REFUSED = "PermissionError"
apart_only = pytest.mark.skipif(
    not can_make_accounts(),
    reason="files are apart where each student has an account: root, useradd",
)


@pytest.fixture(scope="module")
def room():
    with running_room(NAMES) as room:
        yield room


@pytest.fixture(scope="module")
def seats(room):
    """All ten log in at once, open notebook 1, run it, type a drop and hand in."""
    try:
        seats = all_at_once(lambda login: attend(room.guest(login)), room.students)
    except (TimeoutError, requests.RequestException) as error:
        told = room.log.read_text("utf-8", "replace").splitlines()
        warned = [each for each in told if not each.startswith("[I")]
        raise AssertionError("\n".join(warned[-60:])) from error
    kept = all_at_once(lambda seat: work(seat, room.students), seats)
    return dict(zip(room.students, zip(seats, kept, strict=True), strict=True))


@pytest.fixture
def two(room, seats):
    """One student's seat, and the login of another one."""
    first, second = room.students[:2]
    return seats[first][0], second


def home(room, login):
    return room.folder / "homes" / login


def test_ten_at_once_run_every_cell_of_notebook_1_and_keep_every_key(room, seats):
    assert len(seats) == 10
    for login, (seat, kept) in seats.items():
        assert seat.errors == [], login
        assert kept, login


def test_nothing_that_was_typed_is_lost_or_another_students(room, seats):
    for login in seats:
        journal = Journal(home(room, login) / "notebooks/readings/drop-lab.jsonl")
        _, rows = journal.sheet.table()

        assert len(rows) == 1
        assert reading(login, room.students) in rows[0], login
        assert journal.sheet.setup["group"] == login


def test_what_all_handed_in_is_read_as_one_class(room, seats):
    found = read_folder(room.folder / "hand-in").drops.table

    assert sorted(found["group"]) == sorted(seats)
    for login in seats:
        height = found.loc[found["group"] == login, "rebound_height_m"].item()
        assert height == pytest.approx(float(reading(login, room.students)) / 100)


def test_a_seat_takes_no_more_memory_than_the_guide_counts_on(room, seats):
    taken = dict.fromkeys(seats, 0)
    for process in room.processes():
        login = process.environ().get("JUPYTERHUB_USER")
        if login in taken:
            taken[login] += process.memory_full_info().pss
    assert 0.5 * SEAT < max(taken.values()) < 1.2 * SEAT


def test_a_wrong_code_and_an_unknown_name_are_not_let_in(room):
    ada, ben = room.students[:2]
    assert not room.guest(ada, room.codes[ben]).log_in()
    assert not room.guest(ada, "").log_in()
    assert not room.guest("nobody", room.codes[ada]).log_in()
    assert not room.guest("root", room.codes[ada]).log_in()


def test_another_students_pages_are_closed(two):
    seat, other = two
    mine = seat.guest.api("GET", "contents/notebooks")
    assert mine.status_code == HTTPStatus.OK
    for path in ("contents", f"contents/{FIRST}", "kernels", "sessions"):
        assert closed(seat.guest.api("GET", path, login=other)), path
    assert closed(seat.guest.api("PUT", "contents/x", login=other, type="directory"))
    assert closed(seat.guest.page(other, "files/notebooks/readings/drop-lab.jsonl"))


def closed(answer):
    """Refused, or led to the form to log in; never the thing itself."""
    refused = (HTTPStatus.FORBIDDEN, HTTPStatus.NOT_FOUND)
    return answer.status_code in refused or "/hub/login?" in answer.url


def test_the_way_round_the_proxy_is_closed_too(room, two):
    seat, other = two
    port = server_of(room, other)[1]
    base = f"http://127.0.0.1:{port}"
    token = seat.kernel.say("import os; print(os.environ['JUPYTERHUB_API_TOKEN'])")
    assert len(token) > 20
    for headers in ({}, {"Authorization": f"token {token}"}):
        answer = seat.guest.session.get(
            f"{base}/user/{other}/api/contents",
            headers=headers,
            timeout=30,
            allow_redirects=False,
        )
        assert closed(answer)


def server_of(room, login):
    """The process of a student's server, and its port."""
    words = f"/user/{login}/"
    for process in room.processes():
        environment = process.environ()
        if environment.get("JUPYTERHUB_SERVICE_PREFIX") == words:
            url = environment["JUPYTERHUB_SERVICE_URL"]
            return process.pid, urlsplit(url).port
    raise AssertionError(f"no server of {login}")


@apart_only
def test_code_in_a_notebook_cannot_read_or_list_what_is_anothers(room, two):
    seat, other = two
    theirs = home(room, other)
    box = room.folder / "hand-in" / other
    assert (box / f"{other}-hand-in.csv").is_file()
    for code in (
        f"os.listdir({str(theirs)!r})",
        f"open({str(theirs / 'notebooks/readings/drop-lab.jsonl')!r}).read()",
        f"os.listdir({str(theirs / '.kernels')!r})",
        f"os.listdir({str(theirs.parent)!r})",
        f"os.listdir({str(box.parent)!r})",
        f"os.listdir({str(box)!r})",
        f"open({str(box / f'{other}-hand-in.csv')!r}).read()",
        f"open({str(box / f'{other}-drop-lab.csv')!r}).read()",
        f"open({str(room.folder / 'private' / 'people.json')!r}).read()",
        f"open({str(room.folder / 'private' / 'codes.csv')!r}).read()",
        f"open({str(room.folder / 'private' / 'jupyterhub.sqlite')!r}, 'rb').read()",
        f"open('/proc/{server_of(room, other)[0]}/environ').read()",
        f"open('/proc/{room.process.pid}/environ').read()",
    ):
        assert REFUSED in seat.kernel.say(f"import os; print({code})"), code


@apart_only
def test_code_in_a_notebook_cannot_change_or_stop_what_is_anothers(room, two):
    seat, other = two
    box = room.folder / "hand-in" / other
    for code in (
        f"open({str(box / 'x.csv')!r}, 'w')",
        f"os.remove({str(box / f'{other}-hand-in.csv')!r})",
        f"os.rename({str(box)!r}, {str(box) + '2'!r})",
        f"open({str(home(room, other) / 'x')!r}, 'w')",
        f"os.kill({server_of(room, other)[0]}, 9)",
        f"open({str(room.folder / 'jupyterhub_config.py')!r}, 'a')",
        f"open({str(room.folder / 'jupyter/jupyter_server_config.py')!r}, 'a')",
        "os.setuid(0)",
    ):
        assert REFUSED in seat.kernel.say(f"import os; {code}"), code


def test_everything_answers_on_this_machine_alone(room, seats):
    addresses = {
        each.laddr.ip
        for process in room.processes()
        for each in process.net_connections("inet")
        if each.status == psutil.CONN_LISTEN
    }
    assert addresses == {"127.0.0.1"}


@apart_only
def test_nobody_on_the_machine_hears_what_a_notebook_shows(room, seats):
    login = room.students[1]
    seat, _ = seats[login]
    uid = pwd.getpwnam(login).pw_uid
    ports = {
        each.laddr.port
        for process in room.processes()
        if process.uids().real == uid
        for each in process.net_connections("tcp")
        if each.status == psutil.CONN_LISTEN
    }
    assert ports
    context = zmq.Context()
    ear = context.socket(zmq.SUB)
    ear.subscribe(b"")
    try:
        for port in ports - {server_of(room, login)[1]}:
            ear.connect(f"tcp://127.0.0.1:{port}")
        assert ear.poll(500) == 0  # time to connect
        assert seat.kernel.say("print('mine alone')") == "mine alone"
        assert ear.poll(500) == 0
    finally:
        ear.close(linger=0)
        context.term()


@apart_only
def test_a_student_writes_into_the_own_box_and_the_teacher_reads_it(room, two):
    seat, _ = two
    login = seat.guest.login
    said = seat.kernel.say(
        "open('../hand-in/poster.txt', 'w').write('e = 0.55'); print(sorted("
        "__import__('os').listdir('../hand-in')))"
    )
    assert "poster.txt" in said
    path = room.folder / "hand-in" / login / "poster.txt"
    found = path.stat()
    assert found.st_gid == pwd.getpwnam(room.teacher).pw_gid
    assert stat.S_IMODE(found.st_mode) == 0o640


def test_the_demo_data_is_everyones_to_read_and_nobodys_to_change(room, two):
    seat, _ = two
    text = seat.guest.read("data/larkfield_class.csv")
    assert text == (room.folder / "shared/data/larkfield_class.csv").read_text()
    if room.apart:
        said = seat.kernel.say("open('../data/larkfield_class.csv', 'a')")
        assert REFUSED in said
        assert REFUSED in seat.kernel.say("open('../from-teacher/x', 'w')")


def test_limits_hold_and_the_kernel_lives_on(two):
    seat, _ = two
    assert "MemoryError" in seat.kernel.say("x = bytearray(1_500_000_000)")
    assert "File too large" in seat.kernel.say(
        "f = open('big', 'wb'); f.seek(250_000_000); f.write(b'x'); f.flush()"
    )
    assert (
        "Resource temporarily unavailable"
        in seat.kernel.say(
            "import subprocess, sys\nmany = []\ntry:\n"
            "    for n in range(400): many.append(subprocess.Popen(['sleep', '60']))\n"
            "finally:\n    for each in many: each.kill(); each.wait()"
        )
        or not can_make_accounts()
    )
    assert seat.kernel.say("print(6 * 7)") == "42"


def test_a_fifth_notebook_is_refused_with_what_to_do(room, seats):
    seat, _ = seats[room.students[2]]
    ask = {"kernel": {"name": "python3"}, "type": "notebook"}
    began = []
    for number in range(2, 6):
        name = f"notebooks/0{number}.ipynb"
        answer = seat.guest.api("POST", "sessions", path=name, name=name, **ask)
        began.append(answer.status_code == HTTPStatus.CREATED)
    assert began == [True, True, True, False]
    assert "4 notebooks are running" in answer.text
    assert "Close one first" in answer.text


def test_after_logging_out_own_work_is_there_and_is_not_written_over(room, seats):
    login = room.students[3]
    seat, _ = seats[login]
    changed = home(room, login) / FIRST
    trap = home(room, login) / "random.py"  # a student may call a file so
    trap.write_text("raise SystemExit('this is not that module')")
    with changed.open("a") as file:
        file.write("\n")
    mine = changed.read_bytes()
    seat.guest.session.get(f"{room.base}/hub/logout", timeout=60)
    assert closed(seat.guest.api("GET", "contents"))

    again = attend(room.guest(login))
    assert again.errors == []
    sheet = again.models[again.model("part", "table")]["state"]
    assert "Taken up again" in sheet["saved"]
    assert reading(login, room.students) in str(sheet["sheet"])
    assert changed.read_bytes() == mine


def test_the_teacher_sees_what_came_in_and_answers_but_sees_no_home(room, seats):
    login = room.students[4]
    teacher = room.guest(room.teacher)
    assert teacher.log_in()
    assert teacher.session.get(f"{room.base}/hub/admin", timeout=60).ok
    found = teacher.hub("GET", "users")
    assert {each["name"] for each in found.json()} >= set(room.students)
    teacher.sit_down()
    names = teacher.api("GET", f"contents/hand-in/{login}").json()["content"]
    assert {each["name"] for each in names} == {
        f"{login}-hand-in.csv",
        f"{login}-drop-lab.csv",
    }
    assert closed(teacher.api("GET", "contents", login=login))
    note = {"type": "file", "format": "text", "content": "Well dropped."}
    for place in ("from-teacher", f"hand-in/{login}"):
        assert teacher.api("PUT", f"contents/{place}/note.txt", **note).ok
    student = seats[login][0].guest
    assert student.read("from-teacher/note.txt") == "Well dropped."
    assert student.read("hand-in/note.txt") == "Well dropped."
    answer = student.session.get(f"{room.base}/hub/admin", timeout=60)
    assert answer.status_code == HTTPStatus.FORBIDDEN
    assert student.hub("GET", "users").status_code == HTTPStatus.FORBIDDEN
    assert teacher.hub("DELETE", f"users/{login}/server").status_code in (202, 204)


def test_who_is_added_while_the_hub_runs_comes_in_and_who_left_does_not(room):
    room.write([*NAMES[:9], "Kit Lane"])
    assert room.guest("kit-lane").log_in()
    assert not room.guest(room.students[9]).log_in()


@apart_only
def test_accounts_open_no_other_door(room):
    shadow = dict(
        line.split(":")[:2] for line in Path("/etc/shadow").read_text().splitlines()
    )
    for login in (*room.students, room.teacher):
        assert pwd.getpwnam(login).pw_shell == "/usr/sbin/nologin"
        assert shadow[login].startswith("!")
