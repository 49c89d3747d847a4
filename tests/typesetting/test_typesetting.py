"""Papers: what people typed stays text, and both forms say the same."""

import re
import sys
from html import unescape

import pymupdf
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from matplotlib.figure import Figure

from bouncelab.errors import BounceLabError, InputError
from bouncelab.figures.picture import Picture
from bouncelab.typesetting import making
from bouncelab.typesetting.making import make_html, make_pdf
from bouncelab.typesetting.paper import Paper, figure, plain, table
from bouncelab.typesetting.together import make_htmls

NASTY = "*Ann* <script>alert(1)</script> $x$ #set `x` \\n 'a' \"b\" @c [x](y) 1. | _z_"


def pdf_text(data):
    with pymupdf.open(stream=data) as document:
        return " ".join(" ".join(page.get_text() for page in document).split())


@pytest.fixture(scope="module")
def picture():
    drawn = Figure(figsize=(3, 2))
    drawn.subplots().plot([1, 2])
    return Picture(drawn, 'A line that rises from 1 to 2, "straight".')


def test_a_typed_name_is_never_markup():
    paper = Paper(NASTY, f"{plain(NASTY)}\n\n{plain('1. ' + NASTY)}", {}, NASTY)

    page, shown = make_html(paper), pdf_text(make_pdf(paper))
    assert "<script" not in page
    assert page.count("&lt;script&gt;") >= 4
    assert shown.count(NASTY) >= 4  # title, twice in the text, foot


@settings(max_examples=25, deadline=None)
@given(st.text(st.characters(codec="latin-1", exclude_categories=["Cc"]), max_size=40))
def test_any_text_comes_through_the_page_as_it_was(text):
    page = make_html(Paper("t", f"start{plain(' ' + text + ' ')}end"))
    body = re.sub(r"<[^>]*>", "", page[page.index("<main>") : page.index("</main>")])
    said = "".join(unescape(body).split())
    wanted = "".join(each if each.isprintable() else " " for each in text)
    assert said == "tstart" + "".join(wanted.split()) + "end"


def test_formulas_are_mathml_on_the_page_and_letters_in_the_print():
    paper = Paper("t", r"So $e = \sqrt{\frac{h_2}{h_1}}$ is it.")

    page = make_html(paper)
    assert "<msqrt>" in page
    assert "√" in pdf_text(make_pdf(paper))


def test_a_page_asks_nothing_of_the_network_and_carries_its_figures(picture):
    text = figure("line.svg", picture, caption="A line")
    page = make_html(Paper("t", text, {"line.svg": picture.svg().encode()}))

    assert not re.findall(r"""(?:src|href)=["'](?!data:|#)""", page)
    assert 'alt="A line that rises from 1 to 2, &quot;straight&quot;."' in page


def test_the_print_holds_each_figure_s_words_for_a_reader_that_speaks(picture):
    text = figure("line.svg", picture, caption="A line")
    data = make_pdf(Paper("t", text, {"line.svg": picture.svg().encode()}))

    with pymupdf.open(stream=data) as document:
        objects = "".join(
            document.xref_object(k) for k in range(1, document.xref_length())
        )
    assert "A line that rises from 1 to 2" in objects
    assert "/StructTreeRoot" in objects


def test_the_same_paper_gives_the_same_bytes(picture):
    paper = Paper(
        "t", figure("a.svg", picture, caption="x"), {"a.svg": picture.svg().encode()}
    )

    assert make_pdf(paper) == make_pdf(paper)
    assert make_html(paper) == make_html(paper)


@pytest.mark.parametrize(("size", "width"), [("a4", 595.3), ("us-letter", 612.0)])
def test_the_sheet_has_the_size_asked_for(size, width):
    with pymupdf.open(stream=make_pdf(Paper("t", "text"), size=size)) as document:
        assert document[0].rect.width == pytest.approx(width, abs=0.5)


def test_what_is_to_be_written_on_is_drawn():
    text = (
        "[ ]{.gap width=3cm}\n\n::: {.lines count=4}\n:::\n\n"
        "::: {.box height=3cm}\nWork\n:::\n\n::: caution\nMind the needle.\n:::\n"
    )
    with pymupdf.open(stream=make_pdf(Paper("t", text))) as document:
        drawn = document[0].get_drawings()
        said = document[0].get_text()
    page = make_html(Paper("t", text))

    assert len(drawn) >= 7  # a gap, four lines, a box, a frame
    assert "Take care. Mind the needle." in " ".join(said.split())
    assert "--count:4" in page
    assert re.search(r'<span[^>]*class="gap"[^>]*width:3cm', page)


def test_large_print_is_larger():
    def size(large):
        with pymupdf.open(stream=make_pdf(Paper("t", "text"), large=large)) as found:
            spans = found[0].get_text("dict")["blocks"][1]["lines"][0]["spans"]
            return spans[0]["size"]

    assert size(False) == pytest.approx(10.5, abs=0.1)
    assert size(True) == pytest.approx(16, abs=0.1)


def test_a_table_shows_its_cells_in_both():
    text = table(["ball", "e"], [[plain("a|b"), "0.55"]], right=[1], caption="Balls")
    page, shown = make_html(Paper("t", text)), pdf_text(make_pdf(Paper("t", text)))

    assert '<td style="text-align: left;">a|b</td>' in page
    assert "a|b" in shown
    assert "Balls" in shown


def test_a_figure_outside_the_paper_s_own_folder_is_refused():
    with pytest.raises(InputError, match="plain file name"):
        make_html(Paper("t", "x", {"../a.svg": b""}))


def test_without_pandoc_a_person_is_told_what_to_install(monkeypatch):
    making.pandoc_path.cache_clear()
    monkeypatch.setitem(sys.modules, "pypandoc", None)
    monkeypatch.setattr(making.shutil, "which", lambda _: None)
    try:
        with pytest.raises(BounceLabError, match=r"bouncelab\[papers\]"):
            make_html(Paper("t", "x"))
    finally:
        making.pandoc_path.cache_clear()


def test_a_paper_that_cannot_be_set_is_named_not_a_traceback(tmp_path):
    with pytest.raises(BounceLabError, match="Mend that place"):
        making.compile_typst("#nothing-of-this-name", tmp_path, title="t")


def test_many_papers_at_once_are_each_as_alone():
    papers = [
        Paper(
            f"Title {k} <b>", f"Text {plain(NASTY)} {k} $x^{k}$\n\n{rows}", {}, f"f{k}"
        )
        for k, rows in enumerate(["", table(["a", "b"], [["1", "2"]]), "## End"])
    ]

    for at_once, paper in zip(make_htmls(papers), papers, strict=True):
        assert unescape(at_once) == unescape(make_html(paper))
        assert "<script" not in at_once
    assert make_htmls([]) == []
