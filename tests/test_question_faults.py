"""Faulty machines in questions: the keys of a file, the names of signs and readings, and that the questions of lesson 14 hold."""

from __future__ import annotations

import pytest

from hpteach import units
from hpteach.circuit import ValvePosition
from hpteach.errors import DataError, InputError, LimitError
from hpteach.fluids import moist_air, refrigerant
from hpteach.machine import demo_machine
from hpteach.machine.faults import KINDS, fault, operate_with
from hpteach.machine.readings import READINGS, read as read_machine
from hpteach.machine.signs import COMPARED
from hpteach.questions import deal, read_bank
from hpteach.questions.air_conditions import completed_air, read_air_conditions, weather_of
from hpteach.questions.draws import read_draw
from hpteach.questions.entries import Entry
from hpteach.questions.fault_conditions import QUANTITIES, TEXTS, FaultWeather
from hpteach.questions.scenarios import KINDS_OF, Situation, solve
from hpteach.questions.stating import situation_of
from hpteach.questions.variants import _drawn
from hpteach.questions.weather import QUANTITIES as OF_THE_WEATHER
from hpteach.questions.weather import Weather

BANK = read_bank()
COOLING, HEATING = ValvePosition.COOLING, ValvePosition.HEATING
HOT, ROOM = moist_air(308.15, relative_humidity=0.4), moist_air(299.15, relative_humidity=0.5)
MILD, WARM = moist_air(280.15, relative_humidity=0.8), moist_air(293.15, relative_humidity=0.45)
FILE = "faults/mine.toml"
WEATHER = {
    "machine": "R-32", "valve_position": "cooling", "outdoor_temperature": "35 C", "outdoor_humidity": "40 %", "indoor_temperature": "26 C", "indoor_humidity": "50 %",
}  # fmt: skip
DRAWS = {
    "hidden": read_draw(Entry(FILE, "draw.hidden", {"kind": "name", "choices": ["undercharge", "overcharge"]})),
    "gone": read_draw(Entry(FILE, "draw.gone", {"kind": "name", "choices": ["undercharge", "gremlins"]})),
    "much": read_draw(Entry(FILE, "draw.much", {"kind": "ratio", "choices": ["0.2", "0.3"]})),
}
FAULT_QUESTIONS = [question for question in BANK.questions.values() if question.topic == "faults"]


def read(compared: bool = False, **more: str) -> dict:
    """The conditions of a [weather], or of a [compare] beside it."""
    return read_air_conditions(Entry(FILE, "weather", more if compared else WEATHER | more), DRAWS, "weather", compared=compared)


def wrong(id: str, size: float | None = None, position: ValvePosition = COOLING) -> FaultWeather:
    """The bench unit for R-32 with a fault."""
    return FaultWeather("R-32", position, *((HOT, ROOM) if position is COOLING else (MILD, WARM)), fault=id, fault_size=size)


# What a file states -------------------------------------------------------------------------


def test_a_fault_is_stated_by_its_id_and_size() -> None:
    """Drawn or fixed, both reach the machine; without a size it is the usual one, without a fault it is plain weather."""
    conditions = read(fault="hidden", fault_size="much")
    assert ("hidden", "much") == (conditions["fault"].text, conditions["fault_size"].text)
    stated = dict(machine="R-32", valve_position="cooling", outdoor_temperature=308.15, outdoor_humidity=0.4, indoor_temperature=299.15, indoor_humidity=0.5)
    assert fault("undercharge", 0.3) == weather_of({**stated, "fault": "undercharge", "fault_size": 0.3}, 101325.0).amiss
    assert KINDS["undercharge"].size == weather_of({**stated, "fault": "undercharge"}, 101325.0).amiss.size
    assert Weather is type(weather_of(stated, 101325.0))


@pytest.mark.parametrize(
    ("more", "said"),
    [
        ({"fault": "gremlins"}, "gremlins"),
        ({"fault": "gone"}, "gremlins"),
        ({"fault_size": "0.3"}, "no such key without a fault"),
        ({"fault": "undercharge", "fault_size": "30 K"}, "a fixed ratio"),
        ({"fault": "undercharge", "defrost": "clock"}, "no such key beside defrost"),
    ],
)
def test_what_does_not_belong_together_is_refused(more: dict, said: str) -> None:
    """The refusal names the file, the key and what is allowed."""
    with pytest.raises(DataError, match=said):
        read(**more)


