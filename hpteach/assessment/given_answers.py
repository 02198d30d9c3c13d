"""Which answer was given to which part of which form, and what stands in the way where that cannot be told.

What lives here: the rows of an answer sheet and the answers handed in by file, put to the parts that they answer.  What does not: how a sheet
or a hand-in is read (tabular, hand_in), whether an answer is right (marking).

Nothing is lost: each row counts, or is blank, or is listed with its line and what to do.  Where several answer the same part, the first row of the
sheet that is not blank counts, then the hand-in; so an answer of a hand-in that nobody can read is put right in the sheet.  Of several hand-ins
for one form the first one counts, by the time that it bears.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from typing import NamedTuple

from hpteach.assessment.answer_sheet import part_letters, part_named
from hpteach.assessment.drawing_tasks import DRAWING_PART
from hpteach.assessment.form_codes import read_form_code
from hpteach.assessment.forms import Form, FormQuestion
from hpteach.assessment.hand_in import HandIn
from hpteach.assessment.manifest import Manifest
from hpteach.assessment.marked import NotMarked
from hpteach.assessment.roster import folded_id, same_name
from hpteach.assessment.tabular import Sheet
from hpteach.errors import InputError
from hpteach.questions import Variant
from hpteach.questions.expressions import shortened

NEEDED = ("form", "number", "part", "answer")
"""The headings that a sheet of answers must have; `learner` and `name` may stand beside them."""

MISSING_FORM, UNKNOWN_FORM, OTHER_FORM, OTHER_NAME = "missing form", "unknown form", "form of another learner", "another name"
UNKNOWN_LEARNER, UNKNOWN_NUMBER, UNKNOWN_PART = "unknown learner", "unknown number", "unknown part"
CHANGED, SURPLUS, DUPLICATE, UNREADABLE_ANSWER, HAND_IN = "question changed", "surplus cells", "duplicate", "unreadable answer", "hand-in"
"""Why a row is not marked."""

_NAMED = 3
_NUMBER = re.compile(r"0*([1-9][0-9]{0,3})(?:[.,]0*|\))?")


class Given(NamedTuple):
    """An answer as it was given: the file, its line (or the place in a hand-in), and the texts of its cells; a hand-in has no `name`."""

    file: str
    line: int
    learner: str
    form: str
    number: str
    part: str
    answer: str
    surplus: str = ""
    name: str | None = None

    def not_marked(self, reason: str, sentence: str) -> NotMarked:
        """The same as listed with a reason."""
        return NotMarked(self.file, self.line, self.learner, self.form, self.number, self.part, self.answer, reason, sentence)

    @property
    def blank(self) -> bool:
        """Whether nothing is answered."""
        return not self.answer.strip() and not self.surplus


class Place(NamedTuple):
    """A part of a question of a form."""

    form: str
    number: int
    part: str


class _Addressed(NamedTuple):
    given: Given
    form: Form
    question: FormQuestion


@dataclass
class Addressed:
    """Answers whose form and question are known; the codes of the forms on which something was answered; what is to be said of the names."""

    rows: list[_Addressed] = field(default_factory=list)
    blank: int = 0
    not_marked: list[NotMarked] = field(default_factory=list)
    present: set[str] = field(default_factory=set)
    names: str = ""


@dataclass(frozen=True)
class Settled:
    """The answer that counts for each part that was answered; the parts of which only a torn row is there, with the reason; all that is not marked."""

    counted: Mapping[Place, Given]
    torn: Mapping[Place, str]
    not_marked: tuple[NotMarked, ...]


def given_answers(sheet: Sheet | None, hand_ins: Iterable[HandIn], refused: Iterable[tuple[str, str]] = ()) -> tuple[list[Given], list[NotMarked]]:
    """All answers in the order in which they count, and the files that count for nothing, of which `refused` are names and reasons."""
    given = [*_rows_of(sheet)] if sheet else []
    not_marked = [_file_not_marked(file, "", why) for file, why in refused]
    first: dict[str, HandIn] = {}
    for one in sorted(hand_ins, key=lambda one: (one.handed_in, one.file, one.signature)):
        if one.form in first:
            earlier = first[one.form]
            same = "is a copy of" if one.signature == earlier.signature else "came after"
            sentence = f"{one.file}: {same} {earlier.file}, which counts for form {one.form}: take one of them away to have the other marked"
            not_marked.append(_file_not_marked(one.file, one.form, sentence))
            continue
        first[one.form] = one
        for place, ((number, part), answer) in enumerate(one.answers.items(), start=1):
            given.append(Given(one.file, place, "", one.form, str(number), part, answer))
    return given, not_marked


def _rows_of(sheet: Sheet) -> Iterator[Given]:
    for row in sheet.rows:
        texts = [sheet.text(row, name) for name in ("learner", *NEEDED)]
        yield Given(sheet.file, row.line, *texts, surplus=", ".join(cell.strip() for cell in row.surplus if cell.strip()), name=sheet.text(row, "name"))


def _file_not_marked(file: str, form: str, sentence: str) -> NotMarked:
    return NotMarked(file, 0, "", form, "", "", "", HAND_IN, sentence)


def addressed(given: Iterable[Given], manifest: Manifest, changed: Mapping[str, str]) -> Addressed:
    """The answers with their forms and questions; `changed` says of which questions nothing can be judged, and why.

    A blank answer is only counted.  No question needs to be dealt for any of this.  Where more than half of the learners on the sheet bear other names
    than on the papers, it is taken for another class's: none of its rows is marked, but those whose name fits.
    """
    learners = {form.learner.key: form for form in manifest.forms}
    names = _Names(given, manifest, learners)
    found = Addressed(names=names.said)
    for one in given:
        try:
            form = _form(one, manifest, learners)
            names.prove(one, form)
            if not one.blank:
                found.present.add(form.code)
            question = _question(one, form)
        except _Refused as refusal:
            found.not_marked.append(one.not_marked(refusal.reason, refusal.sentence))
            continue
        if one.blank:
            found.blank += 1
        elif question.question in changed:
            found.not_marked.append(one.not_marked(CHANGED, f"{changed[question.question]}: judge it by hand, or mark with the bank of then"))
        else:
            found.rows.append(_Addressed(one, form, question))
    return found


def settled(found: Addressed, variant_of: Callable[[FormQuestion], Variant]) -> Settled:
    """Which answer counts for each part; `variant_of` deals the question of a form."""
    counted: dict[Place, Given] = {}
    torn: dict[Place, str] = {}
    not_marked = []
    for given, form, question in found.rows:
        try:
            place = Place(form.code, question.number, _part(given, question, variant_of))
        except _Refused as refusal:
            not_marked.append(given.not_marked(refusal.reason, refusal.sentence))
            continue
        before = counted.get(place)
        if given.surplus:
            beyond = f"{shortened(given.surplus)} stands beyond the last heading: put an answer that holds the mark between columns in quotation marks"
            not_marked.append(given.not_marked(SURPLUS, beyond))
            torn[place] = beyond
        elif before is None:
            counted[place] = given
        else:
            same = "says the same" if before.answer.split() == given.answer.split() else f"says {shortened(before.answer)}"
            sentence = f"line {before.line} of {before.file} answers this too, {same}, and counts: keep one of the two"
            not_marked.append(given.not_marked(DUPLICATE, sentence))
    return Settled(counted, {place: why for place, why in torn.items() if place not in counted}, tuple(not_marked))


def letters_of(parts: Sequence[object]) -> tuple[str, ...]:
    """The letters by which the parts of a question are named on paper; "" where there is one part only."""
    return part_letters(len(parts)) if len(parts) > 1 else ("",)


class _Names:
    """The names on a sheet beside those on the papers."""

    def __init__(self, given: Iterable[Given], manifest: Manifest, learners: Mapping[str, Form]) -> None:
        self.other: dict[str, tuple[str, Form]] = {}
        listed = set()
        for one in given:
            with suppress(_Refused):
                if one.name is not None:
                    form = _form(one, manifest, learners)
                    listed.add(form.code)
                    if not same_name(one.name, form.learner.name):
                        self.other.setdefault(form.code, (one.name, form))
        self.listed = len(listed)

    @property
    def strange(self) -> bool:
        """Whether the sheet is taken for another class's."""
        return 2 * len(self.other) > self.listed

    @property
    def said(self) -> str:
        """What the instructor should know of the names."""
        if not self.other:
            return ""
        shown = "; ".join(f"{shortened(name)} on form {code} of {shortened(form.learner.name)}" for code, (name, form) in list(self.other.items())[:_NAMED])
        more = f" and {len(self.other) - _NAMED} more" if len(self.other) > _NAMED else ""
        said = f"{len(self.other)} of {self.listed} learners bear another name on the answer sheet than on the papers ({shown}{more})"
        if self.strange:
            return f"{said}: is this another class's sheet? Their rows are not marked."
        return f"{said}. Their rows are marked: see that these are their answers."

    def prove(self, given: Given, form: Form) -> None:
        """Refuse a row of a strange sheet, but one whose name is that of the paper."""
        if given.name is None or not self.strange or (given.name and form.learner.name and same_name(given.name, form.learner.name)):
            return
        if not given.name or not form.learner.name:
            raise _Refused(OTHER_NAME, "more than half of the other names on the sheet are not those of the papers, and this row cannot be told: is this another class's sheet?")
        own = f"{shortened(given.name)} is another name than on the paper: {shortened(form.learner.name)}; is this another class's sheet?"
        raise _Refused(OTHER_NAME, f"{own} Mark it with that class's papers, or empty the column name if these are the answers to form {form.code}")


