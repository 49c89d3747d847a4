"""The command that writes a classroom server."""

from __future__ import annotations

import argparse
import shlex
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from bouncelab.commands.offer import DONE, LOOK, Commands, show, tell

if TYPE_CHECKING:
    from bouncelab.worksheets.roster import Student

__all__ = ["offer"]

_ONE_ACCOUNT = (
    "All students' servers run as one account: pages and codes are apart, files are "
    "not. A student who types code in a notebook can read and change others' files and "
    "what they handed in. Use it to try things out, or where everyone may see all."
)
_OPEN_NETWORK = (
    "Codes and pages travel readably through the network until your school's IT staff "
    "put a certificate or their own reverse proxy in front."
)
_CLUSTER = (
    "These settings were loaded with JupyterHub's and KubeSpawner's own classes, and "
    "never run on a cluster: the IT staff who look after yours should try them first."
)


def offer(commands: Commands) -> None:
    """Offer ``hub``.

    Parameters
    ----------
    commands : Commands
        Takes it.
    """
    hub = commands.add(
        "hub",
        "write a classroom server for JupyterHub: nothing to install on students' "
        "computers, each student's files closed to the others",
        "bouncelab hub /srv/bouncelab --students class.csv",
        _hub,
    )
    hub.add_argument(
        "folder",
        metavar="FOLDER",
        type=Path,
        help="where; run again, it takes in who is new and touches nobody's work",
    )
    hub.add_argument(
        "--students",
        metavar="FILE",
        type=Path,
        help="the class: a CSV or XLSX with a column name, or one name a line; "
        "may be left out if the room is there",
    )
    hub.add_argument(
        "--port",
        type=int,
        metavar="N",
        help="where pages are asked for, and two after it; else as before, or 8000",
    )
    hub.add_argument(
        "--address",
        help="of this machine in the network; else as before, or this machine only",
    )
    hub.add_argument(
        "--one-account",
        action="store_true",
        help="without root: all servers as this account, files NOT apart",
    )
    hub.add_argument(
        "--new-code",
        metavar="LOGIN",
        action="append",
        default=[],
        help="give this student another code; may be given several times",
    )
    hub.add_argument(
        "--cluster",
        metavar="IMAGE",
        help="write, in place of a room, settings for a Kubernetes cluster and the "
        "recipe of this image, such as registry.example/bouncelab:1",
    )
    hub.add_argument(
        "--close",
        action="store_true",
        help="at the end of the year: take the students' accounts away, keep the files",
    )


def _hub(options: argparse.Namespace) -> int:
    from bouncelab.publish.hub import close_room, write_room

    if options.close:
        count = close_room(options.folder)
        tell(f"{count} accounts taken away. All files are where they were.")
        return DONE
    students, notes = _class(options)
    for line in notes:
        tell(line.replace("got one more sheet", "got one more login"))
    if options.cluster:
        from bouncelab.publish.hub_cluster import write_cluster

        codes = write_cluster(options.folder, students, image=options.cluster)
        show([str(options.folder / "values.yaml")])
        _tell_codes(codes, options.folder)
        tell("LOOK:", _CLUSTER)
        return LOOK
    room = write_room(
        options.folder,
        students,
        port=options.port,
        address=options.address,
        one_account=options.one_account,
        new_codes=options.new_code,
    )
    show([str(room.settings)])
    _tell_codes(room.codes, room.folder)
    start = [sys.executable, "-m", "jupyterhub", "-f", str(room.settings)]
    tell("Start it:", shlex.join(start))
    looks = [_ONE_ACCOUNT] if options.one_account else []
    if room.address not in ("127.0.0.1", "localhost", "::1"):
        looks.append(_OPEN_NETWORK)
    for line in looks:
        tell("LOOK:", line)
    return LOOK if looks or notes else DONE


def _tell_codes(codes: dict[str, str], folder: Path) -> None:
    from bouncelab.publish.hub_roll import slips_of

    if codes:
        tell("New codes for", ", ".join(codes), f"are in {slips_of(folder)}:")
        tell("cut it into slips, give them out, and delete the file.")


def _class(options: argparse.Namespace) -> tuple[list[Student], list[str]]:
    """Read the class list; without one, a room that is there keeps its class."""
    from bouncelab.errors import InputError
    from bouncelab.publish.hub_roll import class_of
    from bouncelab.worksheets.roster import read_roster

    if options.students is not None:
        return read_roster(options.students)
    students = class_of(options.folder)
    if not students:
        raise InputError(
            what="--students",
            read="nothing",
            allowed="a file with the names of the class",
            do="Write one name a line, and give the file's name.",
        )
    return students, []
