"""The named wrong ways as a whole: what each says, where each has a meaning, what is offered of it.

What each comes to is worked out by hand in test_wrong_readings, test_wrong_circuits and test_wrong_cycles.
"""

import re

import pytest

from hpteach.circuit import ValvePosition
from hpteach.errors import DataError, UnknownNameError
from hpteach.questions import check, deal, read_bank
from hpteach.questions.bank import read_question
from hpteach.questions.expressions import expression, gaps
from hpteach.questions.mistakes import WAYS, way_called, why_not, wrong_answer, wrong_world
from hpteach.questions.paths import StatedCircuit
from hpteach.questions.scenarios import Printed, Setting, Situation, solve
from hpteach.questions.ways import Stated
from tests.example_question import head

SUPERHEATED = Setting("R-134a", ValvePosition.COOLING, saturated_suction_temperature=253.15, saturated_condensing_temperature=303.15, superheat=10.0)
SATURATED = Setting("R-134a", ValvePosition.COOLING, saturated_suction_temperature=253.15, saturated_condensing_temperature=303.15)

# Mistakes that a teacher expects to be foreseen, and the ways that stand for them.
EXPECTED = {
    "gauge read as absolute, and the reverse": ("gauge_read_as_absolute", "absolute_read_as_gauge"),
    "wrong atmosphere": ("sea_level_taken_at_altitude",),
    "bubble for dew, and dew for bubble": ("bubble_for_dew", "dew_for_bubble"),
    "coils swapped": ("coils_swapped",),
    "wrong valve position": ("wrong_valve_position",),
    "check valve ignored": ("check_valve_ignored", "stuck_part_ignored"),
    "temperature for difference": ("temperature_for_difference",),
    "difference with 32 subtracted": ("difference_with_32_subtracted",),
    "Fahrenheit for Celsius": ("fahrenheit_read_as_celsius", "celsius_read_as_fahrenheit", "temperature_on_the_wrong_scale"),
    "factor 1000": ("thousand_times_too_large", "thousand_times_too_small"),
    "sign": ("sign_turned",),
    "COP upside down": ("cop_upside_down",),
    "COP of the other mode": ("cop_of_the_other_mode",),
    "ideal for real compression": ("ideal_for_real_compression",),
    "efficiency multiplied instead of divided": ("efficiency_multiplied",),
    "saturated for superheated": ("saturated_for_superheated", "superheat_ignored"),
    "subcooling ignored": ("subcooling_ignored",),
    "evaporating and condensing swapped": ("evaporating_and_condensing_swapped",),
    "superheat added to the wrong line": ("superheat_on_the_wrong_line", "subcooling_on_the_wrong_line"),
    "per kilogram for per second": ("per_kilogram_for_per_second",),
    "ton and kilowatt": ("ton_read_as_kilowatt", "kilowatt_read_as_ton"),
    "mass flow and volume flow": ("mass_flow_for_volume_flow",),
    "wrong refrigerant's table": ("wrong_refrigerants_table",),
}


def test_ways_are_many_and_hold_what_is_expected():
    """There are at least 25 named ways, and among them are all that a teacher expects."""
    assert len(WAYS) >= 25
    assert set() == {way for ways in EXPECTED.values() for way in ways} - set(WAYS)


@pytest.mark.parametrize("way", WAYS.values(), ids=lambda way: way.id)
def test_way_says_what_it_changes_and_what_to_think(way):
    """A way changes something and says what, and its correction is two sentences at most, without gaps and without its formula."""
    changes = [way.situation, way.points, way.quantities, way.answer]
    assert any(changes) and not (way.answer and any(changes[:3]))
    assert re.fullmatch(r"[a-z0-9]+(_[a-z0-9]+)*", way.id) and len(way.changes) > 6
    assert re.fullmatch(r"[A-Z].{30,}\.", way.correction) and () == gaps(way.correction)
    assert len(re.findall(r"[.!?](?=\s|$)", way.correction)) <= 2


@pytest.mark.parametrize("way", WAYS.values(), ids=lambda way: way.id)
def test_formula_stands_beside_each_change(way):
    """The function of each way that has a name of its own says in its docstring what it makes of what."""
    for change in (way.situation, way.points, way.quantities, way.answer):
        if change and not change.__name__.startswith(("<", "_")):
            assert change.__doc__, way.id


def test_unknown_way_is_refused_with_the_nearest():
    """A way that is in no list is refused, and the nearest is offered."""
    with pytest.raises(UnknownNameError, match="did you mean coils_swapped"):
        way_called("coil_swapped")


