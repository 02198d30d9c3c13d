"""Claims about states, pressures and tables, each tried by the cycle and the refrigerants' properties.

What lives here: one function for each claim, its inputs (SI) with their usual values.  What does not: words (claims.toml).
"""

from __future__ import annotations

from hpteach.circuit import INDOOR_COIL
from hpteach.claims.bench import COOLING, cooling, heating, with_faults
from hpteach.claims.evidence import Evidence, absolute, difference, energy, gauge, pressure_difference, ratio, share, temperature
from hpteach.cycle import Conditions, Cycle, solve
from hpteach.fluids import Refrigerant, State, refrigerant
from hpteach.machine import demo_machine
from hpteach.units import STANDARD_ATMOSPHERE, atmosphere_at

NEAR = 1.0
"""K, within which two temperatures count as one."""

COOL, WARM = 280.15, 318.15
"""K: saturated suction and condensing temperature of a machine that cools."""

EFFICIENCY = 0.7
"""Isentropic efficiency of a usual compressor."""


def _cycle(fluid: Refrigerant, evaporating: float, condensing: float, superheat: float = 5.0, efficiency: float = EFFICIENCY) -> Cycle:
    return solve(fluid, Conditions(COOLING, INDOOR_COIL, evaporating, condensing, superheat, 5.0, efficiency))


def discharge_gas_is_saturated(fluid: str = "R-410A", evaporating: float = COOL, condensing: float = WARM) -> Evidence:
    """The gas behind the compressor against the dew point at its pressure; and how wet the suction would have to be for the two to meet.

    >>> discharge_gas_is_saturated().verdict
    'false'
    """
    substance = refrigerant(fluid)
    usual, perfect = (_cycle(substance, evaporating, condensing, efficiency=efficiency) for efficiency in (EFFICIENCY, 1.0))
    low, high = usual.point("1").pressure, usual.point("2").pressure
    quality = _wet_enough(substance, low, high)
    above, above_perfect, above_wet = (
        one.temperature - condensing for one in (usual.point("2"), perfect.point("2"), _discharge(substance, substance.state_px(low, quality), high))
    )
    return Evidence(
        {
            "condensing": temperature(condensing),
            "discharge": temperature(condensing + above),
            "above": difference(above),
            "above_perfect": difference(above_perfect),
            "liquid_needed": share(1.0 - quality),
        },
        {"usual": abs(above) < NEAR, "perfect": abs(above_perfect) < NEAR},
        {"wet": abs(above_wet) < NEAR},
    )


def _discharge(substance: Refrigerant, suction: State, high: float) -> State:
    ideal = substance.state_ps(high, suction.entropy)
    return substance.state_ph(high, suction.enthalpy + (ideal.enthalpy - suction.enthalpy) / EFFICIENCY)


def _wet_enough(substance: Refrigerant, low: float, high: float) -> float:
    """The quality at the suction with which the usual compressor delivers just saturated gas, by halving."""
    wettest, driest, wanted = 0.5, 1.0, substance.saturated_vapour(high).enthalpy
    for _ in range(30):
        middle = 0.5 * (wettest + driest)
        if _discharge(substance, substance.state_px(low, middle), high).enthalpy < wanted:
            wettest = middle
        else:
            driest = middle
    return 0.5 * (wettest + driest)


def liquid_leaves_at_condensing_temperature(machine: str = "R-410A") -> Evidence:
    """The liquid behind the condenser against its boiling point there, in a sound machine and in one that is short of refrigerant.

    >>> liquid_leaves_at_condensing_temperature().verdict
    'false'
    """
    unit = demo_machine(machine)
    found = {"cooling": cooling(unit), "heating": heating(unit)}
    short = cooling(unit, faults=with_faults("undercharge"))
    return Evidence(
        {
            "condensing": temperature(found["cooling"].saturated_condensing_temperature),
            "liquid": temperature(found["cooling"].cycle.point("3").temperature),
            **{f"subcooling_{name}": difference(one.subcooling) for name, one in found.items()},
            "subcooling_short": difference(short.subcooling),
        },
        {name: one.subcooling < NEAR for name, one in found.items()},
        {"short": short.subcooling < NEAR},
    )


def boils_at_the_book_figure(machine: str = "R-32") -> Evidence:
    """The boiling point of the data sheet against what an evaporator at work has.

    >>> boils_at_the_book_figure().verdict
    'false'
    """
    unit = demo_machine(machine)
    substance = refrigerant(unit.refrigerant)
    book = substance.bubble_temperature(STANDARD_ATMOSPHERE)
    found = {"cooling": cooling(unit), "mild": heating(unit), "cold": heating(unit, 258.15)}
    return Evidence(
        {
            "book": temperature(book),
            **{f"boiling_{name}": temperature(one.saturated_suction_temperature) for name, one in found.items()},
            "gauge_cooling": gauge(found["cooling"].cycle.point("1").pressure),
        },
        {name: abs(one.saturated_suction_temperature - book) < NEAR for name, one in found.items()},
        {"free_air": abs(substance.bubble_temperature(STANDARD_ATMOSPHERE) - book) < NEAR},
    )


