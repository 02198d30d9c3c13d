"""The manifest of a set of papers (hpteach/assessment/manifest.py).  Bank, blueprint and class are invented."""

from __future__ import annotations

import copy
import json
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from hpteach.assessment.forms import deal_forms, iter_forms
from hpteach.assessment.manifest import SCHEMA, manifest, manifest_of, read_manifest, write_manifest
from hpteach.assessment.roster import Learner
from hpteach.assessment.secret import Secret
from hpteach.assessment.strata import fits
from hpteach.errors import DataError, InputError
from tests import invented_class, small_bank
from tests.invented_class import SECRET, blueprint

BANK = invented_class.bank()
QUIZ = blueprint()
CLASS = [Learner("7", "王小明 <b>", "A", "IP"), Learner("8", '"Zoë" \\ Ünal'), Learner("9")]
FORMS = deal_forms(CLASS, QUIZ, BANK, SECRET, workers=1).forms
TEXT = manifest(FORMS, QUIZ, BANK, SECRET)


def read(text: str, secret: Secret | None = SECRET):
    """The manifest in a text."""
    return manifest_of(text, "papers.json", secret)


def refusal(text: str, secret: Secret | None = SECRET) -> str:
    """The sentence with which a text is refused."""
    with pytest.raises(DataError) as caught:
        read(text, secret)
    return str(caught.value)



def test_what_was_written_is_read_back(tmp_path: Path) -> None:
    """Blueprint, forms and versions, in any script; the file is the text."""
    path = write_manifest(tmp_path / "papers.json", FORMS, QUIZ, BANK, SECRET)
    assert TEXT == path.read_text(encoding="utf-8")
    found = read_manifest(path, SECRET)
    assert (QUIZ, FORMS, "papers.json", True) == (found.blueprint, found.forms, found.file, found.signed)
    assert {id: BANK.question(id).version for stratum in fits(QUIZ, BANK) for id in stratum.questions} == dict(found.versions)
    assert ["papers.json"] == [entry.name for entry in tmp_path.iterdir()]


def test_same_papers_have_the_same_bytes() -> None:
    """Also when the forms come one by one."""
    assert TEXT == manifest(iter_forms(CLASS, QUIZ, BANK, SECRET, workers=1), QUIZ, BANK, SECRET)


def test_form_is_found_by_its_code_as_it_was_typed() -> None:
    """Small letters and blanks do not matter; an unknown or impossible code finds nothing."""
    found = read(TEXT)
    assert FORMS[1] == found.form(f" {FORMS[1].code.lower().replace('-', ' ')}")
    assert [None, None, None] == [found.form(code) for code in ("2222-2222", "no code", "")]


def test_layout_does_not_matter() -> None:
    """A program that lays the file out anew, sorts its keys or writes letters as escapes leaves the signature whole."""
    laid_out = json.dumps(json.loads(TEXT), indent=4, sort_keys=True, ensure_ascii=True)
    assert FORMS == read(laid_out).forms


def places(thing: object, way: tuple = ()) -> list[tuple]:
    """The ways to all entries that hold no others."""
    if isinstance(thing, dict | list) and thing:
        pairs = thing.items() if isinstance(thing, dict) else enumerate(thing)
        return [found for key, inside in pairs for found in places(inside, (*way, key))]
    return [way]


DATA = json.loads(TEXT)
CHANGEABLE = [way for way in places(DATA) if way != ("schema",)]


@settings(deadline=None)
@given(st.sampled_from(CHANGEABLE), st.sampled_from(["", "x", 0, 1, -7, 2**60, None, [], {}, True, 1.5]))
def test_any_changed_entry_is_told(way: tuple, value: object) -> None:
    """With the secret no other value of any entry passes, and without it nothing but a refusal with its file comes of one."""
    changed = copy.deepcopy(DATA)
    at = changed
    for key in way[:-1]:
        at = at[key]
    if json.dumps(at[way[-1]]) == json.dumps(value):
        return
    at[way[-1]] = value
    assert refusal(json.dumps(changed)).startswith("papers.json")
    try:
        read(json.dumps(changed), None)
    except DataError as error:
        assert str(error).startswith("papers.json")


@pytest.mark.parametrize("swap", [("learner",), ("questions",), ("code",)])
def test_exchange_between_two_forms_is_told(swap: tuple[str]) -> None:
    """Nobody gets the form of a neighbour."""
    changed = copy.deepcopy(DATA)
    first, second = changed["forms"][:2]
    first[swap[0]], second[swap[0]] = second[swap[0]], first[swap[0]]
    sentence = refusal(json.dumps(changed))
    assert sentence.startswith("papers.json: its signature does not fit: the file was changed after it was made, or it was made with another secret: ")
    assert sentence.endswith("take the file as it was made, and name the secret that the papers were dealt with")


def test_form_left_out_or_added_is_told() -> None:
    """The number of forms is signed too, and so is their order."""
    for forms in (DATA["forms"][:-1], [*DATA["forms"], DATA["forms"][0]], DATA["forms"][::-1]):
        assert "its signature does not fit" in refusal(json.dumps(DATA | {"forms": forms}))


def test_another_secret_is_told() -> None:
    """It cannot be known which of both it is."""
    assert "or it was made with another secret" in refusal(TEXT, Secret(bytes(range(1, 17))))


