"""A folder with the kit's notebooks and data, where a person's work is safe."""

from __future__ import annotations

import hashlib
import json
from pathlib import Path

from bouncelab.errors import FileError
from bouncelab.places import kit_folder, write_whole

__all__ = ["KINDS", "OWN", "lay_out"]

OWN = ".bouncelab"  # the kit's own corner in a person's folder
# What of the kit a person works with, by folder.
KINDS = {
    "notebooks": (".ipynb",),
    "data": (".csv", ".md", ".xlsx"),
    "data/recordings": (".wav", ".csv"),
}


def lay_out(folder: Path) -> tuple[Path, list[str]]:
    """Copy the kit's notebooks and data into a folder; never over a person's work.

    Parameters
    ----------
    folder : pathlib.Path
        Where to put them; made if it is not there.

    Returns
    -------
    tuple of pathlib.Path and list of str
        The first notebook, and one sentence for each file that a person
        changed and that the kit has a newer form of.

    Raises
    ------
    FileError
        If the folder cannot be made or written.

    Notes
    -----
    A small list in the folder remembers the fingerprint of each file as the kit
    last wrote it. A file that still has it is brought up to date; any other is
    a person's work and stays, and a new form is put beside it once.

    Examples
    --------
    >>> from tempfile import TemporaryDirectory
    >>> with TemporaryDirectory() as place:
    ...     _, said = lay_out(Path(place))
    >>> said
    []
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
        (folder / OWN).mkdir(exist_ok=True)
        return _copy_kit(folder)
    except FileError:
        raise
    except OSError as error:
        raise FileError(
            what=str(folder),
            read="a file"
            if folder.is_file()
            else error.strerror or type(error).__name__,
            allowed="a folder that can be written",
            do="Choose another folder: bouncelab open FOLDER.",
        ) from error


def _copy_kit(folder: Path) -> tuple[Path, list[str]]:
    known = _remembered(folder)
    before = json.dumps(known)
    said: list[str] = []
    notebooks: list[Path] = []
    for name, endings in KINDS.items():
        if (folder / name.split("/")[0]).is_symlink():
            continue  # shared by many; whoever keeps it there keeps it up to date
        source = kit_folder(name)
        (folder / name).mkdir(exist_ok=True)
        for kit in sorted(p for p in source.iterdir() if p.suffix in endings):
            mine = folder / name / kit.name
            said += _place(kit.read_bytes(), mine, known, f"{name}/{kit.name}")
            if name == "notebooks":
                notebooks.append(mine)
    if json.dumps(known) != before:
        write_whole(folder / OWN / "files.json", json.dumps(known, indent=1).encode())
    if not notebooks:
        raise FileError(
            what="the kit's folder notebooks",
            read="no notebook",
            allowed="the notebooks that are installed with bouncelab",
            do="Install bouncelab again; files of it are missing.",
        )
    return notebooks[0], said


def _place(
    new: bytes, mine: Path, known: dict[str, dict[str, str]], name: str
) -> list[str]:
    """Put one file of the kit in its place, or beside what a person changed."""
    fingerprint = hashlib.sha256(new).hexdigest()
    memory = known.setdefault(name, {})
    if not mine.exists():
        write_whole(mine, new)
    else:
        found = hashlib.sha256(mine.read_bytes()).hexdigest()
        if found == memory.get("written"):
            if found != fingerprint:
                write_whole(mine, new)
        elif found != fingerprint:
            if fingerprint in (memory.get("written"), memory.get("beside")):
                return []  # the person's own form of what they were given
            beside = _free(mine)
            write_whole(beside, new)
            memory["beside"] = fingerprint
            return [
                f"{name} has your changes and stays as it is; "
                f"the kit's new form is in {beside.name}."
            ]
    memory["written"] = fingerprint
    return []


def _free(mine: Path) -> Path:
    number = 1
    while True:
        end = "-new" if number == 1 else f"-new-{number}"
        beside = mine.with_name(f"{mine.stem}{end}{mine.suffix}")
        if not beside.exists():
            return beside
        number += 1


def _remembered(folder: Path) -> dict[str, dict[str, str]]:
    try:
        read = json.loads((folder / OWN / "files.json").read_text("utf-8"))
        return {
            str(name): {str(key): str(value) for key, value in memory.items()}
            for name, memory in read.items()
        }
    except (FileNotFoundError, ValueError, AttributeError):
        return {}  # nothing is known, so every file that differs is a person's
