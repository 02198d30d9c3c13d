"""The learner's record (hpteach/assessment/progress.py): where it lies, what it keeps, and that it can be off."""

import os
import subprocess
import sys
import threading
from pathlib import Path

import pytest

from hpteach.assessment import Attempt, Progress
from hpteach.assessment.progress import SETTING, usual_path
from hpteach.errors import ProgressError


def attempt(text="8 bar", **other):
    """An answer."""
    return Attempt("read-a-gauge", 1, "start", "00", 7, "SI", "absolute", text, False, at="2026-05-04T12:00:00.000Z", **other)


@pytest.fixture
def progress(tmp_path):
    return Progress.open(tmp_path / "progress.sqlite3")


def test_no_test_touches_a_record():
    """While tests run, here and in what they start, nothing is kept unless a file is named."""
    assert "off" == os.environ[SETTING]
    assert not Progress.open().kept
    code = "from hpteach.assessment import Progress; print(Progress.open().kept)"
    assert "False\n" == subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout


def test_answers_come_back(progress):
    """What is kept comes back equal and in its order, also to another notebook."""
    answers = (attempt("8 bar", mistake="gauge_read_as_absolute"), attempt("9,0 bar", hints=2, solution_seen=True), attempt("\N{THIN SPACE}−5 °C"))
    for one in answers:
        progress.record(one)
    assert answers == progress.attempts() == Progress.open(progress.path).attempts()
    assert progress.kept and "" == progress.notice


def test_half_a_letter_does_no_harm(progress):
    """A text that no file can hold as it is, is kept with a mark in the place of what it cannot hold."""
    progress.record(attempt("a\ud800b\0c"))
    assert ["a?b\0c"] == [one.text for one in progress.attempts()]


@pytest.mark.parametrize("setting", ["off", " OFF ", "Off"])
def test_the_record_can_be_off(setting, monkeypatch, tmp_path):
    """With HPTEACH_PROGRESS off nothing reaches the disk, but what is answered is known as long as the record is held."""
    monkeypatch.setenv(SETTING, setting)
    monkeypatch.chdir(tmp_path)
    progress = Progress.open()
    progress.record(attempt())
    assert (False, None, "", (attempt(),), ()) == (progress.kept, progress.path, progress.notice, progress.attempts(), Progress.open().attempts())
    assert [] == list(tmp_path.iterdir())
    assert () == progress.delete() and () == progress.attempts()


def test_the_setting_names_a_file(monkeypatch, tmp_path):
    """HPTEACH_PROGRESS names the file, ~ in it is the user's home, and a path that is given goes before it."""
    monkeypatch.setenv(SETTING, str(tmp_path / "mine.sqlite3"))
    assert tmp_path / "mine.sqlite3" == Progress.open().path
    assert tmp_path / "other" == Progress.open(tmp_path / "other").path
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.setenv("USERPROFILE", str(tmp_path))
    monkeypatch.setenv(SETTING, "~/record")
    assert tmp_path / "record" == Progress.open().path


@pytest.mark.parametrize("setting", [None, "", "  "])
def test_the_usual_place_is_the_users_own_folder(setting, monkeypatch):
    """Without a setting the record lies in the user's data folder; opening makes nothing there."""
    monkeypatch.delenv(SETTING) if setting is None else monkeypatch.setenv(SETTING, setting)
    before = usual_path().exists()
    assert (Path(os.path.realpath(usual_path())), "hpteach") == (Progress.open().path, usual_path().parent.name)
    assert before == usual_path().exists()


def test_opening_touches_no_disk(tmp_path):
    """A file is made with the first answer, not before."""
    progress = Progress.open(tmp_path / "folder" / "progress.sqlite3")
    assert () == progress.attempts() and [] == list(tmp_path.iterdir())
    progress.record(attempt())
    assert progress.path.is_file()


def test_one_record_serves_many_threads(progress):
    """Callbacks on several threads may use one record: nothing is lost, nothing is refused."""
    for held in (progress, Progress.off()):
        threads = [threading.Thread(target=lambda: [held.record(attempt()) for _ in range(10)]) for _ in range(6)]
        for one in threads:
            one.start()
        for one in threads:
            one.join()
        assert 60 == len(held.attempts())


def test_a_damaged_file_is_told(progress):
    """A damaged file is set aside, and the notice says so in words for the status line."""
    progress.path.write_bytes(b"no record" * 500)
    assert () == progress.attempts()
    assert "was damaged, or not a record of hpteach. It was set aside as progress.sqlite3.damaged-" in progress.notice


def test_the_record_is_exported(progress, tmp_path):
    """A file of all answers is written where it was asked for."""
    progress.record(attempt("-5 °C"))
    path = progress.export(tmp_path / "answers.csv")
    assert tmp_path / "answers.csv" == path and "'-5 °C" in path.read_text("utf-8-sig")


def test_an_empty_record_is_not_exported(progress, tmp_path):
    """Where nothing was answered, or nothing is kept, there is no file to write, and it is said why."""
    with pytest.raises(ProgressError, match="answer a question first"):
        progress.export(tmp_path / "answers.csv")
    with pytest.raises(ProgressError, match="HPTEACH_PROGRESS says off"):
        Progress.off().export(tmp_path / "answers.csv")
    assert [] == list(tmp_path.iterdir())


def test_the_record_is_not_exported_over_itself(progress):
    """The record itself is refused as the place of the export, and stays."""
    progress.record(attempt())
    with pytest.raises(ProgressError, match="is the record itself: name another file"):
        progress.export(progress.path)
    assert (attempt(),) == progress.attempts()


def test_the_record_is_deleted(progress):
    """After deleting there is no file and no answer, and a new answer begins a new record."""
    progress.record(attempt())
    assert (progress.path,) == progress.delete()
    assert not progress.path.exists() and () == progress.attempts() == progress.delete()
    progress.record(attempt("again"))
    assert ["again"] == [one.text for one in progress.attempts()]


def test_a_record_that_cannot_be_used_is_an_error_of_ours(tmp_path):
    """Whatever is wrong with the place, using the record raises a ProgressError that names the file; opening never does."""
    progress = Progress.open(tmp_path)
    for use in (progress.attempts, lambda: progress.record(attempt())):
        with pytest.raises(ProgressError, match=tmp_path.name):
            use()


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system has no named pipes")
def test_a_pipe_is_no_record(tmp_path):
    """What is no ordinary file is neither opened nor set aside nor deleted."""
    pipe = tmp_path / "progress.sqlite3"
    os.mkfifo(pipe)
    progress = Progress.open(pipe)
    for use in (progress.attempts, lambda: progress.record(attempt()), progress.delete):
        with pytest.raises(ProgressError, match="progress.sqlite3 is not a file"):
            use()
    assert pipe.is_fifo() and [pipe] == list(tmp_path.iterdir())
