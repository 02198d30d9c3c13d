"""The commands papers, mark, blueprints and hand-in (hpteach/desk_options.py)."""

import json
import shlex
import shutil
from datetime import UTC, datetime
from pathlib import Path

import pytest

from hpteach.assessment.hand_in import write_hand_in
from hpteach.assessment.hand_in_keys import hand_in_key
from hpteach.assessment.manifest import read_manifest
from hpteach.assessment.secret import new_secret, read_secret
from hpteach.assessment.tabular import read_sheet, write_sheet
from hpteach.cli import main
from hpteach.desk_options import progress

QUIZ = "lesson-03"
TOO_LONG = 5000 * "a"
"""A name that no system of files takes."""


def ran(capsys, *argv):
    """(exit code, standard output, standard error) of a command; papers are dealt without the pictures of the key, which take their time."""
    code = main([*map(str, argv), *(["--no-charts"] if argv[0] == "papers" else [])])
    told = capsys.readouterr()
    return code, told.out, told.err


def refused(capsys, *argv):
    """The one sentence with which a command is refused."""
    code, out, err = ran(capsys, *argv)
    assert (2, "", 1) == (code, out, len(err.strip().splitlines())), err
    return err.strip()


@pytest.fixture(scope="module")
def desk(tmp_path_factory):
    """A folder with a roster, papers dealt to it, and the secret."""
    place = tmp_path_factory.mktemp("desk")
    (place / "class.csv").write_text("id,name,group,units\n7,Ada <b>Fernhill</b> (invented),A,SI\n8,=1+1,A,IP\n9,عمر,B,\n", encoding="utf-8")
    new_secret(place / "secret.txt")
    assert 0 == main(["papers", "--roster", f"{place}/class.csv", "--blueprint", QUIZ, "--out", f"{place}/papers", "--seed-secret", f"{place}/secret.txt", "--no-charts"])
    return place


def papers_of(desk):
    return read_manifest(desk / "papers" / "papers.json", read_secret(desk / "secret.txt"))


# papers -------------------------------------------------------------------------------


def test_papers_has_the_promised_keys(tmp_path, capsys):
    """JSON tells how many forms were dealt and which files were written; a secret that is not there is made, and told."""
    code, out, err = ran(capsys, "papers", "--roster", "demo", "--blueprint", QUIZ, "--out", tmp_path / "papers", "--seed-secret", tmp_path / "secret.txt", "--json")
    found = json.loads(out)
    assert (0, 24, True) == (code, found["forms"], "A new secret was made" in err)
    assert [] == [name for name in found["files"] if not (tmp_path / "papers" / name).exists() and not Path(name).exists()]
    assert (tmp_path / "secret.txt").stat().st_mode & 0o077 == 0


def test_same_secret_deals_the_same_papers(desk, tmp_path, capsys):
    """The same roster, blueprint and secret give the same files, byte by byte."""
    assert 0 == ran(capsys, "papers", "--roster", desk / "class.csv", "--blueprint", QUIZ, "--out", tmp_path / "again", "--seed-secret", desk / "secret.txt")[0]
    for path in (desk / "papers").rglob("*.*"):
        assert path.read_bytes() == (tmp_path / "again" / path.relative_to(desk / "papers")).read_bytes(), path.name


def test_papers_never_overwrite_papers(desk, capsys):
    """A folder with papers in it keeps its key and manifest."""
    before = (desk / "papers" / "papers.json").read_bytes()
    said = refused(capsys, "papers", "--roster", desk / "class.csv", "--blueprint", QUIZ, "--out", desk / "papers", "--seed-secret", desk / "secret.txt")
    assert ("papers are there already" in said, before) == (True, (desk / "papers" / "papers.json").read_bytes())


@pytest.mark.parametrize(("name", "words"), [("notes.txt", "other things are there already (notes.txt)"), (".hidden", ""), ("Thumbs.db", "")])
def test_papers_want_a_folder_of_their_own(name, words, desk, tmp_path, capsys):
    """A folder with other things in it is refused, but for what a file manager leaves."""
    (tmp_path / name).write_text("x", encoding="utf-8")
    line = ("papers", "--roster", desk / "class.csv", "--blueprint", QUIZ, "--out", tmp_path, "--seed-secret", desk / "secret.txt")
    if words:
        assert words in refused(capsys, *line)
    else:
        assert 0 == ran(capsys, *line)[0]