def r410a_boils_at_minus_48(fluid: str = "R-410A", claimed: float = 225.15, altitude: float = 1600.0) -> Evidence:
    """A claimed boiling temperature (K) against that in free air, at sea level and at an altitude (m), and at the pressure of an evaporator.

    >>> r410a_boils_at_minus_48().verdict
    'false'
    """
    substance = refrigerant(fluid)
    sea, high = (substance.bubble_temperature(air) for air in (STANDARD_ATMOSPHERE, atmosphere_at(altitude)))
    pressure, evaporator = substance.bubble_pressure(claimed), substance.dew_pressure(COOL)
    working = substance.bubble_temperature(evaporator)
    return Evidence(
        {
            "claimed": temperature(claimed),
            "sea": temperature(sea),
            "altitude": (altitude, "length"),
            "high": temperature(high),
            "working": temperature(working),
            "evaporator": gauge(evaporator),
            "pressure": absolute(pressure),
            "reading": gauge(pressure),
        },
        {"sea": abs(sea - claimed) < NEAR, "high": abs(high - claimed) < NEAR, "working": abs(working - claimed) < NEAR},
        {"pressure": abs(substance.bubble_temperature(pressure) - claimed) < NEAR},
    )


def stops_below_the_boiling_point(fluid: str = "R-134a", below: float = 5.0, condensing: float = 308.15) -> Evidence:
    """A cycle that evaporates below the boiling point in free air, and whether it still brings heat.

    >>> stops_below_the_boiling_point().verdict
    'false'
    """
    substance = refrigerant(fluid)
    book = substance.bubble_temperature(STANDARD_ATMOSPHERE)
    cycles = {name: _cycle(substance, evaporating, condensing) for name, evaporating in (("below", book - below), ("mild", 273.15))}
    volume = {name: one.heat_rejected * one.point("1").density for name, one in cycles.items()}
    colder = cycles["below"]
    return Evidence(
        {
            "book": temperature(book),
            "evaporating": temperature(book - below),
            "suction": absolute(colder.point("1").pressure),
            "reading": gauge(colder.point("1").pressure),
            "heat": energy(colder.heat_rejected),
            "cop": ratio(colder.cop_heating),
            "left": share(volume["below"] / volume["mild"]),
        },
        {"heat": not colder.heat_rejected > 0.0, "cop": not colder.cop_heating > 1.0},
        {"vacuum": colder.point("1").pressure < STANDARD_ATMOSPHERE},
    )


def gauge_reading_is_pressure(suction: float = 8e5, discharge: float = 26e5, altitude: float = 1600.0, fluid: str = "R-410A") -> Evidence:
    """What is right and what is wrong when gauge readings (Pa above the air) are taken for pressures, at sea level and at an altitude (m).

    >>> gauge_reading_is_pressure().verdict
    'half true'
    """
    substance = refrigerant(fluid)
    low, high = suction + STANDARD_ATMOSPHERE, discharge + STANDARD_ATMOSPHERE
    boiling, taken = substance.dew_temperature(low), substance.dew_temperature(suction)
    upstairs = substance.dew_temperature(suction + atmosphere_at(altitude))
    wrong = discharge / suction
    return Evidence(
        {
            "low_reading": gauge(low),
            "low": absolute(low),
            "high_reading": gauge(high),
            "high": absolute(high),
            "ratio": ratio(high / low),
            "ratio_of_readings": ratio(wrong),
            "difference": pressure_difference(high - low),
            "boiling": temperature(boiling),
            "boiling_taken": temperature(taken),
            "altitude": (altitude, "length"),
            "boiling_high": temperature(upstairs),
        },
        {
            "difference": abs((discharge - suction) - (high - low)) < 1.0,
            "ratio": abs(wrong / (high / low) - 1.0) < 0.02,
            "table": abs(taken - boiling) < NEAR,
        },
        {"altitude": abs(upstairs - boiling) < 0.1},
    )


def superheat_is_a_temperature(
    superheat: float = 5.0, fluid: str = "R-410A", evaporating: float = COOL, colder: float = 263.15, fall: float = 0.1
) -> Evidence:
    """A superheat (K) beside the temperature of the suction line; the line one kelvin warmer; and the same line at a pressure lower by a share.

    >>> superheat_is_a_temperature().verdict
    'half true'
    """
    substance = refrigerant(fluid)
    line, cold_line = evaporating + superheat, colder + superheat
    lower = substance.dew_temperature((1.0 - fall) * substance.dew_pressure(evaporating))
    at_zero = substance.dew_temperature(substance.dew_pressure(273.15)) + superheat
    warmer = (line + 1.0) - substance.dew_temperature(substance.dew_pressure(evaporating))
    return Evidence(
        {
            "superheat": difference(superheat),
            "line": temperature(line),
            "cold_line": temperature(cold_line),
            "as_temperature": temperature(273.15 + superheat),
            "one": difference(1.0),
            "superheat_warmer": difference(warmer),
            "fall": share(fall),
            "superheat_lower": difference(line - lower),
        },
        {
            "step": abs(warmer - superheat - 1.0) < 1e-6,
            "reading": abs(line - 273.15 - superheat) < NEAR,
            "pressure": abs(line - lower - superheat) < NEAR,
        },
        {"at_zero": abs(at_zero - 273.15 - superheat) < NEAR},
    )


