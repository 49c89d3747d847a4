"""The kit as a static site, which runs in the browser with nothing to install."""

from __future__ import annotations

import hashlib
import html
import importlib.util
import json
import shutil
import subprocess
import sys
import tarfile
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any, NamedTuple

from bouncelab.errors import BounceLabError, FileError
from bouncelab.places import kit_folder, write_whole
from bouncelab.publish.lab import SETTINGS
from bouncelab.publish.runtime import CORE, needed, read_lock, verify
from bouncelab.publish.wheels import PURE, entry, find_wheel, own_wheel

__all__ = ["Site", "build_site"]

_BUILDERS = {"jupyterlite-core": "0.6.4", "jupyterlite-pyodide-kernel": "0.6.1"}
# What the kernel itself asks for, beside what the kit needs.
_KERNEL = ("comm", "ipython", "jedi", "micropip", "sqlite3", "ssl")
_MARK = "bouncelab-site.json"  # by this a folder is known as ours to write anew
_HERE = Path(__file__).resolve().parent


class Site(NamedTuple):
    """What was built.

    Attributes
    ----------
    folder : pathlib.Path
        Give this to any web server.
    files, size : int
        How many files; bytes in all.
    """

    folder: Path
    files: int
    size: int


def build_site(folder: Path, runtime: Path) -> Site:
    """Build the kit as a static site.

    Parameters
    ----------
    folder : pathlib.Path
        Where to put it: new, empty, or an older site of the kit.
    runtime : pathlib.Path
        The unpacked release of Pyodide.

    Returns
    -------
    Site
        What was built.

    Raises
    ------
    FileError
        If the folder holds something else, or a file of the runtime is missing or
        not as it was published.
    BounceLabError
        If what builds sites is not installed, or fails.
    """
    _check_builders()
    lock = read_lock(runtime)
    if folder.exists() and not (folder / _MARK).is_file() and _holds(folder):
        raise FileError(
            what=str(folder),
            read="a folder with something else in it",
            allowed="a new folder, an empty one, or an older site of the kit",
            do="Name another folder.",
        )
    with TemporaryDirectory() as place:
        work = Path(place)
        own, wheel = own_wheel()
        packed = _pack_runtime(work, runtime, lock, own, wheel)
        _lay_out(work / "contents")
        _write_configuration(work, packed)
        _run(work)
        built = work / "site"
        _finish(built)
        try:
            if folder.exists():
                shutil.rmtree(folder)
            shutil.copytree(built, folder)
        except OSError as error:
            raise FileError(
                what=str(folder),
                read=(error.strerror or type(error).__name__).lower(),
                allowed="a folder that can be written, with 120 MB of space",
                do="Choose another folder.",
            ) from error
    sizes = [path.stat().st_size for path in folder.rglob("*") if path.is_file()]
    return Site(folder, len(sizes), sum(sizes))


def _holds(folder: Path) -> bool:
    return not folder.is_dir() or any(folder.iterdir())


def _check_builders() -> None:
    for name, wanted in _BUILDERS.items():
        try:
            found = version(name)
        except PackageNotFoundError:
            found = "nothing installed"
        if found != wanted:
            raise BounceLabError(
                what=name,
                read=found,
                allowed=f"version {wanted}",
                do=f'Install it: {sys.executable} -m pip install "bouncelab[site]"',
            )


def _pack_runtime(
    work: Path, runtime: Path, lock: dict[str, Any], own: dict[str, Any], wheel: bytes
) -> Path:
    """Put what is needed of the runtime, and all wheels, where the builder looks."""
    packages = {**lock["packages"], "bouncelab": own}
    fetched = work / "fetched"
    fetched.mkdir()
    folders = [runtime, _kernel_wheels()]
    files: dict[str, Path] = {}
    for name, pure in PURE.items():
        if name not in packages:
            number = pure.file.split("-")[1]
            packages[name] = entry(name, number, *pure)
            files[name] = find_wheel(name, folders, fetched)
    names = needed(packages, ("bouncelab", *_KERNEL))
    kept = {name: packages[name] for name in names}
    theirs = [name for name in names if name != "bouncelab" and name not in files]
    sums = {kept[name]["file_name"]: kept[name]["sha256"] for name in theirs}
    verify(runtime, {**CORE, **sums})
    own_file = work / own["file_name"]
    own_file.write_bytes(wheel)
    list_file = work / "pyodide-lock.json"
    list_file.write_text(json.dumps({**lock, "packages": kept}))
    packed = work / "runtime.tar.bz2"
    with tarfile.open(packed, "w:bz2", compresslevel=1) as archive:
        for path in (list_file, own_file, *files.values()):
            archive.add(path, f"pyodide/{path.name}")
        for name in (*CORE, *sums):
            archive.add(runtime / name, f"pyodide/{name}")
    return packed