ROSTERS = [
    (b"id,name\n7,Ada\n7 ,Ben\n", "lines 2 and 3: both have the id"),
    (b"id,name\n", "holds headings and no learner"),
    (b"", "is empty"),
    (b"name\nAda\n", "there is no column 'id'"),
    (b"id,name\n,Ada\n", "line 2: there is no id"),
    (b"id\n7\x00\n", "NUL byte"),
    (b"PK\x03\x04", "not CSV"),
]


@pytest.mark.parametrize(("data", "words"), ROSTERS, ids=[words for _, words in ROSTERS])
def test_bad_roster_is_refused(data, words, tmp_path, capsys):
    """A roster that cannot be dealt to is refused in one sentence that names the option, the line and what to do; nothing is written."""
    (tmp_path / "class.csv").write_bytes(data)
    said = refused(capsys, "papers", "--roster", tmp_path / "class.csv", "--blueprint", QUIZ, "--out", tmp_path / "papers", "--seed-secret", tmp_path / "secret.txt")
    assert (True, True, ["class.csv"]) == (said.startswith("--roster"), words in said, [path.name for path in tmp_path.iterdir()])


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "cp1252"])
@pytest.mark.parametrize("mark", [",", ";", "\t"])
def test_roster_of_any_spreadsheet_is_read(encoding, mark, tmp_path, capsys):
    """UTF-8, UTF-16 and Windows-1252, with commas, semicolons or tabs: the name stands on the paper as it was typed."""
    (tmp_path / "class.csv").write_bytes(f"id{mark}name\r\n7{mark}Zoë Fernhill (invented)\r\n".encode(encoding))
    code, _, err = ran(capsys, "papers", "--roster", tmp_path / "class.csv", "--blueprint", QUIZ, "--out", tmp_path / "papers", "--seed-secret", tmp_path / "secret.txt")
    assert (0, encoding == "cp1252") == (code, "was read as Windows-1252" in err)
    assert "Zoë Fernhill (invented)" == read_manifest(tmp_path / "papers" / "papers.json", None).forms[0].learner.name


@pytest.mark.parametrize(
    ("options", "words"),
    [
        ({"--roster": "nowhere.csv"}, "--roster: nowhere.csv: cannot be read"),
        ({"--blueprint": "end-of-curse"}, "did you mean end-of-course"),
        ({"--blueprint": "nowhere.toml"}, "nowhere.toml: cannot be read"),
        ({"--paper": "A5"}, "--paper: size 'A5' is not known"),
        ({"--seed-secret": "nowhere/secret.txt"}, "choose another place for the secret"),
        ({"--difficulties": "nowhere.csv"}, "--difficulties: nowhere.csv: cannot be read"),
        ({"--out": "class.csv"}, "is a file: name a folder"),
        ({"--out": ""}, "--out: no folder is named"),
        *(({option: TOO_LONG}, "File name too long") for option in ("--roster", "--seed-secret", "--difficulties", "--out")),
    ],
)
def test_bad_option_of_papers_is_refused(options, words, desk, monkeypatch, capsys):
    """Each option is refused in one sentence that names it and says what to change; nothing is written."""
    monkeypatch.chdir(desk)
    given = {"--roster": "class.csv", "--blueprint": QUIZ, "--out": "other", "--seed-secret": "secret.txt", **options}
    assert words in refused(capsys, "papers", *(text for option in given.items() for text in option))
    assert not (desk / "other").exists()


def test_blueprint_that_the_bank_cannot_fill_is_refused(desk, tmp_path, capsys):
    """The refusal names the section, what is missing, and what to do."""
    text = 'title = "Too much"\nedition = 1\npurpose = "x"\nminutes = 10\npass_mark = 60\npass_mark_why = "x"\nunits = "SI"\ntable = "open"\nnot_covered = ["x"]\n'
    (tmp_path / "mine.toml").write_text(text + '[[sections]]\ntitle = "Claims"\nquestions = 150\ntopics = ["claims"]\n', encoding="utf-8")
    said = refused(capsys, "papers", "--roster", desk / "class.csv", "--blueprint", tmp_path / "mine.toml", "--out", tmp_path / "papers", "--seed-secret", desk / "secret.txt")
    assert (True, True, False) == (said.startswith("--blueprint"), "Claims" in said, (tmp_path / "papers").exists())


