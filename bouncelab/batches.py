"""Long work in pieces: on any executor, with its progress said, and resumed."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Iterable, Sequence
from concurrent.futures import Executor, as_completed
from dataclasses import dataclass
from pathlib import Path
from typing import Any, TypeVar

from bouncelab.errors import BounceLabError
from bouncelab.places import not_written

__all__ = ["Done", "Ledger", "fingerprint", "local_processes", "run_pieces"]

Piece = TypeVar("Piece")


@dataclass(frozen=True, slots=True)
class Done:
    """What became of one piece of work.

    Attributes
    ----------
    name : str
        The piece.
    result : object
        What its function gave; None if it failed or was done before.
    error : str
        Why it failed, as one line; empty if it did not.
    before : bool
        Whether an earlier run had finished it.
    """

    name: str
    result: Any = None
    error: str = ""
    before: bool = False


class Ledger:
    """Which pieces an earlier run finished, a line each in a file.

    Parameters
    ----------
    path : pathlib.Path
        The file, in the folder that the pieces' files are made in. Lines that cannot
        be read, such as one cut off by a stop, count as work not done.
    """

    def __init__(self, path: Path) -> None:
        self.path = path
        self._finished: dict[str, tuple[str, list[str]]] = {}
        try:
            lines = path.read_bytes().split(b"\n")
        except OSError:
            lines = []
        for line in lines:
            try:
                name, mark, files = json.loads(line)
                self._finished[str(name)] = (str(mark), [str(each) for each in files])
            except (ValueError, TypeError):
                continue

    def has(self, name: str, mark: str) -> bool:
        """Tell whether a piece is finished for this input and its files still stand.

        Parameters
        ----------
        name : str
            The piece.
        mark : str
            Of its input, by `fingerprint`.

        Returns
        -------
        bool
            Whether it needs no work.
        """
        known, files = self._finished.get(name, ("", []))
        return known == mark and all(
            (self.path.parent / each).is_file() for each in files
        )

    def add(self, name: str, mark: str, files: Iterable[str]) -> None:
        """Note a finished piece, on the disk.

        Parameters
        ----------
        name : str
            The piece.
        mark : str
            Of its input.
        files : iterable of str
            What it made, by their paths from the ledger's folder.

        Raises
        ------
        FileError
            If it cannot be noted.
        """
        self._finished[name] = (mark, list(files))
        line = json.dumps([name, *self._finished[name]])
        try:
            self.path.parent.mkdir(parents=True, exist_ok=True)
            with self.path.open("ab") as file:
                file.write(f"\n{line}\n".encode())  # a cut-off line ends here
        except OSError as error:
            raise not_written(self.path, error) from error


def local_processes(workers: int | None = None) -> Executor:
    """Give processes on this machine to run pieces on.

    Parameters
    ----------
    workers : int, optional
        How many; one for each core if left out.

    Returns
    -------
    concurrent.futures.Executor
        To be closed by a ``with``.
    """
    from concurrent.futures import ProcessPoolExecutor
    from multiprocessing import get_context

    # Fresh processes work alike on every system, and with threads around.
    return ProcessPoolExecutor(workers, mp_context=get_context("spawn"))


def fingerprint(*parts: bytes | str) -> str:
    """Give a short text that differs when any part does.

    Parameters
    ----------
    *parts : bytes or str
        The input of a piece of work.

    Returns
    -------
    str
        Hexadecimal digits.

    Examples
    --------
    >>> fingerprint("ab", "c") == fingerprint("a", "bc")
    False
    """
    made = hashlib.blake2b(digest_size=16)
    for part in parts:
        data = part.encode() if isinstance(part, str) else part
        made.update(len(data).to_bytes(8, "little"))
        made.update(data)
    return made.hexdigest()


def run_pieces(
    work: Callable[[Piece], Any],
    pieces: Sequence[Piece],
    *,
    name: Callable[[Piece], str] = str,
    executor: Executor | None = None,
    done_before: Callable[[Piece], bool] | None = None,
    progress: Callable[[Done, int, int], None] | None = None,
) -> list[Done]:
    """Do a piece of work for each of many inputs; one that fails stops no other.

    Parameters
    ----------
    work : callable
        Gets a piece, gives a result. On processes or a cluster it must be a function
        of a module, and pieces and results must be picklable.
    pieces : sequence
        The inputs.
    name : callable, optional
        Gives the name of a piece.
    executor : concurrent.futures.Executor, optional
        What runs the pieces: threads, processes, or ``Client.get_executor()`` of a
        dask cluster. Without one they run here, one after the other.
    done_before : callable, optional
        Whether a piece needs no work.
    progress : callable, optional
        Told of each piece as it ends: what became of it, how many are done, of how
        many. It is called in this process, so it may write to a ledger.

    Returns
    -------
    list of Done
        In the order of the pieces.

    Examples
    --------
    >>> [each.result for each in run_pieces(len, ["ab", "c"])]
    [2, 1]
    """
    found: dict[int, Done] = {}

    def note(k: int, what: Done) -> None:
        found[k] = what
        if progress is not None:
            progress(what, len(found), len(pieces))

    waiting = []
    for k, piece in enumerate(pieces):
        if done_before is not None and done_before(piece):
            note(k, Done(name(piece), before=True))
        else:
            waiting.append(k)
    if executor is None:
        for k in waiting:
            note(k, _outcome(name(pieces[k]), lambda k=k: work(pieces[k])))  # type: ignore[misc]
    else:
        futures = {executor.submit(work, pieces[k]): k for k in waiting}
        try:
            for future in as_completed(futures):
                k = futures[future]
                note(k, _outcome(name(pieces[k]), future.result))
        finally:
            for future in futures:
                future.cancel()
    return [found[k] for k in range(len(pieces))]


def _outcome(name: str, result: Callable[[], Any]) -> Done:
    try:
        return Done(name, result())
    except BounceLabError as error:
        return Done(name, error=" ".join(str(error).split()))
    except Exception as error:
        return Done(
            name, error=f"{type(error).__name__}: {' '.join(str(error).split())}"
        )
