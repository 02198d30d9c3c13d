"""Claims on trial: the texts of claims.toml, each filled with the figures that settle it.

What lives here: `TrialOfClaim`, `try_claim`, the list of claims.  What does not: how a figure is computed (the modules of cases), pictures (panels).

A claim has a table of its id, with `title`, `group`, `lesson`, `claim`, `settles`, `nearly_true_when`, `say_instead`, `chart` (figures of one kind,
may be left out), and the tables `figures` and `looks`: what each figure is, and where one looks whether the claim holds.
A gap {name} is a figure: texts state no figure of their own.
"""

from __future__ import annotations

import inspect
import re
import tomllib
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from types import MappingProxyType

from hpteach.claims import charge_cases, control_cases, heat_cases, state_cases
from hpteach.claims.evidence import PRESSURE_DIFFERENCE, SHARE, WORDS, Evidence, verdict_of
from hpteach.errors import DataError, InputError, UnknownNameError
from hpteach.units import show, unit_shown

_GAP = re.compile(r"\{([a-z]\w*)\}")
_TEXTS = ("claim", "settles", "nearly_true_when", "say_instead")
_KEYS = {"title", "group", "lesson", *_TEXTS, "chart", "figures", "looks"}
_WANTED = {str: "a text in quotes", list: "a list of figures", dict: "a table of texts"}


@dataclass(frozen=True)
class Figure:
    """A figure with its name, what it is in words, its value (SI, or a word) and its kind."""

    name: str
    words: str
    value: float | str
    kind: str

    def shown(self, system: str = "SI") -> str:
        """The figure in the reader's units.

        >>> Figure("taken", "what passes", 0.15, "share").shown()
        '15 %'
        """
        if self.kind == WORDS:
            return str(self.value)
        if self.kind == SHARE:
            per_cent = f"{100.0 * float(self.value):.0f} %"
            return "less than 1 %" if per_cent == "0 %" and self.value else per_cent
        if self.kind == PRESSURE_DIFFERENCE:
            return show(float(self.value), "pressure", system).replace("psia", "psi")
        return show(float(self.value), self.kind, system, decimals=2 if self.kind == "ratio" else None)


@dataclass(frozen=True)
class Look:
    """A place where one looks whether a claim holds: met every day, or seldom."""

    name: str
    words: str
    holds: bool
    every_day: bool


@dataclass(frozen=True)
class TrialOfClaim:
    """A claim with the figures that settle it; texts have gaps, which `told` fills.

    >>> trial = try_claim("no-heat-below-freezing")
    >>> trial.verdict
    'false'
    >>> trial.told("claim")
    'Air below freezing has no heat left in it.'
    """

    id: str
    title: str
    group: str
    lesson: str
    claim: str
    figures: tuple[Figure, ...]
    looks: tuple[Look, ...]
    settles: str
    nearly_true_when: str
    say_instead: str
    chart: tuple[str, ...]

    @property
    def verdict(self) -> str:
        """False, half true or true within limits, as the claim holds nowhere, here and there, or wherever one meets it every day."""
        return verdict_of(look.holds for look in self.looks if look.every_day)

    def figure(self, name: str) -> Figure:
        """The figure of a name; raises `UnknownNameError`.

        >>> try_claim("metering-takes-heat-out").figure("taken").value
        0.0
        """
        for one in self.figures:
            if one.name == name:
                return one
        raise UnknownNameError.among("figure", name, [one.name for one in self.figures])

    def fill(self, text: str, system: str = "SI") -> str:
        """A text with its gaps filled in the reader's units.

        >>> try_claim("glide-is-a-fault").fill("at {pressure}", "IP")
        'at 145.0 psia'
        """
        return _GAP.sub(lambda gap: self.figure(gap[1]).shown(system), text)

    def told(self, part: str, system: str = "SI") -> str:
        """One of its texts: claim, settles, nearly_true_when or say_instead; raises `UnknownNameError` for another."""
        if part not in _TEXTS:
            raise UnknownNameError.among("part of a trial", part, _TEXTS)
        return self.fill(getattr(self, part), system)


def _cases() -> dict[str, Callable[..., Evidence]]:
    found = {}
    for module in (state_cases, charge_cases, heat_cases, control_cases):
        for name, one in vars(module).items():
            if inspect.isfunction(one) and one.__module__ == module.__name__ and not name.startswith("_"):
                found[name.replace("_", "-")] = one
    return found


CASES: Mapping[str, Callable[..., Evidence]] = MappingProxyType(_cases())
"""How each claim is tried, by its id."""


