"""The `bouncelab` command: files and options in, results out."""

from __future__ import annotations

import argparse
import codecs
import gc
import os
import sys
from collections.abc import Sequence

from bouncelab.commands import (
    classroom,
    desk,
    findings,
    homework,
    lesson,
    marking,
    publishing,
    report,
    sound,
)
from bouncelab.commands.offer import DONE, FAILED, Commands, tell
from bouncelab.errors import BounceLabError

__all__ = ["main"]

_OFFERED = (
    desk,
    findings,
    report,
    lesson,
    homework,
    marking,
    sound,
    publishing,
    classroom,
)

# For consoles that cannot show these letters.
_LIKE = str.maketrans(
    {"−": "-", "√": "sqrt", "≥": ">=", "≤": "<=", "“": '"', "”": '"', "’": "'"}
)


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command.

    Parameters
    ----------
    argv : sequence of str, optional
        The words after ``bouncelab``; those of the command line if left out.

    Returns
    -------
    int
        0 done; 1 done, but something needs a person's eye; 2 not done.
    """
    codecs.register_error("alike", _alike)
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="alike")
    collecting = gc.isenabled()
    gc.disable()  # a run ends before rubbish matters, and its modules load faster
    try:
        commands = Commands(_version)
        for each in _OFFERED:
            each.offer(commands)
        options = commands.parser.parse_args(argv)
        status: int = options.run(options)
        sys.stdout.flush()
    except BounceLabError as error:
        from bouncelab.publish.console import visible

        tell("bouncelab: " + visible(" ".join(str(error).split())))
        return FAILED
    except BrokenPipeError:
        # Whoever read our output has left; nothing more can be said.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return FAILED
    except KeyboardInterrupt:
        tell("bouncelab: stopped.")
        return FAILED
    finally:
        if collecting:
            gc.enable()
    return status


def _version(
    parser: argparse.ArgumentParser, options: argparse.Namespace, names: Sequence[str]
) -> int:
    if not options.version:
        parser.error(f"a command is missing: {', '.join(names[:-1])} or {names[-1]}")
    from importlib.metadata import version

    print(f"bouncelab {version('bouncelab')}")
    return DONE


def _alike(error: UnicodeError) -> tuple[str, int]:
    """Write a letter that the console lacks as one that it has."""
    if not isinstance(error, UnicodeEncodeError):
        raise error
    text = error.object[error.start : error.end].translate(_LIKE)
    return text.encode("ascii", "replace").decode(), error.end
