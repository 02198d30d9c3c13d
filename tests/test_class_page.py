"""The page of a marked class (hpteach/papers/class_page.py)."""

from html.parser import HTMLParser

import pytest

from hpteach.papers.class_page import Lesson, class_page, per_cent
from tests import desk_class as desk

LESSONS = {"05": Lesson("05", "cooling with numbers", "http://127.0.0.1:8866/voila/render/05.ipynb")}


class Reading(HTMLParser):
    """What stands on a page: its elements that are closed in order, its texts, its links, what it would fetch or run."""

    EMPTY = {"meta", "br", "col", "path", "rect", "link", "img"}

    def __init__(self, page):
        super().__init__()
        self.open, self.texts, self.links, self.fetched, self.names = [], [], [], [], []
        self.feed(page)
        self.close()
        assert [] == self.open

    def handle_starttag(self, name, attributes):
        found = dict(attributes)
        self.names.append(name)
        self.links += [found["href"]] if "href" in found and name == "a" else []
        self.fetched += [name] if name in ("script", "img", "link", "iframe", "object") or any(key.startswith("on") or key == "src" for key in found) else []
        if name not in self.EMPTY:
            self.open.append(name)

    def handle_startendtag(self, name, attributes):
        self.names.append(name)

    def handle_endtag(self, name):
        assert self.open.pop() == name

    def handle_data(self, text):
        self.texts.append(" ".join(text.split()))

    @property
    def words(self):
        return " ".join(filter(None, self.texts))


@pytest.fixture(scope="module")
def page():
    return class_page(desk.marked(desk.class_sheet()), LESSONS)


def test_page_stands_by_itself(page):
    """Every element is closed, and nothing is fetched or run: what a learner typed stays text."""
    read = Reading(page)
    assert [] == read.fetched
    assert "<script>alert(1)</script>" in read.words
    assert "Ada <b>Fernhill</b>" in read.words


def test_names_are_set_apart(page):
    """A name from right to left does not turn the rest of its row: each stands in a <bdi>."""
    assert "<bdi>عمر</bdi>" in page


def test_page_tells_the_class(page):
    """Scores, reliability, limits, what to teach again, questions, learners and rows that were not marked are there."""
    words = Reading(page).words
    for heading in ("Scores", "What to teach again", "Questions, the hardest first", "Learners", "Rows that were not marked", "What these figures cannot say."):
        assert heading in words
    assert "of 3 passed (pass mark 50 %)" in words
    assert "absent" in words
    assert "unreadable answer" in words


def test_mistake_links_its_lesson(page):
    """The lesson to repeat is a link where there is a place to link to, and its number elsewhere."""
    assert {"#not-marked", LESSONS["05"].link} == set(Reading(page).links)
    assert "lesson 05, cooling with numbers" in Reading(page).words
    bare = class_page(desk.marked(desk.class_sheet()), {})
    assert ({"#not-marked"}, True) == (set(Reading(bare).links), "Repeat: lesson 05." in Reading(bare).words)


def test_hardest_question_comes_first(page):
    """Questions stand by the share of the marks that the class got."""
    found = [one for one in Reading(page).texts if one.endswith(" %") and one[:-2].isdigit()]
    shares = sorted(100 * one.difficulty.value for one in desk.marked(desk.class_sheet()).questions)
    assert [f"{share:.0f} %" for share in shares] == found[: len(shares)]


def test_question_on_few_papers_is_left_to_the_table():
    """A question that less than half of a small class had is counted, and left to questions.csv."""
    marked = desk.marked(desk.sheet(*(row for form in desk.papers().forms for row in desk.rows_of(form))))
    few = [one for one in marked.questions if one.given < 2]
    words = Reading(class_page(marked, {})).words
    assert f"{len(few)} more questions stood on too few papers" in words
    assert {False} == {one.id in words for one in few}


def test_nobody_has_a_page_too():
    """Where nobody was marked the page says so, without a picture."""
    page = class_page(desk.marked(None), {})
    assert (True, False, True) == ("there are no scores" in page, "<svg" in page, "Every row was judged or blank." in page)
    Reading(page)


def test_learners_fit_the_paper(page):
    """Headings wrap, form codes do not break, names keep room for a word."""
    assert "th.number { text-align: right; white-space" not in page
    assert [f'<td class="code">{form.code}</td>' in page for form in desk.papers().forms] == [True] * len(desk.papers().forms)
    assert (True, True) == ('<td class="named"><bdi>Ada' in page, "td.named { min-width:" in page)


def test_no_score_looks_like_a_pass_that_is_none():
    """Scores are rounded down, as 59.6 % beside "not passed" would else read 60 %; whole ones stay, whatever the computer's rounding."""
    assert ["59 %", "60 %", "57 %", "100 %", "0 %", "-"] == [per_cent(share) for share in (0.5964, 0.6, 0.57, 1.0, 0.0, None)]
    assert all(f"{number} %" == per_cent(number / 100.0) for number in range(101))
