"""Sittings of a mock exam: crash and resume, time over, handing in, clocks, two notebooks, damage, the result (hpteach/assessment/sitting.py)."""

import os
import signal
import stat
import subprocess
import sys
from datetime import UTC, datetime, timedelta

import pytest

from hpteach.assessment import Progress
from hpteach.assessment.blueprint import blueprint_of, read_blueprint
from hpteach.assessment.sitting import Clock, Sittings, result_of
from hpteach.errors import DataError, InputError, ProgressError
from hpteach.questions import deal, read_bank
from hpteach.questions.proof_of_texts import shown_answer

BANK = read_bank()
QUIZ = read_blueprint("lesson-01")
BEGIN = datetime(2026, 5, 4, 9, tzinfo=UTC)


class Hands:
    """A clock on the wall and a steady one, moved by hand."""

    def __init__(self):
        self.wall, self.steady = BEGIN, 0.0

    def clock(self):
        return Clock(lambda: self.wall, lambda: self.steady)

    def on(self, minutes):
        self.wall += timedelta(minutes=minutes)
        self.steady += 60.0 * minutes


@pytest.fixture
def hands():
    return Hands()


@pytest.fixture
def path(tmp_path):
    return tmp_path / "sittings.sqlite3"


def variant_of(sitting, number):
    asked = sitting.form.questions[number - 1]
    return deal(BANK.question(asked.question), asked.seed, asked.system)


def right(variant, part):
    return shown_answer(variant, part) if part.kind == "number" else str(part.answer)


def answer_all(sittings, sitting, only=lambda number: True):
    """Answer every question rightly for which `only` holds."""
    for number in range(1, len(sitting.form.questions) + 1):
        if only(number):
            variant = variant_of(sitting, number)
            for part in variant.parts:
                sitting = sittings.answer(sitting.id, number, part.id, right(variant, part))
    return sitting


def test_everything_comes_back_from_the_file(path, hands):
    """Answers, flags, the page and the time that is left come back in another program."""
    sittings = Sittings.open(path, hands.clock())
    begun = sittings.begin(QUIZ, BANK)
    part = variant_of(begun, 2).parts[0].id
    sittings.answer(begun.id, 2, part, "first")
    sittings.answer(begun.id, 2, part, "second")
    sittings.flag(begun.id, 3)
    sittings.flag(begun.id, 4)
    sittings.flag(begun.id, 4, False)
    hands.on(2)
    before = sittings.turn_to(begun.id, 2)
    assert before == Sittings.open(path, hands.clock()).latest()
    assert ({(2, part): "second"}, {3}, 2) == (dict(before.answers), before.flagged, before.place)
    assert 60.0 * (QUIZ.minutes - 2) == before.seconds_left


def test_an_answer_is_taken_back(hands):
    """An empty answer leaves a part open again."""
    sittings = Sittings.off(hands.clock())
    begun = sittings.begin(QUIZ, BANK)
    part = variant_of(begun, 1).parts[0].id
    assert 1 == sittings.answer(begun.id, 1, part, "8 bar").answered(1, [part])
    assert 0 == sittings.answer(begun.id, 1, part, " ").answered(1, [part])


@pytest.mark.skipif(os.name != "posix", reason="kills of this kind exist on POSIX systems only")
def test_a_killed_program_loses_no_answer_that_was_kept(path):
    """A program that is killed in the middle of a sitting leaves every answer that it had kept, and the deadline stays."""
    code = (
        "import sys\nfrom hpteach.assessment.blueprint import read_blueprint\nfrom hpteach.assessment.sitting import Sittings\nfrom hpteach.questions import read_bank\n"
        "sittings = Sittings.open(sys.argv[1])\nbegun = sittings.begin(read_blueprint('lesson-01'), read_bank())\nprint(begun.deadline.isoformat(), flush=True)\n"
        "for number in range(100_000):\n    sittings.answer(begun.id, 1 + number % 4, 'part', str(number))\n    print(number, flush=True)\n"
    )
    child = subprocess.Popen([sys.executable, "-c", code, path], stdout=subprocess.PIPE, text=True)
    deadline = child.stdout.readline().strip()
    said = [child.stdout.readline() for _ in range(20)]
    os.kill(child.pid, signal.SIGKILL)
    said += child.stdout.readlines()
    child.wait()
    last = max(int(line) for line in said if line.endswith("\n"))
    after = Sittings.open(path).latest()
    assert after.open and deadline == after.deadline.isoformat()
    assert last <= max(int(text) for text in after.answers.values()) <= last + 1


