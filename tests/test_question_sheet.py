"""A question on paper (hpteach/papers/question_sheet.py)."""

import html
import re

import pytest
from markupsafe import Markup

from hpteach.assessment.answer_sheet import part_letters
from hpteach.assessment.drawing_tasks import can_be_drawn
from hpteach.errors import InputError
from hpteach.papers.question_sheet import conditions_in_words, drawing_sheet, drawn_cycle, in_lines, question_sheet, unbroken
from hpteach.questions import deal, read_bank
from hpteach.questions.dealt_parts import lettered
from hpteach.questions.proof_of_texts import shown_answer

BANK = read_bank()
CHART = Markup("<svg></svg>")


def first_with(kind):
    return next(question for question in BANK.questions.values() if any(part.kind == kind for part in question.parts))


def words(sheet):
    return html.unescape(re.sub(r"<[^>]*>", " ", sheet)).replace("\N{NON-BREAKING HYPHEN}", "-").replace("\N{NO-BREAK SPACE}", " ")


@pytest.mark.parametrize("system", ["SI", "IP"])
@pytest.mark.parametrize("id", sorted(BANK.questions))
def test_every_question_can_be_printed(id, system):
    """Prompt, parts, choices and given cells of every question stand on its sheet; no number that is asked does, and no seed."""
    variant = deal(BANK.question(id), 987_654_321, system)
    sheet = question_sheet(variant)
    said = " ".join(words(sheet).split())
    asked = [part for part in variant.parts if not part.table]
    stated = [variant.prompt, *(part.text for part in asked), *(choice for part in asked for choice in part.choices)]
    stated += [text for table in variant.tables for text in (table.text, *table.columns, *table.rows)]
    assert [] == [text for text in stated if " ".join(text.split()) not in said]
    assert len(variant.tables) == sheet.count("<table")
    assert sum(part.kind == "number" and not part.table for part in variant.parts) == sheet.count('class="line"')
    assert sum(bool(part.table) for part in variant.parts) == sheet.count('class="empty"')
    assert "987654321" not in sheet
    free = said
    for text in stated:
        free = free.replace(" ".join(text.split()), " ")
    for part in variant.parts:
        if part.kind == "number" and not part.table:
            assert shown_answer(variant, part) not in free


@pytest.mark.parametrize("kind", ["choice", "state", "truth", "several"])
def test_choices_have_a_box_and_a_letter_each(kind):
    """Whoever answers ticks a box; the letter is what is typed into the answer sheet."""
    variant = deal(first_with(kind), 7)
    part = next(part for part in variant.parts if part.kind == kind)
    sheet = question_sheet(variant)
    for letter, text in lettered(part.choices, part.kind):
        assert f'<li><span class="box"></span><b>{letter}</b> {unbroken(text)}</li>' in sheet
    assert ("Tick all that hold." if kind == "several" else "Tick one.") in sheet


def test_none_of_several_can_be_ticked_where_that_may_be():
    """There is a box for none exactly where none of the choices may hold."""
    found = {}
    for question in BANK.questions.values():
        for stated in question.parts:
            if stated.kind == "several":
                found[stated.may_be_none] = question
    assert {True: True, False: False}.items() >= {may: "<b>none</b>" in question_sheet(deal(question, 3)) for may, question in found.items()}.items()


def test_order_has_numbers_and_a_box_for_each():
    """The parts of an order are numbered, and there are as many boxes as numbers."""
    variant = deal(BANK.question("order-the-circuit"), 7)
    (part,) = variant.parts
    sheet = question_sheet(variant)
    assert (len(part.choices), True) == (sheet.count('class="box"'), f"<b>1</b> {part.choices[0]}" in sheet)


def test_empty_cells_carry_the_letter_of_their_part():
    """An empty cell says under which letter its number is typed; a given one shows its number."""
    variant = deal(first_with("table"), 7)
    letters = dict(zip((part.id for part in variant.parts), part_letters(len(variant.parts))))
    sheet = question_sheet(variant)
    for row in variant.tables[0].cells:
        for cell in row:
            assert (f"<td>{unbroken(cell.given)}</td>" if cell.given else f'<td class="empty"><b>{letters[cell.part]}</b></td>') in sheet


def test_one_part_has_no_letter():
    """A question of one part is answered under its number alone."""
    assert 'class="letter"' not in question_sheet(deal(BANK.question("read-a-gauge"), 7))


@pytest.mark.parametrize("system", ["SI", "IP"])
def test_drawing_task_states_the_cycle_and_nothing_of_the_question(system):
    """A drawing task says what fixes the cycle in the learner's units, and asks for the four points; what the question asks is left out."""
    variant = deal(BANK.question("cooling-cop"), 7, system)
    sheet = drawing_sheet(variant, CHART)
    said = words(sheet)
    assert [] == [line for line in conditions_in_words(variant.cycle, system) if line not in said]
    assert ("Mark and number the points 1, 2, 3 and 4" in said, True, False) == (True, CHART in sheet, any(part.text in said for part in variant.parts))
    assert {"SI": "°C", "IP": "°F"}[system] in said


def test_glide_is_explained_where_there_is_one():
    """With a blend it is said that saturated temperatures are dew points; a pure refrigerant needs no such line."""
    from hpteach.cycle import solve
    from hpteach.fluids import refrigerant

    cycle = deal(BANK.question("cooling-cop"), 7).cycle
    told = {name: any("dew point" in line for line in conditions_in_words(solve(refrigerant(name), cycle.conditions), "SI")) for name in ("R-454B", "R-32")}
    assert {"R-454B": True, "R-32": False} == told


def test_every_question_that_can_be_drawn_has_a_cycle():
    """Whatever is fit for a drawing task can be dealt as one."""
    for question in BANK.questions.values():
        if can_be_drawn(question):
            assert {"1", "2", "3", "4"} <= {point.label for point in drawn_cycle(deal(question, 5)).points}


def test_question_without_a_cycle_is_refused():
    """A question that states no cycle cannot be a drawing task."""
    with pytest.raises(InputError, match="read-a-gauge states no cycle"):
        drawn_cycle(deal(BANK.question("read-a-gauge"), 7))


@pytest.mark.parametrize(("text", "shown"), [("a\nb", "a<br>b"), ("a\n\nb", "a</p><p>b"), ("<b>&", "&lt;b&gt;&amp;")])
def test_lines_are_kept_and_markup_is_not(text, shown):
    """Line breaks and paragraphs stay; markup is shown as it was written."""
    assert shown == in_lines(text)


@pytest.mark.parametrize(
    ("text", "kept"),
    [("gives 7 kW", "gives 7_kW"), ("R-134a", "R~134a"), ("12.3 mbar, 4 °C", "12.3_mbar, 4_°C"), ("5 %", "5_%"), ("5 parts", "5 parts"), ("3 m", "3_m"), ("2 more", "2 more"), ("h4 = 265.1 kJ/kg", "h4_=_265.1_kJ/kg"), ("t = -5 °C", "t_=_-5_°C"), ("q = h1 - h4", "q = h1 - h4")],
)
def test_no_line_ends_before_a_unit(text, kept):
    """A number stays on one line with its unit and with the sign that it is equal to, and so does a refrigerant's name; other words may part."""
    assert kept == unbroken(text).replace("\N{NO-BREAK SPACE}", "_").replace("\N{NON-BREAKING HYPHEN}", "~")
