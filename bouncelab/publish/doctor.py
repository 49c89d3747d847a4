"""What works on this machine, and what to do about what does not."""

from __future__ import annotations

import importlib
import os
import shutil
import sys
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from typing import NamedTuple

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
    pip = f"{sys.executable} -m pip install"
    return [
        _sign("Python", number, True, "", needed=True),
        _package("JupyterLab", "jupyterlab", "jupyterlab", f"{pip} jupyterlab", True),
        _package("the drop lab", "anywidget", "anywidget", f"{pip} anywidget", True),
        _disk(folder),
        _memory(),
        _fonts(),
        _pandoc(f'{pip} "bouncelab[papers]"'),
        _package("PDF (typst)", "typst", "typst", f'{pip} "bouncelab[papers]"', False),
        _browser(),
        _package("sound files", "soundfile", "soundfile", f"{pip} soundfile", False),
    ]


def _sign(name: str, found: str, fine: bool, do: str, *, needed: bool) -> Sign:
    return Sign(name, found, fine, needed, "" if fine else do)


def _package(name: str, package: str, module: str, how: str, needed: bool) -> Sign:
    """Try the import itself: a package can be there and its library not."""
    try:
        importlib.import_module(module)
        return _sign(name, version(package), True, "", needed=needed)
    except (ImportError, OSError, PackageNotFoundError) as error:
        missing = isinstance(error, (ModuleNotFoundError, PackageNotFoundError))
        found = "not installed" if missing else f"does not start: {error}"
        return _sign(name, found, False, f"Install it: {how}", needed=needed)


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
    from matplotlib import font_manager

    try:
        path = font_manager.findfont("DejaVu Sans", fallback_to_default=False)
    except ValueError:
        do = "Install matplotlib again; it brings this font."
        return _sign("font of the figures", "none", False, do, needed=True)
    return _sign("font of the figures", Path(path).name, True, "", needed=True)


def _pandoc(how: str) -> Sign:
    name, do = "papers (pandoc)", f"Install it: {how}"
    try:
        import pypandoc

        return _sign(name, pypandoc.get_pandoc_version(), True, "", needed=False)
    except (ImportError, OSError):
        return _sign(name, "not found", False, do, needed=False)


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
