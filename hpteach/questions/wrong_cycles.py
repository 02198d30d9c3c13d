"""Wrong ways of solving the cycle: its tables, its points, its work and heat; air and a machine in weather too.

What lives here: those ways, with their corrections.  What does not: reading numbers (wrong_readings), following the circuit (wrong_circuits).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace

from hpteach import units
from hpteach.errors import LimitError
from hpteach.fluids import Refrigerant, refrigerant
from hpteach.questions.air import FLOWING, AirAlone
from hpteach.questions.scenarios import OTHER, Setting, Situation, Source
from hpteach.questions.ways import AIR, CYCLE, WEATHER, Stated, Way, asked, drawn_changed, turned_in_settings, where
from hpteach.questions.weather import Weather, machine_called

Found = Mapping[str, float]


def _settings(**changes: object) -> Callable[[Situation, str], Situation]:
    return lambda situation, system: situation.with_settings(**changes)


def _in_weather(change: Callable[[Found, Refrigerant], Found]) -> Callable[[Found, Source], Found]:
    """A change of the points of a machine in weather; a stated cycle changes by its conditions."""
    return lambda found, source: change(found, refrigerant(_filling(source))) if isinstance(source, Weather) else {}


def _filling(source: Source) -> str:
    return source.refrigerant if isinstance(source, Setting) else machine_called(source.machine).refrigerant


# The compressor ----------------------------------------------------------------------------


def ideal_compression(found: Found, fluid: Refrigerant) -> Found:
    """h2 = h2s; electrical power = power * efficiency, as the ideal one."""
    power = found["compressor_power"] * found["isentropic_efficiency"]
    return {"h2": found["h2s"], "T2": found["T2s"], "s2": found["s1"], "isentropic_efficiency": 1.0, "compressor_power": power}


def efficiency_multiplied(found: Found, fluid: Refrigerant) -> Found:
    """h2 = h1 + (h2s - h1) * efficiency; electrical power = ideal power * efficiency."""
    efficiency = found["isentropic_efficiency"]
    discharge = fluid.state_ph(found["p2"], found["h1"] + (found["h2s"] - found["h1"]) * efficiency)
    return {
        "h2": discharge.enthalpy, "T2": discharge.temperature, "s2": discharge.entropy,
        "isentropic_efficiency": 1.0 / efficiency, "compressor_power": found["compressor_power"] * efficiency**2,
    }  # fmt: skip


def discharge_taken_as_saturated(found: Found, source: Source) -> Found:
    """Point 2 on the dew line: h2 = h2a, T2 = T2a, s2 = s2a."""
    if isinstance(source, AirAlone):
        return {}
    changed = {letter + "2": found[letter + "2a"] for letter in "hTs" if letter + "2a" in found}
    return changed | ({"discharge_temperature": found["T2a"]} if "discharge_temperature" in found and "T2a" in found else {})


# Superheat and subcooling --------------------------------------------------------------------


def superheat_left_out(found: Found, fluid: Refrigerant) -> Found:
    """Point 1 on the dew line of its pressure."""
    state = fluid.saturated_vapour(found["p1"])
    return {"h1": state.enthalpy, "T1": state.temperature, "s1": state.entropy, "v1": 1.0 / state.density, "suction_density": state.density, "superheat": 0.0}


def subcooling_left_out(found: Found, fluid: Refrigerant) -> Found:
    """Point 3 on the bubble line of its pressure, and point 4 with its enthalpy."""
    liquid = fluid.saturated_liquid(found["p3"])
    metered = fluid.state_ph(found["p4"], liquid.enthalpy)
    return {
        "h3": liquid.enthalpy, "T3": liquid.temperature, "s3": liquid.entropy, "h4": metered.enthalpy, "T4": metered.temperature,
        "s4": metered.entropy, "x4": metered.quality, "subcooling": 0.0,
    }  # fmt: skip


def superheat_on_the_wrong_line(found: Found, source: Source) -> Found:
    """T1 = condensing temperature + superheat; superheat = T1 - condensing temperature."""
    if isinstance(source, AirAlone):
        return {}
    condensing = found["saturated_condensing_temperature"]
    return {"T1": condensing + found["superheat"], "superheat": found["T1"] - condensing}


def subcooling_on_the_wrong_line(found: Found, source: Source) -> Found:
    """T3 = evaporating temperature - subcooling; subcooling = evaporating temperature - T3."""
    if isinstance(source, AirAlone):
        return {}
    evaporating = found["saturated_suction_temperature"]
    return {"T3": evaporating - found["subcooling"], "subcooling": evaporating - found["T3"]}


def superheat_subtracted(found: Found, source: Source) -> Found:
    """T1 = evaporating temperature - superheat, that is T1 - 2 superheat."""
    return {} if isinstance(source, AirAlone) else {"T1": found["T1"] - 2.0 * found["superheat"]}


def subcooling_added(found: Found, source: Source) -> Found:
    """T3 = bubble temperature + subcooling, that is T3 + 2 subcooling."""
    return {} if isinstance(source, AirAlone) else {"T3": found["T3"] + 2.0 * found["subcooling"]}


# Tables --------------------------------------------------------------------------------------

TABLES: Mapping[str, str] = {"R-410A": "R-22", "R-22": "R-410A", "R-32": "R-410A", "R-290": "R-22", "R-1234yf": "R-134a", "R-513A": "R-134a", "R-744": "R-410A"}
"""From which table somebody reads who does not look at its name: an older one, or the commonest; for any other R-410A, or R-22 for R-134a."""


def _taken_for(name: str) -> str:
    return TABLES.get(name, "R-22" if name == "R-134a" else "R-410A")


def another_table(situation: Situation, system: str) -> Situation:
    """The same pressures, temperatures and differences with the table of another refrigerant (TABLES)."""
    return turned_in_settings(situation, lambda setting: replace(setting, refrigerant=_taken_for(setting.refrigerant)))


def another_table_in_weather(found: Found, fluid: Refrigerant) -> Found:
    """Saturated temperatures at the pressures p1 and p2, and p3, by another table; superheat = T1 - that one, subcooling = that one - T3."""
    other = refrigerant(_taken_for(fluid.name))
    low, high, bubble = other.dew_temperature(found["p1"]), other.dew_temperature(found["p2"]), other.bubble_temperature(found["p3"])
    return {
        "saturated_suction_temperature": low, "saturated_condensing_temperature": high,
        "superheat": found["T1"] - low, "subcooling": bubble - found["T3"],
    }  # fmt: skip


# Flow, heat and their ratios -----------------------------------------------------------------


def _one(kind: str, system: str) -> float:
    unit = {"SI": {"mass flow": "1 kg/s", "density": "1 kg/m3", "specific volume": "1 m3/kg"}, "IP": {"mass flow": "1 lb/h", "density": "1 lb/ft3", "specific volume": "1 ft3/lb"}}
    return units.read(unit[system][kind], kind)


def mass_flow_left_out(situation: Situation, system: str) -> Situation:
    """m = 1 kg/s (1 lb/h) in place of every drawn mass flow."""
    return drawn_changed(situation, ("mass flow",), lambda flow: _one("mass flow", system))


def heat_of_each_kilogram(quantities: Found, situation: Situation, system: str) -> Found:
    """Heat and power / mass flow * 1 kg/s (1 lb/h), of air that passes a coil and of a machine in weather."""
    one, found = _one("mass flow", system), {}
    for prefix in ("", OTHER):
        flow = quantities.get(prefix + "mass_flow") or quantities.get(prefix + "dry_air_flow")
        if flow and situation.around:
            for name in ("mass_flow", "capacity", "outdoor_heat", "suction_flow", "compressor_power") if prefix + "mass_flow" in quantities else FLOWING:
                if prefix + name in quantities and name != "sensible_heat_ratio":
                    found[prefix + name] = quantities[prefix + name] / flow * one
    return found


def volume_left_out(situation: Situation, system: str) -> Situation:
    """v = 1 m3/kg (1 ft3/lb) and density = 1 kg/m3 (1 lb/ft3) in place of every drawn one."""
    for kind in ("density", "specific volume"):
        situation = drawn_changed(situation, (kind,), lambda value, kind=kind: _one(kind, system))
    return situation


def volume_of_one(quantities: Found, situation: Situation, system: str) -> Found:
    """v1 = 1 m3/kg (1 ft3/lb), density = 1 kg/m3 (1 lb/ft3), suction flow = mass flow * that v."""
    volume, found = _one("specific volume", system), {}
    for prefix in ("", OTHER):
        new = {"v1": volume, "suction_density": _one("density", system), "suction_flow": volume * quantities.get(prefix + "mass_flow", 0.0)}
        found |= {prefix + name: value for name, value in new.items() if prefix + name in quantities}
    return found


def other_mode(quantities: Found, situation: Situation, system: str) -> Found:
    """COP of heating for that of cooling and the reverse; of a machine in weather the outdoor coil's heat / power."""
    turned, found = {"cop_cooling": "cop_heating", "cop_heating": "cop_cooling"}, {}
    for prefix in ("", OTHER):
        found |= {prefix + name: quantities[prefix + other] for name, other in turned.items() if prefix + other in quantities}
        if prefix + "outdoor_heat" in quantities:
            found[prefix + "cop"] = quantities[prefix + "outdoor_heat"] / quantities[prefix + "power"]
    return found


