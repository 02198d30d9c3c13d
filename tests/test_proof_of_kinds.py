"""The proof of the kinds with a module of their own: it finds nothing where all is well, and finds what is not."""

from dataclasses import replace

import pytest

from hpteach.questions.dealt_parts import Foreseen
from hpteach.questions.proof_of_kinds import FAILURES_OF_KINDS, foreseen_of_kinds
from tests.kinds_of_part import CHOICE, SEVERAL, STATE, TABLE, TRUTH, circuit, cycle, dealt, question

LIQUID_LINE = STATE.replace("{place}", "liquid line")


@pytest.mark.parametrize("position", ["heating", "cooling"])
@pytest.mark.parametrize("seed", range(5))
def test_sound_parts_have_no_failures(position, seed):
    """Whatever the order of the choices, a part as it is dealt is judged as it should be."""
    variant = dealt(circuit(position), SEVERAL, LIQUID_LINE, TRUTH, seed=seed)
    assert ["several", "state", "truth"] == [part.kind for part in variant.parts]
    assert [] == [failure for part in variant.parts for failure in FAILURES_OF_KINDS[part.kind](variant, part)]


def test_choice_that_may_be_none_holds_too():
    """Where none of the choices holds, "none" is typed in and right."""
    none = SEVERAL.replace('kind = "several"', 'kind = "several"\nmay_be_none = true').replace('text = "The compressor draws in vapour."\nright = true', 'text = "The compressor draws in liquid."')
    variant = dealt(circuit("cooling"), none)
    assert "none" == variant.parts[0].answer
    assert [] == list(FAILURES_OF_KINDS["several"](variant, variant.parts[0]))


@pytest.mark.parametrize(
    ("part", "change", "sentence"),
    [
        (0, {"answer": "A B C D"}, "the right letters 'A B C D' are judged: Not right."),
        (0, {"mistakes": (Foreseen("mine", "A B C D", "?"),)}, "the wrong answer 'A B C D', that of mine, is judged: Not right. It holds liquid"),
        (1, {"answer": "subcooled liquid at low pressure"}, "the right answer 'F' is judged: Not right."),
        (1, {"mistakes": ()}, "the wrong answer 'F', that of None, is judged: Not right. Subcooled liquid is not found"),
        (2, {"mistakes": (Foreseen("mine", "True, because it is the wider one.", "?"),)}, "the wrong answer 'True, because it is the wider one.', that of mine, is judged"),
    ],
)  # fmt: skip
def test_part_that_is_not_judged_so_fails(part, change, sentence):
    """A key that differs from what is judged comes back as a sentence with the text and the verdict."""
    variant = dealt(circuit(), SEVERAL, LIQUID_LINE, TRUTH)
    key = replace(variant.parts[part], **change)
    assert any(failure.startswith(sentence) for failure in FAILURES_OF_KINDS[key.kind](variant, key))


def test_foreseen_mistakes_are_named_with_the_parts_that_may_offer_them():
    """A mistake of a table may be offered by any of its cells, one of a choice by its part; other kinds are not known here."""
    asked = question(cycle(), SEVERAL, TRUTH, TABLE, CHOICE, LIQUID_LINE)
    several, truth, table, choice, state = (foreseen_of_kinds(part) for part in asked.parts)
    assert [(("which",), "coils_swapped", True), (("which",), "liquid_line_taken_for_empty", True)] == several
    assert [(("claim",), "vapour_line_taken_for_one_way", True)] == truth
    assert [(("table_h3", "table_h4"), "subcooling_ignored", False), (("table_h2",), "compressor_taken_for_perfect", False)] == table[:2]
    assert [(("table_h2", "table_h3", "table_T4", "table_h4"), "value_of_another_point", False)] == table[2:]
    assert (None, []) == (choice, state)
