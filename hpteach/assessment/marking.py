"""Marking: the answers of a class judged, and what each learner has got.

What lives here: `mark`.  What does not: which answer was given to which part (given_answers), right or wrong (questions.checking), what a part is
worth (marks), what follows for questions and class (class_results), showing any of it (papers).

Each form is judged in its own units with the numbers of its own seeds, so that marking again what has not changed finds the same.  A blank answer
gets no marks, and one that nobody can read gets none for now: it is listed, and marking again counts it once it is put right.  Who gave no answer
at all counts as absent, and is in no statistics.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence

from hpteach.assessment.answer_sheet import part_letters
from hpteach.assessment.blueprint import Blueprint
from hpteach.assessment.class_results import class_mistakes, question_results, scores_of, topics_of
from hpteach.assessment.drawing_tasks import DRAWING_MARKS, DRAWING_PART
from hpteach.assessment.forms import Form, FormQuestion
from hpteach.assessment.given_answers import UNREADABLE_ANSWER, Given, Place, Settled, addressed, given_answers, letters_of, settled
from hpteach.assessment.hand_in import HandIn
from hpteach.assessment.repeating import lesson_to_repeat
from hpteach.assessment.manifest import Manifest
from hpteach.assessment.marked import (
    ASKED, BLANK, DRAWING, PARTLY, RIGHT, UNREADABLE, WRONG, LearnerMarks, MarkedClass, MistakeMade, NotMarked, PartMark, Rows, Tally,
)  # fmt: skip
from hpteach.assessment.marks import marks_of
from hpteach.assessment.tabular import Sheet
from hpteach.assessment.variant_store import Told, VariantStore, Wanted
from hpteach.questions import Bank, Part, Variant, check
from hpteach.questions.expressions import shortened

JUDGING = "forms judged"

_TOLD_EVERY = 20
_HAIR = 1e-9  # a score at the pass mark passes, whatever the computer's rounding


def mark(
    manifest: Manifest,
    bank: Bank,
    *,
    sheet: Sheet | None = None,
    hand_ins: Iterable[HandIn] = (),
    refused: Iterable[tuple[str, str]] = (),
    store: VariantStore | None = None,
    workers: int | None = None,
    told: Told | None = None,
) -> MarkedClass:
    """A class marked from an answer sheet, from answers handed in by file, or from both.

    `refused` are files that could not be read as a hand-in, each with the reason; they are listed.  `store` keeps the dealt questions, `workers` are
    the processes that deal them, `told` is called with what is being done, how much is done, and of how much.

    >>> from hpteach.assessment.blueprint import read_blueprint
    >>> from hpteach.assessment.forms import deal_forms
    >>> from hpteach.assessment.manifest import manifest_of, manifest as written
    >>> from hpteach.assessment.roster import Learner
    >>> from hpteach.assessment.secret import Secret
    >>> from hpteach.assessment.tabular import sheet_from_bytes
    >>> from hpteach.questions import read_bank
    >>> bank, quiz, secret = read_bank(), read_blueprint("lesson-01"), Secret(bytes(range(16)))
    >>> forms = deal_forms([Learner("7")], quiz, bank, secret).forms
    >>> sheet = sheet_from_bytes(f"form,number,part,answer\\n{forms[0].code},1,a,no idea\\n".encode(), "answers.csv")
    >>> marked = mark(manifest_of(written(forms, quiz, bank, secret), "papers.json", secret), bank, sheet=sheet)
    >>> marked.learners[0].marks, marked.not_marked[0].reason
    (0.0, 'unreadable answer')
    """
    return _Marking(manifest, bank, VariantStore(bank) if store is None else store, told).marked(sheet, hand_ins, refused, workers)


class _Marking:
    """One class with its papers."""

    def __init__(self, manifest: Manifest, bank: Bank, store: VariantStore, told: Told | None) -> None:
        self.manifest, self.bank, self.store = manifest, bank, store
        self.told = told or (lambda what, done, of: None)
        self.changed = manifest.changed(bank)
        self.verdicts: dict[tuple, tuple[str, float, str, str]] = {}
        self.rows = 0

    def marked(self, sheet: Sheet | None, hand_ins: Iterable[HandIn], refused: Iterable[tuple[str, str]], workers: int | None) -> MarkedClass:
        given, files = given_answers(sheet, hand_ins, refused)
        found = addressed(given, self.manifest, self.changed)
        if self._dealt(found.present, workers):
            found = addressed(given, self.manifest, self.changed)
        answers = settled(found, self._variant)
        unreadable: list[NotMarked] = []
        learners = []
        for done, form in enumerate(self.manifest.forms, start=1):
            learners.append(self._learner(form, answers, unreadable) if form.code in found.present else _absent(form))
            if done % _TOLD_EVERY == 0 or done == len(self.manifest.forms):
                self.told(JUDGING, done, len(self.manifest.forms))
        order = {(one.file, one.line): place for place, one in enumerate(given)}
        listed = sorted([*found.not_marked, *answers.not_marked, *unreadable], key=lambda one: order[one.file, one.line])
        rows = Rows(len(answers.counted) - len(unreadable), found.blank, len(listed))
        return _class_of(self.manifest.blueprint, self.bank, tuple(learners), (*files, *listed), rows, self._remarks(learners, found.names))

    def _dealt(self, present: set[str], workers: int | None) -> bool:
        """Deal what the forms of the present hold; whether a question was found that cannot be dealt any more, which then counts as changed."""
        wanted = {
            Wanted(one.question, one.seed, one.system)
            for form in self.manifest.forms
            if form.code in present
            for one in form.questions
            if one.question not in self.changed and not one.drawing
        }
        self.store.prepare(sorted(wanted), workers, self.told)
        unfit = {one.question: f"{one.question} cannot be dealt as it was ({why})" for one in sorted(wanted, reverse=True) if (why := self.store.unfit(one))}
        self.changed |= unfit
        return bool(unfit)

    def _variant(self, question: FormQuestion) -> Variant:
        return self.store.variant(question.question, question.seed, question.system)

    # One learner --------------------------------------------------------------------------

    def _learner(self, form: Form, answers: Settled, unreadable: list[NotMarked]) -> LearnerMarks:
        parts: list[PartMark] = []
        for question in form.questions:
            if question.question not in self.changed:
                parts += self._question(form, question, answers, unreadable)
        marks, possible = _sum(one.marks for one in parts), _sum(one.possible for one in parts)
        passed = marks >= (self.manifest.blueprint.pass_mark - _HAIR) * possible if possible else None
        return LearnerMarks(
            learner=form.learner,
            form=form.code,
            absent=False,
            marks=marks,
            possible=possible,
            passed=passed,
            sections=_tallies(parts, [section.title for section in self.manifest.blueprint.sections], lambda part: part.section),
            topics=_tallies(parts, sorted({self.bank.question(part.question).topic for part in parts}), lambda part: self.bank.question(part.question).topic),
            mistakes=self._mistakes(parts),
            parts=tuple(parts),
        )

    def _question(self, form: Form, question: FormQuestion, answers: Settled, unreadable: list[NotMarked]) -> Iterator[PartMark]:
        if question.drawing:
            asked, task = [("", DRAWING_PART, DRAWING_MARKS)], DRAWING
        else:
            variant = self._variant(question)
            worth = marks_of(variant)
            asked, task = [(letter, part.id, worth[part.id]) for letter, part in zip(letters_of(variant.parts), variant.parts)], ASKED
        for letter, part, possible in asked:
            place = Place(form.code, question.number, part)
            given = answers.counted.get(place)
            outcome, share, mistake, said = self._judged(question, part, given) if given else _unanswered(answers.torn.get(place))
            if given and outcome == UNREADABLE:
                unreadable.append(given.not_marked(UNREADABLE_ANSWER, said))
            answer = given.answer.strip() if given else ""
            yield PartMark(question.number, question.question, part, letter, question.section, outcome, answer, share * possible, possible, mistake, said, task)

    def _judged(self, question: FormQuestion, part: str, given: Given) -> tuple[str, float, str, str]:
        """Outcome, share of the marks, mistake and sentence of an answer; each answer to one set of numbers is judged once."""
        key = (question.question, question.seed, question.system, part, given.answer)
        if key not in self.verdicts:
            self.verdicts[key] = _points(given.answer) if question.drawing else _verdict(self._variant(question), part, given.answer)
        return self.verdicts[key]

    def _mistakes(self, parts: Sequence[PartMark]) -> tuple[MistakeMade, ...]:
        """The foreseen mistakes of a learner, the most frequent first."""
        found: dict[str, list[PartMark]] = {}
        for part in parts:
            if part.mistake:
                found.setdefault(part.mistake, []).append(part)
        order = sorted(found, key=lambda id: (-len(found[id]), found[id][0].number, id))
        return tuple(
            MistakeMade(id, tuple(dict.fromkeys(one.number for one in found[id])), found[id][0].said, lesson_to_repeat(self.bank, [one.question for one in found[id]], id))
            for id in order
        )

    def _remarks(self, learners: Sequence[LearnerMarks], names: str) -> tuple[str, ...]:
        held = {one.question for form in self.manifest.forms for one in form.questions}
        gone = [why for id, why in self.changed.items() if id in held]
        remarks = [f"Not judged, and in no score: {why}." for why in gone]
        remarks += [names] if names else []
        if absent := sum(one.absent for one in learners):
            remarks.append(f"{absent} of {len(learners)} learners gave no answer: they count as absent.")
        return tuple(remarks)


def _class_of(
    blueprint: Blueprint, bank: Bank, learners: tuple[LearnerMarks, ...], not_marked: tuple[NotMarked, ...], rows: Rows, remarks: tuple[str, ...]
) -> MarkedClass:
    marked = [one for one in learners if one.share is not None]
    questions, reliability = question_results(marked, bank)
    five, mean = scores_of(marked)
    return MarkedClass(blueprint, learners, questions, class_mistakes(marked, bank), topics_of(marked), five, mean, reliability, not_marked, rows, remarks)


def _absent(form: Form) -> LearnerMarks:
    return LearnerMarks(form.learner, form.code, True, 0.0, 0.0, None)


def _verdict(variant: Variant, part: str, text: str) -> tuple[str, float, str, str]:
    verdict = check(variant, _as_printed(variant.part(part), text), part)
    said = " ".join(note.sentence for note in verdict.notes)
    if verdict.correct is None:
        return UNREADABLE, 0.0, "", said
    if verdict.correct:
        return RIGHT, 1.0, "", said
    # What the screen says of a wrong answer without a foreseen mistake is for whoever tries again.
    plain = verdict.mistake is None and any(note.id == variant.part(part).kind for note in verdict.notes)
    return WRONG, 0.0, verdict.mistake or "", "" if plain else said


def _as_printed(part: Part, text: str) -> str:
    """The choice that a text names as the key prints it, letter and words, however long it is; any other text as it is."""
    named = {f"{letter.upper()}: {choice}": choice for letter, choice in zip(part_letters(len(part.choices)), part.choices)}
    return named.get(" ".join(text.split()), text)


def _points(text: str) -> tuple[str, float, str, str]:
    """The verdict on a drawing, for which somebody has typed the points that were got, in halves.

    >>> _points("2,5"), _points("four")
    (('partly right', 0.625, '', ''), ('unreadable', 0.0, '', "'four' is no number of points: write a number from 0 to 4, in halves"))
    """
    try:
        points = float(text.strip().replace(",", "."))
    except ValueError:
        points = math.nan
    if not 0.0 <= points <= DRAWING_MARKS or (2.0 * points) % 1.0:
        return UNREADABLE, 0.0, "", f"{shortened(text)} is no number of points: write a number from 0 to {DRAWING_MARKS:g}, in halves"
    return (RIGHT if points == DRAWING_MARKS else PARTLY if points else WRONG), points / DRAWING_MARKS, "", ""


def _unanswered(torn: str | None) -> tuple[str, float, str, str]:
    return (UNREADABLE, 0.0, "", torn) if torn else (BLANK, 0.0, "", "")


def _tallies(parts: Sequence[PartMark], titles: Iterable[str], title_of: Callable[[PartMark], str]) -> tuple[Tally, ...]:
    """The marks under each title that has any."""
    found: Mapping[str, list[PartMark]] = {title: [] for title in titles}
    for part in parts:
        found[title_of(part)].append(part)
    return tuple(Tally(title, _sum(one.marks for one in of), _sum(one.possible for one in of)) for title, of in found.items() if of)


def _sum(marks: Iterable[float]) -> float:
    return round(math.fsum(marks), 6)
