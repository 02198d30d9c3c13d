"""What the instructor's panels share: running a command, what it says, and being turned off (hpteach/panels/desk.py)."""

import pytest

from hpteach.panels import MarkingDesk, PapersDesk
from hpteach.panels.desk import SWITCH, Done, run


@pytest.fixture(autouse=True)
def home(tmp_path, monkeypatch):
    """A user's folder of the test's own: desks propose places in it."""
    monkeypatch.delenv("HPTEACH_DESK", raising=False)
    for name in ("HOME", "USERPROFILE"):
        monkeypatch.setenv(name, str(tmp_path))


def test_a_command_runs_in_a_process_of_its_own():
    """Its JSON, its exit code and its sentences come back, and each line is told as it comes."""
    told = []
    done = run(["refrigerants", "--json"], told.append)
    assert 0 == done.code and done.found
    refused = run(["mark", "--papers", "nowhere", "--answers", "nowhere.csv", "--out", "nothing"], told.append)
    assert refused.code and "nowhere" in refused.said[0] and told[-1] == refused.said[-1]


@pytest.mark.parametrize("desk", [PapersDesk, MarkingDesk])
def test_a_refusal_stands_in_the_status_line(desk):
    """What the command refuses is said as it says it, and the button works again."""
    panel = desk(run=lambda words, told: Done(2, {}, ("the roster is empty: write a learner",)))
    panel.act()
    assert "the roster is empty: write a learner" == panel.refusal
    assert not panel._act.disabled


def test_an_empty_field_is_refused_before_anything_runs():
    """A field that is needed and empty is named."""
    ran = []
    panel = PapersDesk(run=lambda words, told: ran.append(words))
    panel.controls["folder"].value = "  "
    panel.act()
    assert "folder for the papers" in panel.refusal and [] == ran


@pytest.mark.parametrize("desk", [PapersDesk, MarkingDesk])
def test_pages_for_others_have_no_desk(desk, monkeypatch):
    """Where the server of the pages has turned the desk off it says why, and runs nothing."""
    monkeypatch.setenv(SWITCH, "off")
    ran = []
    panel = desk(run=lambda words, told: ran.append(words))
    assert panel._act.disabled and "JupyterLab" in panel.status.value
    panel.act()
    assert [] == ran