class _Refused(Exception):
    """Why a row is not marked; it never leaves this module."""

    def __init__(self, reason: str, sentence: str) -> None:
        super().__init__(sentence)
        self.reason, self.sentence = reason, sentence


def _form(given: Given, manifest: Manifest, learners: Mapping[str, Form]) -> Form:
    """The form that a row names; a row that names a learner too has to name the learner's own."""
    own = (learners.get(folded_id(given.learner)) or _without_zeros(given, manifest)) if given.learner else None
    if given.learner and own is None:
        raise _Refused(UNKNOWN_LEARNER, f"no form was dealt to a learner with the id {shortened(given.learner)}: write the id of the roster, or leave the cell empty")
    if not given.form:
        remedy = f"write the code of the paper, which should be {own.code}" if own else "write the code that stands on the paper"
        raise _Refused(MISSING_FORM, f"there is no form code: {remedy}")
    try:
        code = read_form_code(given.form)
    except InputError as error:
        raise _Refused(UNKNOWN_FORM, str(error)) from None
    form = manifest.form(code)
    if form is None:
        raise _Refused(UNKNOWN_FORM, f"form {code} is none of these papers, which are of {manifest.blueprint.title!r}: mark it with the papers that it belongs to")
    if own is not None and own is not form:
        raise _Refused(OTHER_FORM, f"form {code} is not the one of learner {shortened(given.learner)}, which is {own.code}: see whose answer it is, and write learner and form that belong together")
    return form


