"""The command progress (hpteach/progress_options.py)."""

import csv
import io
import json

import pytest

from hpteach.assessment import Progress, attempt_of
from hpteach.cli import main
from hpteach.questions import check, deal, read_bank

QUESTION = "read-a-gauge"


def answers(*texts):
    """Answers to one question, as the record keeps them."""
    variant = deal(read_bank().question(QUESTION), 7)
    part = variant.parts[0]
    wrong = next(mistake for mistake in part.mistakes if mistake.id == "gauge_read_as_absolute")
    meant = {"right": f"{part.answer / 1e5:.4f} bar", "wrong": f"{wrong.value / 1e5:.4f} bar"}
    return [attempt_of(variant, part.id, meant[text], check(variant, meant[text], part.id)) for text in texts]


@pytest.fixture
def record(tmp_path, monkeypatch):
    """A record of one wrong and one right answer, which the environment names."""
    path = tmp_path / "mine" / "progress.sqlite3"
    monkeypatch.setenv("HPTEACH_PROGRESS", str(path))
    for one in answers("wrong", "right"):
        Progress.open(path).record(one)
    return path


def done(capsys, *argv):
    """The exit code and what stands on both streams."""
    code = main(["progress", *argv])
    return (code, *capsys.readouterr())


def test_it_tells_where_the_learner_stands(record, capsys):
    """Topics, the misunderstanding with its correction, the next question with its command, and where the record lies."""
    code, out, err = done(capsys)
    assert (0, "") == (code, err)
    (row,) = [line.split() for line in out.splitlines() if line.startswith("start ")]
    assert ["2", "1", "1", "50", "%", "1"] == row[-6:]
    assert "Gauge read as absolute (once, still open): A gauge counts from the pressure of the air around it." in out and "See lesson 00." in out
    assert f"2 answers in {record}. Nothing of it leaves this machine." in out
    (ask,) = [line for line in out.splitlines() if " ask --question " in line]
    assert 0 == main(ask.split("-m hpteach ")[1].split())


def test_it_tells_the_same_in_json(record, capsys):
    """Every figure and the next question stand in the JSON."""
    code, out, _ = done(capsys, "--json")
    found = json.loads(out)
    assert (0, True, str(record), 2, 1, 1) == (code, found["kept"], found["file"], found["answers"], found["right"], found["due"])
    (start,) = [topic for topic in found["topics"] if topic["topic"] == "start"]
    assert (1, 2, 1, 1, 0.5) == tuple(start[name] for name in ("tried", "answers", "right", "wrong", "share_right"))
    (mistake,) = found["misunderstandings"]
    assert ("gauge_read_as_absolute", 1, QUESTION, False) == tuple(mistake[name] for name in ("id", "times", "question", "put_right"))
    assert found["next"]["question"] in read_bank().questions and found["next"]["why"]


def test_without_a_record_it_tells_what_comes_first(tmp_path, monkeypatch, capsys):
    """Before any answer there is no table, but the first question and where the record will lie; no file is made."""
    monkeypatch.setenv("HPTEACH_PROGRESS", str(tmp_path / "mine.sqlite3"))
    code, out, _ = done(capsys)
    assert 0 == code and out.startswith("Next: ") and f"No answer yet in {tmp_path / 'mine.sqlite3'}" in out
    assert [] == list(tmp_path.iterdir())


def test_off_is_said(capsys):
    """With the record off it is said that nothing is kept."""
    code, out, _ = done(capsys)
    assert 0 == code and "Nothing is kept here, as HPTEACH_PROGRESS says off." in out
    assert (False, None) == tuple(json.loads(done(capsys, "--json")[1])[name] for name in ("kept", "file"))
    for argv, reason in ((("--export", "a.csv"), "HPTEACH_PROGRESS says off"), (("--delete", "--yes"), "nothing to delete")):
        code, out, err = done(capsys, *argv)
        assert (2, "") == (code, out) and reason in err


def test_answers_are_written_for_a_spreadsheet(record, tmp_path, capsys):
    """The CSV has every answer in order, and it is said where it is."""
    path = tmp_path / "answers.csv"
    assert (0, f"Written: {path} (2 answers)\n", "") == done(capsys, "--export", str(path))
    rows = list(csv.DictReader(io.StringIO(path.read_text("utf-8-sig"), newline="")))
    assert [("no", "gauge_read_as_absolute"), ("yes", "")] == [(row["correct"], row["mistake"]) for row in rows]
    assert {"file": str(path), "answers": 2} == json.loads(done(capsys, "--export", str(path), "--json")[1])


