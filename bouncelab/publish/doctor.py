"""What works on this machine, and what to do about what does not."""

from __future__ import annotations

import importlib
import os
import shutil
import subprocess
import sys
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from typing import NamedTuple

from bouncelab.typesetting.making import PaperError, pandoc_path

__all__ = ["Sign", "examine"]

_BROWSERS = ("chromium", "chromium-browser", "google-chrome", "chrome", "msedge")
_LEAST_DISK = 500e6  # bytes: an environment grows, and readings need little
_LEAST_MEMORY = 1e9  # bytes: a lab, one kernel and a browser's page


class Sign(NamedTuple):
    """One thing that was looked at.

    Attributes
    ----------
    name, found : str
        What it is, and what was found.
    fine, needed : bool
        Whether it works; whether notebooks and reports need it at all.
    do : str
        What to do; empty if it works.
    """

    name: str
    found: str
    fine: bool
    needed: bool
    do: str


def examine(folder: Path) -> list[Sign]:
    """Look at this machine.

    Parameters
    ----------
    folder : pathlib.Path
        Where a person wants to work.

    Returns
    -------
    list of Sign
        What was found, the most needed first.

    Examples
    --------
    >>> examine(Path())[0].name
    'Python'
    """
    number = ".".join(str(each) for each in sys.version_info[:3])
    return [
        _sign("Python", number, True, "", needed=True),
        _package("JupyterLab", "jupyterlab", "jupyterlab", needed=True),
        _package("the notebooks' panels", "anywidget", "anywidget", needed=True),
        _disk(folder),
        _memory(),
        _fonts(),
        _pandoc(),
        _package("PDF (typst)", "typst", "bouncelab[papers]"),
        _package("recordings (WAV, FLAC, OGG, MP3)", "soundfile", "soundfile"),
        _package("recordings of phones (M4A, MP4)", "av", "bouncelab[phone]"),
        _package("building the site", "jupyterlite-core", "bouncelab[site]"),
        _package("a classroom server", "jupyterhub", "bouncelab[hub]"),
        _browser(),
    ]


def _sign(name: str, found: str, fine: bool, do: str, *, needed: bool) -> Sign:
    return Sign(name, found, fine, needed, "" if fine else do)


def _package(name: str, package: str, asked: str, *, needed: bool = False) -> Sign:
    """Try the import itself: a package can be there and its library not."""
    try:
        importlib.import_module(package.replace("-", "_"))
        return _sign(name, version(package), True, "", needed=needed)
    except (ImportError, OSError, PackageNotFoundError) as error:
        missing = isinstance(error, (ModuleNotFoundError, PackageNotFoundError))
        found = "not installed" if missing else f"does not start: {error}"
        return _sign(name, found, False, _install(asked), needed=needed)


def _install(asked: str) -> str:
    return f'Install it: {sys.executable} -m pip install "{asked}"'


def _disk(folder: Path) -> Sign:
    free = shutil.disk_usage(folder).free
    writable = os.access(folder, os.W_OK)
    found = f"{free / 1e9:.1f} GB free" + ("" if writable else ", but not writable")
    do = "Work in a folder of your own, with half a gigabyte free."
    return _sign(
        f"disk at {folder}", found, writable and free >= _LEAST_DISK, do, needed=True
    )


def _memory() -> Sign:
    try:
        size = os.sysconf("SC_PHYS_PAGES") * os.sysconf("SC_PAGE_SIZE")
    except (AttributeError, ValueError, OSError):  # not told on this system
        return _sign("memory", "not told by this system", True, "", needed=True)
    do = "Close other programs, or let students use the site in their browsers."
    return _sign(
        "memory", f"{size / 1e9:.1f} GB", size >= _LEAST_MEMORY, do, needed=True
    )


def _fonts() -> Sign:
    name = "font of the figures"
    try:
        from matplotlib import font_manager

        path = font_manager.findfont("DejaVu Sans", fallback_to_default=False)
    except (ImportError, OSError, ValueError):
        do = "Install matplotlib again; it brings this font."
        return _sign(name, "none", False, do, needed=True)
    return _sign(name, Path(path).name, True, "", needed=True)


def _pandoc() -> Sign:
    """Try the very program that papers are made with."""
    name = "papers (pandoc)"
    try:
        told = subprocess.run(
            [pandoc_path(), "--version"], capture_output=True, encoding="utf-8"
        )
        number = told.stdout.split()[1]
    except (PaperError, OSError, IndexError) as error:
        missing = isinstance(error, (PaperError, FileNotFoundError))
        found = "not found" if missing else "does not start"
        return _sign(name, found, False, _install("bouncelab[papers]"), needed=False)
    return _sign(name, number, True, "", needed=False)


def _browser() -> Sign:
    named = os.environ.get("BOUNCELAB_CHROMIUM")
    found = named if named and Path(named).exists() else None
    found = found or next(filter(None, map(shutil.which, _BROWSERS)), None)
    do = (
        "Any up-to-date browser opens the notebooks; only the project's own tests need "
        "Chromium or Chrome."
    )
    return _sign(
        "Chromium or Chrome", found or "not found", bool(found), do, needed=False
    )