def test_difficulties_of_an_earlier_class_are_taken(desk, tmp_path, capsys):
    """questions.csv of an earlier class goes into the next papers; what it says of other questions is told."""
    write_sheet(tmp_path / "questions.csv", ("question", "version", "answered", "difficulty"), [("gone", 1, 20, 0.5)])
    line = ("papers", "--roster", desk / "class.csv", "--blueprint", QUIZ, "--seed-secret", desk / "secret.txt", "--difficulties", tmp_path / "questions.csv")
    code, _, err = ran(capsys, *line, "--out", tmp_path / "papers")
    assert (0, True) == (code, "the bank has no question 'gone'" in err)


# mark ---------------------------------------------------------------------------------


def filled(desk, tmp_path, text="A"):
    """The answer sheet of the papers, with one text in every cell."""
    sheet = read_sheet(desk / "papers" / "answers.csv")
    return write_sheet(tmp_path / "filled.csv", sheet.headings, [(*row.cells[:-1], text) for row in sheet.rows])


def test_mark_has_the_promised_keys(desk, tmp_path, capsys):
    """JSON tells learners, questions and mistakes, what was not marked, and the files."""
    code, out, err = ran(capsys, "mark", "--papers", desk / "papers", "--answers", filled(desk, tmp_path), "--seed-secret", desk / "secret.txt", "--out", tmp_path / "marks", "--json")
    found = json.loads(out)
    assert (0, 3, True) == (code, len(found["learners"]), {"learners", "questions", "mistakes", "not_marked", "rows", "class", "files"} <= set(found))
    assert [] == [name for name in found["files"] if not (tmp_path / "marks" / name).exists()]
    assert "signature" not in err


def test_mark_works_without_the_secret(desk, tmp_path, capsys):
    """Without the secret the marks are the same, and a remark says that the signature was not checked."""
    answers = filled(desk, tmp_path)
    assert 0 == ran(capsys, "mark", "--papers", desk / "papers", "--answers", answers, "--seed-secret", desk / "secret.txt", "--out", tmp_path / "one")[0]
    code, _, err = ran(capsys, "mark", "--papers", desk / "papers", "--answers", answers, "--out", tmp_path / "two")
    assert (0, True) == (code, "The signature of papers.json was not checked" in err)
    for path in (tmp_path / "one").rglob("*.*"):
        assert path.read_bytes() == (tmp_path / "two" / path.relative_to(tmp_path / "one")).read_bytes()


def test_changed_manifest_is_told(desk, tmp_path, capsys):
    """With the secret a manifest that somebody changed is refused."""
    shutil.copytree(desk / "papers", tmp_path / "papers")
    manifest = tmp_path / "papers" / "papers.json"
    manifest.write_text(manifest.read_text(encoding="utf-8").replace('"id": "7"', '"id": "77"'), encoding="utf-8")
    said = refused(capsys, "mark", "--papers", tmp_path / "papers", "--answers", filled(desk, tmp_path), "--seed-secret", desk / "secret.txt", "--out", tmp_path / "marks")
    assert (True, False) == ("its signature does not fit" in said, (tmp_path / "marks").exists())


def test_answers_of_another_class_are_all_listed(desk, tmp_path, capsys):
    """Answers to other papers are listed row by row, and everybody here is absent."""
    assert 0 == ran(capsys, "papers", "--roster", desk / "class.csv", "--blueprint", QUIZ, "--out", tmp_path / "other", "--seed-secret", tmp_path / "other.txt")[0]
    sheet = read_sheet(tmp_path / "other" / "answers.csv")
    answers = write_sheet(tmp_path / "filled.csv", sheet.headings, [(*row.cells[:-1], "A") for row in sheet.rows])
    code, out, err = ran(capsys, "mark", "--papers", desk / "papers", "--answers", answers, "--out", tmp_path / "marks", "--json")
    found = json.loads(out)
    assert (0, len(sheet.rows), 3, {"unknown form"}) == (code, found["rows"]["listed"], found["class"]["absent"], {one["reason"] for one in found["not_marked"]})
    assert f"{len(sheet.rows)} rows or files were not marked" in err


