"""Questions that are dealt with numbers from a seed, read in any unit, and judged.

What lives here: the question bank and its format (bank, entries, draws, conditions,
expressions), the kinds of part (parts, several, states, truths, state_tables, asked_charts),
dealing (variants), solving rightly and wrongly (scenarios, mistakes), reading and judging
(answers, checking), proving a whole bank (proof).
What does not: papers, marks and progress (assessment), and showing any of it (panels).

    bank = read_bank()                            exercises/<topic>/<id>.toml
    variant = deal(bank.question(id), seed)       numbers, prompt, answers
    verdict = check(variant, "36.5 kJ/kg")        readable? right? which mistake?
"""

from hpteach.questions.bank import Bank, Question, read_bank
from hpteach.questions.checking import Note, Verdict, check
from hpteach.questions.proof import Proof, prove
from hpteach.questions.variants import Foreseen, Part, Variant, deal

__all__ = ["Bank", "Foreseen", "Note", "Part", "Proof", "Question", "Variant", "Verdict", "check", "deal", "prove", "read_bank"]
