"""The question bank: what a question file holds, and how a wrong one is refused."""

import re
import shutil

import pytest

from hpteach import units
from hpteach.errors import DataError, UnknownNameError
from hpteach.panels import Exercise, Prediction
from hpteach.questions import bank as bank_module
from hpteach.questions import parts as parts_module
from hpteach.questions import deal, read_bank
from hpteach.questions.bank import bank_of_files, read_question
from hpteach.questions.orders import CORRECTIONS
from tests.example_question import head

FILE = "start/example.toml"

# Invented, as are all questions: the bench unit of the Fernhill Workshop.
GOOD = """
title = "Example"
version = 1
topic = "start"
level = 2
lesson = "03"
covers = ["EU 2024/2215 Annex I 1.02"]
prompt = "It evaporates at {evaporating}, h1 = {h1}."

[draw.evaporating]
kind = "temperature"
from = "0 C"
to = "10 C"
step = "2.5 K"

[draw.fall]
kind = "temperature difference"
choices = ["4 K", "5 K"]

[draw.fluid]
kind = "name"
choices = ["R-32", "R-410A"]

[scenario]
refrigerant = "fluid"
valve_position = "cooling"
saturated_suction_temperature = "evaporating"
discharge_pressure = "25 bar g"
superheat = "5 K"

[compare]
saturated_suction_temperature = "evaporating - fall"

[[parts]]
id = "effect"
kind = "number"
text = "How much heat?"
quantity = "specific energy"
answer = "h1 - h4"
tolerance = { relative = 0.01, reason = "reading the chart" }
hints = ["From 4 to 1."]
solution = "{h1} - {h4} = {answer}"

[[parts.mistakes]]
way = "superheat_ignored"

[[parts.mistakes]]
id = "work_for_effect"
value = "h2 - h1"
correction = "That is the work."

[[parts]]
id = "direction"
kind = "choice"
text = "What happens to the work?"
hints = ["Compare."]
solution = "{answer}"

[[parts.choices]]
text = "up"
when = "other_w > w"

[[parts.choices]]
text = "down"
mistake = "work_follows_suction"
correction = "Compare again."
"""


def changed(old, new):
    assert 1 == GOOD.count(old), f"{old!r} stands {GOOD.count(old)} times in the example"
    return GOOD.replace(old, new)


def refusal(text, file=FILE):
    with pytest.raises(DataError) as caught:
        read_question(text, file)
    return str(caught.value)


def test_question_is_read():
    """A question file becomes a question whose id is the file's name."""
    question = read_question(GOOD, FILE)
    assert ("example", "start", 2, "03") == (question.id, question.topic, question.level, question.lesson)
    assert ("superheat_ignored", "work_for_effect") == tuple(mistake.id for mistake in question.parts[0].mistakes)
    assert {"evaporating", "fall", "fluid"} == set(question.draws)


def test_named_way_brings_its_correction():
    """A named way corrects with its own sentence unless the question has a better one."""
    assert read_question(GOOD, FILE).parts[0].mistakes[0].correction.startswith("You took the suction vapour as saturated.")
    own = changed('way = "superheat_ignored"', 'way = "superheat_ignored"\ncorrection = "Look at point 1."')
    assert "Look at point 1." == read_question(own, FILE).parts[0].mistakes[0].correction


