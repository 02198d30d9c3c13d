"""Proving that a whole bank can be judged.

What lives here: `prove`, which deals every question and answers it rightly and wrongly, in several processes.
What does not: judging one answer (checking); what is proved of texts, of the unit systems and of the kinds of part
with a module of their own (proof_of_texts, proof_of_systems, proof_of_kinds).

What is proved of every variant:

    it deals; the right answer is right in whatever unit it is written; every offered mistake is recognised by its id
    texts read well: no empty gap, no minus zero, the prompt ends as a sentence, units are those of the system, choices differ
    a hint does not hold the answer; the solution holds it as shown, and its sums come out (those that hold words are only counted)
    IP's numbers turned into SI lead to the same answer
"""

from __future__ import annotations

import os
import pickle
import re
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import Future, ProcessPoolExecutor, as_completed
from dataclasses import dataclass, field
from multiprocessing import active_children, get_context

from hpteach import units
from hpteach.errors import HpteachError
from hpteach.questions.answers import folded
from hpteach.questions.bank import Bank, Question
from hpteach.questions.checking import check
from hpteach.questions.helper_processes import interrupts_left, leave_interrupts, packed
from hpteach.questions.orders import OTHER_POSITION, TWO_SWAPPED
from hpteach.questions.parts import QuestionPart
from hpteach.questions.proof_of_kinds import FAILURES_OF_KINDS, foreseen_of_kinds
from hpteach.questions.proof_of_systems import failures_of_systems
from hpteach.questions.proof_of_texts import failures_of_prompt, proof_of_texts, shown_answer
from hpteach.questions.variants import Part, Variant, deal, lettered

Told = Callable[[int, int], None]
"""Who is told how many questions of how many are proved."""

_OF_A_SET = re.compile(r", seed -?\d+")

WORTH_A_PROCESS = 8
"""From so many questions for each process the start of a process is worth its second or two."""


@dataclass(frozen=True, repr=False)
class Proof:
    """What a bank's proof has dealt and found: counts, and a sentence for each failure.

    `mistakes` counts every foreseen mistake that was typed in and recognised, `sums` every sum in a worked solution that was worked out
    anew; `unread` names the parts whose solution has a sum with words in it, which could not be.
    """

    questions: int
    variants: int
    mistakes: int
    failures: tuple[str, ...]
    sums: int = 0
    unread: tuple[str, ...] = ()

    def __str__(self) -> str:
        head = f"{self.questions} questions, {self.variants} variants, {self.mistakes} mistakes, {self.sums} sums: "
        head += "every one holds." if not self.failures else "\n".join([f"{len(self.failures)} failures", *self.failures])
        return head + (f"\nSums with words in them, not worked out anew: {', '.join(self.unread)}." if self.unread else "")

    __repr__ = __str__


@dataclass
class _Found:
    """What the proof of one question has found so far."""

    variants: int = 0
    mistakes: int = 0
    sums: int = 0
    failures: list[str] = field(default_factory=list)
    unread: list[str] = field(default_factory=list)


