"""A class's report: the library's numbers in words, and nothing from elsewhere."""

import re
from html import unescape

import numpy as np
import pymupdf
import pytest
from matplotlib.colors import to_rgb
from scipy import stats

from bouncelab import bounciness, check_drops, find_range, read_drops
from bouncelab.analysis.comparison import compare
from bouncelab.analysis.pressure import tune_pressure
from bouncelab.analysis.words import shown
from bouncelab.cli import main
from bouncelab.figures.strips import draw_strips
from bouncelab.places import kit_folder
from bouncelab.readings.drops import read_rows
from bouncelab.reports.class_report import class_paper, write_report
from bouncelab.reports.group_pages import groups_of
from bouncelab.typesetting.making import make_html, make_pdf

CLASS = kit_folder("data") / "larkfield_class.csv"
RANGES = [find_range("futsal-law-2"), find_range("basketball-fiba-1998")]
HEADINGS = ["group", "ball", "drop (cm)", "rebound (cm)", "pressure (kPa)", "note"]


def flat(text):
    return " ".join(text.split())


def words_of(page):
    body = page[page.index("<main>") : page.index("</main>")]
    return flat(unescape(re.sub(r"<[^>]*>", " ", body)))


def pdf_words(data):
    with pymupdf.open(stream=data) as document:
        return flat(" ".join(page.get_text() for page in document))


@pytest.fixture(scope="module")
def drops():
    return check_drops(read_drops(CLASS))


@pytest.fixture(scope="module")
def paper(drops):
    return class_paper(drops, ranges=RANGES)


@pytest.fixture(scope="module")
def page(paper):
    return make_html(paper)


@pytest.fixture(scope="module")
def sheets(paper):
    return make_pdf(paper)


def test_every_ball_s_number_is_the_library_s(drops, page, sheets):
    table = words_of(page).split("energy lost")[1].split("± is the")[0]
    told = words_of(page).split("Against the ranges")[1].split("What to know")[0]
    printed = pdf_words(sheets).split("energy lost")[1].split("For group")[0]
    rows = [row for row in bounciness(drops, ranges=RANGES).rows if row.n]
    assert table.count("±") == 2 * len(rows) == 34
    for row in rows:
        line = (
            f"{100 * row.drop_height:.1f} {row.n} {100 * row.rebound_height:.1f} "
            f"{shown(row.e, row.expanded)} {shown(row.no_air, row.no_air_expanded)}"
        )
        assert line in table
        assert line.replace("± ", "±") in printed.replace("± ", "±")
        for verdict in row.verdicts:
            assert flat(verdict.reason) in told


def test_every_doubtful_reading_is_named_with_what_to_try(drops, page):
    said = words_of(page)
    found = bounciness(drops)
    assert len(found.findings) > 10
    for each in found.findings:
        assert each.read in said
    assert f"{len(found.findings)} readings should be looked at" in said
    assert "2 drops were left out and none set aside." in said
    assert "Drops: 241 in the file, 239 used." in said


def test_comparisons_and_air_are_told_with_their_statistics(drops, page):
    said = words_of(page)
    found = bounciness(drops)
    pairs = sorted(compare(found, by="pressure").pairs, key=lambda each: each.p)
    for pair in pairs:
        luck = "under 0.001" if pair.p_holm < 0.001 else f"{pair.p_holm:.3f}"
        hint = f" {pair.hint}" if pair.hint else ""
        assert f"{pair.finding}.{hint} {pair.size} {luck} {pair.method}" in said
    tuning = tune_pressure(found, ball="Futsal ball", range=RANGES[0])
    assert tuning.advice in said
    assert "Never pump a ball above the pressure printed on it" in said
    assert not re.search(r"\bp [<=]", said)  # no bare p-value


def test_the_first_paragraph_answers_what_was_found(drops, page):
    said = words_of(page).split("What we found")[1].split("In this report")[0]
    rows = [row for row in bounciness(drops).rows if row.n]
    most, least = max(rows, key=lambda r: r.e), min(rows, key=lambda r: r.e)
    for word, row in (("The liveliest", most), ("the least lively", least)):
        value = shown(row.e, row.expanded)
        assert re.search(
            rf"{word}, {row.ball}[^,]*, kept {row.e:.0%}".replace("%", " %")
            + rf" of its speed \( ?e = {value}",
            said,
        )
    assert "some balls and some pressures differ; no two groups" in said
    assert "Futsal ball wants about 43 kPa" in said
    assert "meets it at 45.0 kPa, 60.0 kPa and 75.0 kPa" in said
    assert "does not meet it at 90.0 kPa" in said


def test_where_warmth_varied_the_pressure_curve_says_so():
    drops = check_drops(read_drops(kit_folder("data") / "larkfield_floors.csv"))
    said = class_paper(drops, ranges=RANGES).text
    assert "what warmth does is in this curve, too" in said