# Each row: what is changed, into what, and what the refusal says (file, key, value, what is allowed).
REFUSALS = [
    ('title = "Example"', "", "start/example.toml: title is missing: write a text"),
    ('title = "Example"', 'title = ""', "title = '': allowed is a text"),
    ('title = "Example"', 'title = "Example"\ncolour = "red"', "colour = 'red': allowed is only the keys title, version"),
    ('["EU 2024/2215 Annex I 1.02"]', '["EU 2024/2251 Annex I 1.02"]', "covers = 'EU 2024/2251 Annex I 1.02': allowed is codes of law_topics.toml, of which the nearest are 'EU 2024/2215 Annex I 1.02', "),
    ("version = 1", "version = 0", "version = 0: allowed is a whole number from 1 to 999"),
    ("version = 1", "version = true", "version = True: allowed is a whole number"),
    ('topic = "start"', 'topic = "cooling"', "topic = 'cooling': allowed is the name of its folder, 'start'"),
    ("level = 2", "level = 4", "level = 4: allowed is a whole number from 1 to 3"),
    ('lesson = "03"', 'lesson = "3"', "lesson = '3': allowed is the two digits of a lesson"),
    ('["EU 2024/2215 Annex I 1.02"]', '["chapter 4"]', "covers = 'chapter 4': allowed is codes of law_topics.toml, of which the nearest are"),
    ('lesson = "03"', 'lesson = "none"', "lesson = 'none': allowed is the two digits of a lesson, such as \"03\", or \"exam\" for law, handling and safety that no lesson teaches"),
    ('way = "superheat_ignored"', 'way = "cop_upside_down"', "parts[1].mistakes[1].way = 'cop_upside_down': allowed is a way that has a meaning here (it changes a number of ratio, and this part asks for a specific energy)"),
    ('["EU 2024/2215 Annex I 1.02"]', "[]", "covers = []: allowed is a list of one or more texts"),
    ("at {evaporating}, h1", "at {evaporation}, h1", "prompt = '{evaporation}': allowed is a gap that is one of"),
    ("at {evaporating}, h1", "at {evaporating, h1", "prompt = 'It evaporates at {evaporating, h1 = {h1}.': allowed is a text with gaps"),
    ("at {evaporating}, h1", "at {evaporating:speed}, h1", "prompt = '{evaporating:speed}': allowed is a quantity shown as one of temperature"),
    ("at {evaporating}, h1", "at {answer}, h1", "prompt = '{answer}': allowed is a gap"),
    ('choices = ["4 K", "5 K"]', 'choices = ["4", "5 K"]', "draw.fall.choices = '4': allowed is a temperature difference with its unit"),
    ('valve_position = "cooling"', 'valve_position = "between"', "scenario.valve_position = 'between': allowed is heating or cooling"),
    ('saturated_suction_temperature = "evaporating - fall"', 'altitude = "9 m"', "compare.altitude = '9 m': allowed is no second air pressure"),
    ("[draw.fall]", "[draw.Fall]", "draw = 'Fall': allowed is names of lower-case words"),
    ("[draw.fall]", "[draw.w]\nkind = 'ratio'\nchoices = ['0.5']\n[draw.fall]", "draw = 'w': allowed is a name that is no quantity of the cycle"),
    ("[draw.fall]", "[draw.other_fall]\nkind = 'ratio'\nchoices = ['0.5']\n[draw.fall]", "draw = 'other_fall': allowed is a name that is no quantity"),
    ('id = "effect"', 'id = "The Effect"', "parts[1].id = 'The Effect': allowed is lower-case words joined by underscores"),
    ('id = "effect"', 'id = "seed"', "parts[1].id = 'seed': allowed is a name other than seed, units, prediction, which are controls of the panel"),
    ('id = "direction"', 'id = "prediction"', "parts[2].id = 'prediction': allowed is a name other than seed, units, prediction"),
    ('id = "effect"', 'id = "direction"', "parts = 'direction': allowed is a different one for each"),
    ('kind = "number"', 'kind = "essay"', "parts[1].kind = 'essay': allowed is one of number, choice, several, order, state, truth, table"),
    ('quantity = "specific energy"', 'quantity = "joy"', "parts[1].quantity = 'joy': allowed is one of temperature"),
    ('quantity = "specific energy"', 'quantity = "specific energy"\nonly = "absolute"', 'parts[1].only = \'absolute\': allowed is no such key unless quantity = "pressure"'),
    ('answer = "h1 - h4"', 'answer = "h1 ** 2"', "parts[1].answer = 'h1 ** 2': allowed is an expression ('h1 ** 2' holds a Pow"),
    ('answer = "h1 - h4"', 'answer = "h1 - h9"', "parts[1].answer = 'h1 - h9': allowed is an expression of known names (quantity 'h9' is not known"),
    ('answer = "h1 - h4"', 'answer = "h1 > h4"', "parts[1].answer = 'h1 > h4': allowed is an expression ('h1 > h4' comes to a truth"),
    ('answer = "h1 - h4"', 'answer = "fluid"', "parts[1].answer = 'fluid': allowed is an expression of known names"),
    ("relative = 0.01", "relative = 0.01, absolute = '1 kJ/kg'", "parts[1].tolerance = {"),
    ("relative = 0.01", "relative = 0.9", "parts[1].tolerance.relative = 0.9: allowed is a share above 0.0 and up to 0.2"),
    ("relative = 0.01", "absolute = '0 J/kg'", "parts[1].tolerance.absolute = '0 J/kg': allowed is a size above zero"),
    ('relative = 0.01, reason = "reading the chart"', "relative = 0.01", "parts[1].tolerance.reason is missing"),
    ('way = "superheat_ignored"', 'way = "superheat_forgotten"', "parts[1].mistakes[1].way = 'superheat_forgotten': allowed is one of gauge_read_as_absolute"),
    ('value = "h2 - h1"', 'value = "h2 - h1"\nway = "cop_upside_down"', "parts[1].mistakes[2] = {"),
    ('correction = "That is the work."', "", "parts[1].mistakes[2].correction is missing"),
    ('id = "work_for_effect"', 'id = "superheat_ignored"', "parts[1].mistakes = 'superheat_ignored': allowed is a different one for each"),
    ('hints = ["Compare."]', "hints = []", "parts[2].hints = []: allowed is a list of one or more texts"),
    ('kind = "choice"', 'kind = "choice"\nkeep_order = "yes"', "parts[2].keep_order = 'yes': allowed is true or false"),
    ('kind = "number"', 'kind = "number"\nkeep_order = true', "parts[1].keep_order = True: allowed is only the keys id, kind"),
    ('text = "down"', 'text = "up"', "parts[2].choices = 'up': allowed is a different one for each"),
    ('text = "down"', 'text = "down"\nright = true', "parts[2].choices = '1 right, 1 with when': allowed is one choice with right = true, or choices with `when`"),
    ('when = "other_w > w"', 'when = "other_w > w"\nright = true', "parts[2].choices[1].right = True: allowed is true only without `when`"),
    ('when = "other_w > w"', 'when = "other_w > w"\nright = "no"', "parts[2].choices[1].right = 'no': allowed is true or false"),
    ('when = "other_w > w"', "", "parts[2].choices = '0 right, 0 with when'"),
    ('when = "other_w > w"', 'right = true\nsolution = "Yes."', "parts[2].choices[1].solution = 'Yes.': allowed is no such key without `when`"),
    ('when = "other_w > w"', 'when = "other_w > w"\nsolution = "{h9}"', "parts[2].choices[1].solution = '{h9}': allowed is a gap that is one of"),
    ('when = "other_w > w"', 'when = "other_w - w"', "parts[2].choices[1].when = 'other_w - w': allowed is an expression"),
    ('correction = "Compare again."', "", "parts[2].choices[2].mistake = 'work_follows_suction': allowed is an id together with its correction"),
]  # fmt: skip


