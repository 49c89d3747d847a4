"""A folder of groups' files beside an open notebook: new files are taken in at once."""

import json
import shutil
import time

import pytest
from playwright.sync_api import expect

from bouncelab.places import kit_folder

pytestmark = pytest.mark.browser

NAME = "ours.ipynb"
CELLS = [
    "from bouncelab import CompareClass, TuneBall",
    'CompareClass("../class_files").stage',
    'TuneBall("../class_files").stage',
]


@pytest.fixture
def class_files(desk):
    """A folder for a class's files, and a notebook that looks at it."""
    folder, _ = desk
    files = folder / "class_files"
    files.mkdir()
    cells = [
        {
            "cell_type": "code",
            "execution_count": None,
            "id": f"cell-{k}",
            "metadata": {},
            "outputs": [],
            "source": source,
        }
        for k, source in enumerate(CELLS)
    ]
    kernel = {"display_name": "Python 3", "language": "python", "name": "python3"}
    whole = {"cells": cells, "metadata": {"kernelspec": kernel}}
    text = json.dumps({**whole, "nbformat": 4, "nbformat_minor": 5})
    (folder / "notebooks" / NAME).write_text(text)
    yield files
    shutil.rmtree(files)
    (folder / "notebooks" / NAME).unlink()


@pytest.fixture(scope="module")
def by_group():
    """The invented class's lines, group by group, with its headings."""
    lines = (kit_folder("data") / "larkfield_class.csv").read_text("utf-8").splitlines()
    headings, *rows = [line for line in lines if not line.startswith("#")]
    groups = {}
    for row in rows:
        groups.setdefault(row.partition(",")[0], []).append(row)
    return {
        name: "\n".join([headings, *rows, ""]).encode() for name, rows in groups.items()
    }


@pytest.mark.parametrize("notebook", [{"name": NAME}], indirect=True)
def test_each_new_file_is_taken_in_within_two_seconds(class_files, notebook, by_group):
    compared, tuned = (notebook.page.locator(".bl-stage").nth(k) for k in (0, 1))
    expect(compared.locator(".bl-told")).to_contain_text("there is ")
    expect(tuned.locator(".bl-told")).to_contain_text("No group's file here")

    late = []
    for count, (name, text) in enumerate(by_group.items(), start=1):
        start = time.perf_counter()
        if name == "Rowan":  # a program that writes in two goes
            (class_files / f"{name}.csv").write_bytes(text[:50])
            time.sleep(0.3)
        (class_files / f"{name}.csv").write_bytes(text)
        files = f"{count} file{'s' * (count != 1)}, "
        expect(compared.locator(".bl-remark")).to_contain_text(files, timeout=5000)
        expect(tuned.locator(".bl-remark")).to_contain_text(files, timeout=5000)
        late.append(time.perf_counter() - start)
    assert sorted(late)[len(late) // 2] < 2.0
    expect(compared.locator(".bl-told")).to_contain_text("pairs can be told apart")
    chosen = tuned.get_by_label("ball and range")
    chosen.select_option("Futsal ball|futsal-law-2")
    expect(tuned.locator(".bl-told")).to_contain_text("g of air")

    (class_files / "broken.csv").write_bytes(b"\x00\xff\x00")
    expect(compared.locator(".bl-remark")).to_contain_text("broken.csv cannot be read")
    expect(compared.locator(".bl-told")).to_contain_text("pairs can be told apart")
    expect(chosen).to_have_value("Futsal ball|futsal-law-2")  # what was chosen stays

    (class_files / "broken.csv").unlink()
    shutil.copy(class_files / "Elm.csv", class_files / "Elm again.csv")
    expect(compared.locator(".bl-remark")).to_contain_text("counted only once")


@pytest.mark.parametrize("notebook", [{"name": NAME}], indirect=True)
def test_after_a_restart_and_with_the_folder_away_no_row_is_lost(
    class_files, notebook, by_group
):
    for name, text in by_group.items():
        (class_files / f"{name}.csv").write_bytes(text)
    rows = sum(len(text.splitlines()) - 1 for text in by_group.values())
    whole = f"{len(by_group)} files, {rows} rows"
    compared = notebook.page.locator(".bl-stage").first
    remark, told = compared.locator(".bl-remark"), compared.locator(".bl-told")
    expect(remark).to_contain_text(whole)
    notebook.restart_and_run_all()
    expect(remark).to_contain_text(whole)

    lines = by_group["Elm"].splitlines(keepends=True)
    (class_files / "Elm (1).csv").write_bytes(b"".join(lines[:-2]))
    expect(remark).to_contain_text("Elm (1).csv is an older state of Elm.csv")
    expect(remark).to_contain_text(whole)
    (class_files / "Elm (1).csv").unlink()

    away = class_files.with_name("away")
    class_files.rename(away)
    expect(remark).to_contain_text("no such folder now")
    expect(told).to_contain_text("pairs can be told apart")
    away.rename(class_files)
    expect(remark).to_contain_text(whole)

    (class_files / "Oak.csv").unlink()
    expect(remark).to_contain_text("Oak.csv is gone: its rows no longer count")
