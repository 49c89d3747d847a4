"""One account of the system for each student, and folders that keep them apart."""

from __future__ import annotations

import os
import shutil
import stat
import subprocess
import sys
from collections.abc import Iterable
from contextlib import suppress
from pathlib import Path

from bouncelab.errors import BounceLabError, FileError, InputError
from bouncelab.places import kit_folder

__all__ = [
    "account_taken",
    "at_work",
    "can_make_accounts",
    "check_reach",
    "is_root",
    "lay_shared",
    "remove_account",
    "seat_account",
    "who_listens",
]

_LONGEST_SOCKET = 107  # bytes of a socket's path on Linux
_SOCKET = len("/.kernels/kernel-01234567-89ab-cdef-0123-456789abcdef-ipc-1")


def is_root() -> bool:
    """Tell whether this run may do everything on the machine.

    Returns
    -------
    bool
        Whether it may.
    """
    return hasattr(os, "geteuid") and os.geteuid() == 0


def can_make_accounts() -> bool:
    """Tell whether this run may make accounts: as root, on a Linux with useradd.

    Returns
    -------
    bool
        Whether it may.
    """
    return is_root() and shutil.which("useradd") is not None


def account_taken(login: str, home: Path) -> bool:
    """Tell whether a login is somebody else's on this machine.

    Parameters
    ----------
    login : str
        The login.
    home : pathlib.Path
        Where its home would be; an account with this very home is the student's own.

    Returns
    -------
    bool
        Whether it is.
    """
    import grp
    import pwd

    try:
        return Path(pwd.getpwnam(login).pw_dir) != home
    except KeyError:
        pass
    try:
        grp.getgrnam(login)
    except KeyError:
        return False
    return True


def check_reach(folder: Path, logins: Iterable[str]) -> None:
    """See that students will get to their homes and to this Python.

    Parameters
    ----------
    folder : pathlib.Path
        The room's folder.
    logins : iterable of str
        Who will work in it.

    Raises
    ------
    InputError
        If a folder on the way is closed to them, or the way is too long.
    """
    package = Path(__file__).resolve().parent.parent
    for asked in (folder, Path(sys.prefix), Path(sys.executable).resolve(), package):
        for each in (asked, *asked.parents):
            if each.exists() and not each.stat().st_mode & stat.S_IXOTH:
                raise InputError(
                    what=str(asked),
                    read=f"“{each}”, which is closed to other accounts",
                    allowed="a place that students' accounts can get to",
                    do="Put the room under /srv, and install the kit with the system's "
                    "own Python: /usr/bin/python3 -m venv /opt/bouncelab.",
                )
    longest = max((len(os.fsencode(each)) for each in logins), default=0)
    room = len(os.fsencode(folder)) + len("/homes/") + longest + _SOCKET
    if room > _LONGEST_SOCKET:
        raise InputError(
            what="the folder's whole name",
            read=f"{len(os.fsencode(folder))} bytes",
            allowed=f"{len(os.fsencode(folder)) - room + _LONGEST_SOCKET} or fewer",
            do="Choose a shorter one, such as /srv/bouncelab.",
        )


def seat_account(folder: Path, login: str, *, teacher: str) -> None:
    """Make a student's account, a home and a box to hand in; or put them right.

    Parameters
    ----------
    folder : pathlib.Path
        The room's folder.
    login : str
        The account.
    teacher : str
        The account whose group reads the box; this very login for the teacher.

    Raises
    ------
    BounceLabError
        If the system refuses.
    """
    import pwd

    home, box = folder / "homes" / login, folder / "hand-in" / login
    try:
        pwd.getpwnam(login)
    except KeyError:
        _system(
            *("useradd", "--no-create-home", "--user-group", "--no-log-init"),
            *("--home-dir", str(home), "--shell", "/usr/sbin/nologin"),
            *("--comment", "bouncelab classroom", login),
        )
    _give(home, login, login, 0o700)
    if login != teacher:
        _give(box, login, teacher, 0o2770)  # new files in it are the teacher's to read


