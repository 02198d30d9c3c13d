"""The proof of a bank: the shipped one holds, and what does not hold is found."""

from types import MappingProxyType

import pytest

from hpteach.questions import Bank, prove, read_bank
from hpteach.questions import proof as proof_module
from hpteach.questions.bank import read_question
from tests.example_question import head

BANK = read_bank()

QUESTION = head("00", "1.01") + """
prompt = "The work is {work} and the load is {load}."

[draw.work]
kind = "specific energy"
choices = ["36.5 kJ/kg", "40 kJ/kg"]

[draw.load]
kind = "power"
choices = ["10 kW"]

[[parts]]
id = "flow"
kind = "number"
text = "The mass flow is"
quantity = "mass flow"
answer = "load / work"
tolerance = { relative = 0.02, reason = "test" }
hints = ["Divide."]
solution = "{load} / {work} = {answer}"

[[parts.mistakes]]
id = "twice"
value = "2 * load / work"
correction = "Once is enough."

[[parts]]
id = "more"
kind = "choice"
text = "Does it grow with the load?"
hints = ["Think."]
solution = "{answer}"
[[parts.choices]]
text = "It grows."
right = true
[[parts.choices]]
text = "It falls."
mistake = "turned_round"
correction = "More load needs more flow."

[[parts]]
id = "all"
kind = "several"
text = "Which of these are units of power?"
hints = ["Energy in a time."]
solution = "{answer}"
[[parts.choices]]
text = "the watt"
right = true
[[parts.choices]]
text = "the kilowatt-hour"
mistake = "energy_for_power"
correction = "That is energy."
[[parts.choices]]
text = "the ton of refrigeration"
right = true
"""


def bank_with(old="", new=""):
    assert old in QUESTION
    return Bank({"example": read_question(QUESTION.replace(old, new, 1) if old else QUESTION, "start/example.toml")})


def test_shipped_bank_holds():
    """Every question deals for 20 seeds in both systems, is judged rightly, recognises every offered mistake, and reads well."""
    proof = prove(BANK)
    assert () == proof.failures
    assert (len(BANK.questions), len(BANK.questions) * 40) == (proof.questions, proof.variants)
    assert proof.mistakes > proof.variants and proof.sums > 1000 and len(proof.unread) < 10


def test_sound_question_holds():
    """A sound question holds, with its variants, its mistakes and the sums of its solutions counted."""
    proof = prove(bank_with(), seeds=range(2))
    assert (1, 4, 20, (), 4, ()) == (proof.questions, proof.variants, proof.mistakes, proof.failures, proof.sums, proof.unread)
    assert "1 questions, 4 variants, 20 mistakes, 4 sums: every one holds." == str(proof) == repr(proof)


# what stands in the sound question, what stands there now, what the proof then says
FAULTS = [
    ('answer = "load / work"', 'answer = "load / (work - work)"', "example, seed 0, SI: example: none of 20 draws of seed 0 can be solved"),
    ('value = "2 * load / work"', 'value = "1.01 * load / work"', "example, flow: twice is offered in 0 of 4 variants only: widen its distance or drop it"),
    ('relative = 0.02, reason = "test"', 'relative = 0.0000001, reason = "test"', "example, seed 0, SI, flow: the right answer"),
    ("and the load is {load}.", "and the load is {load}", "example, seed 0, SI: the prompt ends with"),
    ("and the load is {load}.", "and the load of 12 lb is {load}.", "example, seed 0, SI: the prompt for SI holds 12 lb"),
    ('hints = ["Divide."]', 'hints = ["It is 0.2740 or 0.2500, 2174.6 or 1984.1."]', "flow: a hint gives the answer away, 0.2740"),
    ('solution = "{load} / {work} = {answer}"', 'solution = "{load} / {work} = 1.50 kg/s, {answer}"', "flow: the solution has a sum that does not come out: 10 kW / "),
    ('solution = "{load} / {work} = {answer}"', 'solution = "Divide."', "flow: the solution does not hold the answer"),
    ('text = "It falls."', 'text = "It  falls."', "more: a choice has two spaces in a row"),
    ('mistake = "energy_for_power"\n', 'when = "load < 0 * load"\nmistake = "energy_for_power"\n', None),
    ('right = true\n[[parts.choices]]\ntext = "It falls."', 'when = "load > 0 * load"\n[[parts.choices]]\ntext = "It falls."\nwhen = "load > 2 * load"', None),
]  # fmt: skip


