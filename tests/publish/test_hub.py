"""What bouncelab hub writes, and what it refuses; no server is started here."""

import ast
import csv
import json
import os
import socket
import stat
import sys
from types import SimpleNamespace

import pytest

pytest.importorskip("pwd", reason="a classroom server runs on Linux and macOS")

from bouncelab.cli import main
from bouncelab.errors import BounceLabError, FileError, InputError
from bouncelab.publish import hub, hub_accounts
from bouncelab.publish.hub import write_room
from bouncelab.publish.hub_people import (
    Person,
    login_for,
    new_code,
    read_people,
    same_code,
    write_people,
)
from bouncelab.publish.hub_settings import LIMITS, hub_file, seat_file
from bouncelab.worksheets.roster import Student

ADA, BEN = Student("Ada Brook", "ada brook"), Student("Ben Carter", "ben carter")


def free_port():
    """A port with two free ones after it."""
    while True:
        with socket.socket() as probe:
            probe.bind(("127.0.0.1", 0))
            port = probe.getsockname()[1]
        try:
            hub._check_ports("127.0.0.1", port)
        except InputError:
            continue
        return port


@pytest.fixture(autouse=True)
def no_special_rights(monkeypatch):
    monkeypatch.setattr(hub_accounts, "is_root", lambda: False)


@pytest.fixture
def room(tmp_path):
    return write_room(tmp_path / "room", [ADA, BEN], port=free_port(), one_account=True)


def run(place, names, *more):
    """The command itself, for a class of these names."""
    listed = place / "class.csv"
    listed.write_text(names)
    more = ["--one-account", "--port", str(free_port()), *more]
    return main(["hub", str(place / "room"), "--students", str(listed), *more])


def slips(room):
    with room.slips.open(encoding="utf-8-sig", newline="") as file:
        return list(csv.DictReader(file))


def settings_of(room):
    """Run the written file as JupyterHub does; give what it set."""
    from traitlets.config import Config

    c = Config()
    code = compile(room.settings.read_text(), str(room.settings), "exec")
    exec(code, {"get_config": lambda: c, "load_subconfig": None})
    return c


def test_everyone_gets_a_login_and_a_code_that_opens_only_their_seat(room):
    assert [each.login for each in room.people] == [
        "teacher",
        "ada-brook",
        "ben-carter",
    ]
    by_login = {row["login"]: row["code"] for row in slips(room)}
    assert by_login == room.codes
    people = {each.login: each for each in room.people}
    assert same_code(by_login["ada-brook"], people["ada-brook"].secret)
    assert not same_code(by_login["ada-brook"], people["ben-carter"].secret)


def test_codes_are_kept_nowhere_but_in_the_file_for_the_teacher(room):
    for path in room.folder.rglob("*"):
        if path.is_file() and path != room.slips:
            data = path.read_bytes()
            assert not any(code.encode() in data for code in room.codes.values()), path


def test_what_is_secret_is_closed_to_others(room):
    for path in (
        room.folder / "private",
        room.slips,
        room.slips.parent / "people.json",
    ):
        assert stat.S_IMODE(path.stat().st_mode) & 0o077 == 0, path


def test_run_again_it_keeps_codes_and_adds_who_came(room):
    cy = Student("Cy Dale", "cy dale")
    again = write_room(room.folder, [cy, BEN, ADA], one_account=True)

    assert list(again.codes) == ["cy-dale"]
    assert again.port == room.port
    before = {each.login: each.secret for each in room.people}
    after = {each.login: each.secret for each in again.people}
    assert {name: after[name] for name in before} == before
    assert [row["login"] for row in slips(again)] == [*room.codes, "cy-dale"]


def test_who_left_comes_in_no_more_and_a_lost_code_is_made_anew(room):
    again = write_room(room.folder, [BEN], one_account=True, new_codes=["ben-carter"])

    people = {each.login: each for each in again.people}
    assert people["ada-brook"].secret == ""
    assert list(again.codes) == ["ben-carter"]
    assert again.codes != {"ben-carter": room.codes["ben-carter"]}
    back = write_room(room.folder, [BEN, ADA], one_account=True)
    assert list(back.codes) == ["ada-brook"]


