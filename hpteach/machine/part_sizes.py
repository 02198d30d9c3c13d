"""Sizes of a machine as texts with a unit: "33 cm3", "1000 W/K", "0.56 m3/s".

What lives here: the units in which a machine file may state its sizes, SI and those of the trade.
What does not: the files (machine_files); the kinds that other rooms read too, which are those of units.

A size is written in a handy unit where that reads back to the very same number, and in SI where it does not.
"""

from __future__ import annotations

import re
from decimal import Decimal

from hpteach import units
from hpteach.errors import UnitError

_ONE, _KILO, _BTU, _POUND, _FOOT = Decimal(1), Decimal(1000), Decimal("1055.056"), Decimal("0.45359237"), Decimal("0.3048")
_INCH, _F_PER_K, _HOUR = _FOOT / 12, Decimal("1.8"), Decimal(3600)

# Kinds that `units` does not read.  Decimal, because 33 cm3 must be 33e-6 m3 to the last bit.  Sources: the exact definitions of foot, pound
# and standard gravity; the Btu is that of `units` (1055.056 J, ISO 31-4 by way of pint).
_UNITS: dict[str, dict[str, Decimal]] = {
    "mass": {"kg": _ONE, "g": 1 / _KILO, "lb": _POUND, "oz": _POUND / 16},
    "length": {"m": _ONE, "mm": 1 / _KILO, "in": _INCH, "ft": _FOOT},
    "area": {"m2": _ONE, "cm2": Decimal("1e-4"), "mm2": Decimal("1e-6"), "ft2": _FOOT**2, "in2": _INCH**2},
    "volume": {"m3": _ONE, "l": Decimal("1e-3"), "dm3": Decimal("1e-3"), "cm3": Decimal("1e-6"), "ft3": _FOOT**3, "in3": _INCH**3},
    "rotation": {"rev/s": _ONE, "rev/min": _ONE / 60, "rpm": _ONE / 60},
    "pressure difference": {"Pa": _ONE, "kPa": _KILO, "mbar": 100 * _ONE, "bar": 100 * _KILO, "MPa": _KILO**2, "psi": _POUND * Decimal("9.80665") / _INCH**2},
    "conductance": {"W/K": _ONE, "kW/K": _KILO, "Btu/h/F": _BTU / _HOUR * _F_PER_K},
    "heat capacity": {"J/K": _ONE, "kJ/K": _KILO, "Btu/F": _BTU * _F_PER_K},
    "thermal conductivity": {"W/(m K)": _ONE, "Btu/(h ft F)": _BTU / _HOUR * _F_PER_K / _FOOT},
}

# kind: (the SI unit of `units` in which every digit counts, an example)
_OTHERS = {
    "temperature": ("K", "115 C"), "temperature difference": ("K", "6 K"), "power": ("W", "160 W"), "volume flow": ("m3/s", "0.56 m3/s"),
    "mass flow": ("kg/s", "0.045 kg/s"), "density": ("kg/m3", "28 kg/m3"), "ratio": ("", "70 %"),
}  # fmt: skip

_EXAMPLES = {
    "mass": "2.0 kg", "length": "1.6 mm", "area": "1.5 mm2", "volume": "33 cm3", "rotation": "48 rev/s", "pressure difference": "15 kPa",
    "conductance": "1000 W/K", "heat capacity": "9 kJ/K", "thermal conductivity": "0.2 W/(m K)",
    **{kind: example for kind, (_, example) in _OTHERS.items()},
}  # fmt: skip

KINDS = tuple(_EXAMPLES)
"""What a size can be."""

# In which units a size is written: the first in which its figure is 1 or more, else the last.
_WRITTEN = {
    "length": ("mm",), "area": ("m2", "mm2"), "volume": ("l", "cm3"), "pressure difference": ("kPa",), "heat capacity": ("kJ/K",),
}  # fmt: skip


_NUMBER = re.compile(r"\s*([+-]?(?:[0-9]+(?:[.,][0-9]*)?|[.,][0-9]+)(?:[eE][+-]?[0-9]{1,3})?)\s*(.*?)\s*\Z", re.DOTALL)
_LONGEST_HANDY = 30


def allowed(kind: str) -> str:
    """How a size of a kind is written, for a refusal; `kind` is a key of `KINDS`.

    >>> allowed("mass")
    "a text such as '2.0 kg', in kg, g, lb, oz"
    """
    if kind == "ratio":
        return "a number, or a text such as '70 %'"
    return f"a text such as '{_EXAMPLES[kind]}'" + (f", in {', '.join(_UNITS[kind])}" if kind in _UNITS else "")


def read_size(text: str, kind: str) -> float:
    """A size as text, in SI base units; a difference of pressure knows neither gauge nor absolute.

    Raises `UnitError` for a unit that is missing, unknown or of another kind, `LimitError` for what is no finite number.

    >>> read_size("33 cm3", "volume"), read_size("1000 Btu/h/F", "conductance"), read_size("10 psi", "pressure difference")
    (3.3e-05, 527.528, 68947.57)
    """
    match = _NUMBER.match(re.sub("[\u2012\u2013\u2212]", "-", text))
    if kind not in _UNITS:
        value = units.read(text, kind)
        exact = match and match[2] == _OTHERS[kind][0]  # units rounds to 13 figures
        return float(match[1].replace(",", ".")) if exact else value
    if not match or not match[2]:
        raise UnitError(f"{text[:40]!r} is not a number with a unit")
    if _fold(match[2]) not in _FOLDED[kind]:
        raise UnitError(f"{match[2][:20]!r} is no unit of {kind} here")
    units.read(match[1], "ratio")  # refuses what is no finite number, or has a comma that may part thousands
    return float(Decimal(match[1].replace(",", ".")) * _FOLDED[kind][_fold(match[2])])


def size_text(value: float, kind: str) -> str:
    """A size in SI as text that `read_size` reads back to the last bit.

    >>> size_text(3.3e-05, "volume"), size_text(388.15, "temperature"), size_text(0.1 + 0.2, "mass")
    ('33 cm3', '115 C', '0.30000000000000004 kg')
    """
    figure = repr(float(value))
    if kind == "temperature":
        handy = f"{_short(Decimal(figure) - Decimal('273.15'))} C"
    else:
        written = _WRITTEN.get(kind, ())
        unit = next((one for one in written if abs(value) >= _UNITS[kind][one]), written[-1] if written else "")
        handy = f"{_short(Decimal(figure) / _UNITS[kind][unit])} {unit}" if unit else ""
    if handy and len(handy) <= _LONGEST_HANDY and read_size(handy, kind) == value:
        return handy
    base = _OTHERS[kind][0] if kind in _OTHERS else next(iter(_UNITS[kind]))
    return f"{figure.removesuffix('.0')} {base}".rstrip()


def _fold(unit: str) -> str:
    """A spelling without case, blanks, dots, brackets and any stroke but the first: Btu/(hr ft °F) and Btu/h/ft/F are one."""
    if unit.startswith("mP"):  # a thousandth of a pascal is not meant by anybody, and no megapascal either
        return unit
    plain = re.sub(r"[\s()·.*°-]", "", unit.replace("²", "2").replace("³", "3")).lower().replace("hr", "h")
    first, *others = plain.split("/")
    return f"{first}/{''.join(others)}" if others else first


_FOLDED = {kind: {_fold(unit): factor for unit, factor in known.items()} for kind, known in _UNITS.items()}


def _short(figure: Decimal) -> str:
    text = f"{figure:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text
