"""The commands of the instructor's desk: papers, mark, blueprints and hand-in.

What lives here: reading their options, the folders that they write into, and printing what comes of them.
What does not: dealing and marking (assessment), printing papers and results (papers).
"""

from __future__ import annotations

import os
import re
import shlex
import time
from argparse import Namespace
from collections.abc import Callable, Iterable, Mapping
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from hpteach.desk_folders import MANIFEST, empty_folder, files_in, make_folder, named_folder, marked_before, taken_away
from hpteach.errors import DataError, InputError, UnknownNameError
from hpteach.options import PROGRAM, Reader, plain, read
from hpteach.printing import remark, show, show_json

if TYPE_CHECKING:
    from hpteach.assessment.hand_in import HandIn
    from hpteach.assessment.manifest import Manifest
    from hpteach.assessment.marked import MarkedClass
    from hpteach.assessment.practised import Practised
    from hpteach.assessment.secret import Secret
    from hpteach.assessment.tabular import Sheet
    from hpteach.assessment.variant_store import VariantStore
    from hpteach.papers.class_page import Lesson
    from hpteach.questions import Bank

SIZES = {"a4": "A4", "letter": "Letter"}

_LESSON_PAGE = "http://127.0.0.1:8866/voila/render/"
"""Where `hpteach pages` shows a lesson on this machine, unless it was given another port."""

_MOST_ROWS = 1_000_000
_DEMO_BLUEPRINT = "end-of-course"
_SILENT, _BETWEEN = 1.0, 1.0
"""Seconds before the first word of progress, and between two of them."""
_NAMED = 3
_LONGEST_CELL = 30
_NUMBER = re.compile(r"0*([0-9]{1,4})(?:[.,]0*|\))?")
_JOINERS = "\u200c\u200d"
"""What joins or parts letters of a script, and turns nothing."""


# The commands -------------------------------------------------------------------------


def papers(args: Namespace, reader: Reader) -> int:
    """Deal a form for each learner of a roster, and write papers, key, answer sheet and manifest."""
    from hpteach.assessment.blueprint import read_blueprint
    from hpteach.assessment.demo_class import demo_roster
    from hpteach.assessment.difficulty import read_difficulties
    from hpteach.assessment.forms import deal_forms
    from hpteach.assessment.roster import read_roster
    from hpteach.assessment.strata import fits
    from hpteach.papers import write_papers
    from hpteach.questions import read_bank

    size = _paper(args.paper)
    roster = demo_roster() if _demo(args.roster) else read("--roster", args.roster, lambda: read_roster(args.roster))
    blueprint = read("--blueprint", args.blueprint, lambda: read_blueprint(args.blueprint))
    bank = read_bank()
    known = read("--difficulties", args.difficulties, lambda: read_difficulties(args.difficulties, bank)) if args.difficulties else None
    read("--blueprint", args.blueprint, lambda: fits(blueprint, bank))
    folder = read("--out", args.out, lambda: empty_folder(named_folder(args.out)))
    there = os.path.exists(args.seed_secret)
    secret = read("--seed-secret", args.seed_secret, lambda: _secret_read_or_made(args.seed_secret))
    told = progress()
    dealt = read("--blueprint", args.blueprint, lambda: deal_forms(roster, blueprint, bank, secret, difficulties=known, told=told))
    make_folder(folder)
    printed = write_papers(dealt.forms, blueprint, bank, secret, folder, store=dealt.store, paper=size, charts=not args.no_charts, told=told)
    remarks = [_unread(roster.unused), _doubt(roster.understood), *(known.passed_over[:_NAMED] if known else ()), dealt.notice, printed.notice]
    remarks += _used_again(args.seed_secret, secret) if there else ()
    if args.json:
        return _json_and_remarks(printed.dictionary(), remarks)
    show(
        f"Written: {printed.forms} forms of {blueprint.title!r} ({blueprint.questions} questions, {blueprint.minutes} minutes) into {folder}.",
        "Print index.html for the class, or one file in forms/ for each learner. key.html is for you alone, and so is papers.json.\n"
        f"Type the answers into answers.csv, then: {PROGRAM} mark --papers {_typed(args.out)} --answers {_typed(f'{args.out}/answers.csv')} --seed-secret {_typed(args.seed_secret)} --out marks",
    )
    return remark(*filter(None, remarks))