def test_slips_that_were_taken_away_stay_away(room):
    room.slips.unlink()
    cy = Student("Cy Dale", "cy dale")
    again = write_room(room.folder, [ADA, BEN, cy], one_account=True)

    assert [row["login"] for row in slips(again)] == ["cy-dale"]


def test_a_code_for_nobody_is_refused_with_the_logins(room):
    with pytest.raises(InputError, match="read zed, allowed ada-brook, ben-carter"):
        write_room(room.folder, [ADA], one_account=True, new_codes=["zed"])


def test_an_empty_class_is_refused(tmp_path):
    with pytest.raises(InputError, match="the class: read nobody"):
        write_room(tmp_path, [], one_account=True)


def test_twins_are_told_apart(tmp_path):
    said = run(tmp_path, "name\nAda Brook\nAda Brook\n")
    people = read_people(tmp_path / "room" / "private" / "people.json")

    assert said == 1
    assert [each.login for each in people[1:]] == ["ada-brook", "ada-brook-2"]


@pytest.mark.parametrize(
    ("name", "login"),
    [
        ("Ada Brook", "ada-brook"),
        ("  Zoë   Ångström ", "zoe-angstrom"),
        ("José-María Núñez", "jose-maria-nunez"),
        ("../../etc/passwd", "etc-passwd"),
        ("root; rm -rf /", "root-rm-rf"),
        ("42", "student"),
        ("7b Anna", "b-anna"),
        ("李雷", "student"),
        ("-rf", "rf"),
        ("x" * 90, "x" * 20),
        ("a{login}b", "a-login-b"),
    ],
)
def test_a_login_is_a_name_that_every_system_allows(name, login):
    assert login_for(name, lambda taken: False) == login


def test_accounts_of_the_system_are_nobodys_login():
    def taken(login):
        return hub_accounts.account_taken(login, hub_accounts.Path("/none") / login)

    assert login_for("root", taken) == "root-2"
    assert login_for("Daemon", taken) == "daemon-2"


def test_codes_differ_and_hold_no_letter_that_looks_like_another():
    codes = {new_code() for _ in range(2000)}

    assert len(codes) == 2000
    assert set("".join(codes)) <= set("abcdefghjkmnpqrstuvwxyz23456789-")


@pytest.mark.parametrize("text", ["", "[1]", '{"a": 1}', '[{"login": "x"}]', "\x00"])
def test_a_damaged_list_of_people_is_never_taken_for_an_empty_one(room, text):
    (room.folder / "private" / "people.json").write_text(text)

    with pytest.raises(FileError, match="Put a copy of it back"):
        write_room(room.folder, [ADA], one_account=True)


def test_a_login_that_is_no_login_is_not_taken_from_the_list(tmp_path):
    path = tmp_path / "people.json"
    write_people(path, [Person("A", "a", "../etc", "")])

    with pytest.raises(FileError, match="the list as bouncelab hub wrote it"):
        read_people(path)
    with pytest.raises(InputError, match="one of them twice"):
        write_people(path, [Person("A", "a", "a", ""), Person("B", "b", "a", "")])


def test_a_file_in_the_way_is_one_line(tmp_path, capsys):
    (tmp_path / "room").write_text("not a folder")
    said = run(tmp_path, "Ada Brook\n")
    told = capsys.readouterr().err.strip()

    assert said == 2
    assert "read a file, allowed a folder that can be written" in told
    assert len(told.splitlines()) == 1


def test_a_taken_port_is_refused_before_anything_is_written(tmp_path):
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        for first in (port, port - 1, port - 2):
            with pytest.raises(InputError, match=r"127\.0\.0\.1:\d+, which is taken"):
                write_room(tmp_path / "r", [ADA], port=first, one_account=True)
    assert not (tmp_path / "r").exists()


