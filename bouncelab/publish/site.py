"""The kit as a static site, which runs in the browser with nothing to install."""

from __future__ import annotations

import hashlib
import html
import importlib.util
import json
import shutil
import subprocess
import sys
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any, NamedTuple

from bouncelab.errors import BounceLabError, FileError
from bouncelab.places import kit_folder, write_whole
from bouncelab.publish.desk import KINDS
from bouncelab.publish.lab import SETTINGS
from bouncelab.publish.packing import KERNEL, pack_runtime
from bouncelab.publish.runtime import read_lock

__all__ = ["Site", "build_site"]

_BUILDERS = {"jupyterlite-core": "0.6.4", "jupyterlite-pyodide-kernel": "0.6.1"}
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
        packed = pack_runtime(work, runtime, lock)
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


def _lay_out(contents: Path) -> None:
    """Put notebooks and data where a student finds them, as `bouncelab open` does."""
    for name, endings in KINDS.items():
        (contents / name).mkdir(parents=True)
        for path in sorted(kit_folder(name).iterdir()):
            # Lessons have numbers; other notebooks are a teacher's, with keys in them.
            lesson = name != "notebooks" or path.name[0].isdigit()
            if path.suffix in endings and lesson:
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
                        "disablePyPIFallback": True,
                        # Fetched side by side with Python, not one after the other.
                        "loadPyodideOptions": {"packages": list(KERNEL)},
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
        number = int(path.name.split("_")[0])
        items.append(
            f'<li value="{number}"><a href="{place}">{html.escape(title)}</a></li>'
        )
    page = (_HERE / "site_first.html").read_text("utf-8")
    write_whole(
        site / "index.html",
        page.replace("<!-- notebooks -->", "\n".join(items)).encode(),
    )
    write_whole(site / _MARK, json.dumps({"bouncelab": version("bouncelab")}).encode())
