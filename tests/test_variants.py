"""Dealing: the same numbers and the same order everywhere, printed before they are used."""

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hpteach import units
from hpteach.errors import DataError, InputError, UnknownNameError
from hpteach.questions import deal, read_bank
from hpteach.questions.bank import read_question
from tests.example_question import head

BANK = read_bank()

HEAD = head("03", "1.03")
PART = '\n[[parts]]\nid = "{id}"\nkind = "number"\ntext = "?"\nquantity = "{quantity}"\nanswer = "{answer}"\n' \
    'tolerance = {{ {tolerance}, reason = "test" }}\nhints = ["?"]\nsolution = "{{answer}}"\n'  # fmt: skip


COOLING = dict(
    refrigerant="R-32", valve_position="cooling", saturated_suction_temperature="0 C", saturated_condensing_temperature="40 C"
)  # fmt: skip


def stated(conditions):
    return "[scenario]\n" + "".join(f'{key} = "{text}"\n' for key, text in conditions.items())


def question(conditions, parts, prompt="?", draws=""):
    """A question that is written only for a test; `parts` are (id, quantity, answer)."""
    asked = "".join(
        PART.format(id=id, quantity=quantity, answer=answer, tolerance='absolute = "0.1 K"' if "temp" in quantity else "relative = 0.01")
        for id, quantity, answer in parts
    )
    return read_question(f'{HEAD}prompt = "{prompt}"\n{draws}\n{stated(conditions)}\n{asked}', "start/example.toml")


# Seeds -----------------------------------------------------------------------------------


@pytest.mark.parametrize("system", units.SYSTEMS)
@pytest.mark.parametrize("name", BANK.questions)
def test_seed_gives_the_same_variant(name, system):
    """The same seed deals the same prompt and the same answers, also from another reading of the bank."""
    again = read_bank().question(name)
    assert deal(BANK.question(name), 11, system) == deal(again, 11, system)


@pytest.mark.parametrize(
    ("name", "seed", "system", "begins"),
    [
        ("read-a-gauge", 3, "SI", "In the Fernhill Workshop (invented) the suction gauge of a bench unit shows 7.0 bar g."),
        ("read-a-gauge", 3, "IP", "In the Fernhill Workshop (invented) the suction gauge of a bench unit shows 105 psig."),
        ("heating-heat-rejected", 3, "SI", "A bench unit of the Fernhill Workshop (invented), filled with R-32, heats a classroom. It evaporates at -10 °C"),
    ],
)
def test_seed_keeps_its_numbers(name, seed, system, begins):
    """Numbers once dealt are dealt again on every computer and Python: these were written down when the questions were new."""
    assert deal(BANK.question(name), seed, system).prompt.startswith(begins)


def test_seeds_differ():
    """Different seeds deal different numbers."""
    assert 15 < len({deal(BANK.question("cooling-cop"), seed).prompt for seed in range(20)})


def test_version_deals_anew():
    """A raised version deals other numbers, so that an old key is not taken for the new one."""
    text = (Path(__file__).parent.parent / "exercises" / "cooling" / "cooling-cop.toml").read_text(encoding="utf-8")
    newer = read_question(text.replace("version = 1", "version = 2"), "cooling/cooling-cop.toml")
    assert deal(newer, 1).prompt != deal(BANK.question("cooling-cop"), 1).prompt


def test_order_of_draws_in_the_file_does_not_matter():
    """Moving a draw within its file changes no number."""
    one, two = '[draw.a]\nkind = "ratio"\nchoices = ["1", "2", "3", "4", "5"]\n', '[draw.b]\nkind = "ratio"\nchoices = ["1", "2", "3", "4", "5"]\n'
    parts = [("sum", "ratio", "10 * a + b")]
    first, second = (question(dict(altitude="0 m"), parts, draws=draws) for draws in (one + two, two + one))
    assert [deal(first, seed).parts[0].answer for seed in range(9)] == [deal(second, seed).parts[0].answer for seed in range(9)]


@given(st.integers())
def test_every_whole_number_is_a_seed(seed):
    """Any whole number deals."""
    assert deal(BANK.question("read-a-gauge"), seed).prompt


@pytest.mark.parametrize("seed", [1.0, "1", None, True])
def test_seed_that_is_no_whole_number_is_refused(seed):
    """Anything else than a whole number is refused as a seed."""
    with pytest.raises(InputError, match="is not a whole number"):
        deal(BANK.question("read-a-gauge"), seed)