def _give(place: Path, owner: str, group: str, mode: int) -> None:
    """Make a folder somebody's, with all that was in it under another account."""
    import grp
    import pwd

    uid, gid = pwd.getpwnam(owner).pw_uid, grp.getgrnam(group).gr_gid
    place.mkdir(parents=True, exist_ok=True)
    found = place.stat()
    # Only what no student owns now is walked through: an owner who swaps a folder for
    # a link meanwhile would be given what the link leads to. Each name is taken in the
    # folder that is open, and not by a path, for the same reason.
    if found.st_uid != uid:
        for _, folders, files, top in os.fwalk(place):  # follows no link
            for each in (*folders, *files):
                os.chown(each, uid, gid, dir_fd=top, follow_symlinks=False)
    os.chown(place, uid, gid)
    place.chmod(mode)


def lay_shared(folder: Path, *, teacher: str | None) -> None:
    """Make the folders that are everyone's: homes, boxes, demo data, the teacher's.

    Parameters
    ----------
    folder : pathlib.Path
        The room's folder.
    teacher : str or None
        The teacher's account; None where all share one account.

    Raises
    ------
    FileError
        If they cannot be made.
    """
    try:
        # Students pass through the first two, and cannot list them.
        for name, mode in {
            "homes": 0o711,
            "hand-in": 0o751,
            "shared": 0o755,
            "shared/from-teacher": 0o755,
        }.items():
            (folder / name).mkdir(parents=True, exist_ok=True)
            (folder / name).chmod(mode)
        if teacher is not None:
            shutil.chown(folder / "hand-in", group=teacher)
            shutil.chown(folder / "shared" / "from-teacher", teacher, teacher)
        data = folder / "shared" / "data"
        shutil.copytree(kit_folder("data"), data, dirs_exist_ok=True)
        for each in (data, *data.rglob("*")):
            each.chmod(0o755 if each.is_dir() else 0o644)
    except (OSError, LookupError) as error:
        if isinstance(error, BounceLabError):
            raise
        raise FileError(
            what=str(folder),
            read=getattr(error, "strerror", None) or str(error),
            allowed="a folder that can be written",
            do="Choose another folder, or run it as root.",
        ) from error


def remove_account(folder: Path, login: str) -> None:
    """Take a student's account away; every file stays where it is.

    Parameters
    ----------
    folder : pathlib.Path
        The room's folder.
    login : str
        The account. One whose home is elsewhere is not touched.

    Raises
    ------
    BounceLabError
        If the system refuses, as it does while the student is at work.
    """
    import pwd

    try:
        ours = Path(pwd.getpwnam(login).pw_dir) == folder / "homes" / login
    except KeyError:
        return
    if not ours:
        return
    _system("userdel", login)
    for name in ("homes", "hand-in"):  # whoever gets the account's number later
        place = folder / name / login
        if place.is_dir():
            shutil.chown(place, "root", "root")
            place.chmod(0o700)


def at_work(folder: Path, logins: Iterable[str]) -> list[str]:
    """Give the accounts of a room for which something still runs.

    Parameters
    ----------
    folder : pathlib.Path
        The room's folder.
    logins : iterable of str
        Accounts; those whose home is elsewhere do not count.

    Returns
    -------
    list of str
        Their logins.
    """
    import pwd

    numbers = {}
    for login in logins:
        with suppress(KeyError):
            account = pwd.getpwnam(login)
            if Path(account.pw_dir) == folder / "homes" / login:
                numbers[account.pw_uid] = login
    running = set()
    for process in Path("/proc").glob("[0-9]*"):
        with suppress(OSError):  # it ended meanwhile
            running.add(process.stat().st_uid)
    return sorted(login for number, login in numbers.items() if number in running)


def who_listens(port: int) -> set[int]:
    """Give whose programs listen on a port of this machine.

    Parameters
    ----------
    port : int
        The port.

    Returns
    -------
    set of int
        Numbers of accounts; empty if nobody listens.

    Notes
    -----
    Linux tells in ``/proc/net/tcp``: address, state (10 for listening), owner.
    """
    found = set()
    for table in ("tcp", "tcp6"):
        with suppress(OSError):
            for line in Path("/proc/net", table).read_text("ascii").splitlines()[1:]:
                cells = line.split()
                if cells[3] == "0A" and int(cells[1].rpartition(":")[2], 16) == port:
                    found.add(int(cells[7]))
    return found


def _system(*command: str) -> None:
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    if done.returncode:
        raise BounceLabError(
            what=f"the account {command[-1]}",
            read=" ".join(done.stderr.split()) or f"status {done.returncode}",
            allowed=f"that {command[0]} succeeds",
            do="Stop the server and wait a minute, if it runs; else ask whoever looks "
            "after this machine.",
        )