def mark(args: Namespace, reader: Reader) -> int:
    """Mark a class from its answer sheet, from answers handed in by file, or from both; or what learners practised, from their records.

    Raises `InputError` where answers or the secret are missing.
    """
    from hpteach.assessment.marking import mark as marked_class
    from hpteach.assessment.variant_store import VariantStore
    from hpteach.papers.marks_files import marked_dictionary, write_marks
    from hpteach.questions import read_bank

    if args.answers is None and not args.hand_in and not args.progress:
        raise InputError("mark needs answers: add --answers FILE.csv, or --hand-in FOLDER with the files that learners handed in")
    if args.hand_in and args.seed_secret is None:
        raise InputError("--hand-in needs --seed-secret FILE, with which the papers were dealt: without it nobody can tell whether a file was changed")
    secret = read("--seed-secret", args.seed_secret, lambda: _secret_to_mark(args.seed_secret)) if args.seed_secret else None
    bank, folder, told = read_bank(), read("--out", args.out, lambda: named_folder(args.out)), progress()
    store = VariantStore(bank)
    before = read("--out", args.out, lambda: marked_before(folder))
    records = _practised(args.progress, bank) if args.progress else None
    manifest = records.manifest if records else _papers_of(args, secret, store, told)
    sheet = read("--answers", args.answers, lambda: _sheet(args.answers, manifest, store)) if args.answers else None
    hand_ins, refused = (records.hand_ins, records.refused) if records else _handed_in(args.hand_in or (), secret, manifest)
    found = marked_class(manifest, bank, sheet=sheet, hand_ins=hand_ins, refused=refused, store=store, told=told)
    files = read("--out", args.out, lambda: write_marks(found, folder, lessons=lessons_of_the_course(), told=told))
    remarks = [
        *(records.remarks if records else ()),
        "" if manifest.signed or records else f"The signature of {MANIFEST} was not checked, as there is no --seed-secret: whoever can write to {args.papers} can have changed it.",
        _doubt(sheet.understood) if sheet else "",
        *found.remarks,
        _not_marked(found, folder),
        taken_away(before, {path.relative_to(folder).as_posix() for path in files}, folder),
    ]
    if args.json:
        return _json_and_remarks({**marked_dictionary(found), "files": [path.relative_to(folder).as_posix() for path in files]}, remarks)
    show(*_marked_blocks(found), f"Written into {folder}: class.html, feedback.html, feedback/, marks.csv, questions.csv, mistakes.csv, rows-not-marked.csv, marked.json.")
    return remark(*filter(None, remarks))


def blueprints(args: Namespace, reader: Reader) -> int:
    """List the blueprints that come with the project."""
    from hpteach.assessment import blueprint as stated
    from hpteach.tables import Table

    found = [stated.read_blueprint(name) for name in stated.blueprints()]
    if args.json:
        keys = ("id", "edition", "title", "purpose", "questions", "minutes", "pass_mark", "pass_mark_why", "units", "table", "law", "sources", "not_covered")
        listed = [{key: getattr(one, key) for key in keys} for one in found]
        return show_json({"blueprints": [{key: list(value) if isinstance(value, tuple) else value for key, value in one.items()} for one in listed]})
    rows = [(one.id, one.title, str(one.questions), str(one.minutes), f"{100.0 * one.pass_mark:.0f} %", one.table) for one in found]
    return show(Table("Name one of these with papers --blueprint", ("name", "title", "questions", "minutes", "pass mark", "table"), rows, right=(2, 3, 4)))


