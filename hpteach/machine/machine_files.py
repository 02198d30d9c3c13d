"""A machine as a TOML file: every size a text with its unit.

What lives here: reading and writing such files, and the demo machines of the (invented) Fernhill Workshop.
What does not: what the sizes mean (machine, coils, metering, compressor), their units (part_sizes).

    read_machine(path) -> Machine -> machine_text(machine) -> the same machine when read again, to the last bit

The keys are those of the dataclasses; DEVELOPERS.md lists them under "Add a machine".
"""

from __future__ import annotations

import json
import math
import textwrap
import tomllib
from collections.abc import Collection, Iterator, Mapping
from dataclasses import MISSING, dataclass, fields
from functools import cache
from importlib import resources
from pathlib import Path
from typing import Any

from hpteach.errors import DataError, HpteachError, UnknownNameError, reason_of
from hpteach.fluids import listing
from hpteach.fluids.catalogue import folded
from hpteach.machine.coils import Coil, PressureLoss
from hpteach.machine.compressor import DisplacementCompressor
from hpteach.machine.compressor_map import CompressorMap
from hpteach.machine.frost_surface import FrostSurface
from hpteach.machine.machine import Machine, WorkingLimits
from hpteach.machine.metering import KINDS, ORIFICE, Metering
from hpteach.machine.part_sizes import allowed, read_size, size_text

DEMO_MACHINES = ("R-410A", "R-454B", "R-32", "R-290", "R-32-variable-speed")
"""The bench unit (invented) for four refrigerants, and once with a speed that varies; demo/bench-unit-NAME.toml."""

_DEMO = "bench-unit-"

# What each table of a file holds, in the order in which it is written: its kind, or the table below it.
_PARTS: dict[type, dict[str, Any]] = {
    DisplacementCompressor: {
        "swept_volume": "volume", "speed": "rotation", "volumetric_best": "ratio", "volumetric_fall": "ratio", "isentropic_best": "ratio",
        "isentropic_fall": "ratio", "best_pressure_ratio": "ratio", "heat_loss": "ratio", "least_speed_ratio": "ratio",
        "most_speed_ratio": "ratio", "speed_fall": "ratio",
    },
    CompressorMap: {"map_superheat": "temperature difference", "heat_loss": "ratio", "superheat_correction": "ratio"},
    Coil: {
        "air_flow": "volume flow", "fan_power": "power", "air_conductance": "conductance", "air_exponent": "ratio",
        "boiling_conductance": "conductance", "condensing_conductance": "conductance", "liquid_conductance": "conductance",
        "vapour_conductance": "conductance", "volume": "volume", "boiling_loss": PressureLoss, "condensing_loss": PressureLoss,
    },
    PressureLoss: {"drop": "pressure difference", "mass_flow": "mass flow", "density": "density"},
    Metering: {"opening": "area", "opens_at": "temperature difference", "fully_open_at": "temperature difference"},
    WorkingLimits: {
        "discharge_temperature": "temperature", "pressure_ratio": "ratio", "least_saturated_suction_temperature": "temperature",
        "saturated_condensing_temperature": "temperature", "least_pressure_ratio": "ratio", "most_saturated_suction_temperature": "temperature",
    },
    FrostSurface: {
        "area": "area", "gap": "length", "metal_heat": "heat capacity", "density": "density", "conductivity": "thermal conductivity",
        "coil_share": "ratio",
    },
}  # fmt: skip
_LINES = {"suction_loss": PressureLoss, "discharge_loss": PressureLoss, "liquid_loss": PressureLoss}
_TABLES = {"indoor_coil": Coil, "outdoor_coil": Coil, "indoor_metering": Metering, "outdoor_metering": Metering, "limits": WorkingLimits, "frost": FrostSurface}
_TOP = ("name", "note", "refrigerant", "charge", "held_aside_in_heating", "compressor", "lines", *_TABLES)
_COMPRESSORS = {"displacement": DisplacementCompressor, "map": CompressorMap}
_MAP = ("refrigerant", "mass_flow_unit", "power_unit", "temperature_unit", "mass_flow_coefficients", "power_coefficients", "suction_range", "discharge_range")

# Above these a size is a slip of the pen or of the unit, whatever the machine: far beyond any that one compressor serves (chosen).
_LARGEST = {
    "charge": "200 kg", "held_aside_in_heating": "200 kg", "swept_volume": "0.01 m3", "speed": "500 rev/s", "air_flow": "50 m3/s", "fan_power": "20 kW",
    "air_conductance": "100 kW/K", "boiling_conductance": "100 kW/K", "condensing_conductance": "100 kW/K", "liquid_conductance": "100 kW/K",
    "vapour_conductance": "100 kW/K", "volume": "1 m3", "opening": "1 cm2", "gap": "10 mm", "area": "10000 m2", "metal_heat": "10000 kJ/K",
    "drop": "10 bar",
}  # fmt: skip

