"""The papers of a class as files (hpteach/papers/paper_files.py)."""

import re

import pytest

from hpteach.assessment.answer_sheet import COLUMNS, part_letters
from hpteach.assessment.hand_in_keys import hand_in_key
from hpteach.assessment.manifest import read_manifest
from hpteach.assessment.tabular import read_sheet
from hpteach.errors import InputError, UnknownNameError
from hpteach.papers import write_papers
from hpteach.papers.paper_files import refrigerants_of
from hpteach.papers.pressure_table import pressure_tables
from tests import desk_class as desk
from tests.small_class import SECRET, written
from tests.test_class_page import Reading

OTHERS = ("index.html", "key.html", "answers.csv", "papers.json", "card.html")


@pytest.fixture(scope="module")
def papers(tmp_path_factory):
    """The papers of the small class, without pictures in the key."""
    folder = tmp_path_factory.mktemp("desk") / "papers"
    return folder, written(folder, charts=False)


def test_files_are_those_that_are_told(papers):
    """What is told is what stands in the folder: five files, and one for each form."""
    folder, printed = papers
    names = {path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file()}
    assert names == {*OTHERS, *(f"forms/{form.code}.html" for form in desk.papers().forms)}
    assert {"forms": 4, "files": [path.relative_to(folder).as_posix() for path in printed.files]} == printed.dictionary()
    assert names == set(printed.dictionary()["files"])


def test_same_forms_give_the_same_bytes(papers, tmp_path):
    """Written once more, every file is the same."""
    folder, _ = papers
    for path in written(tmp_path, charts=False).files:
        assert path.read_bytes() == (folder / path.relative_to(tmp_path)).read_bytes(), path.name


def test_every_page_is_well_formed_and_fetches_nothing(papers):
    """Every element of every page is closed, and no page loads or runs anything."""
    folder, _ = papers
    for path in folder.rglob("*.html"):
        assert [] == Reading(re.sub(r"<(use|br|col)\b[^>]*>", "", path.read_text(encoding="utf-8"))).fetched, path.name


def test_answer_sheet_has_a_row_for_each_part(papers):
    """The sheet has the agreed columns, and for each form a row for every part that it asks, in its order."""
    sheet = read_sheet(papers[0] / "answers.csv")
    assert COLUMNS == sheet.headings
    rows = [tuple(sheet.text(row, name) for name in ("form", "number", "part")) for row in sheet.rows]
    asked = []
    for form in desk.papers().forms:
        for one in form.questions:
            letters = ("points",) if one.drawing else part_letters(len(desk.variant(form, one.number).parts))
            asked += [(form.code, str(one.number), letter) for letter in letters]
    assert asked == rows
    assert {"=HYPERLINK(1)"} == {sheet.text(row, "name") for row in sheet.rows if sheet.text(row, "learner") == "AB 12"}
    assert b"'=HYPERLINK(1)" in (papers[0] / "answers.csv").read_bytes()


def test_marks_on_a_form_add_up(papers):
    """The marks beside the questions of a form add up to those in its head."""
    for form in desk.papers().forms:
        page = (papers[0] / "forms" / f"{form.code}.html").read_text(encoding="utf-8")
        each = re.findall(r'<h3><span>\d+</span> <span class="marks">([\d.]+) marks?</span>', page)
        assert (6, 11.0, True) == (len(each), sum(map(float, each)), "<b>11 marks</b>" in page)


def test_form_holds_nothing_of_the_key(papers):
    """No form holds its seeds, a solution, or the key with which it is handed in; the instructor's key holds the last."""
    key = (papers[0] / "key.html").read_text(encoding="utf-8")
    for form in desk.papers().forms:
        page = (papers[0] / "forms" / f"{form.code}.html").read_text(encoding="utf-8")
        for one in form.questions:
            assert one.question not in page
            assert [] == [part.id for part in desk.variant(form, one.number).parts if part.solution in page or part.solution.splitlines()[0] in page]
        assert (False, True) == (hand_in_key(SECRET, form.code) in page, hand_in_key(SECRET, form.code) in key)


def test_class_file_holds_every_form_as_it_stands_alone(papers):
    """The file for the class is the forms one after another."""
    folder, _ = papers
    index = (folder / "index.html").read_text(encoding="utf-8")
    for form in desk.papers().forms:
        alone = (folder / "forms" / f"{form.code}.html").read_text(encoding="utf-8")
        begin = alone.index("<article")
        assert alone[begin : alone.index("</article>")] in index


def test_manifest_is_signed(papers):
    """The manifest reads back, signed, with the very forms."""
    found = read_manifest(papers[0] / "papers.json", SECRET)
    assert (True, desk.papers().forms) == (found.signed, found.forms)


