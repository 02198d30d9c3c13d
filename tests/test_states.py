"""The state at a place: read off the path of the flow, answered by letter or in words, and what a wrong state tells of a thought.

That the vapour line carries hot gas in heating and cool vapour in cooling, and that a single metering device far from the boiling
coil makes the liquid line carry a mixture, follows from the walk alone (tests/test_circuit.py); nothing is looked up here.
"""

import pytest

from hpteach.circuit import MeteringLayout, ValvePosition
from hpteach.errors import CircuitError, DataError, InputError
from hpteach.questions import check, deal
from hpteach.questions.paths import StatedCircuit, flow_of
from hpteach.questions.states import STATES, read_state, state_at
from tests.kinds_of_part import STATE, circuit, cycle, dealt, question

HOT, CONDENSING, LIQUID = "superheated vapour at high pressure", "mixture of liquid and vapour at high pressure", "subcooled liquid at high pressure"
COOL, BOILING, NOWHERE = "superheated vapour at low pressure", "mixture of liquid and vapour at low pressure", "subcooled liquid at low pressure"


def flow(position, layout="each-coil", held="nothing"):
    return flow_of(StatedCircuit(ValvePosition(position), MeteringLayout(layout), held))


def asked(place, *, state=STATE):
    return state.replace("{place}", place)


# The state at a place ----------------------------------------------------------------------------

PLACES = [
    # place, layout, in heating, in cooling
    ("vapour line", "each-coil", HOT, COOL),
    ("outdoor pipe", "each-coil", COOL, HOT),
    ("suction line", "each-coil", COOL, COOL),
    ("discharge line", "each-coil", HOT, HOT),
    ("compressor, suction", "each-coil", COOL, COOL),
    ("compressor, outlet", "each-coil", HOT, HOT),
    ("liquid line", "each-coil", LIQUID, LIQUID),
    ("liquid line", "outdoor", LIQUID, BOILING),
    ("liquid line", "indoor", BOILING, LIQUID),
    ("indoor coil", "each-coil", CONDENSING, BOILING),
    ("outdoor coil", "each-coil", BOILING, CONDENSING),
    ("indoor coil, vapour side", "each-coil", HOT, COOL),
    ("indoor coil, liquid side", "each-coil", LIQUID, BOILING),
    ("outdoor coil, inlet", "each-coil", BOILING, HOT),
    ("reversing valve, suction", "each-coil", COOL, COOL),
    ("reversing valve, indoor coil", "each-coil", HOT, COOL),
    ("outdoor coil, outlet", "each-coil", COOL, LIQUID),
]


@pytest.mark.parametrize(("place", "layout", "heating", "cooling"), PLACES)
def test_state_follows_from_the_path(place, layout, heating, cooling):
    """Places stay and roles move: the same place has one state in heating and one in cooling."""
    assert (heating, cooling) == tuple(str(state_at(flow(position, layout), place)) for position in ("heating", "cooling"))


@pytest.mark.parametrize("position", ["heating", "cooling"])
def test_metering_device_has_a_state_at_each_side(position):
    """Liquid enters the device that meters, a mixture leaves it; the open check valve passes liquid."""
    device, check_valve = {"heating": ("outdoor metering device", "indoor check valve"), "cooling": ("indoor metering device", "outdoor check valve")}[position]
    assert (LIQUID, BOILING) == tuple(str(state_at(flow(position), f"{device}, {side}")) for side in ("inlet", "outlet"))
    assert LIQUID == str(state_at(flow(position), check_valve))


@pytest.mark.parametrize(
    ("place", "position", "held", "sentence"),
    [
        ("outdoor metering device", "heating", "nothing", "has no one state on this path: name another place, or say which side of it"),
        ("compressor", "heating", "nothing", "has no one state"), ("reversing valve", "cooling", "nothing", "has no one state"),
        ("reversing valve, inlet", "cooling", "nothing", "has no one state"),
        ("indoor metering device, inlet", "heating", "nothing", "has no one state"), ("boiler", "heating", "nothing", "the boiler has no one state"),
        ("liquid line", "between", "nothing", "cannot be told with this flow: The spool stands between its seats"),
        ("liquid line", "cooling", "indoor check valve=open", "cannot be told with this flow"),
    ],
)  # fmt: skip
def test_place_without_one_state_is_refused(place, position, held, sentence):
    """Where two states meet, where the path does not come, and where nothing condenses, no state is named."""
    with pytest.raises(CircuitError) as refusal:
        state_at(flow(position, held=held), place)
    assert sentence in str(refusal.value)