@pytest.mark.parametrize(("old", "new", "expected"), REFUSALS)
def test_wrong_entry_is_refused_by_name(old, new, expected):
    """A wrong entry is refused with the file, the key, the value and what is allowed."""
    sentence = refusal(changed(old, new))
    assert sentence.startswith("start/example.toml: ")
    assert expected in sentence


def test_no_part_can_take_the_place_of_a_control():
    """A panel keeps its controls and one entry for each part under the same names: its own are those that no part may have."""
    panels = (Exercise("read-a-gauge", seed=1), Prediction("predict-gauge", then=lambda variant: None))
    own = {name for panel in panels for name in panel.controls} - {part.id for panel in panels for part in panel.variant.parts}
    assert own and own <= set(parts_module.CONTROLS)


def test_quantities_of_a_cycle_need_a_cycle():
    """Without a scenario no quantity of a cycle is known, and no second cycle can be compared."""
    head, _, rest = GOOD.partition("[scenario]")
    _, _, parts = rest.partition("[[parts]]")
    assert "value = 'h2 - h1': allowed is an expression of known names" in refusal(head + "[[parts]]" + parts)
    _, _, compared = rest.partition("[compare]")
    assert "compare = ['saturated_suction_temperature']: allowed is only beside a [scenario]" in refusal(head + "[compare]" + compared)


def test_draw_may_bear_the_name_of_the_condition_that_it_states():
    """A drawn superheat may be called superheat where the scenario's superheat is just that."""
    text = changed('superheat = "5 K"', 'superheat = "superheat"') + '\n[draw.superheat]\nkind = "temperature difference"\nchoices = ["5 K", "6 K"]\n'
    assert "superheat" in read_question(text, FILE).draws


def test_unreadable_file_is_refused_with_its_place():
    """A file that is no TOML is refused with the line that is wrong."""
    assert "start/example.toml: not readable as TOML: " in refusal("title = ")


def test_file_name_is_a_plain_id():
    """The file's name is the id, so that it must be plain."""
    assert "the file name 'My Question' is the question's id" in refusal(GOOD, "start/My Question.toml")


# The shipped bank ----------------------------------------------------------------------