def test_unknown_system_is_refused():
    """Only SI and IP are printed."""
    with pytest.raises(UnknownNameError, match="unit system 'metric' is not known"):
        deal(BANK.question("read-a-gauge"), 1, "metric")


# The order of choices --------------------------------------------------------------------

CHOICE = '[[parts]]\nid = "a"\nkind = "choice"\ntext = "?"\nhints = ["?"]\nsolution = "?"\n'


def choices(*texts, extra=""):
    """A choice question that is written only for a test; the first text is right."""
    listed = "".join(f'[[parts.choices]]\ntext = "{text}"\nright = {str(text == texts[0]).lower()}\n' for text in texts)
    return read_question(f'{HEAD}prompt = "?"\n{CHOICE}{extra}{listed}', "start/example.toml")


MIXED = [name for name, asked in BANK.questions.items() if asked.parts[0].kind == "choice" and not asked.parts[0].keep_order]


@pytest.mark.parametrize("name", MIXED)
def test_no_letter_is_always_right(name):
    """Over some seeds the right choice stands at every place of the list, so that a letter gives no key away."""
    missing = set(range(len(deal(BANK.question(name), 0).parts[0].choices)))
    for seed in range(60):
        part = deal(BANK.question(name), seed).parts[0]
        missing.discard(part.choices.index(part.answer))
        if not missing:
            break
    assert set() == missing


@pytest.mark.parametrize(
    ("name", "seed", "order"), [("predict-which-coil", 1, [2, 1, 0]), ("predict-which-coil", 2, [1, 0, 2]), ("predict-point-3", 7, [0, 3, 1, 2])]
)
@pytest.mark.parametrize("system", units.SYSTEMS)
def test_seed_keeps_its_order(name, seed, order, system):
    """An order once dealt is dealt again on every computer and Python, and in both unit systems: these were written down."""
    written = [choice.text for choice in BANK.question(name).parts[0].choices]
    assert order == [written.index(text) for text in deal(BANK.question(name), seed, system).parts[0].choices]


def test_order_leaves_each_correction_with_its_choice():
    """In whatever order the choices stand, each wrong one brings its own mistake."""
    written = {choice.text: choice.mistake for choice in BANK.question("predict-point-3").parts[0].choices if choice.mistake}
    for seed in range(20):
        assert written == {mistake.value: mistake.id for mistake in deal(BANK.question("predict-point-3"), seed).parts[0].mistakes}


def test_natural_order_is_kept_where_the_question_says_so():
    """Choices with an order of their own stand as written for every seed; without the key they do not."""
    texts = ("under 1 kg", "1 to 3 kg", "over 3 kg")
    assert {texts} == {deal(choices(*texts, extra="keep_order = true\n"), seed).parts[0].choices for seed in range(20)}
    assert 1 < len({deal(choices(*texts), seed).parts[0].choices for seed in range(20)})


@pytest.mark.parametrize("system", units.SYSTEMS)
def test_right_choice_brings_its_own_solution(system):
    """Behind the solution of the part stands what follows from the choice that is right in this variant, and nothing of the others."""
    question = BANK.question("which-limit-in-the-cold")
    own = {choice.text: choice.solution[:24] for choice in question.parts[0].choices if choice.solution}
    parts = [deal(question, seed, system).parts[0] for seed in range(12)]
    assert set(own) == {part.answer for part in parts}
    for part in parts:
        assert {own[part.answer]} == {start for start in own.values() if start in part.solution}


def test_choices_that_read_alike_are_refused():
    """Two choices that differ by an article, a capital or a full stop only could not be told apart in an answer."""
    with pytest.raises(DataError, match="example: two choices of a read alike in this variant: "):
        deal(choices("the outdoor coil", "Outdoor coil."), 1)


# As printed ------------------------------------------------------------------------------


@pytest.mark.parametrize("system", units.SYSTEMS)
@pytest.mark.parametrize("seed", range(10))
def test_learner_with_the_printed_numbers_gets_the_same_answer(seed, system):
    """Reading h1, h2 and h4 off the prompt and subtracting gives exactly the answer of the key."""
    variant = deal(BANK.question("specific-work-from-chart"), seed, system)
    h1, h2, h4 = (
        units.read(variant.prompt.split(f"{name} = ")[1].split(",")[0].rstrip(". \n"), "specific energy") for name in ("h1", "h2", "h4")
    )
    assert pytest.approx((h2 - h1, h1 - h4), rel=1e-12) == tuple(part.answer for part in variant.parts)


