"""The kinds of quantity and their units: in which unit each is shown, and how units are spelled.

What lives here: two tables.  What does not: reading and showing by them (units).
"""

from __future__ import annotations

import re
from dataclasses import dataclass


@dataclass(frozen=True)
class Shown:
    """How a kind is written in one system: the pint unit, the label and the decimals."""

    unit: str
    label: str
    decimals: int


SHOWN: dict[str, tuple[str, Shown, Shown]] = {
    # kind: (base unit inside, shown in SI, shown in IP)
    "temperature": ("kelvin", Shown("degC", "°C", 1), Shown("degF", "°F", 1)),
    "temperature difference": ("kelvin", Shown("kelvin", "K", 1), Shown("delta_degF", "°F", 1)),
    "pressure": ("pascal", Shown("bar", "bar", 2), Shown("psi", "psia", 1)),
    "gauge pressure": ("pascal", Shown("bar", "bar g", 2), Shown("psi", "psig", 1)),
    "pressure difference": ("pascal", Shown("bar", "bar", 2), Shown("psi", "psi", 1)),
    "specific energy": ("J/kg", Shown("kJ/kg", "kJ/kg", 1), Shown("Btu/lb", "Btu/lb", 2)),
    "specific entropy": ("J/kg/kelvin", Shown("kJ/kg/kelvin", "kJ/(kg·K)", 4), Shown("Btu/lb/delta_degF", "Btu/(lb·°R)", 4)),
    "density": ("kg/m**3", Shown("kg/m**3", "kg/m³", 2), Shown("lb/ft**3", "lb/ft³", 3)),
    "specific volume": ("m**3/kg", Shown("dm**3/kg", "dm³/kg", 3), Shown("ft**3/lb", "ft³/lb", 4)),
    "power": ("watt", Shown("kilowatt", "kW", 2), Shown("Btu/hour", "Btu/h", 0)),
    "electric power": ("watt", Shown("kilowatt", "kW", 2), Shown("kilowatt", "kW", 2)),
    "mass flow": ("kg/s", Shown("kg/s", "kg/s", 4), Shown("lb/hour", "lb/h", 1)),
    "volume flow": ("m**3/s", Shown("m**3/hour", "m³/h", 2), Shown("ft**3/minute", "ft³/min", 2)),
    "air flow": ("m**3/s", Shown("m**3/hour", "m³/h", 0), Shown("ft**3/minute", "ft³/min", 0)),
    "water flow": ("kg/s", Shown("kg/hour", "kg/h", 2), Shown("lb/hour", "lb/h", 2)),
    "humidity ratio": ("", Shown("g/kg", "g/kg", 2), Shown("grain/lb", "gr/lb", 1)),
    "relative humidity": ("", Shown("percent", "%", 0), Shown("percent", "%", 0)),
    "volumetric capacity": ("J/m**3", Shown("kJ/m**3", "kJ/m³", 0), Shown("Btu/ft**3", "Btu/ft³", 1)),
    "length": ("metre", Shown("metre", "m", 0), Shown("foot", "ft", 0)),
    "thickness": ("metre", Shown("millimetre", "mm", 2), Shown("inch", "in", 3)),
    "mass": ("kg", Shown("kg", "kg", 2), Shown("lb", "lb", 2)),
    "carbon dioxide equivalent": ("kg", Shown("metric_ton", "t CO2e", 2), Shown("metric_ton", "t CO2e", 2)),
    "volume": ("m**3", Shown("m**3", "m³", 1), Shown("ft**3", "ft³", 0)),
    "cylinder volume": ("m**3", Shown("litre", "L", 1), Shown("ft**3", "ft³", 2)),
    "vacuum": ("pascal", Shown("millibar", "mbar", 2), Shown("micrometer_Hg", "micron", 0)),
    "duration": ("second", Shown("minute", "min", 1), Shown("minute", "min", 1)),
    "heat": ("joule", Shown("kilojoule", "kJ", 0), Shown("Btu", "Btu", 0)),
    "energy": ("joule", Shown("kWh", "kWh", 0), Shown("kWh", "kWh", 0)),
    "ratio": ("", Shown("", "", 3), Shown("", "", 3)),
    "share": ("", Shown("percent", "%", 1), Shown("percent", "%", 1)),
}

KINDS = tuple(SHOWN)
"""What a number may measure."""