def test_bank_is_found_from_the_package():
    """Without a folder the bank at the top of the checkout is read."""
    assert {"read-a-gauge", "predict-gauge", "cooling-cop", "heating-heat-rejected"} <= set(read_bank().questions)


def test_unknown_question_is_refused_with_the_nearest():
    """An id that is not in the bank is refused, and the nearest is offered."""
    with pytest.raises(UnknownNameError, match="question 'cooling-cops' is not known; did you mean cooling-cop.*`hpteach ask` lists them"):
        read_bank().question("cooling-cops")


def test_missing_bank_is_refused_with_the_remedy(tmp_path, monkeypatch):
    """Where the package was installed without the clone, the sentence says how to install it."""
    monkeypatch.setattr(bank_module, "__file__", str(tmp_path / "site" / "hpteach" / "questions" / "bank.py"))
    with pytest.raises(DataError, match=re.escape(f"the question bank is not at {tmp_path / 'site' / 'exercises'}") + ".*pip install -e"):
        read_bank()
    with pytest.raises(DataError, match="is not a folder"):
        read_bank(tmp_path / "nowhere")
    with pytest.raises(DataError, match="holds no question"):
        read_bank(tmp_path)


def test_id_is_taken_once(tmp_path):
    """Two topics cannot hold a question of the same id."""
    for topic in ("start", "cooling"):
        (tmp_path / topic).mkdir()
        (tmp_path / topic / "example.toml").write_text(changed('topic = "start"', f'topic = "{topic}"'), encoding="utf-8")
    with pytest.raises(DataError, match="start/example.toml: the id 'example' is taken by cooling/example.toml"):
        read_bank(tmp_path)


def test_file_of_other_encoding_is_refused(tmp_path):
    """A file that is not UTF-8 is refused by its name."""
    (tmp_path / "start").mkdir()
    (tmp_path / "start" / "example.toml").write_bytes(GOOD.replace("Example", "Beispiel für").encode("latin-1"))
    with pytest.raises(DataError, match="start/example.toml: not readable as UTF-8"):
        read_bank(tmp_path)


def test_folder_may_lie_anywhere(tmp_path):
    """A copy of the bank elsewhere is the same bank."""
    shutil.copytree(bank_module.Path(bank_module.__file__).parents[2] / "exercises", tmp_path / "copy")
    assert read_bank().questions == read_bank(tmp_path / "copy").questions


def test_file_is_read_anew_when_it_has_changed(tmp_path):
    """What was read once is kept by its text: a changed file is another question at once."""
    (tmp_path / "start").mkdir()
    file = tmp_path / "start" / "example.toml"
    file.write_text(GOOD, encoding="utf-8")
    first = read_bank(tmp_path).question("example")
    assert first is read_bank(tmp_path).question("example")
    file.write_text(changed('title = "Example"', 'title = "Another"'), encoding="utf-8")
    assert "Another" == read_bank(tmp_path).question("example").title


def test_named_files_are_read_wherever_they_lie(tmp_path):
    """A file's folder is its topic; two named files of one id are refused, and the bank's own files are left alone."""
    for place in ("one", "two"):
        (tmp_path / place / "start").mkdir(parents=True)
        (tmp_path / place / "start" / "example.toml").write_text(GOOD, encoding="utf-8")
    files = [tmp_path / place / "start" / "example.toml" for place in ("one", "two")]
    assert {"example"} == set(bank_of_files(files[:1]).questions)
    with pytest.raises(DataError, match="the id 'example' is taken by start/example.toml"):
        bank_of_files(files)


def test_bank_prints_as_a_list():
    """A bank prints one line for each question, in a terminal and in a notebook."""
    shown = str(read_bank())
    assert f"{len(read_bank().questions)} questions" in shown and "cooling-cop" in shown
    assert "<td" in read_bank()._repr_html_()


def thoughts(question, part):
    """The ids of the mistakes that are foreseen in a part; of an order and of a state they follow from the circuit."""
    if part.kind == "order":
        return set(CORRECTIONS)
    if part.kind == "state":
        return {mistake.id for mistake in deal(question, 1).part(part.id).mistakes}
    return {mistake.id for mistake in part.mistakes} | {choice.mistake for choice in part.choices if choice.mistake}


@pytest.mark.parametrize("question", read_bank().questions.values(), ids=lambda question: question.id)
def test_shipped_question_teaches(question):
    """Each question foresees at least two mistakes in each part, and says that its setting is invented."""
    assert "(invented)" in question.prompt
    for part in question.parts:
        assert 2 <= len(thoughts(question, part))
        assert part.hints and part.solution


