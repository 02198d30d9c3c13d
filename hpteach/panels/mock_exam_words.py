"""The texts of a mock exam: what it covers, how a question stands, what is asked before handing in, the result.

What lives here: texts, as HTML or as sentences.  What does not: when they are shown (mock_exam, mock_exam_result).
"""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

from hpteach.assessment.blueprint import Blueprint
from hpteach.assessment.marked import BLANK, PartMark, Tally
from hpteach.assessment.sitting import Result, Sitting
from hpteach.questions import Bank

OFF = (
    "Nothing is kept here: HPTEACH_PROGRESS is off, as it is on pages that several visitors share. The exam lives as long as this page does; "
    "when the page is loaded anew it is gone."
)
NO_APPROVED_EXAM = "This is practice. It is no approved exam, and its result is no certificate."

_BAR = 220


def before(blueprint: Blueprint) -> str:
    """What stands above "Begin": what the exam asks, how it goes, and what it does not show."""
    drawn = sum(one.drawings for one in blueprint.sections)
    drawings = f"On paper {drawn} of the questions {'is a drawing task' if drawn == 1 else 'are drawing tasks'}; here it is asked in words and numbers."
    rules = [
        "No hint and no word on what is right until you hand in.",
        *([drawings] if drawn else []),
        "The clock starts with “Begin” and does not stop: not when the page is closed, not when the kernel ends.",
        "Every answer is kept when you leave its field, or press Enter in it.",
    ]
    return f"<h3>{escape(blueprint.title)}</h3>{asked(blueprint, rules)}"


def asked(blueprint: Blueprint, rules: Sequence[str] = ()) -> str:
    """What a blueprint asks, on paper or on the screen, and what it does not show."""
    table = "may lie beside you" if blueprint.table == "open" else "may not be used"
    why = blueprint.pass_mark_why.strip().rstrip(".")
    facts = [
        blueprint.purpose,
        f"{blueprint.questions} questions, {blueprint.minutes} minutes. Pass mark: {percent(blueprint.pass_mark)} of the marks. {why[:1].upper()}{why[1:]}.",
        f"A pressure–temperature card {table}.",
        *rules,
    ]
    rows = "".join(f"<tr><td>{escape(one.title)}</td><td style='text-align:right'>{one.questions}</td></tr>" for one in blueprint.sections)
    listed = f"<div class='hpteach-wide'><table class='hpteach-table'><tr><th>section</th><th>questions</th></tr>{rows}</table></div>"
    limits = "".join(f"<li>{escape(one)}</li>" for one in (NO_APPROVED_EXAM, *blueprint.not_covered))
    return f"{''.join(f'<p>{escape(one)}</p>' for one in facts)}{listed}<h3>What it does not show</h3><ul>{limits}</ul>"


def state(number: int, answered: int, parts: int, flagged: bool) -> str:
    """How a question stands, as a line of the list.

    >>> state(3, 1, 2, True)
    '3: 1 of 2 answered, flagged'
    """
    said = "answered" if answered == parts else "open" if not answered else f"{answered} of {parts} answered"
    return f"{number}: {said}{', flagged' if flagged else ''}"


def asked_before_handing_in(open_numbers: Sequence[int], flagged: Sequence[int]) -> str:
    """What is asked before an exam is handed in.

    >>> asked_before_handing_in([2, 5], [])
    'Still open: questions 2 and 5. Hand in now? After that nothing can be changed. Press “Hand in now, for good”, or go on.'
    """
    said = [f"Still open: {_questions(open_numbers)}." if open_numbers else "Every question is answered."]
    if flagged:
        said.append(f"Flagged: {_questions(flagged)}.")
    return " ".join([*said, "Hand in now? After that nothing can be changed. Press “Hand in now, for good”, or go on."])


