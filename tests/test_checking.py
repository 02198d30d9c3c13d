"""The verdict: what is judged in which order.

1 psi = 6894.757293168 Pa, 1 °F = 5/9 K, 1 lb = 0.45359237 kg (exact); 1 Btu = 1055.056 J to 1 in a million
(NIST Special Publication 811, from memory).
"""

import json
import statistics
import time
from dataclasses import asdict

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hpteach import units
from hpteach.errors import InputError, UnknownNameError
from hpteach.questions import check, deal, read_bank
from hpteach.questions.bank import read_question
from hpteach.questions.checking import within
from tests.example_question import head

BANK = read_bank()

# One part for each case below; the numbers are fixed, so that every row can be worked out by hand.
TEXT = head("00", "1.01") + """
prompt = "?"

[draw.reading]
kind = "gauge pressure"
choices = ["118 psig"]

[draw.warm]
kind = "temperature"
choices = ["45.8 C"]

[draw.apart]
kind = "temperature difference"
choices = ["8 K"]

[draw.work]
kind = "specific energy"
choices = ["36.5 kJ/kg"]

[draw.cop]
kind = "ratio"
choices = ["4.2"]

[draw.load]
kind = "power"
choices = ["12000 Btu/h"]
"""
PARTS = [
    # id, quantity, answer, tolerance, extra
    ("pressure", "pressure", "reading + atmosphere", 'absolute = "0.02 bar"', '[[parts.mistakes]]\nway = "gauge_read_as_absolute"\n'),
    ("absolute", "pressure", "reading + atmosphere", 'absolute = "0.02 bar"', '[[parts.mistakes]]\nway = "gauge_read_as_absolute"\n'),
    ("gauge", "gauge pressure", "reading", 'absolute = "0.02 bar"', ""),
    ("warm", "temperature", "warm", 'absolute = "0.2 K"', ""),
    ("apart", "temperature difference", "apart", 'absolute = "0.3 K"', '[[parts.mistakes]]\nway = "temperature_for_difference"\n'),
    ("work", "specific energy", "work", "relative = 0.01", '[[parts.mistakes]]\nid = "twice"\nvalue = "2 * work"\ncorrection = "Once."\n'),
    ("cop", "ratio", "cop", "relative = 0.02", '[[parts.mistakes]]\nway = "cop_upside_down"\n'),
    ("load", "power", "load", "relative = 0.01", ""),
]


def example(system="SI"):
    parts = "".join(
        f'[[parts]]\nid = "{id}"\nkind = "number"\ntext = "?"\nquantity = "{quantity}"\nanswer = "{answer}"\n'
        + ('only = "absolute"\n' if id == "absolute" else "")
        + f'tolerance = {{ {tolerance}, reason = "test" }}\nhints = ["?"]\nsolution = "?"\n{extra}'
        for id, quantity, answer, tolerance, extra in PARTS
    )
    return deal(read_question(TEXT + parts, "start/example.toml"), 1, system)


EXAMPLE = example()

RIGHT = [
    # 118 psig = 8.136 bar gauge = 9.149 bar absolute = 132.7 psia
    ("pressure", "118 psig"), ("pressure", "9.15 bar"), ("pressure", "9,15 bar"), ("pressure", "132.7 psia"), ("pressure", "915 kPa"),
    ("pressure", "8.14 bar g"), ("pressure", "0.915 MPa"), ("absolute", "132.7 psia"), ("absolute", "9.15 bar"),
    ("gauge", "118 psig"), ("gauge", "8.14 barg"), ("gauge", "814 kPag"),
    ("warm", "45.8 °C"), ("warm", "45.8C"), ("warm", "46.0 °C"), ("warm", "45.6 °C"), ("warm", "114.4 °F"), ("warm", "318.95 K"),
    # 8 K = 14.4 °F; a difference has no zero of its scale
    ("apart", "8 K"), ("apart", "8 C"), ("apart", "8 °C"), ("apart", "14.4 °F"), ("apart", "14.4F"), ("apart", "8,3 K"), ("apart", "7.7 K"),
    # 36.5 kJ/kg = 15.69 Btu/lb
    ("work", "36.5 kJ/kg"), ("work", "15.69 Btu/lb"), ("work", "36\u202f500 J/kg"), ("work", " 36,5 kj/kg "),
    ("cop", "4.2"), ("cop", "4,2"), ("cop", "4 1/5"), ("cop", "420 %"), ("cop", "4,200"),
    ("load", "3.517 kW"), ("load", "1 ton"), ("load", "12000 Btu/h"),
]  # fmt: skip