def test_the_time_ends_a_sitting_as_it_stands(path, hands):
    """At the deadline the sitting is handed in with what was answered, and takes nothing more, not even with the clock set back."""
    sittings = Sittings.open(path, hands.clock())
    begun = sittings.begin(QUIZ, BANK)
    part = variant_of(begun, 1).parts[0].id
    sittings.answer(begun.id, 1, part, "8 bar")
    hands.on(QUIZ.minutes)
    after = sittings.sitting(begun.id)
    assert (False, True, begun.deadline, 0.0) == (after.open, after.time_over, after.handed_in, after.seconds_left)
    for act in (lambda: sittings.answer(begun.id, 1, part, "9 bar"), lambda: sittings.flag(begun.id, 1), lambda: sittings.turn_to(begun.id, 2)):
        with pytest.raises(InputError, match="time is over"):
            act()
    assert "8 bar" == sittings.hand_in(begun.id).answer(1, part)
    hands.wall = BEGIN
    assert after.handed_in == Sittings.open(path, hands.clock()).latest().handed_in


def test_handing_in_twice_changes_nothing(hands):
    """The first hand-in counts; a second one, or an answer after it, leaves the sitting as it was."""
    sittings = Sittings.off(hands.clock())
    begun = sittings.begin(QUIZ, BANK)
    first = sittings.hand_in(begun.id)
    hands.on(1)
    assert first.handed_in == sittings.hand_in(begun.id).handed_in == BEGIN
    with pytest.raises(InputError, match="handed in"):
        sittings.answer(begun.id, 1, "part", "late")


def test_a_clock_set_back_gives_no_time(path, hands):
    """While the kernel lives time goes on; in a new one it goes on from the last thing that was done."""
    sittings = Sittings.open(path, hands.clock())
    begun = sittings.begin(QUIZ, BANK)
    hands.on(3)
    hands.wall -= timedelta(hours=2)
    assert 60.0 * (QUIZ.minutes - 3) == sittings.turn_to(begun.id, 2).seconds_left
    assert 60.0 * (QUIZ.minutes - 3) == Sittings.open(path, hands.clock()).latest().seconds_left


def test_two_notebooks_sit_at_one_sitting(path, hands):
    """Each sees what the other did; the later answer counts, and what one hands in the other cannot change."""
    one, other = Sittings.open(path, hands.clock()), Sittings.open(path, hands.clock())
    begun = one.begin(QUIZ, BANK)
    assert begun.id == other.latest().id
    with pytest.raises(InputError, match="still open"):
        other.begin(QUIZ, BANK)
    one.answer(begun.id, 1, "part", "mine")
    assert "mine" == other.sitting(begun.id).answer(1, "part")
    other.answer(begun.id, 1, "part", "yours")
    assert "yours" == one.hand_in(begun.id).answer(1, "part")
    with pytest.raises(InputError, match="handed in"):
        other.answer(begun.id, 1, "part", "mine again")
    assert begun.id != other.begin(QUIZ, BANK).id


def test_a_sitting_that_is_off_ends_with_its_object(hands, monkeypatch):
    """HPTEACH_PROGRESS=off keeps nothing, and says so by `kept`; a file named there has its sittings beside it."""
    sittings = Sittings.open(clock=hands.clock())
    sittings.begin(QUIZ, BANK)
    assert (False, None, "") == (sittings.kept, sittings.path, sittings.notice)
    assert Sittings.open(clock=hands.clock()).latest() is None
    monkeypatch.setenv("HPTEACH_PROGRESS", "/nowhere/mine.sqlite3")
    assert "mine-sittings.sqlite3" == Sittings.open().path.name


def test_a_damaged_file_is_set_aside(path, hands):
    """A file that is no record is set aside and told, and a sitting can begin."""
    path.write_bytes(b"no record of ours" * 500)
    sittings = Sittings.open(path, hands.clock())
    assert sittings.latest() is None
    assert "set aside" in sittings.notice
    assert sittings.begin(QUIZ, BANK).open
    assert 1 == len(list(path.parent.glob("*.damaged-*")))
    if os.name == "posix":
        assert 0o600 == stat.S_IMODE(path.stat().st_mode)


