"""What learners practised, marked like papers (hpteach/assessment/practised.py).  All learners are invented."""

import json

import pytest

from hpteach.assessment import Attempt
from hpteach.assessment.export import write_csv
from hpteach.assessment.marking import mark
from hpteach.assessment.practised import practised
from hpteach.cli import main
from hpteach.questions import check, deal, read_bank
from hpteach.questions.proof_of_texts import shown_answer

QUESTION, PART = "read-a-gauge", "absolute"


@pytest.fixture(scope="module")
def bank():
    return read_bank()


def tried(bank, seed, right=True, *, text=None, second=0, question=QUESTION, part=PART, seen=False, version=None, system="SI"):
    """A try at a question, right or with the first foreseen mistake; the moments follow each other by `second`."""
    variant = deal(bank.question(question), seed, system)
    asked = variant.part(part)
    if text is None:
        text = "1000000 bar" if not right else shown_answer(variant, asked) if asked.kind == "number" else str(asked.answer)
    verdict = check(variant, text, part)
    found = variant.question
    return Attempt(
        found.id, version or found.version, found.topic, found.lesson, seed, system, part, text, bool(verdict.correct), verdict.mistake, 0, seen,
        at=f"2026-05-04T12:00:{second:02d}.000Z",
    )  # fmt: skip


def record(folder, name, *attempts):
    return write_csv(attempts, folder / f"{name}.csv")


def marked(folder, bank):
    found = practised([folder], bank)
    return mark(found.manifest, bank, hand_ins=found.hand_ins, refused=found.refused)


def shares(found):
    return {one.learner.id: one.share for one in found.learners}


def test_the_first_try_counts(tmp_path, bank):
    """Whoever is right only at the second try has no marks, however the rows are sorted; with other numbers it is a later try too."""
    record(tmp_path, "Ada (invented)", tried(bank, 7, True, second=2), tried(bank, 7, False, second=1), tried(bank, 8, True, second=3))
    record(tmp_path, "Bo (invented)", tried(bank, 7, True, second=1), tried(bank, 7, False, second=2))
    found = practised([tmp_path], bank)
    assert {"Ada (invented)": 0.0, "Bo (invented)": 1.0} == shares(marked(tmp_path, bank))
    assert "Not counted: 3 later tries, and 0 after the worked solution was opened." in found.remarks


def test_what_the_file_says_of_right_and_wrong_is_not_believed(tmp_path, bank):
    """A wrong answer that is called right in the file is judged anew."""
    path = record(tmp_path, "Ada (invented)", tried(bank, 7, False))
    path.write_text(path.read_text(encoding="utf-8-sig").replace(",no,", ",yes,", 1), encoding="utf-8")
    assert {"Ada (invented)": 0.0} == shares(marked(tmp_path, bank))


def test_a_try_after_the_solution_does_not_count(tmp_path, bank):
    """The first try without the worked solution counts, even if it came later with other numbers."""
    record(tmp_path, "Ada (invented)", tried(bank, 7, True, second=1, seen=True), tried(bank, 8, False, second=2))
    assert {"Ada (invented)": 0.0} == shares(marked(tmp_path, bank))


def test_mistakes_are_named(tmp_path, bank):
    """The foreseen mistake behind a first try is named for the class, with the learner's own numbers and units."""
    variant = deal(bank.question(QUESTION), 7, "IP")
    foreseen = next(one for one in variant.part(PART).mistakes)
    record(tmp_path, "Ada (invented)", tried(bank, 7, text=f"{foreseen.value / 1e5:.3f} bar", system="IP"))
    found = marked(tmp_path, bank)
    assert [foreseen.id] == [one.id for one in found.mistakes]
    assert "IP" == found.learners[0].learner.units


@pytest.mark.parametrize("wrong", [{"question": "gone-by"}, {"version": 999}])
def test_a_question_that_the_bank_has_no_more_is_told(wrong, tmp_path, bank):
    """A row of a question or version that the bank does not have is passed over and told."""
    other = Attempt(**{**vars(tried(bank, 7)), **wrong})
    record(tmp_path, "Ada (invented)", other, tried(bank, 8, question="predict-gauge", part=deal(bank.question("predict-gauge"), 1).parts[0].id))
    found = practised([tmp_path], bank)
    assert 1 == len(found.manifest.forms[0].questions)
    assert any(other.question in sentence and "Not judged" in sentence for sentence in found.remarks)