# The powers of the suction and the discharge temperature that C1 to C10 multiply (compressor_map.polynomial_terms).
_POWERS = ((0, 0), (1, 0), (0, 1), (2, 0), (1, 1), (0, 2), (3, 0), (2, 1), (1, 2), (0, 3))


# Reading ------------------------------------------------------------------------------


def read_machine(path: str | Path) -> Machine:
    """The machine of a file.  Raises `DataError` with file, key, value and what is allowed, and where the file cannot be read.

    >>> read_machine("nowhere.toml")
    Traceback (most recent call last):
    hpteach.errors.DataError: nowhere.toml: cannot be read (No such file or directory): name a machine file (TOML)
    """
    name = Path(path).name or str(path)
    try:
        text = Path(path).read_text(encoding="utf-8-sig")
    except UnicodeDecodeError:
        raise DataError(f"{name}: is not text in UTF-8: save it as TOML in UTF-8") from None
    except (OSError, ValueError) as error:
        raise DataError(f"{name}: cannot be read ({reason_of(error)}): name a machine file (TOML)") from None
    return machine_from_text(text, name)


def machine_from_text(text: str, file: str) -> Machine:
    """The machine in TOML text; `file` names it in refusals.  The refrigerant gets its designation, however it is spelled.

    Raises `DataError` with file, key, value and what is allowed.

    >>> machine_from_text("name = 'mine'\\nrefrigerant = 'R-32'\\ncharge = 2.0", "mine.toml")
    Traceback (most recent call last):
    hpteach.errors.DataError: mine.toml: charge = 2.0: allowed is a text such as '2.0 kg', in kg, g, lb, oz
    """
    try:
        data = tomllib.loads(text)
    except (ValueError, RecursionError) as error:  # tomllib's own error is a ValueError; a whole number may also be too long
        raise DataError(f"{file}: not readable as TOML: {error}") from None
    top = _Table(file, "", data)
    top.only(_TOP)
    name, note = top.line("name"), top.line("note") if "note" in data else ""
    refrigerant = top.refrigerant()
    charge, held_aside = (top.value(key, "mass") for key in ("charge", "held_aside_in_heating"))
    parts = {"compressor": _compressor(top.table("compressor"), refrigerant)}
    lines = top.table("lines")
    lines.only(("volume", *_LINES))
    parts["liquid_line_volume"] = lines.value("volume", "volume")
    parts.update({key: lines.value(key, kind) for key, kind in _LINES.items()})
    for key, kind in _TABLES.items():
        table = top.table(key)
        place = {"place": key.replace("_", " ")} if kind is Coil else {}
        parts[key] = _metering(table) if kind is Metering else table.part(kind, **place)
    return top.made(Machine, name=name, note=note, refrigerant=refrigerant, charge=charge, held_aside=held_aside, **parts)


def demo_machine(name: str) -> Machine:
    """A demo machine (invented) by its refrigerant, or by its name in `DEMO_MACHINES`.

    Raises `UnknownNameError` with the nearest names.

    >>> demo_machine("r32").name
    'Fernhill bench unit, R-32 (invented)'
    >>> demo_machine("R-32 variable speed").compressor.least_speed_ratio < 1.0
    True
    """
    known = {folded(one): one for one in DEMO_MACHINES}
    wanted = folded(name).removeprefix(folded(_DEMO))
    if wanted not in known:
        raise UnknownNameError.among("demo machine", str(name), DEMO_MACHINES)
    return _demo(known[wanted])


@cache
def _demo(name: str) -> Machine:
    file = f"{_DEMO}{name}.toml"
    return machine_from_text(resources.files(__package__).joinpath("demo", file).read_text(encoding="utf-8"), file)


