"""Reading and showing quantities with their units, at the edge of the library.

What lives here: text to SI and SI to text, in SI and IP; gauge and absolute pressure;
temperature and temperature difference; the air pressure at an altitude.
What does not: anything of refrigeration.  Inside the library every number is SI:
K, Pa (absolute), J/kg, J/(kg K), kg/m3, W, kg/s.

A *kind* says what a number measures (one of `KINDS`).  A temperature and a
temperature difference are two kinds: 5 C is 278.15 K as a temperature and 5 K as a
difference, and neither is ever converted as if it were the other.
"""

from __future__ import annotations

import math
import re
from functools import cache, partial

from hpteach.errors import HpteachError, LimitError, Measure, UnitError, UnknownNameError
from hpteach.unit_spellings import BASE_LABELS, EXAMPLES, KINDS, SHARED, SHOWN, UNITS, Shown, fold_unit

STANDARD_ATMOSPHERE = 101325.0
"""Pa; the standard atmosphere (ISO 2533, exact by definition)."""

SYSTEMS = ("SI", "IP")

_NUMBER = re.compile(r"\s*([+-]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][+-]?[0-9]{1,3})?)\s*(.*?)\s*\Z", re.DOTALL)
_LONGEST = 60
_MOST_DECIMALS = 4
_LAST_FIGURE = 1e-12
"""Share by which floating point may move a limit on its way to another unit and back; `read` rounds it off."""


def read(text: str, kind: str, *, atmosphere: float = STANDARD_ATMOSPHERE) -> float:
    """A quantity written as text, in SI base units.

    `text` is a number and a unit ("45C", "113 F", "118psig", "5 K"); `kind` is one of
    `KINDS`; `atmosphere` (Pa) is added to gauge pressures.  "pressure" accepts gauge
    and absolute units and returns Pa absolute; "gauge pressure" returns Pa gauge and
    accepts gauge units only.  Bare bar, kPa and MPa are absolute, as SI has it; psi
    alone is refused because it does not say, but for a "pressure difference", which
    counts from no zero and takes any unit of pressure.  Inches, millimetres and microns of mercury
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
        raise UnitError(f"a quantity of {len(text)} characters is too long: write a number and a unit, as {EXAMPLES[kind]}")
    match = _NUMBER.match(_with_point(re.sub("[\u2012\u2013\u2212]", "-", text)))
    if not match:
        raise UnitError(f"{text!r} is not a number with a unit: write the {kind} as {EXAMPLES[kind]}")
    number, spelling = float(match[1]), match[2]
    measures, unit = _unit_called(spelling, kind, text)
    if not math.isfinite(number):
        raise LimitError(f"{kind} of {text.strip()} is not a finite number: write it as {EXAMPLES[kind]}")
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


def unit_shown(kind: str, system: str = "SI") -> Shown:
    """The unit in which a kind is shown: its label and its usual number of decimals.  Raises `UnknownNameError` for another kind or system.

    >>> unit_shown("pressure", "IP").label
    'psia'
    """
    _known_kind(kind)
    if system not in SYSTEMS:
        raise UnknownNameError.among("unit system", system, SYSTEMS)
    return SHOWN[kind][1 + SYSTEMS.index(system)]


def base_unit(kind: str) -> str:
    """The SI base unit in which a kind is computed, as it is written beside a number; "" for a ratio.

    >>> base_unit("power"), base_unit("temperature difference"), base_unit("gauge pressure"), base_unit("ratio")
    ('W', 'K', 'Pa gauge', '')
    """
    _known_kind(kind)
    apart = {"gauge pressure": "Pa gauge", "humidity ratio": "kg/kg", "share": "of 1"}
    return apart.get(kind) or BASE_LABELS[SHOWN[kind][0]]


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
    # 60 C is 333.15 K, but for the last figure of floating point, which is no reason to quote 59.9 C.
    return next(value for value in both if step * value >= step * measure.value - _LAST_FIGURE * abs(measure.value))


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
    found = UNITS.get(fold_unit(spelling))
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
    folded = fold_unit(spelling)
    if folded == "psi" and kind == "pressure difference":
        return kind, "psi"  # a difference counts from no zero, so that psi alone says enough
    if folded == "psi":
        raise UnitError(f"'{text.strip()}' does not say gauge or absolute: write psig or psia")
    found = UNITS.get(folded)
    if found is None:
        raise UnitError(f"unit {spelling[:20]!r} in {text.strip()!r} is not known: write the {kind} as {EXAMPLES[kind]}")
    measures, unit = found
    if unit == "percent" and kind in ("ratio", "relative humidity", "share"):
        return kind, unit
    if (measures == "ratio" and kind not in ("ratio", "share")) or (kind == "share" and not folded):
        raise UnitError(f"{text.strip()!r} has no unit of {kind}: write it as {EXAMPLES[kind]}")
    if measures not in SHARED.get(kind, (kind,)):
        found, wanted = (f"{'an' if name[0] in 'aeiou' else 'a'} {name}" for name in (measures, kind))
        raise UnitError(f"{text.strip()!r} is {found}, not {wanted}: write it as {EXAMPLES[kind]}")
    return measures, unit


def _into_base(number: float, unit: str, measures: str, kind: str, text: str, atmosphere: float) -> float:
    if kind == "temperature difference":
        unit = {"degC": "kelvin", "degF": "delta_degF", "degR": "delta_degF"}.get(unit, unit)
    factor, offset = _to_base(unit, SHOWN[kind][0])
    # Rounded to 13 figures, so that 45 C is 318.15 K and not 318.15000000000003 K.
    value = float(f"{number * factor + offset:.13g}")
    if not math.isfinite(value):
        raise LimitError(f"{kind} of {text.strip()} is too large to compute with: write it as {EXAMPLES[kind]}")
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
    if kind not in SHOWN:
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
    factor, offset = _to_base(shown.unit, SHOWN[kind][0])
    return 1.0 / factor, -offset / factor