def test_without_a_range_or_a_ball_for_it_the_reason_is_said(drops):
    none = words_of(make_html(class_paper(drops)))
    assert "no range was asked for" in none
    rows = [[g, b, "200", f"5{k}", "", ""] for g in "AB" for b in "CD" for k in "12"]
    other = class_paper(check_drops(read_rows(HEADINGS, rows)), ranges=RANGES)
    said = words_of(make_html(other))
    assert "No ball of this class belongs to" in said
    assert "None of the ranges asked for belongs to a ball with air" in said


def test_names_in_any_script_keep_their_letters_in_the_figures():
    rows = [["Oak", "كرة 橡皮球", "200", f"{57 + k}", "", ""] for k in range(3)]
    paper = class_paper(check_drops(read_rows(HEADINGS, rows)))

    assert re.search("<text[^>]*>كرة 橡皮球", paper.figures["figure1.svg"].decode())
    assert "كرة" in pdf_words(make_pdf(paper)) or "ةرك" in pdf_words(make_pdf(paper))


def test_each_group_has_one_page_with_its_own_drops(drops, sheets):
    found = bounciness(drops)
    with pymupdf.open(stream=sheets) as document:
        texts = [flat(each.get_text()) for each in document]
    first = next(k for k, text in enumerate(texts) if text.startswith("For group"))
    names = groups_of(found)
    assert len(names) == 8
    for k, name in enumerate(names):
        said = texts[first + k]
        assert said.startswith(f"For group {name} ")
        assert "One thing to think about" in said
        for row in found.rows:
            trials = row.trials
            mine = [who == name for who in trials.group]
            heights = [
                f"{100 * each:.1f}" + " (?)" * bool(doubt)
                for each, doubt in zip(
                    trials.rebound_height[mine], trials.doubtful[mine], strict=True
                )
            ]
            assert ", ".join(heights) in said
            if any(mine):
                e = trials.e[mine]
                half = stats.t.ppf(0.975, e.size - 1) * stats.sem(e)
                own = f"{shown(e.mean(), half)} {shown(row.e, row.expanded)}"
                assert own.replace("± ", "±") in said.replace("± ", "±")
    assert texts[first + 8].startswith("How this was worked out")


def test_a_group_can_check_its_first_drop_by_hand():
    rows = [["Oak", "A", "72 in", f"{28.72 + k} in", "", ""] for k in range(3)]
    said = class_paper(check_drops(read_rows(HEADINGS, rows))).text
    found = re.search(r"sqrt\{([\d.]+)/([\d.]+)\} = ([\d.]+)", said)
    h2, h1, e = found.groups()

    assert f"{(float(h2) / float(h1)) ** 0.5:.3f}" == e == "0.632"


def test_a_column_of_pupils_is_numbered_unless_names_are_asked_for():
    headings = ["Students", *HEADINGS[1:]]
    rows = [
        [who, "A", "200", f"{57 + k}", "", ""]
        for who in ("Kim and Lee", "Sam")
        for k in range(3)
    ]
    drops = check_drops(read_rows(headings, rows))
    hidden = words_of(make_html(class_paper(drops)))
    shown_too = words_of(make_html(class_paper(drops, names=True)))

    assert "Kim" not in hidden
    assert "For Group 1" in hidden
    assert "For group Kim and Lee" in shown_too


def test_what_is_said_of_groups_does_not_contradict_itself(drops):
    rows = [
        [who, "A", "200", f"{base + k}", "", ""]
        for who, base in (("Oak", 100), ("Elm", 101), ("Ash", 103))
        for k in range(4)
    ]
    said = class_paper(check_drops(read_rows(HEADINGS, rows))).text
    assert "matters who measured" in said
    assert "no two groups could be told apart" not in flat(said).casefold()


def test_the_contents_lead_to_every_part(page):
    marks = re.findall(r'href="#([^"]+)"', page)
    assert len(marks) == len(set(marks)) == 6 + 8
    for each in marks:
        assert f'id="{each}"' in page


def test_every_figure_is_told_in_words_and_stands_in_the_page(paper, page):
    pictures = re.findall(r'<img[^>]*src="data:image/svg\+xml[^>]*>', page)
    assert len(pictures) == len(paper.figures) >= 5
    for each in pictures:
        assert len(re.search(r'alt="([^"]*)"', each)[1]) > 60


def test_the_page_asks_nothing_of_the_network_and_runs_nothing(page):
    assert not re.findall(r"""(?:src|href)=["'](?!data:|#)""", page)
    assert "<script" not in page
    assert "default-src 'none'" in unescape(page)


