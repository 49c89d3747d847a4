"""A folder from which JupyterHub serves one class: `bouncelab hub`."""

from __future__ import annotations

import json
import os
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from importlib.util import find_spec
from pathlib import Path

from bouncelab.errors import BounceLabError, FileError, InputError
from bouncelab.places import write_whole
from bouncelab.publish import hub_accounts
from bouncelab.publish.hub_people import Person, read_people
from bouncelab.publish.hub_roll import call_roll, keep_roll, roll_of, slips_of
from bouncelab.publish.hub_settings import (
    LIMITS,
    Limits,
    hub_file,
    lab_file,
    seat_file,
    service_file,
)
from bouncelab.publish.lab import HOST as HERE
from bouncelab.publish.lab import is_free
from bouncelab.worksheets.roster import Student

__all__ = ["Room", "close_room", "needs", "write_room"]

_PACKAGES = ("jupyterhub", "configurable_http_proxy", "jupyterhub_idle_culler")


@dataclass(frozen=True, slots=True)
class Room:
    """A room that was written.

    Attributes
    ----------
    folder : pathlib.Path
        Where.
    people : tuple of Person
        Who may enter, the teacher first.
    codes : dict of str to str
        The codes that were made this time, by login; they are kept nowhere but in
        the file for the teacher.
    apart : bool
        Whether each student has an account, so that files are really apart.
    address : str
        Of this machine.
    port : int
        Where pages are asked for.
    """

    folder: Path
    people: tuple[Person, ...]
    codes: dict[str, str]
    apart: bool
    address: str
    port: int

    @property
    def settings(self) -> Path:
        """The file for JupyterHub."""
        return self.folder / "jupyterhub_config.py"

    @property
    def slips(self) -> Path:
        """The file with the codes."""
        return slips_of(self.folder)


def needs() -> None:
    """See that what a classroom server runs on is installed.

    Raises
    ------
    BounceLabError
        If something is missing.
    """
    if os.name != "posix":
        raise BounceLabError(
            what="the classroom server",
            read="Windows",
            allowed="Linux; macOS to try it out",
            do="Use a Linux machine for the class, or the site: bouncelab site FOLDER.",
        )
    missing = [each for each in _PACKAGES if find_spec(each) is None]
    if missing:
        raise BounceLabError(
            what="the classroom server",
            read=f"no {', '.join(missing).replace('_', '-')}",
            allowed="JupyterHub, its proxy and its idle culler",
            do=f'Install them: {sys.executable} -m pip install "bouncelab[hub]"',
        )


def write_room(
    folder: Path,
    students: Sequence[Student],
    *,
    port: int | None = None,
    address: str | None = None,
    one_account: bool = False,
    new_codes: Sequence[str] = (),
    limits: Limits = LIMITS,
) -> Room:
    """Write a room for a class, or bring one up to date; nobody's work is touched.

    Parameters
    ----------
    folder : pathlib.Path
        Where; made if it is not there.
    students : sequence of Student
        The class. Who is in it already keeps login and code.
    port : int, optional
        Where pages are asked for; the two after it are used inside the machine. If
        left out, as before, or 8000.
    address : str, optional
        Of this machine in the school's network. If left out, as before, or this
        machine only.
    one_account : bool, optional
        Run everyone's server as the account that starts the hub.
    new_codes : sequence of str, optional
        Logins that get another code.
    limits : Limits, optional
        Of each student.

    Returns
    -------
    Room
        What was written.

    Raises
    ------
    BounceLabError
        If something cannot be used, made or written.
    """
    needs()
    folder = folder.resolve()
    apart = not one_account
    if apart and not hub_accounts.can_make_accounts():
        raise InputError(
            what="the account that this runs as",
            read="one that may make no accounts",
            allowed="root, on Linux; or --one-account",
            do="Run it as root, so that every student's files are closed to all "
            "others. With --one-account a curious student can read others' files.",
        )
    if one_account and hub_accounts.is_root():
        raise InputError(
            what="--one-account",
            read="the account root",
            allowed="an account without special rights",
            do="Leave it out: every student gets an account then. As root, every "
            "student could do everything on this machine.",
        )
    _check_folder(folder)
    before = _remembered(folder)
    address = address or str(before.get("address", HERE))
    port = int(before.get("port", 8000)) if port is None else port
    if (address, port) != (before.get("address"), before.get("port")):
        _check_ports(address, port)  # unchanged, it may be our own that runs there

    def taken(login: str) -> bool:
        home = folder / "homes" / login
        return apart and hub_accounts.account_taken(login, home)

    people, codes = call_roll(folder, students, new_codes, taken)
    if apart:
        hub_accounts.check_reach(folder, [each.login for each in people])
    room = Room(folder, tuple(people), codes, apart, address, port)
    keep_roll(folder, people, codes)
    folder.chmod(0o755)
    teacher = people[0].login
    if apart:
        hub_accounts.seat_account(folder, teacher, teacher=teacher)
    hub_accounts.lay_shared(folder, teacher=teacher if apart else None)
    for each in people[1:]:
        if apart:
            hub_accounts.seat_account(folder, each.login, teacher=teacher)
        else:
            (folder / "hand-in" / each.login).mkdir(exist_ok=True)
    _write_settings(room, limits)
    return room