@pytest.mark.parametrize("system", units.SYSTEMS)
def test_drawn_number_counts_as_printed(system):
    """A drawn number that IP cannot print exactly counts as it is printed there."""
    asked = question(
        dict(altitude="0 m"), [("same", "pressure", "reading")], "It shows {reading}.", '[draw.reading]\nkind = "pressure"\nchoices = ["8.5 bar"]\n'
    )
    variant = deal(asked, 1, system)
    assert {"SI": "It shows 8.5 bar.", "IP": "It shows 123.3 psia."}[system] == variant.prompt
    assert pytest.approx({"SI": 850e3, "IP": 123.3 * 6894.757293168}[system], rel=1e-12) == variant.parts[0].answer


@pytest.mark.parametrize("system", units.SYSTEMS)
def test_drawn_number_may_follow_a_drawn_name(system):
    """A constant that follows a drawn name is the one at the name's place in the list."""
    draws = (
        '[draw.fluid]\nkind = "name"\nchoices = ["R-32", "R-410A", "R-134a"]\n'
        '[draw.gwp]\nkind = "ratio"\nchoices = ["675", "2088", "1430"]\nfollows = "fluid"\n'
    )
    asked = question({"altitude": "0 m"}, [("same", "ratio", "gwp")], "{fluid} has {gwp}.", draws)
    prompts = {deal(asked, seed, system).prompt for seed in range(30)}
    assert {"R-32 has 675.", "R-410A has 2088.", "R-134a has 1430."} == prompts


def test_what_is_derived_rests_on_the_printed_state_points():
    """COP from printed enthalpies is the COP that a learner works out from them, not the exact one."""
    variant = deal(BANK.question("cooling-cop"), 3)
    w, q = 478.4 - 431.5, 431.5 - 275.0  # as the prompt of this seed prints them
    assert all(f"{number} kJ/kg" in variant.prompt for number in ("431.5", "478.4", "275.0"))
    assert pytest.approx(q / w, rel=1e-12) == variant.part("cop").answer
    assert abs(variant.cycle.cop_cooling - q / w) > 1e-6


def test_printed_gauge_reading_of_a_state_point_counts_as_printed():
    """A state point shown as a gauge pressure is read back from the gauge pressure, with the air's pressure of the question."""
    variant = deal(question({**COOLING, "atmosphere": "0.95 bar"}, [("low", "pressure", "p1")], "It shows {p1:gauge pressure}."), 1)
    shown = variant.prompt.removeprefix("It shows ").removesuffix(".")
    assert shown.endswith(" bar g")
    assert pytest.approx(float(shown.split()[0]) * 1e5 + 95e3, rel=1e-12) == variant.parts[0].answer


def test_texts_are_filled_for_the_reader():
    """Prompt, hints and solution come without gaps, in the reader's units and words."""
    for system, word, unit in (("SI", "kilogram", "kJ/kg"), ("IP", "pound", "Btu/lb")):
        variant = deal(BANK.question("cooling-cop"), 3, system)
        assert word in variant.parts[0].text and unit == variant.parts[0].unit
        assert variant.solution.count(unit) == 5 and "{" not in str(variant) + variant.solution + "".join(variant.hints)


# From conditions to a cycle ----------------------------------------------------------------


def test_altitude_moves_the_gauge():
    """At 1600 m a gauge counts from 83.5 kPa (standard atmosphere), so the same reading is a lower pressure."""
    mountain = dict(
        refrigerant="R-32", valve_position="cooling", suction_pressure="8 bar g", saturated_condensing_temperature="40 C", altitude="1600 m"
    )  # fmt: skip
    variant = deal(question(mountain, [("low", "pressure", "p1")]), 1)
    assert pytest.approx(883.5e3, abs=100.0) == variant.parts[0].answer
    assert pytest.approx(83.5e3, abs=100.0) == variant.atmosphere


def test_second_cycle_differs_in_what_is_compared_only():
    """The cycle to compare with takes everything from the scenario but the stated difference."""
    variant = deal(BANK.question("predict-colder-outdoors"), 3)
    ours, other = variant.cycle.conditions, variant.other.conditions
    assert pytest.approx(10.0) == ours.saturated_suction_temperature - other.saturated_suction_temperature
    assert (ours.superheat, ours.subcooling, ours.isentropic_efficiency) == (other.superheat, other.subcooling, other.isentropic_efficiency)
    assert ours.saturated_condensing_temperature == other.saturated_condensing_temperature


# Draws that cannot be ---------------------------------------------------------------------

