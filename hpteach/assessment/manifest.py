"""The manifest of a set of papers: whose form holds which questions with which seeds, signed by the instructor's secret.

What lives here: writing `papers.json` and reading it back.  What does not: dealing forms (forms), what is printed (papers).

    {"schema": 1, "blueprint": {"id", "text"}, "versions": {question: version}, "forms": [
    {"code", "learner": {"id", "name", "group", "units"}, "difficulty", "marks", "system", "questions": [[question, seed, section, drawing], ...]},
    ...
    ], "signature": "..."}

The signature is HMAC-SHA256 over everything else, in one writing for each content (keys sorted, no blanks), so that a file which
was only laid out anew still holds.  Whoever has the file knows the seeds, and with the bank the answers: it is for the instructor alone.
"""

from __future__ import annotations

import hmac
import json
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from types import MappingProxyType
from typing import Any

from hpteach.assessment.blueprint import Blueprint, blueprint_of
from hpteach.assessment.bounded_file import read_bounded
from hpteach.assessment.form_codes import read_form_code
from hpteach.assessment.forms import Form, FormQuestion
from hpteach.assessment.roster import SYSTEMS, Learner
from hpteach.assessment.secret import Secret
from hpteach.assessment.strata import fits
from hpteach.assessment.whole_file import whole_file
from hpteach.errors import DataError, InputError
from hpteach.questions import Bank

SCHEMA = 1
_LARGEST = 200_000_000
_PURPOSE = "manifest"
_ANEW = "take the file as it was made, or deal the papers anew"


@dataclass(frozen=True)
class Manifest:
    """A set of papers: its blueprint, its forms, and the version of each question that may be in them.

    `file` is its name; `signed` says that its signature was proved.
    """

    blueprint: Blueprint
    forms: tuple[Form, ...]
    versions: Mapping[str, int]
    file: str = ""
    signed: bool = False

    @cached_property
    def _by_code(self) -> dict[str, Form]:
        return {form.code: form for form in self.forms}

    def form(self, code: str) -> Form | None:
        """The form with a code, however it was typed; None where there is none.

        >>> Manifest(None, (), {}).form("K7QM-2XAD") is None
        True
        """
        try:
            return self._by_code.get(read_form_code(code))
        except InputError:
            return None

    def changed(self, bank: Bank) -> dict[str, str]:
        """Why questions of the papers cannot be judged with a bank, by their ids: they are gone, or were changed since.

        >>> from hpteach.questions import read_bank
        >>> Manifest(None, (), {"read-a-gauge": 1, "old-one": 2}).changed(read_bank())
        {'old-one': 'old-one is in the bank no more'}
        """
        found = {}
        for id, version in self.versions.items():
            now = bank.questions.get(id)
            if now is None:
                found[id] = f"{id} is in the bank no more"
            elif now.version != version:
                found[id] = f"{id} was changed after the papers were dealt: version {version} then, {now.version} now"
        return found


# Writing ------------------------------------------------------------------------------


def manifest(forms: Iterable[Form], blueprint: Blueprint, bank: Bank, secret: Secret) -> str:
    """The manifest as a text; `write_manifest` writes the same without holding it in memory.

    >>> from hpteach.assessment.blueprint import read_blueprint
    >>> from hpteach.assessment.forms import deal_forms
    >>> from hpteach.questions import read_bank
    >>> bank, quiz, secret = read_bank(), read_blueprint("lesson-01"), Secret(bytes(range(16)))
    >>> forms = deal_forms([Learner("7")], quiz, bank, secret).forms
    >>> manifest_of(manifest(forms, quiz, bank, secret), "papers.json", secret).forms == forms
    True
    """
    return "".join(_pieces(forms, blueprint, bank, secret))


