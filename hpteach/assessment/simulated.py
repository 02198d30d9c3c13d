"""Invented learners whose ability is known, to see whether marks bring it to light.

What lives here: learners by ability, and what they would answer to questions of a known difficulty.  What does not: papers and
marking; a question comes here as plain data.  Everybody in here is invented, and is called so.

    learners = simulated_learners(24, seed="demo")
    answers(learners[0], questions, seed="demo")      {"q1": "36.5 kJ/kg", "q2": "", ...}

The chance of a right answer follows the two-parameter logistic model with one slope for all questions (Birnbaum, in Lord & Novick,
Statistical Theories of Mental Test Scores (1968); from memory, not seen here).  1.7 makes it as steep as a normal ogive.  A real
class guesses, copies and tires; these learners don't.
"""

from __future__ import annotations

import hashlib
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from statistics import NormalDist
from typing import NamedTuple

from hpteach.errors import InputError, UnknownNameError

SLOPE = 1.7

BLANK = 0.02
"""Chance that an answer is left empty; chosen."""
UNREADABLE = 0.01
"""Chance that nobody can read it; chosen."""

UNREADABLE_TEXTS = ("?? see over", "smudged", "about right", "5 or 6, not sure", "#REF!")
"""What such an answer may look like (invented)."""

SPREADS = ("rank", "lot")


@dataclass(frozen=True)
class SimulatedLearner:
    """An invented learner; `ability` is 0 for the average and 1 for one standard deviation above it."""

    id: str
    ability: float

    @property
    def name(self) -> str:
        """A name that says that nobody is meant.

        >>> SimulatedLearner("07", 0.3).name
        'Invented learner 07'
        """
        return f"Invented learner {self.id}"


class SimulatedQuestion(NamedTuple):
    """A question as simulated learners see it; the key is any name that tells it from the others.

    `difficulty` is the share of average learners who get it wrong, above 0 and below 1; `wrong` are the texts of foreseen mistakes.
    """

    key: str
    difficulty: float
    right: str
    wrong: Sequence[str] = ()


def simulated_learners(count: int, seed: str | int, by: str = "rank") -> tuple[SimulatedLearner, ...]:
    """A class of invented learners with normally distributed abilities (mean 0, standard deviation 1); the same seed gives the same class.

    `by` "rank": the i-th weakest of n has the ability below which (i - 1/2) / n of the distribution lies, so that every class is spread
    alike; the seed deals who is the i-th weakest.  "lot": each ability is drawn.  Ids are "01", "02" and so on.

    Raises `InputError` for fewer than one learner, `UnknownNameError` for another `by`.

    >>> [(learner.id, round(learner.ability, 2)) for learner in simulated_learners(3, seed="demo")]
    [('1', -0.97), ('2', 0.97), ('3', 0.0)]
    """
    if by not in SPREADS:
        raise UnknownNameError.among("spread of abilities", by, SPREADS)
    if count < 1:
        raise InputError(f"{count} simulated learners are no class: use 1 or more")
    width = len(str(count))
    lots = [_lots(seed, "learner", number) for number in range(1, count + 1)]
    if by == "rank":
        place = {number: rank for rank, number in enumerate(sorted(range(count), key=lambda number: lots[number]))}
        shares = [(place[number] + 0.5) / count for number in range(count)]
    else:
        shares = [one[0] for one in lots]
    return tuple(SimulatedLearner(f"{number:0{width}}", NormalDist().inv_cdf(share)) for number, share in enumerate(shares, 1))


def probability_right(ability: float, difficulty: float) -> float:
    """The chance that a learner who tries gets a question right: 1 / (1 + exp(-1.7 (ability - b))).

    b = ln(d / (1 - d)) / 1.7 is the ability at which half get it right, so that the average learner (ability 0) gets it wrong with
    the chance d, the difficulty.  Raises `InputError` for a difficulty that is not above 0 and below 1.

    >>> round(probability_right(0.0, 0.25), 3), round(probability_right(1.0, 0.25), 3)
    (0.75, 0.943)
    """
    if not 0.0 < difficulty < 1.0:
        raise InputError(f"difficulty of {difficulty:g} cannot be: use a share above 0 and below 1")
    steps = SLOPE * ability - math.log(difficulty / (1.0 - difficulty))
    return 1.0 / (1.0 + math.exp(-steps)) if steps >= 0.0 else math.exp(steps) / (1.0 + math.exp(steps))


def answers(
    learner: SimulatedLearner, questions: Iterable[SimulatedQuestion], seed: str | int, *, blank: float = BLANK, unreadable: float = UNREADABLE
) -> dict[str, str]:
    """What a learner writes, by the question's key: the right answer, one of its foreseen mistakes, nothing, or what nobody can read.

    With the chance `blank` the answer is "", with `unreadable` one of `UNREADABLE_TEXTS`; otherwise it is right with `probability_right`, and
    else any of the mistakes, each as likely; "" where none is foreseen.  An answer hangs on the seed, the learner's id and the
    question's key alone, so that other questions beside it change nothing.

    Raises `InputError` for chances below 0 or of more than 1 together, and as `probability_right`.

    >>> asked = [SimulatedQuestion("q1", 0.25, "36.5 kJ/kg", ("40.4 kJ/kg",)), ("q2", 0.65, "4.2", ("5.2", "3.2"))]
    >>> answers(SimulatedLearner("07", 0.3), asked, seed="demo")
    {'q1': '36.5 kJ/kg', 'q2': '3.2'}
    """
    if min(blank, unreadable) < 0.0 or blank + unreadable > 1.0:
        given = f"{blank:g} for a blank and {unreadable:g} for an unreadable answer"
        raise InputError(f"chances of {given} cannot be: use 0 or more, and 1 or less together")
    return {key: _answer(learner, SimulatedQuestion(key, *rest), seed, blank, unreadable) for key, *rest in questions}


def _answer(learner: SimulatedLearner, question: SimulatedQuestion, seed: str | int, blank: float, unreadable: float) -> str:
    kept, known, which = _lots(seed, "answer", learner.id, question.key)
    chance = probability_right(learner.ability, question.difficulty)
    if kept < blank:
        return ""
    if kept < blank + unreadable:
        return UNREADABLE_TEXTS[int(which * len(UNREADABLE_TEXTS))]
    if known < chance:
        return question.right
    return question.wrong[int(which * len(question.wrong))] if question.wrong else ""


def _lots(*named: object) -> tuple[float, float, float]:
    """Three numbers between 0 and 1, neither of them included, drawn by a name: the same on every machine and in every year."""
    drawn = hashlib.sha256("\x1f".join(map(str, named)).encode("utf-8", errors="surrogatepass")).digest()
    first, second, third = ((int.from_bytes(drawn[8 * place : 8 * place + 8]) >> 12) + 0.5 for place in range(3))
    return first / 2**52, second / 2**52, third / 2**52
