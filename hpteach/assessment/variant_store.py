"""Dealt questions, each dealt once and kept.

What lives here: `VariantStore`, and which variants are fit for a paper.  What does not: which ones are wanted (forms, manifest).

A variant is fit for a paper if it can be dealt and its answers, written as the key writes them, are judged right.  Machines in
weather take tens of milliseconds each and everything else about one, so that other processes help with the former only.
"""

from __future__ import annotations

import hashlib
import os
import pickle
from collections.abc import Callable, Iterable, Mapping
from concurrent.futures import Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from dataclasses import replace
from multiprocessing import get_context
from typing import NamedTuple

from hpteach.errors import DataError, HpteachError
from hpteach.questions import Bank, Question, Variant, check, deal
from hpteach.questions.helper_processes import interrupts_left, leave_interrupts, packed
from hpteach.questions.proof_of_texts import shown_answer

Told = Callable[[str, int, int], None]
"""Who is told what is being done, and how much of how much is done."""

DEALING = "questions dealt"

WORTH_A_PROCESS = 120
"""From so many variants of machines in weather the start of another process is worth its second or two."""

QUICK_FOR_A_SLOW = 30
"""So many variants of other questions take as long as one of a machine in weather (measured)."""


class Wanted(NamedTuple):
    """A question with a seed in a unit system."""

    question: str
    seed: int
    system: str


class VariantStore:
    """The variants of a bank's questions that have been asked for; those that are not fit for a paper are kept as sentences."""

    def __init__(self, bank: Bank) -> None:
        self.bank = bank
        self._variants: dict[Wanted, Variant] = {}
        self._unfit: dict[Wanted, str] = {}
        self._fingerprints: dict[Wanted, bytes] = {}

    def variant(self, question: str, seed: int, system: str) -> Variant:
        """The variant of a question that belongs to a seed.

        Raises `UnknownNameError` for a question that the bank does not have, `DataError` for a variant that is not fit for a paper.

        >>> from hpteach.questions import read_bank
        >>> VariantStore(read_bank()).variant("read-a-gauge", 7, "SI").seed
        7
        """
        wanted = Wanted(question, seed, system)
        if why := self.unfit(wanted):
            raise DataError(why)
        return self._variants[wanted]

    def unfit(self, wanted: Wanted) -> str:
        """Why a variant is not fit for a paper; "" where it is."""
        if wanted not in self._variants and wanted not in self._unfit:
            self._keep(wanted, *_dealt(self.bank.question(wanted.question), wanted.seed, wanted.system))
        return self._unfit.get(wanted, "")

    def fingerprint(self, wanted: Wanted) -> bytes:
        """Eight bytes that are the same for variants which read alike, whatever their seeds."""
        if wanted not in self._fingerprints:
            self._fingerprints[wanted] = _fingerprint(self.variant(*wanted))
        return self._fingerprints[wanted]

    @property
    def left_out(self) -> tuple[str, ...]:
        """Why variants that have been asked for were not fit for a paper, a sentence for each."""
        return tuple(self._unfit[wanted] for wanted in sorted(self._unfit))

    def prepare(self, wanted: Iterable[Wanted], workers: int | None = None, told: Told | None = None) -> None:
        """Deal many variants, in more processes where that is worth it; `workers` limits how many, by default to the processors.

        A script of your own calls this under `if __name__ == "__main__"`, or with workers=1.
        """
        asked: dict[tuple[str, str], list[int]] = {}
        for one in dict.fromkeys(wanted):
            if one not in self._variants and one not in self._unfit:
                asked.setdefault((one.question, one.system), []).append(one.seed)
        of, tell = sum(map(len, asked.values())), told or (lambda what, done, of: None)
        slow = {key: seeds for key, seeds in asked.items() if self.bank.question(key[0]).weather}
        many = sum(map(len, slow.values()))
        helpers = min((workers or os.cpu_count() or 1) - 1, (many + (of - many) // QUICK_FOR_A_SLOW) // WORTH_A_PROCESS) if many else 0
        done = 0
        for key, found in _dealing(self.bank, asked, slow, helpers):
            for seed, (variant, why) in zip(asked[key], found):
                self._keep(Wanted(key[0], seed, key[1]), variant, why)
            done += len(found)
            tell(DEALING, done, of)

    def _keep(self, wanted: Wanted, variant: Variant | None, why: str) -> None:
        if variant is None:
            self._unfit[wanted] = why
        else:
            self._variants[wanted] = variant


_Dealt = tuple[Variant | None, str]


def _dealing(bank: Bank, asked: Mapping, slow: Mapping, helpers: int) -> Iterable[tuple[tuple[str, str], list[_Dealt]]]:
    """All that is asked, dealt: the slow ones by helpers from one end and, when all else is done, here from the other."""
    quick = [key for key in asked if key not in slow]
    if helpers < 1:
        yield from ((key, _deal_all(bank.question(key[0]), seeds, key[1])) for key, seeds in asked.items())
        return
    with ProcessPoolExecutor(helpers, mp_context=get_context("spawn"), initializer=leave_interrupts) as pool:
        begun: dict[tuple[str, str], Future] = {}
        try:
            with interrupts_left():  # a process that is started so never answers them
                for key, seeds in slow.items():
                    begun[key] = pool.submit(_deal_packed, packed(bank.question(key[0])), seeds, key[1])
            yield from ((key, _deal_all(bank.question(key[0]), asked[key], key[1])) for key in quick)
            for key in reversed(begun):
                if begun[key].cancel():
                    yield key, _deal_all(bank.question(key[0]), slow[key], key[1])
            for key, future in begun.items():
                if not future.cancelled():
                    yield key, _received(bank.question(key[0]), slow[key], key[1], future)
        except BaseException:
            pool.shutdown(cancel_futures=True)
            raise


def _received(question: Question, seeds: list[int], system: str, future: Future) -> list[_Dealt]:
    try:
        found = pickle.loads(future.result())
    except BrokenProcessPool:  # no process can be started here
        return _deal_all(question, seeds, system)
    return [(variant and replace(variant, question=question), why) for variant, why in found]


def _deal_packed(question: bytes, seeds: list[int], system: str) -> bytes:
    return packed(_deal_all(pickle.loads(question), seeds, system))


def _deal_all(question: Question, seeds: Iterable[int], system: str) -> list[_Dealt]:
    return [_dealt(question, seed, system) for seed in seeds]


def _dealt(question: Question, seed: int, system: str) -> _Dealt:
    try:
        variant = deal(question, seed, system)
    except HpteachError as error:
        return None, f"{question.id}, seed {seed}, {system}: {error}"
    for part in variant.parts:
        text = shown_answer(variant, part) if part.kind == "number" else str(part.answer)
        verdict = check(variant, text, part.id)
        if not verdict.correct:
            return None, f"{question.id}, seed {seed}, {system}, {part.id}: the right answer {text} is judged: {verdict}"
    return variant, ""


def _fingerprint(variant: Variant) -> bytes:
    shown = [variant.prompt, *((part.text, part.choices, part.answer) for part in variant.parts)]
    shown += [table.cells for table in variant.tables]
    if variant.chart:
        shown.append(sorted(variant.drawn.items()))
    return hashlib.sha256(repr(shown).encode("utf-8", errors="surrogatepass")).digest()[:8]
