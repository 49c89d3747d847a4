"""A class's roll: who is on it, who came, who left, and the slips with their codes."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from pathlib import Path

from bouncelab.errors import FileError, InputError
from bouncelab.places import write_whole
from bouncelab.publish.hub_people import (
    Person,
    hashed,
    login_for,
    new_code,
    read_people,
    write_people,
)
from bouncelab.readings.gathered import guarded
from bouncelab.worksheets.roster import Student

__all__ = ["call_roll", "class_of", "keep_roll", "roll_of", "slips_of"]

_TEACHER = Student("Teacher", "\nteacher")  # no student is told apart so


def roll_of(folder: Path) -> Path:
    """Give the place of the list of who may enter.

    Parameters
    ----------
    folder : pathlib.Path
        The room.

    Returns
    -------
    pathlib.Path
        The file.
    """
    return folder / "private" / "people.json"


def slips_of(folder: Path) -> Path:
    """Give the place of the codes, which the teacher takes away.

    Parameters
    ----------
    folder : pathlib.Path
        The room.

    Returns
    -------
    pathlib.Path
        The file.
    """
    return folder / "private" / "codes.csv"


def class_of(folder: Path) -> list[Student]:
    """Give the class that a room was written for.

    Parameters
    ----------
    folder : pathlib.Path
        The room.

    Returns
    -------
    list of Student
        Without the teacher and who left; empty if there is no room yet.

    Raises
    ------
    FileError
        If there is a roll that cannot be read.
    """
    people = read_people(roll_of(folder))
    return [Student(p.name, p.who) for p in people if p.secret and not p.teacher]


def call_roll(
    folder: Path,
    students: Sequence[Student],
    new_codes: Sequence[str] = (),
    taken: Callable[[str], bool] = lambda login: False,
) -> tuple[list[Person], dict[str, str]]:
    """Work out who is on the roll; nothing is written.

    Parameters
    ----------
    folder : pathlib.Path
        The room. Who is on its roll keeps login and code.
    students : sequence of Student
        The class.
    new_codes : sequence of str, optional
        Logins that get another code.
    taken : callable, optional
        Says whether a login is somebody else's on this machine.

    Returns
    -------
    tuple of (list of Person, dict of str to str)
        The teacher, the class, and who left, without a secret; and the codes that
        are new, by login.

    Raises
    ------
    InputError
        If the class is empty, or a new code is asked for an unknown login.
    FileError
        If there is a roll that cannot be read.
    """
    if not students:
        raise InputError("the class", "nobody", "a student at least", "Add one.")
    before = {each.who: each for each in read_people(roll_of(folder))}
    logins = {each.login for each in before.values()}
    unknown = sorted(set(new_codes) - logins)
    if unknown:
        raise InputError(
            what="who gets a new code",
            read=", ".join(unknown),
            allowed=", ".join(sorted(logins)) or "logins of a room that is there",
            do="Use the login, as it stands in codes.csv.",
        )
    people: list[Person] = []
    codes: dict[str, str] = {}
    for student in (_TEACHER, *students):
        person = before.pop(student.who, None)
        if person is None:
            login = login_for(student.name, lambda one: one in logins or taken(one))
            logins.add(login)
            person = Person(student.name, student.who, login, "", student is _TEACHER)
        if not person.secret or person.login in new_codes:
            codes[person.login] = new_code()
            person = replace(person, secret=hashed(codes[person.login]))
        people.append(person)
    people += [replace(each, secret="") for each in before.values()]
    return people, codes


def keep_roll(folder: Path, people: Sequence[Person], codes: Mapping[str, str]) -> None:
    """Write roll and slips, into a part of the room that is closed to others.

    Parameters
    ----------
    folder : pathlib.Path
        The room; made if it is not there.
    people : sequence of Person
        Who is on the roll.
    codes : mapping of str to str
        The codes that are new, by login.

    Raises
    ------
    FileError
        If they cannot be written.
    """
    private = roll_of(folder).parent
    try:
        folder.mkdir(parents=True, exist_ok=True)
        private.mkdir(exist_ok=True)
        private.chmod(0o700)
    except OSError as error:
        raise FileError(
            what=str(folder),
            read="a file" if folder.is_file() else error.strerror or "an error",
            allowed="a folder that can be written",
            do="Choose another folder: bouncelab hub FOLDER.",
        ) from error
    # The slips first: a code that is lost cannot be worked out again.
    _keep_slips(slips_of(folder), people, codes)
    write_people(roll_of(folder), people)


def _keep_slips(path: Path, people: Sequence[Person], codes: Mapping[str, str]) -> None:
    """Add the new codes to those that the teacher has not taken away yet."""
    rows: dict[str, list[str]] = {}
    if path.exists():
        kept = list(csv.reader(io.StringIO(path.read_text("utf-8-sig"))))
        rows = {row[1]: row for row in kept[1:] if len(row) == 3}
    for each in people:
        if each.login in codes:
            rows[each.login] = [guarded(each.name), each.login, codes[each.login]]
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(["name", "login", "code"])
    writer.writerows(rows.values())
    write_whole(path, out.getvalue().encode("utf-8-sig"))
    path.chmod(0o600)
