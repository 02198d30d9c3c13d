"""The list of refrigerants: who is in it and what is known of each, with sources.

What lives here: reading and checking `catalogue.toml`.
What does not: properties of state (refrigerant) and any call of the property library.
"""

from __future__ import annotations

import math
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib import resources
from types import MappingProxyType
from typing import Any

from hpteach import units
from hpteach.errors import DataError, HpteachError, UnknownNameError

FILE = "catalogue.toml"
MODELS = ("pure", "pseudo-pure", "blend")
SAFETY_CLASSES = ("A1", "A2L", "A2", "A3")
REPORTS = ("AR4", "AR5", "AR6")

_KEYS = {
    "model", "library_name", "composition", "safety_class", "gwp", "gwp_source", "lowest_temperature", "equation",
}  # fmt: skip

_OPTIONAL = {"critical", "sublimation", "high_pressure"}

_HIGH_PRESSURE = (
    "High pressure: a circuit at rest in a warm room stands at 57 bar (831 psi) at 20 °C and rises past 70 bar, beyond other "
    "refrigerants' gauges, hoses and pipes; only parts made for it. It displaces the air in low places: ventilate, and use a detector."
)

_CAUTIONS = {
    "A2L": "Mildly flammable (A2L): keep ignition sources away, ventilate, follow the charge limits and local codes; "
    "opening the circuit is licensed work.",
    "A2": "Flammable (A2): no ignition sources, ventilate, follow the charge limits and local codes; "
    "opening the circuit is licensed work.",
    "A3": "Highly flammable (A3): no ignition sources, ventilate, tools for flammable gases, charge limits and local codes; "
    "opening the circuit is licensed work.",
}


@dataclass(frozen=True)
class Listing:
    """What the catalogue says of one refrigerant.

    `composition` in kg/kg, `gwp` over 100 years by report, `lowest_temperature` in K;
    `sources` names where each fact was taken from.  The critical point (K, Pa) is listed for
    blends, whose equation does not state it; `sublimation_temperature` (K, at 101.325 kPa)
    for what has no boiling point there.
    """

    name: str
    model: str
    library_name: str
    composition: Mapping[str, float]
    safety_class: str
    gwp: Mapping[str, float]
    lowest_temperature: float
    equation: str
    sources: Mapping[str, str]
    critical_temperature: float | None = None
    critical_pressure: float | None = None
    sublimation_temperature: float | None = None
    high_pressure: bool = False

    @property
    def pressure_caution(self) -> str | None:
        """What pressures far above those of other refrigerants ask for, or None.

        The pressure at 20 °C is computed (a test holds it); what it asks for is common practice, no source.

        >>> listing("R-744").pressure_caution[:13]
        'High pressure'
        """
        return _HIGH_PRESSURE if self.high_pressure else None

    @property
    def caution(self) -> str | None:
        """What flammability asks for, or None for a class that does not burn.

        >>> listing("R-290").caution[:21]
        'Highly flammable (A3)'
        """
        return _CAUTIONS.get("A" + self.safety_class[1:])


@cache
def catalogue() -> Mapping[str, Listing]:
    """Every refrigerant of the collection by its designation.

    >>> list(catalogue())[:3]
    ['R-134a', 'R-410A', 'R-32']
    """
    text = resources.files(__package__).joinpath(FILE).read_text(encoding="utf-8")
    return MappingProxyType(read_catalogue(text, FILE))


def listing(name: str) -> Listing:
    """What the catalogue says of `name`; R410A, r-410a and R 410A are all R-410A.

    Raises `UnknownNameError` with the nearest names.

    >>> listing("r32").safety_class
    'A2L'
    """
    listings = catalogue()
    known = {folded(one): one for one in listings}
    try:
        return listings[known[folded(name)]]
    except KeyError:
        raise UnknownNameError.among("refrigerant", str(name), listings) from None