def test_marking_again_takes_the_place_of_before(desk, tmp_path, capsys):
    """The same folder may be marked into again, which is told; a sheet for somebody who is absent now is taken away."""
    form = papers_of(desk).forms[0]
    line = ("mark", "--papers", desk / "papers", "--out", tmp_path / "marks", "--answers")
    assert 0 == ran(capsys, *line, filled(desk, tmp_path))[0]
    sheet = read_sheet(tmp_path / "filled.csv")
    fewer = write_sheet(tmp_path / "fewer.csv", sheet.headings, [row.cells for row in sheet.rows if row.cells[2] != form.code])
    code, _, err = ran(capsys, *line, fewer)
    assert (0, True, False) == (code, f"taken away, as nobody is marked on them now: feedback/{form.code}.html" in err, (tmp_path / "marks" / "feedback" / f"{form.code}.html").exists())


def test_mark_writes_over_nothing_else(desk, tmp_path, capsys):
    """A folder with other things in it is refused."""
    (tmp_path / "marks").mkdir()
    (tmp_path / "marks" / "notes.txt").write_text("x", encoding="utf-8")
    assert "other things are there already (notes.txt)" in refused(capsys, "mark", "--papers", desk / "papers", "--answers", filled(desk, tmp_path), "--out", tmp_path / "marks")
    assert "other things are there already" in refused(capsys, "mark", "--papers", desk / "papers", "--answers", filled(desk, tmp_path), "--out", desk / "papers")


@pytest.mark.parametrize(
    ("options", "words"),
    [
        ([], "mark needs answers: add --answers FILE.csv, or --hand-in FOLDER"),
        (["--answers", "nowhere.csv"], "--answers: nowhere.csv: cannot be read"),
        (["--answers", "class.csv"], "there is no column 'form'"),
        (["--answers", "demo"], "these papers were not dealt to the invented class"),
        (["--hand-in", "papers"], "--hand-in needs --seed-secret FILE"),
        (["--hand-in", "nowhere", "--seed-secret", "secret.txt"], "--hand-in 'nowhere' is not there"),
        (["--answers", "class.csv", "--seed-secret", "nowhere.txt"], "if it is lost, leave --seed-secret out: the answer sheet can be marked without it"),
        (["--answers", "class.csv", "--papers", "nowhere"], "--papers: 'nowhere' is no folder"),
        (["--answers", "class.csv", "--papers", "."], "--papers: papers.json: cannot be read"),
        (["--answers", TOO_LONG], "File name too long"),
        (["--answers", "class.csv", "--papers", TOO_LONG], "is no folder"),
        (["--answers", "class.csv", "--seed-secret", TOO_LONG], "File name too long"),
        (["--hand-in", TOO_LONG, "--seed-secret", "secret.txt"], "is not there: name a file"),
    ],
)
def test_bad_option_of_mark_is_refused(options, words, desk, monkeypatch, capsys):
    """Each option is refused in one sentence that names it and says what to change; nothing is written."""
    monkeypatch.chdir(desk)
    papers = [] if "--papers" in options else ["--papers", "papers"]
    assert words in refused(capsys, "mark", *papers, "--out", "marks", *options)
    assert not (desk / "marks").exists()


def handed_in(desk, folder, place=0, answers=None, name=None):
    """A file that a learner handed in."""
    folder.mkdir(exist_ok=True)
    form, secret = papers_of(desk).forms[place], read_secret(desk / "secret.txt")
    when = datetime(2026, 5, 4, 9, 10, tzinfo=UTC)
    return write_hand_in(folder / (name or f"{form.code}.json"), form.code, hand_in_key(secret, form.code), answers or {(1, "a"): "A"}, handed_in=when)


def test_hand_ins_are_marked(desk, tmp_path, capsys):
    """Files of a folder count as answers; a changed one and one of another kind are listed, and the others count all the same."""
    for place in (0, 1):
        handed_in(desk, tmp_path / "in", place)
    changed = handed_in(desk, tmp_path / "in", 2)
    changed.write_text(changed.read_text(encoding="ascii").replace('"A"', '"B"'), encoding="ascii")
    (tmp_path / "in" / "other.json").write_text("{}", encoding="ascii")
    code, out, _ = ran(capsys, "mark", "--papers", desk / "papers", "--hand-in", tmp_path / "in", "--seed-secret", desk / "secret.txt", "--out", tmp_path / "marks", "--json")
    found = json.loads(out)
    assert (0, [False, False, True]) == (code, [one["absent"] for one in found["learners"]])
    assert {changed.name: True, "other.json": False} == {one["file"]: "was changed after it was handed in" in one["sentence"] for one in found["not_marked"] if not one["line"]}


