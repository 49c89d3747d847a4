"""Find the kit's own notebooks, data and notes on this machine."""

from __future__ import annotations

from pathlib import Path

from bouncelab.errors import FileError

__all__ = ["kit_folder"]

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
