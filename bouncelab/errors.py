"""What went wrong, in words that someone holding a ball can act on.

BounceLabError
+-- InputError      something typed, or passed to a function, cannot be used
|   +-- UnitError   a unit is missing, unknown, or measures another quantity
+-- FileError       a file cannot be read or written; names the file
|   +-- TableError  a file was opened, but its table cannot be used
+-- NotebookError   a notebook lacks something that the kit needs
"""

from __future__ import annotations

__all__ = [
    "BounceLabError",
    "FileError",
    "InputError",
    "NotebookError",
    "TableError",
    "UnitError",
]


class BounceLabError(Exception):
    """Base of every error that the kit raises on purpose.

    Parameters
    ----------
    what : str
        The thing that was being read, in the reader's words.
    read : str
        What stood there.
    allowed : str
        What could have stood there.
    do : str
        The next step, as a whole sentence.
    """

    def __init__(self, what: str, read: str, allowed: str, do: str) -> None:
        super().__init__(what, read, allowed, do)
        self.what = what
        self.read = read
        self.allowed = allowed
        self.do = do

    def __str__(self) -> str:
        return f"{self.what}: read {self.read}, allowed {self.allowed}. {self.do}"

    def __reduce__(self) -> tuple[type[BounceLabError], tuple[str, str, str, str]]:
        # OSError would forget the last of its four texts on the way from a process.
        return type(self), (self.what, self.read, self.allowed, self.do)

    def _render_traceback_(self) -> list[str]:
        # A notebook shows this in place of a traceback: the words are for the
        # person who typed, and no line of code would help them.
        return [str(self)]


class InputError(BounceLabError, ValueError):
    """A number, a word or an argument cannot be used."""


class UnitError(InputError):
    """A unit is missing, unknown, or measures something else."""


class FileError(BounceLabError, OSError):
    """A file cannot be opened, read or written; `what` names it."""

    def __str__(self) -> str:
        # OSError has a __str__ of its own that would come first.
        return BounceLabError.__str__(self)


class TableError(FileError, ValueError):
    """A file's table cannot be used; `what` names file, row and column."""


class NotebookError(BounceLabError, ValueError):
    """A notebook lacks something that the kit needs."""
