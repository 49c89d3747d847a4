"""In a browser, a package that few lessons need is fetched when it is first imported.

Python's import cannot wait for a download, but the worker that runs a notebook may ask
for a file and stand still until it is there. So a finder, put after Python's own, looks
a missing module up in the site's list of packages, fetches the package and what it
needs, checks the sums, and unpacks them. Shared libraries are loaded before the modules
that link to them; all other compiled modules only when they are imported.
"""

from __future__ import annotations

import hashlib
import io
import json
import logging
import sys
import zipfile
from collections.abc import Callable, Mapping, Sequence
from importlib import import_module, invalidate_caches
from importlib.abc import MetaPathFinder
from importlib.machinery import ModuleSpec, PathFinder
from pathlib import Path
from types import ModuleType
from typing import Any

from bouncelab.errors import FileError

__all__ = ["Fetcher", "fetch_when_imported"]

_LIBRARIES = Path("/usr/lib")  # where the browser's Python looks for them
# The second file system finds by its whole path what is asked for by its name.
_LOAD = """(module, name, folder) => module.loadDynamicLibrary(name, {
  loadAsync: false, nodelete: true, allowUndefined: true, global: true,
  fs: { findObject: (file) => module.FS.findObject(`${folder}/${file}`),
        readFile: (file) => module.FS.readFile(`${folder}/${file}`) },
})"""


class Fetcher(MetaPathFinder):
    """Find modules by fetching their packages.

    Parameters
    ----------
    packages : mapping
        ``packages`` of the site's list.
    get : callable
        From a file name to its bytes; raises OSError.
    site, libraries : pathlib.Path
        Where packages and shared libraries are unpacked.
    load : callable
        Takes the name of an unpacked shared library and loads it.
    there : callable
        Gives the names of the packages that are there already.
    """

    def __init__(
        self,
        packages: Mapping[str, Any],
        get: Callable[[str], bytes],
        site: Path,
        libraries: Path,
        load: Callable[[str], None],
        there: Callable[[], set[str]],
    ) -> None:
        self._packages = packages
        self._of = {
            module: name
            for name, each in packages.items()
            for module in each["imports"]
        }
        self._get, self._load, self._there = get, load, there
        self._site, self._libraries = site, libraries
        self._fetched: set[str] = set()

    def find_spec(
        self,
        fullname: str,
        path: Sequence[str] | None,
        target: ModuleType | None = None,
    ) -> ModuleSpec | None:
        """Fetch the package of a module, if one of the list has it.

        Parameters
        ----------
        fullname : str
            The module.
        path : sequence of str or None
            None for a module that lies in no package.
        target : module, optional
            Not used.

        Returns
        -------
        importlib.machinery.ModuleSpec or None
            None if no package of the list holds it.

        Raises
        ------
        FileError
            If a file cannot be fetched, or has other bytes than the list says.
        """
        if path is not None or fullname not in self._of:
            return None
        for name in self._missing(self._of[fullname]):
            self._fetch(name)
        invalidate_caches()
        return PathFinder.find_spec(fullname)

    def _missing(self, name: str) -> list[str]:
        """Give the packages to fetch, those that others need first."""
        have = {_plain(each) for each in self._there() | self._fetched}
        order: list[str] = []

        def visit(each: str) -> None:
            each = _plain(each)
            if each not in have:
                have.add(each)
                for need in self._packages[each]["depends"]:
                    visit(need)
                order.append(each)

        visit(name)
        return order

    def _fetch(self, name: str) -> None:
        entry = self._packages[name]
        try:
            data = self._get(entry["file_name"])
        except OSError as error:
            raise FileError(
                what=f"the package {name}",
                read="nothing: it is not yet kept in this browser",
                allowed="a network, once",
                do="Go online, and run this cell again.",
            ) from error
        if hashlib.sha256(data).hexdigest() != entry["sha256"]:
            raise FileError(
                what=f"the package {name}",
                read="other bytes than the site was built with",
                allowed=f"sha256 {entry['sha256']}",
                do="Load the page anew; if it stays so, the site must be built anew.",
            )
        own = entry["install_dir"] == "site"
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            archive.extractall(self._site if own else self._libraries)
            files = archive.namelist()
        if entry["package_type"] == "shared_library":
            for file in files:
                if file.endswith(".so"):
                    self._load(file)
        self._fetched.add(name)


def _plain(name: str) -> str:
    return name.replace("_", "-").lower()


def _is_no_font_news(record: logging.LogRecord) -> bool:
    return "building the font cache" not in record.getMessage()


def fetch_when_imported() -> None:
    """Have missing packages fetched from the site from now on; in a browser only.

    Notes
    -----
    There, matplotlib looks its fonts up anew at each start; it takes half a second and
    its remark, red in a notebook, is left out.
    """
    if any(isinstance(each, Fetcher) for each in sys.meta_path):
        return
    browser, page = import_module("pyodide_js"), import_module("js")
    load = import_module("pyodide.code").run_js(_LOAD)
    base = browser._api.config.indexURL

    def get(file: str) -> bytes:
        request = page.XMLHttpRequest.new()
        request.open("GET", base + file, False)  # wait for it
        request.responseType = "arraybuffer"
        try:
            request.send()
        except Exception as error:  # the browser's own kind
            raise OSError(file) from error
        if request.status != 200:
            raise OSError(file)
        return bytes(request.response.to_bytes())

    finder = Fetcher(
        json.loads(get("pyodide-lock.json"))["packages"],
        get,
        Path(import_module("site").getsitepackages()[0]),
        _LIBRARIES,
        lambda file: load(browser._module, file, str(_LIBRARIES)),
        lambda: set(browser.loadedPackages.to_py()),
    )
    logging.getLogger("matplotlib.font_manager").addFilter(_is_no_font_news)
    sys.meta_path.insert(sys.meta_path.index(PathFinder) + 1, finder)
