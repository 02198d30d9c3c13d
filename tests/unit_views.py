"""What the tests of chosen units ask of a view."""

from __future__ import annotations

from hpteach.panels import View


def units(view: View) -> str:
    """The units that a view says it is in; its control and what it shows agree."""
    assert view.controls["units"].value == view.system
    return view.system


def refreshes(view: View) -> list[str]:
    """A list that takes the units of each picture from now on."""
    seen: list[str] = []
    refresh = view.refresh

    def counted() -> None:
        refresh()
        seen.append(view.system)

    view.refresh = counted
    return seen