def test_a_fault_that_does_not_show_is_refused() -> None:
    """A check valve that leaks where it is open anyway; and a size beyond its range."""
    with pytest.raises(InputError, match="does not show when heating is called for"):
        wrong("indoor_check_valve_leaking", position=HEATING)
    with pytest.raises(LimitError, match="use"):
        wrong("undercharge", 0.9)
    assert wrong("valve_stuck_heating").words()["valve_position"] == "heating"


def test_the_compared_weather_takes_another_fault() -> None:
    """A [compare] with a fault keeps all else of the weather."""
    both = completed_air(read(True, fault="overcharge"), read(fault="hidden", fault_size="much"), "weather")
    assert ("overcharge", "much", "R-32") == (both["fault"], both["fault_size"].text, both["machine"])


# The names ----------------------------------------------------------------------------------


@pytest.mark.parametrize("id", ["overcharge", "wrong_wiring", "outdoor_fan_failed"])
def test_every_name_has_a_value_and_a_kind(id: str) -> None:
    """What is found, also with the valve turned and at the moment when a switch opens, is what the list names."""
    one = wrong(id)
    found = one.found()
    assert set(QUANTITIES) == set(found) | set(one.derived(found)) and set(TEXTS) < set(one.words())
    assert set(OF_THE_WEATHER) < set(QUANTITIES) <= set(KINDS_OF)


def test_the_names_are_those_of_both_machines() -> None:
    """Signs and readings are those of the faulty machine, and behind healthy_ those without the fault."""
    found = solve(Situation(around=wrong("outdoor_coil_dirty", 0.5))).quantities
    sound, dirty = (operate_with(demo_machine("R-32"), COOLING, HOT, ROOM, faults) for faults in ((), [fault("outdoor_coil_dirty", 0.5)]))
    expected = {
        "healthy_capacity": sound.capacity, "capacity": dirty.capacity, "healthy_compressor_power": sound.compressor_power, "compressor_power": dirty.compressor_power,
        "suction_pressure": dirty.cycle.point("1").pressure, "healthy_discharge_pressure": sound.cycle.point("2").pressure, "superheat": dirty.superheat,
        "condensing_split": dirty.saturated_condensing_temperature - 308.15, "evaporating_split": 299.15 - dirty.saturated_suction_temperature,
        "reading_liquid_line": read_machine(dirty)["liquid_line"], "healthy_reading_outdoor_leaving_air": read_machine(sound)["outdoor_leaving_air"],
        "stopped": 0.0,
    }  # fmt: skip
    assert expected == pytest.approx({name: found[name] for name in expected}, rel=1e-9)


def test_the_ways_are_up_same_and_down() -> None:
    """A dirty outdoor coil: discharge pressure up, subcooling the same, capacity down."""
    found = wrong("outdoor_coil_dirty", 0.5).found()
    assert (1.0, 0.0, -1.0) == tuple(found[f"{name}_way"] for name in ("discharge_pressure", "subcooling", "capacity"))
    assert len(COMPARED) == len([name for name in found if name.endswith("_way")])
    assert len(READINGS) == len([name for name in found if name.startswith("reading_")])


def test_a_machine_that_stops_is_told() -> None:
    """A failed outdoor fan in cooling opens the high-pressure switch, and the question can say so."""
    one = wrong("outdoor_fan_failed")
    assert (1.0, "high-pressure switch") == (one.found()["stopped"], one.words()["stopped_by"])
    assert "nothing" == wrong("undercharge").words()["stopped_by"]


def test_a_variant_brings_the_fault_to_a_panel() -> None:
    """The healthy machine in its weather, and the fault with its size; without a fault there is none."""
    variant = deal(BANK.question("predict-dirty-outdoor-coil"), 1)
    assert "outdoor_coil_dirty" == variant.fault.kind.id and 0.6 <= variant.fault.size <= 0.7
    assert variant.weather.machine == demo_machine(variant.weather.machine.refrigerant) and COOLING is variant.weather.valve_position
    assert deal(BANK.question("predict-supply-air-when-colder"), 1).fault is None