def test_hand_in_folder_without_files_is_refused(desk, tmp_path, capsys):
    """A folder in which nothing was handed in is a mistake."""
    said = refused(capsys, "mark", "--papers", desk / "papers", "--hand-in", tmp_path, "--seed-secret", desk / "secret.txt", "--out", tmp_path / "marks")
    assert "holds no file that ends in .json" in said


# blueprints, hand-in ------------------------------------------------------------------


def test_blueprints_are_listed(capsys):
    """Each blueprint stands with its size, time and pass mark; JSON also says what it does not cover."""
    found = json.loads(ran(capsys, "blueprints", "--json")[1])["blueprints"]
    out = ran(capsys, "blueprints")[1]
    assert [] == [one["id"] for one in found if one["id"] not in out or not one["not_covered"]]


def test_learner_hands_in_by_file(desk, tmp_path, capsys):
    """A learner's own sheet becomes a signed file that mark takes."""
    form, secret = papers_of(desk).forms[0], read_secret(desk / "secret.txt")
    (tmp_path / "mine.csv").write_text("number;part;answer\n1;a;A\n2;a;\n", encoding="utf-8")
    line = ("hand-in", "--form", form.code.lower(), "--form-key", hand_in_key(secret, form.code), "--answers", tmp_path / "mine.csv", "--out", tmp_path / "mine.json")
    code, out, _ = ran(capsys, *line, "--json")
    assert (0, {"file": str(tmp_path / "mine.json"), "form": form.code, "answers": 2}) == (code, json.loads(out))
    assert "is there already" in refused(capsys, *line)
    out = ran(capsys, "mark", "--papers", desk / "papers", "--hand-in", tmp_path / "mine.json", "--seed-secret", desk / "secret.txt", "--out", tmp_path / "marks", "--json")[1]
    assert (1, 0) == (json.loads(out)["class"]["marked"], len([one for one in json.loads(out)["not_marked"] if one["reason"] == "hand-in"]))


@pytest.mark.parametrize(
    ("options", "words"),
    [
        ({"--out": "mine.txt"}, "does not end in .json"),
        ({"--form": "2222-2243"}, "--form: form code"),
        ({"--form-key": "SGDF-LJE2-XDYT-PHCN-FF3W"}, "does not belong to form 2222-2234"),
        ({"--answers": "empty.csv"}, "holds no answer to form 2222-2234"),
        ({"--answers": "odd.csv"}, "line 2: 'one' is no number"),
        ({"--answers": "twice.csv"}, "line 3: number 1 a is answered twice"),
        ({"--answers": "torn.csv"}, "line 2: a cell stands beyond the last heading"),
        ({"--out": "nowhere/mine.json"}, "cannot be written"),
        ({"--out": f"{TOO_LONG}.json"}, "File name too long"),
        ({"--answers": "many.csv"}, "is no number of a question"),
        ({"--answers": "slip.csv"}, "line 2: form code '2222-2243' is of no form"),
    ],
)
def test_bad_option_of_hand_in_is_refused(options, words, tmp_path, monkeypatch, capsys):
    """Each option is refused in one sentence that says what to change."""
    monkeypatch.chdir(tmp_path)
    for name, row in {"mine": "1,a,B", "empty": "1,a,", "odd": "one,a,B", "twice": "1,a,B\n1,a,C", "torn": "1,a,4,05", "many": f"{4 * '0'}1{5000 * '0'},a,B"}.items():
        Path(f"{name}.csv").write_text(f"number,part,answer\n{row}\n", encoding="utf-8")
    Path("slip.csv").write_text("form,number,part,answer\n2222-2243,1,a,B\n2222-2234,2,a,B\n", encoding="utf-8")
    given = {"--form": "2222-2234", "--form-key": "SGDF-LJE2-XDYT-PHCN-FF3V", "--answers": "mine.csv", "--out": "mine.json", **options}
    assert words in refused(capsys, "hand-in", *(text for option in given.items() for text in option))
    assert not Path("mine.json").exists()