def test_a_sitting_of_another_version_is_passed_over(path, hands):
    """A sitting whose form cannot be read does not stand in the way of the ones before and after it."""
    sittings = Sittings.open(path, hands.clock())
    begun = sittings.begin(QUIZ, BANK)
    sittings.hand_in(begun.id)
    for text in ("no json", "{}", '{"manifest": "{}", "deadline": "2026-05-04T09:00:00.0Z"}'):
        sittings._write(BEGIN, "later", "begun", text=text)
        assert begun.id == Sittings.open(path, hands.clock()).latest().id


def test_what_cannot_be_done_is_refused(hands, tmp_path):
    """A question that is not there, a sitting that is gone, a blueprint that cannot be filled, a place that cannot be written: each with what to do."""
    sittings = Sittings.off(hands.clock())
    begun = sittings.begin(QUIZ, BANK)
    for act in (lambda: sittings.answer(begun.id, 99, "part", "x"), lambda: sittings.flag(begun.id, 0), lambda: sittings.turn_to(begun.id, 99)):
        with pytest.raises(InputError, match="use 1 to 4"):
            act()
    with pytest.raises(InputError, match="1000 or fewer"):
        sittings.answer(begun.id, 1, "part", "x" * 1001)
    with pytest.raises(InputError, match="begin another"):
        sittings.sitting("gone")
    with pytest.raises(InputError, match="hand it in"):
        result_of(begun, BANK)
    greedy = blueprint_of(QUIZ.text.replace("questions = 4", "questions = 199"), "greedy.toml", "lesson-01")
    with pytest.raises(DataError, match="01"):
        Sittings.off(hands.clock()).begin(greedy, BANK)
    (tmp_path / "file").write_text("")
    with pytest.raises(ProgressError, match="cannot be"):
        Sittings.open(tmp_path / "file" / "s.sqlite3", hands.clock()).begin(QUIZ, BANK)


def test_the_result_names_sections_mistakes_and_weak_topics(hands):
    """Rightly answered questions count in full; one that nobody can read counts nothing and is listed; all else is open."""
    sittings = Sittings.off(hands.clock())
    begun = sittings.begin(read_blueprint("lesson-05"), BANK)
    last = len(begun.form.questions)
    sitting = answer_all(sittings, begun, only=lambda number: number != last)
    broken = next(part for part in variant_of(begun, last).parts)
    sittings.answer(sitting.id, last, broken.id, "?? see over")
    found = result_of(sittings.hand_in(sitting.id), BANK)
    assert [(last, broken.id)] == [(part.number, part.part) for part in found.unreadable]
    assert found.marks.marks == sum(part.possible for part in found.marks.parts if part.number != last)
    assert sum(tally.marks for tally in found.marks.sections) == found.marks.marks
    weak = [tally.title for tally in found.marks.topics if tally.share < found.pass_mark]
    assert set(weak) == set(found.weak_topics)


def test_all_right_passes_and_leaves_no_weak_topic(hands):
    """Who answers everything rightly, in IP as well, has all the marks."""
    sittings = Sittings.off(hands.clock())
    sitting = answer_all(sittings, sittings.begin(QUIZ, BANK, units="IP"))
    assert {"IP"} == {one.system for one in sitting.form.questions}
    found = result_of(sittings.hand_in(sitting.id), BANK)
    assert (1.0, True, (), ()) == (found.marks.share, found.marks.passed, found.weak_topics, found.unreadable)


def test_a_foreseen_mistake_is_named(hands):
    """A wrong answer that the bank foresees comes back with its name and its correction."""
    sittings = Sittings.off(hands.clock())
    begun = sittings.begin(read_blueprint("end-of-course"), BANK)
    assert [] == [one.number for one in begun.form.questions if one.drawing]
    number, part, mistake = next(
        (one.number, part, mistake)
        for one in begun.form.questions for part in variant_of(begun, one.number).parts for mistake in part.mistakes
        if part.kind == "choice" and mistake.value
    )  # fmt: skip
    sittings.answer(begun.id, number, part.id, mistake.value)
    found = result_of(sittings.hand_in(begun.id), BANK)
    assert [(mistake.id, (number,))] == [(one.id, one.numbers) for one in found.marks.mistakes]


def test_deleting_the_record_deletes_the_sittings(tmp_path, hands):
    """Whoever deletes all answers deletes the mock exams with them."""
    progress = Progress.open(tmp_path / "mine.sqlite3")
    sittings = Sittings.open(tmp_path / "mine-sittings.sqlite3", hands.clock())
    sittings.begin(QUIZ, BANK)
    assert (sittings.path,) == progress.delete()
    assert sittings.latest() is None