def hand_in(args: Namespace, reader: Reader) -> int:
    """Write a learner's answers as a file that is signed with the key of his or her form.  Raises `InputError` for a file that is there already."""
    from hpteach.assessment.form_codes import read_form_code
    from hpteach.assessment.hand_in import ENDING, write_hand_in
    from hpteach.assessment.hand_in_keys import read_hand_in_key

    path = Path(args.out)
    if path.suffix.lower() != ENDING:
        raise InputError(f"--out {args.out[:200]!r} does not end in {ENDING}: write it as answers{ENDING}")
    if os.path.lexists(path):
        raise InputError(f"--out {args.out[:200]!r} is there already: choose another name, so that nothing that was handed in is lost")
    code = read("--form", args.form, lambda: read_form_code(args.form))
    key = read("--form-key", args.form_key, lambda: read_hand_in_key(args.form_key, code))
    answers = read("--answers", args.answers, lambda: _own_answers(args.answers, code))
    written = read("--out", args.out, lambda: write_hand_in(path, code, key, answers, handed_in=datetime.now(UTC)))
    if args.json:
        return show_json({"file": str(written), "form": code, "answers": len(answers)})
    return show(f"Written: {written}, {len(answers)} answers to form {code}. Give this file to your instructor; whoever changes it is found out.")


# What they share ----------------------------------------------------------------------------


def progress() -> Callable[[str, int, int], None]:
    """What says how far a long task is: nothing in the first second, then a line each second.

    >>> progress()("forms judged", 1, 20)
    """
    said = {"next": time.monotonic() + _SILENT}

    def told(what: str, done: int, of: int) -> None:
        if time.monotonic() >= said["next"] and done < of:
            said["next"] = time.monotonic() + _BETWEEN
            full = 20 * done // of
            remark(f"[{'#' * full}{'.' * (20 - full)}] {what[0].upper()}{what[1:]}: {done} of {of}.")

    return told


def lessons_of_the_course() -> Mapping[str, Lesson]:
    """The lessons in the clone's notebooks, by their two digits; none where there are no notebooks.

    >>> lessons_of_the_course()["03"].title
    'four processes'
    """
    from hpteach.papers.class_page import Lesson

    folder = Path(__file__).resolve().parents[1] / "notebooks"
    return {
        path.name[:2]: Lesson(path.name[:2], path.stem[3:].replace("-", " "), _LESSON_PAGE + path.name) for path in sorted(folder.glob("[0-9][0-9]-*.ipynb"))
    }


def _json_and_remarks(found: dict[str, Any], remarks: Iterable[str]) -> int:
    show_json(found)
    return remark(*filter(None, remarks))


def _paper(text: str) -> str:
    if plain(text) not in SIZES:
        raise UnknownNameError.among("--paper: size", text, SIZES.values())
    return SIZES[plain(text)]


def _unread(headings: Iterable[str]) -> str:
    named = ", ".join(repr(heading[:40]) for heading in headings)
    return f"Columns of the roster that nothing reads: {named}." if named else ""


def _doubt(understood: str) -> str:
    """How a file was read, where that is a guess."""
    return f"{understood}." if "Windows-1252" in understood else ""


def _secret_read_or_made(text: str) -> Secret:
    """The secret in a file; where there is none it is made, and a remark says so at once, whatever becomes of the papers."""
    from hpteach.assessment.secret import new_secret, read_secret

    if os.path.exists(text):
        return read_secret(text)
    secret = new_secret(text)
    remark(f"A new secret was made: {text}. Keep it to yourself and keep it safe: with it the papers are dealt and checked, and nobody can make it again.")
    return secret


def _used_again(text: str, secret: Secret) -> tuple[str, ...]:
    """What is to be said of a secret that was there already."""
    from hpteach.assessment.secret import doubts_of_secret

    again = f"The secret in {text} was there already: the same secret, blueprint and id give the same paper. Take a new secret for another class or a second sitting."
    return again, *doubts_of_secret(text, secret)


def _secret_to_mark(text: str) -> Secret:
    """The secret in a file; where it cannot be read, marking without it is told."""
    from hpteach.assessment.secret import read_secret

    try:
        return read_secret(text)
    except DataError as error:
        if os.path.exists(text):
            raise
        raise DataError(f"{error}; if it is lost, leave --seed-secret out: the answer sheet can be marked without it, but nobody notices where {MANIFEST} was changed") from None


