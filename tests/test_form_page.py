"""A form as it is printed (hpteach/papers/form_page.py)."""

from dataclasses import replace

import pytest
from markupsafe import Markup

from hpteach.assessment.roster import Learner
from hpteach.errors import UnknownNameError
from hpteach.papers.form_page import Asked, form_page, page_around
from tests import desk_class as desk
from tests.test_class_page import Reading

ASKED = [Asked(1, "Gauges & circuit", 1.0, Markup("<p>What?</p>")), Asked(2, "Cycle", 4.0, Markup("<p>Draw.</p>"))]


def page(learner=desk.LEARNERS[0], cards=(), **blueprint):
    before, behind = page_around("Papers <1>")
    return before + form_page(replace(desk.papers().forms[0], learner=learner), replace(desk.papers().blueprint, **blueprint), ASKED, cards) + behind


def test_head_says_whose_form_it_is_and_by_what_it_is_marked():
    """Title, name, id, code, time, marks, pass mark, units and that it is no approved exam stand in the head."""
    texts = " ".join(Reading(page()).texts)
    for said in ("Desk paper (invented)", "Ada <b>Fernhill</b>", "learner 7", desk.papers().forms[0].code, "30 minutes", "11 marks", "50 %", "SI", "It is no approved exam."):
        assert said in texts.replace("  ", " "), said


@pytest.mark.parametrize("name", ["Ada <b>Fernhill</b>", "<script>alert(1)</script>", "عمر بن زيد", '"><img src=x>'])
def test_name_is_a_text_of_its_own_direction(name):
    """Whatever a name is written with, it is shown as a text, and does not turn the line around it."""
    written = page(Learner("7", name))
    assert (name in Reading(written).texts, f"<bdi>{Markup.escape(name)}</bdi>" in written) == (True, True)


def test_page_fetches_and_runs_nothing():
    """A form stands by itself: nothing is loaded, and there is no script."""
    written = page()
    assert ([], False, False) == (Reading(written).fetched, "http" in written, "url(" in written)


def test_sections_have_their_headings_and_questions_their_marks():
    """Each section begins with its title; each question has its number and what it is worth."""
    texts = Reading(page()).texts
    assert (True, True, True) == ("Gauges & circuit" in texts, "1 mark" in texts, "4 marks" in texts)


@pytest.mark.parametrize(("table", "said"), [("open", "open: behind this paper"), ("closed", "closed: not to be used")])
def test_table_is_open_or_closed(table, said):
    """Whether the pressure-temperature card may be used stands in the head."""
    assert said in Reading(page(table=table)).texts


def test_every_sheet_names_its_form_and_its_page():
    """The foot of each sheet, cards included, has the code of the form and a page number that counts this form alone."""
    code, written = desk.papers().forms[0].code, page(cards=[Markup('<div class="pressures">table</div>')])
    assert f'counter-increment: sheet-{code}; @bottom-right {{ content: "form {code}, page " counter(sheet-{code});' in written
    article = written.partition(f'style="page: form-{code}">')[2].partition("</article>")[0]
    assert '<div class="pressures">' in article


def test_cards_come_behind_the_questions():
    """A card stands on the last page of the form."""
    written = page(cards=[Markup('<div class="card">card</div>')])
    assert written.index('<div class="card">') > written.index("Draw.")


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_sheet_has_the_size_that_is_asked_for(paper):
    """The page says for which paper it is made, also where a card stands."""
    assert 2 == page_around("Papers", paper)[0].count(f"size: {paper} portrait")


def test_unknown_paper_is_refused():
    """Another size is refused, with those that there are."""
    with pytest.raises(UnknownNameError, match="A4"):
        page_around("Papers", "A5")