def test_a_part_that_the_question_does_not_have_is_listed(tmp_path, bank):
    """An answer to a part that is none of the question's is listed, and the question counts as not answered."""
    record(tmp_path, "Ada (invented)", Attempt(**{**vars(tried(bank, 7)), "part": "gone"}))
    found = marked(tmp_path, bank)
    assert ["unknown part"] == [one.reason for one in found.not_marked]


def test_tables_are_marked(tmp_path, bank):
    """The cells of a table, which are parts of their own, are marked as any other."""
    parts = [part.id for part in deal(bank.question("table-in-heating"), 3).parts]
    record(tmp_path, "Ada (invented)", *(tried(bank, 3, question="table-in-heating", part=part, second=number) for number, part in enumerate(parts)))
    assert (1 < len(parts), {"Ada (invented)": 1.0}) == (True, shares(marked(tmp_path, bank)))


def test_a_damaged_file_is_listed_and_the_rest_is_marked(tmp_path, bank):
    """A file that is no record is listed with what to do; the others are marked."""
    record(tmp_path, "Ada (invented)", tried(bank, 7))
    (tmp_path / "Bo (invented).csv").write_text("a,b\n1,2\n", encoding="utf-8")
    torn = record(tmp_path, "Cy (invented)", tried(bank, 7))
    torn.write_text(torn.read_text(encoding="utf-8-sig").replace(",7,SI,", ",seven,SI,"), encoding="utf-8")
    found = marked(tmp_path, bank)
    assert {"Ada (invented)": 1.0} == shares(found)
    assert ["Bo (invented).csv", "Cy (invented).csv"] == [one.file for one in found.not_marked]
    assert "progress --export" in found.not_marked[1].sentence


def test_the_second_file_of_one_learner_is_listed(tmp_path, bank):
    """Of two records with one name the first counts, and the second is listed with what to do; so is a file whose name is no learner's."""
    (tmp_path / "a").mkdir(), (tmp_path / "b").mkdir()
    paths = [record(tmp_path / place, "Ada (invented)", tried(bank, 7, right)) for place, right in (("a", True), ("b", False))]
    long = record(tmp_path, 70 * "x", tried(bank, 7))
    found = practised([*paths, long], bank)
    assert {"Ada (invented)": 1.0} == shares(mark(found.manifest, bank, hand_ins=found.hand_ins))
    assert ["Ada (invented).csv", f"{70 * 'x'}.csv"] == [file for file, _ in found.refused]
    assert "stand for the same learner" in found.refused[0][1] and "70 characters" in found.refused[1][1]


def test_the_command_marks_records(tmp_path, capsys, bank):
    """`mark --progress` needs no papers, writes what it always writes, and twice the same bytes."""
    folder = tmp_path / "practice"
    folder.mkdir()
    record(folder, "Ada (invented)", tried(bank, 7))
    record(folder, "Bo <b>(invented)", tried(bank, 9, False))
    written = []
    for out in ("one", "two"):
        assert 0 == main(["mark", "--progress", str(folder), "--out", str(tmp_path / out), "--json"])
        told = capsys.readouterr()
        written.append({path.relative_to(tmp_path / out): path.read_bytes() for path in (tmp_path / out).rglob("*") if path.is_file()})
    assert [1.0, 0.0] == [one["share"] if "share" in one else one["score"] for one in json.loads(told.out)["learners"]]
    assert "the first try counts" in told.err and written[0] == written[1]


@pytest.mark.parametrize(
    "argv, words",
    [
        (["--progress", "{}/none"], "cannot be opened (No such file or directory): name a file that a learner wrote with progress --export"),
        (["--progress", 300 * "x"], "cannot be opened (File name too long)"),
        (["--progress", "{}", "--hand-in", "{}"], "--progress goes without --hand-in"),
        (["--progress", "{}"], "holds no file that ends in .csv"),
        (["--progress", "{}", "--papers", "demo"], "--progress goes without --papers"),
        (["--progress", "{}/empty.csv"], "holds no answer that can be marked"),
    ],
)
def test_bad_records_are_refused(argv, words, tmp_path, capsys):
    """What names no record is refused in one sentence that says what to do."""
    if "empty" in argv[1]:
        (tmp_path / "empty.csv").write_text("at,question,version,seed,system,part,text,solution_seen\n", encoding="utf-8")
    assert 2 == main(["mark", *(text.format(tmp_path) for text in argv), "--out", str(tmp_path / "marks")])
    told = capsys.readouterr()
    assert "" == told.out and words in told.err and 1 == len(told.err.strip().splitlines())