def write_manifest(path: str | Path, forms: Iterable[Form], blueprint: Blueprint, bank: Bank, secret: Secret) -> Path:
    """Write the manifest in one step, form by form, and return the path.

    Raises `InputError` where the place cannot be written.

    >>> from tempfile import TemporaryDirectory
    >>> from hpteach.assessment.blueprint import read_blueprint
    >>> from hpteach.questions import read_bank
    >>> secret = Secret(bytes(range(16)))
    >>> with TemporaryDirectory() as folder:
    ...     path = write_manifest(Path(folder) / "papers.json", [], read_blueprint("lesson-01"), read_bank(), secret)
    ...     read_manifest(path, secret).blueprint.title == read_blueprint("lesson-01").title
    True
    """
    with whole_file(path) as file:
        file.writelines(piece.encode() for piece in _pieces(forms, blueprint, bank, secret))
    return Path(path)


def _pieces(forms: Iterable[Form], blueprint: Blueprint, bank: Bank, secret: Secret) -> Iterator[str]:
    ids = sorted({id for stratum in fits(blueprint, bank) for id in stratum.questions})
    head = {
        "schema": SCHEMA,
        "blueprint": {"id": blueprint.id, "text": blueprint.text},
        "versions": {id: bank.question(id).version for id in ids},
    }
    places = {section.title: place for place, section in enumerate(blueprint.sections)}
    signature = _Signature(secret, head)
    yield _plain(head)[:-1] + ', "forms": ['
    begin = "\n"
    for form in forms:
        told = _form_told(form, places)
        signature.add(told)
        yield begin + _plain(told)
        begin = ",\n"
    yield f'\n], "signature": "{signature.hexadecimal}"}}\n'


def _form_told(form: Form, places: Mapping[str, int]) -> dict[str, Any]:
    learner = form.learner
    return {
        "code": form.code,
        "learner": {"id": learner.id, "name": learner.name, "group": learner.group, "units": learner.units},
        "difficulty": form.difficulty,
        "marks": form.marks,
        "system": form.questions[0].system,
        "questions": [[one.question, one.seed, places[one.section], int(one.drawing)] for one in form.questions],
    }


class _Signature:
    """The signature of what has been added so far, each thing in its one writing."""

    def __init__(self, secret: Secret, head: object) -> None:
        self._sum = hmac.new(secret.digest(_PURPOSE), digestmod="sha256")
        self.add(head)

    def add(self, thing: object) -> None:
        told = json.dumps(thing, sort_keys=True, separators=(",", ":"), ensure_ascii=True).encode()
        self._sum.update(len(told).to_bytes(8, "big") + told)

    @property
    def hexadecimal(self) -> str:
        return self._sum.hexdigest()


def _plain(thing: object) -> str:
    return json.dumps(thing, ensure_ascii=False)


# Reading ------------------------------------------------------------------------------


def read_manifest(path: str | Path, secret: Secret | None) -> Manifest:
    """The manifest in a file, once its signature fits the secret; without a secret the signature is not looked at.

    Raises `DataError` where the file cannot be read, is of another schema, was changed, or was made with another secret.

    >>> read_manifest("nowhere/papers.json", Secret(bytes(range(16))))
    Traceback (most recent call last):
    hpteach.errors.DataError: papers.json: cannot be read (No such file or directory): name the folder that the papers were dealt into
    """
    path = Path(path)
    data = read_bounded(path, _LARGEST, "name the folder that the papers were dealt into")
    if len(data) > _LARGEST:
        raise DataError(f"{path.name}: is larger than {_LARGEST} bytes: is it the manifest of papers?")
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise DataError(f"{path.name}: is no UTF-8 text: {_ANEW}") from None
    return manifest_of(text, path.name, secret)


