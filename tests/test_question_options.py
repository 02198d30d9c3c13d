"""The commands ask, check and bank: their keys, exit codes and refusals."""

import json
import os
import shlex
import signal
import subprocess
import sys
from pathlib import Path

import pytest

import hpteach
from hpteach.question_options import lessons_of_the_course
from hpteach.questions import deal, read_bank
from hpteach.questions.law_topics import law_topics
from tests.command_line import ran, shown

ROOT = Path(hpteach.__file__).resolve().parents[1]
SOUND = (ROOT / "exercises" / "start" / "read-a-gauge.toml").read_text(encoding="utf-8")
# Its second mistake is no mistake, so it can never be told from the answer: readable, but the proof fails.
UNSOUND = SOUND.replace('value = "reading - atmosphere"', 'value = "reading + atmosphere"')


def written(folder, name, text):
    """A question file in a folder `start`, quoted for a command line."""
    (folder / "start").mkdir(exist_ok=True)
    file = folder / "start" / name
    file.write_text(text, encoding="utf-8")
    return shlex.quote(str(file))


def test_ask_lists_the_questions(capsys):
    """Without --question every question of the bank is listed."""
    ids = list(read_bank().questions)
    assert ids == [one["id"] for one in shown("ask", capsys)["questions"]]
    assert ids == [line.split()[0] for line in ran("ask", capsys)[1].splitlines()[3:]]


@pytest.mark.parametrize("question", ["cooling-cop", "predict-which-coil", "read-a-gauge"])
def test_ask_has_the_promised_keys(question, capsys):
    """A dealt question is complete without its answers; the key adds them."""
    asked, keyed = (shown(f"ask --question {question} --seed 7{key}", capsys) for key in ("", " --key"))
    assert {"id", "seed", "topic", "title", "text", "parts", "tables", "chart"} == set(asked) == set(keyed)
    for part, with_key in zip(asked["parts"], keyed["parts"], strict=True):
        assert {"id", "kind", "text", "quantity", "unit", "choices", "may_be_none", "table", "row", "column", "read_from"} == set(part)
        assert {"answer", "answer_unit", "accepts", "mistakes", "hints", "solution"} == set(with_key) - set(part)
        assert all({"id", "value", "correction"} <= set(one) for one in with_key["mistakes"])
        if with_key["kind"] == "number":
            assert with_key["accepts"][0] < with_key["answer"] < with_key["accepts"][1]


@pytest.mark.parametrize("system", ["SI", "IP"])
def test_ask_and_check_deal_the_same_figures(system, capsys):
    """The right answer of the asked variant is right when it is checked, and a foreseen mistake is recognised."""
    part = deal(read_bank().question("cooling-cop"), 11, system).part("cop")
    assert part.text in ran(f"ask --question cooling-cop --seed 11 --units {system}", capsys)[1]
    line = f"check --question cooling-cop --seed 11 --units {system} --part cop --answer"
    assert {"readable": True, "correct": True, "mistake": None, "notes": []} == shown(f"{line} {part.answer:.2f}", capsys)
    wrong = part.mistakes[0]
    found = shown(f"{line} {wrong.value:.4f}", capsys)
    assert (False, wrong.id, [{"id": wrong.id, "sentence": wrong.correction}]) == (found["correct"], found["mistake"], found["notes"])


@pytest.mark.parametrize(
    ("answer", "readable", "correct"), [("no idea", False, None), ("-5", True, False), ("-5 kJ/kg", True, False), ("", False, None)]
)
def test_check_ends_well_whatever_is_answered(answer, readable, correct, capsys):
    """A wrong answer, also a negative one, and one that nobody can read are no error of the command."""
    found = shown(f"check --question cooling-cop --seed 7 --part cop --answer {shlex.quote(answer)}", capsys)
    assert (readable, correct) == (found["readable"], found["correct"])


