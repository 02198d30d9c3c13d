"""A learner's own session in a class server: lessons laid into the home folder, then JupyterLab at the first of them.

What lives here: laying the lessons, and the program that a class server starts for each learner (`python -m hpteach.class_session`).
What does not: who may log in, and how many may (docs/class-server), what JupyterLab is told (serving).

Everything here is done by the learner's own user.  So nothing that a learner puts into the home folder makes somebody with more rights write elsewhere.
"""

from __future__ import annotations

import hashlib
import json
import os
import shutil
import sys
import time
from pathlib import Path

from hpteach.errors import DataError
from hpteach.serving import FIRST_LESSON, lab_options

SHIPPED = Path(__file__).parents[1] / "notebooks"
INSTRUCTOR = "instructor"
DESK = "HPTEACH_DESK"
"""The environment variable that turns the instructor's desk off; the panels know it too, but a server need not load them."""

SET_ASIDE = "changed by me"
"""The folder for lessons that their user has changed, beside the lessons."""

_LAID = ".laid.json"  # what was laid, by name: the digest that tells a changed lesson from an older one


def lay_lessons(shipped: Path, lessons: Path, *, instructor: bool = False) -> list[str]:
    """Put the shipped lessons into a folder, fresh; gives the names that a user had changed, which are set aside and not lost.

    A lesson of an earlier version that nobody changed is replaced.  Whatever else lies in the folder stays.  The instructor's notebooks are laid
    for instructors only.  Raises `DataError` where `shipped` does not hold the lessons.

    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as home:
    ...     lay_lessons(SHIPPED, Path(home)), (Path(home) / FIRST_LESSON).is_file(), (Path(home) / INSTRUCTOR).exists()
    ([], True, False)
    """
    if not (shipped / FIRST_LESSON).is_file():
        raise DataError(f"{FIRST_LESSON} is not in {shipped}: a class server is installed from a clone of the project, with `pip install -e`")
    lessons.mkdir(parents=True, exist_ok=True)
    record = lessons / _LAID
    laid = _read(record)
    changed = []
    sources = [*sorted(shipped.glob("*.ipynb")), *(sorted((shipped / INSTRUCTOR).glob("*.ipynb")) if instructor else ())]
    for source in sources:
        name = source.relative_to(shipped).as_posix()
        target, fresh = lessons / name, _digest(source)
        found = _digest(target) if target.is_file() else "none" if os.path.lexists(target) else ""
        if found and found not in (fresh, laid.get(name)):
            changed.append(name)
            _set_aside(target, lessons / SET_ASIDE)
        if found != fresh:
            target.parent.mkdir(exist_ok=True)
            shutil.copyfile(source, target)
        laid[name] = fresh
    record.write_text(json.dumps(laid), encoding="utf-8")
    return changed


def session_options(home: Path) -> list[str]:
    """What the JupyterLab of a session is told besides what the class server tells it.

    >>> "--ServerApp.root_dir=home/lessons" in session_options(Path("home"))
    True
    """
    return [*lab_options(home / "lessons"), f"--ServerApp.default_url=/lab/tree/{FIRST_LESSON}"]  # a session asks the server, not JupyterLab, where it begins


def _digest(path: Path) -> str:
    return hashlib.sha256(path.read_bytes()).hexdigest()


def _read(record: Path) -> dict[str, str]:
    """What was laid before; nothing where that cannot be read, so that every lesson that differs is set aside."""
    try:
        found = json.loads(record.read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return {}
    return found if isinstance(found, dict) else {}


def _set_aside(lesson: Path, folder: Path) -> None:
    folder.mkdir(exist_ok=True)
    stem = f"{lesson.stem} {time.strftime('%Y-%m-%d %H.%M.%S')}"
    number = 1
    while (place := folder / f"{stem}{f' ({number})' if number > 1 else ''}.ipynb").exists():
        number += 1
    lesson.replace(place)


if __name__ == "__main__":
    from jupyterhub.singleuser import main

    lay_lessons(SHIPPED, Path.home() / "lessons", instructor=os.environ.get(DESK, "").strip().lower() != "off")
    sys.argv += session_options(Path.home())
    main()
