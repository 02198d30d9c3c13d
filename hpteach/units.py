"""Reading and showing quantities with their units, at the edge of the library.

What lives here: text to SI and SI to text, in SI and IP; gauge and absolute pressure;
temperature and temperature difference; the air pressure at an altitude.
What does not: anything of refrigeration.  Inside the library every number is SI:
K, Pa (absolute), J/kg, J/(kg K), kg/m3, W, kg/s.

A *kind* says what a number measures (the keys of `KINDS`).  A temperature and a
temperature difference are two kinds: 5 C is 278.15 K as a temperature and 5 K as a
difference, and neither is ever converted as if it were the other.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from functools import cache, partial

from hpteach.errors import HpteachError, LimitError, Measure, UnitError, UnknownNameError

STANDARD_ATMOSPHERE = 101325.0
"""Pa; the standard atmosphere (ISO 2533, exact by definition)."""

SYSTEMS = ("SI", "IP")


@dataclass(frozen=True)
class _Shown:
    """How a kind is written in one system: the pint unit, the label and the decimals."""

    unit: str
    label: str
    decimals: int


_SHOWN: dict[str, tuple[str, _Shown, _Shown]] = {
    # kind: (base unit inside, shown in SI, shown in IP)
    "temperature": ("kelvin", _Shown("degC", "°C", 1), _Shown("degF", "°F", 1)),
    "temperature difference": ("kelvin", _Shown("kelvin", "K", 1), _Shown("delta_degF", "°F", 1)),
    "pressure": ("pascal", _Shown("bar", "bar", 2), _Shown("psi", "psia", 1)),
    "gauge pressure": ("pascal", _Shown("bar", "bar g", 2), _Shown("psi", "psig", 1)),
    "specific energy": ("J/kg", _Shown("kJ/kg", "kJ/kg", 1), _Shown("Btu/lb", "Btu/lb", 2)),
    "specific entropy": ("J/kg/kelvin", _Shown("kJ/kg/kelvin", "kJ/(kg·K)", 4), _Shown("Btu/lb/delta_degF", "Btu/(lb·°R)", 4)),
    "density": ("kg/m**3", _Shown("kg/m**3", "kg/m³", 2), _Shown("lb/ft**3", "lb/ft³", 3)),
    "specific volume": ("m**3/kg", _Shown("dm**3/kg", "dm³/kg", 3), _Shown("ft**3/lb", "ft³/lb", 4)),
    "power": ("watt", _Shown("kilowatt", "kW", 2), _Shown("Btu/hour", "Btu/h", 0)),
    "mass flow": ("kg/s", _Shown("kg/s", "kg/s", 4), _Shown("lb/hour", "lb/h", 1)),
    "volume flow": ("m**3/s", _Shown("m**3/hour", "m³/h", 2), _Shown("ft**3/minute", "ft³/min", 2)),
    "volumetric capacity": ("J/m**3", _Shown("kJ/m**3", "kJ/m³", 0), _Shown("Btu/ft**3", "Btu/ft³", 1)),
    "length": ("metre", _Shown("metre", "m", 0), _Shown("foot", "ft", 0)),
    "ratio": ("", _Shown("", "", 3), _Shown("", "", 3)),
}

KINDS = tuple(_SHOWN)

_EXAMPLES = {
    "temperature": "5C, 41F or 278.15K",
    "temperature difference": "5K or 9F",
    "pressure": "8.5bar, 800kPa, 118psig or 133psia",
    "gauge pressure": "7.5barg or 118psig",
    "specific energy": "40kJ/kg or 17Btu/lb",
    "specific entropy": "1.75kJ/kgK or 0.42Btu/lbR",
    "density": "30kg/m3 or 1.9lb/ft3",
    "specific volume": "30dm3/kg or 0.5ft3/lb",
    "power": "10kW, 34000Btu/h or 3ton",
    "mass flow": "0.05kg/s or 400lb/h",
    "volume flow": "6m3/h or 3.5ft3/min",
    "volumetric capacity": "4000kJ/m3 or 107Btu/ft3",
    "length": "1600m or 5250ft",
    "ratio": "0.7 or 70%",
}

# Spelling, folded by `_fold_unit`, to (what it measures, unit for pint).
_UNITS: dict[str, tuple[str, str]] = {}


def _fold_unit(spelling: str) -> str:
    """A spelling without blanks, dots, brackets, degree signs and capitals, but for the M of MPa: m would be milli."""
    kept = re.sub(r"[\s()\[\]·.*°º]", "", spelling).replace("³", "3").replace("℃", "C").replace("℉", "F").replace("∆", "Δ")
    folded = kept.lower()
    return kept[0] + folded[1:] if folded.startswith("mpa") else folded


def _spell(measures: str, unit: str, *spellings: str) -> None:
    for spelling in spellings:
        _UNITS[_fold_unit(spelling)] = (measures, unit)


_spell("temperature", "degC", "C", "deg C", "degree C", "degrees C", "celsius")
_spell("temperature", "degF", "F", "deg F", "degree F", "degrees F", "fahrenheit")
_spell("temperature", "kelvin", "K", "kelvin")
_spell("temperature", "degR", "R", "deg R", "rankine")
_spell("temperature difference", "kelvin", "ΔC", "ΔK", "delta C", "delta K", "K diff")
_spell("temperature difference", "delta_degF", "ΔF", "ΔR", "delta F", "delta R")
_spell("absolute pressure", "pascal", "Pa")
_spell("absolute pressure", "kilopascal", "kPa", "kPaa", "kPa abs")
_spell("absolute pressure", "megapascal", "MPa", "MPaa", "MPa abs")
_spell("absolute pressure", "hectopascal", "hPa")
_spell("absolute pressure", "bar", "bar", "bara", "bar abs", "bar absolute")
_spell("absolute pressure", "millibar", "mbar")
_spell("absolute pressure", "psi", "psia", "psi abs", "psi absolute")
_spell("absolute pressure", "atm", "atm")
_spell("absolute pressure", "inch_Hg", "inHg")
_spell("absolute pressure", "mmHg", "mmHg")
_spell("absolute pressure", "torr", "torr")
_spell("absolute pressure", "micrometer_Hg", "micron", "microns", "micron Hg")
_spell("gauge pressure", "psi", "psig", "psi gauge")
_spell("gauge pressure", "bar", "barg", "bar gauge")
_spell("gauge pressure", "kilopascal", "kPag", "kPa gauge")
_spell("gauge pressure", "megapascal", "MPag", "MPa gauge")
_spell("gauge pressure", "inch_of_vacuum", "inHg vac", "inHg vacuum")
_spell("specific energy", "J/kg", "J/kg")
_spell("specific energy", "kJ/kg", "kJ/kg")
_spell("specific energy", "Btu/lb", "Btu/lb", "Btu/lbm")
_spell("specific entropy", "J/kg/kelvin", "J/kgK", "J/kg/K")
_spell("specific entropy", "kJ/kg/kelvin", "kJ/kgK", "kJ/kg/K")
_spell("specific entropy", "Btu/lb/delta_degF", "Btu/lbR", "Btu/lbF", "Btu/lbmR", "Btu/lb/R", "Btu/lb/F")
_spell("density", "kg/m**3", "kg/m3", "kg/m^3")
_spell("density", "lb/ft**3", "lb/ft3", "lb/ft^3", "lbm/ft3")
_spell("specific volume", "m**3/kg", "m3/kg", "m^3/kg")
_spell("specific volume", "dm**3/kg", "dm3/kg", "l/kg")
_spell("specific volume", "ft**3/lb", "ft3/lb", "ft^3/lb")
_spell("power", "watt", "W", "watt")
_spell("power", "kilowatt", "kW")
_spell("power", "Btu/hour", "Btu/h", "BTUH", "Btu/hr")
_spell("power", "kBtu/hour", "kBtu/h", "MBH")
_spell("power", "ton_of_refrigeration", "ton", "tons", "TR")
_spell("mass flow", "kg/s", "kg/s")
_spell("mass flow", "g/s", "g/s")
_spell("mass flow", "kg/minute", "kg/min")
_spell("mass flow", "kg/hour", "kg/h", "kg/hr")
_spell("mass flow", "lb/hour", "lb/h", "lb/hr", "lbm/h")
_spell("mass flow", "lb/minute", "lb/min", "lbm/min")
_spell("volume flow", "m**3/s", "m3/s", "m^3/s")
_spell("volume flow", "m**3/hour", "m3/h", "m^3/h", "m3/hr")
_spell("volume flow", "dm**3/s", "l/s", "dm3/s")
_spell("volume flow", "ft**3/minute", "ft3/min", "ft^3/min", "cfm")
_spell("volumetric capacity", "kJ/m**3", "kJ/m3", "kJ/m^3")
_spell("volumetric capacity", "Btu/ft**3", "Btu/ft3", "Btu/ft^3")
_spell("length", "metre", "m", "metre", "meter")
_spell("length", "foot", "ft", "feet", "foot")
_spell("ratio", "", "")
_spell("ratio", "percent", "%", "percent", "per cent")

_NUMBER = re.compile(r"\s*([+-]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][+-]?[0-9]{1,3})?)\s*(.*?)\s*\Z", re.DOTALL)
_LONGEST = 60
_MOST_DECIMALS = 4


def read(text: str, kind: str, *, atmosphere: float = STANDARD_ATMOSPHERE) -> float:
    """A quantity written as text, in SI base units.

    `text` is a number and a unit ("45C", "113 F", "118psig", "5 K"); `kind` is one of
    `KINDS`; `atmosphere` (Pa) is added to gauge pressures.  "pressure" accepts gauge
    and absolute units and returns Pa absolute; "gauge pressure" returns Pa gauge and
    accepts gauge units only.  Bare bar, kPa and MPa are absolute, as SI has it; psi
    alone is refused because it does not say.  Inches, millimetres and microns of mercury
    count from a vacuum, and "inHg vac" from the air down.  A single comma is the decimal mark ("7,5C"), unless three figures
    follow it, which could be thousands.

    Raises `UnitError` where the unit is missing, unknown, ambiguous or of another
    quantity, and `LimitError` below absolute zero, at a vacuum or beyond finite numbers.

    >>> read("45C", "temperature")
    318.15
    >>> read("9F", "temperature difference")
    5.0
    >>> read("118psig", "pressure")
    914906.4
    """
    _known_kind(kind)
    if not 0.0 < atmosphere < math.inf:
        raise LimitError(f"air pressure of {atmosphere:g} Pa cannot be: use a positive one, such as {STANDARD_ATMOSPHERE:g} Pa")
    if len(text) > _LONGEST:
        raise UnitError(f"a quantity of {len(text)} characters is too long: write a number and a unit, as {_EXAMPLES[kind]}")
    match = _NUMBER.match(_with_point(re.sub("[\u2012\u2013\u2212]", "-", text)))
    if not match:
        raise UnitError(f"{text!r} is not a number with a unit: write the {kind} as {_EXAMPLES[kind]}")
    number, spelling = float(match[1]), match[2]
    measures, unit = _unit_called(spelling, kind, text)
    if not math.isfinite(number):
        raise LimitError(f"{kind} of {text.strip()} is not a finite number: write it as {_EXAMPLES[kind]}")
    return _into_base(number, unit, measures, kind, text, atmosphere)


def show(value: float, kind: str, system: str = "SI", *, atmosphere: float = STANDARD_ATMOSPHERE, decimals: int | None = None) -> str:
    """A quantity in SI base units as text with its unit, in the system "SI" or "IP".

    "gauge pressure" takes Pa absolute and writes what a gauge reads at `atmosphere`
    (Pa).  `decimals` overrides the usual number of decimals.

    >>> show(318.15, "temperature"), show(5.0, "temperature difference", "IP")
    ('45.0 °C', '9.0 °F')
    >>> show(914906.4, "gauge pressure", "IP")
    '118.0 psig'
    """
    number = shown_number(value, kind, system, atmosphere=atmosphere)
    places = unit_shown(kind, system).decimals if decimals is None else decimals
    label = unit_shown(kind, system).label
    text = f"{number:.{places}f}"
    if float(text) == 0:
        text = text.lstrip("-")
    return f"{text} {label}".rstrip()


def shown_number(value: float, kind: str, system: str = "SI", *, atmosphere: float = STANDARD_ATMOSPHERE) -> float:
    """The number alone, as `show` would write it before rounding; also works on arrays.

    >>> round(shown_number(278.15, "temperature", "IP"), 6)
    41.0
    """
    factor, offset = _line(kind, system)
    if kind == "gauge pressure":
        value = value - atmosphere
    return value * factor + offset


def base_number(number: float, kind: str, system: str = "SI", *, atmosphere: float = STANDARD_ATMOSPHERE) -> float:
    """The SI value of a bare number in the unit that `show` uses; the inverse of `shown_number`.

    >>> base_number(41.0, "temperature", "IP")
    278.15
    """
    factor, offset = _line(kind, system)
    value = (number - offset) / factor
    return value + atmosphere if kind == "gauge pressure" else value


def unit_shown(kind: str, system: str = "SI") -> _Shown:
    """The unit in which a kind is shown: its label and its usual number of decimals.

    >>> unit_shown("pressure", "IP").label
    'psia'
    """
    _known_kind(kind)
    if system not in SYSTEMS:
        raise UnknownNameError.among("unit system", system, SYSTEMS)
    return _SHOWN[kind][1 + SYSTEMS.index(system)]


def sentence(error: HpteachError, system: str = "SI", *, atmosphere: float = STANDARD_ATMOSPHERE) -> str:
    """A refusal with its quantities in the reader's units.

    Quantities of one kind that differ, but would look alike, get more decimals, up to 4.

    >>> sentence(LimitError("superheat of {given} is negative", given=Measure(-5.0, "temperature difference")), "IP")
    'superheat of -9.0 °F is negative'
    >>> sentence(LimitError("{given} is not below {limit}", given=Measure(310.154, "temperature"), limit=Measure(310.15, "temperature")))
    '37.004 °C is not below 37.000 °C'
    """
    shown = partial(_in_few_figures, system=system, atmosphere=atmosphere)
    measures = error.measures.values()

    def different(kind: str, decimals: int) -> int:
        return len({shown(value, of, decimals=decimals) for value, of, _ in measures if of == kind})

    decimals = {}
    for _, kind, _ in measures:
        enough = range(unit_shown(kind, system).decimals, _MOST_DECIMALS + 1)
        decimals[kind] = next(n for n in enough if different(kind, n) == different(kind, _MOST_DECIMALS))
    return error.sentence(lambda one: shown(_inward(one, decimals[one.kind], system, atmosphere), one.kind, decimals=decimals[one.kind]))


def _inward(measure: Measure, decimals: int, system: str, atmosphere: float) -> float:
    """The value of a measure; a limit is moved to the nearest number shown on its allowed side."""
    number = shown_number(measure.value, measure.kind, system, atmosphere=atmosphere)
    if not measure.bound or abs(number) < 10.0**-decimals:
        return measure.value
    step = {"most": -1, "least": 1}[measure.bound]
    whole = round(number * 10.0**decimals)
    both = (base_number(n / 10.0**decimals, measure.kind, system, atmosphere=atmosphere) for n in (whole, whole + step))
    return next(value for value in both if step * value >= step * measure.value)


def atmosphere_at(altitude: float) -> float:
    """The air pressure (Pa) at an altitude (m) in the standard atmosphere.

    p = 101325 (1 - 2.25577e-5 z)^5.2559, for -500 to 5000 m.

    Source: ASHRAE Handbook - Fundamentals, chapter Psychrometrics, equation 3 (from
    memory, not seen here).  Raises `LimitError` outside the range.

    >>> round(atmosphere_at(1600.0))
    83523
    """
    if not -500.0 <= altitude <= 5000.0:
        raise LimitError(
            "altitude of {altitude} is outside the standard atmosphere's range here: use {least} to {most}, or give the air pressure",
            altitude=Measure(altitude, "length"),
            least=Measure(-500.0, "length"),
            most=Measure(5000.0, "length"),
        )
    return STANDARD_ATMOSPHERE * (1.0 - 2.25577e-5 * altitude) ** 5.2559


def measured_by(spelling: str) -> str | None:
    """What a unit measures, or None where the spelling is unknown.

    >>> measured_by("kJ/kg"), measured_by("psig"), measured_by("furlong")
    ('specific energy', 'gauge pressure', None)
    """
    found = _UNITS.get(_fold_unit(spelling))
    return found[0] if found else None


def _in_few_figures(value: float, kind: str, *, system: str, atmosphere: float, decimals: int) -> str:
    """A quantity as `show` writes it, but with a power of ten where it is huge or next to nothing."""
    number = shown_number(value, kind, system, atmosphere=atmosphere)
    counted_from_elsewhere = kind in ("temperature", "gauge pressure")  # next to nothing is no small thing there
    if abs(number) < 1e6 and (number == 0.0 or abs(number) >= 1e-3 or counted_from_elsewhere):
        return show(value, kind, system, atmosphere=atmosphere, decimals=decimals)
    return f"{number:.4g} {unit_shown(kind, system).label}".rstrip()


def _with_point(text: str) -> str:
    """The text with a decimal comma made a point; refused where a comma can mean something else."""
    number = re.match(r"\s*[+-]?[0-9.,]*", text)[0]
    if "," not in number or not any(figure in number for figure in "0123456789"):
        return text
    if not re.fullmatch(r"\s*[+-]?[0-9]+,(?:[0-9]{1,2}|[0-9]{4,})", number):
        raise UnitError(f"{text.strip()!r} has a comma that may part thousands or decimals: write a decimal point, as in 7.5, or no mark")
    return text.replace(",", ".", 1)


def _unit_called(spelling: str, kind: str, text: str) -> tuple[str, str]:
    folded = _fold_unit(spelling)
    if folded == "psi":
        raise UnitError(f"'{text.strip()}' does not say gauge or absolute: write psig or psia")
    found = _UNITS.get(folded)
    if found is None:
        raise UnitError(f"unit {spelling[:20]!r} in {text.strip()!r} is not known: write the {kind} as {_EXAMPLES[kind]}")
    measures, unit = found
    if measures == "ratio" and kind != "ratio":
        raise UnitError(f"{text.strip()!r} has no unit of {kind}: write it as {_EXAMPLES[kind]}")
    allowed = {
        "pressure": ("absolute pressure", "gauge pressure"),
        "temperature difference": ("temperature", "temperature difference"),
    }.get(kind, (kind,))
    if measures not in allowed:
        article = "an" if measures[0] in "aeiou" else "a"
        raise UnitError(f"{text.strip()!r} is {article} {measures}, not a {kind}: write it as {_EXAMPLES[kind]}")
    return measures, unit


def _into_base(number: float, unit: str, measures: str, kind: str, text: str, atmosphere: float) -> float:
    if kind == "temperature difference":
        unit = {"degC": "kelvin", "degF": "delta_degF", "degR": "delta_degF"}.get(unit, unit)
    factor, offset = _to_base(unit, _SHOWN[kind][0])
    # Rounded to 13 figures, so that 45 C is 318.15 K and not 318.15000000000003 K.
    value = float(f"{number * factor + offset:.13g}")
    if not math.isfinite(value):
        raise LimitError(f"{kind} of {text.strip()} is too large to compute with: write it as {_EXAMPLES[kind]}")
    if measures == "gauge pressure" and kind == "pressure":
        value = float(f"{value + atmosphere:.13g}")
    if kind == "temperature" and value <= 0.0:
        raise LimitError(f"temperature of {text.strip()} is at or below absolute zero (-273.15 °C): use a higher one")
    if kind == "pressure" and value <= 0.0:
        raise LimitError(
            f"pressure of {text.strip()} is a perfect vacuum or below: use a positive absolute pressure "
            f"(a gauge cannot read below -{atmosphere / 1e5:.3f} bar)"
        )
    if kind == "gauge pressure" and value <= -atmosphere:
        raise LimitError(f"gauge pressure of {text.strip()} is a perfect vacuum or below: a gauge cannot read below -{atmosphere / 1e5:.3f} bar")
    if kind in ("density", "specific volume") and value <= 0.0:
        raise LimitError(f"{kind} of {text.strip()} is not positive: use a positive one")
    return value


def _known_kind(kind: str) -> None:
    if kind not in _SHOWN:
        raise UnknownNameError.among("kind of quantity", kind, KINDS)


@cache
def _registry():  # noqa: ANN202 - pint costs half a second, so it is loaded at the first unit
    import pint

    registry = pint.UnitRegistry()
    registry.define("inch_of_vacuum = -1 * inch_Hg")  # counted from the air down
    return registry


@cache
def _to_base(unit: str, base: str) -> tuple[float, float]:
    """(factor, offset) of the straight line from a unit to the base unit."""
    quantity = _registry().Quantity
    zero = quantity(0.0, unit).to(base).magnitude
    # A long span and rounding keep the line's exact figures (1 °F is 5/9 K) from the noise of subtraction.
    factor = (quantity(1e6, unit).to(base).magnitude - zero) / 1e6
    return float(f"{factor:.15g}"), float(f"{zero:.13g}")


@cache
def _line(kind: str, system: str) -> tuple[float, float]:
    """(factor, offset) of the straight line from SI inside to the shown number."""
    shown = unit_shown(kind, system)
    factor, offset = _to_base(shown.unit, _SHOWN[kind][0])
    return 1.0 / factor, -offset / factor