def test_drawing_task_has_the_same_chart_in_form_and_key(papers):
    """The key's chart of a drawing task is the blank one of the form, with the cycle over it."""
    folder, _ = papers
    form = desk.papers().forms[0]
    page, key = ((folder / name).read_text(encoding="utf-8") for name in (f"forms/{form.code}.html", "key.html"))
    blank = re.search(r'<svg class="picture"[^>]*><title>Blank[^<]*</title>(.*?)</svg>', page, re.DOTALL)[1]
    drawn = re.search(r'<svg class="picture"[^>]*><title>[^<]*that was to be drawn</title><g id="blank0">(.*?)</g>(.*?)</svg>', key, re.DOTALL)
    assert (blank, True) == (drawn[1], all(f">{number}</text>" in drawn[2] for number in "1234"))


def test_closed_table_has_no_cards(tmp_path):
    """Where the table is closed no card is printed."""
    from dataclasses import replace

    closed = replace(desk.papers().blueprint, table="closed")
    write_papers(desk.papers().forms[:1], closed, desk.bank(), SECRET, tmp_path, store=desk.store(), charts=False)
    pages = [path.read_text(encoding="utf-8") for path in tmp_path.rglob("*.html")]
    assert (False, 0) == ((tmp_path / "card.html").exists(), sum(page.count('class="pressures') for page in pages))


def test_open_table_has_the_pressures_of_the_form(papers):
    """Behind a form are the pressures of the refrigerants that its questions speak of, in its units; a card for each is in a file of its own."""
    form = desk.papers().forms[1]
    page = (papers[0] / "forms" / f"{form.code}.html").read_text(encoding="utf-8")
    names = sorted({name for one in form.questions for name in refrigerants_of(desk.variant(form, one.number))})
    assert (True, True) == (len(names) > 0, all(table in page for table in pressure_tables(names, "IP")))
    cards = (papers[0] / "card.html").read_text(encoding="utf-8")
    assert [] == [name for name in names if f"<h1>{name}</h1>" not in cards]


def test_key_has_pictures_that_are_written_once(tmp_path):
    """With charts the solutions have pictures; a chart that is used again is pointed to, and what is pointed to is there."""
    written(tmp_path)
    key = (tmp_path / "key.html").read_text(encoding="utf-8")
    used, there = set(re.findall(r'<use href="#([^"]+)"/>', key)), re.findall(r'<g id="([^"]+)">', key)
    assert (True, True, len(there)) == (len(used) > 0, used <= set(there), len(set(there)))
    assert set() == {colour for colour in re.findall(r"#[0-9a-f]{6}\b", key) if len({colour[1:3], colour[3:5], colour[5:]}) > 1}


def test_forms_are_taken_one_at_a_time(tmp_path):
    """Forms may come from anywhere, once, and how far it is is told."""
    told = []
    printed = write_papers(iter(desk.papers().forms), desk.papers().blueprint, desk.bank(), SECRET, tmp_path, store=desk.store(), charts=False, told=lambda *said: told.append(said))
    assert 4 == printed.forms
    assert ("forms printed", 4, 4) in told and told[-1][0] == "solutions written" and told[-1][1] == told[-1][2]


def test_papers_are_never_written_over(papers):
    """A folder with papers in it is refused, and nothing in it changes."""
    before = (papers[0] / "key.html").read_bytes()
    with pytest.raises(InputError, match="holds papers already"):
        written(papers[0])
    assert before == (papers[0] / "key.html").read_bytes()


def test_folder_that_cannot_be_made_is_refused(tmp_path):
    """A file in the folder's place is refused in a sentence."""
    (tmp_path / "papers").write_text("a file")
    with pytest.raises(InputError, match="cannot be made"):
        written(tmp_path / "papers")


def test_unknown_paper_leaves_nothing_behind(tmp_path):
    """A size that is not known is refused before a folder is made."""
    with pytest.raises(UnknownNameError, match="Letter"):
        written(tmp_path / "papers", paper="A5")
    assert not (tmp_path / "papers").exists()


def test_nothing_is_half_written_where_dealing_stops(tmp_path):
    """Where the forms break off, no file pretends to be whole, and no part of one stays."""

    def broken():
        yield desk.papers().forms[0]
        raise InputError("no more")

    with pytest.raises(InputError, match="no more"):
        write_papers(broken(), desk.papers().blueprint, desk.bank(), SECRET, tmp_path, store=desk.store(), charts=False)
    assert {"forms"} == {path.name for path in tmp_path.iterdir()}


def test_folder_is_open_to_its_owner_alone(papers):
    """Key and manifest give away what the secret does, so nobody else on the machine may look into their folder."""
    assert 0o700 == papers[0].stat().st_mode & 0o777
