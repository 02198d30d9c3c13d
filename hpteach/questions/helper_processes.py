"""What a process that helps needs: questions packed for the way to it, and no answer of its own to Ctrl-C.

What lives here: `packed`, `interrupts_left` and `leave_interrupts`.  What does not: what the processes do (proof, and dealing in assessment).
"""

from __future__ import annotations

import io
import pickle
import signal
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from types import MappingProxyType


@contextmanager
def interrupts_left() -> Iterator[None]:
    """Start processes inside this: Ctrl-C reaches every process of a terminal; the one that was started answers it, and ends the others.

    >>> with interrupts_left():
    ...     signal.getsignal(signal.SIGINT) is signal.SIG_IGN
    True
    """
    if threading.current_thread() is not threading.main_thread():
        yield
        return
    before = leave_interrupts()
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before)


def leave_interrupts() -> object:
    """Answer Ctrl-C no more in this process, and return what answered it before.

    >>> before = leave_interrupts()
    >>> signal.signal(signal.SIGINT, before) is signal.SIG_IGN
    True
    """
    return signal.signal(signal.SIGINT, signal.SIG_IGN) or signal.SIG_DFL


def packed(thing: object) -> bytes:
    """A thing as bytes that `pickle.loads` reads; it may hold read-only mappings, which pickle by itself does not take.

    >>> pickle.loads(packed(MappingProxyType({"a": 1})))
    mappingproxy({'a': 1})
    """
    buffer = io.BytesIO()
    _Packer(buffer).dump(thing)
    return buffer.getvalue()


class _Packer(pickle.Pickler):
    def reducer_override(self, thing: object) -> object:
        return (_read_only, (dict(thing),)) if isinstance(thing, MappingProxyType) else NotImplemented


def _read_only(entries: dict) -> MappingProxyType:
    return MappingProxyType(entries)