# Dealing and judging -----------------------------------------------------------------------------


@pytest.mark.parametrize("made", [circuit, cycle])
def test_six_states_are_listed_in_one_order(made):
    """The choices are the six states, the two sides one after the other, with a cycle and without."""
    part = dealt(made("cooling"), asked("{condenser}")).parts[0]
    assert (HOT, CONDENSING, LIQUID, COOL, BOILING, NOWHERE) == part.choices == tuple(map(str, STATES))
    assert ("state", CONDENSING, "It is mixture of liquid and vapour at high pressure.") == (part.kind, part.answer, part.solution)


WRONG = [
    # place, position, answered, mistake
    ("vapour line", "heating", COOL, "coils_swapped"), ("vapour line", "cooling", HOT, "coils_swapped"),
    ("{condenser}, outlet", "cooling", BOILING, "state_of_another_place"),
    ("outdoor coil", "cooling", BOILING, "coils_swapped"), ("outdoor coil", "cooling", HOT, "phase_confused"),
    ("liquid line", "heating", CONDENSING, "phase_confused"),
    ("liquid line", "heating", NOWHERE, "flash_gas_ignored"), ("liquid line", "heating", BOILING, "state_of_another_place"),
    ("suction line", "cooling", HOT, "pressure_side_confused"),
    ("discharge line", "heating", COOL, "pressure_side_confused"), ("suction line", "heating", NOWHERE, "flash_gas_ignored"),
    ("suction line", "heating", LIQUID, "state_of_another_place"),
    ("{working_device}, outlet", "heating", LIQUID, "state_of_another_place"), ("{working_device}, outlet", "cooling", CONDENSING, "pressure_side_confused"),
]  # fmt: skip


@pytest.mark.parametrize(("place", "position", "answered", "mistake"), WRONG)
def test_wrong_state_tells_the_thought(place, position, answered, mistake):
    """The other valve position, the other pressure, the other phase and a state of elsewhere are told apart."""
    variant = dealt(circuit(position), asked(place))
    verdict = check(variant, answered)
    assert (True, False, mistake) == (verdict.readable, verdict.correct, verdict.mistake)
    assert verdict.notes[0].sentence.endswith((".", "asked."))


@pytest.mark.parametrize("position", ["heating", "cooling"])
@pytest.mark.parametrize("place", ["vapour line", "liquid line", "outdoor coil, liquid side", "{evaporator}"])
def test_every_wrong_state_has_a_sentence(place, position):
    """Five of the six states are wrong, each with a mistake of its own value."""
    part = dealt(circuit(position), asked(place)).parts[0]
    assert set(part.choices) == {part.answer, *(mistake.value for mistake in part.mistakes)}
    assert 5 == len(part.mistakes)


def test_named_way_goes_before_the_general_mistake():
    """Who takes the check valve for nothing finds a mixture in the liquid line; the file may say so."""
    way = '\n[[parts.mistakes]]\nway = "check_valve_ignored"\n'
    variant = dealt(circuit("cooling"), asked("liquid line") + way)
    assert "check_valve_ignored" == check(variant, "mixture, low pressure").mistake
    assert "state_of_another_place" == check(dealt(circuit("cooling"), asked("liquid line")), "mixture, low pressure").mistake


@pytest.mark.parametrize(("place", "conditions"), [("liquid line", {"subcooling": "0 K"}), ("suction line", {"superheat": "0 K"})])
def test_saturated_state_is_never_asked_for(place, conditions):
    """A cycle whose liquid or vapour is only just saturated has none of the six states there, and is not dealt."""
    with pytest.raises(DataError, match="at point [13] the refrigerant is saturated (liquid|vapour), not s"):
        dealt(cycle("cooling", **conditions), asked(place))


def test_wet_discharge_is_no_hot_gas():
    """R-1234yf that is compressed perfectly from its dew point leaves the compressor wet, so the discharge line has none of the six states."""
    wet = cycle("cooling", superheat="0 K").replace('"0.7"', '"1"')
    assert HOT == dealt(wet, asked("discharge line")).parts[0].answer
    with pytest.raises(DataError, match="at point 2 the refrigerant is mixture of liquid and vapour, not superheated vapour"):
        dealt(wet.replace("R-410A", "R-1234yf"), asked("discharge line"))