def one_temperature_for_each_pressure(pressure: float = 10e5, pure: str = "R-32", little: str = "R-410A", much: str = "R-454C") -> Evidence:
    """Dew and bubble temperature at one pressure (Pa) of a pure refrigerant and of blends with little and with much glide.

    >>> one_temperature_for_each_pressure().verdict
    'half true'
    """
    names = {"pure": pure, "little": little, "much": much}
    glides = {name: refrigerant(one).glide(pressure) for name, one in names.items()}
    blend = refrigerant(much)
    return Evidence(
        {
            "pressure": absolute(pressure),
            **{f"name_{name}": (one, "words") for name, one in names.items()},
            **{f"glide_{name}": difference(one) for name, one in glides.items()},
            "bubble": temperature(blend.bubble_temperature(pressure)),
            "dew": temperature(blend.dew_temperature(pressure)),
        },
        {name: one < 0.5 for name, one in glides.items()},
    )


def glide_is_a_fault(pressure: float = 10e5, blend: str = "R-454C", other: str = "R-407C", pure: str = "R-32") -> Evidence:
    """The glide at one pressure (Pa) of blends as they come from the bottle, and of a pure refrigerant.

    >>> glide_is_a_fault().verdict
    'false'
    """
    glides = {name: refrigerant(one).glide(pressure) for name, one in (("blend", blend), ("other", other), ("pure", pure))}
    return Evidence(
        {
            "pressure": absolute(pressure),
            "name_blend": (blend, "words"),
            "name_other": (other, "words"),
            "name_pure": (pure, "words"),
            **{f"glide_{name}": difference(one) for name, one in glides.items()},
        },
        {name: glides[name] < 0.5 for name in ("blend", "other")},
        {"pure": glides["pure"] < 0.5},
    )


def metering_takes_heat_out(fluid: str = "R-410A", evaporating: float = COOL, condensing: float = WARM) -> Evidence:
    """Temperature and enthalpy before and behind the metering device.

    >>> metering_takes_heat_out().verdict
    'false'
    """
    cycle = _cycle(refrigerant(fluid), evaporating, condensing)
    before, behind = cycle.point("3"), cycle.point("4")
    return Evidence(
        {
            "before": temperature(before.temperature),
            "behind": temperature(behind.temperature),
            "enthalpy_before": energy(before.enthalpy),
            "enthalpy_behind": energy(behind.enthalpy),
            "taken": energy(before.enthalpy - behind.enthalpy),
            "flash_gas": share(cycle.flash_gas),
        },
        {"enthalpy": before.enthalpy - behind.enthalpy > 1.0, "liquid": cycle.flash_gas == 0.0},
    )


def heating_is_always_cooling_plus_one(machine: str = "R-410A", evaporating: float = 273.15, condensing: float = WARM) -> Evidence:
    """COP heating less COP cooling: of one cycle without losses, of a machine whose shell loses heat, of two days on a data sheet.

    >>> heating_is_always_cooling_plus_one().verdict
    'half true'
    """
    unit = demo_machine(machine)
    cycle = _cycle(refrigerant(unit.refrigerant), evaporating, condensing)
    warm, cold = heating(unit), cooling(unit)
    given = warm.mass_flow * (warm.cycle.point("2").enthalpy - warm.cycle.point("3").enthalpy)
    taken = warm.mass_flow * (warm.evaporator_outlet.enthalpy - warm.cycle.point("4").enthalpy)
    of_cycle, of_shell, of_sheet = cycle.cop_heating - cycle.cop_cooling, (given - taken) / warm.compressor_power, warm.cop - cold.cop
    return Evidence(
        {
            "cop_cooling": ratio(cycle.cop_cooling),
            "cop_heating": ratio(cycle.cop_heating),
            "of_cycle": ratio(of_cycle),
            "loss": share(warm.heat_loss / warm.compressor_power),
            "of_shell": ratio(of_shell),
            "sheet_heating": ratio(warm.cop),
            "sheet_cooling": ratio(cold.cop),
            "of_sheet": ratio(of_sheet),
        },
        {"cycle": abs(of_cycle - 1.0) < 0.02, "shell": abs(of_shell - 1.0) < 0.02, "sheet": abs(of_sheet - 1.0) < 0.02},
    )