def upside_down(value: float, system: str, quantity: str) -> float:
    """1 / x.  Raises `LimitError` for 0."""
    if value == 0.0:
        raise LimitError("a ratio of 0 cannot be turned upside down: check the answer's expression")
    return 1.0 / value


# Air and the machine in weather ----------------------------------------------------------------


def latent_left_out(found: Found, source: Source) -> Found:
    """Heat of the air = its sensible heat, and capacity = sensible capacity."""
    return {name: found["sensible"] for name in ("heat", "capacity") if name in found and "sensible" in found}


def fans_left_out(found: Found, source: Source) -> Found:
    """Power = that of the compressor alone."""
    return {"fans_power": 0.0} if isinstance(source, Weather) else {}


def wet_bulb_for_dry_bulb(found: Found, source: Source) -> Found:
    """Dry bulb = wet bulb, before and behind the coil, indoors and outdoors."""
    pairs = {"dry_bulb": "wet_bulb", "leaving_dry_bulb": "leaving_wet_bulb", "outdoor_temperature": "outdoor_wet_bulb", "indoor_temperature": "indoor_wet_bulb"}
    return {dry: found[wet] for dry, wet in pairs.items() if dry in found and wet in found}


def _has_a_flow(stated: Stated, quantity: str) -> str:
    if "mass flow" in stated.kinds or stated.tables & {AIR, WEATHER}:
        return ""
    return "it is about a mass flow, and the question states none"


