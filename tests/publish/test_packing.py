"""What goes into the site, from a runtime of small stand-ins."""

import hashlib
import io
import json
import tarfile
import zipfile

import pytest

from bouncelab.errors import FileError
from bouncelab.places import kit_folder
from bouncelab.publish import packing, runtime, site, wheels

# The real list's packages, with what they need; numbers and bytes are stand-ins.
NEEDS = {
    "asttokens": ["six"],
    "contourpy": ["numpy"],
    "cycler": ["six"],
    "decorator": [],
    "executing": [],
    "fonttools": [],
    "ipython": ["decorator", "prompt_toolkit", "sqlite3", "stack-data", "traitlets"],
    "jedi": ["parso"],
    "kiwisolver": [],
    "matplotlib": ["contourpy", "cycler", "fonttools", "kiwisolver", "pillow"],
    "micropip": ["packaging"],
    "mpmath": [],
    "numpy": [],
    "openblas": [],
    "openssl": [],
    "packaging": [],
    "pandas": ["numpy"],
    "parso": [],
    "pillow": [],
    "prompt-toolkit": ["wcwidth"],
    "scipy": ["numpy", "openblas"],
    "six": [],
    "sqlite3": [],
    "ssl": ["openssl"],
    "stack-data": ["executing", "asttokens"],
    "sympy": ["mpmath"],
    "traitlets": [],
    "typing-extensions": [],
    "wcwidth": [],
}


def stand_in(name):
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:  # nothing in it is pressed together
        archive.writestr(f"{name}.py", f"# {name}\n" * 200)
    return out.getvalue()


@pytest.fixture(scope="module")
def patch():
    with pytest.MonkeyPatch.context() as patch:
        yield patch


@pytest.fixture(scope="module")
def unpacked(tmp_path_factory, patch):
    folder = tmp_path_factory.mktemp("runtime")
    packages = {}
    pure = {name: list(each.depends) for name, each in wheels.PURE.items()}
    for name, depends in {**pure, **NEEDS}.items():
        file, data = f"{name}-1-py3-none-any.whl", stand_in(name)
        (folder / file).write_bytes(data)
        sha256 = hashlib.sha256(data).hexdigest()
        imports = (name.replace("-", "_"),)
        packages[name] = wheels.entry(name, "1", file, sha256, imports, tuple(depends))
    core = {}
    for name in runtime.CORE:
        data = name.encode() * 50
        (folder / name).write_bytes(data)
        core[name] = hashlib.sha256(data).hexdigest()
    patch.setattr(packing, "CORE", core)
    lock = {"info": {"version": runtime.VERSION}, "packages": packages}
    (folder / "pyodide-lock.json").write_text(json.dumps(lock))
    return folder


@pytest.fixture(scope="module")
def packed(unpacked, tmp_path_factory):
    work = tmp_path_factory.mktemp("work")
    path = packing.pack_runtime(work, unpacked, runtime.read_lock(unpacked))
    with tarfile.open(path) as archive:
        return {
            member.name.removeprefix("pyodide/"): archive.extractfile(member).read()
            for member in archive
        }


@pytest.fixture(scope="module")
def built(unpacked, tmp_path_factory):
    return site.build_site(tmp_path_factory.mktemp("site") / "out", unpacked).folder


def packages_of(files):
    return json.loads(files["pyodide-lock.json"])["packages"]


def test_every_listed_file_is_there_with_the_listed_sum_and_no_other(packed):
    packages = packages_of(packed)
    for each in packages.values():
        assert hashlib.sha256(packed[each["file_name"]]).hexdigest() == each["sha256"]
    listed = {each["file_name"] for each in packages.values()}
    assert set(packed) == listed | set(runtime.CORE) | {"pyodide-lock.json"}


def test_a_lesson_opens_without_what_few_lessons_need(packed):
    packages = packages_of(packed)
    at_start = set(runtime.needed(packages, ("bouncelab", *packing.KERNEL)))
    assert {"numpy", "pandas", "matplotlib", "anywidget", "ipython"} <= at_start
    rare = {"scipy", "openblas", "sympy", "mpmath", "pint", "openpyxl", "openssl"}
    assert at_start & rare == set()
    assert rare - set(packages) == {"openssl"}  # the others wait on the site


def test_what_the_kernel_asks_for_by_name_is_in_the_list(packed):
    packages = packages_of(packed)
    for name in packing.KERNEL:
        assert name.replace("_", "-") in packages
    assert packages["ssl"]["imports"] == packages["ssl"]["depends"] == []


def test_packing_tighter_keeps_every_byte_inside(packed, unpacked):
    file = packages_of(packed)["openblas"]["file_name"]
    before, after = (unpacked / file).read_bytes(), packed[file]
    assert len(after) < len(before) / 2
    old, new = (zipfile.ZipFile(io.BytesIO(each)) for each in (before, after))
    assert old.namelist() == new.namelist()
    assert all(old.read(name) == new.read(name) for name in old.namelist())
    assert new.testzip() is None
    assert packing.tightened(after) == after


def test_a_runtime_with_a_changed_file_is_refused_by_name(unpacked, tmp_path):
    lock = runtime.read_lock(unpacked)
    packages = {**lock["packages"]}
    packages["pandas"] = {**packages["pandas"], "sha256": "0" * 64}
    with pytest.raises(FileError, match="other bytes than were published in pandas-1"):
        packing.pack_runtime(tmp_path, unpacked, {**lock, "packages": packages})


def test_the_site_has_each_lesson_and_all_data_and_no_teachers_notebook(built):
    lessons = sorted(kit_folder("notebooks").glob("[0-9]*.ipynb"))
    got = sorted(path.name for path in (built / "files" / "notebooks").iterdir())
    assert got == [path.name for path in lessons]
    for name in ("data", "data/recordings"):
        listed = json.loads((built / "api/contents" / name / "all.json").read_text())
        there = {each["name"] for each in listed["content"]}
        kept = {path.name for path in kit_folder(name).iterdir()}
        assert {each for each in kept if each.endswith((".csv", ".wav"))} <= there


def test_the_first_page_leads_to_each_lesson(built):
    page = (built / "index.html").read_text("utf-8")
    for path in (built / "files" / "notebooks").iterdir():
        line = (
            f'<li value="{int(path.name[:2])}"><a href="lab/index.html?path=notebooks/'
        )
        assert line + path.name in page
    assert "<!-- notebooks -->" not in page


def test_the_site_asks_for_nothing_from_outside_and_carries_no_source_maps(built):
    config = json.loads((built / "jupyter-lite.json").read_text("utf-8"))
    kernel = "@jupyterlite/pyodide-kernel-extension:kernel"
    settings = config["jupyter-config-data"]["litePluginSettings"][kernel]
    assert settings["disablePyPIFallback"] is True
    assert settings["loadPyodideOptions"] == {"packages": list(packing.KERNEL)}
    assert not settings["pyodideUrl"].startswith("http")
    assert list(built.rglob("*.map")) == []


def test_the_list_on_the_site_is_true_of_its_files(built):
    folder = built / "static" / "pyodide"
    packages = json.loads((folder / "pyodide-lock.json").read_text("utf-8"))["packages"]
    for each in packages.values():
        data = (folder / each["file_name"]).read_bytes()
        assert hashlib.sha256(data).hexdigest() == each["sha256"]