def test_printed_quantity_stands_unless_the_thought_changes_it():
    """Who ignores superheat still uses the printed h4, and takes another h1 than the printed one."""
    situation = Situation(setting=SUPERHEATED)
    exact = solve(situation).quantities
    printed = {"h1": Printed(exact["h1"], exact["h1"] + 40.0), "h4": Printed(exact["h4"], exact["h4"] - 40.0)}
    assert pytest.approx(exact["q_e"] + 80.0) == solve(situation, printed).quantities["q_e"]
    saturated = solve(Situation(setting=SATURATED)).quantities
    assert pytest.approx(saturated["h1"] - exact["h4"] + 40.0) == wrong_answer("superheat_ignored", expression("q_e"), situation, printed)


def test_wrong_world_holds_what_such_a_one_would_tick():
    """A choice, an order or a state is answered from the world as the wrong thought has it."""
    found = wrong_world("wrong_valve_position", Situation(stated_circuit=StatedCircuit(ValvePosition.HEATING)), {})
    assert (1.0, "outdoor coil") == (found.quantities["cooling"], found.words["condenser"])


# way, what a question states, kind asked, what the reason says ("" where the way has a meaning)
CYCLE, CIRCUIT, WEATHER, AIR = (frozenset({table}) for table in ("cycle", "circuit", "weather", "air"))
NOWHERE = frozenset()
MEANINGS = [
    ("gauge_read_as_absolute", Stated(NOWHERE, kinds=frozenset({"gauge pressure"})), "pressure", ""),
    ("gauge_read_as_absolute", Stated(NOWHERE, kinds=frozenset({"temperature"})), "temperature", "the question states none"),
    ("sea_level_taken_at_altitude", Stated(NOWHERE, frozenset({"altitude"})), "pressure", ""),
    ("sea_level_taken_at_altitude", Stated(CYCLE), "pressure", "stands at sea level"),
    ("sea_level_taken_at_altitude", Stated(AIR, frozenset({"altitude"})), "temperature", "no gauge reading"),
    ("temperature_for_difference", Stated(CYCLE), "temperature", "asks for a temperature"),
    ("fahrenheit_read_as_celsius", Stated(NOWHERE), "pressure", "asks for a pressure"),
    ("temperature_on_the_wrong_scale", Stated(WEATHER), "power", "another one altogether"),
    ("temperature_on_the_wrong_scale", Stated(CIRCUIT), "", "the question states none"),
    ("celsius_for_kelvin", Stated(CYCLE), "ratio", ""),
    ("celsius_for_kelvin", Stated(CYCLE), "temperature", "no mistake where a temperature is asked"),
    ("celsius_for_kelvin", Stated(CIRCUIT), "ratio", "has no temperatures"),
    ("thousand_times_too_large", Stated(CYCLE), "ratio", "no kilo"),
    ("sign_turned", Stated(CYCLE), "pressure", "never below zero"),
    ("sign_turned", Stated(CYCLE), "", "this part asks for none"),
    ("ton_read_as_kilowatt", Stated(CYCLE), "specific energy", "asks for a specific energy"),
    ("coils_swapped", Stated(AIR), "power", "has to state cycle or circuit or weather"),
    ("wrong_valve_position", Stated(WEATHER), "power", "another one with its valve"),
    ("check_valve_ignored", Stated(CYCLE), "specific energy", "has to state circuit"),
    ("stuck_part_ignored", Stated(CIRCUIT), "", "the question states none"),
    ("stuck_part_ignored", Stated(CIRCUIT, frozenset({"stuck"})), "", ""),
    ("evaporating_and_condensing_swapped", Stated(CIRCUIT), "", "has to state cycle or weather"),
    ("subcooling_ignored", Stated(AIR), "power", "has to state cycle or weather"),
    ("dew_for_bubble", Stated(WEATHER), "temperature difference", "has to state cycle"),
    ("per_kilogram_for_per_second", Stated(CYCLE), "power", "the question states none"),
    ("per_kilogram_for_per_second", Stated(CYCLE, kinds=frozenset({"mass flow"})), "power", ""),
    ("mass_flow_for_volume_flow", Stated(NOWHERE), "volume flow", "the question states none"),
    ("cop_upside_down", Stated(NOWHERE), "ratio", ""),
    ("fans_left_out", Stated(CYCLE), "ratio", "has to state weather"),
    ("latent_left_out", Stated(AIR), "power", ""),
    ("cop_upside_down", Stated(NOWHERE), "", "this part asks for none"),
]  # fmt: skip


@pytest.mark.parametrize(("way", "stated", "quantity", "reason"), MEANINGS)
def test_way_has_a_meaning_only_where_it_can_be_gone(way, stated, quantity, reason):
    """Each way is meant for what it is about; where a question has nothing of that, the reason says what is missing."""
    found = why_not(way, stated, quantity)
    assert (reason in found) if reason else (found == "")


