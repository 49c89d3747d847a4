"""Python for the browser: a folder that a release was unpacked in, verified."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any

from bouncelab.errors import FileError

__all__ = ["CORE", "FIND", "VERSION", "needed", "read_lock", "verify"]

VERSION = "0.27.7"
CORE = {
    "pyodide.asm.js": (
        "6b4c90de5b7172873f04f21884d0e9d2274e305fe32116558fe3e4fbe3618d51"
    ),
    "pyodide.asm.wasm": (
        "a50dd1843f805a0b7c45b61037ee0d7b26dfe85efe0e18ef95a34ad24e401f5f"
    ),
    "pyodide.js": "b4cb23a53aba19c221659b9fb40a2f18281d685691dc06647fb0afd0681baf98",
    "pyodide.mjs": "04c052c815abb0bf2981fa38c2dfa58e3120ee5288c956df2b2a15e301782c5f",
    "python_stdlib.zip": (
        "16611534726e5d8ac2bd8f926410b2dcb8d6f49aa24913463533b457a2115c16"
    ),
}
FIND = (
    f"Get pyodide-{VERSION}.tar.bz2 from the release {VERSION} at "
    "github.com/pyodide/pyodide/releases, unpack it, and name the folder with "
    "--runtime or in BOUNCELAB_RUNTIME."
)


def read_lock(folder: Path) -> dict[str, Any]:
    """Read a runtime's list of packages.

    Parameters
    ----------
    folder : pathlib.Path
        Where the release was unpacked.

    Returns
    -------
    dict
        What stands in its ``pyodide-lock.json``.

    Raises
    ------
    FileError
        If it is not there, cannot be read, or is of another version.
    """
    path = folder / "pyodide-lock.json"
    try:
        lock: dict[str, Any] = json.loads(path.read_text("utf-8"))
        found = str(lock["info"]["version"])
        lock["packages"].items()
    except (OSError, ValueError, KeyError, TypeError, AttributeError) as error:
        raise FileError(
            what=str(path),
            read="no list of packages",
            allowed=f"the unpacked release {VERSION} of Pyodide",
            do=FIND,
        ) from error
    if found != VERSION:
        raise FileError(
            what=str(path),
            read=f"version {found}",
            allowed=f"version {VERSION}, which the site's other parts fit",
            do=FIND,
        )
    return lock


def needed(packages: Mapping[str, Any], roots: Iterable[str]) -> list[str]:
    """Give the packages that some packages need, directly or not.

    Parameters
    ----------
    packages : mapping
        ``packages`` of a list of packages.
    roots : iterable of str
        Where to begin.

    Returns
    -------
    list of str
        Their names, sorted, the roots among them.

    Raises
    ------
    FileError
        If one is not in the list.

    Examples
    --------
    >>> needed({"a": {"depends": ["b"]}, "b": {"depends": []}, "c": {}}, ["a"])
    ['a', 'b']
    """
    found: set[str] = set()
    waiting = list(roots)
    while waiting:
        name = waiting.pop().replace("_", "-").lower()
        if name in found:
            continue
        if name not in packages:
            raise FileError(
                what="the runtime's list of packages",
                read=f"no {name}",
                allowed="every package that the kit needs",
                do=FIND,
            )
        found.add(name)
        waiting += packages[name]["depends"]
    return sorted(found)


def verify(folder: Path, sums: Mapping[str, str]) -> None:
    """Check that files are there and have the bytes that were published.

    Parameters
    ----------
    folder : pathlib.Path
        Where they are.
    sums : mapping of str to str
        The sha256 of each file's bytes.

    Raises
    ------
    FileError
        If one is missing or differs; every one that does is named.
    """
    missing, other = [], []
    for name, sha256 in sums.items():
        path = folder / name
        if not path.is_file():
            missing.append(name)
        elif hashlib.sha256(path.read_bytes()).hexdigest() != sha256:
            other.append(name)
    if missing or other:
        read = [f"no {name}" for name in missing]
        read += [f"other bytes than were published in {name}" for name in other]
        raise FileError(
            what=f"the runtime folder {folder}",
            read=", ".join(read),
            allowed=f"every file that is needed of release {VERSION} of Pyodide",
            do=FIND,
        )