def claims(group: str | None = None) -> Mapping[str, str]:
    """The titles of all claims, or of those of a group, by their ids in the order of the lesson; raises `UnknownNameError` for another group.

    >>> claims("controls")["energised-means-cooling"]
    'Energised means cooling'
    """
    known = dict.fromkeys(entry["group"] for entry in _texts().values())
    if group is not None and group not in known:
        raise UnknownNameError.among("group of claims", group, known)
    return MappingProxyType({id: entry["title"] for id, entry in _texts().items() if group in (None, entry["group"])})


def try_claim(id: str, **inputs: object) -> TrialOfClaim:
    """Put a claim on trial, with the usual inputs of its case (SI) or with others.

    Raises `UnknownNameError` for an unknown claim or input, and what the library refuses for inputs that cannot be.

    >>> try_claim("one-temperature-for-each-pressure", much="R-32").verdict
    'true within limits'
    """
    if id not in CASES:
        raise UnknownNameError.among("claim", id, CASES)
    known = inspect.signature(CASES[id]).parameters
    for name in inputs:
        if name not in known:
            raise UnknownNameError.among(f"input of the claim {id}", name, known)
    return _tried(id, tuple(sorted(inputs.items())))


@lru_cache(maxsize=128)
def _tried(id: str, inputs: tuple[tuple[str, object], ...]) -> TrialOfClaim:
    found, texts = CASES[id](**dict(inputs)), _texts()[id]
    words, places = texts["figures"], texts["looks"]
    met = ((True, found.every_day), (False, found.seldom))
    looks = [Look(name, _known(places, name, id), holds, every_day) for every_day, some in met for name, holds in some.items()]
    if not found.every_day:
        raise InputError(f"claim {id} is never met with these inputs, so they settle nothing: choose inputs nearer to its usual ones")
    figures = tuple(Figure(name, _known(words, name, id), value, kind) for name, (value, kind) in found.figures.items())
    charted = {one.kind for one in figures if one.name in texts.get("chart", ())}
    if len(charted) > 1:
        raise DataError(f"claims.toml, {id}: chart has figures of {' and '.join(sorted(charted))}: use figures of one kind")
    return TrialOfClaim(
        id=id, title=texts["title"], group=texts["group"], lesson=texts["lesson"], figures=figures, looks=tuple(looks), chart=tuple(texts.get("chart", ())),
        **{part: texts[part].strip() for part in _TEXTS},
    )  # fmt: skip


def _known(words: Mapping[str, str], name: str, id: str) -> str:
    if name not in words:
        raise DataError(f"claims.toml, {id}: {name!r} is computed and has no words: write them into its figures or looks")
    return words[name]


@lru_cache(maxsize=1)
def _texts() -> Mapping[str, Mapping]:
    return read_texts(Path(__file__).with_name("claims.toml").read_text("utf-8"), "claims.toml")


def read_texts(text: str, file: str) -> Mapping[str, Mapping]:
    """The texts of a file of claims, by id; raises `DataError` with file, key and what is allowed.

    >>> read_texts("[some-claim]\\n", "mine.toml")
    Traceback (most recent call last):
    hpteach.errors.DataError: mine.toml: 'some-claim' is no claim that can be tried: use the id of a case
    """
    try:
        found = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise DataError(f"{file} is not TOML: {error}") from None
    for id, entry in found.items():
        if id not in CASES:
            raise DataError(f"{file}: {id!r} is no claim that can be tried: use the id of a case")
        missing, unknown = _KEYS - {"chart"} - set(entry), set(entry) - _KEYS
        if missing or unknown:
            raise DataError(f"{file}, {id}: {'missing' if missing else 'unknown'} is {', '.join(sorted(missing or unknown))}: a claim has {', '.join(sorted(_KEYS))}")
        for key, wanted in {**dict.fromkeys(_KEYS, str), "chart": list, "figures": dict, "looks": dict}.items():
            if not isinstance(entry.get(key, wanted()), wanted):
                raise DataError(f"{file}, {id}: {key} = {entry[key]!r} is of another kind: write {_WANTED[wanted]}")
        written = (*(entry[part] for part in _TEXTS), *entry["looks"].values())
        for gap in (*(one for text in written for one in _GAP.findall(text)), *entry.get("chart", ())):
            if gap not in entry["figures"]:
                raise DataError(f"{file}, {id}: {gap!r} is none of its figures: use {', '.join(entry['figures'])}")
    if untried := set(CASES) - set(found):
        raise DataError(f"{file} has no text for {', '.join(sorted(untried))}: write one for each case")
    return MappingProxyType(found)


def unit_of(figure: Figure, system: str) -> str:
    """The unit in which a figure is shown.

    >>> unit_of(Figure("t", "the air", 280.0, "temperature"), "IP")
    '°F'
    """
    if figure.kind in (SHARE, WORDS):
        return "%" if figure.kind == SHARE else ""
    if figure.kind == PRESSURE_DIFFERENCE:
        return unit_shown("pressure", system).label.replace("psia", "psi")
    return unit_shown(figure.kind, system).label
