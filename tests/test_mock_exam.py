"""The mock exam as a panel: begun, sat, resumed, handed in, its result (hpteach/panels/mock_exam.py)."""


import pytest

from hpteach.assessment import Progress
from hpteach.assessment.blueprint import blueprints, read_blueprint
from hpteach.assessment.marked import UNREADABLE, PartMark
from hpteach.assessment.sitting import Sittings
from hpteach.errors import UnknownNameError
from hpteach.panels import MockExam, mock_exam_words
from hpteach.panels.answer_entries import AnswerForm, TableForm
from tests.test_sitting import Hands, right

QUIZ = "lesson-05"


@pytest.fixture
def hands():
    return Hands()


@pytest.fixture
def path(tmp_path):
    return tmp_path / "sittings.sqlite3"


def exam_at(path, hands, name=QUIZ, **more):
    return MockExam(name, sittings=Sittings.open(path, hands.clock()), progress=Progress.off(), **more)


def answer_rightly(exam, count=None):
    """Answer the first so many questions rightly, all where nothing is said."""
    for number in range(1, 1 + (count or len(exam.sitting.form.questions))):
        exam.turn_to(number)
        for part in exam.variant.parts:
            exam.answer(right(exam.variant, part), part.id)


def heard(widget, content):
    """As if the browser sent a message."""
    widget._handle_custom_msg(content, [])


def test_before_it_begins_it_says_what_it_is_and_is_not(path, hands):
    """Sections, time, pass mark, what it does not cover, and that it is no approved exam stand above "Begin"; no time runs."""
    for name in blueprints():
        told, blueprint = mock_exam_words.before(read_blueprint(name)), read_blueprint(name)
        for said in ("no approved exam", f"{blueprint.minutes} minutes", mock_exam_words.percent(blueprint.pass_mark), "What it does not show"):
            assert said in told
    exam = exam_at(path, hands)
    assert (None, [], "none") == (exam.sitting, exam.clock.left, exam._page.layout.display)


@pytest.mark.parametrize(
    ("answer", "said", "shown"),
    [
        ("7.5", "'7.5' has no unit of pressure: write it as 8.5bar", "Question 2a: '7.5' has no unit of pressure: write it as 8.5bar."),
        ("5", "this has no unit: write it as 5C", "Question 2a: “5”. this has no unit: write it as 5C."),
    ],
)
def test_unreadable_answer_is_shown_once(answer, said, shown):
    """What could not be read is shown with its reason, and not twice where the reason quotes it already."""
    part = PartMark(2, "read-a-gauge", "p", "a", "gauges", UNREADABLE, answer, 0.0, 1.0, said=said)
    assert shown == f"Question 2a: {mock_exam_words.unreadable(part)}"


def test_no_word_on_what_is_right_before_handing_in(path, hands):
    """Right, wrong and unreadable answers are kept alike, with the same words."""
    exam = exam_at(path, hands)
    exam.begin()
    part = exam.variant.parts[0]
    form = next(one.form for one in exam._asked if part.id in one.form.parts)
    said = []
    for text in (right(exam.variant, part), "9999 bar", "?? see over"):
        exam.answer(text, part.id)
        form.check()
        said.append(form.verdict["rows"])
        assert text == exam.sitting.answer(1, part.id)
    assert said[0] == said[1] == said[2] and "Kept." == said[0][0]["word"]
    assert exam.result is None and exam.refusal is None


def test_what_the_browser_sends_is_kept_at_once(path, hands):
    """Every change in a field reaches the record before any button is pressed."""
    exam = exam_at(path, hands)
    exam.begin()
    while not isinstance(exam._asked[0].form, AnswerForm):  # a table has a field for each cell
        exam.turn_to(exam.number + 1)
    form = exam._asked[0].form
    heard(form, {"answer": "4.2", "check": False})
    part = form.parts[0]
    assert "4.2" == Sittings.open(path, hands.clock()).latest().answer(exam.number, part)


def test_the_list_tells_answered_open_and_flagged_in_words(path, hands):
    """Each question's line says how it stands; choosing a line shows that question."""
    exam = exam_at(path, hands)
    exam.begin()
    answer_rightly(exam, 1)
    exam.turn_to(2)
    exam.flag()
    lines = [text for text, _ in exam.controls["questions"].options]
    assert ["1: answered", "2: open, flagged", "3: open"] == lines[:3]
    exam.controls["questions"].value = 3
    assert 3 == exam.number and "Question 3 of" in exam.reading.value
    exam.controls["questions"].value = 2
    exam.flag()
    assert "2: open" == exam.controls["questions"].options[1][0]


