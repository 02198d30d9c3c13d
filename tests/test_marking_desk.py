"""The desk for marking (hpteach/panels/marking_desk.py)."""

import pytest

from hpteach.panels import MarkingDesk
from hpteach.panels.desk import Done


@pytest.fixture(autouse=True)
def desk_is_on(monkeypatch):
    """The desk is on, whatever the environment of the tests says."""
    monkeypatch.delenv("HPTEACH_DESK", raising=False)


def test_the_fields_become_the_command():
    """Fields that are empty are left out; hand-in files and the secret are named where they are written."""
    desk = MarkingDesk()
    desk.controls["folder"].value = "/somewhere/marks"
    assert ["mark", "--papers", "demo", "--answers", "demo", "--out", "/somewhere/marks"] == desk.words()
    desk.controls["papers"].value, desk.controls["answers"].value = "/somewhere/papers", ""
    desk.controls["handed_in"].value, desk.controls["secret"].value = "/somewhere/in", "/somewhere/secret.txt"
    expected = ["mark", "--papers", "/somewhere/papers", "--hand-in", "/somewhere/in", "--seed-secret", "/somewhere/secret.txt", "--out", "/somewhere/marks"]
    assert expected == desk.words()


def test_practice_takes_the_place_of_papers():
    """A folder of practice records is marked alone where the other fields are as they were; with papers beside it the command refuses."""
    desk = MarkingDesk()
    desk.controls["folder"].value, desk.controls["practice"].value = "/somewhere/marks", "/somewhere/practice"
    assert ["mark", "--progress", "/somewhere/practice", "--out", "/somewhere/marks"] == desk.words()
    desk.controls["papers"].value = "/somewhere/papers"
    desk.act()
    assert "--progress goes without --papers" in desk.refusal


def test_a_class_is_marked_and_shown(tmp_path):
    """The invented class is marked; its page stands in the panel, walled off, beside what it says in sentences."""
    desk = MarkingDesk()
    desk.controls["folder"].value = str(tmp_path / "marks")
    desk.act()
    assert desk.refusal is None, desk.refusal
    assert "of 24 passed" in desk.reading.value and "rows-not-marked.csv" in desk.reading.value
    (frame,) = desk._shown.children
    assert 'sandbox="allow-popups"' in frame.value and "&lt;svg" in frame.value


def test_a_page_that_is_gone_is_said(tmp_path):
    """Where the results cannot be read the panel says what to do."""
    desk = MarkingDesk(run=lambda words, told: Done(0, {"class": {}}, ()))
    desk.controls["folder"].value = str(tmp_path)
    desk.act()
    assert "mark once more" in desk.refusal
