"""The key for the instructor (hpteach/papers/key_page.py)."""

import html
import re

import pytest
from markupsafe import Markup

from hpteach.papers.key_page import RIGHT_DRAWING, Keyed, key_of_form, key_of_question, right_answers
from hpteach.questions import deal, read_bank
from hpteach.questions.checking import check
from tests import desk_class as desk
from tests.test_class_page import Reading

BANK = read_bank()


def words(text):
    return " ".join(html.unescape(re.sub(r"<[^>]*>", " ", text)).replace("\N{NON-BREAKING HYPHEN}", "-").split())


@pytest.mark.parametrize("system", ["SI", "IP"])
@pytest.mark.parametrize("id", sorted(BANK.questions))
def test_answers_of_the_key_are_judged_right(id, system):
    """What the key says is right in each part, as it is printed, is judged right; so is each end, as it is printed, of what is accepted of a number."""
    variant = deal(BANK.question(id), 11, system)
    for part, right in zip(variant.parts, right_answers(variant), strict=True):
        said = right.answer.partition(":")[0] if part.choices and part.kind not in ("several", "order") else right.answer
        assert check(variant, said, part.id).correct, right
        assert bool(part.accepts) == bool(right.accepted)
        edges = right.accepted.split(" to ") if part.accepts else []
        assert [] == [edge for edge in edges if not check(variant, edge, part.id).correct]
        assert len(edges) == len(set(edges))


@pytest.mark.parametrize("id", ["read-a-gauge", "cooling-cop", "order-the-circuit", "states-at-the-coil-ends"])
def test_solution_holds_prompt_answers_and_mistakes(id):
    """A question stands in the key with its prompt, each part's solution, and what wrong answers come from."""
    variant = deal(BANK.question(id), 11)
    written = key_of_question(12, variant, Markup("<svg></svg>"))
    said = words(written)
    told = [variant.prompt, *(part.solution for part in variant.parts), *(mistake.correction for part in variant.parts for mistake in part.mistakes)]
    assert [] == [text for text in told if " ".join(text.split()) not in said]
    assert (True, True) == ('id="s12"' in written, "<svg></svg>" in written)


def test_drawing_in_the_key_has_the_four_points():
    """Of a drawing task the key says where each point lies, and nothing of what the question asks."""
    variant = deal(BANK.question("cooling-cop"), 11)
    said = words(key_of_question(3, variant, Markup("<svg></svg>"), drawing=True))
    assert ([True] * 4, False) == ([f"Point {number}:" in said for number in "1234"], any(part.text in said for part in variant.parts))


def test_form_in_the_key_points_to_its_solutions():
    """Each line of a form's answers has the question's number, part, answer, and a link to the worked solution."""
    form, variant = desk.papers().forms[0], deal(BANK.question("cooling-cop"), 11)
    right = right_answers(variant)
    page = Reading(key_of_form(form, [Keyed(1, 5, right), Keyed(2, 6, RIGHT_DRAWING)], "AAAA-BBBB"))
    assert ["#s5", "#s6"] == page.links
    assert {f"answer, form {form.code}", "1a", "1b", "2 points", right[0].answer, right[0].accepted, "Ada <b>Fernhill</b>", "Key for handing in by file: AAAA-BBBB"} <= set(page.texts)


def test_choices_of_the_key_have_the_right_one_in_bold():
    """A solution shows what there was to choose from, with the letters of the form, and which holds."""
    variant = deal(BANK.question("predict-gauge"), 11)
    (part,) = variant.parts
    written = key_of_question(1, variant, Markup())
    assert ([True] * len(part.choices), True) == ([choice in words(written) for choice in part.choices], f"<b>{part.answer}</b>" in written)
