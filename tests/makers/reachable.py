"""This very Python once more, at a place that every account of the machine can get to.

A tester's Python often lies in a home that is closed to others; students' accounts
could not start it. Files are linked, not copied, where the disk allows it.
"""

import os
import shutil
import stat
import sys
from pathlib import Path

import bouncelab


def open_to_all(path):
    return all(
        each.stat().st_mode & stat.S_IXOTH for each in (path, *path.resolve().parents)
    )


def _link(source, target, *, follow_symlinks=True):
    try:
        os.link(source, target, follow_symlinks=follow_symlinks)
    except OSError:  # another disk
        shutil.copy2(source, target, follow_symlinks=follow_symlinks)


def _twin(source, target, *left_out):
    shutil.copytree(
        source,
        target,
        symlinks=True,
        copy_function=_link,
        ignore=shutil.ignore_patterns(*left_out),
    )


def reachable_python(place):
    """Give a python to run, and what its environment needs, under `place`."""
    bare = Path(sys.executable).resolve()
    env, package = Path(sys.prefix), Path(bouncelab.__file__).resolve().parent
    if all(open_to_all(each) for each in (bare, env, package)):
        return Path(sys.executable), {}
    more = {}
    if not open_to_all(bare):
        base = place / "python"
        _twin(bare.parent.parent / "bin", base / "bin")
        library = f"lib/python{sys.version_info[0]}.{sys.version_info[1]}"
        inside = bare.parent.parent
        _twin(inside / library, base / library, "site-packages", "test", "__pycache__")
        for each in (inside / "lib").glob("libpython*"):
            _link(each, base / "lib" / each.name, follow_symlinks=False)
        bare = base / "bin" / bare.name
        more["LD_LIBRARY_PATH"] = str(base / "lib")
    made = place / "env"
    (made / "bin").mkdir(parents=True)
    (made / "bin" / "python").symlink_to(bare)
    (made / "pyvenv.cfg").write_text(f"home = {bare.parent}\n")
    for each in ("lib", "share", "etc"):
        if open_to_all(env):
            (made / each).symlink_to(env / each)
        elif (env / each).exists():
            _twin(env / each, made / each, "__pycache__")
    if not open_to_all(package):
        top = place / "kit"
        for each in ("bouncelab", "data", "notebooks", "teacher_notes"):
            if (package.parent / each).exists():
                _twin(package.parent / each, top / each, "__pycache__")
        more["PYTHONPATH"] = str(top)
    return made / "bin" / "python", more
