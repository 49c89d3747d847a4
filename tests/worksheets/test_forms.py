"""What students get: whole, alike each time, and without an answer in it."""

import base64
import json
import re
import zlib

import pymupdf
import pytest

from bouncelab.places import kit_folder
from bouncelab.typesetting.making import make_html, make_pdf
from bouncelab.worksheets.codes import new_code
from bouncelab.worksheets.key_paper import key_paper
from bouncelab.worksheets.notebook_form import notebook_bytes
from bouncelab.worksheets.paper_form import sheet_paper
from bouncelab.worksheets.running import solve_code
from bouncelab.worksheets.source import parse_source, read_source
from worksheets.example import source_bytes

SEED = "a seed nobody knows"
EXAMPLE = parse_source("example.ipynb", source_bytes())
KIT = sorted((kit_folder("notebooks") / "worksheets").glob("*.ipynb"))


def of(source, who="ann"):
    return solve_code(source, new_code(SEED, who, 0, source.ranges))


def inside(data):
    """Give all bytes of a PDF, those of packed objects too."""
    packed = re.findall(rb"stream\r?\n(.*?)\r?\nendstream", data, re.DOTALL)
    plain = []
    for each in packed:
        try:
            plain.append(zlib.decompress(each))
        except zlib.error:
            plain.append(each)
    with pymupdf.open(stream=data) as book:
        plain += [page.get_text().encode() for page in book]
        plain += [book.xref_object(k).encode() for k in range(1, book.xref_length())]
        plain += [json.dumps(book.metadata).encode(), book.get_xml_metadata().encode()]
    return b"\n".join([data, *plain])


@pytest.mark.parametrize("path", [None, *KIT], ids=lambda p: p.stem if p else "example")
def test_no_answer_seed_or_key_hides_in_a_students_files(path):
    source = read_source(path) if path else EXAMPLE
    variant = of(source)
    paper = sheet_paper(source, variant, "Ann Example")
    notebook = notebook_bytes(source, variant, "Ann Example")
    found = {
        "ipynb": notebook,
        "html": make_html(paper).encode(),
        "pdf": inside(make_pdf(paper)),
    }

    secret = {SEED, SEED[::-1], base64.b64encode(SEED.encode()).decode()}
    for asked in variant.answers.values():
        secret |= set(asked.wrong) | set(asked.expected)
        if asked.kind == "number":
            secret |= {repr(asked.value), repr(asked.in_unit(asked.value))[:9]}
    secret -= {each for each in secret if re.fullmatch(r"[\d.−-]{1,5}", each)}
    for form, data in found.items():
        text = data.decode("utf-8", "replace")
        assert [each for each in secret if each in text] == [], form
    assert "tolerance" not in notebook.decode()


def test_the_notebook_to_fill_in_is_a_valid_one_with_a_box_for_each_answer():
    import nbformat

    variant = of(EXAMPLE)
    book = nbformat.reads(notebook_bytes(EXAMPLE, variant, "Ann"), as_version=4)
    nbformat.validate(book)
    boxes = [cell for cell in book.cells if cell.cell_type == "raw"]

    assert [cell.metadata.bouncelab.question for cell in boxes] == list(variant.answers)
    assert {cell.source for cell in boxes} == {""}
    assert book.metadata.bouncelab.code == variant.code
    assert variant.code in book.cells[0].source
    assert not any(cell.cell_type == "code" for cell in book.cells)


def test_the_same_sheet_gives_the_same_bytes():
    source = read_source("age_11_reading_a_tape")

    def make():
        variant = of(source)
        paper = sheet_paper(source, variant, "Ann")
        return notebook_bytes(source, variant, "Ann"), make_html(paper), make_pdf(paper)

    assert make() == make()


def words(data):
    with pymupdf.open(stream=data) as book:
        return " ".join(" ".join(page.get_text() for page in book).split())


def test_the_paper_can_be_read_back_with_its_numbers_and_places():
    variant = of(EXAMPLE)
    read = words(make_pdf(sheet_paper(EXAMPLE, variant, "Ann O'Hara")))

    for each in variant.givens.values():
        assert str(each.shown).replace("\u202f", " ") in read.replace("\u202f", " ")
    for text in ("How much speed comes back?", "Ann O'Hara", variant.code, "Hints"):
        assert text in read
    for number in ("1", "2a", "2b", "3a", "3b", "3c"):
        assert f" {number} " in read.replace("\u00a0", " ")


@pytest.mark.parametrize(
    "name",
    ["דנה כהן", "=HYPERLINK(1)", "#eval[x]", "$x^2$ {{e}}", "<b>Bold</b>", "李小龙"],
)
def test_a_name_is_shown_as_it_is_and_does_nothing(name):
    paper = sheet_paper(EXAMPLE, of(EXAMPLE), name)

    assert make_pdf(paper).startswith(b"%PDF")
    page = make_html(paper)
    assert "<b>" not in page
    assert "<math" not in page.split("</p>")[0]


def test_the_key_tells_answers_working_and_wrong_ideas():
    variant = of(EXAMPLE)
    read = words(make_pdf(key_paper(EXAMPLE, [(variant, "Ann"), (variant, "")])))

    assert read.count(str(variant.answers["e"].shown)) >= 4
    for text in ("square root forgotten", "speeds are compared", "air is left out"):
        assert text in read
