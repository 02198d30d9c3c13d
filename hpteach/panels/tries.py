"""What was answered of a dealt question: verdicts, what is still untried, and the way of each answer into the record.

What lives here: `Tries`.  What does not: judging (questions), the record itself (assessment), showing a verdict (exercise, prediction).
"""

from __future__ import annotations

from collections.abc import Iterable

from hpteach.assessment import Progress, attempt_of
from hpteach.errors import ProgressError
from hpteach.questions import Variant, Verdict, check


class Tries:
    """The answers to one set of numbers: the last verdict of each part, which parts were tried, and which were answered right at least once.

    >>> from hpteach.questions import deal, read_bank
    >>> tries = Tries(Progress.off())
    >>> variant = deal(read_bank().question("predict-gauge"), 1)
    >>> tries.judge(variant, "shows", variant.parts[0].answer).correct, tries.all_right(variant)
    (True, True)
    """

    def __init__(self, progress: Progress | None) -> None:
        self._progress = progress
        self._noticed = False
        self.begin()

    def begin(self) -> None:
        """Another set of numbers: nothing is answered yet."""
        self.verdicts: dict[str, Verdict] = {}
        self.right: set[str] = set()
        self._tried: set[str] = set()
        self._kept: set[tuple[str, str]] = set()

    def turn(self, variant: Variant, answers: Iterable[tuple[str, str]]) -> dict[str, str]:
        """The same set in other units: judge anew what was judged before, without counting it; gives the texts that are still right.

        Whatever is not right in these units any more has no verdict: its numbers are others now.
        """
        still = {}
        for part, text in answers:
            if part in self.verdicts:
                verdict = check(variant, text, part)
                if verdict.correct:
                    self.verdicts[part] = verdict
                    still[part] = text
                    self._kept.add((part, text.strip()))
                else:
                    del self.verdicts[part]
        return still

    def judge(self, variant: Variant, part: str, text: str) -> Verdict:
        """The verdict on a text as the answer to a part."""
        verdict = check(variant, text, part)
        self.verdicts[part] = verdict
        if verdict.readable:
            self._tried.add(part)
        if verdict.correct:
            self.right.add(part)
        return verdict

    def keep(self, variant: Variant, part: str, text: str, *, hints: int = 0, solution_seen: bool = False) -> str:
        """Write the last verdict of a part into the record, the same words once only; gives a sentence where there is something to say of the record.

        What could not be read is no try, and is not written down.
        """
        attempt = attempt_of(variant, part, text.strip(), self.verdicts[part], hints=hints, solution_seen=solution_seen)
        if attempt is None or (part, text.strip()) in self._kept:
            return ""
        self._kept.add((part, text.strip()))
        self._progress = self._progress or Progress.open()
        try:
            self._progress.record(attempt)
        except ProgressError as error:
            return str(error)
        if self._noticed or not self._progress.notice:
            return ""
        self._noticed = True
        return self._progress.notice

    def untried(self, variant: Variant) -> tuple[str, ...]:
        """The parts to which no readable answer was given yet."""
        return tuple(part.id for part in variant.parts if part.id not in self._tried)

    def all_right(self, variant: Variant) -> bool:
        """Whether every part was answered right at least once."""
        return all(part.id in self.right for part in variant.parts)
