"""Who may enter the classroom server: logins and codes for the names of a class."""

from __future__ import annotations

import base64
import hashlib
import hmac
import json
import re
import secrets
import unicodedata
from collections.abc import Callable, Sequence
from dataclasses import asdict, dataclass
from pathlib import Path

from bouncelab.errors import FileError, InputError
from bouncelab.places import write_whole

__all__ = [
    "Person",
    "hashed",
    "login_for",
    "new_code",
    "people_text",
    "read_people",
    "same_code",
    "write_people",
]

_LETTERS = "abcdefghjkmnpqrstuvwxyz23456789"  # none that looks like another
_LOGIN = re.compile(r"[a-z][a-z0-9-]{0,23}")
_LONGEST = 24
_COST = {"n": 2**14, "r": 8, "p": 1, "dklen": 32}  # RFC 7914; about 50 ms a try


@dataclass(frozen=True, slots=True)
class Person:
    """One person of a class.

    Attributes
    ----------
    name, who : str
        As the class list has it, and what tells two of the same name apart.
    login : str
        What is typed to log in, and the name of the account.
    secret : str
        Salt and hash of the code; the code itself is kept nowhere.
    teacher : bool
        Whether this person sees what is handed in.
    """

    name: str
    who: str
    login: str
    secret: str
    teacher: bool = False


def login_for(name: str, taken: Callable[[str], bool]) -> str:
    """Make a login from a name: small Latin letters, digits and dashes.

    Parameters
    ----------
    name : str
        A person's name, in any script.
    taken : callable
        Says whether a login belongs to somebody else.

    Returns
    -------
    str
        The first free one; ``student`` with a number if no letter is left.

    Examples
    --------
    >>> login_for("Zoë O'Hara", lambda login: False)
    'zoe-o-hara'
    >>> login_for("Zoë O'Hara", lambda login: login == "zoe-o-hara")
    'zoe-o-hara-2'
    >>> login_for("李雷", lambda login: False)
    'student'
    """
    plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode()
    stem = "-".join(re.findall("[a-z0-9]+", re.sub("[’']s\\b", "s", plain.lower())))
    stem = re.sub("^[^a-z]+", "", stem)[: _LONGEST - 4].strip("-") or "student"
    number, login = 1, stem
    while taken(login):
        number += 1
        login = f"{stem}-{number}"
    return login


def new_code() -> str:
    """Give a code that nobody guesses: eight letters and digits, 8 × 10¹¹ in all.

    Returns
    -------
    str
        Such as ``k7qm-3xrd``.
    """
    letters = [secrets.choice(_LETTERS) for _ in range(8)]
    return "".join(letters[:4]) + "-" + "".join(letters[4:])


def hashed(code: str) -> str:
    """Give the form in which a code is kept.

    Parameters
    ----------
    code : str
        As on the slip.

    Returns
    -------
    str
        A fresh salt and the code's hash (scrypt, RFC 7914), apart by a dot.
    """
    salt = secrets.token_bytes(16)
    made = hashlib.scrypt(_typed(code), salt=salt, **_COST)
    return ".".join(base64.b64encode(each).decode() for each in (salt, made))


def same_code(code: str, kept: str) -> bool:
    """Tell whether a code is the one that was kept.

    Parameters
    ----------
    code : str
        As it was typed: capitals, spaces and a missing dash do not matter.
    kept : str
        What `hashed` gave.

    Returns
    -------
    bool
        Whether it is.

    Examples
    --------
    >>> same_code("K7QM 3XRD", hashed("k7qm-3xrd"))
    True
    >>> same_code("k7qm-3xre", hashed("k7qm-3xrd"))
    False
    """
    salt, wanted = (base64.b64decode(each) for each in kept.split("."))
    made = hashlib.scrypt(_typed(code), salt=salt, **_COST)
    return hmac.compare_digest(made, wanted)


def _typed(code: str) -> bytes:
    return re.sub(r"[\s-]", "", code.lower()).encode("utf-8", "replace")


def read_people(path: Path) -> list[Person]:
    """Read who may enter.

    Parameters
    ----------
    path : pathlib.Path
        What `write_people` wrote; it need not be there yet.

    Returns
    -------
    list of Person
        In the order of the class list.

    Raises
    ------
    FileError
        If it is there and cannot be read.
    """
    try:
        read = json.loads(path.read_text("utf-8"))
        people = [Person(**each) for each in read]
        if any(not _LOGIN.fullmatch(each.login) for each in people):
            raise ValueError
    except (FileNotFoundError, NotADirectoryError):
        return []
    except (OSError, ValueError, TypeError) as error:
        raise FileError(
            what=f"the list of who may enter, {path}",
            read=getattr(error, "strerror", None) or "something else",
            allowed="the list as bouncelab hub wrote it",
            do="Put a copy of it back. Without it, everyone needs a new code.",
        ) from error
    return people


def people_text(people: Sequence[Person]) -> str:
    """Give the list as it is written.

    Parameters
    ----------
    people : sequence of Person
        Who.

    Returns
    -------
    str
        JSON; it holds no code.

    Examples
    --------
    >>> people_text([])
    '[]'
    """
    return json.dumps([asdict(each) for each in people], indent=1, ensure_ascii=False)


def write_people(path: Path, people: Sequence[Person]) -> None:
    """Write who may enter, for nobody but this account to read.

    Parameters
    ----------
    path : pathlib.Path
        The file, in a folder that is closed to others.
    people : sequence of Person
        Who.

    Raises
    ------
    FileError
        If it cannot be written.
    InputError
        If two of them would share a login.
    """
    logins = [each.login for each in people]
    if len(set(logins)) < len(logins):
        raise InputError("logins", "one of them twice", "each once", "Rename one.")
    write_whole(path, people_text(people).encode())
    path.chmod(0o600)
