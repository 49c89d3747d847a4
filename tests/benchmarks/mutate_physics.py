"""Break the physics one number at a time: does a test notice?

Every number in a formula or a named constant of `bouncelab/physics` and
`bouncelab/uncertainty.py` is a candidate. Each is changed, by 2 % or by one, in a
copy of the project in a temporary folder; then the reference tests run, and where
they notice nothing the tests of the physics too. The working tree is not touched.

    python tests/benchmarks/mutate_physics.py                30 numbers
    python tests/benchmarks/mutate_physics.py 100            100 numbers
    python tests/benchmarks/mutate_physics.py 20 gas discs   of these files alone
"""

import ast
import os
import random
import shutil
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path

TOP = Path(__file__).resolve().parents[2]
# Numbers that say how a computation is carried out, not what is true: limits, steps,
# first guesses and units of time that cancel.
SETTINGS = {
    *("STEPS", "MOMENTS", "_BLOCK", "_MOST_CURVES", "_LONGEST", "_STIFF", "_PACE"),
    *("_WHOLE", "_QUIET", "_EDGE", "_TOP", "_TERMS", "_SMALL_LOSS", "pace", "slower"),
    *("soft", "hard", "deep", "below", "sag", "stopped", "rate", "high", "low, f_low"),
}
# Files that hold no formula of their own, but checks, shapes and schemes.
PLAIN = {"__init__", "numbers", "results", "steps", "contact", "derivations"}
PLAIN |= {"least_squares"}
LIMITS = {"above", "least", "most", "below", "count", "axis", "ndmin", "initial"}


@dataclass(frozen=True)
class Number:
    """A number in a file, and what it is changed to."""

    path: Path
    line: int
    start: int
    end: int
    old: str
    new: str

    def __str__(self):
        return f"{self.path.stem}:{self.line}  {self.old} -> {self.new}"


class Finder(ast.NodeVisitor):
    """Collect the numbers of formulas."""

    def __init__(self):
        self.found = []

    def visit_Assign(self, node):
        names = {ast.unparse(each).strip("()") for each in node.targets}
        if not names & SETTINGS:
            self.generic_visit(node)

    def visit_Subscript(self, node):
        self.visit(node.value)  # an index is no formula

    def visit_keyword(self, node):
        if node.arg not in LIMITS:
            self.generic_visit(node)

    def visit_arguments(self, node):
        pass  # defaults of functions are choices

    def visit_Compare(self, node):
        pass  # so are limits

    def visit_Raise(self, node):
        pass

    def visit_JoinedStr(self, node):
        pass

    def visit_Call(self, node):
        name = ast.unparse(node.func).rsplit(".", 1)[-1]
        if name not in {
            "range",
            "round",
            "reshape",
            "checked",
            "bodies",
            "sum",
            "zeros",
        }:
            self.generic_visit(node)

    def visit_Constant(self, node):
        value = node.value
        if isinstance(value, (int, float)) and not isinstance(value, bool):
            if value in (0, 1) or abs(value) < 1e-8:
                return  # signs, limits and rounding
            self.found.append(node)


def numbers(paths):
    every = []
    for path in paths:
        text = path.read_text("utf-8")
        finder = Finder()
        finder.visit(ast.parse(text))
        lines = text.splitlines()
        for node in finder.found:
            line = lines[node.lineno - 1].encode()
            old = line[node.col_offset : node.end_col_offset].decode()
            whole = isinstance(node.value, int)
            new = node.value + max(1, node.value // 50) if whole else node.value * 1.02
            every.append(
                Number(
                    path,
                    node.lineno,
                    node.col_offset,
                    node.end_col_offset,
                    old,
                    repr(new),
                )
            )
    return every


def notice(copy, *tests):
    """Say whether one of these tests fails; they import the copy, not the original."""
    done = subprocess.run(
        [
            *(sys.executable, "-m", "pytest", "-x", "-q", "-p", "no:cacheprovider"),
            *("--hypothesis-seed=1", *tests),
        ],
        cwd=copy,
        env={**os.environ, "PYTHONPATH": str(copy), "PYTHONDONTWRITEBYTECODE": "1"},
        capture_output=True,
        text=True,
        timeout=1200,
    )
    return done.returncode != 0, done.stdout


def main():
    wanted = int(sys.argv[1]) if len(sys.argv) > 1 else 30
    files = sorted((TOP / "bouncelab" / "physics").glob("*.py"))
    files = [f for f in files if f.stem not in PLAIN]
    files.append(TOP / "bouncelab" / "uncertainty.py")
    if len(sys.argv) > 2:
        files = [f for f in files if f.stem in sys.argv[2:]]
    every = numbers(files)
    chosen = random.Random(4).sample(every, min(wanted, len(every)))
    with tempfile.TemporaryDirectory() as folder:
        copy = Path(folder) / "project"
        skip = shutil.ignore_patterns(".*", "__pycache__", "browser")
        shutil.copytree(TOP, copy, ignore=skip)
        where = "import bouncelab; print(bouncelab.__file__)"
        seen = subprocess.run(
            [sys.executable, "-c", where],
            cwd=copy,
            env={**os.environ, "PYTHONPATH": str(copy)},
            capture_output=True,
            text=True,
        ).stdout
        if not seen.startswith(str(copy)):
            raise SystemExit(f"The copy is not what is imported, but {seen}")
        broken, told = notice(copy, "tests/reference", "tests/physics")
        if broken:
            raise SystemExit(
                f"The tests fail before anything is changed.\n{told[-3000:]}"
            )
        caught = {"reference": 0, "physics": 0, "nothing": 0}
        begun = time.perf_counter()
        for number in sorted(chosen, key=str):
            target = copy / number.path.relative_to(TOP)
            whole = target.read_text("utf-8")
            lines = whole.split("\n")
            line = lines[number.line - 1].encode()
            lines[number.line - 1] = (
                line[: number.start] + number.new.encode() + line[number.end :]
            ).decode()
            target.write_text("\n".join(lines), "utf-8")
            by = "nothing"
            for room in ("reference", "physics"):
                if notice(copy, f"tests/{room}")[0]:
                    by = room
                    break
            caught[by] += 1
            target.write_text(whole, "utf-8")
            print(f"{number!s:60} caught by {by}", flush=True)
    taken = time.perf_counter() - begun
    print(
        f"{sum(caught.values())} of {len(every)} numbers changed in {taken:.0f} s: "
        f"{caught['reference']} caught by the reference tests, "
        f"{caught['physics']} more by the tests of the physics, "
        f"{caught['nothing']} by nothing"
    )
    return caught["nothing"] > 0


if __name__ == "__main__":
    sys.exit(main())