# The questions ------------------------------------------------------------------------------


def test_the_lesson_has_questions_enough() -> None:
    """At least eight, two of them predictions, and at least two foreseen mistakes in each."""
    assert len(FAULT_QUESTIONS) >= 8 and len([one for one in FAULT_QUESTIONS if one.id.startswith("predict-")]) >= 2
    for question in FAULT_QUESTIONS:
        assert "14" == question.lesson
        for seed in range(4):
            assert all(len({mistake.id for mistake in part.mistakes}) >= 2 for part in deal(question, seed).parts)


@pytest.mark.parametrize("question", FAULT_QUESTIONS, ids=lambda question: question.id)
def test_no_machine_of_a_question_has_stopped(question) -> None:  # noqa: ANN001
    """The prompts speak of machines that run, so in no dealt set a switch has opened."""
    for seed in range(12):
        situation = situation_of(question, _drawn(question, seed, 0, "SI"))
        for one in (situation.around, situation.other_around):
            assert one is None or one.run.stopped_by is None


@pytest.mark.parametrize(
    ("id", "answers"),
    [
        (
            "too-little-or-too-narrow",
            {"undercharge": "refrigerant is missing", "overcharge": "there is too much refrigerant", "liquid_line_restricted": "the liquid line is restricted",
             "indoor_metering_stuck_open": "the metering device is stuck open"},
        ),
        ("too-full-or-too-dirty", {"overcharge": "there is too much refrigerant", "outdoor_coil_dirty": "less air passes the outdoor coil", "compressor_worn": "the compressor is worn"}),
        (
            "worn-or-leaking-across",
            {"compressor_worn": "the compressor's valves are worn", "spool_leak": "the reversing valve leaks across its spool",
             "indoor_metering_stuck_open": "the indoor metering device is stuck open"},
        ),
    ],
)  # fmt: skip
@pytest.mark.parametrize("system", ["SI", "IP"])
def test_the_readings_lead_to_the_hidden_fault(id: str, answers: dict[str, str], system: str) -> None:
    """In every set the answer that follows from the printed readings is the fault that was put in, and all of them are dealt."""
    dealt = set()
    for seed in range(30):
        variant = deal(BANK.question(id), seed, system)
        assert answers[variant.fault.kind.id] == variant.parts[0].answer
        dealt.add(variant.fault.kind.id)
    assert set(answers) == dealt


@pytest.mark.parametrize(("filling", "celsius"), [("R-32", 16.0), ("R-410A", 20.0)])
def test_foreign_gas_at_rest_is_what_the_chart_does_not_explain(filling: str, celsius: float) -> None:
    """By hand: gauge and air pressure, less the saturation pressure at the temperature of the workshop."""
    chart = refrigerant(filling).dew_pressure(273.15 + celsius)
    found = [
        variant
        for variant in (deal(BANK.question("foreign-gas-at-rest"), seed) for seed in range(60))
        if f"filled with {filling}" in variant.prompt and f"at {celsius:.0f} °C" in variant.prompt
    ]
    assert found
    for variant in found:
        gauge = units.read(variant.prompt.split("gauges show ")[1].split(". The")[0], "gauge pressure")
        assert gauge + 101325.0 - chart == pytest.approx(variant.parts[0].answer, abs=2e3)
        assert variant.parts[0].answer > 0.5e5


@pytest.mark.parametrize("seed", range(6))
def test_dirt_costs_more_than_power_or_time_alone(seed: int) -> None:
    """The extra electricity is that of more power and of longer running, multiplied."""
    variant = deal(BANK.question("what-dirt-costs"), seed)
    power, time = (next(mistake.value for mistake in variant.parts[0].mistakes if mistake.id == id) for id in ("longer_running_left_out", "more_power_left_out"))
    assert (1.0 + power) * (1.0 + time) - 1.0 == pytest.approx(variant.parts[0].answer, rel=1e-9)
    assert 0.0 < min(power, time)
