"""The desk for papers (hpteach/panels/papers_desk.py)."""

from pathlib import Path

import pytest

from hpteach.panels import PapersDesk
from hpteach.panels.desk import Done


@pytest.fixture(autouse=True)
def home(tmp_path, monkeypatch):
    """A user's folder of the test's own: the desk proposes places in it."""
    monkeypatch.delenv("HPTEACH_DESK", raising=False)
    for name in ("HOME", "USERPROFILE"):
        monkeypatch.setenv(name, str(tmp_path / "home"))


@pytest.fixture
def desk(tmp_path):
    panel = PapersDesk("lesson-01")
    panel.controls["folder"].value = str(tmp_path / "class of spring" / "papers")
    panel.controls["secret"].value = str(tmp_path / "class of spring" / "secret.txt")
    return panel


def test_the_fields_become_the_command(desk):
    """Roster, blueprint, folder, secret and size are those of the fields; ~ is the user's folder; an own blueprint goes first."""
    desk.controls["roster"].value = '"~/class.csv"'
    desk.controls["paper"].value = "Letter"
    words = desk.words()
    assert ["papers", "--roster", str(Path.home() / "class.csv"), "--blueprint", "lesson-01"] == words[:5] and "Letter" == words[-1]
    desk.controls["own"].value = "my-test.toml"
    assert "my-test.toml" == desk.words()[4]


def test_what_a_blueprint_does_not_show_stands_on_the_desk(desk):
    """The blueprint that is chosen says what it asks and what it does not show."""
    before = desk.reading.value
    desk.controls["blueprint"].value = "end-of-course"
    assert before != desk.reading.value and "What it does not show" in desk.reading.value and "no approved exam" in desk.reading.value


def test_a_class_is_dealt(desk):
    """The invented class gets its papers, in a folder that was not there; the desk says what to print, and the command in words."""
    desk.act()
    folder = Path(desk.controls["folder"].value)
    assert desk.refusal is None, desk.refusal
    assert {"index.html", "key.html", "answers.csv", "papers.json"} <= {path.name for path in folder.iterdir()}
    assert 24 == len(list((folder / "forms").iterdir()))
    assert "24 papers" in desk.reading.value and "python -m hpteach papers --roster demo" in desk.reading.value
    desk.act()
    assert "already" in desk.refusal


def test_the_folder_of_the_secret_is_made(tmp_path):
    """A secret in a folder that is not there yet does not stand in the way."""
    panel = PapersDesk(run=lambda words, told: Done(0, {"forms": 3}, ()))
    panel.controls["secret"].value = str(tmp_path / "mine" / "secret.txt")
    panel.act()
    assert (tmp_path / "mine").is_dir() and "3 papers" in panel.reading.value
