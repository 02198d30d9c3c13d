"""The sheet that a learner gets back: the score by topic, what went wrong and what corrects it, what to do next.

What lives here: what stands on the sheet, whose layout is in templates/feedback.html.  What does not: the marks (assessment), the key with the
right answers, which is the instructor's (key).

No right answer stands on it, so that the questions can be asked again; the correction of a mistake says what to think instead.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from typing import NamedTuple

from hpteach.assessment.drawing_tasks import DRAWING_MARKS
from hpteach.assessment.marked import BLANK, DRAWING, PARTLY, RIGHT, UNREADABLE, WRONG, LearnerMarks, MarkedClass, PartMark
from hpteach.papers.class_page import Lesson, template

STRONG = 0.8
"""From this share of the marks on, a section went well (chosen)."""
MOST_LESSONS = 4
"""That are named to be taken again, those in which most was lost: whoever is told ten lessons takes none."""

_LEFT = "You left this blank. A guess costs nothing here: next time write what you think."
_UNREAD = "This could not be read yet, so it has no marks for now. Ask your instructor to look at it with you."
_PLAIN = "This is not the answer that is asked for. Work through it once more with your notes."
_DRAWN = "Points of the drawing are missing or in another place. Lay your chart beside the one in the key, with your instructor."


class Told(NamedTuple):
    """A part that did not get all its marks: its name on the paper, the question's title, what was answered, what to know, the lesson ("" for none)."""

    name: str
    title: str
    answer: str
    said: str
    lesson: str


class Sheet(NamedTuple):
    """What stands on one learner's sheet."""

    one: LearnerMarks
    greeting: str
    strong: list[str]
    told: list[Told]
    remarks: list[Told]
    repeat: list[Lesson]


def feedback_page(marked: MarkedClass, learner: LearnerMarks, lessons: Mapping[str, Lesson]) -> str:
    """The sheet of one learner as HTML, which fetches nothing and runs nothing."""
    return _rendered(marked, [learner], lessons, f"Your result: {learner.form}")


def feedback_pages(marked: MarkedClass, lessons: Mapping[str, Lesson]) -> str:
    """The sheets of all learners who were marked, each on a page of its own, to print in one go."""
    return _rendered(marked, marked.marked, lessons, "Results of all learners")


def _rendered(marked: MarkedClass, learners: Sequence[LearnerMarks], lessons: Mapping[str, Lesson], title: str) -> str:
    titles = {(one.task, one.id): (one.title, one.lesson) for one in marked.questions}
    sheets = [_sheet(marked, one, titles, lessons) for one in learners]
    return template("feedback.html").render(title=title, blueprint=marked.blueprint, sheets=sheets)


def _sheet(marked: MarkedClass, one: LearnerMarks, titles: Mapping[tuple[str, str], tuple[str, str]], lessons: Mapping[str, Lesson]) -> Sheet:
    to_repeat = {made.id: made.lesson for made in one.mistakes}
    told, remarks = [], []
    lost: Counter[str] = Counter()
    for part in one.parts:
        title, lesson = titles[part.task, part.question]
        if part.outcome != RIGHT:
            lesson = to_repeat.get(part.mistake) or lesson
            told.append(Told(_name(part), title, _answered(part), _said(part), lesson))
            lost[lesson] += part.possible - part.marks
        elif part.said:
            remarks.append(Told(_name(part), title, part.answer, part.said, ""))
    most = sorted(filter(None, lost), key=lambda number: (-lost[number], number))[:MOST_LESSONS]
    repeat = [lessons.get(number, Lesson(number, "")) for number in most]
    strong = [tally.title for tally in one.sections if tally.share >= STRONG]
    return Sheet(one, greeting(marked.blueprint.pass_mark, one.share or 0.0, bool(one.passed)), strong, told, remarks, repeat)


def greeting(pass_mark: float, share: float, passed: bool) -> str:
    """The first sentence of a sheet: true, and with a way on.

    >>> greeting(0.6, 0.55, False)
    'You are close to the pass mark of 60 %. What is missing is below, and it can be learnt.'
    """
    if passed:
        return "You passed, with hardly a mark lost. Well done." if share >= 0.9 else "You passed. Well done. Below is what to look at once more."
    if share >= pass_mark - 0.1:
        return f"You are close to the pass mark of {100.0 * pass_mark:.0f} %. What is missing is below, and it can be learnt."
    return f"You have not reached the pass mark of {100.0 * pass_mark:.0f} % yet. Take the lessons below one at a time, then try again: what is named here can all be put right."


def _name(part: PartMark) -> str:
    return f"{part.number}{part.letter}"


def _answered(part: PartMark) -> str:
    return f"{part.answer} of {DRAWING_MARKS:g} points" if part.task == DRAWING and part.outcome in (PARTLY, WRONG) else part.answer


def _said(part: PartMark) -> str:
    if part.outcome == BLANK:
        return _LEFT
    if part.outcome == UNREADABLE:
        return _UNREAD
    if part.task == DRAWING and part.outcome in (PARTLY, WRONG):
        return _DRAWN
    return part.said or _PLAIN