def result(sitting: Sitting, found: Result, bank: Bank) -> str:
    """The score with its sections, the mistakes by name, what nobody could read, the weak topics."""
    if found.marks.absent:
        return f"<h3>Result: {escape(sitting.blueprint.title)}</h3><p>Nothing was answered, so there is nothing to mark.</p><p>{escape(NO_APPROVED_EXAM)}</p>"
    share = found.marks.share
    if share is None:
        verdict = "Nothing of it can be marked any more."
    else:
        against = "at or above" if found.marks.passed else "below"
        verdict = f"{_marks(found.marks.marks)} of {_marks(found.marks.possible)} marks, {percent(share)}: {against} the pass mark of {percent(found.pass_mark)}."
    rows = [*found.marks.sections, Tally("All", found.marks.marks, found.marks.possible)] if found.marks.possible else []
    blocks = [f"<h3>Result: {escape(sitting.blueprint.title)}</h3><p><b>{escape(verdict)}</b></p>", table(rows, found.pass_mark), f"<p>{escape(NO_APPROVED_EXAM)}</p>"]
    if blank := sorted({part.number for part in found.marks.parts if part.outcome == BLANK}):
        blocks.append(f"<p>Left open, in whole or in part: {_questions(blank)}.</p>")
    if found.unreadable:
        lines = "".join(f"<li>Question {part.number}{part.letter}: {escape(unreadable(part))}</li>" for part in found.unreadable)
        blocks.append(f"<h3>Could not be read (no marks)</h3><ul>{lines}</ul>")
    if found.marks.mistakes:
        notes = "".join(_mistake(one) for one in found.marks.mistakes)
        blocks.append(f"<h3>Mistakes by name</h3>{notes}")
    if found.weak_topics:
        blocks.append(f"<p><b>Below the pass mark, the weakest first:</b> {escape(', '.join(topic.replace('-', ' ') for topic in found.weak_topics))}.</p>")
    blocks += [f"<p>{escape(one)}</p>" for one in found.remarks]
    return "".join(blocks)


def table(rows: Sequence[Tally], pass_mark: float) -> str:
    """Marks by section: figures, a word, and a bar with a line at the pass mark, which print in black and white."""
    cells = "".join(
        f"<tr><td>{escape(one.title)}</td><td style='text-align:right'>{_marks(one.marks)} of {_marks(one.possible)}</td><td style='text-align:right'>{percent(one.share)}</td>"
        f"<td>{'reached' if one.share >= pass_mark - 1e-9 else 'below'}</td><td>{_bar(one.share, pass_mark)}</td></tr>"
        for one in rows
    )
    head = f"<tr><th>section</th><th>marks</th><th>share</th><th>{percent(pass_mark)}</th><th>0 to 100 %, line at {percent(pass_mark)}</th></tr>"
    return f"<div class='hpteach-wide'><table class='hpteach-table'>{head}{cells}</table></div>"


def _bar(share: float, pass_mark: float) -> str:
    at = pass_mark * _BAR
    return (
        f"<svg viewBox='0 0 {_BAR + 2} 18' height='18' style='width: clamp(52px, 40vw - 104px, {_BAR + 2}px)' preserveAspectRatio='none' aria-hidden='true'><rect x='1' y='3' width='{_BAR}' height='12' fill='none' stroke='currentColor' vector-effect='non-scaling-stroke'/>"
        f"<rect x='1' y='3' width='{share * _BAR:.1f}' height='12' fill='currentColor' opacity='0.6'/>"
        f"<line x1='{at:.1f}' y1='0' x2='{at:.1f}' y2='18' stroke='currentColor' stroke-width='3' vector-effect='non-scaling-stroke'/></svg>"
    )


def unreadable(part: PartMark) -> str:
    """What was written and why it could not be read, the answer only once."""
    said = part.said.rstrip(".")
    return f"{said}." if f"'{part.answer}'" in said else f"“{part.answer}”. {said}."


def _mistake(one: object) -> str:
    where = _questions(one.numbers)
    lesson = f" Repeat lesson {escape(one.lesson)}." if one.lesson else ""
    return f"<div class='hpteach-note'><b>{escape(one.words.capitalize())}</b> ({where}). {escape(one.correction)}{lesson}</div>"


def _questions(numbers: Sequence[int]) -> str:
    if len(numbers) == 1:
        return f"question {numbers[0]}"
    return f"questions {', '.join(map(str, numbers[:-1]))} and {numbers[-1]}"


def _marks(marks: float) -> str:
    return f"{marks:.2f}".rstrip("0").rstrip(".")


def percent(share: float) -> str:
    """A share in percent; rounded down, so that no score looks like a pass that is none.

    >>> percent(0.5999), percent(0.6)
    ('59 %', '60 %')
    """
    return f"{int(100.0 * share + 1e-6)} %"