def _demo(text: str) -> bool:
    """Whether an option asks for the invented class; a file or folder of that name goes before it."""
    from hpteach.assessment.demo_class import NAME

    return plain(text) == NAME and not os.path.exists(text)


def _papers_of(args: Namespace, secret: Secret | None, store: VariantStore, told: Callable[[str, int, int], None]) -> Manifest:
    """The manifest of the folder that papers were dealt into, or of papers for the invented class, which are dealt anew."""
    from hpteach.assessment import demo_class as demo
    from hpteach.assessment.blueprint import read_blueprint
    from hpteach.assessment.forms import deal_forms
    from hpteach.assessment.manifest import manifest, manifest_of, read_manifest

    if not _demo(args.papers):
        return read("--papers", args.papers, lambda: read_manifest(_manifest_in(args.papers), secret))
    blueprint = read_blueprint(_DEMO_BLUEPRINT)
    dealt = deal_forms(demo.demo_roster(), blueprint, store.bank, demo.demo_secret(), store=store, told=told)
    return manifest_of(manifest(dealt.forms, blueprint, store.bank, demo.demo_secret()), demo.NAME, demo.demo_secret())


def _manifest_in(text: str) -> Path:
    if not os.path.isdir(text):
        raise InputError(f"{text[:200]!r} is no folder: name the one that papers were dealt into")
    return Path(text) / MANIFEST


def _sheet(text: str, manifest: Manifest, store: VariantStore) -> Sheet:
    """The answer sheet in a file, or the invented answers of the invented class."""
    from hpteach.assessment import demo_class as demo
    from hpteach.assessment.given_answers import NEEDED
    from hpteach.assessment.tabular import read_sheet, sheet_bytes, sheet_from_bytes

    if not _demo(text):
        return read_sheet(text, needed=NEEDED, most_rows=_MOST_ROWS)
    if {form.learner for form in manifest.forms} - set(demo.demo_roster().learners):
        raise InputError(f"these papers were not dealt to the invented class, whose answers {text} stands for: name the answer sheet of your class")
    return sheet_from_bytes(sheet_bytes(demo.COLUMNS, demo.demo_answers(manifest.forms, store)), f"{demo.NAME} answers (invented)", needed=NEEDED)


def _handed_in(texts: Iterable[str], secret: Secret | None, manifest: Manifest) -> tuple[list[HandIn], list[tuple[str, str]]]:
    """What was handed in by file, and the files that count for nothing, with the reason."""
    from hpteach.assessment.hand_in import ENDING, read_hand_in

    codes = [form.code for form in manifest.forms]
    found, refused = [], []
    for text in texts:
        paths = read("--hand-in", text, lambda: files_in(text, ENDING)) if os.path.isdir(text) else [Path(text)]
        if not paths:
            raise InputError(f"--hand-in {text[:200]!r} holds no file that ends in {ENDING}: name the folder with the files that learners handed in")
        if not os.path.isdir(text) and not os.path.exists(text):
            raise InputError(f"--hand-in {text[:200]!r} is not there: name a file that a learner handed in, or a folder of them")
        for one in paths:
            try:
                found.append(read_hand_in(one, secret, codes))
            except DataError as error:
                refused.append((one.name, str(error)))
    return found, refused


def _practised(texts: Iterable[str], bank: Bank) -> Practised:
    """The records that learners wrote to files, or those of the invented class."""
    from hpteach.assessment.practised import practised

    found = read("--progress", ", ".join(texts)[:200], lambda: practised(texts, bank))
    if not found.manifest.forms:
        raise InputError(f"--progress holds no answer that can be marked ({'; '.join(why for _, why in found.refused[:_NAMED]) or found.remarks[-1]})")
    return found


