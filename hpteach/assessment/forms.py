"""Forms: one for each learner, of equal make and nearly equal difficulty, with questions and numbers of their own.

What lives here: `deal_forms`, and `iter_forms` for classes of any size.  What does not: what can be drawn for one form (lots),
what a form looks like on paper (papers), keeping it (manifest).

A learner's form follows from the secret, the blueprint with its edition, the bank and the learner's id alone: who else is in the
class, and in which order, does not matter, unless two learners draw the same form; then the one whose id comes later in the
alphabet draws again.  The seeds of the questions come from the secret too, so that nobody who deals the open bank at home finds them.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

from hpteach.assessment.blueprint import Blueprint
from hpteach.assessment.difficulty import Difficulties, by_rule
from hpteach.assessment.form_codes import form_code
from hpteach.assessment.lots import DIFFICULTY_WITHIN, Drawn, Urn
from hpteach.assessment.roster import Learner, Roster
from hpteach.assessment.secret import Secret
from hpteach.assessment.variant_store import Told, VariantStore, Wanted
from hpteach.errors import DataError, InputError
from hpteach.questions import Bank

DRAWING, COMPARING = "lots drawn", "forms compared"

MOST_SPREAD = 2.0 * DIFFICULTY_WITHIN
"""By how much the difficulties of a class's forms may differ."""

_MOST_REDRAWS = 100
_EVEN_REDRAWS = 50  # where so many are taken, only forms that are not as even are left
_TOLD_EVERY = 100


class FormQuestion(NamedTuple):
    """A question of a form: its number on the paper, from 1, the question with its version, seed and unit system, the title of its section.

    `drawing` says that only its cycle is taken, to be drawn.
    """

    number: int
    question: str
    version: int
    seed: int
    system: str
    section: str
    drawing: bool = False


@dataclass(frozen=True)
class Form:
    """A learner's form: its code, the id of its blueprint, its questions, its expected difficulty (0 to 1, high is hard) and its marks."""

    code: str
    learner: Learner
    blueprint: str
    questions: tuple[FormQuestion, ...]
    difficulty: float
    marks: float


@dataclass(frozen=True)
class Dealt:
    """The forms of a class in the order of its roster; `notice` is what the instructor should know of them, or ""."""

    forms: tuple[Form, ...]
    notice: str
    store: VariantStore = field(repr=False)

    @property
    def spread(self) -> float:
        """By how much the expected difficulties of the forms differ.

        >>> Dealt((), "", None).spread
        0.0
        """
        found = [form.difficulty for form in self.forms]
        return max(found) - min(found) if found else 0.0


def deal_forms(
    learners: Roster | Sequence[Learner],
    blueprint: Blueprint,
    bank: Bank,
    secret: Secret,
    *,
    store: VariantStore | None = None,
    difficulties: Difficulties | None = None,
    workers: int | None = None,
    told: Told | None = None,
) -> Dealt:
    """A form for each learner of a class, no two alike; all are held in memory.

    `store` keeps the dealt questions (one may be handed in to be used again), `difficulties` are by rule where left out, `workers`
    are the processes that deal questions, `told` is called with what is being done, how much is done, and of how much.

    Raises `InputError` for a class without learners, with an id twice, or of more learners than there are different forms;
    `DataError` where the bank cannot fill the blueprint or a question cannot be dealt.

    >>> from hpteach.assessment.blueprint import read_blueprint
    >>> from hpteach.questions import read_bank
    >>> dealt = deal_forms([Learner("7"), Learner("8")], read_blueprint("lesson-01"), read_bank(), Secret(bytes(range(16))))
    >>> [len(form.questions) for form in dealt.forms], dealt.spread <= MOST_SPREAD
    ([4, 4], True)
    """
    store = VariantStore(bank) if store is None else store
    forms = tuple(iter_forms(learners, blueprint, bank, secret, store=store, difficulties=difficulties, workers=workers, told=told))
    dealt = Dealt(forms, "", store)
    return Dealt(forms, _notice(dealt), store)


def iter_forms(
    learners: Roster | Sequence[Learner],
    blueprint: Blueprint,
    bank: Bank,
    secret: Secret,
    *,
    store: VariantStore | None = None,
    difficulties: Difficulties | None = None,
    workers: int | None = None,
    told: Told | None = None,
) -> Iterator[Form]:
    """The same forms one after another: only the dealt questions are held in memory, however many learners there are."""
    dealing = _Dealing(_checked(learners), blueprint, bank, secret, difficulties or by_rule(), VariantStore(bank) if store is None else store, told)
    return dealing.forms(workers)


def _checked(learners: Roster | Sequence[Learner]) -> Sequence[Learner]:
    learners = learners.learners if isinstance(learners, Roster) else learners
    if not learners:
        raise InputError("there is no learner to deal a form to: give a roster with one at least")
    found: set[str] = set()
    for learner in learners:
        if learner.key in found:
            raise InputError(f"two learners have the id {learner.id[:40]!r}: give each learner an id that nobody else has")
        found.add(learner.key)
    return learners


