"""Practice: one question after the other (hpteach/panels/practice.py)."""

import re

import pytest

from hpteach import units
from hpteach.assessment import Progress
from hpteach.errors import UnknownNameError
from hpteach.panels import Practice
from hpteach.panels.where_i_stand import OFF
from hpteach.questions import read_bank


def texts(view):
    return re.sub("<[^>]*>", "", view.reading.value + view.status.value)


def answer(view, *, right=True):
    """Answer every part of the present question, rightly or not."""
    exercise = view.exercise
    for part in exercise.variant.parts:
        exercise.answer(written(part.answer if right else part.mistakes[0].value, part), part.id)


def written(value, part):
    """An answer as it is typed, or as it is chosen."""
    return value if isinstance(value, str) else f"{value!r} {units.base_unit(part.quantity)}"


@pytest.fixture
def progress(tmp_path):
    return Progress.open(tmp_path / "progress.sqlite3")


def test_it_asks_the_best_question_and_says_why(progress):
    """The question, its numbers and the reason are those of the suggestion."""
    view = Practice(progress=progress)
    found = view.suggestion
    assert (found.question, found.seed) == (view.exercise.question.id, view.exercise.variant.seed)
    assert f"Why this one: {found.why}" in texts(view)


def test_an_answer_goes_into_the_record_and_the_next_question_follows_from_it(progress):
    """What is answered is kept, and the next question is another one; the last one's panel is closed."""
    view = Practice(progress=progress, topic="start")
    first = view.exercise
    assert "read-a-gauge" == first.question.id
    answer(view, right=False)
    assert [False] * len(first.variant.parts) == [one.correct for one in progress.attempts()]
    view.controls["topic"].value = "any"
    assert view.suggestion.question != first.question.id
    assert first.comm is None and view.exercise.comm is not None


def test_what_went_wrong_comes_back(progress):
    """A wrong answer is asked again within a few questions, with other numbers, or in another question that needs the same thought."""
    view = Practice(progress=progress, topic="start")
    seed = view.suggestion.seed
    answer(view, right=False)
    view.controls["topic"].value = "any"
    kinds = []
    for _ in range(7):
        kinds.append(view.suggestion.kind)
        if view.suggestion.question == "read-a-gauge":
            assert seed != view.suggestion.seed
        view.following()
    assert "repair" in kinds


def test_passing_over_gives_another_question(progress):
    """Who presses on without answering sees other questions, none of the last ones again."""
    view = Practice(progress=progress)
    seen = [view.suggestion.question]
    for _ in range(5):
        view.following()
        assert view.suggestion.question not in seen[-3:]
        seen.append(view.suggestion.question)
    assert () == progress.attempts()


@pytest.mark.parametrize(
    ("chosen", "holds"),
    [
        ({"topic": "gauges"}, lambda one: one.topic == "gauges"),
        ({"lesson": "07"}, lambda one: one.lesson == "07"),
        ({"lesson": "exam"}, lambda one: one.lesson == "exam"),
        ({"level": 3}, lambda one: one.level == 3),
        ({"level": "1"}, lambda one: one.level == 1),
        ({"exam": "US 40 CFR 82"}, lambda one: any(code.startswith("US 40 CFR 82") for code in one.covers)),
        ({"topic": "circuit", "level": 2}, lambda one: one.topic == "circuit" and one.level == 2),
    ],
)
def test_only_what_was_chosen_is_asked(chosen, holds, progress):
    """With a topic, lesson, level or exam chosen, every question has it."""
    view = Practice(progress=progress, **chosen)
    for _ in range(3):
        assert holds(view.exercise.question)
        view.following()


def test_choosing_asks_another_question_at_once(progress):
    """A choice in a list is followed at once; one that no question has is refused, and the last question stays."""
    view = Practice(progress=progress)
    view.controls["topic"].value = "gauges"
    assert "gauges" == view.exercise.question.topic
    before = view.exercise
    view.controls["lesson"].value = "00"
    assert "no question has all that was chosen" in view.refusal and before is view.exercise
    view.controls["lesson"].value = "any"
    assert view.refusal is None and "gauges" == view.exercise.question.topic


def test_every_topic_and_lesson_can_be_chosen():
    """The lists hold every topic and lesson of the questions that are practised."""
    view = Practice(progress=Progress.off())
    questions = [one for one in read_bank().questions.values() if not one.id.startswith("predict-")]
    for name in ("topic", "lesson"):
        assert {"any", *(getattr(one, name) for one in questions)} == {value for _, value in view.controls[name].options}


@pytest.mark.parametrize("wrong", [{"topic": "gaugs"}, {"lesson": "77"}, {"level": 4}, {"exam": "of life"}])
def test_what_is_in_no_list_is_refused(wrong):
    """A topic, lesson, level or exam that no question has is refused with those that there are."""
    with pytest.raises(UnknownNameError, match="to practise"):
        Practice(progress=Progress.off(), **wrong)


def test_units_stay_with_the_reader(progress):
    """The next question is asked in the units of the last one."""
    view = Practice(progress=progress, units="IP")
    assert "IP" == view.exercise.system
    view.following()
    assert "IP" == view.exercise.system
    view.exercise.controls["units"].value = "SI"
    view.following()
    assert "SI" == view.exercise.system == view.system


def test_the_next_question_takes_the_cursor(progress):
    """The first question leaves the cursor where it is; each that was asked for takes it, so that the keyboard is enough."""
    view = Practice(progress=progress)
    assert not view.exercise._asked[0].form.takes_focus
    view.following()
    assert view.exercise._asked[0].form.takes_focus


def test_practice_goes_on_without_a_record(tmp_path):
    """Where the record cannot be read or kept, a sentence says so, the verdict stands, and the next question comes."""
    view = Practice(progress=Progress.open(tmp_path), topic="start")
    assert f"{tmp_path} is not a file" in texts(view) and view.exercise is not None
    answer(view)
    assert view.exercise.verdict().correct is not None
    first = view.suggestion.question
    view.controls["topic"].value = "any"
    assert first != view.suggestion.question and f"{tmp_path} is not a file" in texts(view)


def test_off_is_said_and_the_sitting_is_known():
    """Where nothing is kept it is said; within the sitting what was answered counts all the same."""
    view = Practice(topic="start")
    assert not view.progress.kept and OFF in texts(view)
    answer(view)
    assert [True] * len(view.exercise.variant.parts) == [one.correct for one in view.progress.attempts()]


def test_a_damaged_record_is_told(tmp_path):
    """A damaged file is set aside, and the status line says where."""
    path = tmp_path / "progress.sqlite3"
    path.write_bytes(b"no record" * 900)
    assert "It was set aside as progress.sqlite3.damaged-" in texts(Practice(progress=Progress.open(path)))
