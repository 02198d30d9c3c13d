"""What was answered of a question, and its way into the record."""

from __future__ import annotations

from hpteach.assessment import Progress
from hpteach.panels.tries import Tries
from hpteach.questions import deal, read_bank
from hpteach.units import show

VARIANT = deal(read_bank().question("cooling-cop"), 5)
FIRST, SECOND = VARIANT.parts
RIGHT = show(FIRST.answer, FIRST.quantity, decimals=3)


def test_right_once_stays_right() -> None:
    """A wrong answer after a right one takes nothing away from what was shown to be known."""
    tries = Tries(Progress.off())
    tries.judge(VARIANT, FIRST.id, RIGHT)
    tries.judge(VARIANT, FIRST.id, "1 kJ/kg")
    assert ({FIRST.id}, False) == (tries.right, tries.verdicts[FIRST.id].correct)
    assert not tries.all_right(VARIANT)
    tries.judge(VARIANT, SECOND.id, f"{SECOND.answer:.4f}")
    assert tries.all_right(VARIANT)


def test_what_could_not_be_read_is_not_tried() -> None:
    """An unreadable answer leaves its part among the untried."""
    tries = Tries(Progress.off())
    tries.judge(VARIANT, FIRST.id, "a lot")
    assert (FIRST.id, SECOND.id) == tries.untried(VARIANT)
    tries.judge(VARIANT, FIRST.id, "1 kJ/kg")
    assert (SECOND.id,) == tries.untried(VARIANT)


def test_the_same_words_are_kept_once_for_each_part() -> None:
    """Blanks around them do not make other words of them; the other part counts apart."""
    progress = Progress.off()
    tries = Tries(progress)
    for part, text in ((FIRST.id, "1"), (FIRST.id, "1 kJ/kg"), (FIRST.id, " 1 kJ/kg"), (SECOND.id, "1"), (SECOND.id, "1")):
        tries.judge(VARIANT, part, text)
        tries.keep(VARIANT, part, text)
    assert [(FIRST.id, "1 kJ/kg"), (SECOND.id, "1")] == [(one.part, one.text) for one in progress.attempts()]


def test_other_units_bring_no_wrong_verdict_and_no_try() -> None:
    """What is still right stays, all else has no verdict any more; what was tried was tried."""
    progress = Progress.off()
    tries = Tries(progress)
    choice = deal(read_bank().question("two-thermometers"), 5)
    turned = deal(choice.question, 5, "IP")
    tries.judge(VARIANT, FIRST.id, RIGHT)
    other = deal(VARIANT.question, 5, "IP")
    assert {} == tries.turn(other, [(FIRST.id, "1 kJ/kg")]) and {} == tries.verdicts
    assert {FIRST.id} == tries.right and (SECOND.id,) == tries.untried(other)
    tries.begin()
    part = choice.parts[0]
    tries.judge(choice, part.id, part.answer)
    assert {part.id: turned.parts[0].answer} == tries.turn(turned, [(part.id, turned.parts[0].answer)])
    tries.keep(turned, part.id, turned.parts[0].answer)
    assert () == progress.attempts()
