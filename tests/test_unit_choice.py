"""The choice of units: its file, the views that follow it and are let go, and that no view waits for another."""

from __future__ import annotations

import gc
import threading
import weakref
from collections.abc import Callable
from pathlib import Path

import pytest
from comm import get_comm_manager

from hpteach import cli
from hpteach.assessment import Progress
from hpteach.errors import UnknownNameError
from hpteach.panels import AirAtTheCoil, CycleExplorer, Exercise, GlideView, Practice, View
from hpteach.panels.parts import closed
from hpteach.panels.unit_choice import SETTING, ReleasedLock, UnitChoice, forget_shared_choice, shared_choice, units_path
from tests.unit_views import refreshes, units


@pytest.fixture
def record(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A record of a learner of this test, as a kernel with a home of its own has it."""
    path = tmp_path / "learner" / "progress.sqlite3"
    monkeypatch.setenv("HPTEACH_PROGRESS", str(path))
    forget_shared_choice()
    return path


# Closed views, errors, and threads ----------------------------------------------------------------


@pytest.mark.parametrize("make", [lambda choice: CycleExplorer(units=choice), lambda choice: Exercise("cooling-cop", seed=5, units=choice), lambda choice: Practice(units=choice, progress=Progress.off())])
def test_a_closed_view_is_not_kept_alive(make: Callable[[UnitChoice], View]) -> None:
    """The choice forgets a view that is closed, and it is gone when nobody holds it."""
    choice = UnitChoice()
    view = make(choice)
    gone = weakref.ref(view)
    assert choice.followers >= 1
    closed([view])
    assert 0 == choice.followers
    del view
    gc.collect()
    assert gone() is None


def test_the_page_forgets_what_is_closed() -> None:
    """A closed exercise leaves no widget behind: no form, no layout, no style."""
    comms = get_comm_manager().comms
    before = set(comms)
    view = Exercise("cooling-cop", seed=5)
    opened = set(comms) - before
    closed([view])
    assert opened and set() == opened & set(comms)


def test_a_closed_view_that_is_still_held_is_not_turned() -> None:
    """Nobody sees it, so nothing is drawn for it."""
    choice = UnitChoice()
    view = CycleExplorer(units=choice)
    seen = refreshes(view)
    view.close()
    choice.choose("IP")
    assert [] == seen


def test_practice_lets_the_earlier_question_go() -> None:
    """After ten questions the last one follows, and the practice itself."""
    choice = UnitChoice()
    view = Practice(units=choice, progress=Progress.off())
    for _ in range(10):
        view.following()
    assert 2 == choice.followers


def test_an_error_in_one_view_keeps_no_other_from_turning() -> None:
    """The others are in the chosen units, and the error is raised all the same."""
    choice = UnitChoice()
    views = [CycleExplorer(units=choice), CycleExplorer(units=choice), CycleExplorer(units=choice)]
    views[1].refresh = lambda: 1 / 0
    with pytest.raises(ZeroDivisionError):
        choice.choose("IP")
    assert ["IP", "IP", "IP"] == [view.system for view in views] and "error of its own" in views[1].status.value
    assert all("°F" in view.table.value for view in (views[0], views[2]))


def test_others_are_turned_after_the_own_lock_is_let_go() -> None:
    """Units set among other controls turn the others when the panel is free, so that no two panels wait for each other."""
    choice = UnitChoice()
    view, other = CycleExplorer(units=choice), AirAtTheCoil(units=choice)
    refresh, free = other.refresh, []

    def asked() -> None:
        def tried() -> None:
            with view.lock:
                free.append(True)

        hand = threading.Thread(target=tried, daemon=True)
        hand.start()
        hand.join(timeout=10.0)
        refresh()

    other.refresh = asked
    view.set({"units": "IP", "superheat": 20.0})
    assert ([True], "IP") == (free, units(other))


def test_two_hands_that_choose_at_once_come_to_one_choice() -> None:
    """Two panels, two threads, each choosing over and over amid other moves: no deadlock, and in the end all show the last choice."""
    choice = UnitChoice()
    views = [AirAtTheCoil(units=choice), GlideView(units=choice), Exercise("read-a-gauge", seed=2, units=choice)]
    sliders = ("surface", "line_temperature")

    def hand(number: int) -> None:
        view = views[number]
        for move in range(12):
            with view.held():
                view.controls["units"].value = ("SI", "IP")[(move + number) % 2]
            view.key(("f", "t")[number])

    hands = [threading.Thread(target=hand, args=(number,), daemon=True) for number in range(len(sliders))]
    for one in hands:
        one.start()
    for one in hands:
        one.join(timeout=120.0)
    assert [False, False] == [one.is_alive() for one in hands]
    assert [choice.system] * 3 == [units(view) for view in views] and [None] * 3 == [view.refusal for view in views]


def test_a_lock_does_what_waits_once_it_is_free() -> None:
    """Nothing runs while the lock is held, also where it is taken again inside; each thing runs once, also after an error."""
    lock, done = ReleasedLock(), []
    with lock:
        with lock:
            lock.after(lambda: done.append("first"))
        assert [] == done
    assert ["first"] == done
    with pytest.raises(KeyError), lock:
        lock.after(lambda: done.append("second"))
        raise KeyError
    lock.after(lambda: done.append("third"))
    assert ["first", "second", "third"] == done


# The file -----------------------------------------------------------------------------------------


def test_the_next_lesson_begins_in_the_chosen_units(record: Path) -> None:
    """What is chosen in one kernel is what the next one begins with, until other units are chosen; the file lies beside the record."""
    for system in ("IP", "SI"):
        CycleExplorer().controls["units"].value = system
        forget_shared_choice()
        assert (system, system) == (units(CycleExplorer()), units(Exercise("read-a-gauge", seed=2)))
    assert [record.parent / "progress-units.toml"] == list(record.parent.iterdir()) and units_path(record).is_file()


def test_nothing_is_written_before_anybody_chooses(record: Path) -> None:
    """Opening views, and units that a view names itself, touch no file."""
    CycleExplorer(units="IP")
    assert "SI" == units(CycleExplorer()) and not record.parent.exists()


def test_where_no_record_is_kept_a_choice_ends_with_the_kernel(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """With the record off a choice holds for this kernel, and for no other."""
    monkeypatch.chdir(tmp_path)
    CycleExplorer().controls["units"].value = "IP"
    assert "IP" == shared_choice().system
    forget_shared_choice()
    assert "SI" == shared_choice().system and [] == list(tmp_path.iterdir())


@pytest.mark.parametrize(
    "data", [b"", b"IP", b'units = "CGS"', b"units = 7", b'units = "IP"\nsetting = 5', b"\xff\xfe\x00", b'unit = "IP"', b"units = " + b"[" * 5000, b"#" * 100_000], ids=range(9)
)
def test_a_damaged_file_counts_as_none_and_is_mended(record: Path, data: bytes) -> None:
    """Whatever stands in it, the lesson begins in SI, and the file is whole again."""
    record.parent.mkdir()
    units_path(record).write_bytes(data)
    assert "SI" == shared_choice().system and b'units = "SI"' in units_path(record).read_bytes()
    shared_choice().choose("IP")
    forget_shared_choice()
    assert "IP" == shared_choice().system


def test_units_that_cannot_be_kept_are_turned_all_the_same(record: Path) -> None:
    """Where the file's place is taken the views turn, and the status line says that the next lesson will not know."""
    units_path(record).mkdir(parents=True)
    view, other = CycleExplorer(), AirAtTheCoil()
    view.controls["units"].value = "IP"
    assert ("IP", "IP") == (units(view), units(other)) and "could not be kept" in view.status.value


@pytest.mark.parametrize(
    ("kept", "under", "now", "begins"),
    [
        ("", "", "", "SI"),
        ("", "", "IP", "IP"),
        ("", "", " ip  since noon", "IP"),
        ("IP", "", "", "IP"),
        ("IP", "", "SI", "SI"),
        ("SI", "IP since nine", "IP since nine", "SI"),
        ("SI", "IP since nine", "IP since ten", "IP"),
        ("SI", "IP since nine", "", "SI"),
    ],
)  # fmt: skip
def test_how_a_session_begins(record: Path, monkeypatch: pytest.MonkeyPatch, kept: str, under: str, now: str, begins: str) -> None:
    """HPTEACH_UNITS wins over a choice made before it was set so; a choice made under it wins; without it the last choice holds."""
    if kept:
        monkeypatch.setenv(SETTING, under)
        choice = UnitChoice.open()
        choice.choose("IP" if kept == "SI" else "SI")
        choice.choose(kept)
    monkeypatch.setenv(SETTING, now)
    assert begins == UnitChoice.open().system


def test_a_setting_that_names_no_units_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    """A wrong HPTEACH_UNITS is said, with what is known."""
    monkeypatch.setenv(SETTING, "metric")
    with pytest.raises(UnknownNameError, match="HPTEACH_UNITS: unit system 'METRIC' is not known"):
        UnitChoice.open()


def test_the_command_line_and_the_panels_mean_the_same_setting() -> None:
    """Both call the environment variable by one name."""
    assert SETTING == cli.UNITS
