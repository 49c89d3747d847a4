"""Open a file that a person named, or say in one line why not."""

from __future__ import annotations

import difflib
import stat
from pathlib import Path

from bouncelab.errors import FileError, TableError

__all__ = ["MOST_BYTES", "bytes_of", "decode"]

MOST_BYTES = 200_000_000
_ADVICE = {
    ".xls": "Open it in a spreadsheet program and save it as XLSX or CSV.",
    ".ods": "Open it in a spreadsheet program and save it as XLSX or CSV.",
    ".numbers": "Export it as XLSX or CSV.",
    ".pdf": "Type the readings into a CSV file or into the notebook.",
    ".docx": "Copy the table into a spreadsheet and save it as CSV.",
}


def bytes_of(path: Path) -> bytes:
    """Give what a file holds.

    Parameters
    ----------
    path : pathlib.Path
        The file.

    Returns
    -------
    bytes
        At most `MOST_BYTES` of them, and not all blank.

    Raises
    ------
    FileError
        If it cannot be opened, is too large, or is of a kind that is not read.
    TableError
        If it is empty.
    """
    if path.suffix.lower() in _ADVICE and path.is_file():
        raise FileError(
            what=path.name,
            read=f"a {path.suffix.lower()} file",
            allowed="a CSV or XLSX file",
            do=_ADVICE[path.suffix.lower()],
        )
    try:
        mode = path.stat().st_mode
        if not stat.S_ISREG(mode):
            raise _no_file(path, "a folder" if stat.S_ISDIR(mode) else "a device")
        with path.open("rb") as file:
            data = file.read(MOST_BYTES + 1)
        size = max(len(data), path.stat().st_size)
    except FileError:
        raise
    except (OSError, ValueError) as error:
        raise _not_opened(path, error) from error
    if size > MOST_BYTES:
        raise FileError(
            what=path.name,
            read=f"{size / 1e6:.0f} MB",
            allowed=f"up to {MOST_BYTES / 1e6:.0f} MB",
            do="Split the file.",
        )
    if not data.strip(b"\x00 \t\r\n\xef\xbb\xbf\xff\xfe"):
        raise TableError(
            what=path.name,
            read="nothing: the file is empty",
            allowed="a line of headings and the rows below it",
            do="Save the table again from the program in which it was typed.",
        )
    return data


def _no_file(path: Path, read: str) -> FileError:
    return FileError(
        what=str(path),
        read=read,
        allowed="a CSV or XLSX file",
        do="Name the file inside the folder." if "folder" in read else "Save it first.",
    )


def _not_opened(path: Path, error: OSError | ValueError) -> FileError:
    if isinstance(error, (FileNotFoundError, NotADirectoryError, ValueError)):
        near = _near_names(path)
        return FileError(
            what=str(path).replace("\x00", "\ufffd"),
            read="no such file",
            allowed="a file that is there",
            do=f"Did you mean {near}?" if near else "Check the name and the folder.",
        )
    return FileError(
        what=str(path),
        read=(error.strerror or type(error).__name__).lower(),
        allowed="a file that may be read",
        do="Close other programs that use it, or ask who may read it.",
    )


def _near_names(path: Path) -> str:
    try:
        names = [p.name for p in path.parent.iterdir() if p.is_file()]
    except (OSError, ValueError):
        return ""
    return " or ".join(difflib.get_close_matches(path.name, names, n=2))


def decode(path: Path, data: bytes) -> str:
    r"""Give a file's text; each line ends in ``\n``.

    Parameters
    ----------
    path : pathlib.Path
        For messages.
    data : bytes
        UTF-8, UTF-16 with its mark, or what older spreadsheet programs write.

    Returns
    -------
    str
        The text.

    Raises
    ------
    TableError
        If it is no text.
    """
    for mark, encoding in (
        (b"\xef\xbb\xbf", "utf-8-sig"),
        (b"\xff\xfe", "utf-16"),
        (b"\xfe\xff", "utf-16"),
    ):
        if data.startswith(mark):
            text = data.decode(encoding, errors="replace")
            break
    else:
        text = _without_mark(path, data)
    odd = sum(1 for c in text[:4096] if ord(c) < 32 and c not in "\t\r\n\f\x1a")
    if odd > 8:
        raise _no_text(path)
    return text.replace("\r\n", "\n").replace("\r", "\n")


# What older spreadsheet programs write. Five bytes mean nothing in it; they keep
# their numbers, so that nothing is lost.
_WESTERN = {n: bytes([n]).decode("cp1252", "ignore") or chr(n) for n in range(128, 160)}


def _without_mark(path: Path, data: bytes) -> str:
    if b"\x00" in data:
        # Every second byte of plain text is zero in UTF-16.
        head = data[:400]
        for first, encoding in ((1, "utf-16-le"), (0, "utf-16-be")):
            if head[first::2].count(0) > 0.8 * len(head[first::2]):
                return data.decode(encoding, errors="replace")
        raise _no_text(path)
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError:
        return data.decode("latin-1").translate(_WESTERN)


def _no_text(path: Path) -> TableError:
    return TableError(
        what=path.name,
        read="bytes that are no text",
        allowed="a CSV file, which is text, or an XLSX workbook",
        do="Save the table again as CSV or XLSX.",
    )