def test_progress_is_silent_at_first_and_at_the_end(monkeypatch, capsys):
    """Nothing is said in the first second; then how far it is, once a second at most, and nothing when it is done."""
    now = [0.0]
    monkeypatch.setattr("hpteach.desk_options.time.monotonic", lambda: now[0])
    told = progress()
    for at, done in ((0.5, 1), (1.1, 5), (1.2, 6), (2.3, 10), (9.0, 20)):
        now[0] = at
        told("forms judged", done, 20)
    assert ["[#####...............] Forms judged: 5 of 20.", "[##########..........] Forms judged: 10 of 20."] == capsys.readouterr().err.splitlines()


def test_secret_that_was_there_is_told(desk, tmp_path, capsys):
    """A secret used once more is told, as is one that looks typed and that others can read; the papers are dealt."""
    (tmp_path / "typed.txt").write_text("password password1", encoding="utf-8")
    (tmp_path / "typed.txt").chmod(0o644)
    for secret, words in ((desk / "secret.txt", []), (tmp_path / "typed.txt", ["looks typed", "chmod 600"])):
        code, _, err = ran(capsys, "papers", "--roster", desk / "class.csv", "--blueprint", QUIZ, "--out", tmp_path / f"by-{secret.stem}", "--seed-secret", secret)
        assert (0, True) == (code, "the same secret, blueprint and id give the same paper. Take a new secret for another class or a second sitting." in err)
        assert words == [word for word in ("looks typed", "chmod 600") if word in err]


def test_sheet_of_another_class_is_told(desk, tmp_path, capsys):
    """Answers under other names are not marked, and the command says why."""
    sheet = read_sheet(desk / "papers" / "answers.csv")
    place = sheet.column("name")
    rows = [[*row.cells[:place], f"Stranger {row.cells[0]} Stone", *row.cells[place + 1 : -1], "A"] for row in sheet.rows]
    write_sheet(tmp_path / "other.csv", sheet.headings, rows)
    code, _, err = ran(capsys, "mark", "--papers", desk / "papers", "--answers", tmp_path / "other.csv", "--out", tmp_path / "marks")
    assert (0, True, True) == (code, "3 of 3 learners bear another name" in err, "is this another class's sheet?" in err)
    assert len(rows) == len(read_sheet(tmp_path / "marks" / "rows-not-marked.csv").rows)


def test_names_do_not_turn_the_table(tmp_path, capsys):
    """A long name is shortened in the terminal, and marks that turn letters are left out."""
    (tmp_path / "class.csv").write_text(f"id,name\n1,\u202eAda {'Fernhill ' * 15}\n", encoding="utf-8")
    assert 0 == ran(capsys, "papers", "--roster", tmp_path / "class.csv", "--blueprint", QUIZ, "--out", tmp_path / "papers", "--seed-secret", tmp_path / "s.txt")[0]
    out = ran(capsys, "mark", "--papers", tmp_path / "papers", "--answers", tmp_path / "papers" / "answers.csv", "--out", tmp_path / "marks")[1]
    assert (True, False) == ("Ada Fernhill Fernhill Fernhil…" in out, "\u202e" in out)


def test_own_sheet_is_read_as_it_was_typed(tmp_path, capsys):
    """A code in small letters with blanks is the learner's own; a number may have a full stop or zeros; rows of other forms are passed over."""
    (tmp_path / "mine.csv").write_text("form,number,part,answer\n2222 2234,1.,A,B\nJ222-2229,1,a,C\n,02,a,D\n", encoding="utf-8")
    line = ("hand-in", "--form", "2222-2234", "--form-key", "SGDF-LJE2-XDYT-PHCN-FF3V", "--answers", tmp_path / "mine.csv", "--out", tmp_path / "mine.json")
    assert 0 == ran(capsys, *line)[0]
    assert [(1, "B"), (2, "D")] == [(one["number"], one["answer"]) for one in json.loads((tmp_path / "mine.json").read_text())["answers"]]


def test_next_command_works_as_pasted(tmp_path, capsys):
    """The command that is shown for marking holds the folder as one word, also where its name has a blank."""
    out = ran(capsys, "papers", "--roster", "demo", "--blueprint", QUIZ, "--out", tmp_path / "my papers", "--seed-secret", tmp_path / "secret.txt")[1]
    words = shlex.split(next(line for line in out.splitlines() if " mark --papers " in line).partition(" mark ")[2])
    assert ["--papers", f"{tmp_path}/my papers", "--answers", f"{tmp_path}/my papers/answers.csv"] == words[:4]
