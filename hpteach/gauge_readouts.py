"""What gauges told, as tables in the reader's units, as a dictionary for JSON, and in sentences.

What lives here: the layouts of `gauges.GaugeFindings`.  What does not: computing (gauges), reading a command line (cli).
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from hpteach.circuit import LIQUID_LINE
from hpteach.gauges import probe_places
from hpteach.readouts import cautions, flow_dictionary, point_dictionary, points_table
from hpteach.tables import Table
from hpteach.units import STANDARD_ATMOSPHERE, sentence, show

if TYPE_CHECKING:
    from hpteach.fluids import Listing, Refrigerant
    from hpteach.gauges import GaugeFindings

GAUGE_CAUTION = (
    "Caution: gauges go on and come off with goggles and gloves, by trained people, under your local codes. "
    "The discharge line burns; hoses whip and spray where they are opened under pressure."
)
"""Common practice, no source; docs/safety.md."""

NO_DOUBT = (
    "These figures raise no doubt. No doubt is no proof: a wrong refrigerant, for one, can give figures that look sound. Read the nameplate."
)
_SMALL = 0.5  # K of glide that an ordinary thermometer does not tell


def gauge_cautions(listing: Listing) -> list[str]:
    """What to mind at the gauges, with this refrigerant, and with computed figures at all.

    >>> from hpteach.fluids import listing
    >>> len(gauge_cautions(listing("R-134a")))
    2
    """
    return [GAUGE_CAUTION, *cautions(listing)]


def gauges_dictionary(refrigerant: Refrigerant, found: GaugeFindings, system: str = "SI", *, atmosphere: float = STANDARD_ATMOSPHERE) -> dict[str, Any]:
    """What readings told: SI, None where a thing has no meaning or is not determined; doubts in the reader's units.

    >>> from hpteach.fluids import refrigerant
    >>> from hpteach.gauges import FieldReadings, read_gauges
    >>> r410a = refrigerant("R-410A")
    >>> found = gauges_dictionary(r410a, read_gauges(r410a, FieldReadings("cooling", 9.93e5, 27.3e5, 285.15, 313.15)))
    >>> round(found["superheat_K"], 1), round(found["subcooling_K"], 1), found["cop_cooling"]
    (5.0, 4.9, None)
    """
    flow = flow_dictionary(found.flow)
    return {
        "refrigerant": found.refrigerant,
        "reference": refrigerant.reference,
        **{key: flow[key] for key in ("valve_position", "metering", "condenser", "evaporator")},
        "points": [point_dictionary(point) for point in found.points],
        "specific_work_J_per_kg": found.specific_work,
        "refrigerating_effect_J_per_kg": found.refrigerating_effect,
        "heat_rejected_J_per_kg": found.heat_rejected,
        "cop_heating": found.cop_heating,
        "cop_cooling": found.cop_cooling,
        "pressure_ratio": found.pressure_ratio,
        "isentropic_efficiency": found.isentropic_efficiency,
        "superheat_K": found.superheat,
        "subcooling_K": found.subcooling,
        "saturated_suction_K": found.saturated_suction_temperature,
        "saturated_condensing_K": found.saturated_condensing_temperature,
        "liquid_bubble_K": found.liquid_bubble_temperature,
        "doubts": [{"id": doubt.id, "sentence": sentence(doubt, system, atmosphere=atmosphere)} for doubt in found.doubts],
        "cautions": gauge_cautions(refrigerant.listing),
    }


def readings_table(found: GaugeFindings, system: str = "SI", *, atmosphere: float = STANDARD_ATMOSPHERE) -> Table:
    """Each reading with the saturation temperature that it is held against, and what that gives.

    >>> from hpteach.fluids import refrigerant
    >>> from hpteach.gauges import FieldReadings, read_gauges
    >>> found = read_gauges(refrigerant("R-410A"), FieldReadings("cooling", 9.93e5, 27.3e5, 285.15, 313.15))
    >>> readings_table(found).rows[1]
    ('suction line', '12.0 °C', 'superheat = line - dew', '5.0 K')
    """
    readings = found.readings

    def temperature(value: float) -> str:
        return show(value, "temperature", system)

    def difference(value: float | None) -> str:
        return "-" if value is None else show(value, "temperature difference", system)

    def pressure(value: float) -> str:
        return show(value, "gauge pressure", system, atmosphere=atmosphere)

    rows = [
        ("suction gauge", pressure(readings.suction_pressure), "saturated suction (dew)", temperature(found.saturated_suction_temperature)),
        ("suction line", temperature(readings.suction_line_temperature), "superheat = line - dew", difference(found.superheat)),
        ("discharge gauge", pressure(readings.discharge_pressure), "saturated condensing (dew)", temperature(found.saturated_condensing_temperature)),
        ("", "", "bubble at the same pressure", temperature(found.liquid_bubble_temperature)),
        ("liquid line", temperature(readings.liquid_line_temperature), "subcooling = bubble - line", difference(found.subcooling)),
    ]
    if readings.discharge_line_temperature is not None:
        efficiency = found.isentropic_efficiency
        implied = "-" if efficiency is None else f"{efficiency:.2f}"
        rows.append(("discharge line", temperature(readings.discharge_line_temperature), "isentropic efficiency implied", implied))
    return Table(f"{found.refrigerant} in {found.flow.valve_position.value}: what was read, and what it says", ("read at", "reading", "gives", "figure"), rows, right=(1, 3))


def gauge_tables(found: GaugeFindings, system: str = "SI", *, atmosphere: float = STANDARD_ATMOSPHERE) -> tuple[Table, ...]:
    """The readings, the state points that they determine, and heat, work and COP as far as they are known.

    >>> from hpteach.fluids import refrigerant
    >>> from hpteach.gauges import FieldReadings, read_gauges
    >>> found = read_gauges(refrigerant("R-410A"), FieldReadings("cooling", 9.93e5, 27.3e5, 285.15, 313.15))
    >>> [len(table.rows) for table in gauge_tables(found)]
    [5, 6, 1]
    """
    tables = [readings_table(found, system, atmosphere=atmosphere)]
    if found.points:
        tables.append(points_table(found, system, atmosphere=atmosphere))
    known = (
        ("specific work", "w = h2 - h1", found.specific_work),
        ("refrigerating effect", "q_e = h1 - h4", found.refrigerating_effect),
        ("heat rejected", "q_c = h2 - h3", found.heat_rejected),
    )
    rows = [(name, formula, show(value, "specific energy", system)) for name, formula, value in known if value is not None]
    cops = (("COP in cooling", "q_e / w", found.cop_cooling), ("COP in heating", "q_c / w", found.cop_heating))
    rows += [(name, formula, f"{value:.2f}") for name, formula, value in cops if value is not None]
    if rows:
        tables.append(Table("Heat, work and COP, as far as the readings tell", ("quantity", "formula", "value"), rows, right=(2,)))
    return tuple(tables)


def doubts_in_words(found: GaugeFindings, system: str = "SI", *, atmosphere: float = STANDARD_ATMOSPHERE) -> tuple[str, ...]:
    """The doubts in the reader's units, each beginning with the word Doubt; where there is none, that this proves nothing.

    >>> from hpteach.fluids import refrigerant
    >>> from hpteach.gauges import FieldReadings, read_gauges
    >>> doubts_in_words(read_gauges(refrigerant("R-410A"), FieldReadings("cooling", 9.93e5, 27.3e5, 278.15, 313.15)))[0][:62]
    'Doubt: The suction line at 5.0 °C is below the saturated sucti'
    """
    return tuple(f"Doubt: {sentence(doubt, system, atmosphere=atmosphere)}" for doubt in found.doubts) or (NO_DOUBT,)


def probes_in_words(found: GaugeFindings) -> tuple[str, ...]:
    """Where each clamp probe belongs as the valve stands.

    >>> from hpteach.fluids import refrigerant
    >>> from hpteach.gauges import FieldReadings, read_gauges
    >>> probes_in_words(read_gauges(refrigerant("R-410A"), FieldReadings("heating", 8e5, 27e5, 278.15, 313.15)))[2]
    'Vapour line: not for superheat now: it carries hot discharge gas to the indoor coil.'
    """
    places = probe_places(found.flow)
    return tuple(f"{line.capitalize()}: {places[line]}." for line in ("suction line", "discharge line", "vapour line", LIQUID_LINE))


def gauges_in_words(found: GaugeFindings, system: str = "SI", *, atmosphere: float = STANDARD_ATMOSPHERE) -> tuple[str, ...]:
    """Superheat and subcooling as they are reckoned, which column each counts from, and what the discharge line implies.

    >>> from hpteach.fluids import refrigerant
    >>> from hpteach.gauges import FieldReadings, read_gauges
    >>> gauges_in_words(read_gauges(refrigerant("R-410A"), FieldReadings("cooling", 9.93e5, 27.3e5, 285.15, 313.15)))[0]
    'At 8.92 bar g the last drop of R-410A is gone at 7.0 °C (dew). The suction line is at 12.0 °C: superheat 5.0 K.'
    """

    def temperature(value: float) -> str:
        return show(value, "temperature", system)

    def difference(value: float) -> str:
        return show(value, "temperature difference", system)

    readings, name = found.readings, found.refrigerant
    if not found.runs:
        return ("With these pressures there is no cycle, and so no superheat and no subcooling.",)
    low, high = (show(pressure, "gauge pressure", system, atmosphere=atmosphere) for pressure in (readings.suction_pressure, readings.discharge_pressure))
    dew, bubble = temperature(found.saturated_suction_temperature), temperature(found.liquid_bubble_temperature)
    suction, liquid = temperature(readings.suction_line_temperature), temperature(readings.liquid_line_temperature)
    said = [
        f"At {low} the last drop of {name} is gone at {dew} (dew). The suction line is at {suction}: "
        + (f"superheat {difference(found.superheat)}." if found.superheat > 0.0 else "no superheat."),
        f"At {high} the last bubble is gone at {bubble} (bubble). The liquid line is at {liquid}: "
        + (f"subcooling {difference(found.subcooling)}." if found.subcooling > 0.0 else "no subcooling."),
    ]
    glides = (found.saturated_suction_temperature - found.suction_bubble_temperature, found.saturated_condensing_temperature - found.liquid_bubble_temperature)
    if max(glides) >= _SMALL:
        said.append(
            f"{name} has a glide of {difference(glides[0])} at the suction and {difference(glides[1])} at the discharge pressure: from the wrong column "
            "superheat and subcooling would seem larger by that much."
        )
    if found.isentropic_efficiency is not None and found.isentropic_efficiency <= 1.0:
        mode = found.flow.valve_position.value
        cop = found.cop_heating if mode == "heating" else found.cop_cooling
        said.append(
            f"The discharge line at {temperature(readings.discharge_line_temperature)} implies an isentropic efficiency of {found.isentropic_efficiency:.2f}"
            + (f" and a COP in {mode} of {cop:.2f}" if cop is not None else "")
            + ", for a compressor that loses no heat and a probe that shows the gas itself."
        )
    return tuple(said)
