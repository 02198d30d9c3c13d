"""What a learner has answered, what follows from it, and what to ask next.

What lives here: the record (attempts, record_file, progress, export), the boxes that answers move (rounds), the next question
(study), how a learner stands (standing).  What does not: questions and judging (questions), showing any of it (panels).

    progress = Progress.open()                                        the file of this user
    progress.record(attempt_of(variant, part, text, verdict))
    suggestion = next_question(bank, progress.attempts(), now)        question, seed, and why
    standing(bank, progress.attempts(), now)                          by topic, and the misunderstandings
"""

from hpteach.assessment.attempts import Attempt, attempt_of
from hpteach.assessment.progress import Progress
from hpteach.assessment.standing import Misunderstanding, Standing, TopicStanding, standing
from hpteach.assessment.study import Restriction, Suggestion, next_question

__all__ = [
    "Attempt", "Misunderstanding", "Progress", "Restriction", "Standing", "Suggestion", "TopicStanding", "attempt_of", "next_question", "standing",
]  # fmt: skip