def manifest_of(text: str, file: str, secret: Secret | None) -> Manifest:
    """The manifest in a text; refusals as in `read_manifest`, of which `file` is the name.

    >>> manifest_of("[]", "papers.json", None)
    Traceback (most recent call last):
    hpteach.errors.DataError: papers.json: is no manifest of papers: name the folder that the papers were dealt into
    """
    data = _parsed(text, file)
    if secret is not None:
        _prove(data, file, secret)
    id, text, versions = data["blueprint"].get("id"), data["blueprint"].get("text"), data["versions"]
    if not isinstance(id, str) or not isinstance(text, str) or not all(type(version) is int for version in versions.values()):
        raise DataError(f"{file}: blueprint or versions are not as they were written: {_ANEW}")
    blueprint = blueprint_of(text, f"{file}, its blueprint", id)
    forms = tuple(_form_read(form, f"{file}: forms[{number}]", blueprint, versions) for number, form in enumerate(data["forms"], start=1))
    for what, found in (("code", [form.code for form in forms]), ("learner", [form.learner.key for form in forms])):
        if len(set(found)) != len(found):
            raise DataError(f"{file}: two forms have the same {what}: {_ANEW}")
    return Manifest(blueprint, forms, MappingProxyType(versions), file, secret is not None)


def _prove(data: Mapping[str, Any], file: str, secret: Secret) -> None:
    signature = _Signature(secret, {key: data[key] for key in ("schema", "blueprint", "versions")})
    for form in data["forms"]:
        signature.add(form)
    if not hmac.compare_digest(signature.hexadecimal.encode(), data["signature"].encode("utf-8", errors="replace")):
        raise DataError(
            f"{file}: its signature does not fit: the file was changed after it was made, or it was made with another secret: "
            "take the file as it was made, and name the secret that the papers were dealt with"
        )


def _parsed(text: str, file: str) -> dict[str, Any]:
    """The manifest's entries, if it is one of this schema; nothing in it is trusted yet."""
    try:
        data = json.loads(text, object_pairs_hook=_once)
    except (ValueError, RecursionError) as error:
        raise DataError(f"{file}: is not readable as JSON ({error}): {_ANEW}") from None
    if not isinstance(data, dict) or type(data.get("schema")) is not int:
        raise DataError(f"{file}: is no manifest of papers: name the folder that the papers were dealt into")
    if data["schema"] != SCHEMA:
        shown = str(data["schema"])[:20]
        raise DataError(f"{file}: schema = {shown}: allowed is {SCHEMA}: the papers were dealt by another version of this program, mark them with that")
    kinds = {"blueprint": dict, "versions": dict, "forms": list, "signature": str}
    for key, kind in kinds.items():
        if not isinstance(data.get(key), kind):
            raise DataError(f"{file}: {key} is missing or of another kind: {_ANEW}")
    for key in sorted(set(data) - {"schema", *kinds}):
        raise DataError(f"{file}: {key[:40]!r} is no entry of a manifest: {_ANEW}")
    return data


def _once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) != len(pairs):
        raise ValueError("a key stands twice")
    return found


def _form_read(told: Any, place: str, blueprint: Blueprint, versions: Mapping[str, int]) -> Form:
    """A form, if it is made as the blueprint says; nothing else in it is trusted."""
    try:
        code, learner, system = read_form_code(told["code"]), Learner(**told["learner"]), told["system"]
        questions = [(str(id), int(seed), int(section), bool(drawing)) for id, seed, section, drawing in told["questions"]]
        difficulty, marks = float(told["difficulty"]), float(told["marks"])
    except (KeyError, TypeError, ValueError, AttributeError, OverflowError, RecursionError) as error:
        raise DataError(f"{place} is not as it was written ({error}): {_ANEW}") from None
    counted = Counter(section for _, _, section, _ in questions)
    as_stated = counted == {number: section.questions for number, section in enumerate(blueprint.sections)}
    if not as_stated or system not in SYSTEMS or not all(id in versions for id, *_ in questions):
        raise DataError(f"{place} is not made as its blueprint says: {_ANEW}")
    titles = [section.title for section in blueprint.sections]
    numbered = enumerate(questions, start=1)
    asked = tuple(FormQuestion(number, id, versions[id], seed, system, titles[section], drawing) for number, (id, seed, section, drawing) in numbered)
    return Form(code, learner, blueprint.id, asked, difficulty, marks)
