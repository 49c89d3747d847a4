"""The command that opens the notebooks."""

from __future__ import annotations

import argparse
import signal
from pathlib import Path

from bouncelab.commands.offer import DONE, FAILED, Commands, tell

__all__ = ["offer"]


def offer(commands: Commands) -> None:
    """Offer ``open``.

    Parameters
    ----------
    commands : Commands
        Takes it.
    """
    desk = commands.add(
        "open",
        "put notebooks and demo data in a folder and open JupyterLab on them",
        "bouncelab open our-lesson",
        _open,
    )
    desk.add_argument(
        "folder",
        metavar="FOLDER",
        nargs="?",
        type=Path,
        default=Path("bouncelab-work"),
        help="where to work; bouncelab-work if left out. Your own changes there stay",
    )
    desk.add_argument(
        "--no-browser", action="store_true", help="only print the address"
    )
    desk.add_argument(
        "--port",
        type=int,
        metavar="N",
        help="its port; if left out, the first free one",
    )


def _open(options: argparse.Namespace) -> int:
    from bouncelab.publish.desk import lay_out
    from bouncelab.publish.lab import open_browser, start

    first, said = lay_out(options.folder)
    for line in said:
        tell(line)
    tell("Starting JupyterLab ...")
    for name in ("SIGTERM", "SIGHUP", "SIGBREAK"):  # end in order, leave no server
        if hasattr(signal, name):
            signal.signal(getattr(signal, name), signal.default_int_handler)
    lab = start(options.folder, first, port=options.port)
    try:
        print(lab.address, flush=True)
        tell("Your work is saved in", options.folder.resolve(), "- Ctrl+C ends it.")
        if not options.no_browser:
            open_browser(lab.address)
        ended = lab.wait()
    except KeyboardInterrupt:
        return DONE
    finally:
        lab.stop()
    return DONE if ended == 0 else FAILED
