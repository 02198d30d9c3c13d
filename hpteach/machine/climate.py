"""A heating season as bins: how many hours the outdoor air has which temperature.

What lives here: the published seasons of climates.toml, seasons from a reader's own file of hours, and how moist
the air of a bin is.  What does not: what a machine does in them (season), moist air itself (fluids).
"""

from __future__ import annotations

import csv
import io
import math
import re
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from importlib import resources
from pathlib import Path
from types import MappingProxyType
from typing import Any, NamedTuple

from hpteach.errors import DataError, HpteachError, InputError, LimitError, Measure, UnknownNameError
from hpteach.units import read

FILE = "climates.toml"
MOST_HOURS = 8784.0
"""h; a leap year of 366 days."""
COLDEST, WARMEST = 213.15, 333.15
"""K; -60 and 60 °C, beyond which no air is described here."""
OWN_RELATIVE_HUMIDITY = 0.8
"""Chosen for hours that come without any moisture: between the 75 % at -7 °C and the 87 % at 7 °C of EN 14825's rule (computed)."""
OWN_ZERO_LOAD = 289.15
"""K; 16 °C, above which a house needs no heat in Regulation (EU) 206/2012, Annex I (15)."""


class Bin(NamedTuple):
    """The hours of a season in which the outdoor air has about one temperature (K, dry bulb)."""

    outdoor_temperature: float
    hours: float


@dataclass(frozen=True)
class Climate:
    """Bins from cold to warm, with the temperatures between which a house's need of heat is drawn.

    `design_temperature` (K) is where the design load is needed, `zero_load_temperature` (K) where no heat is.
    How moist the air is, is told either by one `relative_humidity` (0 to 1) or by `wet_bulb_depression`: pairs of
    outdoor temperature and how far (K) the wet bulb is below it; straight lines between the pairs, level beyond them.

    Raises `InputError` for bins that are missing, doubled or not rising, and for two rules of moisture or none;
    `LimitError` for hours below 0 or more than a leap year has, for temperatures outside -60 to 60 °C and a humidity
    outside 0 to 1.

    >>> Climate("two bins", (Bin(268.15, 100.0), Bin(278.15, 300.0)), 263.15, 289.15, "invented", relative_humidity=0.8).hours
    400.0
    """

    name: str
    bins: tuple[Bin, ...]
    design_temperature: float
    zero_load_temperature: float
    source: str
    relative_humidity: float | None = None
    wet_bulb_depression: tuple[tuple[float, float], ...] = ()
    moisture_source: str = ""

    def __post_init__(self) -> None:
        if not self.bins:
            raise InputError(f"climate {self.name!r} has no bins: give at least one temperature with its hours")
        for temperature in (*(one.outdoor_temperature for one in self.bins), self.design_temperature, self.zero_load_temperature):
            _check_temperature(temperature)
        for colder, warmer in zip(self.bins, self.bins[1:]):
            if not colder.outdoor_temperature < warmer.outdoor_temperature:
                raise InputError(
                    "bin of {given} stands after that of {before}: list each temperature once, from cold to warm",
                    given=Measure(warmer.outdoor_temperature, "temperature"),
                    before=Measure(colder.outdoor_temperature, "temperature"),
                )
        for one in self.bins:
            if not 0.0 <= one.hours < math.inf:
                raise LimitError(
                    f"hours of {one.hours:g} in the bin of {{at}} cannot be: use 0 or more",
                    at=Measure(one.outdoor_temperature, "temperature"),
                )
        if not 0.0 < self.hours <= MOST_HOURS:
            raise LimitError(f"{self.hours:g} hours in all in climate {self.name!r}: a season has more than 0 and at most {MOST_HOURS:g} (a leap year)")
        if (self.relative_humidity is None) == (not self.wet_bulb_depression):
            raise InputError(f"climate {self.name!r} needs one rule of moisture: give either a relative humidity or wet-bulb depressions")
        if self.relative_humidity is not None and not 0.0 <= self.relative_humidity <= 1.0:
            raise LimitError(f"relative humidity of {self.relative_humidity:g} cannot be: use 0 to 1")

    @property
    def hours(self) -> float:
        """All hours of the bins (h).

        >>> climate("average").hours
        4910.0
        """
        return math.fsum(one.hours for one in self.bins)

    @property
    def heating_load_hours(self) -> float:
        """For how many hours (h) the design load would need the season's heat: sum of hours x (zero load - bin) / (zero load - design).

        Source: the equivalent heating hours of Regulations (EU) 206/2012 and 811/2013, the heating load hours of 10 CFR 430 appendix M1.
        Raises `LimitError` where the design temperature is not below the zero-load temperature.

        >>> round(climate("average").heating_load_hours)
        2066
        """
        return _load_hours(self.bins, self.design_temperature, self.zero_load_temperature)

    def moisture(self, outdoor_temperature: float) -> Mapping[str, float]:
        """How moist the air is at a dry bulb (K), in the words of `fluids.moist_air`: its wet bulb (K) or relative humidity.

        A wet bulb 1 K below the dry bulb asks for air drier than any there is below about -25 °C (computed): `moist_air` refuses it.

        >>> climate("average").moisture(280.15)
        {'wet_bulb': 279.15}
        """
        if self.relative_humidity is not None:
            return {"relative_humidity": self.relative_humidity}
        return {"wet_bulb": outdoor_temperature - _between(self.wet_bulb_depression, outdoor_temperature)}


