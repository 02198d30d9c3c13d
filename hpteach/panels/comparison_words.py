"""Two refrigerants at one duty: the table, and the few sentences that matter.

What lives here: the table and the sentences of a comparison.  What does not: computing it (comparison), controls and
pictures (panels.comparison).
"""

from __future__ import annotations

from hpteach.comparison import QUANTITIES, AtDuty, Compared, mean_condensing_temperature, mean_evaporating_temperature
from hpteach.fluids import listing
from hpteach.readouts import GENERAL_CAUTION, cautions
from hpteach.tables import Table
from hpteach.units import show
from hpteach.wording import wet_discharge_caution

NEVER_SWAPPED = (
    "Caution: a refrigerant is never swapped in a machine that was built for another. Compressor, metering devices, oil, seals, electrics and "
    "charge belong to the refrigerant; what may be done is for the manufacturer and your local codes to say, and is licensed work."
)
"""Common practice, no source; it defers to the manufacturer and to local codes."""

_NAMES = {
    "mass_flow": "mass flow",
    "suction_volume_flow": "suction volume flow",
    "volumetric_capacity": "volumetric capacity",
    "compressor_power": "compressor power",
    "other_heat": "",  # named by the coil
    "cop": "COP",
    "evaporating_pressure": "low pressure",
    "condensing_pressure": "high pressure",
    "pressure_ratio": "pressure ratio",
    "discharge_temperature": "discharge temperature",
    "evaporating_glide": "glide, low pressure",
    "condensing_glide": "glide, high pressure",
}

_SMALL_GLIDE = 0.5  # K that an ordinary thermometer does not tell
_SAME_SIZE = 0.03  # of the suction volume flow


def comparison_table(found: Compared, system: str = "SI") -> Table:
    """One row for each quantity: the first, the second, and the change from the first to the second.

    Ratios stand as per cent more or less, temperatures and glides as differences.

    >>> from hpteach.circuit import ValvePosition
    >>> from hpteach.comparison import at_duty, compare, same_conditions
    >>> from hpteach.cycle import Conditions, solve
    >>> from hpteach.fluids import refrigerant
    >>> r22, r290 = refrigerant("R-22"), refrigerant("R-290")
    >>> first = solve(r22, Conditions(ValvePosition.COOLING, "indoor coil", 280.15, 318.15, 5.0, 5.0, 0.7))
    >>> found = compare(at_duty(r22, first, 10e3), at_duty(r290, same_conditions(r290, first), 10e3))
    >>> comparison_table(found).rows[1]
    ('suction volume flow', '8.68 m³/h', '10.26 m³/h', '+18 %')
    """
    first, second = found.first, found.second
    rows = [_row(found, name, system) for name in QUANTITIES]
    rows += [
        _temperatures("dew point, low pressure", *(at.cycle.conditions.saturated_suction_temperature for at in (first, second)), system),
        _temperatures("mean, evaporator", *(mean_evaporating_temperature(at.cycle) for at in (first, second)), system),
        _temperatures("dew point, high pressure", *(at.cycle.conditions.saturated_condensing_temperature for at in (first, second)), system),
        _temperatures("mean, condenser", *(mean_condensing_temperature(at.cycle) for at in (first, second)), system),
    ]
    names = (first.cycle.refrigerant, second.cycle.refrigerant)
    return Table(f"For {show(first.duty, 'power', system)} of {_mode(first)}", ("", *names, "change"), rows, right=(1, 2, 3))


def comparison_in_words(found: Compared, equal: str, system: str = "SI") -> tuple[str, ...]:
    """What is equal, what the second needs for the same duty, its pressures and COP, and what the glide does to the comparison.

    >>> from hpteach.circuit import ValvePosition
    >>> from hpteach.comparison import at_duty, compare, same_conditions
    >>> from hpteach.cycle import Conditions, solve
    >>> from hpteach.fluids import refrigerant
    >>> r22, r290 = refrigerant("R-22"), refrigerant("R-290")
    >>> first = solve(r22, Conditions(ValvePosition.COOLING, "indoor coil", 280.15, 318.15, 5.0, 5.0, 0.7))
    >>> found = compare(at_duty(r22, first, 10e3), at_duty(r290, same_conditions(r290, first), 10e3))
    >>> print(comparison_in_words(found, "dew")[1])
    For this duty R-290 needs 43 % less mass flow than R-22, but 18 % more suction volume: the compressor would have to be larger.
    """
    return (_equal(found, equal, system), _size(found), _pressures(found, system), _cop(found), *_glide(found, equal, system))


def comparison_cautions(found: Compared) -> tuple[str, ...]:
    """Never to swap refrigerants, then what to mind with each of the two, and with computed figures at all.

    >>> NEVER_SWAPPED[:32]
    'Caution: a refrigerant is never '
    """
    said = [NEVER_SWAPPED]
    for at in (found.first, found.second):
        name = at.cycle.refrigerant
        said += [f"{name}: {caution}" for caution in cautions(listing(name)) if caution != GENERAL_CAUTION]
        wet = wet_discharge_caution(at.cycle)
        said += [f"{name}: {wet}"] if wet else []
    return (*said, GENERAL_CAUTION)