@pytest.mark.parametrize("port", [0, -1, 65534, 10**9])
def test_a_number_that_is_no_port_is_refused(tmp_path, port):
    with pytest.raises(InputError, match="allowed 1 to 65533"):
        write_room(tmp_path / "r", [ADA], port=port, one_account=True)


def test_an_address_that_is_not_this_machines_is_refused(tmp_path):
    with pytest.raises(InputError, match=r"203\.0\.113\.1"):
        write_room(tmp_path, [ADA], address="203.0.113.1", one_account=True)


def test_without_root_files_are_not_said_to_be_apart(tmp_path):
    with pytest.raises(InputError, match="a curious student can read others' files"):
        write_room(tmp_path, [ADA])


def test_nobody_becomes_root(tmp_path, monkeypatch):
    monkeypatch.setattr(hub_accounts, "is_root", lambda: True)

    with pytest.raises(InputError, match="every student could do everything"):
        write_room(tmp_path, [ADA], one_account=True)


def test_a_folder_that_others_cannot_enter_is_refused(tmp_path):
    closed = tmp_path / "closed"
    closed.mkdir(mode=0o700)

    with pytest.raises(InputError, match="closed to other accounts"):
        hub_accounts.check_reach(closed / "room", ["ada"])


def test_a_name_too_long_for_a_kernels_socket_is_refused(tmp_path, monkeypatch):
    monkeypatch.setattr(hub_accounts, "__file__", "/usr/x/y")
    monkeypatch.setattr(hub_accounts.sys, "prefix", "/usr")
    monkeypatch.setattr(hub_accounts.sys, "executable", "/usr/bin/env")
    where = hub_accounts.Path("/srv") / ("x" * 60)

    with pytest.raises(InputError, match="read 65 bytes, allowed 3"):
        hub_accounts.check_reach(where, ["ada"])


def test_a_missing_part_is_named_with_its_cure(tmp_path, monkeypatch):
    monkeypatch.setattr(hub, "find_spec", lambda name: None)

    with pytest.raises(BounceLabError, match=r"pip install \"bouncelab\[hub\]\""):
        write_room(tmp_path, [ADA], one_account=True)


def test_windows_is_told_what_else_there_is(tmp_path, monkeypatch):
    monkeypatch.setattr(hub, "os", SimpleNamespace(name="nt"))

    with pytest.raises(BounceLabError, match="or the site: bouncelab site FOLDER"):
        write_room(tmp_path, [ADA], one_account=True)


def test_every_setting_is_one_that_the_classes_know(room):
    from jupyter_server.services.kernels.kernelmanager import MappingKernelManager
    from jupyterhub.app import JupyterHub
    from jupyterhub.proxy import ConfigurableHTTPProxy

    from bouncelab.publish.hub_entry import ClassList
    from bouncelab.publish.hub_server import OneAccountSeat, Seat

    known = {
        each.__name__: each
        for each in (JupyterHub, ConfigurableHTTPProxy, ClassList, OneAccountSeat, Seat)
    }
    for apart in (True, False):
        text = hub_file(
            room.folder,
            port=8000,
            address="127.0.0.1",
            students=["ada"],
            teacher="teacher",
            apart=apart,
            limits=LIMITS,
        )
        names = [ast.unparse(node.targets[0]) for node in assignments(text)]
        assert len(names) > 20
        for name in names:
            _, owner, trait = name.split(".")
            assert known[owner].class_traits(config=True).get(trait), name
    assert MappingKernelManager.cull_interval
    assert seat_file(LIMITS).count("\n") > 5


def assignments(text):
    nodes = ast.parse(text).body
    return [
        node
        for node in nodes
        if isinstance(node, ast.Assign) and ast.unparse(node).startswith("c.")
    ]


def test_the_settings_load_in_jupyterhub_itself(room):
    c = settings_of(room)

    assert c.JupyterHub.bind_url == f"http://127.0.0.1:{room.port}"
    assert c.JupyterHub.hub_port == room.port + 1
    assert c.OneAccountSeat.mem_limit == LIMITS.memory_bytes
    assert "--timeout=3600" in c.JupyterHub.services[0]["command"]
    assert c.JupyterHub.load_groups == {"class": {"users": ["ada-brook", "ben-carter"]}}


