import re
from html import unescape

import pytest

from bouncelab.errors import BounceLabError
from bouncelab.typesetting import together as together_room
from bouncelab.typesetting.making import make_html, make_pdf, run_pandoc
from bouncelab.typesetting.paper import Paper, plain
from bouncelab.typesetting.together import make_htmls, make_pdfs

BLUE, RED = (
    f'<svg xmlns="http://www.w3.org/2000/svg" width="9" height="9"><rect width="9" '
    f'height="9" fill="{colour}"/></svg>'.encode()
    for colour in ("blue", "red")
)


def paper(name, figure=BLUE, more=""):
    text = (
        f"## For {plain(name)}\n\n$e = \\sqrt{{h_2/h_1}}$ [ ]{{.gap width=2cm}}\n\n"
        '::: {.box height=2cm}\n**1** A "box"\n:::\n\n'
        f'![A square](square.svg){{width=2cm alt="a square"}}\n\n{more}'
    )
    return Paper(f"A & B <{name}>", text, {"square.svg": figure}, f"foot of {name}")


PAPERS = [paper('Ann "A"'), paper("Bob", RED), paper("$x$ # {{e}} | *Cy*")]


def same(page):
    """Give a page without what pandoc writes in two ways that look alike."""
    return unescape(re.sub(r'<img [^>]*?(src="[^"]+")[^>]*>', r"<\1>", page))


def packed(page):
    return re.findall(r'src="(data:image/svg\+xml;base64,[^"]+)"', page)


def test_papers_made_together_are_those_made_alone(monkeypatch):
    alone, print_alone = (list(map(make, PAPERS)) for make in (make_html, make_pdf))
    runs = []

    def count(*words):
        runs.append(words)
        return run_pandoc(*words)

    monkeypatch.setattr(together_room, "run_pandoc", count)
    together = make_htmls(PAPERS)
    tidy = [re.sub(r'"data:[^"]+"', '""', same(each)) for each in (*alone, *together)]

    assert tidy[:3] == tidy[3:]
    assert [len(packed(page)) for page in together] == [1, 1, 1]
    assert packed(together[0]) == packed(together[2]) != packed(together[1])
    assert make_pdfs(PAPERS) == print_alone
    assert len(runs) == 2  # one for all pages, one for all prints


def test_a_page_of_many_has_its_own_title_and_foot():
    (_, page, _) = make_htmls(PAPERS)

    assert "<title>A &amp; B &lt;Bob&gt;</title>" in page
    assert "foot of Bob" in page
    assert "Ann" not in page
    assert "bouncelab" not in page


@pytest.mark.parametrize(
    "more",
    [
        "A note.[^1]\n\n[^1]: Said below.",
        "A note^[said below].",
        "::: card\nopen",
        "```\nopen",
    ],
)
def test_what_reaches_beyond_its_paper_is_made_alone(more):
    papers = [paper("Ann", more=more), paper("Bob")]

    assert make_htmls(papers) == [make_html(each) for each in papers]
    assert make_pdfs(papers) == [make_pdf(each) for each in papers]


def test_one_paper_or_none_is_fine():
    assert make_htmls([]) == []
    assert make_pdfs(PAPERS[:1]) == [make_pdf(PAPERS[0])]


def test_a_paper_without_its_figure_is_told():
    papers = [PAPERS[0], Paper("Lost", "![x](lost.svg)", {})]

    with pytest.raises(BounceLabError):
        make_pdfs(papers)