@pytest.mark.parametrize("system", units.SYSTEMS)
@pytest.mark.parametrize(("part", "text"), RIGHT)
def test_right_answer_is_right_in_any_unit(part, text, system):
    """The same number is right whatever unit it is written in, whichever system printed the question."""
    verdict = check(example(system), text, part)
    assert (True, True, None) == (verdict.readable, verdict.correct, verdict.mistake)


WRONG = [
    ("pressure", "9.5 bar", None, "number"), ("warm", "46.1 °C", None, "number"), ("warm", "45.8 °F", None, "number"), ("apart", "8 °F", None, "number"),
    ("pressure", "8.14 bar", "gauge_read_as_absolute", "gauge_read_as_absolute"), ("pressure", "118 psia", "gauge_read_as_absolute", "gauge_read_as_absolute"),
    ("pressure", "7.12 bar g", "gauge_read_as_absolute", "gauge_read_as_absolute"), ("absolute", "814 kPa", "gauge_read_as_absolute", "gauge_read_as_absolute"),
    ("apart", "281.15 K", "temperature_for_difference", "temperature_for_difference"), ("work", "73 kJ/kg", "twice", "twice"),
    ("work", "31.4 Btu/lb", "twice", "twice"), ("cop", "0.238", "cop_upside_down", "cop_upside_down"), ("cop", "23.8 %", "cop_upside_down", "cop_upside_down"),
    ("work", "36.5 J/kg", None, "number"), ("work", "-36.5 kJ/kg", None, "number"),
]  # fmt: skip


@pytest.mark.parametrize(("part", "text", "mistake", "note"), WRONG)
def test_wrong_number_is_compared_with_the_foreseen_mistakes(part, text, mistake, note):
    """A wrong number is wrong in any unit; where it is a foreseen mistake, its id and its correction come back."""
    verdict = check(EXAMPLE, text, part)
    assert (True, False, mistake, [note]) == (verdict.readable, verdict.correct, verdict.mistake, [item.id for item in verdict.notes])


@pytest.mark.parametrize("text", ["4.2 %", "4,15 %"])
def test_percent_sign_too_many_is_told(text):
    """A ratio with a percent sign is a share of 1; where it is right without the sign, the note says so."""
    verdict = check(EXAMPLE, text, "cop")
    assert (True, False, None, ["percent"]) == (verdict.readable, verdict.correct, verdict.mistake, [note.id for note in verdict.notes])
    assert f"'{text}' was read as 0.04" in verdict.notes[0].sentence and "without the percent sign" in verdict.notes[0].sentence
    assert ["number"] == [note.id for note in check(EXAMPLE, "5.2 %", "cop").notes]


def test_correction_is_the_sentence_of_the_question():
    """The note of a recognised mistake is the correction that the question gives."""
    assert "Once." == check(EXAMPLE, "73 kJ/kg", "work").notes[0].sentence


@pytest.mark.parametrize(("part", "text"), [("warm", "45.8 °"), ("warm", "45.8º"), ("apart", "8 °"), ("pressure", "9.15 ("), ("work", "36.5 [.]")])
def test_a_sign_alone_is_no_unit(part, text):
    """A degree sign or a bracket behind a number is not the unit of another quantity: the unit is asked for, and no try is lost."""
    verdict = check(EXAMPLE, text, part)
    assert (False, None, ["unreadable"]) == (verdict.readable, verdict.correct, [note.id for note in verdict.notes])
    assert "has no unit of" in verdict.notes[0].sentence