@pytest.mark.parametrize(
    ("argv", "reason"),
    [
        (["--export", "answers.xlsx"], "does not end in .csv: write it as answers.csv"),
        (["--export", "no-folder/answers.csv"], "cannot be written (No such file or directory): close it where it is open, or choose another place"),
        (["--yes"], "--yes goes with --delete"),
        (["--delete", "--export", "a.csv"], "--delete goes without --export"),
        (["--delete"], "add --yes if you mean it; --export FILE.csv keeps a copy"),
        (["--file", "no-file.sqlite3"], "is not a record of answers: name one, or leave the option out for your own"),
    ],
)
def test_what_cannot_be_done_is_refused(argv, reason, record, tmp_path, monkeypatch, capsys):
    """A refusal is one sentence on standard error, and the record stays."""
    monkeypatch.chdir(tmp_path)
    code, out, err = done(capsys, *argv)
    assert (2, "", 1) == (code, out, len(err.splitlines())) and reason in err
    assert 2 == len(Progress.open(record).attempts())


def test_a_file_that_is_no_record_is_not_renamed(record, tmp_path, capsys):
    """A mistyped --file is refused; a file of another kind keeps its name."""
    other = tmp_path / "thesis.txt"
    other.write_text("my thesis " * 500)
    code, _, err = done(capsys, "--file", str(other))
    assert (2, True) == (code, "is not a record of answers" in err)
    assert [other.name, "mine"] == sorted(one.name for one in tmp_path.iterdir())[::-1]


def test_another_record_can_be_looked_at(record, tmp_path, monkeypatch, capsys):
    """A copy is read in place of the own record."""
    copy = tmp_path / "copy.sqlite3"
    copy.write_bytes(record.read_bytes())
    Progress.open(copy).record(answers("right")[0])
    assert (3, 2) == tuple(json.loads(done(capsys, *more, "--json")[1])["answers"] for more in (("--file", str(copy)), ()))


def test_deleting_says_what_was_deleted(record, capsys):
    """With --yes the file goes at once and is named; a second time there is nothing."""
    assert (0, f"Deleted: {record}\n", "") == done(capsys, "--delete", "--yes")
    assert not record.exists()
    assert (0, f"There was nothing to delete at {record}.\n", "") == done(capsys, "--delete", "--yes")
    assert {"deleted": []} == json.loads(done(capsys, "--delete", "--yes", "--json")[1])


class Terminal(io.StringIO):
    """Somebody at a terminal who types one line."""

    def isatty(self):
        return True


@pytest.mark.parametrize(("typed", "there"), [("yes\n", False), (" YES \n", False), ("y\n", True), ("\n", True), ("", True)])
def test_a_person_is_asked_before_deleting(typed, there, record, monkeypatch, capsys):
    """At a terminal only the word yes deletes."""
    monkeypatch.setattr("sys.stdin", Terminal(typed))
    code, _, err = done(capsys, "--delete")
    assert (there, 2 if there else 0) == (record.exists(), code)
    assert "Type yes to go on." in err


@pytest.mark.parametrize("argv", [(), ("--json",), ("--export", "answers.csv")])
def test_a_damaged_record_is_remarked(argv, record, tmp_path, monkeypatch, capsys):
    """A damaged file is set aside, which is said on standard error; the figures are those of a new record."""
    monkeypatch.chdir(tmp_path)
    record.write_bytes(b"no record" * 900)
    code, _, err = done(capsys, *argv)
    assert (0 if argv[:1] != ("--export",) else 2) == code
    assert argv[:1] == ("--export",) or "It was set aside as progress.sqlite3.damaged-" in err


def test_a_record_that_cannot_be_read_is_refused(tmp_path, monkeypatch, capsys):
    """What is no file in the record's place is refused in a sentence, with the exit code of bad input."""
    monkeypatch.setenv("HPTEACH_PROGRESS", str(tmp_path))
    code, out, err = done(capsys)
    assert (2, "") == (code, out) and f"{tmp_path} is not a file: name one with HPTEACH_PROGRESS" in err
