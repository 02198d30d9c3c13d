"""Wrong ways through the circuit: coils and sides exchanged, the valve or a check valve misjudged.

The hand calculations use the printed values of the ASHRAE Handbook - Fundamentals, chapter Thermodynamics
and Refrigeration Cycles, Example 3 (R-134a, -20/30 C; tests/reference/03_cycle_examples.csv, from memory):
p1 132.73 kPa, p2 770.2 kPa, h1 386.55, h2 423.07, h3 241.72 kJ/kg.
"""

import pytest

from hpteach.circuit import MeteringLayout, ValvePosition
from hpteach.fluids import moist_air
from hpteach.questions.expressions import expression
from hpteach.questions.mistakes import wrong_answer, wrong_world
from hpteach.questions.paths import StatedCircuit, flags, flow_of
from hpteach.questions.scenarios import Setting, Situation, solve
from hpteach.questions.weather import Weather
from hpteach.questions.wrong_circuits import CIRCUITS

P1, P2, H1, H2, H3 = 132.73e3, 770.2e3, 386.55e3, 423.07e3, 241.72e3
COOLING = Situation(setting=Setting("R-134a", ValvePosition.COOLING, saturated_suction_temperature=253.15, saturated_condensing_temperature=303.15))
MILD = Situation(around=Weather("R-32", ValvePosition.HEATING, moist_air(280.15, relative_humidity=0.87), moist_air(293.15, relative_humidity=0.5)))

# way, expression, right by hand, wrong by hand
CYCLES = [
    ("coils_swapped", "q_indoor", H1 - H3, H2 - H3),
    ("coils_swapped", "q_outdoor", H2 - H3, H1 - H3),
    ("wrong_valve_position", "q_indoor", H1 - H3, H2 - H3),
    ("evaporating_and_condensing_swapped", "pressure_ratio", P2 / P1, P1 / P2),
    ("evaporating_and_condensing_swapped", "p4", P1, P2),
    ("evaporating_and_condensing_swapped", "saturated_condensing_temperature", 303.15, 253.15),
    ("evaporating_and_condensing_swapped", "q_c", H2 - H3, H1 - H3),
]


@pytest.mark.parametrize(("way", "text", "right", "wrong"), CYCLES)
def test_way_leads_where_the_hand_calculation_leads(way, text, right, wrong):
    """Coils and sides exchanged give the wrong number of the handbook's values, to 0.05 %."""
    assert right == pytest.approx(expression(text).number(solve(COOLING).quantities), rel=5e-4)
    assert wrong == pytest.approx(wrong_answer(way, expression(text), COOLING, {}), rel=5e-4)


@pytest.mark.parametrize(
    ("text", "by_hand"),
    [("capacity", "outdoor_heat"), ("outdoor_temperature", "indoor_temperature"), ("indoor_leaving_temperature", "outdoor_leaving_temperature"), ("q_indoor", "q_outdoor"), ("cop", "cop")],
)
def test_places_of_a_machine_in_weather_change_over(text, by_hand):
    """Indoors and outdoors change places in a machine in weather: its heat, its coils and their air."""
    right = solve(MILD).quantities
    assert pytest.approx(right[by_hand]) == wrong_answer("coils_swapped", expression(text), MILD, {})


STUCK = "indoor check valve=open"
"""In heating it stands open anyway; in cooling it takes the work from the indoor device."""

# way, circuit, what then differs from the truth: flag and what such a one thinks (by hand, from the drawing of the circuit)
STANDING = [
    ("coils_swapped", StatedCircuit(ValvePosition.COOLING), {"condenser_indoors": 1.0, "condenser_outdoors": 0.0}),
    (
        "wrong_valve_position",
        StatedCircuit(ValvePosition.COOLING, MeteringLayout.INDOOR),
        {"heating": 1.0, "cooling": 0.0, "condenser_indoors": 1.0, "condenser_outdoors": 0.0, "vapour_line_hot": 1.0, "vapour_line_cool": 0.0, "outdoor_pipe_hot": 0.0,
         "outdoor_pipe_cool": 1.0, "liquid_towards_indoors": 0.0, "liquid_towards_outdoors": 1.0, "liquid_line_liquid": 0.0, "liquid_line_mixture": 1.0},
    ),
    (
        "check_valve_ignored",
        StatedCircuit(ValvePosition.COOLING),
        {"indoor_device_meters": 0.0, "outdoor_device_meters": 1.0, "outdoor_check_open": 0.0, "liquid_line_liquid": 0.0, "liquid_line_mixture": 1.0},
    ),
    (
        "check_valve_ignored",
        StatedCircuit(ValvePosition.HEATING),
        {"indoor_device_meters": 1.0, "outdoor_device_meters": 0.0, "indoor_check_open": 0.0, "liquid_line_liquid": 0.0, "liquid_line_mixture": 1.0},
    ),
    (
        "stuck_part_ignored",
        StatedCircuit(ValvePosition.COOLING, stuck=STUCK),
        {"indoor_device_meters": 1.0, "nothing_meters": 0.0, "indoor_check_open": 0.0, "condenser_outdoors": 1.0, "liquid_line_liquid": 1.0, "vapour_line_cool": 1.0, "outdoor_pipe_hot": 1.0},
    ),
]  # fmt: skip


@pytest.mark.parametrize(("way", "stands", "thought"), STANDING, ids=[f"{row[0]}, {row[1].valve_position.value}" for row in STANDING])
def test_way_through_a_circuit_alone_changes_what_it_says(way, stands, thought):
    """In a circuit alone a wrong way changes just the flags that the drawing changes for someone who goes it."""
    right = flags(flow_of(stands))
    wrong = wrong_world(way, Situation(stated_circuit=stands), {}).quantities
    assert thought == {name: value for name, value in wrong.items() if name in right and right[name] != value}


def test_other_position_changes_words_and_path():
    """Who takes the valve to be in its other position follows the whole path of that position."""
    found = wrong_world("wrong_valve_position", Situation(stated_circuit=StatedCircuit(ValvePosition.COOLING)), {})
    assert ("indoor coil", "heating") == (found.words["condenser"], found.words["valve_position"])
    assert flow_of(StatedCircuit(ValvePosition.HEATING)).path == found.flow.path


# way, circuit: where the wrong thought changes nothing
CHANGES_NOTHING = [
    ("check_valve_ignored", StatedCircuit(ValvePosition.COOLING, MeteringLayout.OUTDOOR)),
    ("stuck_part_ignored", StatedCircuit(ValvePosition.COOLING)),
    ("wrong_valve_position", StatedCircuit(ValvePosition.BETWEEN)),
    ("coils_swapped", StatedCircuit(ValvePosition.BETWEEN)),
    ("evaporating_and_condensing_swapped", StatedCircuit(ValvePosition.COOLING)),
]


@pytest.mark.parametrize(("way", "stands"), CHANGES_NOTHING)
def test_way_changes_nothing_where_there_is_nothing_to_mistake(way, stands):
    """Without check valves none is forgotten, and between its seats the valve has no other position."""
    assert solve(Situation(stated_circuit=stands)).quantities == wrong_world(way, Situation(stated_circuit=stands), {}).quantities


def test_every_way_is_checked():
    """No way is without a hand calculation or a drawing above, and a place where it changes nothing."""
    ids = {way.id for way in CIRCUITS}
    assert ids == {row[0] for row in CYCLES + STANDING} == {row[0] for row in CHANGES_NOTHING}
