"""Named wrong ways of solving a question, each with the sentence that corrects the thought.

What lives here: `WAYS`, applied to the whole situation of a question (its conditions,
its pressures), to the solved quantities, or to the finished answer.
What does not: mistakes of a single question, which its file states as expressions.

A way's id is permanent: results of different questions and variants are counted together
by it.  A way that changes nothing in a question is no mistake there and is not offered.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

from hpteach.circuit import ValvePosition
from hpteach.errors import LimitError, UnknownNameError
from hpteach.questions.expressions import Expression
from hpteach.questions.scenarios import OTHER, Given, Printed, Situation, solve


@dataclass(frozen=True)
class Way:
    """One wrong way: its id, the correction, and what it changes (exactly one of the three)."""

    id: str
    correction: str
    situation: Callable[[Situation], Situation] | None = None
    quantities: Callable[[Mapping[str, float]], Mapping[str, float]] | None = None
    answer: Callable[[float, str], float] | None = None


def wrong_answer(way: str, right: Expression, situation: Situation, printed: Mapping[str, Printed], system: str = "SI") -> float:
    """What `right`, the expression of the answer, comes to for someone who goes this way (SI).

    Raises `UnknownNameError` for a way that is not known, and any refusal of `scenarios.solve`
    where the wrong thought leads to a cycle that cannot be.

    >>> from hpteach.questions.expressions import expression
    >>> gauge = Situation(drawn={"reading": Given("gauge pressure", 800e3)})
    >>> wrong_answer("gauge_read_as_absolute", expression("reading + atmosphere"), gauge, {})
    800000.0
    """
    found = way_called(way)
    thought = found.situation(situation) if found.situation else situation
    quantities = solve(thought, printed).quantities
    if found.quantities:
        quantities = {**quantities, **found.quantities(quantities)}
    value = right.number(quantities)
    return found.answer(value, system) if found.answer else value


def way_called(name: str) -> Way:
    """The way called `name`; raises `UnknownNameError` with the nearest names.

    >>> way_called("coils_swapped").id
    'coils_swapped'
    """
    if name not in WAYS:
        raise UnknownNameError.among("way of going wrong", name, WAYS)
    return WAYS[name]


def _gauge_read_as_absolute(situation: Situation) -> Situation:
    drawn = dict(situation.drawn)
    if situation.air:
        drawn[situation.air] = Given("pressure", 0.0)
    return replace(situation, drawn=drawn, atmosphere=0.0)


def _absolute_read_as_gauge(situation: Situation) -> Situation:
    def raised(given: Given | None) -> Given | None:
        return Given("pressure", given.value + situation.atmosphere) if given and given.kind == "pressure" else given

    drawn = {name: given if name == situation.air else raised(given) for name, given in situation.drawn.items()}
    settings = {
        place: setting
        and replace(setting, suction_pressure=raised(setting.suction_pressure), discharge_pressure=raised(setting.discharge_pressure))
        for place, setting in (("setting", situation.setting), ("other", situation.other))
    }
    return replace(situation, drawn=drawn, **settings)


def _coils_swapped(situation: Situation) -> Situation:
    turned = {ValvePosition.HEATING: ValvePosition.COOLING, ValvePosition.COOLING: ValvePosition.HEATING}
    settings = {
        place: setting and replace(setting, valve_position=turned.get(setting.valve_position, setting.valve_position))
        for place, setting in (("setting", situation.setting), ("other", situation.other))
    }
    return replace(situation, **settings)


def _other_mode(quantities: Mapping[str, float]) -> Mapping[str, float]:
    turned = {"cop_cooling": "cop_heating", "cop_heating": "cop_cooling"}
    return {
        prefix + name: quantities[prefix + other]
        for prefix in ("", OTHER)
        for name, other in turned.items()
        if prefix + other in quantities
    }


def _upside_down(value: float, system: str) -> float:
    if value == 0.0:
        raise LimitError("a ratio of 0 cannot be turned upside down: check the answer's expression")
    return 1.0 / value


_ZERO_OF_SCALE = {"SI": 273.15, "IP": 32.0 / 1.8}
"""K by which a difference shifts when it is converted as if it were a temperature: from °C to
K, and (32 °F) from °C to °F."""


def _as_temperature(value: float, system: str) -> float:
    return value + _ZERO_OF_SCALE[system]


def _less_32(value: float, system: str) -> float:
    return value - _ZERO_OF_SCALE["IP"]


WAYS: Mapping[str, Way] = {
    way.id: way
    for way in (
        Way(
            "gauge_read_as_absolute",
            "A gauge counts from the pressure of the air around it. Add the air pressure before you use the reading as an absolute pressure.",
            situation=_gauge_read_as_absolute,
        ),
        Way(
            "absolute_read_as_gauge",
            "This pressure was already absolute: it counts from a vacuum. The air pressure must not be added to it once more.",
            situation=_absolute_read_as_gauge,
        ),
        Way(
            "coils_swapped",
            "The coils changed places in your thought. Follow the discharge gas through the reversing valve: "
            "the coil it meets first is the condenser.",
            situation=_coils_swapped,
        ),
        Way(
            "ideal_for_real_compression",
            "That is the work of an ideal compressor. A real one needs more: divide the ideal work by the isentropic efficiency.",
            situation=lambda situation: situation.with_settings(isentropic_efficiency=1.0),
        ),
        Way(
            "efficiency_multiplied",
            "You multiplied by the isentropic efficiency, which makes the work smaller than ideal. "
            "A real compressor needs more than the ideal one: divide.",
            situation=lambda situation: situation.with_settings(compression="multiplied"),
        ),
        Way(
            "subcooling_ignored",
            "You took the liquid as saturated. Subcooling moves point 3, and with it point 4, to a lower enthalpy.",
            situation=lambda situation: situation.with_settings(subcooling=0.0, liquid_line_temperature=None),
        ),
        Way(
            "superheat_ignored",
            "You took the suction vapour as saturated. Superheat moves point 1 to the right of the dome, to a higher enthalpy.",
            situation=lambda situation: situation.with_settings(superheat=0.0, suction_line_temperature=None),
        ),
        Way(
            "bubble_for_dew",
            "You read the bubble column. The saturated suction and condensing temperatures, and superheat, count from the dew column.",
            situation=lambda situation: situation.with_settings(saturation="bubble"),
        ),
        Way(
            "cop_of_the_other_mode",
            "That is the COP of the other mode. In heating the useful heat is what the condenser gives off; "
            "in cooling it is what the evaporator takes up.",
            quantities=_other_mode,
        ),
        Way(
            "cop_upside_down",
            "The fraction is upside down. COP is the useful heat divided by the work you pay for.",
            answer=_upside_down,
        ),
        Way(
            "temperature_for_difference",
            "You converted a temperature difference as if it were a temperature. Only its size changes (1 K is 1.8 °F); nothing is added.",
            answer=_as_temperature,
        ),
        Way(
            "difference_with_32_subtracted",
            "You took 32 away from a temperature difference. The 32 belongs to temperatures; a difference is only divided by 1.8.",
            answer=_less_32,
        ),
    )
}  # fmt: skip
