"""Drawings kept ready for what a panel has shown before.

What lives here: `Shelf`.  What does not: what a drawing is, and how it is made.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any, Generic, TypeVar

from hpteach.diagrams import Style

Kept = TypeVar("Kept")


class Shelf(Generic[Kept]):
    """At most so many drawings, the last shown last; those of another screen's density go when a new one comes.

    `axes_of` names the axes of a drawing, which are taken from their figure when it goes.

    >>> from hpteach.diagrams import SCREEN
    >>> shelf = Shelf(2, lambda kept: ())
    >>> [shelf.take((name,), SCREEN, lambda name=name: name * 2) for name in ("a", "b", "a", "c")]
    ['aa', 'bb', 'aa', 'cc']
    >>> list(shelf.kept.values())
    ['aa', 'cc']
    """

    def __init__(self, most: int, axes_of: Callable[[Kept], Iterable[Any]]) -> None:
        self.kept: dict[tuple, Kept] = {}
        self._most, self._axes_of = most, axes_of

    def take(self, key: tuple, style: Style, make: Callable[[], Kept], *, fits: Callable[[Kept], bool] = lambda kept: True) -> Kept:
        """The drawing of a key in a style, made where there is none, or none that fits."""
        key = (*key, style)
        found = self.kept.pop(key, None)
        if found is not None and not fits(found):
            self._take_down(found)
            found = None
        if found is None:
            found = make()
        self.kept[key] = found
        for old in [old for old in self.kept if old[-1].density != style.density]:
            self._take_down(self.kept.pop(old))
        if len(self.kept) > self._most:
            self._take_down(self.kept.pop(next(iter(self.kept))))
        return found

    def _take_down(self, kept: Kept) -> None:
        for axes in self._axes_of(kept):
            axes.remove()