def test_key_is_shown_for_people(capsys):
    """The key shows the answer in the reader's units, the worked solution and each foreseen mistake."""
    for part in deal(read_bank().question("read-a-gauge"), 7, "IP").parts:
        out = ran("ask --question read-a-gauge --seed 7 --key --units IP", capsys)[1]
        assert [] == [word for word in (part.solution, *(mistake.id for mistake in part.mistakes)) if word not in out]


# The bank -----------------------------------------------------------------------------------


def test_bank_proves_a_sound_question(tmp_path, capsys):
    """A bank that holds is counted and ends with 0."""
    written(tmp_path, "sound.toml", SOUND)
    found = shown(f"bank --folder {shlex.quote(str(tmp_path))}", capsys)
    assert (1, 40, []) == (found["questions"], found["variants"], found["failures"])
    assert {"questions", "variants", "mistakes", "failures", "sums", "unread"} == set(found)


@pytest.mark.parametrize(("text", "words"), [(UNSOUND, "air_pressure_subtracted"), ("title = 5", "title")])
def test_bank_reports_what_does_not_hold(text, words, tmp_path, capsys):
    """A bank that cannot be read or does not hold is a check that failed: exit 1, with every failure named."""
    file = written(tmp_path, "poor.toml", text)
    for line in (f"bank --folder {shlex.quote(str(tmp_path))}", f"bank {file}"):
        for form in ("", " --json"):
            code, out, err = ran(line + form, capsys)
            assert (1, "", True) == (code, err, words in out)


def test_bank_proves_named_files_and_ids_only(tmp_path, capsys):
    """A file is proved wherever it lies, a question of the bank by its id, and nothing else beside them; options may stand between."""
    sound, poor = written(tmp_path, "sound.toml", SOUND), written(tmp_path, "poor.toml", UNSOUND)
    assert (1, 40) == tuple(shown(f"bank {sound}", capsys)[key] for key in ("questions", "variants"))
    assert (2, 80) == tuple(shown(f"bank {sound} predict-gauge", capsys)[key] for key in ("questions", "variants"))
    code, out, _ = ran(f"bank predict-gauge --json {poor}", capsys)
    assert (1, 2, True) == (code, json.loads(out)["questions"], all("poor" in failure for failure in json.loads(out)["failures"]))


@pytest.mark.parametrize(
    ("named", "words"),
    [
        ("nowhere/mine.toml", "'nowhere/mine.toml' is not a file: name question files as TOPIC/ID.toml"),
        ("cooling-cops", "FILE: question 'cooling-cops' is not known; did you mean cooling-cop"),
        ("predict-gauge --seeds 3", "bank: option '--seeds' is not known"),
        ("--folder nowhere", "--folder 'nowhere' is not a folder"),
    ],
)
def test_bank_refuses_what_is_not_there(named, words, capsys):
    """A file, an id, an option or a folder that is not there is bad input: exit 2 and one sentence."""
    code, out, err = ran(f"bank {named}", capsys)
    assert (2, "", True, 1) == (code, out, words in err, err.count("\n"))


def test_bank_says_how_far_it_is(monkeypatch, capsys):
    """While the proof lasts, remarks on standard error say how far it is, and what is printed stays clean."""
    monkeypatch.setattr("hpteach.question_options._SILENT", 0.0)
    monkeypatch.setattr("hpteach.question_options._BETWEEN", 0.0)
    code, out, err = ran("bank predict-gauge read-a-gauge --json", capsys)
    assert (0, 2, "Proving: 1 of 2 questions.\n") == (code, json.loads(out)["questions"], err)


def test_coverage_says_who_practises_what(tmp_path, capsys):
    """With --coverage the topics of the law and the lessons are listed with their questions, and what no question practises."""
    sound = written(tmp_path, "sound.toml", SOUND)
    found = shown(f"bank {sound} --coverage", capsys)["coverage"]
    topics = {row["code"]: row for row in found["topics"]}
    assert set(law_topics()) == set(topics)
    assert {"code", "topic", "known", "theory", "questions"} == set(topics["EU 2024/2215 Annex I 1.01"])
    assert ["sound"] == topics["EU 2024/2215 Annex I 1.01"]["questions"] and "EU 2024/2215 Annex I 1.02" in found["missing_topics"]
    assert {"00": ["sound"], "exam": []} == {row["lesson"]: row["questions"] for row in found["lessons"]}
    out = ran(f"bank {sound} --coverage", capsys)[1]
    assert "No question yet for: EU 2024/2215 Annex I 1.00" in out and "a skill of the hand" in out