def _kernel_wheels() -> Path:
    extension = "@jupyterlite/pyodide-kernel-extension/static/pypi"
    return Path(sys.prefix, "share", "jupyter", "labextensions", extension)


def _lay_out(contents: Path) -> None:
    for name, pattern in (("notebooks", "*.ipynb"), ("data", "*.csv")):
        (contents / name).mkdir(parents=True)
        for path in sorted(kit_folder(name).glob(pattern)):
            shutil.copyfile(path, contents / name / path.name)


def _write_configuration(work: Path, packed: Path) -> None:
    texts: dict[str, Any] = {
        "jupyter_lite_config.json": {
            "LiteBuildConfig": {
                "contents": ["contents"],
                "output_dir": "site",
                "no_sourcemaps": True,
                "apps": ["lab"],
            },
            "PyodideAddon": {"pyodide_url": packed.name},
        },
        "jupyter-lite.json": {
            "jupyter-lite-schema-version": 0,
            "jupyter-config-data": {
                "appName": "bouncelab",
                "litePluginSettings": {
                    "@jupyterlite/pyodide-kernel-extension:kernel": {
                        "disablePyPIFallback": True
                    }
                },
            },
        },
        "overrides.json": SETTINGS,
    }
    for name, text in texts.items():
        (work / name).write_text(json.dumps(text))


def _run(work: Path) -> None:
    if importlib.util.find_spec("jupyterlite_core") is None:
        raise AssertionError("checked before")
    done = subprocess.run(
        [sys.executable, "-m", "jupyterlite_core", "build"],
        cwd=work,
        capture_output=True,
        text=True,
        check=False,
    )
    if done.returncode or not (work / "site" / "lab" / "index.html").is_file():
        said = (done.stderr or done.stdout).strip().splitlines()
        raise BounceLabError(
            what="building the site",
            read=said[-1] if said else "no site",
            allowed="a site",
            do="Install the extra anew: bouncelab[site].",
        )


def _finish(site: Path) -> None:
    """Put our own first page in, and what keeps the site for use offline."""
    sums = hashlib.sha256()
    for path in sorted(path for path in site.rglob("*") if path.is_file()):
        sums.update(path.read_bytes())
    mark = sums.hexdigest()[:12]  # a browser that kept an older site fetches anew
    keep = (_HERE / "site_keep.js").read_text("utf-8").replace("@site@", mark)
    write_whole(site / "keep.js", keep.encode())
    worker = site / "service-worker.js"
    ours = (_HERE / "site_worker.js").read_text("utf-8").replace("@site@", mark)
    write_whole(worker, (worker.read_text("utf-8") + ours).encode())
    lab = site / "lab" / "index.html"
    text = lab.read_text("utf-8")
    tag = '<script src="../keep.js" defer></script>'
    lab.write_text(text.replace("</head>", f"{tag}</head>", 1), "utf-8")
    items = []
    for path in sorted((site / "files" / "notebooks").glob("*.ipynb")):
        first = json.loads(path.read_text("utf-8"))["cells"][0]["source"]
        title = "".join(first).splitlines()[0].lstrip("# ")
        place = f"lab/index.html?path=notebooks/{path.name}"
        items.append(f'<li><a href="{place}">{html.escape(title)}</a></li>')
    page = (_HERE / "site_first.html").read_text("utf-8")
    write_whole(
        site / "index.html",
        page.replace("<!-- notebooks -->", "\n".join(items)).encode(),
    )
    write_whole(site / _MARK, json.dumps({"bouncelab": version("bouncelab")}).encode())
