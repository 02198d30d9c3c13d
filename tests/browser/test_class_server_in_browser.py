"""The class server of docs/class-server in real life: JupyterHub and its proxy on loopback, learners in headless Chromium."""

from __future__ import annotations

import asyncio
import time
from collections.abc import Iterator
from contextlib import contextmanager

import pytest

from tests.browser.server import PICTURE, SECONDS, chromium, run_all
from tests.class_member import Member, Refused
from tests.class_server import ClassServer, class_server, end, has_proxy

pytestmark = pytest.mark.browser

LESSON = "01-boiling-point-and-pressure.ipynb"
OTHERS = "lessons/00-start-here.ipynb"


@pytest.fixture(scope="module")
def server() -> Iterator[ClassServer]:
    """A running class server for two invented learners and an instructor."""
    chromium()
    has_proxy()
    with class_server(["ada", "ben"], instructors=("ines",)) as running:
        yield running


@contextmanager
def two_browsers():  # noqa: ANN201
    """Two windows of Chromium that know nothing of each other."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path=chromium(),
            args=["--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking", "--disable-component-update", "--disable-sync"],
        )
        pages = [browser.new_context(viewport={"width": 1400, "height": 1000}).new_page() for _ in range(2)]
        for page in pages:
            page.set_default_timeout(90 * SECONDS)
        try:
            yield pages
        finally:
            browser.close()


def log_in(page, server: ClassServer, name: str) -> None:  # noqa: ANN001
    """Type a name and the password of the class into the log-in page, and wait until JupyterLab shows a notebook."""
    page.goto(f"{server.address}/")
    page.get_by_label("Username").fill(name)
    page.get_by_label("Password").fill(server.password)
    page.get_by_role("button", name="Sign in").click()
    page.locator(".jp-Notebook").wait_for()


def come_in(server: ClassServer, name: str, does, password: str | None = None):  # noqa: ANN001, ANN201
    """What `does(member)` gives, with somebody who has logged in and has a session and a kernel of his or her own."""

    async def whole():  # noqa: ANN202
        member = Member(server.address, name)
        await member.log_in(password or server.password)
        if not await member.has_session():
            await member.start_session()
        await member.start_kernel()
        try:
            return await does(member)
        finally:
            await member.leave()

    return asyncio.run(whole())


def test_two_learners_work_in_sessions_of_their_own(server: ClassServer) -> None:
    """Two log in with real browsers; each lands at lesson 00 in a session of his or her own, and in lesson 01 a prediction opens a picture for each."""
    with two_browsers() as pages:
        for page, name in zip(pages, ("ada", "ben")):
            log_in(page, server, name)
            assert page.url == f"{server.address}/user/{name}/lab/tree/00-start-here.ipynb"
        for page, name in zip(pages, ("ada", "ben")):
            page.goto(f"{server.address}/user/{name}/lab/workspaces/{name}/tree/{LESSON}")
            run_all(page, "button:has-text('Commit, then show')")
            prediction = page.locator(".hpteach-view").first
            prediction.locator("input[type=radio]").first.click()
            prediction.get_by_role("button", name="Commit, then show").click()
            prediction.locator(PICTURE).first.wait_for()
        sessions = [command for command in server.processes().values() if "class_session" in command]
        assert 2 == len(sessions)
        for name in ("ada", "ben"):
            assert 1 == len(list((server.folder / "learners" / name).rglob("progress.sqlite*"))), "each has a record of his or her own"


def test_a_learner_cannot_open_anothers_session(server: ClassServer) -> None:
    """The browser of one learner is refused the pages and files of the other, and a password that is wrong or a name that is not in the list lets nobody in."""
    from playwright.sync_api import expect

    with two_browsers() as (ada, stranger):
        log_in(ada, server, "ada")
        log_in(stranger, server, "ben")  # so that there is a session to be kept out of
        stranger.goto("about:blank")
        stranger.context.clear_cookies()
        assert 403 == ada.goto(f"{server.address}/user/ben/api/contents/00-start-here.ipynb").status
        assert 403 == ada.goto(f"{server.address}/user/ben/lab").status
        for name, password in (("ada", "not-the-password"), ("carl", server.password), ("ines", server.password)):
            stranger.goto(f"{server.address}/hub/login")
            stranger.get_by_label("Username").fill(name)
            stranger.get_by_label("Password").fill(password)
            stranger.get_by_role("button", name="Sign in").click()
            expect(stranger.get_by_label("Username")).to_be_visible()
            assert 403 == stranger.goto(f"{server.address}/hub/home").status or "/hub/login" in stranger.url


def test_code_of_a_learner_cannot_open_anothers_files(server: ClassServer) -> None:
    """Code that a learner runs reads neither another's lessons, nor the passwords, nor what the server keeps for itself; it is not root's either."""
    if not server.own_numbers:
        reason = "learners have numbers of their own only where root starts the class server, with a Python and a copy of the project that every user may read"
        pytest.skip(reason)

    async def own_number(member: Member) -> str:
        return (await member.run("import os; print(os.getuid())")).strip()

    async def tried(member: Member) -> str:
        places = [f"learners/ben/{OTHERS}", "class-password", "instructor-password", "hub/proxy.pid", "hub/cookie-secret"]
        return await member.run(
            "def opened(place):\n    try:\n        return bool(open(place).read(1))\n    except PermissionError:\n        return 'refused'\n"
            f"print({{opened('{server.folder}/' + place) for place in {places}}}, opened('{server.folder}/learners/ada/{OTHERS}'))"
        )

    ben = come_in(server, "ben", own_number)
    assert (server.folder / "learners" / "ben" / OTHERS).is_file()
    assert "{'refused'} True" == come_in(server, "ada", tried).strip()
    assert len({"0", ben, come_in(server, "ada", own_number)}) == 3


def test_the_desk_is_for_instructors(server: ClassServer) -> None:
    """A learner's desk is off and the instructor's notebooks are not there; an instructor has both.  The record is kept for both."""

    async def found(member: Member) -> tuple[str, int]:
        told = await member.run("from hpteach.panels import PapersDesk\nfrom hpteach.assessment import Progress\nprint(PapersDesk()._act.disabled, Progress.open().kept)")
        try:
            return told.strip(), (await member.ask(f"/user/{member.name}/api/contents/instructor")).code
        except Refused as refusal:
            return told.strip(), refusal.code

    assert ("True True", 404) == come_in(server, "ada", found)
    assert ("False True", 200) == come_in(server, "ines", found, server.instructor_password)


def test_who_is_struck_off_the_list_is_out() -> None:
    """After the next start no cookie and no token from before lets anybody in; who was an instructor and is a learner now comes in as one."""
    has_proxy()
    with class_server(["ada", "ben"], instructors=("ines",)) as running:
        ben, ines = Member(running.address, "ben"), Member(running.address, "ines")

        async def logged_in() -> list[int]:
            await ben.log_in(running.password)
            await ines.log_in(running.instructor_password)
            return [await ben.status("/hub/api/user"), await ben.status("/hub/home", token=False), await ines.status("/hub/admin", token=False)]

        async def tried_again() -> list[int]:
            old = [await ben.status("/hub/api/user"), await ben.status("/hub/home", token=False), await ines.status("/hub/admin", token=False)]
            ines.forget()
            await ines.log_in(running.password)
            return [*old, await ines.status("/hub/home", token=False), await ines.status("/hub/admin", token=False)]

        assert [200, 200, 200] == asyncio.run(logged_in())
        end(running)
        (running.folder / "names.txt").write_text("ada\nines\n")
        (running.folder / "instructors.txt").write_text("ursula\n")
        running.start()
        assert [403, 302, 302, 200, 403] == asyncio.run(tried_again())


def test_an_idle_session_ends_and_nothing_is_left() -> None:
    """A session in use stays; one that nobody uses is ended with its kernel, and the learner's files stay; when the hub is asked to end, no process of it is left."""
    has_proxy()
    idle = 20
    with class_server(["ada"], idle=idle) as running:

        async def tried(member: Member) -> str:
            return await member.run("print(open('00-start-here.ipynb').read(1))")

        async def in_use(member: Member) -> list[str]:
            end_of_use = time.monotonic() + 3 * idle
            said = []
            while time.monotonic() < end_of_use:
                said.append((await tried(member)).strip())
                await asyncio.sleep(1.0)
            return said

        assert {"{"} == set(come_in(running, "ada", in_use))
        assert "Culling server ada" not in running.log()
        assert any("class_session" in command for command in running.processes().values())
        end_of_waiting = time.monotonic() + 120
        while any("class_session" in command or "ipykernel" in command for command in running.processes().values()):
            assert time.monotonic() < end_of_waiting, running.log()[-3000:]
            time.sleep(0.5)
        assert "Culling server ada" in running.log()
        assert (running.folder / "learners" / "ada" / OTHERS).is_file()

        come_in(running, "ada", tried)  # a session is there again when the hub ends
        running.hub.terminate()
        assert 0 == running.hub.wait(90)
        end_of_waiting = time.monotonic() + 20  # a kernel looks once a second whether its server is there
        while running.processes() and time.monotonic() < end_of_waiting:
            time.sleep(0.5)
        assert {} == running.processes()