def _has_a_volume(stated: Stated, quantity: str) -> str:
    if stated.tables & {CYCLE, WEATHER} or stated.kinds & {"density", "specific volume"}:
        return ""
    return "it is about the volume of the vapour, and the question states none"


_CYCLES = where(CYCLE, WEATHER, why="it is about the points of a cycle")
_STATED_CYCLES = where(CYCLE, why="it is about the column from which a stated cycle is read")
_IN_WEATHER = where(WEATHER, why="it is about a machine's fans")
_AIR = where(AIR, WEATHER, why="it is about air that passes a coil")

CYCLES = (
    Way(
        "ideal_for_real_compression",
        "That is the work of an ideal compressor. A real one needs more: divide the ideal work by the isentropic efficiency.",
        "h2 = h2s, efficiency 1",
        _CYCLES,
        situation=_settings(isentropic_efficiency=1.0),
        points=_in_weather(ideal_compression),
    ),
    Way(
        "efficiency_multiplied",
        "You multiplied by the isentropic efficiency, which makes the work smaller than ideal. "
        "A real compressor needs more than the ideal one: divide.",
        "w = (h2s - h1) * efficiency, in place of (h2s - h1) / efficiency",
        _CYCLES,
        situation=_settings(compression="multiplied"),
        points=_in_weather(efficiency_multiplied),
    ),
    Way(
        "saturated_for_superheated",
        "You took the discharge gas as saturated vapour at the head pressure. Compression heats it far beyond that: point 2 lies to the right of the dome.",
        "h2 = h of the dew line at p2, T2 = dew temperature at p2",
        _CYCLES,
        points=discharge_taken_as_saturated,
    ),
    Way(
        "subcooling_ignored",
        "You took the liquid as saturated. Subcooling moves point 3, and with it point 4, to a lower enthalpy.",
        "subcooling = 0",
        _CYCLES,
        situation=_settings(subcooling=0.0, liquid_line_temperature=None),
        points=_in_weather(subcooling_left_out),
    ),
    Way(
        "superheat_ignored",
        "You took the suction vapour as saturated. Superheat moves point 1 to the right of the dome, to a higher enthalpy.",
        "superheat = 0",
        _CYCLES,
        situation=_settings(superheat=0.0, suction_line_temperature=None),
        points=_in_weather(superheat_left_out),
    ),
    Way(
        "superheat_on_the_wrong_line",
        "You counted superheat from the condensing temperature. Superheat belongs to the suction: it counts from the dew point of the low pressure.",
        "T1 = condensing + superheat; superheat = T1 - condensing",
        _CYCLES,
        points=superheat_on_the_wrong_line,
    ),
    Way(
        "subcooling_on_the_wrong_line",
        "You counted subcooling from the evaporating temperature. Subcooling belongs to the liquid line: it counts from the bubble point of the high pressure.",
        "T3 = evaporating - subcooling; subcooling = evaporating - T3",
        _CYCLES,
        points=subcooling_on_the_wrong_line,
    ),
    Way(
        "superheat_subtracted",
        "You took the superheat away. Superheated vapour is warmer than its boiling point: add it.",
        "T1 = evaporating - superheat",
        _CYCLES,
        points=superheat_subtracted,
    ),
    Way(
        "subcooling_added",
        "You added the subcooling. Subcooled liquid is colder than its boiling point: take it away.",
        "T3 = bubble temperature + subcooling",
        _CYCLES,
        points=subcooling_added,
    ),
    Way(
        "bubble_for_dew",
        "You read the bubble column. The saturated suction and condensing temperatures, and superheat, count from the dew column.",
        "saturation from the bubble column, on both sides",
        _STATED_CYCLES,
        situation=_settings(saturation="bubble"),
    ),
    Way(
        "dew_for_bubble",
        "You read the dew column. Subcooling counts from the bubble column, where the last vapour has become liquid.",
        "T3 = dew temperature - subcooling; subcooling = dew temperature - T3",
        _STATED_CYCLES,
        situation=_settings(liquid_saturation="dew"),
    ),
    Way(
        "wrong_refrigerants_table",
        "You read the table of another refrigerant. Look at the nameplate first, and then at the name on the chart: each refrigerant has pressures of its own.",
        "the table of the refrigerant in TABLES",
        _CYCLES,
        situation=another_table,
        points=_in_weather(another_table_in_weather),
    ),
    Way(
        "per_kilogram_for_per_second",
        "That is what each kilogram or pound carries. For heat or power, multiply it by the mass flow, which says how much of it passes in a time.",
        "mass flow = 1",
        _has_a_flow,
        situation=mass_flow_left_out,
        quantities=heat_of_each_kilogram,
    ),
    Way(
        "mass_flow_for_volume_flow",
        "You took mass for volume. A kilogram or pound of suction vapour fills its specific volume: volume flow is mass flow times specific volume.",
        "v = 1 and density = 1, in place of the vapour's own",
        _has_a_volume,
        situation=volume_left_out,
        quantities=volume_of_one,
    ),
    Way(
        "cop_of_the_other_mode",
        "That is the COP of the other mode. In heating the useful heat is what the condenser gives off; "
        "in cooling it is what the evaporator takes up.",
        "COP = heat of the other coil / work",
        where(CYCLE, WEATHER, why="it is about the COP of a cycle"),
        quantities=other_mode,
    ),
    Way(
        "cop_upside_down",
        "The fraction is upside down. COP is the useful heat divided by the work you pay for.",
        "1 / COP",
        asked("ratio"),
        answer=upside_down,
    ),
    Way(
        "latent_left_out",
        "You counted only what the thermometer shows. Air that gives off water gives off the heat of that water too: sensible and latent heat together are the whole.",
        "heat = sensible heat",
        _AIR,
        points=latent_left_out,
    ),
    Way(
        "fans_left_out",
        "You counted the compressor alone. The machine's COP pays for its fans too: add their power below the line.",
        "power = compressor power",
        _IN_WEATHER,
        points=fans_left_out,
    ),
    Way(
        "wet_bulb_for_dry_bulb",
        "You took the wet bulb for the temperature of the air. The wet bulb is colder because water dries from its wick; the dry bulb shows the air itself.",
        "dry bulb = wet bulb",
        _AIR,
        points=wet_bulb_for_dry_bulb,
    ),
)  # fmt: skip
"""The wrong ways of solving a cycle, air or a machine in weather, each with its correction."""