@dataclass(frozen=True)
class _Table:
    """A table of a machine file that knows where it stands."""

    file: str
    place: str
    data: Mapping[str, Any]

    def at(self, key: str) -> str:
        return f"{self.place}.{key}" if self.place else key

    def refuse(self, key: str, value: Any, form: str) -> DataError:
        shown = repr(value)
        return DataError(f"{self.file}: {self.at(key)} = {shown if len(shown) <= 80 else shown[:80] + '...'}: allowed is {form}")

    def only(self, keys: Collection[str]) -> None:
        for key in sorted(set(self.data) - set(keys)):
            raise self.refuse(key, self.data[key], "only the keys " + ", ".join(keys))

    def there(self, key: str, form: str) -> Any:
        if key not in self.data:
            raise DataError(f"{self.file}: {self.at(key)} is missing: write {form}")
        return self.data[key]

    def text(self, key: str, form: str = "a text") -> str:
        value = self.there(key, form)
        if not isinstance(value, str) or not value.strip():
            raise self.refuse(key, value, form)
        return value

    def line(self, key: str) -> str:
        """A text that is shown as it stands, so nothing in it may act upon a terminal or begin a line of its own."""
        value = self.text(key)
        if not value.isprintable():
            raise self.refuse(key, value, "a text in one line, without tabs and control characters")
        return value

    def one_of(self, key: str, known: Collection[str]) -> str:
        value = self.text(key, form := "one of " + ", ".join(known))
        if value not in known:
            raise self.refuse(key, value, form)
        return value

    def refrigerant(self) -> str:
        value = self.text("refrigerant", "a refrigerant such as 'R-32'")
        try:
            return listing(value).name
        except UnknownNameError as error:
            raise self.refuse("refrigerant", value, f"one of the collection ({error})") from None

    def table(self, key: str) -> _Table:
        value = self.there(key, f"a table [{self.at(key)}]")
        if not isinstance(value, dict) or not value:
            raise self.refuse(key, value, f"a table [{self.at(key)}]")
        return _Table(self.file, self.at(key), value)

    def numbers(self, key: str, count: int) -> tuple[float, ...]:
        value = self.there(key, form := f"a list of {count} numbers")
        if not isinstance(value, list) or len(value) != count or not all(map(_is_number, value)):
            raise self.refuse(key, value, form)
        return tuple(map(float, value))

    def value(self, key: str, kind: Any) -> Any:
        """A size in SI, or the part that the table below describes."""
        if isinstance(kind, type):
            return self.table(key).part(kind)
        return self.sized(key, self.there(key, allowed(kind)), kind)

    def sized(self, key: str, value: Any, kind: str) -> float:
        if kind == "ratio" and _is_number(value):
            return float(value)
        if not isinstance(value, str):
            raise self.refuse(key, value, allowed(kind))
        try:
            size = read_size(value, kind)
        except HpteachError as error:
            raise self.refuse(key, value, f"{allowed(kind)} ({error})") from None
        if key in _LARGEST and size > read_size(_LARGEST[key], kind):
            raise self.refuse(key, value, f"up to {_LARGEST[key]}: see whether figure and unit are right")
        return size

    def unit(self, key: str, kind: str) -> float:
        """What one of a unit is in SI."""
        value = self.text(key, f"a unit of {kind}, such as {'kg/s' if kind == 'mass flow' else 'W'}")
        try:
            return read_size(f"1 {value}", kind)
        except HpteachError as error:
            raise self.refuse(key, value, f"a unit of {kind} ({error})") from None

    def span(self, key: str) -> tuple[float, float]:
        """Two temperatures, such as ["-25 C", "15 C"]."""
        value = self.there(key, form := "a list of the lowest and the highest temperature, such as ['-25 C', '15 C']")
        if not isinstance(value, list) or len(value) != 2:
            raise self.refuse(key, value, form)
        low, high = (self.sized(key, end, "temperature") for end in value)
        return low, high

    def part(self, what: type, also: Collection[str] = (), /, **given: Any) -> Any:
        """The part that this table describes; what has a usual value may be left out, and the keys `also` are read elsewhere."""
        sizes = _PARTS[what]
        usual = {field.name for field in fields(what) if field.default is not MISSING}
        self.only((*also, *sizes))
        return self.made(what, **{key: self.value(key, size) for key, size in sizes.items() if key in self.data or key not in usual}, **given)

    def made(self, what: type, /, **values: Any) -> Any:
        """The part with these values; its refusal gets the file and the table."""
        try:
            return what(**values)
        except HpteachError as error:
            where = f"{self.file}: [{self.place}]: " if self.place else f"{self.file}: "
            where = where.replace("{", "{{").replace("}", "}}") if error.measures else where
            raise DataError(where + error.template, **error.measures) from None