BASE_LABELS = {
    "kelvin": "K", "pascal": "Pa", "J/kg": "J/kg", "J/kg/kelvin": "J/(kg K)", "kg/m**3": "kg/m3", "m**3/kg": "m3/kg", "watt": "W", "kg/s": "kg/s",
    "m**3": "m3", "m**3/s": "m3/s", "J/m**3": "J/m3", "metre": "m", "kg": "kg", "second": "s", "joule": "J", "": "",
}  # fmt: skip
"""How the base units are written beside a number in SI."""

SHARED = {
    "electric power": ("power",),
    "pressure": ("absolute pressure", "gauge pressure"),
    "pressure difference": ("pressure difference", "absolute pressure", "gauge pressure"),
    "temperature difference": ("temperature", "temperature difference"),
    "air flow": ("volume flow",),
    "water flow": ("mass flow",),
    "energy": ("heat",),
    "thickness": ("thickness", "length"),
    "carbon dioxide equivalent": ("carbon dioxide equivalent", "mass"),
    "cylinder volume": ("volume",),
    "vacuum": ("absolute pressure",),
    "share": ("ratio",),
}
"""Whose units a kind takes, where not its own."""

EXAMPLES = {
    "temperature": "5C, 41F or 278.15K",
    "temperature difference": "5K or 9F",
    "pressure": "8.5bar, 800kPa, 118psig or 133psia",
    "gauge pressure": "7.5barg or 118psig",
    "pressure difference": "1.5bar, 150kPa or 22psi",
    "specific energy": "40kJ/kg or 17Btu/lb",
    "specific entropy": "1.75kJ/kgK or 0.42Btu/lbR",
    "density": "30kg/m3 or 1.9lb/ft3",
    "specific volume": "30dm3/kg or 0.5ft3/lb",
    "power": "10kW, 34000Btu/h or 3ton",
    "electric power": "2.5kW or 160W",
    "mass flow": "0.05kg/s or 400lb/h",
    "volume flow": "6m3/h or 3.5ft3/min",
    "air flow": "2000m3/h or 1200ft3/min",
    "water flow": "1.5kg/h or 3.3lb/h",
    "humidity ratio": "8g/kg or 56gr/lb",
    "relative humidity": "50%",
    "volumetric capacity": "4000kJ/m3 or 107Btu/ft3",
    "length": "1600m or 5250ft",
    "thickness": "0.3mm or 0.012in",
    "mass": "2kg or 4.4lb",
    "carbon dioxide equivalent": "4.2t or 4200kg",
    "volume": "30m3 or 1060ft3",
    "cylinder volume": "12L or 0.42ft3",
    "vacuum": "0.67mbar, 67Pa or 500micron",
    "duration": "60min, 1h or 90s",
    "heat": "1400kJ, 0.4kWh or 1300Btu",
    "energy": "500kWh or 1800MJ",
    "ratio": "0.7 or 70%",
    "share": "12%",
}

# Spelling, folded by `fold_unit`, to (what it measures, unit for pint).
UNITS: dict[str, tuple[str, str]] = {}


def fold_unit(spelling: str) -> str:
    """A spelling without blanks, dots, brackets, degree signs and capitals, but for the M of MPa: m would be milli."""
    kept = re.sub(r"[\s()\[\]·.*°º]", "", spelling).replace("³", "3").replace("℃", "C").replace("℉", "F").replace("∆", "Δ")
    folded = kept.lower()
    return kept[0] + folded[1:] if folded.startswith("mpa") else folded


def _spell(measures: str, unit: str, *spellings: str) -> None:
    for spelling in spellings:
        UNITS[fold_unit(spelling)] = (measures, unit)


