"""The pictures of a question in sentences, for whoever cannot see them, and the names in their legends.

What lives here: the chart that is asked, points, boiling points, air and circuit in words.  What does not: drawing (question_pictures).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from hpteach.circuit import Flow
from hpteach.cycle import Cycle
from hpteach.errors import HpteachError
from hpteach.fluids import MoistAir
from hpteach.questions import Variant
from hpteach.questions.air import AirAlone
from hpteach.questions.expressions import Expression
from hpteach.units import show
from hpteach.wording import flow_in_words

_ACROSS = {"pressure-enthalpy": ("enthalpy", "specific energy"), "temperature-entropy": ("entropy", "specific entropy")}


@dataclass(frozen=True)
class BoilingPoint:
    """A fluid that boils at a temperature (K, dew point) and a pressure (Pa absolute)."""

    fluid: str
    temperature: float
    pressure: float


_SHOWS = {
    "pressure-enthalpy": "absolute pressure (logarithmic) over specific enthalpy, with the dome and lines of constant temperature, entropy, volume and vapour share",
    "temperature-entropy": "temperature over specific entropy, with the dome, isobars and lines of constant vapour share",
    "pressure-temperature": "absolute pressure (logarithmic) over temperature where liquid and vapour stand together",
}
"""What each kind of chart shows."""


def asked_chart_in_words(variant: Variant) -> str:
    """What the chart of a question shows, without what is to be read from it."""
    asked = variant.chart
    points = f" Of the cycle on it the points {', '.join(asked.marked)} are named." if asked.cycle is not None else ""
    return f"{asked.kind.capitalize()} chart of {asked.refrigerant} with a fine grid: {_SHOWS[asked.kind]}.{points} The answer can be read from the picture alone."


def points_in_words(cycle: Cycle, kind: str, system: str, *, name: str = "") -> list[str]:
    """A sentence for each corner of a cycle: its state, and where it stands on a chart of a kind.

    >>> from hpteach.circuit import ValvePosition
    >>> from hpteach.cycle import Conditions, solve
    >>> from hpteach.fluids import refrigerant
    >>> cycle = solve(refrigerant("R-410A"), Conditions(ValvePosition.COOLING, "indoor coil", 280.15, 318.15, 5.0, 5.0, 0.7))
    >>> points_in_words(cycle, "pressure-enthalpy", "SI")[0]
    'Point 1, superheated vapour: 12.0 °C, 9.93 bar, 429.2 kJ/kg.'
    """
    attribute, of_kind = _ACROSS[kind]
    begin = f"{name[0].upper()}{name[1:]}, point" if name else "Point"
    found = []
    for label in "1234":
        point = cycle.point(label)
        numbers = ((point.temperature, "temperature"), (point.pressure, "pressure"), (getattr(point, attribute), of_kind))
        found.append(f"{begin} {label}, {point.phase}: {', '.join(show(value, of, system) for value, of in numbers)}.")
    return found


def names_to_compare(variant: Variant) -> tuple[str, str]:
    """What the question's cycle and the one to compare it with are called: by the one condition that differs, where there is one.

    >>> from hpteach.questions import deal, read_bank
    >>> names_to_compare(deal(read_bank().question("predict-perfect-compressor"), 1))[1]
    'efficiency 1.000'
    """
    (key, *more), system = sorted(variant.question.compare), variant.system
    pair = (variant.cycle, variant.other) if variant.weather is None else (variant.weather, variant.other_weather)

    def both(named: str, kind: str, value) -> tuple[str, str]:  # noqa: ANN001
        return tuple(f"{named} {show(value(one), kind, system)}".strip() for one in pair)

    if not more and variant.weather is not None:
        if key in ("outdoor_temperature", "indoor_temperature"):
            return both("outdoors" if key.startswith("outdoor") else "indoors", "temperature", lambda one: getattr(one, key.partition("_")[0]).dry_bulb)
        if key in ("indoor_air_share", "outdoor_air_share"):
            coil = "indoor_coil" if key.startswith("indoor") else "outdoor_coil"
            return both("air flow", "air flow", lambda one: getattr(one, coil).air_flow)
    elif not more:
        if key in ("refrigerant", "valve_position"):
            return tuple(one.refrigerant if key == "refrigerant" else one.conditions.valve_position.value for one in pair)
        if key in ("suction_pressure", "discharge_pressure"):
            return both("suction" if key.startswith("suction") else "discharge", "pressure", lambda one: one.point(1 if key.startswith("suction") else 2).pressure)
        if key in _CONDITIONS:
            return both(*_CONDITIONS[key], lambda one: getattr(one.conditions, key))
    return "first", "second"


_CONDITIONS = {
    "saturated_suction_temperature": ("evaporating", "temperature"),
    "saturated_condensing_temperature": ("condensing", "temperature"),
    "superheat": ("superheat", "temperature difference"),
    "subcooling": ("subcooling", "temperature difference"),
    "isentropic_efficiency": ("efficiency", "ratio"),
}
"""Conditions of a cycle by which two can be told apart, each with a short name and its kind."""


def boiling_points(variant: Variant) -> list[BoilingPoint]:
    """What a question about boiling points speaks of: the low side, and the high side where it is stated with a drawn number or asked for.

    >>> from hpteach.questions import deal, read_bank
    >>> [point.fluid for point in boiling_points(deal(read_bank().question("boiling-from-gauge"), 1))][1:]
    ['R-22']
    """
    scenario = variant.question.scenario
    asked = any(part.answer is not None and "p2" in part.answer.names for part in variant.question.parts)
    high = asked or any(isinstance(scenario.get(key), Expression) for key in ("saturated_condensing_temperature", "discharge_pressure"))
    found = []
    for cycle in (variant.cycle, variant.other):
        if cycle is not None:
            found.append(BoilingPoint(cycle.refrigerant, cycle.conditions.saturated_suction_temperature, cycle.point(1).pressure))
            if high:
                found.append(BoilingPoint(cycle.refrigerant, cycle.conditions.saturated_condensing_temperature, cycle.point(2).pressure))
    return list(dict.fromkeys(found))


def boiling_in_words(variant: Variant, points: Sequence[BoilingPoint]) -> list[str]:
    """Boiling points in sentences, with what a gauge shows."""
    system = variant.system
    return [
        f"{point.fluid} boils at {show(point.temperature, 'temperature', system)} (dew point) where its absolute pressure is {show(point.pressure, 'pressure', system)}; "
        f"a gauge then shows {show(point.pressure, 'gauge pressure', system, atmosphere=variant.atmosphere)}."
        for point in points
    ]


def air_in_words(stated: AirAlone, leaving: MoistAir | None, other: MoistAir | None, system: str) -> list[str]:
    """The air of a question in sentences."""
    found = [_air("The air before the coil" if leaving is not None else "The air", stated.entering, system)]
    if stated.surface_temperature is not None:
        found.append(f"The surface of the coil is at {show(stated.surface_temperature, 'temperature', system)}.")
    if leaving is not None:
        found.append(_air("The air behind it", leaving, system))
    if other is not None:
        found.append(_air("The other air", other, system))
    return found


def _air(name: str, air: MoistAir, system: str) -> str:
    said = f"{name}: {show(air.dry_bulb, 'temperature', system)}, {show(air.humidity_ratio, 'humidity ratio', system)} of water"
    try:
        return f"{said}, dew point {show(air.dew_point, 'temperature', system)}."
    except HpteachError:
        return f"{said}."


def circuit_in_words(flow: Flow) -> list[str]:
    """The path and what each part does on it."""
    way = ", ".join(step.component for step in flow.path)
    return [*flow_in_words(flow), *([f"The way of the refrigerant: {way}."] if flow.path else [])]