def test_without_secret_nothing_is_proved() -> None:
    """The forms are read, and the manifest says that its signature was not looked at."""
    found = read(json.dumps(DATA | {"signature": "none"}), None)
    assert (FORMS, False) == (found.forms, found.signed)


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        (lambda data: data["forms"][0].update(code="2222-2222x"), "papers.json: forms[1] is not as it was written"),
        (lambda data: data["forms"][0].update(code=7), "papers.json: forms[1] is not as it was written"),
        (lambda data: data["forms"][1].update(learner={"id": ""}), "papers.json: forms[2] is not as it was written"),
        (lambda data: data["forms"][1].update(learner={"id": "8", "key": "9"}), "papers.json: forms[2] is not as it was written"),
        (lambda data: data["forms"][1].update(system="metric"), "papers.json: forms[2] is not made as its blueprint says"),
        (lambda data: data["forms"][1]["questions"].pop(), "papers.json: forms[2] is not made as its blueprint says"),
        (lambda data: data["forms"][1]["questions"][0].__setitem__(0, "unknown"), "papers.json: forms[2] is not made as its blueprint says"),
        (lambda data: data["forms"][1]["questions"][0].__setitem__(2, 9), "papers.json: forms[2] is not made as its blueprint says"),
        (lambda data: data["forms"][1]["questions"][0].append(1), "papers.json: forms[2] is not as it was written"),
        (lambda data: data["forms"].append(data["forms"][0]), "papers.json: two forms have the same code"),
        (lambda data: data["forms"][1].update(learner=data["forms"][0]["learner"]), "papers.json: two forms have the same learner"),
        (lambda data: data["forms"].append([]), "papers.json: forms[4] is not as it was written"),
        (lambda data: data["versions"].update(more="1"), "papers.json: blueprint or versions are not as they were written"),
        (lambda data: data["blueprint"].update(text="title = 1"), "papers.json, its blueprint: sections is missing"),
    ],
)
def test_nonsense_is_refused_without_a_secret_too(change, sentence: str) -> None:
    """Nothing in an unsigned file is trusted."""
    changed = copy.deepcopy(DATA)
    change(changed)
    assert sentence in refusal(json.dumps(changed), None)


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("", "papers.json: is not readable as JSON"),
        (TEXT[: len(TEXT) // 2], "papers.json: is not readable as JSON"),
        ("[" * 100_000, "papers.json: is not readable as JSON"),
        ("[]", "papers.json: is no manifest of papers: name the folder that the papers were dealt into"),
        ('{"schema": "1"}', "papers.json: is no manifest of papers"),
        ('{"schema": 1}', "papers.json: blueprint is missing or of another kind"),
        (json.dumps(DATA | {"schema": SCHEMA + 1}), f"papers.json: schema = {SCHEMA + 1}: allowed is {SCHEMA}: the papers were dealt by another version"),
        (json.dumps(DATA | {"signature": None}), "papers.json: signature is missing or of another kind"),
        (json.dumps(DATA | {"note": "mine"}), "papers.json: 'note' is no entry of a manifest"),
        (TEXT.replace('"schema": 1', '"schema": 1, "schema": 1'), "papers.json: is not readable as JSON (a key stands twice)"),
        (json.dumps(DATA | {"signature": "é" * 64}), "its signature does not fit"),
    ],
)
def test_file_that_is_no_manifest_is_refused(text: str, sentence: str) -> None:
    """What is wrong is told before any signature is looked at."""
    assert sentence in refusal(text)


def test_file_that_cannot_be_read_or_written_is_refused(tmp_path: Path) -> None:
    """Missing, in another encoding, a folder; a place that is none leaves nothing behind."""
    with pytest.raises(DataError, match="papers.json: cannot be read"):
        read_manifest(tmp_path / "papers.json", SECRET)
    (tmp_path / "papers.json").write_bytes(TEXT.encode("utf-16"))
    with pytest.raises(DataError, match="papers.json: is no UTF-8 text"):
        read_manifest(tmp_path / "papers.json", SECRET)
    with pytest.raises(InputError, match="cannot be written"):
        write_manifest(tmp_path / "nowhere" / "papers.json", FORMS, QUIZ, BANK, SECRET)


def test_writing_that_breaks_off_leaves_what_was_there(tmp_path: Path) -> None:
    """A refusal in the middle of the forms neither damages the file nor leaves a part of one."""
    path = write_manifest(tmp_path / "papers.json", FORMS, QUIZ, BANK, SECRET)

    def broken():
        yield FORMS[0]
        raise InputError("no more forms")

    with pytest.raises(InputError, match="no more forms"):
        write_manifest(path, broken(), QUIZ, BANK, SECRET)
    assert TEXT == path.read_text(encoding="utf-8")
    assert [path] == list(tmp_path.iterdir())


def test_questions_that_were_changed_since_are_told() -> None:
    """Which are gone and which have another version now; all others can be judged."""
    questions = list(BANK.questions.values())
    now = small_bank.bank(replace(questions[0], version=3), *questions[2:])
    told = read(TEXT).changed(now)
    assert {
        questions[0].id: f"{questions[0].id} was changed after the papers were dealt: version 1 then, 3 now",
        questions[1].id: f"{questions[1].id} is in the bank no more",
    } == told
    assert {} == read(TEXT).changed(BANK)