def _compressor(table: _Table, refrigerant: str) -> DisplacementCompressor | CompressorMap:
    if table.one_of("kind", tuple(_COMPRESSORS)) == "displacement":
        return table.part(DisplacementCompressor, ("kind",))
    table.only(("kind", *_MAP, *_PARTS[CompressorMap]))
    if table.refrigerant() != refrigerant:
        raise table.refuse("refrigerant", table.data["refrigerant"], f"the machine's own, {refrigerant}, as a map tells nothing of another")
    in_fahrenheit = table.one_of("temperature_unit", ("C", "F")) == "F"
    given: dict[str, Any] = {"refrigerant": refrigerant}
    for kind, key in (("mass flow", "mass_flow"), ("power", "power")):
        factor = table.unit(f"{key}_unit", kind)
        coefficients = table.numbers(f"{key}_coefficients", len(_POWERS))
        given[f"{key}_coefficients"] = tuple(factor * one for one in (_in_celsius(coefficients) if in_fahrenheit else coefficients))
    given.update({key: table.span(key) for key in ("suction_range", "discharge_range")})
    return table.part(CompressorMap, ("kind", *_MAP), **given)


def _metering(table: _Table) -> Metering:
    kind = table.one_of("kind", KINDS)
    for key in ("opens_at", "fully_open_at"):
        if kind != ORIFICE:
            table.there(key, f"{allowed('temperature difference')}, as a {kind} holds superheat")
    return table.part(Metering, ("kind",), kind=kind)


def _in_celsius(coefficients: tuple[float, ...]) -> tuple[float, ...]:
    """Coefficients for temperatures in Celsius from those for Fahrenheit: F = 1.8 C + 32 put into the polynomial."""

    def share(power: int, of: int) -> float:
        return math.comb(of, power) * 1.8**power * 32.0 ** (of - power) if power <= of else 0.0

    return tuple(math.fsum(c * share(s, a) * share(d, b) for c, (a, b) in zip(coefficients, _POWERS, strict=True)) for s, d in _POWERS)


def _is_number(value: Any) -> bool:
    return not isinstance(value, bool) and (isinstance(value, float) or (isinstance(value, int) and abs(value) < 10**300))


# Writing ------------------------------------------------------------------------------


def machine_text(machine: Machine) -> str:
    """The file of a machine, its note on top as a comment; `read_machine` makes the same machine of it, to the last bit.

    >>> text = machine_text(demo_machine("R-32"))
    >>> text.splitlines()[0][:11], machine_from_text(text, "mine.toml") == demo_machine("R-32")
    ('# Invented:', True)
    """
    return "\n".join(_lines_of(machine)) + "\n"


def _lines_of(machine: Machine) -> Iterator[str]:
    comment = " ".join("".join(one if one.isprintable() else " " for one in machine.note).split())
    yield from (f"# {line}" for line in textwrap.wrap(comment, 118))
    yield from ([""] if comment else [])
    yield f"name = {_quoted(machine.name)}"
    yield from ([f"note = {_quoted(machine.note)}"] if machine.note else [])
    yield f"refrigerant = {_quoted(machine.refrigerant)}"
    yield f"charge = {_size(machine.charge, 'mass')}"
    yield f"held_aside_in_heating = {_size(machine.held_aside, 'mass')}"
    compressor = machine.compressor
    mapped = isinstance(compressor, CompressorMap)
    yield from _table_of("compressor", compressor, ['kind = "map"', *_map_lines(compressor)] if mapped else ['kind = "displacement"'])
    for key, kind in _TABLES.items():
        part = getattr(machine, key)
        yield from _table_of(key, part, [f"kind = {_quoted(part.kind)}"] if kind is Metering else [])
    yield from ("", "[lines]", f"volume = {_size(machine.liquid_line_volume, 'volume')}")
    for key in _LINES:
        yield from _table_of(f"lines.{key}", getattr(machine, key))


def _table_of(place: str, part: Any, first: Collection[str] = ()) -> Iterator[str]:
    yield from ("", f"[{place}]", *first)
    below = {key: kind for key, kind in _PARTS[type(part)].items() if isinstance(kind, type)}
    for key, kind in _PARTS[type(part)].items():
        if key not in below and getattr(part, key) is not None:
            yield f"{key} = {_size(getattr(part, key), kind)}"
    for key in below:
        yield from _table_of(f"{place}.{key}", getattr(part, key))


def _map_lines(compressor: CompressorMap) -> Iterator[str]:
    yield f"refrigerant = {_quoted(compressor.refrigerant)}"
    yield from ('mass_flow_unit = "kg/s"', 'power_unit = "W"', 'temperature_unit = "C"')
    for key in ("mass_flow_coefficients", "power_coefficients"):
        yield f"{key} = [{', '.join(repr(float(one)) for one in getattr(compressor, key))}]"
    for key in ("suction_range", "discharge_range"):
        yield f"{key} = [{', '.join(_size(end, 'temperature') for end in getattr(compressor, key))}]"


def _size(value: float, kind: str) -> str:
    return repr(float(value)) if kind == "ratio" else _quoted(size_text(value, kind))


def _quoted(text: str) -> str:
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")