@pytest.mark.parametrize(("old", "new", "failure"), FAULTS, ids=[row[1][:45] for row in FAULTS])
def test_fault_is_found_and_told_with_its_place(old, new, failure):
    """A planted fault is found and told with question, seed, system and part; what only looks like one is none."""
    proof = prove(bank_with(old, new), seeds=range(2))
    if failure is None:
        assert () == proof.failures
    else:
        assert any(failure in sentence for sentence in proof.failures), proof.failures
        assert f"{len(proof.failures)} failures" in str(proof)


def test_wrongly_judged_mistake_is_found(monkeypatch):
    """A mistake that the verdict does not recognise, and a wrong choice that it takes for right, are failures of the proof."""
    blind = proof_module.check
    monkeypatch.setattr(proof_module, "check", lambda variant, text, part: blind(variant, text.replace("B", "A"), part))
    assert any("more: choice 'B' is judged: Right." in failure or "more: choice 'B' is judged: Not right." in failure for failure in prove(bank_with(), seeds=range(4)).failures)


def test_way_of_a_table_counts_in_any_cell():
    """A mistake of a state table is offered where any of its cells offers it."""
    name = "table-in-cooling"
    assert () == prove(Bank({name: BANK.question(name)}), seeds=range(3)).failures


@pytest.fixture(scope="module")
def sixteen():
    """Sixteen quick questions of every kind, twice as many as are worth a process."""
    kinds = ("number", "choice", "several", "order", "state", "truth", "table")
    quick = [question for question in BANK.questions.values() if not question.weather]
    chosen = {}
    for kind in kinds:
        for question in [question for question in quick if question.parts[0].kind == kind][:3]:
            chosen[question.id] = question
    return Bank(MappingProxyType(dict(list(chosen.items())[:18])))


def test_report_is_the_same_whatever_the_number_of_processes(sixteen):
    """Two processes report word for word what one reports, failures in the order of the bank too."""
    poor = {id: question for id, question in sixteen.questions.items()} | {f"poor-{number}": bank_with(*FAULTS[3][:2]).questions["example"] for number in range(2)}
    bank = Bank(poor)
    alone, shared = (prove(bank, seeds=range(1), systems=("SI",), workers=workers) for workers in (1, 2))
    assert alone == shared
    assert 2 == len(alone.failures) and alone.questions >= 2 * proof_module.WORTH_A_PROCESS


def test_proof_tells_how_far_it_is(sixteen):
    """Whoever listens is told after each question, in one process and in several."""
    for workers in (1, 2):
        told = []
        prove(sixteen, seeds=range(1), systems=("IP",), workers=workers, told=lambda done, of: told.append((done, of)))
        count = len(sixteen.questions)
        assert [(done, count) for done in range(1, count + 1)] == told


def test_few_questions_are_proved_at_once(monkeypatch):
    """A file that is being written is proved without starting other processes."""
    monkeypatch.setattr(proof_module, "ProcessPoolExecutor", None)
    assert () == prove(bank_with(), seeds=range(1), workers=8).failures


def test_what_fails_with_every_set_is_told_once():
    """Failures of one question that differ by the set of numbers alone are one sentence, which says how many more there are."""
    failures = ["mine, seed 0, SI: no", "mine, seed 1, SI: no", "mine, seed 1, IP: no", "mine, seed 2, SI: no", "mine: seldom"]
    assert ["mine, seed 0, SI: no (and in 2 more)", "mine, seed 1, IP: no", "mine: seldom"] == proof_module._together(failures)
