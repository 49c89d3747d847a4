"""The commands that bring the kit to a class: a site, and a look at the machine."""

from __future__ import annotations

import argparse
import gc
import os
from pathlib import Path

from bouncelab.commands.offer import DONE, LOOK, Commands, show, show_json, tell
from bouncelab.errors import InputError

__all__ = ["offer"]


def offer(commands: Commands) -> None:
    """Offer ``site`` and ``doctor``.

    Parameters
    ----------
    commands : Commands
        Takes them.
    """
    site = commands.add(
        "site",
        "build the notebooks as a site that runs in the browser, nothing to install",
        "bouncelab site our-site --runtime pyodide",
        _site,
    )
    site.add_argument("folder", metavar="FOLDER", type=Path, help="where to write")
    site.add_argument(
        "--runtime",
        metavar="FOLDER",
        type=Path,
        help="the unpacked Pyodide release; BOUNCELAB_RUNTIME if left out",
    )
    commands.add(
        "doctor",
        "tell what works on this machine, and what to do about what does not",
        "bouncelab doctor",
        _doctor,
        json=True,
    )


def _site(options: argparse.Namespace) -> int:
    gc.enable()  # this is no short run
    from bouncelab.publish.runtime import FIND
    from bouncelab.publish.site import build_site

    named = options.runtime or os.environ.get("BOUNCELAB_RUNTIME")
    if not named:
        raise InputError(
            what="the runtime, Python for the browser",
            read="no folder",
            allowed="--runtime FOLDER, or BOUNCELAB_RUNTIME",
            do=FIND,
        )
    tell("Building the site takes about a minute ...")
    made = build_site(options.folder, Path(named))
    show([str(made.folder)])
    tell(
        f"{made.files} files, {made.size / 1e6:.0f} MB. Put the folder on a web "
        "server with https; opened as a file it does not run. To try it here: "
        f"python -m http.server --bind 127.0.0.1 --directory {made.folder}"
    )
    return DONE


def _doctor(options: argparse.Namespace) -> int:
    from bouncelab.publish.doctor import examine

    found = examine(Path.cwd())
    missing = [each.name for each in found if each.needed and not each.fine]
    if options.json:
        show_json([each._asdict() for each in found])
    else:
        for each in found:
            mark = "ok  " if each.fine else "LOOK" if each.needed else "no  "
            show([f"{mark}  {each.name}: {each.found}"])
            if each.do:
                show([f"      {each.do}"])
        show(["", _summary(missing, [e.name for e in found if not e.fine])])
    return LOOK if missing else DONE


def _summary(missing: list[str], lacking: list[str]) -> str:
    """Say in a sentence whether lessons can be held."""
    if missing:
        return f"Notebooks need these first: {', '.join(missing)}."
    if lacking:
        return (
            "Notebooks work here. What is marked “no” is needed only for that: "
            f"{'; '.join(lacking)}."
        )
    return "All of it works here."