def prove(
    bank: Bank, seeds: Iterable[int] = range(20), systems: Sequence[str] = units.SYSTEMS, *, workers: int | None = None, told: Told | None = None
) -> Proof:
    """Deal every question with every seed and system, answer it rightly and wrongly, and report.

    Holds where all that is listed above holds for every variant, and no foreseen mistake of a number is
    left out (as too near to another answer) in more than half of the variants, or of a choice in all.
    `workers` are the processes among which the questions are shared, by default as many as there are processors;
    the report is the same whatever their number.  A script of your own calls this under `if __name__ == "__main__"`, or with workers=1.

    >>> from hpteach.questions import read_bank
    >>> question = read_bank().question("predict-gauge")
    >>> prove(Bank({question.id: question}), seeds=range(2))
    1 questions, 4 variants, 8 mistakes, 0 sums: every one holds.
    """
    seeds, systems, questions = tuple(seeds), tuple(systems), tuple(bank.questions.values())
    most = os.cpu_count() or 1 if workers is None else workers
    many = max(1, min(most, len(questions) // WORTH_A_PROCESS))
    prove_all = _here if many == 1 else _in_processes
    found = prove_all(questions, seeds, systems, many, told or (lambda done, of: None))
    return Proof(
        len(questions),
        sum(one.variants for one in found),
        sum(one.mistakes for one in found),
        tuple(failure for one in found for failure in _together(one.failures)),
        sum(one.sums for one in found),
        tuple(name for one in found for name in one.unread),
    )


def _together(failures: Sequence[str]) -> list[str]:
    """The failures of a question, those that differ by the set of numbers alone told once with how many more there are."""
    counted: Counter[str] = Counter()
    first: dict[str, str] = {}
    for failure in failures:
        alike = _OF_A_SET.sub("", failure, count=1)
        counted[alike] += 1
        first.setdefault(alike, failure)
    return [failure + (f" (and in {counted[alike] - 1} more)" if counted[alike] > 1 else "") for alike, failure in first.items()]


def _here(questions: Sequence[Question], seeds: tuple[int, ...], systems: tuple[str, ...], many: int, told: Told) -> list[_Found]:
    found = []
    for question in questions:
        found.append(_prove_question(question, seeds, systems))
        told(len(found), len(questions))
    return found


def _in_processes(questions: Sequence[Question], seeds: tuple[int, ...], systems: tuple[str, ...], many: int, told: Told) -> list[_Found]:
    # What takes long comes first, so that no process has it left for the end.
    order = sorted(questions, key=lambda question: not question.weather)
    before = set(active_children())
    with ProcessPoolExecutor(many, mp_context=get_context("spawn"), initializer=leave_interrupts) as pool:
        with interrupts_left():  # a process that is started so never answers them
            begun: dict[Future, str] = {pool.submit(_prove_packed, packed(question), seeds, systems): question.id for question in order}
        try:
            for done, _ in enumerate(as_completed(begun), start=1):
                told(done, len(questions))
        except BaseException:
            for process in set(active_children()) - before:  # nobody waits for what they have begun
                process.terminate()
            pool.shutdown(cancel_futures=True)
            raise
    found = {id: future.result() for future, id in begun.items()}
    return [found[question.id] for question in questions]


def _prove_packed(question: bytes, seeds: tuple[int, ...], systems: tuple[str, ...]) -> _Found:
    return _prove_question(pickle.loads(question), seeds, systems)


def _prove_question(question: Question, seeds: tuple[int, ...], systems: tuple[str, ...]) -> _Found:
    found = _Found()
    offered: list[set[tuple[str, str]]] = []
    for system in systems:
        for seed in seeds:
            try:
                variant = deal(question, seed, system)
            except HpteachError as error:
                found.failures.append(f"{question.id}, seed {seed}, {system}: {error}")
                continue
            found.variants += 1
            found.failures += [f"{question.id}, seed {seed}, {system}{place}: {failure}" for place, failure in _failures(variant, found)]
            offered.append({(part.id, mistake.id) for part in variant.parts for mistake in part.mistakes})
            found.mistakes += sum(len(part.mistakes) for part in variant.parts)
    found.failures += _seldom_offered(question, offered)
    found.unread = list(dict.fromkeys(found.unread))
    return found


def _failures(variant: Variant, found: _Found) -> Iterator[tuple[str, str]]:
    for failure in failures_of_prompt(variant):
        yield "", failure
    for part in variant.parts:
        texts = proof_of_texts(variant, part)
        found.sums += texts.sums
        found.unread += [f"{variant.question.id} {part.id}"] if texts.unread else []
        for failure in (*texts.failures, *_FAILURES[part.kind](variant, part)):
            yield f", {part.id}", failure
    if variant.system == "IP":
        for failure in failures_of_systems(variant):
            yield "", failure


def _texts(value: float, part: Part, variant: Variant) -> list[str]:
    """A value of a part's quantity as it may be written, in many units and forms."""
    air = variant.atmosphere
    kinds = ["pressure", "gauge pressure"] if part.quantity == "pressure" and part.only is None else [part.quantity]
    above = air if part.quantity == "gauge pressure" else 0.0
    texts = [units.show(value + above, kind, system, atmosphere=air, decimals=6) for kind in kinds for system in units.SYSTEMS]
    texts += [text.replace(".", ",") for text in texts]
    texts.append(f"{value:.12g} {units.base_unit(part.quantity)}")
    return texts


def _failures_of_number(variant: Variant, part: Part) -> Iterable[str]:
    for text in (shown_answer(variant, part), *_texts(part.answer, part, variant)):
        if not check(variant, text, part.id).correct:
            yield f"the right answer {text} is judged: {check(variant, text, part.id)}"
    for mistake in part.mistakes:
        for text in _texts(mistake.value, part, variant):
            verdict = check(variant, text, part.id)
            if verdict.correct is not False or verdict.mistake != mistake.id:
                yield f"{text}, the value of {mistake.id}, is judged: {verdict}"


def _failures_of_choice(variant: Variant, part: Part) -> Iterable[str]:
    foreseen = {mistake.value: mistake.id for mistake in part.mistakes}
    for letter, choice in lettered(part.choices):
        for text in (letter, choice, folded(choice)):
            verdict = check(variant, text, part.id)
            if verdict.correct is not (choice == part.answer) or verdict.mistake != foreseen.get(choice):
                yield f"choice {text!r} is judged: {verdict}"


def _failures_of_order(variant: Variant, part: Part) -> Iterable[str]:
    right = part.answer.split()
    for text in (part.answer, ", ".join(right), "".join(right), " -> ".join(right)):
        if not check(variant, text, part.id).correct:
            yield f"the right order {text} is judged: {check(variant, text, part.id)}"
    expected = {mistake.value: mistake.id for mistake in part.mistakes}
    for place in range(len(right) - 1):
        swapped = [*right[:place], right[place + 1], right[place], *right[place + 2 :]]
        expected.setdefault(" ".join(swapped), TWO_SWAPPED)
    for text, id in expected.items():
        verdict = check(variant, text, part.id)
        if verdict.correct is not False or verdict.mistake != id:
            yield f"order {text}, that of {id}, is judged: {verdict}"


_FAILURES = {"number": _failures_of_number, "choice": _failures_of_choice, "order": _failures_of_order, **FAILURES_OF_KINDS}


def _seldom_offered(question: Question, offered: Sequence[set[tuple[str, str]]]) -> Iterable[str]:
    dealt = len(offered)
    for part in question.parts:
        for ids, mistake, is_choice in _foreseen(part):
            times = sum(any((id, mistake) in variant for id in ids) for variant in offered)
            # A choice that is right in some variants is a mistake in the others, however few these are.
            if (times == 0) if is_choice else (2 * times < dealt):
                yield f"{question.id}, {part.id}: {mistake} is offered in {times} of {dealt} variants only: widen its distance or drop it"


def _foreseen(part: QuestionPart) -> list[tuple[tuple[str, ...], str, bool]]:
    """The mistakes that a file foresees in a part: the ids of the dealt parts that may offer it, its id, whether it is a choice."""
    found = foreseen_of_kinds(part)
    if found is not None:
        return found
    named = [((part.id,), mistake.id, False) for mistake in part.mistakes]
    if part.kind == "order":
        return [((part.id,), OTHER_POSITION, False), *named]
    return [*named, *(((part.id,), choice.mistake, True) for choice in part.choices if choice.mistake)]
