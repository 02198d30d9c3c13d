"""What a question states of a cycle: how each form is read, and what is refused."""

import pytest

from hpteach.errors import DataError
from hpteach.questions.conditions import completed, read_conditions
from hpteach.questions.draws import read_draw
from hpteach.questions.entries import Entry
from hpteach.questions.expressions import expression
from hpteach.questions.scenarios import Given

FILE = "start/example.toml"
DRAWS = {
    name: read_draw(Entry(FILE, f"draw.{name}", {"kind": kind, "choices": choices}))
    for name, kind, choices in (
        ("evaporating", "temperature", ["0 C", "5 C"]),
        ("fall", "temperature difference", ["4 K", "5 K"]),
        ("fluid", "name", ["R-32", "R-410A"]),
        ("odd_fluid", "name", ["R-32", "R-999"]),
        ("reading", "gauge pressure", ["8 bar g"]),
    )
}
GOOD = {
    "refrigerant": "fluid",
    "valve_position": "cooling",
    "saturated_suction_temperature": "evaporating",
    "discharge_pressure": "25 bar g",
    "superheat": "5 K",
}


def read(compared=False, **conditions):
    return read_conditions(Entry(FILE, "compare" if compared else "scenario", conditions), DRAWS, compared=compared)


def refusal(compared=False, **conditions):
    with pytest.raises(DataError) as caught:
        read(compared, **conditions)
    return str(caught.value)


@pytest.mark.parametrize(
    ("key", "text", "expected"),
    [
        ("refrigerant", "fluid", expression("fluid")), ("refrigerant", "R-290", "R-290"), ("valve_position", "heating", "heating"),
        ("metering_layout", "outdoor", "outdoor"), ("saturated_suction_temperature", "evaporating", expression("evaporating")),
        ("saturated_suction_temperature", "evaporating - fall", expression("evaporating - fall")),
        ("superheat", "2 * fall", expression("2 * fall")), ("superheat", "9 F", Given("temperature difference", 5.0)),
        ("isentropic_efficiency", "70 %", Given("ratio", 0.7)), ("altitude", "1600 m", Given("length", 1600.0)),
        ("atmosphere", "0.95 bar", Given("pressure", 95e3)),
    ],
)  # fmt: skip
def test_condition_is_a_drawn_name_an_expression_or_fixed(key, text, expected):
    """A condition is read as a drawn quantity, as an expression of drawn ones, or as a fixed quantity or name."""
    assert expected == read(**{**GOOD, key: text})[key]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("25 bar g", Given("gauge pressure", 25e5)), ("25 bar", Given("pressure", 25e5)), ("reading", expression("reading")),
        ("140 kPa", Given("pressure", 140e3)),
    ],
)  # fmt: skip
def test_pressure_keeps_where_it_counts_from(text, expected):
    """A stated pressure stays a gauge reading or an absolute pressure, so that the air of the question can be added later."""
    assert expected == read(**{**GOOD, "discharge_pressure": text})["discharge_pressure"]


def test_air_may_be_stated_without_a_cycle():
    """A question about gauges states the air's pressure alone."""
    assert {"atmosphere": Given("pressure", 95e3)} == read(atmosphere="0.95 bar")


# Each row: what is changed in a good scenario (None takes the key away) and what the refusal says.
REFUSALS = [
    ({"refrigerant": "odd_fluid"}, "scenario.refrigerant = 'R-999': allowed is a drawn name or a known one"),
    ({"refrigerant": "R-999"}, "scenario.refrigerant = 'R-999': allowed is a drawn name or a known one"),
    ({"refrigerant": "evaporating"}, "scenario.refrigerant = 'evaporating': allowed is a drawn name, and this one is a temperature"),
    ({"valve_position": "between"}, "scenario.valve_position = 'between': allowed is heating or cooling"),
    ({"valve_position": "up"}, "scenario.valve_position = 'up': allowed is a drawn name or a known one (valve position 'up'"),
    ({"valve_position": None}, "scenario.valve_position is missing: a cycle needs valve_position"),
    ({"discharge_pressure": None}, "scenario.saturated_condensing_temperature is missing: a cycle needs saturated_condensing_temperature or discharge_pressure"),
    ({"suction_pressure": "8 bar"}, "scenario.suction_pressure = '8 bar': allowed is saturated_suction_temperature or suction_pressure, not both"),
    ({"suction_line_temperature": "9 C"}, "scenario.suction_line_temperature = '9 C': allowed is superheat or suction_line_temperature, not both"),
    ({"atmosphere": "1 bar", "altitude": "9 m"}, "scenario.altitude = '9 m': allowed is atmosphere or altitude, not both"),
    ({"atmosphere": "reading"}, "scenario.atmosphere = 'reading': allowed is a drawn pressure, and this one is a gauge pressure"),
    ({"superheat": "5 bar"}, "scenario.superheat = '5 bar': allowed is a drawn name, an expression of drawn names, or a fixed temperature difference"),
    ({"superheat": "evaporating"}, "scenario.superheat = 'evaporating': allowed is a drawn temperature difference, and this one is a temperature"),
    ({"superheat": "fall + h1"}, "scenario.superheat = 'fall + h1': allowed is a drawn name"),
    ({"superheat": "2 * 3"}, "scenario.superheat = '2 * 3': allowed is a drawn name"),
    ({"discharge_pressure": "3 * reading"}, "scenario.discharge_pressure = '3 * reading': allowed is a drawn name"),
    ({"speed": "1"}, "scenario.speed = '1': allowed is only the keys refrigerant"),
]  # fmt: skip


@pytest.mark.parametrize(("change", "expected"), REFUSALS)
def test_wrong_condition_is_refused_by_name(change, expected):
    """A key or value that is not allowed, two keys that say the same, and a missing one are refused by name."""
    assert read(**GOOD)
    stated = {key: text for key, text in {**GOOD, **change}.items() if text is not None}
    assert refusal(**stated).startswith(f"start/example.toml: {expected}")


def test_compared_cycle_states_its_difference_only():
    """What is compared needs no whole cycle, and cannot have another air than the scenario."""
    assert {"superheat": Given("temperature difference", 10.0)} == read(compared=True, superheat="10 K")
    assert "compare.altitude = '9 m': allowed is no second air pressure: state it in [scenario]" in refusal(compared=True, altitude="9 m")


def test_compared_cycle_takes_everything_else_from_the_scenario():
    """A pressure of its own takes the place of the scenario's saturated temperature; all else stays."""
    scenario = read(**GOOD)
    other = completed(read(compared=True, suction_pressure="6 bar", superheat="10 K"), scenario)
    assert {
        "refrigerant": expression("fluid"),
        "valve_position": "cooling",
        "suction_pressure": Given("pressure", 6e5),
        "discharge_pressure": Given("gauge pressure", 25e5),
        "superheat": Given("temperature difference", 10.0),
    } == other
    assert read(**GOOD) == scenario
