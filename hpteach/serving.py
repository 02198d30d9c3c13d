"""Which server shows the lessons: JupyterLab, or pages without code.

What lives here: the commands that start either.  What does not: reading options (options),
running a program until it ends (options), how a page looks (page_template).

Run as a program this module is the server of the pages: it shows Voila where the template is.
"""

from __future__ import annotations

import importlib.util
import ipaddress
import json
import os
import socket
import sys
from pathlib import Path

from hpteach.errors import DataError, InputError

FIRST_LESSON = "00-start-here.ipynb"
LOOPBACK = "127.0.0.1"
_EVERYBODY = "255.255.255.255"
_IP = "--Voila.ip="
PAGE_TEMPLATE = Path(__file__).with_name("page_template")

_FRONT_END = ("@voila-dashboards/widgets-manager8", "@jupyter-widgets/jupyterlab-manager", "anywidget")
"""What a page loads to show its panels, whatever else may be installed beside."""

_IDLE = 3600  # s; a phone that falls asleep never says that it has gone


def lab_command(lessons: Path, *, browser: bool = True, port: int | None = None) -> list[str]:
    """What starts JupyterLab at the first lesson of a folder, with nothing fetched from the network.

    Raises `DataError` where the folder does not hold the lessons.

    >>> lab_command(Path("nowhere"))
    Traceback (most recent call last):
    hpteach.errors.DataError: 00-start-here.ipynb is not in nowhere: the lessons come with a clone ...
    """
    _hold_the_lessons(lessons)
    return [
        sys.executable, "-m", "jupyterlab",
        *lab_options(lessons),
        *([f"--ServerApp.port={port}"] if port is not None else ()),
        *(() if browser else ("--no-browser",)),
    ]  # fmt: skip


def lab_options(lessons: Path) -> list[str]:
    """What every JupyterLab with the lessons is told, on one's own machine and in a class server: it opens the first lesson and fetches nothing.

    >>> lab_options(Path("lessons"))[0]
    '--ServerApp.root_dir=lessons'
    """
    return [
        f"--ServerApp.root_dir={lessons}",
        f"--LabApp.default_url=/lab/tree/{FIRST_LESSON}",
        f"--LabApp.app_settings_dir={Path(__file__).with_name('lab_settings')}",  # asks for no news, saves only on request
        "--LabApp.news_url=None",
        "--LabApp.check_for_updates_class=jupyterlab.NeverCheckForUpdate",
        "--LabApp.extension_manager=readonly",
        "--ServerApp.answer_yes=True",  # one Ctrl-C ends it, without a question
        *(("--allow-root",) if hasattr(os, "geteuid") and os.geteuid() == 0 else ()),
    ]


def pages_command(lessons: Path, *, browser: bool = True, port: int | None = None, address: str = LOOPBACK) -> list[str]:
    """What serves the lessons of a folder as pages without code, with nothing fetched from the network.

    On an address that others reach no answer is kept, as all visitors would share one record (HPTEACH_PROGRESS is then off).
    Each visitor of a lesson starts a kernel.  It ends when the page is left, or an hour after its page was lost.
    Raises `DataError` where the folder does not hold the lessons, and `InputError` where
    Voila is not installed or `address` is neither an IPv4 address nor localhost.

    >>> pages_command(Path("nowhere"))
    Traceback (most recent call last):
    hpteach.errors.DataError: 00-start-here.ipynb is not in nowhere: the lessons come with a clone ...
    """
    _hold_the_lessons(lessons)
    is_loopback(address)
    _must_be_of_this_machine(address)
    if importlib.util.find_spec("voila") is None:
        raise InputError('pages without code need Voila, which is not installed here: run `pip install -e ".[pages]"` in the clone of the project')
    return [
        sys.executable, "-m", "hpteach.serving",
        f"--Voila.root_dir={lessons}",
        f"{_IP}{address}",
        f"--Voila.config_file_paths={PAGE_TEMPLATE}",  # not the folder where it happens to start
        "--VoilaConfiguration.template=lessons",
        "--VoilaConfiguration.allow_template_override=NO",
        "--VoilaConfiguration.allow_theme_override=NO",
        "--VoilaConfiguration.classic_tree=True",
        *(f"--VoilaConfiguration.extension_allowlist={name}" for name in _FRONT_END),
        *(f"--VoilaConfiguration.extension_config={file}={title}" for file, title in titles(lessons).items()),
        "--MappingKernelManager.cull_interval=300",
        f"--MappingKernelManager.cull_idle_timeout={_IDLE}",
        *([f"--Voila.port={port}"] if port is not None else ()),
        *(() if browser else ("--no-browser",)),
    ]  # fmt: skip


def is_loopback(address: str) -> bool:
    """Whether an address is reached from this machine alone.  Raises `InputError` for what is neither localhost nor an IPv4 address.

    >>> is_loopback("127.0.0.1"), is_loopback("localhost"), is_loopback("0.0.0.0")
    (True, True, False)
    """
    if address.lower() == "localhost":
        return True
    try:
        return ipaddress.IPv4Address(address).is_loopback
    except ValueError:
        raise InputError(
            f"{address[:60]!r} is neither an IPv4 address nor localhost: leave it out for this machine alone ({LOOPBACK}), "
            "or write 0.0.0.0 for every network that this machine is in"
        ) from None


def titles(lessons: Path) -> dict[str, str]:
    """The first heading of each lesson of a folder, by file name, in the order of the file names.

    Raises `DataError` for a file that is no notebook.

    >>> titles(Path("nowhere"))
    {}
    """
    return {path.name: _title(path) for path in sorted(lessons.glob("*.ipynb"))}


def _title(path: Path) -> str:
    try:
        cells = json.loads(path.read_text(encoding="utf-8"))["cells"]
        lines = [line for cell in cells if cell["cell_type"] == "markdown" for line in "".join(cell["source"]).splitlines()]
    except (OSError, ValueError, KeyError, TypeError) as error:
        raise DataError(f"{path} cannot be read as a notebook ({type(error).__name__}): mend it, or take it out of the folder") from None
    return next((line.removeprefix("# ").strip() for line in lines if line.startswith("# ")), path.stem)


def _must_be_of_this_machine(address: str) -> None:
    try:
        if address.lower() != "localhost" and (ipaddress.IPv4Address(address).is_multicast or address == _EVERYBODY):
            raise OSError
        with socket.socket() as listener:
            listener.bind((address, 0))
    except OSError:
        raise InputError(
            f"{address} is not an address of this machine: leave it out for this machine alone ({LOOPBACK}), "
            "or write 0.0.0.0 for every network that this machine is in"
        ) from None


def _hold_the_lessons(lessons: Path) -> None:
    if not (lessons / FIRST_LESSON).is_file():
        raise DataError(
            f"{FIRST_LESSON} is not in {lessons}: the lessons come with a clone of the project, so install from the clone with "
            "`pip install -e .`, or name a folder that holds them with --lessons"
        )


if __name__ == "__main__":
    if not is_loopback(next((word.removeprefix(_IP) for word in sys.argv if word.startswith(_IP)), LOOPBACK)):
        os.environ["HPTEACH_PROGRESS"] = "off"  # visitors would share one record; kernels inherit it
    # The path must stand before Voila looks for its templates, so the import comes after.
    os.environ.setdefault("HPTEACH_DESK", "off")  # a visitor of the pages must not write files on this machine
    os.environ["JUPYTER_PATH"] = os.pathsep.join(filter(None, [str(PAGE_TEMPLATE), os.environ.get("JUPYTER_PATH")]))
    from voila.app import main

    main()
