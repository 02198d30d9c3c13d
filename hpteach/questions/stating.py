"""From drawn numbers to a situation: what a question states, with its numbers put in.

What lives here: `situation_of`.  What does not: drawing and printing (variants), reading the file (bank), solving (scenarios).
"""

from __future__ import annotations

from collections.abc import Mapping

from hpteach import units
from hpteach.circuit import MeteringLayout, ValvePosition
from hpteach.questions.air import AirAlone
from hpteach.questions.air_conditions import air_alone, completed_air, weather_of
from hpteach.questions.bank import Question
from hpteach.questions.conditions import OF_THE_AIR, OF_THE_CIRCUIT, Condition, completed
from hpteach.questions.expressions import Expression
from hpteach.questions.paths import stated_circuit
from hpteach.questions.scenarios import Given, Setting, Situation
from hpteach.questions.weather import Weather


def situation_of(question: Question, drawn: Mapping[str, str]) -> Situation:
    """The situation that a question states with its drawn texts put in.

    Raises the refusals of `moist_air` where drawn air cannot be.
    """
    kinds = {name: draw.kind for name, draw in question.draws.items()}
    given = {name: Given(kinds[name], units.read(text, kinds[name])) for name, text in drawn.items() if kinds[name] != "name"}
    stated = {key: _stated(condition, given, drawn) for key, condition in question.scenario.items()}
    air = next((question.scenario[key] for key in OF_THE_AIR if key in stated), None)
    atmosphere = units.STANDARD_ATMOSPHERE
    if "atmosphere" in stated:
        atmosphere = stated["atmosphere"].value
    elif "altitude" in stated:
        atmosphere = units.atmosphere_at(stated["altitude"].value)
    compared = {}
    if question.compare and question.has_cycle:
        compared = {key: _stated(condition, given, drawn) for key, condition in completed(question.compare, question.scenario).items()}
    around, other_around = _around(question, given, drawn, atmosphere)
    return Situation(
        drawn=given,
        atmosphere=atmosphere,
        air=air.text if isinstance(air, Expression) and kinds.get(air.text) == "pressure" else None,
        setting=_setting(stated) if question.has_cycle else None,
        other=_setting(compared) if compared else None,
        stated_circuit=stated_circuit({key: value for key, value in stated.items() if key in OF_THE_CIRCUIT}) if question.has_circuit_alone else None,
        around=around,
        other_around=other_around,
    )


def _around(
    question: Question, given: Mapping[str, Given], drawn: Mapping[str, str], atmosphere: float
) -> tuple[AirAlone | Weather | None, AirAlone | Weather | None]:
    """The air or the weather that a question states, and the one to compare with."""
    table = "air" if question.air else "weather"
    conditions = question.air or question.weather
    made = {"air": air_alone, "weather": weather_of}[table]

    def put_in(conditions: Mapping[str, Condition]) -> AirAlone | Weather:
        found = {key: _stated(condition, given, drawn) for key, condition in conditions.items()}
        return made({key: value if isinstance(value, str) else value.value for key, value in found.items()}, atmosphere)

    if not conditions:
        return None, None
    return put_in(conditions), put_in(completed_air(question.compare, conditions, table)) if question.compare else None


def _stated(condition: Condition, given: Mapping[str, Given], drawn: Mapping[str, str]) -> Given | str:
    if not isinstance(condition, Expression):
        return condition
    if condition.text in given:
        return given[condition.text]
    if condition.text in drawn:
        return drawn[condition.text]
    return Given("", condition.number({name: quantity.value for name, quantity in given.items()}))


def _setting(stated: Mapping[str, Given | str]) -> Setting:
    """Conditions in SI, as `scenarios` solves them; pressures keep saying where they count from."""
    plain = {
        key: value if key.endswith("_pressure") or isinstance(value, str) else value.value
        for key, value in stated.items()
        if key not in OF_THE_AIR
    }
    plain["valve_position"] = ValvePosition.named(plain["valve_position"])
    if "metering_layout" in plain:
        plain["metering_layout"] = MeteringLayout.named(plain["metering_layout"])
    return Setting(**plain)