CONDENSING = '[draw.condensing]\nkind = "temperature"\nchoices = [{}]\n'
BACKWARDS = {**COOLING, "saturated_suction_temperature": "20 C", "saturated_condensing_temperature": "condensing"}


def test_draw_that_cannot_be_solved_is_never_dealt():
    """A condensing temperature below the evaporating one is drawn again, the same way each time."""
    asked = question(BACKWARDS, [("work", "specific energy", "w")], "{condensing}", CONDENSING.format('"0 C", "10 C", "40 C"'))
    assert {"40 °C"} == {deal(asked, seed).prompt for seed in range(30)}


def test_question_that_no_draw_can_solve_is_refused():
    """Where every draw fails, the sentence names the question and the last refusal."""
    asked = question(BACKWARDS, [("work", "specific energy", "w")], draws=CONDENSING.format('"0 C", "10 C"'))
    with pytest.raises(DataError, match="example: none of 20 draws of seed 1 can be solved; the last one: saturated condensing temperature"):
        deal(asked, 1)


@pytest.mark.parametrize(("first", "second", "count"), [("w > 0", "h1 > 0", 2), ("w < 0", "h1 < 0", 0)])
def test_choice_question_has_exactly_one_right_choice(first, second, count):
    """None or two right choices are a fault of the question, and refused as such."""
    listed = "".join(f'[[parts.choices]]\ntext = "{text}"\nwhen = "{when}"\n' for text, when in (("x", first), ("y", second)))
    text = f'{HEAD}prompt = "?"\n{stated(COOLING)}\n{CHOICE}{listed}'
    with pytest.raises(DataError, match=f"{count} choices of a hold in this variant"):
        deal(read_question(text, "start/example.toml"), 1)


# What is dealt ---------------------------------------------------------------------------


def test_parts_are_found_by_id():
    """A part is found by its id; the only one needs none."""
    variant = deal(BANK.question("cooling-cop"), 1)
    assert "cop" == variant.part("cop").id
    assert "absolute" == deal(BANK.question("read-a-gauge"), 1).part().id
    with pytest.raises(InputError, match="cooling-cop asks 2 things: say which part is answered, effect or cop"):
        variant.part()
    with pytest.raises(UnknownNameError, match="part 'cops' is not known.*did you mean cop"):
        variant.part("cops")


def test_variant_prints_the_question_and_not_the_answer():
    """What prints in a terminal or a notebook is the question with its choices, without answers."""
    shown = repr(deal(BANK.question("predict-gauge"), 1))
    assert "A) the air pressure, 0.95 bar\n  B) zero\n  C) the air pressure below zero" in shown
    assert "from inside and from outside" not in shown


@pytest.mark.parametrize("seed", range(20))
def test_answer_and_mistakes_lie_apart(seed):
    """No two answers that a verdict must tell apart lie within their tolerances."""
    for asked in BANK.questions.values():
        for part in deal(asked, seed).parts:
            if part.kind == "number":
                bands = sorted([part.accepts, *(mistake.accepts for mistake in part.mistakes)])
                assert all(below[1] < above[0] for below, above in zip(bands, bands[1:]))
            elif part.kind in ("choice", "state", "truth"):
                assert len(part.choices) == len(set(part.choices)) and part.answer in part.choices
            elif part.kind == "several":
                answers = [part.answer, *(mistake.value for mistake in part.mistakes)]
                assert len(answers) == len(set(answers))
            else:
                orders = [part.answer, *(mistake.value for mistake in part.mistakes)]
                assert len(orders) == len(set(orders))
                assert all(sorted(order.split()) == [str(place) for place in range(1, len(part.choices) + 1)] for order in orders)


def test_mistake_too_near_is_not_offered():
    """With no superheat nobody can ignore it: the mistake is left out of that variant, and offered in others."""
    draws = '[draw.heat]\nkind = "temperature difference"\nchoices = ["0 K", "20 K"]\n'
    part = PART.format(id="h", quantity="specific energy", answer="q_e", tolerance="relative = 0.01")
    mistake = '[[parts.mistakes]]\nway = "superheat_ignored"\n'
    text = f'{HEAD}prompt = "{{heat}}"\n{draws}\n{stated({**COOLING, "superheat": "heat"})}\n{part}{mistake}'
    asked = read_question(text, "start/example.toml")
    variants = [deal(asked, seed) for seed in range(12)]
    assert {("0 K", 0), ("20 K", 1)} == {(variant.prompt, len(variant.parts[0].mistakes)) for variant in variants}
