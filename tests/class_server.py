"""The class server of docs/class-server on loopback, with an invented class, in a folder of its own that goes when it ends.

What lives here: starting and ending it, and which of its processes are there.  What does not: what is tested, a member of the class (class_member).
"""

from __future__ import annotations

import os
import secrets
import shutil
import signal
import socket
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path

import pytest

from tests.browser.server import wait_for

ROOT = Path(__file__).parents[1]
CONFIGURATION = ROOT / "docs" / "class-server" / "jupyterhub_config.py"
PROXY = "configurable-http-proxy"


def has_proxy() -> None:
    """Without the proxy on this machine a test is skipped, or fails where CI=true."""
    if shutil.which(PROXY) is None:
        reason = f"no {PROXY} on this machine: install it (Debian: apt-get install nodejs npm, then npm install --global {PROXY}@4) to run the tests of the class server"
        if os.environ.get("CI") == "true":
            pytest.fail(reason)
        pytest.skip(reason)


@dataclass
class ClassServer:
    """A running class server: its address, its folder, the passwords, whether each learner has a user number of his or her own; how its hub is started."""

    address: str
    folder: Path
    password: str
    instructor_password: str
    own_numbers: bool
    command: list[str]
    environment: dict[str, str]
    hub: subprocess.Popen | None = None

    def start(self) -> None:
        """Start the hub, and wait until it answers."""
        with (self.folder / "hub.log").open("a") as log:
            self.hub = subprocess.Popen(self.command, env=self.environment, cwd=self.folder, stdout=log, stderr=subprocess.STDOUT, start_new_session=True)
        wait_for(f"{self.address}/hub/login", self.hub, self.folder / "hub.log", 90.0)

    def processes(self) -> dict[int, str]:
        """The command lines of all processes of this server by their number: hub, proxy, culler, sessions, kernels."""
        found = {}
        for place in Path("/proc").glob("[0-9]*"):
            with suppress(OSError):
                if os.fsencode(self.folder) in (place / "environ").read_bytes():
                    found[int(place.name)] = (place / "cmdline").read_bytes().replace(b"\0", b" ").decode()
        return found

    def log(self) -> str:
        """What the hub and all sessions said."""
        return (self.folder / "hub.log").read_text(errors="replace")


@contextmanager
def class_server(learners: list[str], *, instructors: tuple[str, ...] = (), idle: int = 3600) -> Iterator[ClassServer]:
    """The class server with these names in its lists; ends it with all its sessions, by force if they don't end by themselves within a minute."""
    with tempfile.TemporaryDirectory(prefix="hpteach-class-", ignore_cleanup_errors=True) as place:
        folder = Path(place)
        secret = {"class-password": secrets.token_hex(8), "instructor-password": secrets.token_hex(16)}
        for name, text in {"names.txt": "\n".join(learners), "instructors.txt": "\n".join(instructors), **secret}.items():
            (folder / name).write_text(text)
        python = _python_for_everybody(folder) if hasattr(os, "geteuid") and os.geteuid() == 0 and _entered_by_all(ROOT) else None
        port = _three_ports()
        environment = {
            **{name: value for name, value in os.environ.items() if not name.startswith(("HPTEACH_", "JUPYTER"))},
            "HPTEACH_HUB_FOLDER": str(folder),
            "HPTEACH_HUB_PORT": str(port),
            "HPTEACH_HUB_IDLE": str(idle),
            "HPTEACH_HUB_OWN_NUMBERS": "on" if python else "off",
            "PYTHONPATH": str(ROOT),
        }
        command = [python or sys.executable, "-m", "jupyterhub", "--config", str(CONFIGURATION)]
        running = ClassServer(f"http://127.0.0.1:{port}", folder, *secret.values(), python is not None, command, environment)
        try:
            running.start()
            yield running
        finally:
            end(running)


def end(running: ClassServer, seconds: float = 60.0) -> None:
    """Ask the hub to end, which ends the sessions too; then end by force whatever is left of it."""
    running.hub.terminate()
    with suppress(subprocess.TimeoutExpired):
        running.hub.wait(seconds)
    for number in running.processes():
        with suppress(ProcessLookupError):
            os.kill(number, signal.SIGKILL)
    running.hub.wait()


def _python_for_everybody(folder: Path) -> str | None:
    """A Python with the packages of this one that every user may run: this one, or the system's own of the same version under these packages, or none.

    A Python that lies in somebody's private folder is of no use to a session with a user number of its own.
    """
    prefix = Path(sys.prefix)
    if not _entered_by_all(prefix):
        return None
    if _entered_by_all(Path(sys.executable).resolve()):
        return sys.executable
    version = f"python{sys.version_info.major}.{sys.version_info.minor}"
    system = Path("/usr/bin") / version
    if not (system.exists() and _entered_by_all(system.resolve())):
        return None
    environment = folder / "environment"
    (environment / "bin").mkdir(parents=True)
    (environment / "pyvenv.cfg").write_text("home = /usr/bin\n")
    (environment / "bin" / "python").symlink_to(system)
    for part in ("lib", "lib64", "share", "etc"):
        if (prefix / part).exists():
            (environment / part).symlink_to(prefix / part)
    return str(environment / "bin" / "python")


def _entered_by_all(place: Path) -> bool:
    return all(folder.stat().st_mode & 0o001 for folder in (place, *place.parents))


def _three_ports() -> int:
    """The first of three ports of the loopback address, one after the other, that nobody listens on."""
    for _ in range(100):
        with socket.socket() as first, socket.socket() as second, socket.socket() as third:
            first.bind(("127.0.0.1", 0))
            port = first.getsockname()[1]
            with suppress(OSError, OverflowError):
                second.bind(("127.0.0.1", port + 1))
                third.bind(("127.0.0.1", port + 2))
                return port
    raise RuntimeError("no three free ports in a row were found")
