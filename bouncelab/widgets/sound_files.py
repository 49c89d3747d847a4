"""Recordings that a notebook can open: the kit's, the student's own, and a new one."""

from __future__ import annotations

import filecmp
import importlib.util
import re
import shutil
import tempfile
from pathlib import Path, PurePosixPath

from bouncelab.errors import FileError, InputError
from bouncelab.places import kit_folder, not_written
from bouncelab.tables import read_table

__all__ = ["Recordings", "known_endings", "readable_endings"]

_DEMO = "invented/"
_WAV = (".wav",)
_ENDINGS = (*_WAV, ".flac", ".ogg", ".oga", ".mp3", ".aiff", ".aif", ".au")
_PHONES = (".m4a", ".mp4", ".aac", ".3gp", ".mov", ".webm", ".opus", ".amr", ".caf")
_MOST = 400_000_000  # bytes taken from a page; longer files go into the folder
_LONGEST_NAME = 60


class Recordings:
    """The recordings at hand.

    Parameters
    ----------
    folder : pathlib.Path
        Where the student's own are kept.
    data : pathlib.Path, optional
        The data that lie with the notebooks; the kit's own if left out, or if no
        recordings are there.

    Attributes
    ----------
    unsaved : str
        Name of the recording that is on no disk yet, or empty.

    Examples
    --------
    >>> "invented/futsal_ball.wav" in dict(Recordings(Path("none")).choices())
    True
    """

    def __init__(self, folder: Path, data: Path | None = None) -> None:
        self.folder = folder
        self.unsaved = ""
        lying = [each / "recordings" for each in (data, kit_folder("data")) if each]
        self._demos = next((f for f in lying if any(f.glob("*.wav"))), lying[-1])
        self._coming: tempfile.TemporaryDirectory[str] | None = None
        self._held: tempfile.TemporaryDirectory[str] | None = None

    def choices(self) -> list[tuple[str, str]]:
        """Give each recording's name and what to call it; the student's own first."""
        own = []
        if self.folder.is_dir():
            names = sorted(each.name for each in self.folder.iterdir())
            endings = (*_ENDINGS, *_PHONES)
            own = [(n, n) for n in names if n.lower().endswith(endings)]
        if self.unsaved:
            own.append((self.unsaved, f"{self.unsaved} (not saved)"))
        demos = [
            (_DEMO + name, f"invented: {ball}, {name}")
            for name, ball in self._listed().items()
        ]
        return own + demos

    def ball(self, name: str) -> str:
        """Give the ball of one of the kit's recordings, or an empty text."""
        bare = PurePosixPath(name).name
        return self._listed().get(bare, "") if name.startswith(_DEMO) else ""

    def _listed(self) -> dict[str, str]:
        if not (self._demos / "recordings.csv").is_file():
            return {}
        rows = read_table(self._demos / "recordings.csv", {})
        named = {row.text("file"): row.text("ball") for row in rows}
        return {n: ball for n, ball in named.items() if (self._demos / n).is_file()}

    def path(self, name: str) -> Path:
        """Give where a recording is.

        Parameters
        ----------
        name : str
            One of `choices`.

        Returns
        -------
        pathlib.Path
            The file.

        Raises
        ------
        FileError
            If it is not there (any more).
        """
        bare = PurePosixPath(name).name
        path = (self._demos if name.startswith(_DEMO) else self.folder) / bare
        if self._held is not None and name == self.unsaved:
            path = Path(self._held.name) / bare
        if not bare or not path.is_file():
            raise FileError(
                what=bare or "the recording",
                read="no such file",
                allowed="one of the recordings in the list",
                do=f"Choose another one, or put the file into {self.folder.name}.",
            )
        return path

    def take_piece(self, name: str, piece: bytes, *, first: bool) -> Path:
        """Take a piece of a file that comes from the page.

        Parameters
        ----------
        name : str
            What the file is called.
        piece : bytes
            What follows the pieces before.
        first : bool
            Whether a new file begins.

        Returns
        -------
        pathlib.Path
            Where the file is waiting to be accepted.

        Raises
        ------
        InputError
            If the file is too large to come this way.
        """
        if first or self._coming is None:
            self.refuse()
            self._coming = tempfile.TemporaryDirectory(prefix="bouncelab-")
        path = Path(self._coming.name) / _plain(name)
        with path.open("ab") as file:
            if file.tell() + len(piece) > _MOST:
                raise InputError(
                    what="the recording",
                    read="more than 400 MB",
                    allowed="what a page can hand over",
                    do=f"Put the file into the folder {self.folder.name} yourself.",
                )
            file.write(piece)
        return path

    def refuse(self) -> None:
        """Forget a file that came, and is no recording; what was there stays."""
        if self._coming is not None:
            self._coming.cleanup()
            self._coming = None

    def accept(self, path: Path, *, keep: bool) -> str:
        """Take in the file that came.

        Parameters
        ----------
        path : pathlib.Path
            Of `take_piece`.
        keep : bool
            Write it into the folder; otherwise it is held until another one comes,
            or until the notebook's kernel ends.

        Returns
        -------
        str
            Its name among `choices`.

        Raises
        ------
        FileError
            If it cannot be written.
        """
        if keep:
            name = self._kept(path)
            self.refuse()
            return name
        self.drop_unsaved()
        self._held, self._coming = self._coming, None
        self.unsaved = path.name
        return self.unsaved

    def save(self) -> str:
        """Keep the recording that is not saved yet.

        Returns
        -------
        str
            Its name among `choices`.

        Raises
        ------
        FileError
            If there is none, or it cannot be written.
        """
        name = self._kept(self.path(self.unsaved))
        self.drop_unsaved()
        return name

    def drop_unsaved(self) -> None:
        """Forget the recording that is not saved."""
        if self._held is not None:
            self._held.cleanup()
        self._held, self.unsaved = None, ""

    def _kept(self, coming: Path) -> str:
        """Move a file into the folder, under a name that no other file has there."""
        path = self.folder / coming.name
        number = 2
        while path.exists() and not filecmp.cmp(coming, path, shallow=False):
            path = self.folder / f"{coming.stem}-{number}{coming.suffix}"
            number += 1
        try:
            self.folder.mkdir(parents=True, exist_ok=True)
            if not path.exists():
                shutil.move(coming, path)
        except OSError as error:
            raise not_written(path, error) from error
        return path.name


def _plain(name: str) -> str:
    """Give a file's name without what names in a folder must not have."""
    bare = re.split(r"[/\\]", name)[-1]
    bare = re.sub(r"[^\w .()+-]", "_", bare).strip(" .") or "recording"
    stem, dot, ending = bare.rpartition(".")
    return f"{stem[:_LONGEST_NAME]}{dot}{ending[:8]}" if stem else bare


def known_endings() -> tuple[str, ...]:
    """Give the endings that a page's file chooser offers.

    Examples
    --------
    >>> ".m4a" in known_endings()
    True
    """
    return (*_ENDINGS, *_PHONES)


def readable_endings() -> tuple[str, ...]:
    """Give the endings of what can be read here; for others the browser is asked.

    Examples
    --------
    >>> ".wav" in readable_endings()
    True
    """
    if importlib.util.find_spec("av") is not None:
        return known_endings()
    return _ENDINGS if importlib.util.find_spec("soundfile") is not None else _WAV