def _row(found: Compared, name: str, system: str) -> tuple[str, str, str, str]:
    kind = QUANTITIES[name]
    first, second = (_shown(getattr(at, name), kind, system) for at in (found.first, found.second))
    against = _difference(found.difference(name), system) if kind.startswith("temperature") else _per_cent(found.ratio(name))
    return _NAMES[name] or f"heat {_other_coil(found.first)}", first, second, against


def _temperatures(name: str, first: float, second: float, system: str) -> tuple[str, str, str, str]:
    return name, show(first, "temperature", system), show(second, "temperature", system), _difference(second - first, system)


def _shown(value: float, kind: str, system: str) -> str:
    return f"{value:.2f}" if kind == "ratio" else show(value, kind, system)


def _difference(value: float, system: str) -> str:
    text = show(value, "temperature difference", system)
    return text if text.startswith("-") or float(text.split()[0]) == 0.0 else f"+{text}"


def _per_cent(ratio: float) -> str:
    text = f"{100.0 * (ratio - 1.0):+.0f} %"
    return "0 %" if text in ("+0 %", "-0 %") else text


def _mode(at: AtDuty) -> str:
    return at.cycle.flow.valve_position.value


def _other_coil(at: AtDuty) -> str:
    return "taken up" if _mode(at) == "heating" else "given off"


def _more_or_less(ratio: float, what: str) -> str:
    text = f"{abs(100.0 * (ratio - 1.0)):.0f}"
    return f"as much {what}" if text == "0" else f"{text} % {'more' if ratio > 1.0 else 'less'} {what}"


def _equal(found: Compared, equal: str, system: str) -> str:
    first, second = found.first, found.second
    verb, duty = ("heat" if _mode(first) == "heating" else "cool"), show(first.duty, "power", system)
    low, high = first.cycle.conditions.saturated_suction_temperature, first.cycle.conditions.saturated_condensing_temperature
    if equal == "dew":
        at = f"{show(low, 'temperature', system)} at the suction and {show(high, 'temperature', system)} in the condenser"
        return f"Both {verb} with {duty} at equal dew temperatures: {at}."
    mean = [show(temperature(first.cycle), "temperature", system) for temperature in (mean_evaporating_temperature, mean_condensing_temperature)]
    conditions = second.cycle.conditions
    dew = [show(one, "temperature", system) for one in (conditions.saturated_suction_temperature, conditions.saturated_condensing_temperature)]
    name = second.cycle.refrigerant
    return (
        f"Both {verb} with {duty} at equal mean temperatures: {mean[0]} in the evaporator and {mean[1]} in the condenser, "
        f"for which the dew temperatures of {name} are {dew[0]} and {dew[1]}."
    )


def _size(found: Compared) -> str:
    names = found.first.cycle.refrigerant, found.second.cycle.refrigerant
    mass, volume = found.ratio("mass_flow"), found.ratio("suction_volume_flow")
    joined = "but" if (mass - 1.0) * (volume - 1.0) < 0.0 else "and"
    size = "be about as large" if abs(volume - 1.0) <= _SAME_SIZE else "have to be larger" if volume > 1.0 else "have to be smaller"
    return (
        f"For this duty {names[1]} needs {_more_or_less(mass, 'mass flow')} {'as' if _per_cent(mass) == '0 %' else 'than'} {names[0]}, {joined} "
        f"{_more_or_less(volume, 'suction volume')}: the compressor would {size}."
    )


def _pressures(found: Compared, system: str) -> str:
    first, second = found.first, found.second
    low, high = (
        f"{show(getattr(second, name), 'pressure', system)} in place of {show(getattr(first, name), 'pressure', system)}"
        for name in ("evaporating_pressure", "condensing_pressure")
    )
    by = found.difference("discharge_temperature")
    size = show(abs(by), "temperature difference", system)
    warmth = "as warm" if float(size.split()[0]) == 0.0 else f"{size} {'hotter' if by > 0.0 else 'cooler'}"
    name = second.cycle.refrigerant
    return f"With {name} the low side stands at {low}, the high side at {high}, and the discharge vapour is {warmth}."


def _cop(found: Compared) -> str:
    name = found.second.cycle.refrigerant
    cops = f"{found.second.cop:.2f} in place of {found.first.cop:.2f}"
    change = _per_cent(found.ratio("cop"))
    much = "as high" if change == "0 %" else f"{change.strip('+-')} {'higher' if change.startswith('+') else 'lower'}"
    return (
        f"The COP of the cycle with {name} is {much}, {cops}, at equal isentropic efficiency. In a real machine coils, compressor and pressure drops "
        "change with the refrigerant as well, and may outweigh this (common practice, no source)."
    )


def _glide(found: Compared, equal: str, system: str) -> tuple[str, ...]:
    if max(abs(at.evaporating_glide) for at in (found.first, found.second)) <= _SMALL_GLIDE:
        return ()
    first, second = (mean_evaporating_temperature(at.cycle) for at in (found.first, found.second))
    by = show(abs(second - first), "temperature difference", system)
    if equal == "mean" or float(by.split()[0]) == 0.0:
        return ("A blend with glide is compared here by the middle of each coil, which is nearer to what the air at the coil meets.",) if equal == "mean" else ()
    colder = found.second if second < first else found.first
    return (
        f"A blend boils below its dew point along most of the coil: with equal dew temperatures the evaporator of {colder.cycle.refrigerant} is on average "
        f"{by} colder than the other. Choose mean to compare both at equal mean temperatures.",
    )
