"""JupyterLab on this computer, with the kit's defaults, for `bouncelab open`."""

from __future__ import annotations

import importlib.util
import json
import os
import secrets
import socket
import subprocess
import sys
import time
import urllib.request
import webbrowser
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from urllib.parse import quote

from bouncelab.errors import BounceLabError, InputError
from bouncelab.places import write_whole
from bouncelab.publish.desk import OWN

__all__ = ["SETTINGS", "Lab", "is_free", "open_browser", "start"]

HOST = "127.0.0.1"  # this computer only
FIRST_PORT, PORTS = 8888, 50

_READY_SECONDS = 90.0
_STOP_SECONDS = 10.0
_TRIES = 5
_ARROWS = {
    "ArrowUp": "notebook:move-cursor-up",
    "ArrowDown": "notebook:move-cursor-down",
    "ArrowLeft": "notebook:move-cursor-heading-above-or-collapse",
    "ArrowRight": "notebook:move-cursor-heading-below-or-expand",
}
# Sliders keep their arrow keys; no page asks the world outside for news.
SETTINGS: dict[str, Any] = {
    "@jupyterlab/apputils-extension:notification": {
        "checkForUpdates": False,
        "doNotDisturbMode": True,
        "fetchNews": "false",
    },
    "@jupyterlab/notebook-extension:tracker": {"windowingMode": "none"},
    "@jupyterlab/shortcuts-extension:shortcuts": {
        "shortcuts": [
            {
                "command": command,
                "keys": [key],
                "selector": (
                    ".jp-Notebook.jp-mod-commandMode:not(.jp-mod-readWrite) :focus"
                ),
                "disabled": True,
            }
            for key, command in _ARROWS.items()
        ]
    },
}


@dataclass(frozen=True, slots=True)
class Lab:
    """A running JupyterLab.

    Attributes
    ----------
    address : str
        What to open in a browser; holds the secret token.
    port : int
        Where it listens, on this computer only.
    process : subprocess.Popen
        The server.
    token : str
        The secret that lets a browser in.
    """

    address: str
    port: int
    process: subprocess.Popen[bytes]
    token: str

    def wait(self) -> int:
        """Wait until the server ends by itself; give its exit status."""
        return self.process.wait()

    def stop(self) -> None:
        """End the server and its kernels: ask first, then insist."""
        if self.process.poll() is None:
            request = urllib.request.Request(
                f"http://{HOST}:{self.port}/api/shutdown", method="POST"
            )
            request.add_header("Authorization", f"token {self.token}")
            try:
                _opener().open(request, timeout=_STOP_SECONDS).close()
                self.process.wait(_STOP_SECONDS)
            except (OSError, subprocess.TimeoutExpired):
                self.process.terminate()
        try:
            self.process.wait(_STOP_SECONDS)
        except subprocess.TimeoutExpired:
            self.process.kill()
            self.process.wait()


def start(folder: Path, first: Path, *, port: int | None = None) -> Lab:
    """Start JupyterLab on a notebook and wait until it answers.

    Parameters
    ----------
    folder : pathlib.Path
        The folder a browser may see.
    first : pathlib.Path
        The notebook to open, inside `folder`.
    port : int, optional
        Where to listen. The first free one from 8888 on if none is given.

    Returns
    -------
    Lab
        The running server. Stop it with `Lab.stop`.

    Raises
    ------
    InputError
        If the port is taken or is no port.
    BounceLabError
        If JupyterLab is not installed, or does not start.

    Notes
    -----
    The person's own Jupyter settings stay in force and untouched: the kit only
    lays its defaults under them. The token travels in the environment, where
    other people on the machine cannot read it.
    """
    if importlib.util.find_spec("jupyterlab") is None:
        raise BounceLabError(
            what="JupyterLab",
            read="nothing installed",
            allowed="JupyterLab 4.3 or newer in the same Python",
            do=f"Install it: {sys.executable} -m pip install jupyterlab",
        )
    for left in reversed(range(_TRIES)):
        try:
            return _launch(folder, first, _free_port(port))
        except _PortTaken as error:
            # Another program was quicker; a port that was asked for is not changed.
            if port is not None or not left:
                raise BounceLabError(
                    error.what, error.read, error.allowed, error.do
                ) from error
    raise AssertionError("the last try returns or raises")


class _PortTaken(BounceLabError):
    """The port was free a moment ago."""