def test_own_settings_are_read_last_and_stay(room):
    own = room.folder / "own_config.py"
    own.write_text("c.JupyterHub.ssl_cert = '/etc/ours.pem'\n")
    write_room(room.folder, [ADA, BEN], one_account=True)

    assert own.read_text().startswith("c.JupyterHub.ssl_cert")
    last = room.settings.read_text().strip().splitlines()[-1]
    assert last.strip() == f"load_subconfig({str(own)!r})"


def test_a_network_address_and_one_account_are_looked_at(tmp_path, capsys):
    said = run(tmp_path, "Ada Brook\n", "--address", "0.0.0.0")
    told = capsys.readouterr()

    assert said == 1
    assert told.out.strip() == str(tmp_path / "room" / "jupyterhub_config.py")
    assert "pages and codes are apart, files are not" in told.err
    assert "IT staff" in told.err
    assert f"{sys.executable} -m jupyterhub -f" in told.err


def test_a_room_that_is_there_keeps_its_class_without_a_list(room, capsys):
    words = ["hub", str(room.folder), "--one-account", "--new-code", "ada-brook"]

    assert main(words) == 1  # one account is always looked at
    people = read_people(room.folder / "private" / "people.json")
    assert [each.login for each in people] == [each.login for each in room.people]
    assert all(each.secret for each in people)
    assert people[2] == room.people[2]
    assert people[1] != room.people[1]
    assert "New codes for ada-brook are in" in capsys.readouterr().err


def test_a_class_list_is_asked_for(tmp_path, capsys):
    assert main(["hub", str(tmp_path / "room")]) == 2
    assert "Write one name a line" in capsys.readouterr().err


def test_teachers_numbers_of_the_machine_are_held_to(monkeypatch):
    pytest.importorskip("resource", reason="limits of a Unix process")
    from bouncelab.publish.hub_server import OneAccountSeat

    asked = {}
    seat = OneAccountSeat(
        user=SimpleNamespace(name="ada", url="", server=None, settings={}),
        mem_limit="1G",
        processor_seconds=60,
        file_bytes=10**6,
        stand_back=0,
        home_dir_template=os.devnull,
    )
    monkeypatch.setattr(
        "resource.setrlimit", lambda kind, most: asked.update({kind: most})
    )
    mask = os.umask(0o022)
    try:
        seat.make_preexec_fn("ada")()
    finally:
        os.umask(mask)

    import resource

    assert asked[resource.RLIMIT_DATA] == (2**30, 2**30)
    assert asked[resource.RLIMIT_CPU] == (60, 60)
    assert asked[resource.RLIMIT_FSIZE] == (10**6, 10**6)
    assert resource.RLIMIT_NPROC not in asked


def test_the_teachers_place_is_told_from_the_students(room):
    c = settings_of(room)
    seat = c.OneAccountSeat
    links = json.loads(seat.environment["BOUNCELAB_LINKS"])

    assert links["hand-in"].endswith("/hand-in/{login}")
    other = json.loads(seat.teachers["teacher"]["BOUNCELAB_LINKS"])
    assert other["hand-in"] == str(room.folder / "hand-in")
    assert seat.teachers["teacher"]["BOUNCELAB_HAND_IN"] == ""


def test_a_folder_with_something_else_in_it_is_not_opened_to_all(tmp_path):
    (tmp_path / "photo.txt").write_text("mine")
    before = stat.S_IMODE(tmp_path.stat().st_mode)

    with pytest.raises(FileError, match="something else in it"):
        write_room(tmp_path, [ADA], port=free_port(), one_account=True)
    assert stat.S_IMODE(tmp_path.stat().st_mode) == before


def test_a_misspelt_room_is_not_said_to_be_closed(tmp_path, capsys):
    assert main(["hub", str(tmp_path / "rom"), "--close"]) == 2
    assert "no room" in capsys.readouterr().err