def _own_answers(text: str, code: str) -> dict[tuple[int, str], str]:
    """The answers of a learner's own sheet: number, part and answer; rows of other forms, which a class's sheet may hold, are passed over."""
    from hpteach.assessment.hand_in import MOST_NUMBER
    from hpteach.assessment.tabular import read_sheet

    if _demo(text):
        return {(1, "a"): "9.15 bar", (2, "a"): "B"}  # invented
    sheet = read_sheet(text, needed=("number", "part", "answer"))
    answers: dict[tuple[int, str], str] = {}
    for row in sheet.rows:
        form, number, part, answer = (sheet.text(row, name) for name in ("form", "number", "part", "answer"))
        if form and _code_in(sheet, row.line, form) != code:
            continue
        if row.surplus:
            raise DataError(f"{sheet.file}: line {row.line}: a cell stands beyond the last heading: put an answer that holds a comma in quotation marks")
        told = _NUMBER.fullmatch(number)
        if not told or not 0 < int(told[1]) <= MOST_NUMBER:
            raise DataError(f"{sheet.file}: line {row.line}: {number[:40]!r} is no number of a question: write it as on the paper, such as 3")
        if (place := (int(told[1]), part.casefold())) in answers:
            raise DataError(f"{sheet.file}: line {row.line}: number {number[:40]} {part[:40]} is answered twice: keep one of the two lines")
        answers[place] = answer
    if not any(answers.values()):
        raise DataError(f"{sheet.file}: holds no answer to form {code}: fill in the column answer first")
    return answers


def _code_in(sheet: Sheet, line: int, form: str) -> str:
    """The form code in a row; one that is none is refused, as its answer may be this form's."""
    from hpteach.assessment.form_codes import read_form_code

    try:
        return read_form_code(form)
    except InputError as error:
        raise DataError(f"{sheet.file}: line {line}: {error}, or leave the cell empty") from None


def _not_marked(found: MarkedClass, folder: Path) -> str:
    if not found.not_marked:
        return ""
    named = "; ".join(f"{one.file}{f' line {one.line}' if one.line else ''}: {one.reason}" for one in found.not_marked[:_NAMED])
    count = len(found.not_marked)
    more = " and so on" if count > _NAMED else ""
    return f"{count} {'row was' if count == 1 else 'rows or files were'} not marked ({named}{more}): see {folder / 'rows-not-marked.csv'}, put them right and mark again."


def _typed(text: str) -> str:
    """A path as it is typed into a command, in quotation marks where it needs them.

    >>> _typed("papers/answers.csv")
    'papers/answers.csv'
    """
    return (f'"{text}"' if " " in text else text) if os.name == "nt" else shlex.quote(text)


def _cell(text: str) -> str:
    """A learner's text for a table in a terminal: short, and without what turns or moves its row.

    >>> _cell("Ada\\u202e  Fernhill, of the workshop on the hill")
    'Ada Fernhill, of the workshop…'
    """
    shown = " ".join("".join(letter for letter in text if letter.isprintable() or letter.isspace() or letter in _JOINERS).split())
    return shown if len(shown) <= _LONGEST_CELL else f"{shown[: _LONGEST_CELL - 1].rstrip()}…"


def _marked_blocks(found: MarkedClass) -> list[Any]:
    from hpteach.papers.class_page import per_cent
    from hpteach.papers.class_words import limits_in_words, reliability_in_words, scores_in_words
    from hpteach.tables import Table

    def result(passed: bool | None, absent: bool) -> str:
        return "absent" if absent else {True: "passed", False: "not passed", None: "-"}[passed]

    rows = [
        (_cell(one.learner.id), _cell(one.learner.name), one.form, "-" if one.share is None else f"{one.marks:g} of {one.possible:g}", per_cent(one.share), result(one.passed, one.absent))
        for one in found.learners
    ]
    mistakes = [(one.words, str(one.learners), str(one.times), one.lesson or "-") for one in found.mistakes[:10]]
    counted = f"{found.rows.judged} answers judged, {found.rows.blank} blank, {found.rows.listed} not marked."
    return [
        Table(found.blueprint.title, ("learner", "name", "form", "marks", "score", "result"), rows, right=(3, 4)),
        *([Table("Mistakes to teach again", ("mistake", "learners", "times", "lesson"), mistakes, right=(1, 2))] if mistakes else []),
        "\n".join([*scores_in_words(found), *reliability_in_words(found), *limits_in_words(found), counted]),
    ]
