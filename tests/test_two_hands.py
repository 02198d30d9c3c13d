"""Two hands on one panel at the same time: every frame is of one state, in both charts, drawing, table, words and cycle."""

from __future__ import annotations

import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import nullcontext
from dataclasses import dataclass
from itertools import cycle as over_and_over

import ipywidgets
import pytest

from hpteach.cycle import Conditions, Cycle
from hpteach.live import Picture
from hpteach.panels import Changeover, CycleExplorer
from hpteach.panels.view import View

SUPERHEAT, SUCTION, CONDENSING = "superheat", "saturated_suction_temperature", "saturated_condensing_temperature"
WARM = [40.0 + 0.5 * number for number in range(20)]
SUPERHEATS = [2.0 + 0.5 * number for number in range(18)]
COLD = [-9.0 + 0.5 * number for number in range(16)]


@dataclass(frozen=True)
class Frame:
    """What a panel shows at the end of a move."""

    cycle: Cycle
    pictures: tuple[bytes, ...]
    table: str
    reading: str


def images(widget: ipywidgets.Widget) -> list[Picture]:
    """The pictures below a widget, in the order of the page."""
    if isinstance(widget, Picture):
        return [widget]
    return [image for child in getattr(widget, "children", ()) for image in images(child)]


def shown(view: View) -> Frame:
    """The frame that stands in the panel now."""
    return Frame(view.cycle, tuple((image.still, image.patch, image.faded) for image in images(view)), view.table.value, view.reading.value)


def turned(view: View) -> View:
    """The panel after it has stood in either mode, as the colours of a picture are chosen when a mode is first shown."""
    for mode in ("cooling", "heating"):
        view.controls["valve_position"].value = mode
    return view


def redrawn(view: View, conditions: Conditions) -> Frame:
    """The frame of a state, drawn by one hand."""
    values = {"valve_position": conditions.valve_position.value}
    values |= {name: round(getattr(conditions, name) - 273.15, 6) for name in (SUCTION, CONDENSING)}
    if isinstance(view, CycleExplorer):
        values[SUPERHEAT] = round(conditions.superheat, 6)
    view.set(values)
    return shown(view)


class Watched:
    """A panel whose every frame is written down, and every picture that was ever shown."""

    def __init__(self, view: View) -> None:
        self.view, self.frames, self.seen = view, [], [set() for _ in images(view)]
        refresh = view.refresh

        def refreshed() -> None:
            refresh()
            self.frames.append(shown(view))

        view.refresh = refreshed
        for seen, image in zip(self.seen, images(view)):
            image.observe(lambda change, seen=seen: seen.add(change["new"]), "patch")

    def drag(self, control: str, values: list, frames: int) -> Callable[[], None]:
        """A hand that moves a control over its values until so many frames have been drawn."""

        def moves() -> None:
            for value in over_and_over([*values, *values[-2:0:-1]]):
                if len(self.frames) >= frames:
                    return
                self.view.controls[control].value = value

        return moves

    def states(self) -> set[Conditions]:
        """The different states that were shown."""
        return {frame.cycle.conditions for frame in self.frames}

    def mixed(self, fresh: View) -> int:
        """How many frames, and pictures seen between them, are not those of one state drawn by one hand."""
        whole = {conditions: redrawn(fresh, conditions) for conditions in self.states()}
        wrong = sum(frame != whole[frame.cycle.conditions] for frame in self.frames)
        for number, seen in enumerate(self.seen):
            wrong += len(seen - {frame.pictures[number][1] for frame in whole.values()})
        return wrong


def together(*hands: Callable[[], None]) -> None:
    """Let every hand move on a thread of its own, and raise what went wrong in any."""
    wrong: list[BaseException] = []

    def guarded(hand: Callable[[], None]) -> None:
        try:
            hand()
        except BaseException as error:  # noqa: BLE001  - raised below, where it can be seen
            wrong.append(error)

    threads = [threading.Thread(target=guarded, args=(hand,)) for hand in hands]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    if wrong:
        raise wrong[0]


@pytest.fixture
def hasty() -> Iterator[None]:
    """Threads that take turns a hundred times as often as usual."""
    before = sys.getswitchinterval()
    sys.setswitchinterval(before / 100.0)
    yield
    sys.setswitchinterval(before)


@pytest.mark.usefixtures("hasty")
@pytest.mark.parametrize(
    ("panel", "first", "second", "frames", "states"),
    [
        (CycleExplorer, (SUPERHEAT, SUPERHEATS), (CONDENSING, WARM), 1000, 50),
        (lambda: Changeover(predict=False), (SUCTION, COLD), (CONDENSING, WARM), 200, 20),
        (lambda: Changeover(predict=False), ("valve_position", ["cooling", "heating"]), (CONDENSING, WARM), 200, 20),
    ],
    ids=["cycle explorer", "changeover", "changeover while the valve turns"],
)
def test_every_frame_under_two_hands_is_of_one_state(panel: Callable, first: tuple, second: tuple, frames: int, states: int) -> None:
    """However two hands move two controls, each frame has pictures, table, words and cycle of one state, byte for byte as one hand draws it."""
    watched = Watched(turned(panel()))
    together(watched.drag(*first, frames), watched.drag(*second, frames))
    assert watched.view.refusal is None
    assert len(watched.frames) >= frames
    assert len(watched.states()) >= states
    assert 0 == watched.mixed(turned(panel()))


@pytest.mark.parametrize(("locked", "mixed"), [(True, 0), (False, 1)])
@pytest.mark.parametrize(
    ("panel", "first", "second"),
    [(CycleExplorer, (SUPERHEAT, 8.0), (CONDENSING, 49.0)), (lambda: Changeover(predict=False), (SUCTION, -8.0), (CONDENSING, 49.0))],
    ids=["cycle explorer", "changeover"],
)
def test_a_hand_that_comes_in_before_the_words_waits(panel: Callable, first: tuple, second: tuple, locked: bool, mixed: int) -> None:
    """A hand that moves when the pictures have been drawn and not the words waits for them; without the lock the two frames mix."""
    watched = Watched(turned(panel()))
    view = watched.view
    if not locked:
        view.lock = nullcontext()
    halfway, over = threading.Event(), threading.Event()

    def pause(_change: dict) -> None:
        if not halfway.is_set():
            halfway.set()
            over.wait(0.5 if locked else 20.0)

    def one_hand() -> None:
        view.controls[first[0]].value = first[1]

    def other_hand() -> None:
        halfway.wait(20.0)
        view.controls[second[0]].value = second[1]
        over.set()

    view.table.observe(pause, "value")
    together(one_hand, other_hand)
    assert 2 == len(watched.frames)
    assert mixed == watched.mixed(turned(panel()))