@pytest.mark.parametrize("question", read_bank().questions.values(), ids=lambda question: question.id)
def test_shipped_question_practises_the_law_in_force(question):
    """Each question names its topics in a list in force, of the Union or of the United States, and the repealed list only beside it."""
    in_force = {code.removeprefix("EU 2024/2215 ") for code in question.covers if code.startswith("EU 2024/2215 ")}
    repealed = {code.removeprefix("EU 2015/2067 ") for code in question.covers if code.startswith("EU 2015/2067 ")}
    assert in_force or any(code.startswith("US 40 CFR 82") for code in question.covers)
    assert repealed <= in_force


def test_shipped_questions_name_a_topic_of_the_core_and_not_the_whole():
    """No shipped question names the whole of a group of topics, where a topic of it fits."""
    assert [] == [id for id, question in read_bank().questions.items() if "US 40 CFR 82 App. D core" in question.covers]


@pytest.mark.parametrize("question", read_bank().questions.values(), ids=lambda question: question.id)
def test_lesson_of_a_shipped_question_is_there(question):
    """Two digits name a notebook; what no lesson teaches says "exam"."""
    notebooks = bank_module.Path(bank_module.__file__).parents[2] / "notebooks"
    assert question.lesson == "exam" or 1 == len(list(notebooks.glob(f"{question.lesson}-*.ipynb")))


@pytest.mark.parametrize("question", read_bank().questions.values(), ids=lambda question: question.id)
def test_shipped_question_prints_short_numbers(question):
    """Numbers are drawn round in both unit systems: at most two decimals."""
    for draw in question.draws.values():
        for system in units.SYSTEMS if draw.kind != "name" else ():
            assert [] == [text for text in draw.texts[system] if re.search(r"\.\d{3}", text)]


# A circuit alone, and an order ----------------------------------------------------------------

CIRCUIT = head("02", "1.04") + """
prompt = "It stands in {valve_position}; the {condenser} condenses."

[draw.position]
kind = "name"
choices = ["heating", "cooling"]

[scenario]
valve_position = "position"

[[parts]]
id = "order"
kind = "order"
text = "Which order?"
listed = ["compressor", "indoor coil", "outdoor coil"]
hints = ["?"]
solution = "{answer}"
"""


def test_circuit_alone_and_an_order_are_read():
    """A scenario may state the valve's position alone, and a part may ask for an order."""
    question = read_question(CIRCUIT, FILE)
    assert question.has_circuit_alone and not question.has_cycle
    assert ("order", ("compressor", "indoor coil", "outdoor coil")) == (question.parts[0].kind, question.parts[0].listed)


@pytest.mark.parametrize(
    ("old", "new", "expected"),
    [
        ('valve_position = "position"', 'energised_in = "position"', "scenario.solenoid is missing"),
        ('valve_position = "position"', 'metering_layout = "outdoor"', "scenario.energised_in is missing"),
        ('valve_position = "position"', 'valve_position = "position"\nstuck = "pump=shut"', "scenario.stuck = 'pump=shut'"),
        ('valve_position = "position"', 'valve_position = "position"\nstuck = "outdoor check valve=bent"', "scenario.stuck = 'outdoor check valve=bent'"),
        ('valve_position = "position"', 'valve_position = "position"\nenergised_in = "position"', "allowed is valve_position or energised_in, not both"),
        ('valve_position = "position"', 'valve_position = "position"\nstuck = "nothing"\naltitude = "9 m"', "no such key beside a cycle or the air"),
        ('[scenario]\nvalve_position = "position"', "", "allowed is an order only beside a [scenario]"),
        ("{condenser}", "{h1}", "prompt = '{h1}': allowed is a gap that is one of"),
        (', "outdoor coil"]', "]", "parts[1].listed = 2: allowed is three to eight parts"),
        ('"indoor coil", "outdoor coil"', '"indoor coil", "indoor coil"', "parts[1].listed = 'indoor coil': allowed is a different one for each"),
        ('kind = "order"', 'kind = "order"\nkeep_order = true', "parts[1].keep_order = True: allowed is only the keys id, kind, text, listed"),
    ],
)
def test_wrong_circuit_or_order_is_refused_by_name(old, new, expected):
    """A wrong entry of a circuit alone or of an order is refused with key, value and what is allowed."""
    assert old in CIRCUIT
    assert expected in refusal(CIRCUIT.replace(old, new))