@cache
def climates() -> Mapping[str, Climate]:
    """The published seasons by name.

    >>> list(climates())
    ['average', 'warmer', 'colder', 'us-region-iv']
    """
    return MappingProxyType(read_climates(resources.files(__package__).joinpath(FILE).read_text(encoding="utf-8"), FILE))


def climate(name: str) -> Climate:
    """A published season: EN 14825's 'average', 'warmer' and 'colder', and 'us-region-iv' of 10 CFR 430 appendix M1.

    Raises `UnknownNameError` with the nearest names.

    >>> climate("colder").design_temperature, climate("US region IV").zero_load_temperature
    (251.15, 285.928)
    """
    found = str(name).strip().lower().replace(" ", "-").replace("_", "-")
    if found not in climates():
        raise UnknownNameError.among("climate", str(name), climates())
    return climates()[found]


# The file of published seasons --------------------------------------------------------

_NEEDED = ("title", "source", "design_temperature", "zero_load_temperature", "moisture_source", "wet_bulb_depression")


def read_climates(text: str, file: str) -> dict[str, Climate]:
    """The seasons in a file's TOML text; `file` names it in refusals.

    Shares of a season become hours so that the season's heating load hours come out:
    all hours = heating load hours / sum of share x (zero load - bin) / (zero load - design).

    Raises `DataError` with file, key, value and what is allowed.

    >>> read_climates("[here]\\ntitle = 3", "mine.toml")
    Traceback (most recent call last):
    hpteach.errors.DataError: mine.toml: here.title = 3: allowed is a text
    """
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise DataError(f"{file}: not readable as TOML: {error}") from None
    return {name: _season(file, name, entry) for name, entry in data.items()}


def _season(file: str, name: str, entry: Any) -> Climate:
    allowed_keys = {*_NEEDED, "hours", "shares", "heating_load_hours"}
    if not isinstance(entry, dict):
        raise _refusal(file, name, entry, "a table with the keys " + ", ".join(sorted(allowed_keys)))
    for key in sorted(set(entry) - allowed_keys):
        raise _refusal(file, f"{name}.{key}", entry[key], "only the keys " + ", ".join(sorted(allowed_keys)))
    for key in ("title", "source", "moisture_source"):
        if not isinstance(entry.get(key), str) or not entry[key]:
            raise _refusal(file, f"{name}.{key}", entry.get(key), "a text")
    if {"hours", "shares"} <= set(entry) or ("shares" in entry) != ("heating_load_hours" in entry):
        raise _refusal(file, name, sorted(entry), "either hours, or shares together with heating_load_hours")
    design, zero = (_quantity(file, f"{name}.{key}", entry.get(key), "temperature") for key in ("design_temperature", "zero_load_temperature"))
    key = "shares" if "shares" in entry else "hours"
    pairs = sorted(_pairs(file, f"{name}.{key}", entry.get(key)))
    bins = tuple(Bin(temperature, _positive(file, f"{name}.{key}.{label}", value)) for temperature, label, value in pairs)
    depression = tuple(
        (temperature, _quantity(file, f"{name}.wet_bulb_depression.{label}", value, "temperature difference"))
        for temperature, label, value in sorted(_pairs(file, f"{name}.wet_bulb_depression", entry.get("wet_bulb_depression")))
    )
    try:
        if key == "shares":
            of_one_hour = _load_hours(bins, design, zero)
            if of_one_hour == 0.0:
                raise _refusal(file, f"{name}.shares", entry["shares"], "at least one bin below the zero-load temperature")
            whole = _positive(file, f"{name}.heating_load_hours", entry["heating_load_hours"]) / of_one_hour
            bins = tuple(Bin(one.outdoor_temperature, one.hours * whole) for one in bins)
        return Climate(name, bins, design, zero, f"{entry['title']}: {entry['source']}", None, depression, entry["moisture_source"])
    except DataError:
        raise
    except HpteachError as error:
        raise DataError(f"{file}: {name}: {error}") from None


