"""The folders that the instructor's commands write into (hpteach/desk_folders.py)."""

import json

import pytest

from hpteach.desk_folders import empty_folder, files_in, make_folder, marked_before, named_folder, taken_away
from hpteach.errors import InputError
from hpteach.papers.marks_files import FILES

CODE, OTHER = "2222-2234", "J222-2229"


def marked(folder, *codes):
    """A folder as marking leaves it."""
    (folder / "feedback").mkdir(parents=True)
    for name in FILES:
        (folder / name).write_text(json.dumps({"learners": [{"form": code} for code in codes]}), encoding="utf-8")
    for code in codes:
        (folder / "feedback" / f"{code}.html").write_text("x", encoding="utf-8")
    return folder


def test_folder_for_papers_is_empty_or_not_there(tmp_path):
    """A folder is taken that is not there, is empty, or holds what a file manager leaves."""
    (tmp_path / ".hidden").write_text("x", encoding="utf-8")
    (tmp_path / "Desktop.INI").write_text("x", encoding="utf-8")
    for folder in (tmp_path, tmp_path / "new" / "papers"):
        assert folder == empty_folder(str(folder))


@pytest.mark.parametrize(("names", "words"), [(["papers.json", "a"], "papers are there already"), (["a", "b", "c", "d"], "(a, b, c and 1 more)")])
def test_folder_with_other_things_is_refused(names, words, tmp_path):
    """What stands there is named, papers before anything else."""
    for name in names:
        (tmp_path / name).write_text("x", encoding="utf-8")
    with pytest.raises(InputError) as refusal:
        empty_folder(str(tmp_path))
    assert words in str(refusal.value)


@pytest.mark.parametrize("look", [empty_folder, marked_before])
def test_file_is_no_folder(look, tmp_path):
    """A file in the folder's place is refused."""
    (tmp_path / "file").write_text("x", encoding="utf-8")
    with pytest.raises(InputError, match="is a file: name a folder"):
        look(tmp_path / "file")


def test_folder_below_a_file_cannot_be_made(tmp_path):
    """What the system refuses is told in one sentence."""
    (tmp_path / "file").write_text("x", encoding="utf-8")
    with pytest.raises(InputError, match="cannot be made"):
        make_folder(tmp_path / "file" / "papers")


def test_earlier_marking_may_be_written_over(tmp_path):
    """A folder that holds what marking wrote, and nothing else, may be marked into again."""
    assert set() == marked_before(tmp_path / "new")
    assert {*FILES, f"feedback/{CODE}.html"} == marked_before(marked(tmp_path / "marks", CODE))


@pytest.mark.parametrize(("taken", "added"), [("marked.json", None), (None, "notes.txt"), (None, "papers.json")])
def test_other_things_are_not_written_over(taken, added, tmp_path):
    """Where anything stands beside it, or nothing says that it was marked into, the folder is refused."""
    folder = marked(tmp_path / "marks", CODE)
    if taken:
        (folder / taken).unlink()
    if added:
        (folder / added).write_text("x", encoding="utf-8")
    with pytest.raises(InputError, match="other things are there already"):
        marked_before(folder)


def test_only_sheets_of_the_earlier_marking_are_taken_away(tmp_path):
    """A sheet that stands for nobody any more goes, and is named; a page that somebody put beside it stays."""
    folder = marked(tmp_path / "marks", CODE, OTHER)
    (folder / "feedback" / "mine.html").write_text("x", encoding="utf-8")
    before = marked_before(folder)
    said = taken_away(before, {*FILES, f"feedback/{CODE}.html"}, folder)
    assert f"taken away, as nobody is marked on them now: feedback/{OTHER}.html" in said
    assert [f"{CODE}.html", "mine.html"] == sorted(path.name for path in (folder / "feedback").iterdir())


@pytest.mark.parametrize("text", ["", "{", "[]", '{"learners": 5}', '{"learners": [{"form": "../../x"}]}', '{"learners": [{"form": 5}]}', "\ufeff"])
def test_damaged_file_of_an_earlier_marking_takes_nothing_away(text, tmp_path):
    """Where the earlier file cannot be read, or names what is no form, no sheet is touched."""
    folder = marked(tmp_path / "marks", CODE)
    (folder / "marked.json").write_text(text, encoding="utf-8")
    assert set(FILES) == marked_before(folder)


def test_nothing_is_said_of_a_new_folder(tmp_path):
    """Where nothing was there, nothing is said."""
    assert "" == taken_away(set(), {"class.html"}, tmp_path)


@pytest.mark.parametrize("text", ["", "  "])
def test_no_name_is_no_folder(text):
    """An empty text does not stand for the folder that one happens to stand in."""
    with pytest.raises(InputError, match="no folder is named"):
        named_folder(text)


def test_papers_that_were_broken_off_are_told(tmp_path):
    """Where only the folder of forms stands, it is said what it may be."""
    (tmp_path / "forms").mkdir()
    with pytest.raises(InputError, match="broken off: delete it"):
        empty_folder(tmp_path)


@pytest.mark.parametrize("names", [(), FILES[:1], FILES[:4]])
def test_marking_that_was_broken_off_may_be_repeated(names, tmp_path):
    """A marking that ended before its list of learners was written left an empty folder of feedback, and is written over."""
    (tmp_path / "feedback").mkdir()
    for name in names:
        (tmp_path / name).write_text("x", encoding="utf-8")
    assert {*names} == marked_before(tmp_path)


def test_sheet_that_cannot_be_taken_away_is_told(tmp_path, monkeypatch):
    """A sheet of an earlier marking that is open elsewhere stays, and is named with the reason."""
    folder = marked(tmp_path, CODE, OTHER)

    def held(path, missing_ok=False):
        raise PermissionError(13, "it is open elsewhere")

    monkeypatch.setattr("pathlib.Path.unlink", held)
    told = taken_away(marked_before(folder), {*FILES, f"feedback/{CODE}.html"}, folder)
    assert f"could not be taken away, though nobody is marked on it now: feedback/{OTHER}.html (it is open elsewhere)" in told and "; taken away" not in told


def test_folder_that_nobody_may_look_into_is_refused(tmp_path, monkeypatch):
    """What the system refuses is told in one sentence; else the files come by name, whatever the case of their ending."""
    for name in ("b.json", "a.JSON", "c.txt"):
        (tmp_path / name).write_text("x", encoding="utf-8")
    assert ["a.JSON", "b.json"] == [path.name for path in files_in(str(tmp_path), ".json")]

    def closed(path):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr("pathlib.Path.iterdir", closed)
    with pytest.raises(InputError, match="cannot be looked into .Permission denied."):
        files_in(str(tmp_path), ".json")