_spell("temperature", "degC", "C", "deg C", "degree C", "degrees C", "celsius", "deg celsius", "degree celsius", "degrees celsius", "centigrade")
_spell("temperature", "degF", "F", "deg F", "degree F", "degrees F", "fahrenheit", "deg fahrenheit", "degree fahrenheit", "degrees fahrenheit")
_spell("temperature", "kelvin", "K", "kelvin", "kelvins", "deg K", "degree K", "degrees K", "degrees kelvin")
_spell("temperature", "degR", "R", "deg R", "degree R", "degrees R", "rankine", "degrees rankine")
_spell("temperature difference", "kelvin", "ΔC", "ΔK", "delta C", "delta K", "K diff")
_spell("temperature difference", "delta_degF", "ΔF", "ΔR", "delta F", "delta R")
_spell("absolute pressure", "pascal", "Pa")
_spell("absolute pressure", "kilopascal", "kPa", "kPaa", "kPa abs", "kPa absolute")
_spell("absolute pressure", "megapascal", "MPa", "MPaa", "MPa abs", "MPa absolute")
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
_spell("pressure difference", "psi", "psid", "psi diff")
_spell("gauge pressure", "bar", "barg", "bar gauge")
_spell("gauge pressure", "pascal", "Pag", "Pa gauge")
_spell("gauge pressure", "kilopascal", "kPag", "kPa gauge")
_spell("gauge pressure", "megapascal", "MPag", "MPa gauge")
_spell("gauge pressure", "inch_of_vacuum", "inHg vac", "inHg vacuum")
_spell("specific energy", "J/kg", "J/kg")
_spell("specific energy", "kJ/kg", "kJ/kg")
_spell("specific energy", "Btu/lb", "Btu/lb", "Btu/lbm", "Btu/pound")
_spell("specific entropy", "J/kg/kelvin", "J/kgK", "J/kg/K")
_spell("specific entropy", "kJ/kg/kelvin", "kJ/kgK", "kJ/kg/K")
_spell("specific entropy", "Btu/lb/delta_degF", "Btu/lbR", "Btu/lbF", "Btu/lbmR", "Btu/lb/R", "Btu/lb/F")
_spell("density", "kg/m**3", "kg/m3", "kg/m^3")
_spell("density", "lb/ft**3", "lb/ft3", "lb/ft^3", "lbm/ft3")
_spell("specific volume", "m**3/kg", "m3/kg", "m^3/kg")
_spell("specific volume", "dm**3/kg", "dm3/kg", "l/kg")
_spell("specific volume", "ft**3/lb", "ft3/lb", "ft^3/lb")
_spell("power", "watt", "W", "watt", "watts")
_spell("power", "kilowatt", "kW", "kilowatt", "kilowatts")
_spell("power", "Btu/hour", "Btu/h", "BTUH", "Btu/hr", "Btu/hour")
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
_spell("volumetric capacity", "J/m**3", "J/m3", "J/m^3")
_spell("volumetric capacity", "kJ/m**3", "kJ/m3", "kJ/m^3")
_spell("volumetric capacity", "Btu/ft**3", "Btu/ft3", "Btu/ft^3")
_spell("thickness", "millimetre", "mm")
_spell("thickness", "inch", "in", "inch", "inches")
_spell("mass", "kg", "kg")
_spell("mass", "gram", "g")
_spell("mass", "lb", "lb", "lbm", "lbs")
_spell("mass", "ounce", "oz")
_spell("mass", "metric_ton", "t", "tonne", "tonnes")
_spell("carbon dioxide equivalent", "metric_ton", "t CO2e", "t CO2eq", "t CO2", "tonne CO2e", "tonnes CO2e")
_spell("carbon dioxide equivalent", "kg", "kg CO2e", "kg CO2eq", "kg CO2")
_spell("volume", "m**3", "m3", "m^3")
_spell("volume", "litre", "L", "litre", "litres", "liter", "liters", "dm3", "dm^3")
_spell("volume", "ft**3", "ft3", "ft^3", "cu ft")
_spell("volume", "gallon", "gal", "gallon", "gallons")
_spell("duration", "second", "s", "sec")
_spell("duration", "minute", "min", "minute", "minutes")
_spell("duration", "hour", "h", "hr", "hour", "hours")
_spell("heat", "joule", "J")
_spell("heat", "kilojoule", "kJ")
_spell("heat", "megajoule", "MJ")
_spell("heat", "kWh", "kWh")
_spell("heat", "watt_hour", "Wh")
_spell("heat", "Btu", "Btu", "BTU")
_spell("heat", "gigajoule", "GJ")
_spell("heat", "megawatt_hour", "MWh")
_spell("heat", "kiloBtu", "kBtu")
_spell("length", "metre", "m", "metre", "meter")
_spell("length", "foot", "ft", "feet", "foot")
_spell("humidity ratio", "g/kg", "g/kg")
_spell("humidity ratio", "kg/kg", "kg/kg", "lb/lb")
_spell("humidity ratio", "grain/lb", "gr/lb", "grains/lb", "grain/lb")
_spell("relative humidity", "percent", "% RH")
_spell("ratio", "", "", "of 1")
_spell("ratio", "percent", "%", "percent", "per cent")