def _launch(folder: Path, first: Path, port: int) -> Lab:
    token = secrets.token_urlsafe(24)
    own = (folder / OWN).resolve()
    _write_settings(own)
    log = own / "jupyterlab.log"
    with log.open("wb") as out:
        process = subprocess.Popen(
            _command(folder.resolve(), own, port),
            env=_environment(own, token),
            stdin=subprocess.DEVNULL,
            stdout=out,
            stderr=subprocess.STDOUT,
            # Ctrl+C reaches the kit alone, which then stops the server in order.
            start_new_session=os.name == "posix",
            creationflags=getattr(subprocess, "CREATE_NEW_PROCESS_GROUP", 0),
        )
    inside = quote(first.resolve().relative_to(folder.resolve()).as_posix())
    lab = Lab(
        f"http://{HOST}:{port}/lab/tree/{inside}?token={token}", port, process, token
    )
    try:
        _wait_until_ready(lab, log)
    except BaseException:
        lab.stop()
        raise
    return lab


def open_browser(address: str) -> None:
    """Show an address in the person's browser, if there is a screen for one."""
    screens = ("DISPLAY", "WAYLAND_DISPLAY")
    has_screen = os.name != "posix" or sys.platform == "darwin"
    if has_screen or any(os.environ.get(name) for name in screens):
        webbrowser.open(address)


def _command(folder: Path, own: Path, port: int) -> list[str]:
    command = [
        sys.executable,
        "-m",
        "jupyterlab",
        f"--ServerApp.ip={HOST}",
        f"--ServerApp.port={port}",
        "--ServerApp.port_retries=0",
        "--ServerApp.open_browser=False",
        f"--ServerApp.root_dir={folder}",
        f"--LabApp.workspaces_dir={own / 'workspaces'}",
        "--LabApp.extension_manager=readonly",
    ]
    if hasattr(os, "geteuid") and os.geteuid() == 0:
        command.append("--allow-root")  # usual inside a container
    return command


def _environment(own: Path, token: str) -> dict[str, str]:
    theirs = os.environ.get("JUPYTER_CONFIG_PATH")
    mine = str(own / "jupyter")
    return {
        **os.environ,
        "JUPYTER_TOKEN": token,
        "JUPYTER_CONFIG_PATH": os.pathsep.join([mine, theirs] if theirs else [mine]),
        "JUPYTER_PREFER_ENV_PATH": "1",  # notebooks run with this very Python
    }


def _write_settings(own: Path) -> None:
    place = own / "jupyter" / "labconfig"
    place.mkdir(parents=True, exist_ok=True)
    write_whole(
        place / "default_setting_overrides.json",
        json.dumps(SETTINGS, indent=1).encode(),
    )


def _free_port(port: int | None) -> int:
    if port is not None and not 1 <= port <= 65535:
        raise InputError("port", str(port), "1 to 65535", "Choose another number.")
    tried = [port] if port else range(FIRST_PORT, FIRST_PORT + PORTS)
    for each in tried:
        if is_free(HOST, each):
            return each
    raise InputError(
        what="port",
        read=f"{port}, which is taken" if port else "no free one",
        allowed="a free port on this computer",
        do="Close the other server, or choose another with --port.",
    )


def is_free(address: str, port: int) -> bool:
    """Tell whether a server could listen here.

    Parameters
    ----------
    address : str
        An address of this computer.
    port : int
        The port.

    Returns
    -------
    bool
        Whether it could.
    """
    with socket.socket(socket.AF_INET, socket.SOCK_STREAM) as probe:
        if os.name == "posix":  # a port left a moment ago counts as free
            probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((address, port))
        except OSError:
            return False
        return True


def _opener() -> urllib.request.OpenerDirector:
    # A school's proxy must not stand between this computer and itself.
    return urllib.request.build_opener(urllib.request.ProxyHandler({}))


def _wait_until_ready(lab: Lab, log: Path) -> None:
    end = time.monotonic() + _READY_SECONDS
    request = urllib.request.Request(f"http://{HOST}:{lab.port}/api/status")
    request.add_header("Authorization", f"token {lab.token}")
    while time.monotonic() < end and lab.process.poll() is None:
        try:
            _opener().open(request, timeout=5).close()
        except OSError:
            time.sleep(0.1)
        else:
            return
    said = log.read_text("utf-8", "replace")
    last = said.strip().splitlines()
    kind = _PortTaken if "already in use" in said else BounceLabError
    raise kind(
        what="JupyterLab",
        read=last[-1] if last else "no answer",
        allowed=f"an answer within {_READY_SECONDS:.0f} s",
        do=f"Its own words are in {log}.",
    )