@pytest.mark.parametrize(
    ("part", "text", "note", "sentence"),
    [
        ("pressure", "12 K", "dimension", "'12 K' is a temperature, not a pressure"), ("warm", "5 bar", "dimension", "is an absolute pressure, not a temperature"),
        ("work", "36.5 kW", "dimension", "is a power, not a specific energy"), ("work", "36.5 kJ", "dimension", "is a heat, not a specific energy"), ("cop", "4.2 kJ/kg", "dimension", "is a specific energy, not a ratio"),
        ("absolute", "118 psig", "unit", "the absolute pressure is asked"), ("gauge", "9.15 bar", "unit", "is an absolute pressure, not a gauge pressure"),
        ("work", "36.5 %", "dimension", "has no unit of specific energy"), ("work", "5 psi", "dimension", "'5 psi' is a pressure, not a specific energy"),
        ("cop", "5 PSI", "dimension", "'5 PSI' is a pressure, not a ratio"), ("warm", "5 p.s.i.", "dimension", "is a pressure, not a temperature"),
    ],
)  # fmt: skip
def test_unit_of_another_quantity_is_wrong_before_the_number_is_looked_at(part, text, note, sentence):
    """A known unit of another quantity is readable and wrong, and the note says which quantity is asked."""
    verdict = check(EXAMPLE, text, part)
    assert (True, False, None, note) == (verdict.readable, verdict.correct, verdict.mistake, verdict.notes[0].id)
    assert sentence in verdict.notes[0].sentence


@pytest.mark.parametrize(
    ("part", "text", "sentence"),
    [
        ("work", "36.5", "has no unit of specific energy: write it as 40kJ/kg or 17Btu/lb"), ("pressure", "118 psi", "does not say gauge or absolute"),
        ("absolute", "118 psi", "does not say gauge or absolute"), ("gauge", "118 psi", "does not say gauge or absolute"),
        ("pressure", "118 pigs", "is not known: write the pressure as"), ("work", "about 36", "is not a number"), ("work", "", "no answer yet"),
        ("work", "36.5 kJ/t", "is not known: write the specific energy as"), ("work", "1,234 J/kg", "can be read as 1234 and as 1.234"),
        ("warm", "-300 °C", "absolute zero"), ("pressure", "-3 bar", "perfect vacuum"), ("work", "nan kJ/kg", "is not a number"),
        ("work", "1e999 kJ/kg", "finite"), ("work", "1e308 kJ/kg", "too large to compute with"), ("work", "<b>36.5</b>", "is not a number"),
        ("work", "\N{THUMBS UP SIGN}", "is not a number"), ("work", "9" * 10_000, "is too long"), ("work", None, "is a text"),
    ],
    ids=lambda value: str(value)[:30],
)  # fmt: skip
def test_what_cannot_be_read_is_never_counted_as_wrong(part, text, sentence):
    """A missing or unknown unit, an impossible quantity or no number at all is told, and costs nothing."""
    verdict = check(EXAMPLE, text, part)
    assert (False, None, None) == (verdict.readable, verdict.correct, verdict.mistake)
    assert sentence in verdict.notes[0].sentence


@given(st.text(max_size=150), st.sampled_from([part[0] for part in PARTS]))
def test_any_text_has_a_verdict(text, part):
    """Whatever is typed, a verdict comes back, with a sentence unless it is right."""
    verdict = check(EXAMPLE, text, part)
    assert verdict.correct or verdict.notes


HOSTILE = ["9" * 10_000, "9**" * 3_000, "<script>" * 50, "nan", "inf", "", "\N{THUMBS UP SIGN}" * 300, "\x00" * 100, "(" * 100, "1 " * 50]


@pytest.mark.parametrize("part", ["work", "cop"])
@pytest.mark.parametrize("text", HOSTILE, ids=lambda text: f"{text[:4]!r} x {len(text)}")
def test_hostile_text_is_judged_at_once(text, part):
    """A hostile text is refused in less than 50 ms, and at most 40 characters of it come back."""
    check(EXAMPLE, "1 K", part)  # the units are loaded once
    begun = time.thread_time()
    verdict = check(EXAMPLE, text, part)
    assert 0.05 > time.thread_time() - begun
    assert verdict.correct is None
    assert len(text) <= 40 or text[:41] not in verdict.notes[0].sentence


def test_edge_of_the_tolerance_counts_with_a_hair_of_slack():
    """45.8 with a tolerance of 0.2 takes 46.0 in each unit, and not 46.01."""
    for text, correct in (("46.0 °C", True), ("114.8 °F", True), ("319.15 K", True), ("46.01 °C", False), ("45.59 °C", False)):
        assert correct is check(EXAMPLE, text, "warm").correct
    assert within(0.1 + 0.2, 0.0, 0.3) and not within(0.3001, 0.0, 0.3)


