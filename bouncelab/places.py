"""Find the kit's own folders on this machine, and write files whole."""

from __future__ import annotations

import os
from contextlib import suppress
from pathlib import Path

from bouncelab.errors import FileError

__all__ = ["kit_folder", "not_written", "write_whole"]

_PACKAGE = Path(__file__).resolve().parent


def kit_folder(name: str) -> Path:
    """Give one of the folders that stand at the top of the project.

    Parameters
    ----------
    name : {"data", "notebooks", "teacher_notes"}
        The folder's name.

    Returns
    -------
    pathlib.Path
        The folder: in a checkout the one at the top, in an installed kit the
        copy that travelled inside the wheel.

    Raises
    ------
    FileError
        If neither is there, so the installation is not whole.

    Examples
    --------
    >>> (kit_folder("data") / "bounce_ranges.csv").is_file()
    True
    """
    for folder in (_PACKAGE / "kit" / name, _PACKAGE.parent / name):
        if folder.is_dir():
            return folder
    raise FileError(
        what=f"the kit's folder {name}",
        read="nothing",
        allowed="the folder that is installed with bouncelab",
        do="Install bouncelab again; a file of it is missing.",
    )


def write_whole(path: Path, data: bytes) -> None:
    """Write a file so that either the old one or the whole new one is there.

    Parameters
    ----------
    path : pathlib.Path
        The file.
    data : bytes
        What it shall hold.

    Raises
    ------
    FileError
        If it cannot be written; an older file is then still as it was.
    """
    beside = path.with_name(f".{path.name}.{os.getpid()}.part")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with beside.open("wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        beside.replace(path)
    except OSError as error:
        with suppress(OSError):  # what is in the way may be in its way too
            beside.unlink()
        raise not_written(path, error) from error


def not_written(path: Path, error: OSError) -> FileError:
    """Give the words for a file that could not be written.

    Parameters
    ----------
    path : pathlib.Path
        The file.
    error : OSError
        What the machine said.

    Returns
    -------
    FileError
        To be raised.
    """
    if isinstance(error, FileExistsError | NotADirectoryError | IsADirectoryError):
        taken = path if path.is_dir() else path.parent
        return FileError(
            what=f"saving {path.name}",
            read=f"“{taken}”, which is a {'folder' if path.is_dir() else 'file'}",
            allowed="the name of a file in a folder",
            do="Choose another name.",
        )
    return FileError(
        what=f"saving {path.name}",
        read=(error.strerror or type(error).__name__).lower(),
        allowed="a folder that can be written, with space left on the disk",
        do="Free some space or ask for help, and leave this open meanwhile: "
        "what was typed is still here.",
    )