EXAMPLE = head("03", "1.02") + """
prompt = "It stands beside {refrigerant}."

[scenario]
refrigerant = "R-134a"
valve_position = "cooling"
saturated_suction_temperature = "-20 C"
saturated_condensing_temperature = "30 C"

[[parts]]
id = "work"
kind = "number"
text = "The work is"
quantity = "specific energy"
answer = "w"
tolerance = { relative = 0.01, reason = "reading the chart" }
hints = ["From 1 to 2."]
solution = "It is {answer}."
"""


def with_ways(*ways):
    return EXAMPLE + "".join(f'\n[[parts.mistakes]]\nway = "{way}"\n' for way in ways)


def test_way_that_changes_nothing_is_not_offered():
    """In a cycle that is ideal, saturated and of one pure refrigerant, none of the ways about these is offered for the work; others are."""
    idle = ("ideal_for_real_compression", "efficiency_multiplied", "subcooling_ignored", "superheat_ignored", "bubble_for_dew", "dew_for_bubble", "coils_swapped", "wrong_valve_position")
    variant = deal(read_question(with_ways(*idle, "sign_turned", "thousand_times_too_large", "wrong_refrigerants_table"), "start/example.toml"), 1)
    assert ("sign_turned", "thousand_times_too_large", "wrong_refrigerants_table") == tuple(mistake.id for mistake in variant.parts[0].mistakes)


@pytest.mark.parametrize(
    ("way", "reason"),
    [("cop_upside_down", "asks for a specific energy"), ("check_valve_ignored", "the question has to state circuit"), ("sea_level_taken_at_altitude", "it stands at sea level")],
)
def test_way_without_a_meaning_is_refused_when_the_file_is_read(way, reason):
    """A file that names a way with no meaning in its scenario is refused with file, key, value and the reason."""
    with pytest.raises(DataError) as caught:
        read_question(with_ways("sign_turned", way), "start/example.toml")
    assert str(caught.value).startswith(f"start/example.toml: parts[1].mistakes[2].way = {way!r}: allowed is a way that has a meaning here (")
    assert reason in str(caught.value)


# Wrong answers as learners have written them: question, seed, part, what was written, the thought behind it.
PLANTED = [
    ("read-a-gauge", 7, "absolute", "7,5 bar", "gauge_read_as_absolute"),
    ("when-the-high-pressure-switch-opens", 7, "temperature", "145 °C", "fahrenheit_read_as_celsius"),
    ("carbon-dioxide-at-rest", 7, "reading", "9.8 bar g", "wrong_refrigerants_table"),
    ("glide-at-a-pressure", 7, "glide", "278.3 K", "temperature_for_difference"),
    ("subcooling-against-the-record", 7, "subcooling", "−2 K", "sign_turned"),
    ("table-in-cooling", 7, "cooling_T1", "30.2 F", "superheat_subtracted"),
    ("table-in-cooling", 7, "cooling_p1", "16.4 bar", "value_of_another_point"),
    ("cooling-cop", 7, "effect", "27.3 Btu/lb", "work_for_effect"),
    ("cooling-cop", 7, "cop", "0,2", "cop_upside_down"),
    ("cooling-cop", 7, "cop", "6.0", "cop_of_the_other_mode"),
    ("real-work-from-efficiency", 7, "work", "15.6 kJ/kg", "efficiency_multiplied"),
    ("real-work-from-efficiency", 7, "work", "20.8 kJ/kg", "ideal_for_real_compression"),
    ("figures-of-a-data-sheet", 7, "capacity", "3 kW", "ton_read_as_kilowatt"),
    ("displacement-and-filling", 7, "capacity", "290 kW", "per_kilogram_for_per_second"),
    ("cop-on-a-cold-day", 7, "cop", "3.31", "fans_left_out"),
    ("predict-which-coil", 7, None, "the indoor coil", "coils_swapped"),
    ("order-the-circuit", 7, None, "4 2 5 3 1", "flow_taken_backwards"),
    ("order-the-circuit", 7, None, "14253", "coils_swapped"),
]  # fmt: skip


@pytest.mark.parametrize(("question", "seed", "part", "text", "thought"), PLANTED, ids=[f"{row[0]}: {row[3]}" for row in PLANTED])
def test_planted_wrong_answer_is_known_for_its_thought(question, seed, part, text, thought):
    """A wrong answer is judged wrong, and the thought that led to it is named and corrected."""
    verdict = check(deal(read_bank().question(question), seed), text, part)
    assert (True, False, thought) == (verdict.readable, verdict.correct, verdict.mistake)
    assert thought == verdict.notes[0].id and len(verdict.notes[0].sentence) > 20
