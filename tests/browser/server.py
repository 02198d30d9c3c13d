"""A JupyterLab server, a server of pages without code and a headless Chromium for the browser tests.

What lives here: starting and ending them.  What does not: what is tested.
"""

from __future__ import annotations

import os
import shutil
import signal
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from contextlib import AbstractContextManager, contextmanager, suppress
from pathlib import Path

import pytest

NOTEBOOKS = Path(__file__).parents[2] / "notebooks"
TOKEN = "browser-test"
PICTURE = "canvas[data-frame]"  # one that shows its first picture
SECONDS = 1000.0  # Playwright counts milliseconds


def chromium() -> str:
    """The path of Chromium; without one the test is skipped, or fails where CI=true."""
    found = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
    if found is None:
        reason = "no Chromium on this machine: install one (Debian: apt-get install chromium) to run the browser tests"
        if os.environ.get("CI") == "true":
            pytest.fail(reason)
        pytest.skip(reason)
    return found


def free_port() -> int:
    """A port of the loopback address that nobody listens on."""
    with socket.socket() as listener:
        listener.bind(("127.0.0.1", 0))
        return listener.getsockname()[1]


def jupyterlab(folder: Path, **environment: str) -> AbstractContextManager[str]:
    """A JupyterLab on loopback serving a copy of the lessons; gives its address."""
    return _serving("lab", folder, f"/api?token={TOKEN}", **environment)


def pages(folder: Path, **environment: str) -> AbstractContextManager[str]:
    """A server of pages without code on loopback with a copy of the lessons; gives its address."""
    return _serving("pages", folder, "/", **environment)


@contextmanager
def _serving(what: str, folder: Path, answers: str, **more: str) -> Iterator[str]:
    work = folder / "notebooks"
    shutil.copytree(NOTEBOOKS, work)
    port = free_port()
    command = [sys.executable, "-m", "hpteach", what, "--no-browser", "--port", str(port), "--lessons", str(work)]
    environment = {
        **os.environ,
        "JUPYTER_TOKEN": TOKEN,
        "JUPYTER_CONFIG_DIR": str(folder / "config"),
        "JUPYTERLAB_SETTINGS_DIR": str(folder / "settings"),
        "JUPYTERLAB_WORKSPACES_DIR": str(folder / "workspaces"),
        **more,
    }
    log = (folder / "server.log").open("w")
    server = subprocess.Popen(command, env=environment, stdout=log, stderr=subprocess.STDOUT, start_new_session=True)
    address = f"http://127.0.0.1:{port}"
    try:
        wait_for(f"{address}{answers}", server, folder / "server.log")
        yield address
    finally:
        _end(server)
        log.close()


@contextmanager
def page_of(address: str, path: str, width: int = 1400, height: int = 1000, *, density: float = 1.0):  # noqa: ANN201
    """A page of headless Chromium at a path of the server, on a screen of a density, and the errors of its console."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path=chromium(),
            args=["--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking", "--disable-component-update", "--disable-sync"],
        )
        page = browser.new_page(viewport={"width": width, "height": height}, device_scale_factor=density)
        errors: list[str] = []
        page.on("pageerror", lambda error: errors.append(str(error)))
        page.set_default_timeout(120_000)  # a page without code is whole only when its lesson has run, on a machine that tests on every core
        page.goto(f"{address}{path}?token={TOKEN}")
        try:
            yield page, errors
        finally:
            browser.close()


def run_all(page, appears: str) -> None:  # noqa: ANN001
    """Choose Run, then Run All Cells, until an element appears: once more if nothing happens, as lesson 00 tells a newcomer to."""
    from playwright.sync_api import TimeoutError as TooSlow

    page.locator(".jp-Notebook").wait_for(timeout=60 * SECONDS)
    page.get_by_text("| Idle").first.wait_for(timeout=60 * SECONDS)
    for _ in range(4):
        page.get_by_role("menuitem", name="Run", exact=True).click()
        page.get_by_role("menuitem", name="Run All Cells", exact=True).click()
        try:
            page.locator(appears).first.wait_for(timeout=25 * SECONDS)
        except TooSlow:
            continue
        return
    raise AssertionError(f"Run All Cells was chosen four times and no {appears} appeared")


def wait_for(url: str, server: subprocess.Popen, log: Path, seconds: float = 60.0) -> None:
    """Wait until a server answers; fails with the end of its log if it ends before, or does not answer in time."""
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        if server.poll() is not None:
            break
        try:
            urllib.request.urlopen(url, timeout=5).read()
            return
        except OSError:
            time.sleep(0.3)
    raise RuntimeError(f"the server did not answer; its log:\n{log.read_text()[-2000:]}")


def _end(server: subprocess.Popen, seconds: float = 30.0) -> None:
    """Ask a server to end, which ends its kernels too; then end by force what is left of its group."""
    server.terminate()
    with suppress(subprocess.TimeoutExpired):
        server.wait(seconds)
    if os.name == "posix":
        with suppress(ProcessLookupError):
            os.killpg(server.pid, signal.SIGKILL)
    else:
        server.kill()
    server.wait()
