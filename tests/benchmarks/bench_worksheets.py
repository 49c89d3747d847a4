"""How fast are worksheets made, beside their bare typesetting?

Run it by hand: python tests/benchmarks/bench_worksheets.py
"""

import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import psutil

from bouncelab.batches import local_processes
from bouncelab.places import kit_folder
from bouncelab.typesetting.making import _FROM, compile_typst, pandoc_path
from bouncelab.typesetting.together import make_htmls, make_pdfs
from bouncelab.worksheets.codes import new_code
from bouncelab.worksheets.making import blank_students, make_sheets
from bouncelab.worksheets.notebook_form import notebook_bytes
from bouncelab.worksheets.paper_form import sheet_paper
from bouncelab.worksheets.running import solve_code
from bouncelab.worksheets.source import read_source

NAME = "age_14_where_the_energy_goes"
ROUNDS, TOGETHER, CLASS, MANY = 9, 6, 30, 3000
CLASS_SECONDS, DEARER, FASTER, GROWTH_MB = 8, 1.5, 20, 30


def seconds(work):
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


def median(work, rounds=ROUNDS):
    return statistics.median(seconds(work) for _ in range(rounds))


def some_sheets(source, count):
    """Make sheets in all three forms as a class's are made."""
    solved = [
        solve_code(source, new_code("bench", str(k), 0, source.ranges))
        for k in range(count)
    ]
    papers = [sheet_paper(source, each, "Ann Example") for each in solved]
    for each in solved:
        notebook_bytes(source, each, "Ann Example")
    make_htmls(papers)
    make_pdfs(papers)


def bare(paper, folder):
    """Typeset a text with pandoc and typst alone, to a whole page and a PDF."""
    words = ("--standalone", f"--from={_FROM}")
    for to in (("--to=html5", "--mathml", "--embed-resources"), ("--to=typst",)):
        done = subprocess.run(
            [pandoc_path(), *words, *to],
            input=paper.text,
            cwd=folder,
            capture_output=True,
            encoding="utf-8",
            check=True,
        )
    compile_typst(done.stdout, folder, title="bare")


def each_sheet():
    source = read_source(NAME)
    variant = solve_code(source, new_code("bench", "0", 0, source.ranges))
    paper = sheet_paper(source, variant, "Ann Example")
    with tempfile.TemporaryDirectory() as place:
        for name, data in paper.figures.items():
            (Path(place) / name).write_bytes(data)
        some_sheets(source, TOGETHER)
        pairs = [
            (
                seconds(lambda: some_sheets(source, TOGETHER)) / TOGETHER,
                seconds(lambda: bare(paper, Path(place))),
            )
            for _ in range(ROUNDS)
        ]
    mine, peer = (statistics.median(each) for each in zip(*pairs, strict=True))
    good = mine / peer <= DEARER
    print(
        f"a further sheet, three forms: {mine * 1e3:.0f} ms, bare pandoc and typst "
        f"{peer * 1e3:.0f} ms: {mine / peer:.2f} (aim: {DEARER}) "
        f"{'ok' if good else 'TOO SLOW'}"
    )
    return good


def a_class():
    source = read_source(NAME)
    with tempfile.TemporaryDirectory() as place, local_processes() as executor:
        took = seconds(
            lambda: make_sheets(
                source, blank_students(CLASS), Path(place), "bench", executor=executor
            )
        )
    good = took <= CLASS_SECONDS
    print(
        f"{CLASS} students, three forms and the key: {took:.1f} s "
        f"(aim: {CLASS_SECONDS} s) {'ok' if good else 'TOO SLOW'}"
    )
    return good


def notebooks():
    import nbformat
    from nbclient import NotebookClient

    source = read_source(NAME)
    path = kit_folder("notebooks") / "worksheets" / source.name
    book = nbformat.read(path, as_version=4)

    def mine(k):
        variant = solve_code(source, new_code("bench", str(k), 0, source.ranges))
        notebook_bytes(source, variant, "Ann Example")

    mine(0)
    peer = median(lambda: NotebookClient(book).execute(), rounds=3)
    took = statistics.median(seconds(lambda k=k: mine(k)) for k in range(20))
    good = peer / took >= FASTER
    print(
        f"a notebook: {took * 1e3:.0f} ms, source run by nbclient {peer:.2f} s: "
        f"{peer / took:.0f} times faster (aim: {FASTER}) {'ok' if good else 'TOO SLOW'}"
    )
    return good


def many():
    source = read_source(NAME)
    process, sizes = psutil.Process(), []

    def note(done, count, of):
        if count in (of // 4, of):
            sizes.append(process.memory_info().rss / 1e6)

    with tempfile.TemporaryDirectory() as place:
        took = seconds(
            lambda: make_sheets(
                source,
                blank_students(MANY),
                Path(place),
                "bench",
                forms=["ipynb"],
                progress=note,
            )
        )
    good = sizes[-1] - sizes[0] <= GROWTH_MB
    print(
        f"{MANY} notebooks and their key: {took:.0f} s, {sizes[0]:.0f} MB after a "
        f"quarter, {sizes[-1]:.0f} MB after all (aim: {GROWTH_MB} MB more) "
        f"{'ok' if good else 'GROWS'}"
    )
    return good


if __name__ == "__main__":
    results = [each_sheet(), a_class(), notebooks(), many()]
    sys.exit(not all(results))
