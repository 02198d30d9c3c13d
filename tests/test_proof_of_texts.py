"""The texts of a dealt question: they read well, give nothing away, and their sums come out."""

from dataclasses import replace

import pytest

from hpteach.questions import deal, read_bank
from hpteach.questions.bank import read_question
from hpteach.questions.proof_of_texts import LONGEST_PROMPT, failures_of_prompt, proof_of_texts
from tests.example_question import head

PROMPT = "A gauge shows {reading}."
QUESTION = head("00", "1.01") + """
prompt = "{PROMPT}"

[draw.reading]
kind = "gauge pressure"
choices = ["8 bar g"]

[[parts]]
id = "absolute"
kind = "number"
text = "{TEXT}"
quantity = "pressure"
answer = "reading + atmosphere"
tolerance = { absolute = "0.02 bar", reason = "two decimals" }
hints = ["{HINT}"]
solution = "{SOLUTION}"

[[parts]]
id = "which"
kind = "choice"
text = "Which?"
hints = ["{HINT}"]
solution = "{SOLUTION}"
[[parts.choices]]
text = "{CHOICE}"
right = true
[[parts.choices]]
text = "From the pressure of the air."
"""
GOOD = {"PROMPT": PROMPT, "TEXT": "The absolute pressure is", "HINT": "Add.", "SOLUTION": "{reading} + {atmosphere} = {answer}", "CHOICE": "From a vacuum that holds nothing."}


def dealt(system="SI", **changed):
    text = QUESTION
    for gap, words in {**GOOD, **changed}.items():
        text = text.replace(f"{{{gap}}}", words)
    return deal(read_question(text, "start/example.toml"), 1, system)


def failures(variant):
    parts = [failure for part in variant.parts for failure in proof_of_texts(variant, part).failures]
    return [*failures_of_prompt(variant), *parts]


@pytest.mark.parametrize("system", ["SI", "IP"])
def test_sound_texts_hold(system):
    """A question whose texts are sound has no failure, and its sum is counted."""
    variant = dealt(system)
    assert [] == failures(variant)
    assert (1, ()) == proof_of_texts(variant, variant.parts[0])[1:]


# what is changed, and what is said of it
FAULTS = [
    ({"PROMPT": "A gauge shows {reading}"}, "the prompt ends with"),
    ({"PROMPT": "A  gauge shows {reading}."}, "the prompt has two spaces in a row"),
    ({"PROMPT": "A gauge shows {reading} ."}, "the prompt has a space before a mark"),
    ({"PROMPT": "A gauge shows None and {reading}."}, "the prompt has a value that is none"),
    ({"PROMPT": "It is nan °C, {reading}."}, "the prompt has a value that is none"),
    ({"PROMPT": "It is -0.0 °C, {reading}."}, "the prompt has minus zero"),
    ({"PROMPT": "x" * LONGEST_PROMPT + " {reading}."}, "the prompt has 909 characters: use up to 900"),
    ({"PROMPT": "At 45 °F it shows {reading}."}, "the prompt for SI holds 45 °F, which is a unit of IP"),
    ({"TEXT": "Beside 3  others the pressure is"}, "the text has two spaces in a row"),
    ({"TEXT": "With 12 lb in it the pressure is"}, "the text for SI holds 12 lb"),
    ({"CHOICE": "From 14.7 psia."}, "a choice for SI holds 14.7 psia"),
    ({"HINT": "It comes to 9.01 in the end."}, "a hint gives the answer away, 9.01"),
    ({"HINT": "It counts from a vacuum that holds nothing, of course."}, "a hint gives the answer away: 'It counts"),
    ({"SOLUTION": "It is easy."}, "the solution does not hold the answer 9.01 bar"),
    ({"SOLUTION": "{reading} + 1.10 bar = {answer}"}, "a sum that does not come out: 8 bar g + 1.10 bar = 9.01 bar"),
]


@pytest.mark.parametrize(("changed", "said"), FAULTS, ids=[row[1][:40] for row in FAULTS])
def test_fault_in_a_text_is_found(changed, said):
    """What reads badly, tells the answer, or does not come out is found and quoted."""
    assert any(said in failure for failure in failures(dealt(**changed))), failures(dealt(**changed))


def test_units_of_the_other_system_are_found_for_its_readers_too():
    """A figure that was written into the file in SI reaches readers in IP, where it is found."""
    assert any("the prompt for IP holds 5 K, which is a unit of SI" in failure for failure in failures(dealt("IP", PROMPT="With 5 K a gauge shows {reading}.")))


@pytest.mark.parametrize(
    "prompt",
    [
        "At 7 °C (45 °F) a gauge shows {reading}.",
        "Melting takes 334 kJ for each kilogram (144 Btu for each pound); it shows {reading}.",
        "1 kW is 3412 Btu/h; a gauge shows {reading}.",
        "An old chart says 95 °F. Turn it into °C. A gauge shows {reading}.",
        "A 2 lb hammer, which is 0.9 kg, and {reading}.",
        "None of the gauges shows {reading}.",
        'He says: "It shows {reading}."',
    ],
)
def test_figures_in_both_units_and_turning_one_into_the_other_are_sound(prompt):
    """The same figure in both units, side by side, serves both readers; a question may ask to turn one into the other."""
    assert [] == failures(dealt(PROMPT=prompt.replace('"', '\\"')))


def test_choices_that_read_alike_are_found():
    """Two choices that differ only in capitals and marks cannot be told apart by whoever writes the words."""
    variant = dealt()
    alike = replace(variant.parts[1], choices=("It rises.", "it rises"))
    assert any("two choices read alike" in failure for failure in proof_of_texts(variant, alike).failures)


def test_unfilled_gap_is_found():
    """A brace that is left in a text is found."""
    variant = replace(dealt(), prompt="A gauge shows {reading}.")
    assert ["the prompt has an unfilled brace"] == list(failures_of_prompt(variant))


def test_sums_with_words_are_named():
    """A sum that nobody can work out from the text is named and counts for nothing."""
    variant = dealt(SOLUTION="2.0 bar x something = {answer}")
    found = proof_of_texts(variant, variant.parts[0])
    assert (0, ("2.0 bar x something = 9.01 bar",)) == (found.sums, found.unread)


def test_most_solutions_of_the_bank_can_be_worked_out_anew():
    """Of all numbers in the bank whose solution has a sum at all, nine in ten have one of printed figures that is worked out anew."""
    read, words = set(), set()
    for question in read_bank().questions.values():
        variant = deal(question, 1)
        for part in variant.parts:
            found = proof_of_texts(variant, part)
            (read if found.sums and not found.unread else words if found.unread else set()).add((question.id, part.id))
    assert len(read) >= 9 * len(words) and len(read) > 50