def read_catalogue(text: str, file: str) -> dict[str, Listing]:
    """The listings in a catalogue's TOML text; `file` names it in refusals.

    Raises `DataError` with file, key, value and what is allowed.

    >>> read_catalogue("sources.composition = 'a standard'\\n['R-1']\\nmodel = 'guess'", "mine.toml")
    Traceback (most recent call last):
    hpteach.errors.DataError: mine.toml: R-1.composition is missing: write a table such as { "R-32" = 0.5, "R-125" = 0.5 }
    """
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise DataError(f"{file}: not readable as TOML: {error}") from None
    sources = data.pop("sources", {})
    if data:
        _check_sources(file, sources)
    known: dict[str, str] = {}
    for name in data:
        if not folded(name):
            raise DataError(f"{file}: a refrigerant without a name ({name!r}): write a designation such as \"R-32\"")
        if known.setdefault(folded(name), name) != name:
            raise DataError(f"{file}: {name} is listed twice, also as {known[folded(name)]}: keep one of the two")
    return {name: _listing(file, name, entry, sources) for name, entry in data.items()}


def _check_sources(file: str, sources: Any) -> None:
    refuse = _Refusal(file, "sources")
    if not isinstance(sources, dict):
        raise refuse("", sources, "a table of texts, each naming a source")
    for key, value in sources.items():
        if not isinstance(value, str) or not value:
            raise refuse(key, value, "a text that names the source")
    if "composition" not in sources:
        raise DataError(f"{file}: sources.composition is missing: name where the compositions come from")


def _listing(file: str, name: str, entry: Any, sources: Mapping[str, str]) -> Listing:
    refuse = _Refusal(file, name)
    if not isinstance(entry, dict):
        raise refuse("", entry, "a table with the keys " + ", ".join(sorted(_KEYS)))
    for key in sorted(set(entry) - _KEYS - _OPTIONAL):
        raise refuse(key, entry[key], "only the keys " + ", ".join(sorted(_KEYS | _OPTIONAL)))
    hints = {"composition": 'a table such as { "R-32" = 0.5, "R-125" = 0.5 }'}
    for key in sorted(_KEYS - set(entry)):
        raise DataError(f"{file}: {name}.{key} is missing: write {hints.get(key, 'it as the other entries do')}")
    for key in ("model", "library_name", "gwp_source", "equation"):
        if not isinstance(entry[key], str) or not entry[key]:
            raise refuse(key, entry[key], "a text")
    if entry["model"] not in MODELS:
        raise refuse("model", entry["model"], " or ".join(MODELS))
    safety_class, safety_source = _sourced(refuse, "safety_class", entry["safety_class"], sources)
    if safety_class not in SAFETY_CLASSES:
        raise refuse("safety_class", safety_class, "one of " + ", ".join(SAFETY_CLASSES))
    lowest, lowest_source = _sourced(refuse, "lowest_temperature", entry["lowest_temperature"], {"equation": entry["equation"]})
    critical, critical_source = _critical(refuse, entry, sources)
    high_pressure = entry.get("high_pressure", False)
    if not isinstance(high_pressure, bool):
        raise refuse("high_pressure", high_pressure, "true or false")
    sublimation, sublimation_source = None, ""
    if "sublimation" in entry:
        text, sublimation_source = _sourced(refuse, "sublimation", entry["sublimation"], sources)
        sublimation = _read(refuse, "sublimation", text, "temperature")
    return Listing(
        name=name,
        model=entry["model"],
        library_name=entry["library_name"],
        composition=_composition(refuse, name, entry["composition"], pure=entry["model"] == "pure"),
        safety_class=safety_class,
        gwp=_gwp(refuse, entry["gwp"]),
        lowest_temperature=_read(refuse, "lowest_temperature", lowest, "temperature"),
        equation=entry["equation"],
        sources=MappingProxyType({
            "composition": sources["composition"],
            "safety_class": safety_source,
            "gwp": "; ".join(_gwp_sources(refuse, entry["gwp_source"], sources, entry["gwp"])),
            "lowest_temperature": lowest_source,
            **({"critical": critical_source} if critical_source else {}),
            **({"sublimation": sublimation_source} if sublimation_source else {}),
        }),
        critical_temperature=critical[0],
        critical_pressure=critical[1],
        sublimation_temperature=sublimation,
        high_pressure=high_pressure,
    )  # fmt: skip


class _Refusal:
    """Makes the sentence of a refused entry: file, key, value, what is allowed."""

    def __init__(self, file: str, name: str) -> None:
        self.file, self.name = file, name

    def __call__(self, key: str, value: Any, allowed: str) -> DataError:
        return DataError(f"{self.file}: {self.name}{'.' if key else ''}{key} = {value!r}: allowed is {allowed}")


