"""Packages fetched when imported, with a folder in place of a network."""

import hashlib
import importlib
import io
import logging
import sys
import zipfile
from types import SimpleNamespace

import pytest

from bouncelab import in_browser
from bouncelab.errors import FileError
from bouncelab.in_browser import Fetcher, fetch_when_imported


class Net:
    """A site's packages, and what was asked for and loaded."""

    def __init__(self, place):
        self.site, self.libraries = place / "site", place / "lib"
        self.site.mkdir()
        self.libraries.mkdir()
        self.packages, self.files, self.asked, self.loaded = {}, {}, [], []
        self.there, self.on = set(), True

    def add(self, name, files, imports=(), depends=(), kind="package"):
        out = io.BytesIO()
        with zipfile.ZipFile(out, "w") as archive:
            for each, text in files.items():
                archive.writestr(each, text)
        self.files[f"{name}.whl"] = out.getvalue()
        self.packages[name] = {
            "file_name": f"{name}.whl",
            "sha256": hashlib.sha256(out.getvalue()).hexdigest(),
            "imports": list(imports),
            "depends": list(depends),
            "package_type": kind,
            "install_dir": "site" if kind == "package" else "dynlib",
        }

    def get(self, file):
        self.asked.append(file)
        if not self.on:
            raise OSError(file)
        return self.files[file]

    def load(self, file):
        assert (self.libraries / file).is_file()
        self.loaded.append((file, len(self.asked)))

    def finder(self):
        return Fetcher(
            self.packages,
            self.get,
            self.site,
            self.libraries,
            self.load,
            lambda: self.there,
        )


@pytest.fixture
def net(tmp_path, monkeypatch):
    net = Net(tmp_path)
    net.add("libfar", {"libfar.so": "wasm"}, kind="shared_library")
    net.add("under_far", {"under_far_x.py": "here = 1"}, ["under_far_x"])
    net.packages["under-far"] = net.packages.pop("under_far")
    text = "import under_far_x\nvalue = under_far_x.here + 1"
    net.add("far", {"far_x.py": text}, ["far_x"], ["libfar", "under_far"])
    monkeypatch.syspath_prepend(net.site)
    monkeypatch.setattr(sys, "meta_path", [*sys.meta_path, net.finder()])
    yield net
    for name in ("far_x", "under_far_x"):
        sys.modules.pop(name, None)


def test_a_package_comes_with_what_it_needs_and_only_once(net):
    assert importlib.import_module("far_x").value == 2
    assert sorted(net.asked) == ["far.whl", "libfar.whl", "under_far.whl"]
    del sys.modules["far_x"]
    importlib.import_module("far_x")
    assert len(net.asked) == 3


def test_a_shared_library_is_loaded_before_what_links_to_it_is_there(net):
    importlib.import_module("far_x")
    assert [file for file, _ in net.loaded] == ["libfar.so"]
    assert net.asked.index("libfar.whl") < net.asked.index("far.whl")


def test_what_the_browser_has_already_is_not_fetched(net):
    net.there = {"LibFar", "under-far"}
    (net.site / "under_far_x.py").write_text("here = 4")
    assert importlib.import_module("far_x").value == 5
    assert net.asked == ["far.whl"]


def test_modules_of_no_package_and_parts_of_packages_are_left_alone(net):
    with pytest.raises(ModuleNotFoundError):
        importlib.import_module("nowhere_x")
    assert net.finder().find_spec("far_x", ["a", "path"]) is None
    assert net.asked == []


def test_without_a_network_it_says_so_and_works_later(net):
    net.on = False
    with pytest.raises(FileError, match="not yet kept in this browser"):
        importlib.import_module("far_x")
    net.on = True
    assert importlib.import_module("far_x").value == 2


def test_other_bytes_are_refused(net):
    net.packages["far"]["sha256"] = "0" * 64
    with pytest.raises(FileError, match="other bytes than the site was built with"):
        importlib.import_module("far_x")
    assert not (net.site / "far_x.py").exists()


@pytest.fixture
def browser(net, monkeypatch):
    """The modules that a browser's Python has, with the net behind them."""
    list_file = '{"packages": {}}'

    class Request:
        def open(self, method, address, later):
            assert (method, later) == ("GET", False)
            self.address = address

        def send(self):
            self.status = 200 if self.address.endswith("/pyodide-lock.json") else 404
            self.response = SimpleNamespace(to_bytes=list_file.encode)

    kept = SimpleNamespace(to_py=lambda: {"numpy": "default channel"})
    config = SimpleNamespace(indexURL="http://here/static/")
    modules = {
        "js": SimpleNamespace(XMLHttpRequest=SimpleNamespace(new=Request)),
        "pyodide_js": SimpleNamespace(
            _api=SimpleNamespace(config=config), _module=None, loadedPackages=kept
        ),
        "pyodide.code": SimpleNamespace(run_js=lambda text: lambda *given: None),
    }
    for name, module in modules.items():
        monkeypatch.setitem(sys.modules, name, module)
    yield net
    logging.getLogger("matplotlib.font_manager").removeFilter(
        in_browser._is_no_font_news
    )


def test_in_a_browser_one_finder_stands_after_pythons_own(browser, monkeypatch):
    bare = [each for each in sys.meta_path if not isinstance(each, Fetcher)]
    monkeypatch.setattr(sys, "meta_path", bare)
    fetch_when_imported()
    fetch_when_imported()
    kinds = [isinstance(each, Fetcher) for each in sys.meta_path]
    assert sum(kinds) == 1
    own = sys.meta_path.index(in_browser.PathFinder)
    assert kinds[own + 1]


def test_no_remark_on_fonts_is_shown():
    news = logging.makeLogRecord({"msg": "Matplotlib is building the font cache; …"})
    assert not in_browser._is_no_font_news(news)
    assert in_browser._is_no_font_news(logging.makeLogRecord({"msg": "no such font"}))
