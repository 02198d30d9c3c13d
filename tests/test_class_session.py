"""A learner's session in a class server: the lessons in the home folder, what JupyterLab is told (hpteach/class_session.py)."""

import json

import pytest

from hpteach.class_session import DESK, INSTRUCTOR, SET_ASIDE, SHIPPED, lay_lessons, session_options
from hpteach.errors import DataError
from hpteach.panels.desk import SWITCH
from hpteach.serving import FIRST_LESSON, lab_command, lab_options


@pytest.fixture
def shipped(tmp_path):
    """Two shipped lessons and an instructor's notebook."""
    folder = tmp_path / "shipped"
    (folder / INSTRUCTOR).mkdir(parents=True)
    for name in (FIRST_LESSON, "01-next.ipynb", f"{INSTRUCTOR}/01-desk.ipynb"):
        (folder / name).write_text(f"first version of {name}")
    return folder


def files(folder):
    return sorted(path.relative_to(folder).as_posix() for path in folder.rglob("*.ipynb"))


def test_lessons_are_laid_and_the_desk_for_instructors_only(shipped, tmp_path):
    """Lessons come as they are shipped; the instructor's notebooks come for an instructor alone."""
    assert [] == lay_lessons(shipped, tmp_path / "learner") == lay_lessons(shipped, tmp_path / "instructor", instructor=True)
    assert [FIRST_LESSON, "01-next.ipynb"] == files(tmp_path / "learner")
    assert files(shipped) == files(tmp_path / "instructor")
    assert (shipped / FIRST_LESSON).read_bytes() == (tmp_path / "learner" / FIRST_LESSON).read_bytes()


def test_a_changed_lesson_is_set_aside_each_time(shipped, tmp_path):
    """What a learner changed is moved beside the lessons with all its text, also twice in the same second, and the lesson is fresh."""
    home = tmp_path / "lessons"
    lay_lessons(shipped, home)
    for words in ("mine", "mine again"):
        (home / FIRST_LESSON).write_text(words)
        assert [FIRST_LESSON] == lay_lessons(shipped, home)
        assert (shipped / FIRST_LESSON).read_bytes() == (home / FIRST_LESSON).read_bytes()
    assert ["mine", "mine again"] == sorted(path.read_text() for path in (home / SET_ASIDE).iterdir())


def test_a_new_version_replaces_what_nobody_changed(shipped, tmp_path):
    """After an update a lesson that was left alone is the new one, with nothing set aside; a file of the learner's own and a deleted lesson are treated as one expects."""
    home = tmp_path / "lessons"
    lay_lessons(shipped, home)
    (home / "mine.ipynb").write_text("my own")
    (home / "01-next.ipynb").unlink()
    (shipped / FIRST_LESSON).write_text("second version")
    assert [] == lay_lessons(shipped, home)
    assert ("second version", "my own") == ((home / FIRST_LESSON).read_text(), (home / "mine.ipynb").read_text())
    assert [FIRST_LESSON, "01-next.ipynb", "mine.ipynb"] == files(home)


def test_what_is_no_lesson_is_set_aside_too(shipped, tmp_path):
    """A folder or a link to nowhere that has the name of a lesson is moved beside the lessons, and the session begins."""
    home = tmp_path / "lessons"
    (home / FIRST_LESSON).mkdir(parents=True)
    (home / FIRST_LESSON / "mine.txt").write_text("mine")
    (home / "01-next.ipynb").symlink_to(tmp_path / "nowhere")
    assert [FIRST_LESSON, "01-next.ipynb"] == lay_lessons(shipped, home)
    assert [(shipped / name).read_text() for name in (FIRST_LESSON, "01-next.ipynb")] == [(home / name).read_text() for name in (FIRST_LESSON, "01-next.ipynb")]
    assert ["mine"] == [path.read_text() for path in (home / SET_ASIDE).rglob("mine.txt")] and not (tmp_path / "nowhere").exists()


@pytest.mark.parametrize("damage", ["", "[]", "{", "null"])
def test_a_damaged_list_of_what_was_laid_loses_nothing(damage, shipped, tmp_path):
    """Where it is not known what was laid, an older lesson is set aside as if it had been changed."""
    home = tmp_path / "lessons"
    lay_lessons(shipped, home)
    (home / ".laid.json").write_text(damage)
    (shipped / FIRST_LESSON).write_text("second version")
    assert [FIRST_LESSON] == lay_lessons(shipped, home)
    assert [f"first version of {FIRST_LESSON}"] == [path.read_text() for path in (home / SET_ASIDE).iterdir()]


def test_missing_lessons_are_refused(tmp_path):
    """Without the lessons beside the library it is said how a class server is installed."""
    with pytest.raises(DataError, match="installed from a clone"):
        lay_lessons(tmp_path, tmp_path / "lessons")


def test_a_session_is_told_what_everybodys_jupyterlab_is_told(tmp_path):
    """A session's JupyterLab and the one on a learner's own machine share their options; both begin at the first lesson."""
    (tmp_path / FIRST_LESSON).write_text(json.dumps({}))
    assert set(lab_options(tmp_path)) <= set(lab_command(tmp_path))
    shared = lab_options(tmp_path / "lessons")
    assert [*shared, f"--ServerApp.default_url=/lab/tree/{FIRST_LESSON}"] == session_options(tmp_path)


def test_the_switch_of_the_desk_has_one_name():
    """The session and the panels look at the same variable, and the shipped lessons are where the session looks."""
    assert SWITCH == DESK
    assert (SHIPPED / INSTRUCTOR).is_dir()