def close_room(folder: Path) -> int:
    """Take the students' accounts away at the end of the year; every file stays.

    Parameters
    ----------
    folder : pathlib.Path
        The room.

    Returns
    -------
    int
        How many people it was.

    Raises
    ------
    InputError
        If no room is there, or somebody is still at work; no account is taken away.
    BounceLabError
        If the system refuses.
    """
    folder = folder.resolve()
    people = read_people(roll_of(folder))
    if not people:
        raise InputError(
            what=str(folder),
            read="no room",
            allowed="a folder that bouncelab hub wrote",
            do="Look at its name, such as /srv/bouncelab.",
        )
    busy = hub_accounts.at_work(folder, (each.login for each in people))
    if busy:
        raise InputError(
            what="the room",
            read=f"something still runs for {', '.join(busy)}",
            allowed="a room in which nobody is at work",
            do="Stop the server and wait a minute. What was left running ends with "
            f"“pkill -u {busy[0]}”, or when the machine starts again.",
        )
    for each in people:
        hub_accounts.remove_account(folder, each.login)
    return len(people)


def _check_folder(folder: Path) -> None:
    """See that it is a room, or empty: it will be opened for all to pass through."""
    if not folder.is_dir() or roll_of(folder).parent.is_dir():
        return
    if any(folder.iterdir()):
        raise FileError(
            what=str(folder),
            read="a folder with something else in it",
            allowed="a new folder, an empty one, or a room of the kit",
            do="Name another folder, such as /srv/bouncelab.",
        )


def _remembered(folder: Path) -> dict[str, str | int]:
    try:
        read = json.loads((folder / "private" / "room.json").read_text("utf-8"))
        return {"address": str(read["address"]), "port": int(read["port"])}
    except (OSError, ValueError, KeyError, TypeError):
        return {}  # a room that is not there yet, or was begun


def _write_settings(room: Room, limits: Limits) -> None:
    seats = room.folder / "jupyter"
    texts = {
        seats / "jupyter_server_config.py": seat_file(limits, sockets=room.apart),
        seats / "labconfig" / "default_setting_overrides.json": lab_file(),
        room.folder / "bouncelab-hub.service": service_file(room.folder),
        room.settings: hub_file(
            room.folder,
            port=room.port,
            address=room.address,
            students=[each.login for each in room.people[1:] if each.secret],
            teacher=room.people[0].login,
            apart=room.apart,
            limits=limits,
        ),
    }
    for path, text in texts.items():
        write_whole(path, text.encode())
        path.chmod(0o644)
        if path.parent != room.folder:
            path.parent.chmod(0o755)
    seats.chmod(0o755)
    told = {"address": room.address, "port": room.port}
    write_whole(room.folder / "private" / "room.json", json.dumps(told).encode())


def _check_ports(address: str, port: int) -> None:
    if not 1 <= port <= 65533:
        raise InputError("port", str(port), "1 to 65533", "Choose another number.")
    for place, each in ((address, port), *((HERE, port + k) for k in (1, 2))):
        if not is_free(place, each):
            raise InputError(
                what="where pages are asked for",
                read=f"{place}:{each}, which is taken or not this machine's",
                allowed="an address of this machine, and three ports from --port "
                "on that no other program uses",
                do="Choose another one with --port or --address.",
            )