def test_it_goes_on_after_a_crash(path, hands):
    """A panel made anew on the same record shows the same question with what was answered and the time that is left."""
    exam = exam_at(path, hands)
    exam.begin()
    answer_rightly(exam, 2)
    hands.on(3)
    again = exam_at(path, hands, "lesson-01")
    assert (exam.sitting.id, 2) == (again.sitting.id, again.number)
    assert [exam.sitting.answer(2, part.id) for part in exam.variant.parts] == [again.controls[part.id].value for part in again.variant.parts]
    assert 60.0 * (read_blueprint(QUIZ).minutes - 3) == again.clock.left[0]
    assert "goes on where it was left" in again.status.value


def test_the_time_over_hands_in_and_shows_the_result(path, hands):
    """When the browser's countdown ends, or an answer comes too late, the sitting is handed in as it stands."""
    exam = exam_at(path, hands)
    exam.begin()
    answer_rightly(exam, 1)
    hands.on(read_blueprint(QUIZ).minutes)
    heard(exam.clock, {"ask": True})
    assert exam.result is not None and exam.sitting.time_over and [] == exam.clock.left
    assert "time is over" in exam.status.value


def test_an_answer_after_the_time_is_refused_in_words(path, hands):
    """An answer that comes after the deadline is not kept, and that is said."""
    exam = exam_at(path, hands)
    exam.begin()
    hands.on(read_blueprint(QUIZ).minutes + 1)
    exam.answer("4.2", exam.variant.parts[0].id)
    assert "time is over" in exam.refusal
    heard(exam.clock, {"ask": True})
    assert exam.result.found.marks.absent


def test_handing_in_is_asked_once_more_with_what_is_open(path, hands):
    """The first press asks and names what is open and flagged; going on takes the question away; the second press hands in."""
    exam = exam_at(path, hands)
    exam.begin()
    answer_rightly(exam, len(exam.sitting.form.questions) - 1)
    exam.flag()
    exam.hand_in()
    last = len(exam.sitting.form.questions)
    assert exam.sitting.open and f"Still open: question {last}. Flagged: question {last - 1}." in exam.status.value
    exam.turn_to(1)
    exam.hand_in()
    assert exam.sitting.open
    exam.hand_in()
    assert not exam.sitting.open and exam.result is not None


def test_two_notebooks_show_the_same_sitting(path, hands):
    """What one notebook hands in ends the exam in the other, which shows the result when it looks."""
    one, other = exam_at(path, hands), exam_at(path, hands)
    one.begin()
    other.begin()
    assert "still open" in other.refusal
    other._changed(None)
    assert one.sitting.id == other.sitting.id
    one.hand_in()
    one.hand_in()
    heard(other.clock, {"ask": True})
    assert other.result is not None


def test_the_result_says_everything_in_words(path, hands):
    """Score against the pass mark, sections, what was left open, the unreadable with its reason; no approved exam."""
    exam = exam_at(path, hands)
    exam.begin()
    last = len(exam.sitting.form.questions)
    answer_rightly(exam, last - 2)
    exam.turn_to(last)
    for part in exam.variant.parts:
        exam.answer("?? <b>see over", part.id)
    exam.hand_in()
    exam.hand_in()
    told, marks = exam.result.reading.value, exam.result.found.marks
    percent = mock_exam_words.percent(marks.share)
    for said in (f"marks, {percent}", "pass mark of", f"Left open, in whole or in part: question {last - 1}", "Could not be read", "&lt;b&gt;see over", "no approved exam"):
        assert said in told, said
    assert marks.passed == (" at or above the pass mark" in told)


def test_worked_solutions_come_one_by_one(path, hands):
    """Each question has its worked solution beside the learner's own answer, chosen or one after the other."""
    exam = exam_at(path, hands, "end-of-course")
    exam.begin()
    answer_rightly(exam, 2)
    exam.hand_in()
    exam.hand_in()
    result = exam.result
    assert 30 == len(result.controls["solution"].options) - 1
    for number in (1, 2, 30):
        result.controls["solution"].value = number
        told = result._solved.children[0].value
        assert result.refusal is None and f"Question {number}: " in told and "Your answer: " in told
    assert "none (blank)" in told