def _refusal(file: str, key: str, value: Any, allowed: str) -> DataError:
    return DataError(f"{file}: {key} = {value!r}: allowed is {allowed}")


def _quantity(file: str, key: str, text: Any, kind: str) -> float:
    try:
        return read(str(text), kind)
    except HpteachError as error:
        raise _refusal(file, key, text, f"a {kind} with its unit ({error})") from None


def _positive(file: str, key: str, value: Any) -> float:
    if isinstance(value, bool) or not isinstance(value, (int, float)) or not 0.0 < value < math.inf:
        raise _refusal(file, key, value, "a number above 0")
    return float(value)


def _pairs(file: str, key: str, entry: Any) -> Iterator[tuple[float, str, Any]]:
    if not isinstance(entry, dict) or not entry:
        raise _refusal(file, key, entry, 'a table of outdoor temperatures, such as "7C"')
    for label, value in entry.items():
        yield _quantity(file, f"{key}.{label}", label, "temperature"), label, value


# A reader's own hours -----------------------------------------------------------------

_HEADING = re.compile(r"outdoor(?:[ _]temperature)?[ _]*[\[(]?\s*(?:°|deg)?\s*([CFK]?)\s*[\])]?", re.IGNORECASE)
_HOURS = re.compile(r"hours?(?:[ _]*[\[(]?h[\])]?)?", re.IGNORECASE)
_NUMBER = r"\+?(?:[0-9]+(?:\.[0-9]*|,(?:[0-9]{1,2}|[0-9]{4,}))?|\.[0-9]+)(?:[eE][+-]?[0-9]{1,2})?"  # 1,200 could be thousands
_AMBIGUOUS = re.compile(r"\s*[+-]?[1-9][0-9]{0,2}[.,][0-9]{3}(?![0-9.,eE])")  # 1.200 between semicolons: a thousand, or one and a fifth
_FORM = "two columns, outdoor and hours, such as 'outdoor_C,hours' or 'outdoor_F,hours'; or 'outdoor,hours' with the unit in each cell ('-7C')"


def climate_from_file(path: str | Path, **choices: Any) -> Climate:
    """A season from a reader's own file of hours; the choices and refusals are those of `read_hours`.

    Raises `DataError` also where there is no such file, or it is no text.

    >>> climate_from_file("nowhere.csv")
    Traceback (most recent call last):
    hpteach.errors.DataError: nowhere.csv: cannot be read (No such file or directory): name a file of hours
    """
    name = Path(path).name
    try:
        text = Path(path).read_text(encoding="utf-8-sig")
    except OSError as error:
        raise DataError(f"{name}: cannot be read ({error.strerror}): name a file of hours") from None
    except UnicodeDecodeError:
        raise DataError(f"{name}: is not text in UTF-8: save it as CSV in UTF-8") from None
    return read_hours(text, name, **choices)


def read_hours(
    text: str,
    file: str,
    *,
    design_temperature: float | None = None,
    zero_load_temperature: float = OWN_ZERO_LOAD,
    relative_humidity: float = OWN_RELATIVE_HUMIDITY,
) -> Climate:
    """A season from the text of a table of hours: a heading, then a line for each bin, in any order.

    The temperature's unit stands in the heading (`outdoor_C`, `outdoor_F`, `outdoor_K`) or in each cell (`-7C`).  Commas,
    semicolons or tabs part the columns; empty lines and lines that begin with # are passed over.  `design_temperature` (K)
    is that of the coldest bin with hours unless given; `zero_load_temperature` (K) and `relative_humidity` as in `Climate`.

    Raises `DataError` with file, line, value and what is allowed.

    >>> read_hours("outdoor,hours\\n-5C,120\\n5C,900", "mine.csv").bins
    (Bin(outdoor_temperature=268.15, hours=120.0), Bin(outdoor_temperature=278.15, hours=900.0))
    >>> read_hours("outdoor_C,hours\\n-5,-3", "mine.csv")
    Traceback (most recent call last):
    hpteach.errors.DataError: mine.csv: line 2: hours = '-3': allowed is a number of 0 or more, without unit and thousands marks
    """
    mark, lines = _lines(text, file)
    if not lines:
        raise DataError(f"{file}: is empty: write {_FORM}")
    number, heading = lines[0]
    unit = _unit_of(file, number, heading)
    found: dict[float, tuple[int, float]] = {}
    for number, cells in lines[1:]:
        if len(cells) != 2:
            raise DataError(f"{file}: line {number}: {len(cells)} cells ({cells!r}): allowed is a temperature and its hours, and a decimal point or ;")
        for what, cell in zip(("outdoor", "hours"), cells) if mark != "," else ():
            if _AMBIGUOUS.match(cell):
                figures = re.sub("[^0-9.,+-]", "", cell)
                plain, short = re.sub("[.,]", "", figures), figures.replace(",", ".").rstrip("0").rstrip(".")
                short += "0" * (_AMBIGUOUS.match(short) is not None)
                raise DataError(f"{file}: line {number}: {what} = {cell!r}: its mark may part thousands or decimals: write {plain} or {short}")
        temperature = _temperature(file, number, cells[0], unit)
        if temperature in found:
            raise DataError(f"{file}: line {number}: outdoor = {cells[0]!r} stands in line {found[temperature][0]} already: allowed is each temperature once")
        found[temperature] = (number, _hours(file, number, cells[1]))
    if not found:
        raise DataError(f"{file}: has a heading and no bins: write a temperature and its hours in each line after it")
    total = math.fsum(hours for _, hours in found.values())
    if not 0.0 < total <= MOST_HOURS:
        raise DataError(f"{file}: {total:g} hours in all: allowed is more than 0 and at most {MOST_HOURS:g} (a leap year)")
    bins = tuple(Bin(temperature, found[temperature][1]) for temperature in sorted(found))
    coldest = next(one.outdoor_temperature for one in bins if one.hours > 0.0)
    return Climate(
        file, bins, coldest if design_temperature is None else design_temperature, zero_load_temperature, f"the reader's file {file}",
        relative_humidity=relative_humidity, moisture_source="given or chosen by the reader",
    )  # fmt: skip