def _without_zeros(given: Given, manifest: Manifest) -> Form | None:
    """The form that a row names, if its learner's id differs only by zeros before it, which spreadsheets take away: 7 for 007."""
    form = manifest.form(given.form)
    bare, written = (id.strip() for id in (form.learner.id if form else "", given.learner))
    alike = bare.isdecimal() and written.isdecimal() and bare.lstrip("0") == written.lstrip("0")
    return form if alike else None


def _question(given: Given, form: Form) -> FormQuestion:
    match = _NUMBER.fullmatch(given.number)
    number = int(match[1]) if match else 0
    if not 1 <= number <= len(form.questions):
        shown = shortened(given.number) if given.number else "no number"
        raise _Refused(UNKNOWN_NUMBER, f"{shown} is no question of form {form.code}: write a number from 1 to {len(form.questions)}")
    return form.questions[number - 1]


def _part(given: Given, question: FormQuestion, variant_of: Callable[[FormQuestion], Variant]) -> str:
    """The id of the part that a row names."""
    if question.drawing:
        if given.part.strip().strip(").").casefold() not in ("", *part_letters(1), DRAWING_PART):
            raise _Refused(UNKNOWN_PART, f"question {question.number} is a drawing, whose part is {DRAWING_PART!r}: write so, with the points that were got")
        return DRAWING_PART
    try:
        return part_named(variant_of(question), given.part).id
    except InputError as error:
        raise _Refused(UNKNOWN_PART, str(error)) from None