def test_formulas_are_rendered_and_rules_named(page):
    assert "<msqrt>" in page
    for each in ("JCGM 100:2008", "JCGM 106:2012", RANGES[0].source):
        assert each in words_of(page)


def test_invented_data_says_so_and_other_data_does_not(page, drops):
    assert "Invented data" in words_of(page)
    rows = [["Oak", "Futsal ball", "200", "57", "60", ""]] * 3
    other = make_html(class_paper(check_drops(read_rows(HEADINGS, rows))))
    assert "nvented" not in words_of(other)


NASTY = [
    "<script>alert(1)</script>",
    "=cmd|' /C calc'!A0",
    "../../etc",
    "علي",
    "x" * 400,
    "$x$ `code` #set *a*",
]


def test_names_are_harmless_whatever_they_are():
    rows = [
        [name, name, "200", f"{57 + k % 2}", "60", name]
        for name in NASTY
        for k in range(3)
    ]
    drops = check_drops(read_rows(HEADINGS, rows))
    paper = class_paper(drops, ranges=RANGES, notes=True)
    page = make_html(paper)

    assert "<script>alert" not in page
    said = words_of(page)
    for name in NASTY:
        assert f"For group {flat(name)}" in said
    printed = pdf_words(make_pdf(paper))
    assert "For group $x$ `code` #set *a*" in printed
    assert "For group ../../etc" in printed


def test_notes_stay_out_unless_they_are_asked_for():
    rows = [["Oak", "A", "200", f"{57 + k}", "60", "Kim dropped it"] for k in range(3)]
    drops = check_drops(read_rows(HEADINGS, rows))

    assert "Kim" not in class_paper(drops).text
    assert "Kim dropped it" in class_paper(drops, notes=True).text


@pytest.mark.parametrize(
    ("rows", "words"),
    [
        ([["Oak", "A", "200", "57", "", ""]], "One drop shows no scatter"),
        ([["Oak", "A", "200", "9S", "", ""]] * 2, "No drop of this class can be used"),
        ([["", "", "200", "57", "", ""]] * 4, "4 drops, 1 ball"),
        ([["Oak", "A", "200", "57", "", ""]] * 5, "5 drops by 1 group"),
    ],
)
def test_little_data_gives_an_honest_report(rows, words):
    drops = check_drops(read_rows(HEADINGS, rows))
    paper = class_paper(drops, ranges=RANGES)

    assert words in words_of(make_html(paper))
    assert make_pdf(paper).startswith(b"%PDF")


def test_the_same_class_gives_the_same_bytes(tmp_path, drops):
    one = [path.read_bytes() for path in write_report(drops, tmp_path / "a")]
    two = [path.read_bytes() for path in write_report(drops, tmp_path / "b")]

    assert one == two


def test_the_pdf_holds_nothing_personal_but_what_the_file_holds(sheets):
    with pymupdf.open(stream=sheets) as document:
        told = {key: value for key, value in document.metadata.items() if value}
    assert set(told) <= {
        "format",
        "title",
        "creator",
        "creationDate",
        "modDate",
        "producer",
    }
    assert "larkfield class" in told["title"]


def test_balls_in_one_figure_can_be_told_apart_in_grey(drops):
    found = bounciness(drops, ranges=RANGES)
    rows = list({row.ball: row for row in found.rows if row.n}.values())[:7]
    axes = draw_strips(rows).figure.axes[0]
    marks, band = {}, axes.patches[0].get_facecolor()
    for line in axes.lines:
        if line.get_label() in ("drop", "doubtful drop"):
            place = round(float(np.mean(line.get_ydata())))
            marks.setdefault(rows[place].ball, set()).add(
                (line.get_marker(), line.get_markeredgecolor())
            )
    shapes = [next(iter(each))[0] for each in marks.values()]
    assert all(len(each) == 1 for each in marks.values())
    assert len(set(shapes)) == len(shapes) > 4
    for (_, colour), *_ in map(list, marks.values()):
        assert grey(colour) < grey(band) - 0.2 < grey("white") - 0.2


def grey(colour):
    return float(np.dot(to_rgb(colour), (0.299, 0.587, 0.114)))


def test_the_command_writes_both_and_says_what_to_look_at(tmp_path, capsys):
    asked = ["report", str(CLASS), "--out", str(tmp_path), "--range", "futsal-law-2"]
    assert main(asked) == 1
    out, err = capsys.readouterr()

    assert (tmp_path / "larkfield_class_report.html").is_file()
    assert (tmp_path / "larkfield_class_report.pdf").is_file()
    assert len(out.split()) == 2
    assert "Readings to look at: 18" in err
    assert main(["report", str(tmp_path / "none.csv"), "--out", str(tmp_path)]) == 2
    assert "none.csv" in capsys.readouterr().err