def _lines(text: str, file: str) -> tuple[str, list[tuple[int, list[str]]]]:
    """The mark that parts the columns, and the lines that say something, with their numbers, as cells without blanks."""
    told = [(number, line) for number, line in enumerate(text.splitlines(), 1) if line.strip() and not line.lstrip().startswith("#")]
    mark = next((mark for mark in ";\t" if told and mark in told[0][1]), ",")
    found = []
    for number, line in told:
        try:
            (cells,) = csv.reader(io.StringIO(line), delimiter=mark, skipinitialspace=True, strict=True)
        except (csv.Error, ValueError):
            raise DataError(f"{file}: line {number}: {line!r} cannot be read as cells: allowed is {_FORM}") from None
        found.append((number, [cell.strip() for cell in cells]))
    return mark, found


def _unit_of(file: str, number: int, heading: list[str]) -> str:
    outdoor = _HEADING.fullmatch(heading[0])
    if len(heading) != 2 or not outdoor or not _HOURS.fullmatch(heading[1]):
        raise DataError(f"{file}: line {number}: heading {heading!r}: allowed are {_FORM}")
    return outdoor[1].upper()


def _temperature(file: str, number: int, cell: str, unit: str) -> float:
    bare = cell != "" and cell[-1] in "0123456789."
    try:
        if unit and not bare:
            raise DataError(f"a number without a unit, as the heading has it in {unit}")
        temperature = round(read(cell + unit, "temperature"), 6)
        _check_temperature(temperature)
    except HpteachError as error:
        raise DataError(f"{file}: line {number}: outdoor = {cell!r}: allowed is a temperature from -60C to 60C ({error})") from None
    return temperature


def _hours(file: str, number: int, cell: str) -> float:
    if not re.fullmatch(_NUMBER, cell):
        raise DataError(f"{file}: line {number}: hours = {cell!r}: allowed is a number of 0 or more, without unit and thousands marks")
    hours = float(cell.replace(",", "."))
    if hours > MOST_HOURS:
        raise DataError(f"{file}: line {number}: hours = {cell!r}: allowed are at most {MOST_HOURS:g}, which is a leap year")
    return hours


# Inside -------------------------------------------------------------------------------


def _check_temperature(temperature: float) -> None:
    if not COLDEST <= temperature <= WARMEST:
        raise LimitError(
            "outdoor temperature of {given} is not one of a season's air: use {least} to {most}",
            given=Measure(temperature, "temperature"),
            least=Measure(COLDEST, "temperature"),
            most=Measure(WARMEST, "temperature"),
        )


def _load_hours(bins: tuple[Bin, ...], design: float, zero: float) -> float:
    if not design < zero:
        raise LimitError(
            "design temperature of {given} is not below the zero-load temperature of {zero}: use a lower one",
            given=Measure(design, "temperature"),
            zero=Measure(zero, "temperature"),
        )
    return math.fsum(one.hours * (zero - one.outdoor_temperature) / (zero - design) for one in bins if one.outdoor_temperature < zero)


def _between(pairs: tuple[tuple[float, float], ...], at: float) -> float:
    """The value on straight lines between rising pairs, level beyond them."""
    if at <= pairs[0][0]:
        return pairs[0][1]
    for (low, below), (high, above) in zip(pairs, pairs[1:]):
        if at <= high:
            return below + (above - below) * (at - low) / (high - low)
    return pairs[-1][1]
