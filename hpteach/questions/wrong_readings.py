"""Wrong ways of reading: gauges and the air, temperature scales, thousands and signs, tons.

What lives here: those ways, with their corrections.  What does not: the circuit and its flow (wrong_circuits), the cycle on it (wrong_cycles).

1 ton of refrigeration is 12000 Btu/h, 3516.85 W (NIST Special Publication 811, from memory, not seen here).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from hpteach import units
from hpteach.questions.scenarios import KINDS_OF, OTHER, Given, Setting, Situation, Source
from hpteach.questions.ways import AIR, CIRCUIT, CYCLE, WEATHER, Stated, Way, asked, drawn_changed, not_asked, turned_in_settings
from hpteach.questions.weather import Weather
from hpteach.units import STANDARD_ATMOSPHERE

_KELVIN = 273.15
_TON = 3516.85
_PRESSURES = ("pressure", "gauge pressure")
_TEMPERATURES = ("saturated_suction_temperature", "saturated_condensing_temperature", "suction_line_temperature", "liquid_line_temperature")

_SHIFT = {"SI": _KELVIN, "IP": 32.0 / 1.8}
"""K by which a difference shifts when it is converted as if it were a temperature: from °C to
K, and (32 °F) from °C to °F."""

_ABSOLUTE_ZERO = {"SI": _KELVIN, "IP": 459.67 / 1.8}
"""K between absolute zero and the zero of the scale that a system shows."""


# Gauges and the air ----------------------------------------------------------------------


def gauge_read_as_absolute(situation: Situation, system: str) -> Situation:
    """p = reading, in place of p = reading + air pressure."""
    drawn = dict(situation.drawn)
    if situation.air:
        drawn[situation.air] = Given("pressure", 0.0)
    return replace(situation, drawn=drawn, atmosphere=0.0)


def absolute_read_as_gauge(situation: Situation, system: str) -> Situation:
    """p = printed p + air pressure, in place of p as printed."""

    def raised(given: Given | None) -> Given | None:
        return Given("pressure", given.value + situation.atmosphere) if given and given.kind == "pressure" else given

    drawn = {name: given if name == situation.air else raised(given) for name, given in situation.drawn.items()}

    def of_setting(setting: Setting) -> Setting:
        return replace(setting, suction_pressure=raised(setting.suction_pressure), discharge_pressure=raised(setting.discharge_pressure))

    return turned_in_settings(replace(situation, drawn=drawn), of_setting)


def _pressures_of(found: Mapping[str, float], source: Source, sign: float) -> dict[str, float]:
    if not isinstance(source, Weather):
        return {}
    return {name: value + sign * source.outdoor.pressure for name, value in found.items() if KINDS_OF.get(name) == "pressure"}


def sea_level_taken_at_altitude(situation: Situation, system: str) -> Situation:
    """p = reading + 101.325 kPa, in place of p = reading + pressure of the air at that place."""
    drawn = dict(situation.drawn)
    if situation.air:
        drawn[situation.air] = Given("pressure", STANDARD_ATMOSPHERE)
    return replace(situation, drawn=drawn, atmosphere=STANDARD_ATMOSPHERE)


def _has_pressures(stated: Stated, quantity: str) -> str:
    if stated.tables & {CYCLE, WEATHER} or stated.kinds & set(_PRESSURES):
        return ""
    return "it is about a pressure, and the question states none"


def _has_altitude(stated: Stated, quantity: str) -> str:
    if stated.tables & {AIR, WEATHER}:
        return "it is about a gauge, and the air of a coil is no gauge reading"
    return "" if stated.keys & {"altitude", "atmosphere"} else "the question states neither altitude nor atmosphere, so that it stands at sea level"


# Scales of temperature -------------------------------------------------------------------


def temperature_for_difference(value: float, system: str, quantity: str) -> float:
    """Difference + 273.15 K (from °C to K), or difference + 32 °F (from °C to °F)."""
    return value + _SHIFT[system]


def difference_with_32_subtracted(value: float, system: str, quantity: str) -> float:
    """(Difference in °F - 32) / 1.8, in place of difference in °F / 1.8."""
    return value - _SHIFT["IP"]


def fahrenheit_read_as_celsius(value: float, system: str, quantity: str) -> float:
    """The number in °F, with °C behind it: t °F read as t °C; of a difference, d °F read as d K."""
    return 1.8 * value if quantity == "temperature difference" else 1.8 * (value - _KELVIN) + 32.0 + _KELVIN


def celsius_read_as_fahrenheit(value: float, system: str, quantity: str) -> float:
    """The number in °C, with °F behind it: t °C read as t °F; of a difference, d K read as d °F."""
    return value / 1.8 if quantity == "temperature difference" else (value - _KELVIN - 32.0) / 1.8 + _KELVIN


def temperature_on_the_wrong_scale(situation: Situation, system: str) -> Situation:
    """Every stated temperature is looked up on the other scale: t °C at t °F, or (IP) t °F at t °C."""
    change = {"SI": celsius_read_as_fahrenheit, "IP": fahrenheit_read_as_celsius}[system]

    def other(kelvins: float) -> float:
        return change(kelvins, system, "temperature")

    def of_setting(setting: Setting) -> Setting:
        stated = {key: getattr(setting, key) for key in _TEMPERATURES}
        return replace(setting, **{key: other(value) for key, value in stated.items() if value is not None})

    return turned_in_settings(drawn_changed(situation, ("temperature",), other), of_setting)


def celsius_for_kelvin(quantities: Mapping[str, float], situation: Situation, system: str) -> dict[str, float]:
    """T - 273.15 K (in IP T - 459.67 °R) in the place of every temperature; differences stay as they are."""
    drawn = {name for name, given in situation.drawn.items() if given.kind == "temperature"}
    return {
        name: value - _ABSOLUTE_ZERO[system]
        for name, value in quantities.items()
        if name in drawn or KINDS_OF.get(name.removeprefix(OTHER)) == "temperature"
    }


def _states_temperatures(stated: Stated, quantity: str) -> str:
    if stated.tables & {AIR, WEATHER}:
        return "the air would be another one altogether: use fahrenheit_read_as_celsius for the answer"
    return "" if CYCLE in stated.tables or "temperature" in stated.kinds else "it is about a stated temperature, and the question states none"


def _temperatures_in_a_ratio(stated: Stated, quantity: str) -> str:
    if quantity == "temperature":
        return "an answer in °C is no mistake where a temperature is asked"
    if CIRCUIT in stated.tables and "temperature" not in stated.kinds:
        return "a circuit alone has no temperatures"
    return not_asked(why="")(stated, quantity)


# Thousands, signs, tons ------------------------------------------------------------------


def sign_turned(value: float, system: str, quantity: str) -> float:
    """-x in place of x; of a temperature -t in place of t on the scale that the system shows."""
    if quantity != "temperature":
        return -value
    return units.base_number(-units.shown_number(value, quantity, system), quantity, system)


_NO_SIGN = ("pressure", "density", "specific volume", "relative humidity", "humidity ratio", "mass", "length", "thickness", "volume", "duration", "vacuum", "cylinder volume")
_NO_KILO = ("temperature", "temperature difference", "ratio", "relative humidity", "humidity ratio", "duration")

READINGS = (
    Way(
        "gauge_read_as_absolute",
        "A gauge counts from the pressure of the air around it. Add the air pressure before you use the reading as an absolute pressure.",
        "p = reading, in place of reading + air pressure",
        _has_pressures,
        situation=gauge_read_as_absolute,
        points=lambda found, source: _pressures_of(found, source, -1.0),
    ),
    Way(
        "absolute_read_as_gauge",
        "This pressure was already absolute: it counts from a vacuum. The air pressure must not be added to it once more.",
        "p = p + air pressure",
        _has_pressures,
        situation=absolute_read_as_gauge,
        points=lambda found, source: _pressures_of(found, source, 1.0),
    ),
    Way(
        "sea_level_taken_at_altitude",
        "You added the air pressure of sea level. Higher up the air presses less, and a gauge counts from the air at its own place.",
        "p = reading + 101.325 kPa, in place of reading + air pressure of the place",
        _has_altitude,
        situation=sea_level_taken_at_altitude,
    ),
    Way(
        "temperature_for_difference",
        "You converted a temperature difference as if it were a temperature. Only its size changes (1 K is 1.8 °F); nothing is added.",
        "difference + 273.15 K, or difference + 32 °F",
        asked("temperature difference"),
        answer=temperature_for_difference,
    ),
    Way(
        "difference_with_32_subtracted",
        "You took 32 away from a temperature difference. The 32 belongs to temperatures; a difference is only divided by 1.8.",
        "(difference in °F - 32) / 1.8",
        asked("temperature difference"),
        answer=difference_with_32_subtracted,
    ),
    Way(
        "fahrenheit_read_as_celsius",
        "Your number is right in degrees Fahrenheit, but the unit beside it is another. Convert it, or write °F.",
        "t in °F written as t °C; d °F written as d K",
        asked("temperature", "temperature difference"),
        answer=fahrenheit_read_as_celsius,
    ),
    Way(
        "celsius_read_as_fahrenheit",
        "Your number is right in degrees Celsius or kelvins, but the unit beside it is another. Convert it, or write the unit that it has.",
        "t in °C written as t °F; d K written as d °F",
        asked("temperature", "temperature difference"),
        answer=celsius_read_as_fahrenheit,
    ),
    Way(
        "temperature_on_the_wrong_scale",
        "You looked the temperature up on the other scale. Celsius and Fahrenheit stand side by side on many charts: look at the unit before you look for the number.",
        "t °C looked up at t °F, or t °F at t °C",
        _states_temperatures,
        situation=temperature_on_the_wrong_scale,
    ),
    Way(
        "celsius_for_kelvin",
        "You put degrees of the everyday scale into a ratio. A ratio of temperatures counts from absolute zero: add 273.15 to °C, or 459.67 to °F, first.",
        "T - 273.15 K in place of T (in IP T - 459.67 °R)",
        _temperatures_in_a_ratio,
        quantities=celsius_for_kelvin,
    ),
    Way(
        "thousand_times_too_large",
        "Your number is a thousand times too large. Look at the unit: kilo stands for a thousand, so that 1 kJ is 1000 J and 1 kW is 1000 W.",
        "1000 x, in place of x",
        not_asked(*_NO_KILO, why="its unit has no kilo in it"),
        answer=lambda value, system, quantity: 1000.0 * value,
    ),
    Way(
        "thousand_times_too_small",
        "Your number is a thousand times too small. Look at the unit: kilo stands for a thousand, so that 1000 J are 1 kJ and 1000 W are 1 kW.",
        "x / 1000, in place of x",
        not_asked(*_NO_KILO, why="its unit has no kilo in it"),
        answer=lambda value, system, quantity: value / 1000.0,
    ),
    Way(
        "sign_turned",
        "The size is right and the sign is turned. Ask first which of the two is the larger one, or on which side of zero it lies, and then subtract.",
        "-x, in place of x",
        not_asked(*_NO_SIGN, why="it is never below zero"),
        answer=sign_turned,
    ),
    Way(
        "ton_read_as_kilowatt",
        "Your number is right in tons of refrigeration, and you wrote it as kilowatts. One ton is 12 000 Btu/h, about 3.52 kW.",
        "x tons written as x kW",
        asked("power"),
        answer=lambda value, system, quantity: value / _TON * 1000.0,
    ),
    Way(
        "kilowatt_read_as_ton",
        "Your number is right in kilowatts, and you wrote it as tons of refrigeration. One ton is 12 000 Btu/h, about 3.52 kW.",
        "x kW written as x tons",
        asked("power"),
        answer=lambda value, system, quantity: value / 1000.0 * _TON,
    ),
)  # fmt: skip
"""The wrong ways of reading, each with its correction."""
