"""Results laid out as tables in the reader's units, and as dictionaries ready for JSON.

What lives here: for each result of the library a dictionary, whose keys name the SI unit,
and the tables that show the same.  What does not: computing, sentences (wording), reading
a command line (cli).

Every table takes `system` ("SI" or "IP") and, where gauges are read, `atmosphere` (Pa).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import asdict
from typing import TYPE_CHECKING, Any, NamedTuple

from hpteach.circuit import Flow, Step
from hpteach.tables import Table
from hpteach.units import STANDARD_ATMOSPHERE, show, unit_shown

if TYPE_CHECKING:  # a flow is laid out without the seconds that the properties take to load
    from hpteach.cycle import Cycle, StatePoint
    from hpteach.fluids import Listing, Refrigerant, State

GENERAL_CAUTION = (
    "These figures are for learning: they replace no manufacturer's data and no local code, "
    "and work on a refrigerant circuit belongs to licensed people."
)


def cautions(listing: Listing) -> list[str]:
    """What to mind with a refrigerant, and with computed figures at all.

    >>> from hpteach.fluids import listing
    >>> len(cautions(listing("R-134a"))), len(cautions(listing("R-32")))
    (1, 2)
    """
    return [caution for caution in (listing.caution, listing.pressure_caution, GENERAL_CAUTION) if caution]


# The catalogue ------------------------------------------------------------------------


def refrigerant_dictionary(refrigerant: Refrigerant) -> dict[str, Any]:
    """What the catalogue and the equation of state say of a refrigerant.

    Normal boiling is at 101.325 kPa; both are None for what sublimes there, at `sublimation_K`.
    GWP is over 100 years, by report.

    >>> from hpteach.fluids import refrigerant
    >>> round(refrigerant_dictionary(refrigerant("R-134a"))["normal_boiling"]["dew_K"], 2)
    247.08
    """
    listing = refrigerant.listing
    boils = listing.sublimation_temperature is None
    return {
        "name": refrigerant.name,
        "composition": dict(listing.composition),
        "safety_class": listing.safety_class,
        "gwp": dict(listing.gwp),
        "normal_boiling": {
            "bubble_K": refrigerant.bubble_temperature(STANDARD_ATMOSPHERE) if boils else None,
            "dew_K": refrigerant.dew_temperature(STANDARD_ATMOSPHERE) if boils else None,
        },
        "sublimation_K": listing.sublimation_temperature,
        "critical_K": refrigerant.critical_temperature,
        "critical_Pa": refrigerant.critical_pressure,
        "caution": " ".join(filter(None, (listing.caution, listing.pressure_caution))) or None,
        "sources": dict(listing.sources),
    }


def refrigerant_tables(refrigerants: Iterable[Refrigerant], system: str = "SI") -> tuple[Table, ...]:
    """The catalogue as tables: what it lists, boiling and critical points, and the sources.

    >>> from hpteach.fluids import refrigerant
    >>> print(refrigerant_tables([refrigerant("R-410A")])[0])
    Refrigerants: safety class, composition by mass, GWP over 100 years by report
    name    class  composition            GWP AR4  GWP AR5  GWP AR6
    ------  -----  ---------------------  -------  -------  -------
    R-410A  A1     50 % R-32, 50 % R-125   2087.5   1923.5   2255.5
    """
    from hpteach.fluids.catalogue import REPORTS

    found = [refrigerant_dictionary(refrigerant) for refrigerant in refrigerants]
    listed = Table(
        "Refrigerants: safety class, composition by mass, GWP over 100 years by report",
        ("name", "class", "composition", *(f"GWP {report}" for report in REPORTS)),
        [
            (one["name"], one["safety_class"], _composition(one["composition"]), *(_number(one["gwp"].get(report)) for report in REPORTS))
            for one in found
        ],
        right=(3, 4, 5),
    )
    columns = (
        _Column("bubble", "temperature", lambda one: one["normal_boiling"]["bubble_K"]),
        _Column("dew", "temperature", lambda one: one["normal_boiling"]["dew_K"]),
        _Column("critical", "temperature", lambda one: one["critical_K"]),
        _Column("critical", "pressure", lambda one: one["critical_Pa"]),
    )
    sublimes = [
        f"; {one['name']} does not boil there, it sublimes at {show(one['sublimation_K'], 'temperature', system)}"
        for one in found
        if one["sublimation_K"] is not None
    ]
    caption = "Boiling at 1 atm (101.325 kPa) and the critical point" + "".join(sublimes)
    points = _laid_out(caption, columns, found, system, words={"name": lambda one: one["name"]})
    told: dict[tuple[str, str], list[str]] = {}
    for one in found:
        for fact, source in one["sources"].items():
            told.setdefault((fact.replace("_", " "), source), []).append(one["name"])
    sources = Table("Sources", ("fact", "of", "source"), [(fact, ", ".join(names), source) for (fact, source), names in sorted(told.items())])
    return listed, points, sources


# Saturation ---------------------------------------------------------------------------


def saturation_at_temperature(refrigerant: Refrigerant, temperature: float) -> dict[str, float]:
    """Bubble and dew pressure at T (K), with h and s at each of the two; raises `LimitError` off the dome.

    >>> from hpteach.fluids import refrigerant
    >>> row = saturation_at_temperature(refrigerant("R-410A"), 278.15)
    >>> round(row["bubble_Pa"]), round(row["dew_Pa"])
    (936207, 933176)
    """
    refrigerant.dew_pressure(temperature)  # refuses what is off the dome
    liquid, vapour = (refrigerant.dome_state(temperature, quality) for quality in (0.0, 1.0))
    return {
        "temperature_K": temperature,
        "bubble_Pa": liquid.pressure,
        "dew_Pa": vapour.pressure,
        **_saturated(liquid, vapour),
    }


def saturation_at_pressure(refrigerant: Refrigerant, pressure: float) -> dict[str, float]:
    """Bubble and dew temperature at p (Pa), with h and s at each of the two.

    >>> from hpteach.fluids import refrigerant
    >>> row = saturation_at_pressure(refrigerant("R-410A"), 10e5)
    >>> round(row["dew_K"] - row["bubble_K"], 2)
    0.11
    """
    vapour, liquid = refrigerant.saturated_vapour(pressure), refrigerant.saturated_liquid(pressure)
    return {
        "pressure_Pa": pressure,
        "bubble_K": liquid.temperature,
        "dew_K": vapour.temperature,
        **_saturated(liquid, vapour),
    }


def saturation_tables(
    refrigerant: Refrigerant, rows: Sequence[Mapping[str, float]], system: str = "SI", *, atmosphere: float = STANDARD_ATMOSPHERE
) -> tuple[Table, ...]:
    """Rows of saturation as tables: those given by temperature, then those given by pressure.

    >>> from hpteach.fluids import refrigerant
    >>> r134a = refrigerant("R-134a")
    >>> print(saturation_tables(r134a, [saturation_at_temperature(r134a, 273.15)], "IP")[0])
    Saturation of R-134a by temperature
    at, °F  bubble, psia  bubble, psig  dew, psia  dew, psig
    ------  ------------  ------------  ---------  ---------
      32.0          42.5          27.8       42.5       27.8
    """
    tables: list[Table] = []
    for key, by, columns in (
        ("temperature_K", "temperature", _BY_TEMPERATURE),
        ("pressure_Pa", "pressure", _BY_PRESSURE),
    ):
        chosen = [row for row in rows if key in row]
        if chosen:
            caption = f"Saturation of {refrigerant.name} by {by}"
            tables.append(_laid_out(caption, columns, chosen, system, atmosphere))
            caption = f"Liquid at the bubble point (f) and vapour at the dew point (g), reference {refrigerant.reference}"
            at = tuple(column for column in columns if column.heading == "at")
            tables.append(_laid_out(caption, (*at, *_SATURATED), chosen, system, atmosphere))
    return tuple(tables)


# Flow ---------------------------------------------------------------------------------


def flow_dictionary(flow: Flow) -> dict[str, Any]:
    """A flow as words: roles, metering, check valves and the path.

    >>> from hpteach.circuit import ValvePosition, flow, reversible_circuit
    >>> flow_dictionary(flow(reversible_circuit(), ValvePosition.HEATING))["check_valves"]
    {'indoor': 'open', 'outdoor': 'closed'}
    """
    return {
        "valve_position": flow.valve_position.value,
        "condenser": flow.condenser,
        "evaporator": flow.evaporator,
        "metering": {"layout": flow.metering_layout.value, **asdict(flow.metering)},
        "check_valves": dict(flow.check_valves),
        "path": [asdict(step) for step in flow.path],
        "remarks": list(flow.remarks),
    }


def flow_table(flow: Flow) -> Table:
    """The path, one line for each component in the order in which it is met.

    >>> from hpteach.circuit import ValvePosition, flow, reversible_circuit
    >>> flow_table(flow(reversible_circuit(), ValvePosition.HEATING)).rows[3]
    ('4', 'indoor coil', 'vapour side', 'liquid side', 'condenses')
    """

    def does(step: Step) -> str:
        roles = {flow.condenser: "condenses", flow.evaporator: "evaporates", **dict.fromkeys(flow.passed_freely, "passes freely")} | dict.fromkeys((flow.metering.working, *flow.series), "meters")
        return roles.get(step.component) or ("open" if "check valve" in step.component else "leaks" if step.component in flow.leaks else "")

    rows = [(str(n), step.component, step.enters, step.leaves, does(step)) for n, step in enumerate(flow.path, 1)]
    caption = f"The path with the reversing valve in {flow.valve_position.value}"
    return Table(caption, ("", "component", "entered from", "left towards", "does"), rows, right=(0,))


# The cycle ----------------------------------------------------------------------------


def cycle_dictionary(refrigerant: Refrigerant, cycle: Cycle) -> dict[str, Any]:
    """A solved cycle: its state points and what follows from them.

    >>> from hpteach.circuit import ValvePosition
    >>> from hpteach.cycle import Conditions, solve
    >>> from hpteach.fluids import refrigerant
    >>> r134a = refrigerant("R-134a")
    >>> found = cycle_dictionary(r134a, solve(r134a, Conditions(ValvePosition.COOLING, "indoor coil", 253.15, 303.15)))
    >>> round(found["cop_cooling"], 2), found["points"][0]["place"]
    (3.97, 'compressor, suction')
    """
    flow = flow_dictionary(cycle.flow)
    return {
        "refrigerant": cycle.refrigerant,
        "reference": refrigerant.reference,
        "valve_position": flow["valve_position"],
        "metering": flow["metering"],
        "condenser": flow["condenser"],
        "evaporator": flow["evaporator"],
        "points": [point_dictionary(point) for point in cycle.points],
        "specific_work_J_per_kg": cycle.specific_work,
        "refrigerating_effect_J_per_kg": cycle.refrigerating_effect,
        "heat_rejected_J_per_kg": cycle.heat_rejected,
        "cop_heating": cycle.cop_heating,
        "cop_cooling": cycle.cop_cooling,
        "pressure_ratio": cycle.pressure_ratio,
        "cautions": cautions(refrigerant.listing),
    }


def cycle_tables(
    refrigerant: Refrigerant, cycle: Cycle, system: str = "SI", *, atmosphere: float = STANDARD_ATMOSPHERE
) -> tuple[Table, Table, Table]:
    """The state points by phase and place, the state points in figures, and heat, work and COP.

    >>> from hpteach.circuit import ValvePosition
    >>> from hpteach.cycle import Conditions, solve
    >>> from hpteach.fluids import refrigerant
    >>> r134a = refrigerant("R-134a")
    >>> cycle = solve(r134a, Conditions(ValvePosition.COOLING, "indoor coil", 253.15, 303.15))
    >>> cycle_tables(r134a, cycle)[2].rows[3]
    ('COP in cooling', 'q_e / w', '3.97')
    """
    label = {"point": lambda point: point.label}
    where = f"{cycle.refrigerant} in {cycle.flow.valve_position.value}: the state points and where they are"
    performance = (
        ("specific work", "w = h2 - h1", show(cycle.specific_work, "specific energy", system)),
        ("refrigerating effect", "q_e = h1 - h4", show(cycle.refrigerating_effect, "specific energy", system)),
        ("heat rejected", "q_c = h2 - h3", show(cycle.heat_rejected, "specific energy", system)),
        ("COP in cooling", "q_e / w", f"{cycle.cop_cooling:.2f}"),
        ("COP in heating", "q_c / w", f"{cycle.cop_heating:.2f}"),
        ("pressure ratio", "p2 / p1", f"{cycle.pressure_ratio:.2f}"),
    )
    return (
        Table(where, ("point", "name", "phase", "place"), [(one.label, one.name, one.phase, one.place) for one in cycle.points]),
        _laid_out(f"The state points, reference {refrigerant.reference}", _STATE, cycle.points, system, atmosphere, words=label),
        Table("Heat, work and COP", ("quantity", "formula", "value"), performance, right=(2,)),
    )


def points_table(cycle: Cycle, system: str = "SI", *, atmosphere: float = STANDARD_ATMOSPHERE) -> Table:
    """The state points with place, phase and figures in one wide table, for a page.

    >>> from hpteach.circuit import ValvePosition
    >>> from hpteach.cycle import Conditions, solve
    >>> from hpteach.fluids import refrigerant
    >>> conditions = Conditions(ValvePosition.COOLING, "indoor coil", 253.15, 303.15)
    >>> points_table(solve(refrigerant("R-134a"), conditions)).rows[0][:3]
    ('1', 'compressor, suction', 'saturated vapour')
    """
    words = {
        "point": lambda point: point.label,
        "place": lambda point: point.place,
        "phase": lambda point: point.phase,
    }
    return _laid_out("", _STATE, cycle.points, system, atmosphere, words=words)


# Inside -------------------------------------------------------------------------------


class _Column(NamedTuple):
    """A column of numbers: what it is called, the kind of quantity, and where a result keeps it."""

    heading: str
    kind: str
    value: Callable[[Any], float | None]


def _at(heading: str, kind: str, key: str) -> _Column:
    return _Column(heading, kind, lambda row: row[key])


_STATE = (
    _Column("p", "pressure", lambda point: point.pressure),
    _Column("p", "gauge pressure", lambda point: point.pressure),
    _Column("T", "temperature", lambda point: point.temperature),
    _Column("h", "specific energy", lambda point: point.enthalpy),
    _Column("s", "specific entropy", lambda point: point.entropy),
    _Column("density", "density", lambda point: point.density),
    _Column("x", "ratio", lambda point: point.quality),
)
_BY_TEMPERATURE = (
    _at("at", "temperature", "temperature_K"),
    *(_at(side, kind, f"{side}_Pa") for side in ("bubble", "dew") for kind in ("pressure", "gauge pressure")),
)
_BY_PRESSURE = (
    *(_at("at", kind, "pressure_Pa") for kind in ("pressure", "gauge pressure")),
    *(_at(side, "temperature", f"{side}_K") for side in ("bubble", "dew")),
    _Column("glide", "temperature difference", lambda row: row["dew_K"] - row["bubble_K"]),
)
_SATURATED = (
    _at("hf", "specific energy", "hf_J_per_kg"),
    _at("hg", "specific energy", "hg_J_per_kg"),
    _at("sf", "specific entropy", "sf_J_per_kgK"),
    _at("sg", "specific entropy", "sg_J_per_kgK"),
)


def _laid_out(
    caption: str,
    columns: Sequence[_Column],
    results: Iterable[Any],
    system: str,
    atmosphere: float = STANDARD_ATMOSPHERE,
    *,
    words: Mapping[str, Callable[[Any], str]] | None = None,
) -> Table:
    """Columns of words, then columns of numbers whose units stand in the headings."""
    words = words or {}
    units = [unit_shown(column.kind, system).label for column in columns]

    def number(column: _Column, unit: str, result: Any) -> str:
        value = column.value(result)
        return "-" if value is None else show(value, column.kind, system, atmosphere=atmosphere).removesuffix(unit).rstrip()

    return Table(
        caption,
        (*words, *(f"{column.heading}, {unit}" if unit else column.heading for column, unit in zip(columns, units))),
        [
            (*(word(result) for word in words.values()), *(number(column, unit, result) for column, unit in zip(columns, units)))
            for result in results
        ],
        right=range(len(words), len(words) + len(columns)),
    )


def _saturated(liquid: State, vapour: State) -> dict[str, float]:
    return {
        "hf_J_per_kg": liquid.enthalpy,
        "hg_J_per_kg": vapour.enthalpy,
        "sf_J_per_kgK": liquid.entropy,
        "sg_J_per_kgK": vapour.entropy,
    }


def point_dictionary(point: StatePoint) -> dict[str, Any]:
    """A state point: number, label, name, place, and its state in SI."""
    return {
        "number": point.number,
        "label": point.label,
        "name": point.name,
        "place": point.place,
        "pressure_Pa": point.pressure,
        "temperature_K": point.temperature,
        "enthalpy_J_per_kg": point.enthalpy,
        "entropy_J_per_kgK": point.entropy,
        "density_kg_per_m3": point.density,
        "quality": point.quality,
        "phase": point.phase,
    }


def _composition(parts: Mapping[str, float]) -> str:
    return ", ".join(f"{100 * share:g} % {part}" for part, share in parts.items()) if len(parts) > 1 else "pure"


def _number(value: float | None) -> str:
    return "-" if value is None else f"{value:g}"