def test_draws_go_on_until_the_place_has_a_state():
    """A drawn layout in which the named device is bypassed is drawn again."""
    draw = '[draw.position]\nkind = "name"\nchoices = ["heating", "cooling"]\n'
    asked_of = question(draw, '[scenario]\nvalve_position = "position"\n', asked("indoor metering device, inlet"), prompt="{position}")
    assert {("cooling", LIQUID)} == {(variant.prompt, variant.parts[0].answer) for variant in (deal(asked_of, seed) for seed in range(8))}


# Reading -------------------------------------------------------------------------------------------

WORDS = [
    (HOT, ["A", "a)", "1", "hot gas", "discharge gas", "superheated vapour at high pressure", "High pressure superheated vapor", "superheated vapour, high pressure", "high-pressure gas",
           "vapour, high side", "hot vapour at high pressure", "HP vapour", "superheated high", "gas under high pressure", "A) superheated vapour at high pressure"]),
    (CONDENSING, ["B", "mixture at high pressure", "liquid and vapour at high pressure", "high pressure mixture of liquid and gas", "two-phase, high pressure", "wet vapour, high pressure"]),
    (LIQUID, ["C", "liquid at high pressure", "high pressure liquid", "subcooled liquid, high pressure", "sub-cooled liquid (high pressure)", "warm liquid at high pressure", "liquid high"]),
    (COOL, ["D", "suction gas", "low pressure vapour", "cool vapour at low pressure", "super-heated vapour low pressure", "it is superheated vapour on the low side"]),
    (BOILING, ["E", "mixture, low pressure", "low-pressure liquid/vapour mixture", "liquid mixed with vapour, at low pressure", "a mixture of vapour and liquid at low pressure"]),
    (NOWHERE, ["F", "liquid at low pressure", "subcooled liquid at low pressure", "cold liquid, low pressure"]),
]  # fmt: skip


@pytest.mark.parametrize(("state", "text"), [(state, text) for state, texts in WORDS for text in texts])
def test_state_is_read_by_letter_or_in_words(state, text):
    """A letter, a place, the words of the list, or phase and pressure in any order name a state."""
    assert state == read_state(text)


@pytest.mark.parametrize(
    "text",
    ["", "G", "7", "liquid", "high pressure", "vapour", "saturated vapour at low pressure", "saturated liquid, high pressure", "high and low pressure liquid", "not liquid, high pressure",
     "liquid or vapour at high pressure", "water at high pressure", "high pressure high", "hot", "ab", "x" * 101, "<b>hot gas</b>", "\N{THUMBS UP SIGN}", None],
)  # fmt: skip
def test_words_that_name_no_one_state_are_refused(text):
    """Half a state, two of one, or a word of no state is sent back, and costs no try."""
    with pytest.raises(InputError):
        read_state(text)
    verdict = check(dealt(circuit(), asked("vapour line")), text)
    assert (False, None, "unreadable") == (verdict.readable, verdict.correct, verdict.notes[0].id)


# The file --------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("texts", "sentence"),
    [
        (['[scenario]\natmosphere = "1 bar"\n', asked("vapour line")], "parts[1].place = 'vapour line': allowed is a place only beside a [scenario] that states the position of the valve"),
        ([circuit(), asked("{boiler}")], "parts[1].place = '{boiler}': allowed is a gap that is one of"),
        ([circuit(), asked("x").replace('place = "x"\n', "")], "parts[1].place is missing"),
        ([circuit(), asked("vapour line") + '\n[[parts.mistakes]]\nid = "a"\nvalue = "heating"\ncorrection = "b"\n'], "allowed is a way (a named one) in a part that is no number"),
        ([circuit(), asked("boiler")], "none of 20 draws of seed 1 can be solved; the last one: the boiler has no one state"),
    ],
)  # fmt: skip
def test_wrong_file_is_refused(texts, sentence):
    """A wrong place or key is refused with what is allowed."""
    with pytest.raises(DataError) as refusal:
        dealt(*texts)
    assert sentence in str(refusal.value)