def test_lessons_are_those_of_the_notebooks():
    """The lessons of the course are counted from its notebooks, 00 to 15; the mock exam teaches nothing of its own."""
    assert tuple(f"{number:02}" for number in range(16)) == lessons_of_the_course()


@pytest.mark.parametrize("ending", ["svg", "png", "pdf"])
def test_ask_writes_the_chart_that_is_read(ending, tmp_path, capsys):
    """The chart of the question goes into the file, whose name is told; the figures are those of the seed."""
    file = tmp_path / f"chart.{ending}"
    code, out, err = ran(f"ask --question read-four-enthalpies --seed 7 --chart {shlex.quote(str(file))}", capsys)
    assert (0, "", f"Written: {file}") == (code, err, out.splitlines()[-1])
    first = file.read_bytes()
    assert str(file) == shown(f"ask --question read-four-enthalpies --seed 7 --chart {shlex.quote(str(file))}", capsys)["file"]
    assert first == file.read_bytes()
    ran(f"ask --question read-four-enthalpies --seed 8 --chart {shlex.quote(str(file))}", capsys)
    assert first != file.read_bytes()


def test_the_key_writes_the_picture_of_the_solution(tmp_path, capsys):
    """With --key the cycle is drawn with all its points, also of a question that is answered without a chart."""
    file = tmp_path / "solution.svg"
    assert 0 == ran(f"ask --question cooling-cop --key --units IP --chart {shlex.quote(str(file))}", capsys)[0]
    assert b"<svg" in file.read_bytes() and len(file.read_bytes()) > 20_000


@pytest.mark.parametrize(
    ("options", "said"),
    [
        ("--chart chart.svg", "--chart goes with one question"),
        ("--question cooling-cop --chart chart.svg", "--chart chart.svg: question cooling-cop is answered without a chart"),
        ("--question read-a-gauge --key --chart chart.svg", "there is nothing to draw of the solution of read-a-gauge"),
        ("--question read-four-enthalpies --chart chart.bmp", "'chart.bmp' has no known ending"),
        ("--question read-four-enthalpies --chart nowhere/chart.svg", "cannot be written"),
    ],
)  # fmt: skip
def test_a_chart_that_cannot_be_written_is_refused(options, said, tmp_path, monkeypatch, capsys):
    """The sentence names the option and what to do; nothing is written."""
    monkeypatch.chdir(tmp_path)
    code, out, err = ran(f"ask {options}", capsys)
    assert (2, "") == (code, out) and said in err
    assert [] == list(tmp_path.iterdir())


def answers_interrupts():
    """A shell starts what runs in the background deaf to Ctrl-C; a terminal does not."""
    signal.signal(signal.SIGINT, signal.SIG_DFL)


@pytest.mark.skipif(os.name != "posix", reason="another system has other signals")
def test_interrupted_proof_ends_at_once_and_quietly():
    """Ctrl-C in the terminal ends the proof and the processes that share it, with one sentence and no traceback."""
    command = [sys.executable, "-m", "hpteach", "bank"]
    with subprocess.Popen(command, cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, start_new_session=True, preexec_fn=answers_interrupts) as proof:
        first = proof.stderr.readline()
        os.killpg(proof.pid, signal.SIGINT)
        out, err = proof.communicate(timeout=300)
    assert (130, "", True) == (proof.returncode, out, first.startswith("Proving: "))
    assert "Interrupted." == err.splitlines()[-1] and set() == {line for line in err.splitlines()[:-1] if not line.startswith("Proving: ")}
