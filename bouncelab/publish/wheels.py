"""The wheels that the kit needs in a browser, its own among them."""

from __future__ import annotations

import base64
import hashlib
import io
import subprocess
import sys
import zipfile
from collections.abc import Mapping
from importlib.metadata import version
from pathlib import Path
from typing import Any, NamedTuple

from bouncelab.errors import FileError
from bouncelab.places import kit_folder

__all__ = ["PURE", "Pure", "entry", "find_wheel", "make_wheel", "own_wheel"]

_PACKAGE = Path(__file__).resolve().parent.parent
_DATE = (2020, 1, 1, 0, 0, 0)  # the same files give the same wheel
_IN_KIT = {"data": (".csv", ".md")}  # notebooks are files of the site itself
# Needed by most lessons; what few need is fetched when it is imported.
_NEEDS = ("anywidget", "ipywidgets", "matplotlib", "numpy", "pandas")


class Pure(NamedTuple):
    """A wheel that is not in the browser's Python release.

    Attributes
    ----------
    file : str
        Its file name.
    sha256 : str
        What its bytes must add up to.
    imports, depends : tuple of str
        Modules in it; packages that it needs.
    """

    file: str
    sha256: str
    imports: tuple[str, ...]
    depends: tuple[str, ...]


PURE = {
    "anywidget": Pure(
        "anywidget-0.11.0-py3-none-any.whl",
        "c574d9acc6503ad27b37a9acea48f957a8ba7c9c9876cfcb37898931c098ce9d",
        ("anywidget",),
        ("ipywidgets", "psygnal", "typing-extensions"),
    ),
    "comm": Pure(
        "comm-0.2.3-py3-none-any.whl",
        "c615d91d75f7f04f095b30d1c1711babd43bdc6419c1be9886a85f2f4e489417",
        ("comm",),
        (),
    ),
    "et-xmlfile": Pure(
        "et_xmlfile-2.0.0-py3-none-any.whl",
        "7a91720bc756843502c3b7504c77b8fe44217c85c537d85037f0f536151b2caa",
        ("et_xmlfile",),
        (),
    ),
    "flexcache": Pure(
        "flexcache-0.3-py3-none-any.whl",
        "d43c9fea82336af6e0115e308d9d33a185390b8346a017564611f1466dcd2e32",
        ("flexcache",),
        ("typing-extensions",),
    ),
    "flexparser": Pure(
        "flexparser-0.4-py3-none-any.whl",
        "3738b456192dcb3e15620f324c447721023c0293f6af9955b481e91d00179846",
        ("flexparser",),
        ("typing-extensions",),
    ),
    "ipywidgets": Pure(
        "ipywidgets-8.1.9-py3-none-any.whl",
        "f2b8cbcaae10252b809fbe4d7470db75c09b769a32cbf816d20e5ca6d3c5a79d",
        ("ipywidgets",),
        ("comm", "jupyterlab-widgets", "traitlets", "ipython", "widgetsnbextension"),
    ),
    "jupyterlab-widgets": Pure(
        "jupyterlab_widgets-3.0.17-py3-none-any.whl",
        "40ac1e9955acf116c4d995d9bfa082d86ad9ec6d91c4f134827cf5e0a5eb75e0",
        ("jupyterlab_widgets",),
        (),
    ),
    "openpyxl": Pure(
        "openpyxl-3.1.5-py2.py3-none-any.whl",
        "5282c12b107bffeef825f4617dc029afaf41d0ea60823bbb665ef3079dc79de2",
        ("openpyxl",),
        ("et-xmlfile",),
    ),
    "pint": Pure(
        "Pint-0.24.4-py3-none-any.whl",
        "aa54926c8772159fcf65f82cc0d34de6768c151b32ad1deb0331291c38fe7659",
        ("pint",),
        ("flexcache", "flexparser", "platformdirs", "typing-extensions"),
    ),
    "platformdirs": Pure(
        "platformdirs-4.14.8-py3-none-any.whl",
        "1e34af590de4d978631b751eb2202f2fee4497537a17c1720b12fcf57b331392",
        ("platformdirs",),
        (),
    ),
    "psygnal": Pure(
        "psygnal-0.16.1-py3-none-any.whl",
        "93b96894d8c46f0a3c0bfaaf8abe73f0d6db2c20cc6d303624cf08f85abc3c92",
        ("psygnal",),
        (),
    ),
    "uncertainties": Pure(
        "uncertainties-3.2.3-py3-none-any.whl",
        "313353900d8f88b283c9bad81e7d2b2d3d4bcc330cbace35403faaed7e78890a",
        ("uncertainties",),
        (),
    ),
    "widgetsnbextension": Pure(
        "widgetsnbextension-4.0.999-py3-none-any.whl",
        "3bdaf5e164a501756d36cb9526e7f56e7775eba7950784264d1e867bc1c0c416",
        ("widgetsnbextension",),
        (),
    ),
}