@pytest.mark.parametrize(
    ("part", "text", "notes"),
    [
        ("work", "36.5 kJ/kg", []), ("work", "36.51234 kJ/kg", ["figures_many"]), ("work", "15.6921 Btu/lb", ["figures_many"]), ("work", "15.69 Btu/lb", []),
        ("cop", "4.2", []), ("cop", "4.20000", ["figures_many"]), ("warm", "46 °C", ["figures_few"]), ("apart", "8 K", ["figures_few"]),
        ("apart", "8.0 K", []), ("pressure", "9.15 bar", []), ("pressure", "9.14900 bar", ["figures_many"]), ("work", "73.00000 kJ/kg", ["twice"]),
        ("work", "40.00000 kJ/kg", ["number"]),
        # the same figures in another unit; zeros at the end of a whole number may be its size; a fraction has no last figure
        ("work", "36500 J/kg", []), ("work", "36512 J/kg", ["figures_many"]), ("pressure", "915000 Pa", []), ("pressure", "915 kPa", []), ("apart", "8 1/4 K", []), ("apart", "14 2/5 °F", []),
        ("cop", "4 1/5", []), ("cop", "21/5", []), ("load", "1.00 ton", []), ("load", "1 ton", ["figures_few"]), ("gauge", "-20 inHg vac", ["number"]),
    ],
)  # fmt: skip
def test_figures_are_remarked_on_only_when_the_number_is_right(part, text, notes):
    """Too many or too few written figures bring a remark, never a wrong verdict, and none beside a wrong number."""
    verdict = check(EXAMPLE, text, part)
    assert notes == [note.id for note in verdict.notes]
    assert verdict.correct is (notes == [] or notes[0].startswith("figures"))


# Choices and parts -------------------------------------------------------------------------


def test_choice_is_judged_by_letter_and_words():
    """A right choice is right, a wrong one brings its mistake, and no choice at all is not counted."""
    variant = deal(BANK.question("predict-gauge"), 1)
    assert ("the air pressure, 0.95 bar", "zero", "the air pressure below zero") == variant.parts[0].choices
    assert check(variant, "B").correct and check(variant, "Zero").correct and check(variant, "b) zero").correct
    assert "gauge_read_as_absolute" == check(variant, "a").mistake == check(variant, "air pressure, 0.95 bar").mistake
    assert "gauge_read_as_vacuum" == check(variant, "C").mistake
    assert check(variant, "something").correct is None


def test_wrong_choice_without_a_foreseen_mistake_is_just_wrong():
    """A choice that nobody foresaw brings a plain note."""
    text = TEXT + '[[parts]]\nid = "a"\nkind = "choice"\ntext = "?"\nhints = ["?"]\nsolution = "?"\n' \
        '[[parts.choices]]\ntext = "yes"\nright = true\n[[parts.choices]]\ntext = "no"\n'  # fmt: skip
    verdict = check(deal(read_question(text, "start/example.toml"), 1), "no")
    assert (False, None, "choice") == (verdict.correct, verdict.mistake, verdict.notes[0].id)


def test_part_must_be_named_where_there_are_several():
    """Without a part the only one is meant; otherwise it must be said which."""
    with pytest.raises(InputError, match="say which part is answered"):
        check(EXAMPLE, "36.5 kJ/kg")
    with pytest.raises(UnknownNameError, match="part 'wrk' is not known.*did you mean work"):
        check(EXAMPLE, "36.5 kJ/kg", "wrk")


def test_gauge_answer_counts_from_the_air_of_the_question():
    """Where the question's air pressure is low, an answer in gauge units is read with it."""
    text = TEXT.replace("118 psig", "8 bar g") + '[scenario]\natmosphere = "0.85 bar"\n' \
        '[[parts]]\nid = "p"\nkind = "number"\ntext = "?"\nquantity = "pressure"\nanswer = "reading + atmosphere"\n' \
        'tolerance = { absolute = "0.01 bar", reason = "test" }\nhints = ["?"]\nsolution = "?"\n'  # fmt: skip
    variant = deal(read_question(text, "start/example.toml"), 1)
    assert check(variant, "8 bar g").correct and check(variant, "8.85 bar").correct and not check(variant, "9.01 bar").correct