def test_practice_takes_only_the_weak_topics(path, hands):
    """Every question that is practised after the exam is of a topic below the pass mark; who has none is offered none."""
    exam = exam_at(path, hands)
    exam.begin()
    exam.answer("?", exam.variant.parts[0].id)
    exam.hand_in()
    exam.hand_in()
    weak = exam.result.found.weak_topics
    for _ in range(4):
        exam.result.practise()
        assert exam.result.refusal is None and exam.result.practice.question.topic in weak
    good = exam_at(path.with_name("good.sqlite3"), hands)
    good.begin()
    answer_rightly(good)
    good.hand_in()
    good.hand_in()
    assert good.result.found.marks.passed and "none" == good.result._following.layout.display


def test_a_last_result_can_be_looked_at_again(path, hands):
    """After handing in a new panel offers the exam anew and the last result."""
    exam = exam_at(path, hands)
    exam.begin()
    answer_rightly(exam, 1)
    exam.hand_in()
    exam.hand_in()
    again = exam_at(path, hands)
    assert again.result is None and "" == again._last.layout.display
    again._last.click()
    assert exam.result.reading.value == again.result.reading.value


def test_a_record_that_cannot_be_kept_is_said(hands, tmp_path):
    """Where nothing is kept the panel says so; where the file cannot be written it refuses in words; a damaged one is told."""
    assert "Nothing is kept" in MockExam(QUIZ, sittings=Sittings.off(hands.clock())).status.value
    (tmp_path / "file").write_text("")
    exam = exam_at(tmp_path / "file" / "s.sqlite3", hands)
    exam.begin()
    assert "cannot be" in exam.refusal
    (tmp_path / "damaged.sqlite3").write_bytes(b"x" * 5000)
    assert "set aside" in exam_at(tmp_path / "damaged.sqlite3", hands).status.value


def exam_with_a_table(path, hands):
    """An exam at a question with a state table, which not every exam has."""
    for _ in range(40):
        exam = exam_at(path, hands, "end-of-course")
        if exam.sitting is None or not exam.sitting.open:
            exam.begin()
        number = next((one.number for one in exam.sitting.form.questions if exam._variant(one.number).tables), None)
        if number:
            break
        exam.hand_in()
        exam.hand_in()
    exam.turn_to(number)
    return exam


def test_a_table_is_kept_cell_by_cell(path, hands):
    """The cells of a state table come back in a panel made anew."""
    exam = exam_with_a_table(path, hands)
    form = next(one.form for one in exam._asked if isinstance(one.form, TableForm))
    cells = {id: str(place) for place, id in enumerate(form.parts)}
    heard(form, {"answer": cells, "check": False})
    again = exam_at(path, hands)
    assert cells == next(one.form for one in again._asked if isinstance(one.form, TableForm)).value


def test_an_unknown_blueprint_is_named(path, hands):
    """A blueprint that is none is refused when the notebook names it."""
    with pytest.raises(UnknownNameError, match="mock-eu-2024-2215"):
        exam_at(path, hands, "mock-eu-2024-2251")


def test_each_notebook_answers_the_question_that_it_shows(path, hands):
    """A notebook in which nobody turned a page puts its answer to the question on it, whatever page another one has turned to."""
    first = exam_at(path, hands)
    first.begin()
    second = exam_at(path, hands)
    second.turn_to(3)
    heard(first.clock, {"ask": True})
    part = first._asked[0].form.parts[0]
    first.answer("9 bar", part)
    assert (1, 3) == (first.number, second.number)
    assert {(1, part): "9 bar"} == dict(exam_at(path, hands).sitting.answers)


def test_a_cell_that_another_notebook_filled_stays(path, hands):
    """Of a state table two notebooks fill a cell each, and both are kept; a cell that was filled here and emptied here is empty."""
    first = exam_with_a_table(path, hands)
    second = exam_at(path, hands)
    form = next(one.form for one in first._asked if isinstance(one.form, TableForm))
    here, there = form.parts[:2]
    second.answer("45 °C", there)
    first.answer("8 bar", here)
    form.check()
    number = first.number
    assert {(number, here): "8 bar", (number, there): "45 °C"} == dict(exam_at(path, hands).sitting.answers)
    first.answer("", here)
    assert {(number, there): "45 °C"} == dict(exam_at(path, hands).sitting.answers)