def entry(
    name: str,
    number: str,
    file: str,
    sha256: str,
    imports: tuple[str, ...],
    depends: tuple[str, ...],
) -> dict[str, Any]:
    """Give a wheel's place in the browser's list of packages.

    Parameters
    ----------
    name, number, file, sha256 : str
        Its name, version, file and the sum of its bytes.
    imports, depends : tuple of str
        Modules in it; packages that it needs.

    Returns
    -------
    dict
        One entry of ``packages`` in ``pyodide-lock.json``.

    Examples
    --------
    >>> entry("a", "1.0", "a-1.0-py3-none-any.whl", "00", ("a",), ())["install_dir"]
    'site'
    """
    return {
        "name": name,
        "version": number,
        "file_name": file,
        "install_dir": "site",
        "sha256": sha256,
        "package_type": "package",
        "imports": list(imports),
        "depends": list(depends),
        "unvendored_tests": False,
    }


def own_wheel() -> tuple[dict[str, Any], bytes]:
    """Make bouncelab's own wheel from the files it runs from.

    Returns
    -------
    tuple of dict and bytes
        Its entry in the list of packages, and its bytes: the same for the same files.

    Raises
    ------
    FileError
        If the installation is not whole.
    """
    files: dict[str, bytes] = {}
    for path in sorted(_PACKAGE.rglob("*")):
        inside = path.relative_to(_PACKAGE)
        if path.is_file() and not {"__pycache__", "kit"} & set(inside.parts):
            files[f"bouncelab/{inside.as_posix()}"] = path.read_bytes()
    for name, endings in _IN_KIT.items():
        top = kit_folder(name)
        for path in sorted(top.rglob("*")):
            inside = path.relative_to(top)
            hidden = any(part.startswith(".") for part in inside.parts)
            if path.is_file() and path.suffix in endings and not hidden:
                files[f"bouncelab/kit/{name}/{inside.as_posix()}"] = path.read_bytes()
    return make_wheel("bouncelab", version("bouncelab"), files, ("bouncelab",), _NEEDS)


def make_wheel(
    name: str,
    number: str,
    files: Mapping[str, bytes],
    imports: tuple[str, ...],
    depends: tuple[str, ...],
) -> tuple[dict[str, Any], bytes]:
    """Make a wheel.

    Parameters
    ----------
    name, number : str
        Its name and version.
    files : mapping of str to bytes
        What it installs.
    imports, depends : tuple of str
        Modules in it; packages that it needs.

    Returns
    -------
    tuple of dict and bytes
        Its entry in the list of packages, and its bytes: the same for the same files.

    Examples
    --------
    >>> make_wheel("a", "1", {"a.py": b""}, ("a",), ())[0]["file_name"]
    'a-1-py3-none-any.whl'
    """
    stem = f"{name}-{number}"
    whole = dict(files)
    whole[f"{stem}.dist-info/METADATA"] = (
        f"Metadata-Version: 2.1\nName: {name}\nVersion: {number}\n"
    ).encode()
    whole[f"{stem}.dist-info/WHEEL"] = (
        b"Wheel-Version: 1.0\nGenerator: bouncelab\n"
        b"Root-Is-Purelib: true\nTag: py3-none-any\n"
    )
    record = f"{stem}.dist-info/RECORD"
    lines = [
        f"{each},sha256={_short(data)},{len(data)}" for each, data in whole.items()
    ]
    whole[record] = "\n".join([*lines, f"{record},,", ""]).encode()
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for each, data in whole.items():
            info = zipfile.ZipInfo(each, _DATE)
            info.compress_type = zipfile.ZIP_DEFLATED
            info.external_attr = 0o644 << 16
            archive.writestr(info, data)
    wheel = out.getvalue()
    sha256 = hashlib.sha256(wheel).hexdigest()
    return entry(
        name, number, f"{stem}-py3-none-any.whl", sha256, imports, depends
    ), wheel


def _short(data: bytes) -> str:
    code = base64.urlsafe_b64encode(hashlib.sha256(data).digest())
    return code.decode().rstrip("=")


def find_wheel(name: str, folders: list[Path], fetched: Path) -> Path:
    """Find one of `PURE` in folders, or fetch it with pip.

    Parameters
    ----------
    name : str
        Its name.
    folders : list of pathlib.Path
        Where it may lie.
    fetched : pathlib.Path
        Where pip may put it.

    Returns
    -------
    pathlib.Path
        A file with the right bytes.

    Raises
    ------
    FileError
        If it lies nowhere and pip does not find it, or its bytes differ.
    """
    pure = PURE[name]
    for folder in folders:
        path = folder / pure.file
        if path.is_file():
            if hashlib.sha256(path.read_bytes()).hexdigest() == pure.sha256:
                return path
            raise FileError(
                what=str(path),
                read="other bytes than were published",
                allowed=f"sha256 {pure.sha256}",
                do="Remove the file and fetch it again.",
            )
    _, number, *_ = pure.file.split("-")
    listed = fetched / f"{name}.txt"
    listed.write_text(f"{name}=={number} --hash=sha256:{pure.sha256}\n")
    command = "-m pip download -q --no-deps --only-binary :all: --require-hashes"
    done = subprocess.run(
        [sys.executable, *command.split(), "-d", str(fetched), "-r", str(listed)],
        capture_output=True,
        text=True,
        check=False,
    )
    found = fetched / pure.file
    if done.returncode or not found.is_file():
        raise FileError(
            what=pure.file,
            read="no such file in the runtime folder, and pip could not fetch it",
            allowed=f"the wheel of {name} {number}",
            do="Go online, or put the file into the runtime folder.",
        )
    return found