class _Dealing:
    """One class, one blueprint, one bank, one secret."""

    def __init__(
        self,
        learners: Sequence[Learner],
        blueprint: Blueprint,
        bank: Bank,
        secret: Secret,
        difficulties: Difficulties,
        store: VariantStore,
        told: Told | None,
    ) -> None:
        self.learners, self.blueprint, self.secret, self.store, self.told = learners, blueprint, secret, store, told
        self.named = (blueprint.id, str(blueprint.edition))
        self.urn = Urn(blueprint, bank, difficulties)
        self.versions = [bank.question(id).version for id in self.urn.ids]
        self.seeds = [
            tuple(secret.number("seed", *self.named, id, str(version), str(place)) for place in range(count))
            for id, version, count in zip(self.urn.ids, self.versions, self.urn.seeds)
        ]

    def forms(self, workers: int | None) -> Iterator[Form]:
        wanted: dict[Wanted, None] = {}
        for done, learner in enumerate(self.learners, start=1):
            wanted |= dict.fromkeys(self._wanted(self._drawn(learner, 0), learner))
            self._tell(DRAWING, done)
        self.store.prepare(wanted, workers, self.told)
        wanted.clear()
        again, codes = self._told_apart()
        for learner in self.learners:
            drawn = self._drawn(learner, again.get(learner.key, 0))
            yield self._form(learner, drawn, self._code(learner, codes.get(learner.key, 0)))

    def _tell(self, what: str, done: int) -> None:
        if self.told and (done % _TOLD_EVERY == 0 or done == len(self.learners)):
            self.told(what, done, len(self.learners))

    def _drawn(self, learner: Learner, again: int) -> Drawn:
        return self.urn.draw(self.secret.stream("lots", *self.named, learner.key, str(again)), even=again < _EVEN_REDRAWS)

    def _wanted(self, drawn: Drawn, learner: Learner) -> Iterator[Wanted]:
        """The questions as they were drawn, whether they are fit for a paper or not."""
        system = self.blueprint.system_for(learner)
        for question, place in zip(drawn.questions, drawn.seeds):
            yield Wanted(self.urn.ids[question], self.seeds[question][place], system)

    def _fit(self, drawn: Drawn, learner: Learner) -> list[Wanted]:
        """The questions of a form: for a variant that is not fit for a paper the next one of the question."""
        found = []
        for question, wanted in zip(drawn.questions, self._wanted(drawn, learner)):
            seeds = self.seeds[question]
            place = seeds.index(wanted.seed)
            turned = (wanted._replace(seed=seed) for seed in (*seeds[place:], *seeds[:place]))
            fit = next((one for one in turned if not self.store.unfit(one)), None)
            if fit is None:
                raise DataError(f"no variant of a question is fit for a paper: {self.store.unfit(wanted)}; mend the question or take it out of the bank")
            found.append(fit)
        return found

    def _told_apart(self) -> tuple[dict[str, int], dict[str, int]]:
        """How often learners draw again whose form somebody else has, and whose code somebody else has (those who never do are left out)."""
        forms: set[bytes] = set()
        taken: set[str] = set()
        again: dict[str, int] = {}
        codes: dict[str, int] = {}
        for learner in sorted(self.learners, key=lambda one: one.key):
            for draws in range(_MOST_REDRAWS):
                drawn = self._drawn(learner, draws)
                looks = self._looks(self._fit(drawn, learner), drawn.drawings)
                if looks not in forms:
                    break
            else:
                raise InputError(
                    f"{self.blueprint.id}: after {len(forms)} of {len(self.learners)} learners there is hardly a form left that nobody has yet: "
                    "deal to fewer learners at a time, or take a blueprint with more questions"
                )
            forms.add(looks)
            tries = next(number for number in range(_MOST_REDRAWS) if self._code(learner, number) not in taken)
            taken.add(self._code(learner, tries))
            again |= {learner.key: draws} if draws else {}
            codes |= {learner.key: tries} if tries else {}
            self._tell(COMPARING, len(forms))
        return again, codes

    def _looks(self, questions: Sequence[Wanted], drawings: Sequence[bool]) -> bytes:
        """The same bytes for forms that ask the same, in whatever order."""
        asked = sorted(self.store.fingerprint(one) + bytes([drawing]) for one, drawing in zip(questions, drawings))
        return hashlib.sha256(b"".join(asked)).digest()[:12]

    def _code(self, learner: Learner, tries: int) -> str:
        return form_code(self.secret.number("form", *self.named, learner.key, str(tries)))

    def _form(self, learner: Learner, drawn: Drawn, code: str) -> Form:
        titles = [self.blueprint.sections[section].title for section in drawn.sections]
        versions = [self.versions[question] for question in drawn.questions]
        questions = tuple(
            FormQuestion(number, one.question, version, one.seed, one.system, title, drawing)
            for number, (one, version, title, drawing) in enumerate(zip(self._fit(drawn, learner), versions, titles, drawn.drawings), start=1)
        )
        return Form(code, learner, self.blueprint.id, questions, round(drawn.difficulty, 4), round(drawn.marks, 4))


def _notice(dealt: Dealt) -> str:
    sentences = []
    if dealt.spread > MOST_SPREAD + 1e-9:
        sentences.append(
            f"The forms differ by {dealt.spread:.3f} in expected difficulty, more than {MOST_SPREAD:g}: "
            "some sections have too few questions to even it out."
        )
    if left_out := dealt.store.left_out:
        sentences.append(f"{len(left_out)} variants were not fit for a paper and were left out, the first because of: {left_out[0]}")
    return " ".join(sentences)