def _sourced(refuse: _Refusal, key: str, entry: Any, sources: Mapping[str, str]) -> tuple[str, str]:
    if not isinstance(entry, dict) or set(entry) != {"value", "source"} or not isinstance(entry["value"], str):
        raise refuse(key, entry, 'a table { value = "...", source = "..." }')
    if not isinstance(entry["source"], str) or entry["source"] not in sources:
        raise refuse(f"{key}.source", entry["source"], "one of " + ", ".join(sources))
    return entry["value"], sources[entry["source"]]


def _gwp_sources(refuse: _Refusal, names: str, sources: Mapping[str, str], reports: Any) -> list[str]:
    parts = [part.strip() for part in names.split(",")]
    if not set(parts) <= set(sources):
        raise refuse("gwp_source", names, "one or more (with commas) of " + ", ".join(sources))
    if set(parts) <= set(REPORTS) and isinstance(reports, dict) and set(reports) != set(parts):
        raise refuse("gwp_source", names, f"the reports that gwp gives figures of, {', '.join(reports)}")
    return [sources[part] for part in parts]


def _critical(refuse: _Refusal, entry: dict, sources: Mapping[str, str]) -> tuple[tuple[float | None, float | None], str]:
    """The critical point of a blend and its source; other models carry their own and list none."""
    form = 'a table { temperature = "...", pressure = "...", source = "..." }'
    if entry["model"] != "blend":
        if "critical" in entry:
            raise refuse("critical", entry["critical"], "only with model = 'blend': the equation of others states it")
        return (None, None), ""
    found = entry.get("critical")
    if not isinstance(found, dict) or set(found) != {"temperature", "pressure", "source"}:
        raise refuse("critical", found, f"{form} for a blend")
    if not isinstance(found["source"], str) or found["source"] not in sources:
        raise refuse("critical.source", found["source"], "one of " + ", ".join(sources))
    values = (_read(refuse, f"critical.{kind}", found[kind], kind) for kind in ("temperature", "pressure"))
    return tuple(values), sources[found["source"]]


def _read(refuse: _Refusal, key: str, text: Any, kind: str) -> float:
    try:
        return units.read(str(text), kind)
    except HpteachError as error:
        raise refuse(key, text, f"a {kind} with its unit ({error})") from None


def _composition(refuse: _Refusal, name: str, entry: Any, *, pure: bool) -> Mapping[str, float]:
    if not isinstance(entry, dict) or not entry:
        raise refuse("composition", entry, 'a table such as { "R-32" = 0.5, "R-125" = 0.5 }')
    for part, share in entry.items():
        if not isinstance(share, float) or not 0.0 < share <= 1.0:
            raise refuse(f"composition.{part}", share, "a mass fraction above 0 and up to 1.0")
    if abs(math.fsum(entry.values()) - 1.0) > 1e-9:
        raise refuse("composition", entry, f"mass fractions that add up to 1, not {math.fsum(entry.values()):g}")
    if pure != (len(entry) == 1):
        raise refuse("composition", entry, "one component for a pure refrigerant, two or more for a blend")
    if pure and list(entry) != [name]:
        raise refuse("composition", entry, f'{{ "{name}" = 1.0 }} for a pure refrigerant')
    return MappingProxyType(dict(entry))


def _gwp(refuse: _Refusal, entry: Any) -> Mapping[str, float]:
    if not isinstance(entry, dict) or not entry:
        raise refuse("gwp", entry, "a table such as { AR6 = 771.0 }")
    for report, value in entry.items():
        if report not in REPORTS:
            raise refuse(f"gwp.{report}", value, "only the reports " + ", ".join(REPORTS))
        if not isinstance(value, float) or value < 0.0 or not math.isfinite(value):
            raise refuse(f"gwp.{report}", value, "a number of 0.0 or more")
    return MappingProxyType(dict(entry))


def folded(name: str) -> str:
    """A designation without case, hyphens and blanks.

    >>> folded("R-410A") == folded("r 410a")
    True
    """
    plain = str(name).lower()
    for mark in "-\u2010\u2011\u2012\u2013\u2212 \u00a0":  # hyphens and dashes that documents set between R and the number
        plain = plain.replace(mark, "")
    return plain
