"""The folders that the instructor's commands write into, so that nothing is lost in them.

What lives here: which folder may be written into, and what an earlier marking left in it.  What does not: what is written (papers).
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from pathlib import Path

from hpteach.errors import InputError, reason_of

MANIFEST = "papers.json"
"""By this file a folder with papers is known."""

_OF_THE_SYSTEM = ("desktop.ini", "thumbs.db")
"""Files that a file manager leaves in a folder by itself, as it does those whose names begin with a dot."""

_FORMS = "forms"
_NAMED = 3


def named_folder(text: str) -> Path:
    """The folder that a text names.  Raises `InputError` where it names none, which would be the one that one stands in.

    >>> named_folder("papers").name
    'papers'
    """
    if not text.strip():
        raise InputError("no folder is named: write the name of one that is empty or not there yet")
    return Path(text)


def files_in(text: str, ending: str) -> list[Path]:
    """The files in a folder whose names end so, by their names.  Raises `InputError` where nobody may look into it.

    >>> files_in(".", ".nothing-ends-so")
    []
    """
    try:
        return sorted(one for one in Path(text).iterdir() if one.suffix.lower() == ending)
    except (OSError, ValueError) as error:
        raise InputError(f"the folder cannot be looked into ({getattr(error, 'strerror', None) or error}): see who may read it, or name another one") from None


def empty_folder(text: str | Path) -> Path:
    """A folder for papers, in which nothing stands yet; it need not be there.

    Raises `InputError` where anything stands in it, or it is a file.

    >>> empty_folder("nowhere").name
    'nowhere'
    """
    folder = Path(text)
    others = _others(folder)
    if MANIFEST in others:
        raise InputError("papers are there already, and their key and manifest would be written over: choose another folder")
    if others == [_FORMS]:
        raise InputError(f"a folder {_FORMS!r} is there already, as papers leave one that were broken off: delete it if it is that, or choose another folder")
    if others:
        raise InputError(f"other things are there already ({some(others)}): choose a folder that is empty or not there yet")
    return folder


def make_folder(folder: Path) -> None:
    """Make a folder and those above it; raises `InputError` where that cannot be."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except (OSError, ValueError) as error:
        raise InputError(f"--out {str(folder)!r} cannot be made ({reason_of(error)}): choose another folder") from None


def marked_before(folder: Path) -> set[str]:
    """The files of an earlier marking in a folder, which may be written over.  Raises `InputError` where anything else stands there."""
    from hpteach.papers.marks_files import FEEDBACK, FILES, MARKED

    others = _others(folder)
    if not others:
        return set()
    strange = [name for name in others if name not in (*FILES, FEEDBACK)]
    if not strange and _empty(folder / FEEDBACK):  # a marking was broken off: it makes this folder first, and fills it last
        return {*others} - {FEEDBACK}
    if strange or MARKED not in others:
        raise InputError(f"other things are there already ({some(strange or others)}): choose a folder that is empty, not there yet, or holds what mark has written")
    return {*(name for name in others if name != FEEDBACK), *(name for name in _sheets_of(folder / MARKED) if (folder / name).is_file())}


def taken_away(before: set[str], now: set[str], folder: Path) -> str:
    """Take away the sheets of an earlier marking that no longer stand for anybody, and say what was written over."""
    if not before:
        return ""
    kept = {}
    for name in sorted(before - now):
        try:
            (folder / name).unlink(missing_ok=True)
        except OSError as error:
            kept[name] = f"{name} ({error.strerror or error})"
    gone = sorted(before - now - kept.keys())
    more = f"; taken away, as nobody is marked on them now: {some(gone)}" if gone else ""
    left = f"; it could not be taken away, though nobody is marked on it now: {some([*kept.values()])}: close it where it is open, and delete it" if kept else ""
    return f"What an earlier marking had left in {folder} was written over{more}{left}."


def some(names: Sequence[str]) -> str:
    """The first names of a list, and how many more there are.

    >>> some(["a", "b", "c", "d", "e"])
    'a, b, c and 2 more'
    """
    more = len(names) - _NAMED
    return ", ".join(name[:60] for name in names[:_NAMED]) + (f" and {more} more" if more > 0 else "")


def _others(folder: Path) -> list[str]:
    """What stands in a folder, but what file managers put there by themselves; refused where it is no folder."""
    try:
        if not folder.exists():
            return []
        if not folder.is_dir():
            raise InputError(f"{str(folder)!r} is a file: name a folder that is empty or not there yet")
        return sorted(one.name for one in folder.iterdir() if not one.name.startswith(".") and one.name.lower() not in _OF_THE_SYSTEM)
    except (OSError, ValueError) as error:
        if isinstance(error, InputError):
            raise
        raise InputError(f"{str(folder)!r} cannot be looked into ({reason_of(error)}): choose another folder") from None


def _empty(folder: Path) -> bool:
    """Whether a folder is there and holds nothing."""
    try:
        return folder.is_dir() and not any(folder.iterdir())
    except OSError:
        return False


def _sheets_of(path: Path) -> list[str]:
    """The sheets of feedback that an earlier marking wrote; none where its file cannot be read."""
    from hpteach.assessment.form_codes import read_form_code
    from hpteach.papers.marks_files import FEEDBACK

    try:
        codes = [read_form_code(one["form"]) for one in json.loads(path.read_text(encoding="utf-8"))["learners"]]
    except (OSError, ValueError, KeyError, TypeError, AttributeError, RecursionError):
        return []
    return [f"{FEEDBACK}/{code}.html" for code in codes]
