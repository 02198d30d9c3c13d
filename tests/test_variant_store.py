"""Dealt questions, each dealt once and kept (hpteach/assessment/variant_store.py)."""

from __future__ import annotations

import pickle
import signal
from dataclasses import replace

import pytest

from hpteach.assessment import variant_store
from hpteach.assessment.variant_store import DEALING, VariantStore, Wanted
from hpteach.errors import DataError, UnknownNameError
from hpteach.questions import deal, read_bank
from hpteach.questions.checking import check
from hpteach.questions.verdicts import unread
from tests import small_bank


def store(*ids: str) -> VariantStore:
    """A store of invented questions."""
    return VariantStore(small_bank.bank(*(small_bank.question(id) for id in ids)))


def test_variant_is_dealt_once(monkeypatch) -> None:
    """What was asked for before is the same object again."""
    dealt = []
    monkeypatch.setattr(variant_store, "deal", lambda *given: dealt.append(given) or deal(*given))
    kept = store("one")
    first = kept.variant("one", 7, "SI")
    assert first is kept.variant("one", 7, "SI")
    assert [(kept.bank.question("one"), 7, "SI")] == dealt
    assert str(deal(kept.bank.question("one"), 7, "IP")) == str(kept.variant("one", 7, "IP"))


def test_preparing_deals_all_and_tells_how_far_it_is() -> None:
    """What is there already is not dealt again; the last that is told is the whole."""
    kept, told = store("one", "two"), []
    kept.variant("one", 1, "SI")
    kept.prepare([Wanted(id, seed, "SI") for id in ("one", "two") for seed in (1, 2, 2)], told=lambda *given: told.append(given))
    assert [(DEALING, 1, 3), (DEALING, 3, 3)] == told
    kept.prepare([Wanted("one", 1, "SI")], told=lambda *given: told.append(given))
    assert 2 == len(told)


def test_other_processes_deal_the_same(monkeypatch) -> None:
    """Machines in weather come from another process as they would from this one, with the question of this bank."""
    monkeypatch.setattr(variant_store, "WORTH_A_PROCESS", 4)
    bank = read_bank()
    wanted = [Wanted(id, seed, system) for id in ("cop-on-a-cold-day", "read-a-gauge", "mass-flow-in-the-cold") for seed in (1, 2) for system in ("SI", "IP")]
    several, alone = VariantStore(bank), VariantStore(bank)
    several.prepare(wanted, workers=2)
    alone.prepare(wanted, workers=1)
    assert [str(alone.variant(*one)) for one in wanted] == [str(several.variant(*one)) for one in wanted]
    assert [alone.fingerprint(one) for one in wanted] == [several.fingerprint(one) for one in wanted]
    assert all(several.variant(*one).question is bank.question(one.question) for one in wanted)


def test_variant_that_cannot_be_dealt_is_told_and_refused(monkeypatch) -> None:
    """It is kept as a sentence, and nothing of it gets onto paper."""
    monkeypatch.setattr(variant_store, "deal", _refusing)
    kept = store("one")
    assert "one, seed 3, SI: none of 20 draws can be solved" == kept.unfit(Wanted("one", 3, "SI"))
    assert "" == kept.unfit(Wanted("one", 4, "SI"))
    assert ("one, seed 3, SI: none of 20 draws can be solved",) == kept.left_out
    with pytest.raises(DataError, match="one, seed 3, SI"):
        kept.variant("one", 3, "SI")


def _refusing(question, seed: int, system: str):
    if seed == 3:
        raise DataError("none of 20 draws can be solved")
    return deal(question, seed, system)


def test_variant_whose_own_answer_is_not_judged_right_is_unfit(monkeypatch) -> None:
    """The answer is written as the key writes it."""
    monkeypatch.setattr(variant_store, "check", lambda variant, text, part: unread(DataError("no")) if variant.seed == 3 else check(variant, text, part))
    assert "one, seed 3, SI, p" not in (why := store("one").unfit(Wanted("one", 3, "SI")))
    assert why.startswith("one, seed 3, SI, absolute: the right answer ")
    assert "" == store("one").unfit(Wanted("one", 4, "SI"))


def test_question_that_the_bank_does_not_have_is_refused() -> None:
    """With the nearest names."""
    with pytest.raises(UnknownNameError, match="did you mean one"):
        store("one").variant("on", 1, "SI")


def test_fingerprint_is_the_same_for_variants_that_read_alike() -> None:
    """Texts, choices and answers count, the seed does not; the title, which is not printed beside them, neither."""
    kept = VariantStore(read_bank())
    found: dict[bytes, str] = {}
    for seed in range(40):
        wanted = Wanted("evacuation-level" if "evacuation-level" in kept.bank.questions else "read-a-gauge", seed, "SI")
        variant = kept.variant(*wanted)
        reads = str(variant) + repr([part.answer for part in variant.parts])
        assert reads == found.setdefault(kept.fingerprint(wanted), reads)
    assert 1 < len(found) < 40
    other = VariantStore(small_bank.bank(replace(small_bank.model(), title="Another title")))
    assert kept.fingerprint(Wanted("read-a-gauge", 1, "SI")) == other.fingerprint(Wanted("read-a-gauge", 1, "SI"))


def handler_there(question: bytes, seeds: list[int], system: str) -> bytes:
    """What another process does on Ctrl-C, in place of a dealt question; it leaves its own start out of it."""
    return pickle.dumps([(None, f"{HANDLER_AT_START!r}") for _ in seeds])


HANDLER_AT_START = signal.getsignal(signal.SIGINT)
"""As this module is imported, which another process does before it deals anything."""


def test_other_processes_leave_interrupts_alone(monkeypatch) -> None:
    """Ctrl-C reaches all processes of a terminal: those that help take no notice of it, from their start on, and here it does what it did."""
    monkeypatch.setattr(variant_store, "WORTH_A_PROCESS", 1)
    monkeypatch.setattr(variant_store, "_deal_packed", handler_there)
    before = signal.getsignal(signal.SIGINT)
    kept, wanted = VariantStore(read_bank()), [Wanted(id, 1, "SI") for id in ("cop-on-a-cold-day", "mass-flow-in-the-cold")]
    kept.prepare(wanted, workers=2)
    assert before == signal.getsignal(signal.SIGINT)
    assert repr(signal.SIG_IGN) in [kept.unfit(one) for one in wanted]
