"""What of the browser's Python goes into the site, and how it is packed."""

from __future__ import annotations

import hashlib
import io
import json
import sys
import tarfile
import zipfile
from collections.abc import Mapping
from importlib.metadata import version
from pathlib import Path
from typing import Any

from bouncelab.errors import FileError
from bouncelab.publish.runtime import CORE, needed, verify
from bouncelab.publish.wheels import PURE, entry, find_wheel, make_wheel, own_wheel

__all__ = ["KERNEL", "LATER", "pack_runtime", "tightened"]

# What the kernel asks for one by one unless it is there at its start. It names ssl, but
# a site that asks no other server can do without its two megabytes.
KERNEL = (
    "micropip",
    "piplite",
    "ipykernel",
    "pyodide_kernel",
    "comm",
    "ipython",
    "jedi",
    "ssl",
    "sqlite3",
)
_EMPTY = ("ssl",)
_BUILDERS_OWN = {
    "ipykernel": ("traitlets",),
    "piplite": ("micropip",),
    "pyodide-kernel": ("ipython", "jedi", "ipykernel", "traitlets", "comm"),
}
# Fetched only when a lesson imports them: most need none.
LATER = ("openpyxl", "pint", "scipy", "sympy", "uncertainties")


def pack_runtime(work: Path, runtime: Path, lock: Mapping[str, Any]) -> Path:
    """Put what is needed of the runtime, and all wheels, where the builder looks.

    Parameters
    ----------
    work : pathlib.Path
        A folder to work in.
    runtime : pathlib.Path
        The unpacked release.
    lock : mapping
        Its list of packages.

    Returns
    -------
    pathlib.Path
        An archive as the builder wants it.

    Raises
    ------
    FileError
        If a file is missing, or has other bytes than were published.
    """
    own, wheel = own_wheel()
    packages = {**lock["packages"], "bouncelab": own}
    made: dict[str, bytes] = {own["file_name"]: wheel}
    for name in _EMPTY:
        packages[name], data = make_wheel(name, "0", {}, (), ())
        made[packages[name]["file_name"]] = data
    for name, depends in _BUILDERS_OWN.items():
        path = _builders_wheel(name)
        data = path.read_bytes()
        made[path.name] = data
        number, module = path.name.split("-")[1], name.replace("-", "_")
        sha256 = hashlib.sha256(data).hexdigest()
        packages[name] = entry(name, number, path.name, sha256, (module,), depends)
    (work / "fetched").mkdir()
    for name, pure in PURE.items():
        if name not in packages:
            packages[name] = entry(name, pure.file.split("-")[1], *pure)
            found = find_wheel(name, [runtime, _builders_folder()], work / "fetched")
            made[pure.file] = found.read_bytes()
    names = needed(packages, ("bouncelab", *KERNEL, *LATER))
    kept = {name: dict(packages[name]) for name in names}
    theirs = {each["file_name"]: each for each in kept.values()}
    theirs = {name: each for name, each in theirs.items() if name not in made}
    verify(runtime, {**CORE, **{name: e["sha256"] for name, e in theirs.items()}})
    for name, each in theirs.items():
        made[name] = tightened((runtime / name).read_bytes())
        each["sha256"] = hashlib.sha256(made[name]).hexdigest()
    made["pyodide-lock.json"] = json.dumps({**lock, "packages": kept}).encode()
    packed = work / "runtime.tar.bz2"
    with tarfile.open(packed, "w:bz2", compresslevel=1) as archive:
        for name, data in made.items():
            info = tarfile.TarInfo(f"pyodide/{name}")
            info.size = len(data)
            archive.addfile(info, io.BytesIO(data))
        for name in CORE:
            archive.add(runtime / name, f"pyodide/{name}")
    return packed


def _builders_folder() -> Path:
    extension = "@jupyterlite/pyodide-kernel-extension/static/pypi"
    return Path(sys.prefix, "share", "jupyter", "labextensions", extension)


def _builders_wheel(name: str) -> Path:
    file = f"{name.replace('-', '_')}-*-py3-none-any.whl"
    found = sorted(_builders_folder().glob(file))
    if len(found) != 1:
        raise FileError(
            what=str(_builders_folder()),
            read=f"{len(found)} wheels of {name}",
            allowed="the one of jupyterlite-pyodide-kernel "
            + version("jupyterlite-pyodide-kernel"),
            do="Install the extra anew: bouncelab[site].",
        )
    return found[0]


def tightened(data: bytes) -> bytes:
    """Pack an archive again if something in it was not pressed together.

    Parameters
    ----------
    data : bytes
        A zip file, such as a wheel, already verified.

    Returns
    -------
    bytes
        The same files; the same bytes if nothing is won.

    Examples
    --------
    >>> out = io.BytesIO()
    >>> with zipfile.ZipFile(out, "w") as archive:
    ...     archive.writestr("a", b"0" * 10_000)
    >>> len(tightened(out.getvalue())) < 200
    True
    """
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        parts = archive.infolist()
        if not any(
            p.compress_type == zipfile.ZIP_STORED and p.file_size for p in parts
        ):
            return data
        out = io.BytesIO()
        with zipfile.ZipFile(out, "w") as tight:
            for part in parts:
                inside = archive.read(part)
                tight.writestr(part, inside, zipfile.ZIP_DEFLATED, 9)
    return min(out.getvalue(), data, key=len)