def test_verdict_prints_and_becomes_json():
    """A verdict reads as sentences and has the keys readable, correct, mistake and notes."""
    verdict = check(EXAMPLE, "73 kJ/kg", "work")
    assert "Not right. Once." == str(verdict) == repr(verdict)
    assert {"readable": True, "correct": False, "mistake": "twice", "notes": [{"id": "twice", "sentence": "Once."}]} == json.loads(json.dumps(asdict(verdict)))


# Tolerances and speed --------------------------------------------------------------------------


ENDS = {"work": ("2", "1"), "effect": ("1", "4"), "heat": ("2", "3")}
"""The state points whose enthalpies each energy of the bank lies between."""


@pytest.mark.parametrize("system", units.SYSTEMS)
@pytest.mark.parametrize("name", ["specific-work-from-chart", "cooling-cop", "heating-heat-rejected"])
def test_tolerance_takes_what_its_reason_names(name, system):
    """The exact energy is within 0.1 kJ/kg of the printed one, 0.2 more for rounding is still right, and 0.4 is not;
    a COP is right with one decimal, and from heat and work that are each 0.3 kJ/kg off."""
    for seed in range(40):
        variant = deal(BANK.question(name), seed, system)
        enthalpy = {point.label: point.enthalpy for point in variant.cycle.points}
        for part in variant.parts:
            if part.id == "cop":
                useful = variant.parts[0].answer
                work = useful / part.answer
                rights = [round(part.answer, 1), (useful + 300.0) / (work - 300.0), (useful - 300.0) / (work + 300.0)]
                assert all(check(variant, f"{right:.6f}", part.id).correct for right in rights), (seed, rights, part.answer)
                continue
            begin, end = ENDS[part.id]
            exact = enthalpy[begin] - enthalpy[end]
            assert 100.0 >= abs(exact - part.answer)
            away = 200.0 if exact > part.answer else -200.0
            assert check(variant, f"{(exact + away) / 1e3:.6f} kJ/kg", part.id).correct
            assert not check(variant, f"{(part.answer + 2 * away) / 1e3:.6f} kJ/kg", part.id).correct


def test_dealing_and_checking_is_quick():
    """Dealing a fresh seed and checking an answer takes at most 20 ms in the median, over the whole bank, of the processor's time."""
    took = []
    for question in BANK.questions.values():
        for seed in range(1000, 1004):
            begun = time.process_time()
            variant = deal(question, seed)
            check(variant, "36.5 kJ/kg", variant.parts[0].id)
            took.append(time.process_time() - begun)
    assert 0.020 >= statistics.median(took)


# An order ------------------------------------------------------------------------------------

ORDERS = [
    # how an answer is made from the right numbers, what is found in it
    (lambda right: right, None),
    (lambda right: right[::-1], "flow_taken_backwards"),
    (lambda right: right[:1] + right[:0:-1], "coils_swapped"),
    (lambda right: [right[0], right[2], right[1], *right[3:]], "two_parts_swapped"),
    (lambda right: right[2:] + right[:2], "started_elsewhere"),
    (lambda right: [right[1], right[3], right[0], right[2], *right[4:]], "none of them"),
]


@pytest.mark.parametrize(("made", "mistake"), ORDERS)
@pytest.mark.parametrize("seed", range(6))
def test_order_is_judged_and_diagnosed(made, mistake, seed):
    """The right order is right; backwards, the other position's, two swapped and begun elsewhere are told apart."""
    variant = deal(BANK.question("order-the-circuit"), seed)
    verdict = check(variant, " ".join(made(variant.parts[0].answer.split())))
    assert (mistake is None) is verdict.correct
    assert {"none of them": None}.get(mistake, mistake) == verdict.mistake


@pytest.mark.parametrize("text", ["1 2 3", "compressor, then the coil", "1 2 3 4 4", ""])
def test_unreadable_order_costs_no_try(text):
    """What is no order of all the numbers is not wrong; the sentence says what is allowed."""
    verdict = check(deal(BANK.question("order-the-circuit"), 1), text)
    assert (False, None, None) == (verdict.readable, verdict.correct, verdict.mistake)
