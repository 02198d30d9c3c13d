"""A class at the class server on loopback: memory of each learner, time to the first picture, latency of a slider while several drag.

Run by hand from the top of the project: python -m tests.bench.bench_class_server [30] [--dragging 1 5 10 30] [--seconds 20]
Prints tables; nothing here gates anything.  It ends by itself, and the server with it.

The learners are programs (tests/class_member.py): all log in at the same moment, start a session and a kernel, run all cells of lesson 05 and commit its
first prediction.  The first picture is there when its message has come.  Then some of them drag the slider of the saturated condensing temperature at
ten moves in a second.  As in a browser, a move that comes while the kernel is still at the last one waits, and only the newest of those that wait is sent.
The latency counts from the moment of the move, waiting included, until the last picture of that move has come.  A browser then needs some ms more to paint it.
Memory is the proportional set size (PSS) of Linux: what processes share is shared out among them, so that it may be added up.
The learners themselves run on the same cores; what they take is printed too.
"""

from __future__ import annotations

import argparse
import asyncio
import json
import os
import statistics
import time
from pathlib import Path
from typing import NamedTuple

from tornado.httpclient import AsyncHTTPClient

from tests.class_member import Member, Said
from tests.class_server import ROOT, ClassServer, class_server

LESSON = ROOT / "notebooks" / "05-cooling-with-numbers.ipynb"
SLIDER = "saturated condensing"
LOWEST, HIGHEST, STEP = 25.0, 60.0, 0.5  # °C
PERIOD = 0.1  # s between two moves
MOST_LEARNERS = 60
MOST_SECONDS = 60.0
KINDS = ("kernel", "session", "proxy", "hub")


class Times(NamedTuple):
    """Seconds from the common start until a learner has each."""

    session: float
    kernel: float
    cells: float
    picture: float


def kind_of(command: str) -> str:
    """Which part of the server a process is."""
    words = {"ipykernel": "kernel", "class_session": "session", "configurable-http-proxy": "proxy"}
    return next((kind for word, kind in words.items() if word in command), "hub")


def memory(server: ClassServer) -> dict[str, float]:
    """The PSS of all processes by their kind, in MB."""
    found = dict.fromkeys(KINDS, 0.0)
    for number, command in server.processes().items():
        lines = Path(f"/proc/{number}/smaps_rollup").read_text().splitlines()
        found[kind_of(command)] += next(float(line.split()[1]) for line in lines if line.startswith("Pss:")) * 1024 / 1e6
    return found


def work(server: ClassServer) -> dict[str, float]:
    """The CPU time of all processes by their kind, in seconds."""
    found = dict.fromkeys(KINDS, 0.0)
    for number, command in server.processes().items():
        fields = Path(f"/proc/{number}/stat").read_text().rpartition(")")[2].split()
        found[kind_of(command)] += (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")
    return found


def is_picture(said: Said, member: Member) -> bool:
    """Whether a message brings a picture."""
    shown = said.content.get("data", {}).get("buffer_paths", [])
    return said.kind in ("comm_msg", "comm_open") and any(path[0] in ("still", "patch") for path in shown) and "density" in member.comms[said.content["comm_id"]]


async def come_in(member: Member, password: str, start: float) -> Times:
    """From the log-in to the first picture."""
    await member.log_in(password)
    await member.start_session()
    session = time.monotonic()
    await member.start_kernel()
    kernel = time.monotonic()
    for cell in json.loads(LESSON.read_text("utf-8"))["cells"]:
        if cell["cell_type"] == "code":
            await member.run("".join(cell["source"]))
    cells = time.monotonic()
    form = next(member.widgets("choices", "kind"))
    queue: asyncio.Queue[Said] = asyncio.Queue()
    member.heard.append(queue)
    member.press(form, {"answer": member.comms[form]["choices"][0]["value"], "check": True})
    async with asyncio.timeout(120):
        while not is_picture(said := await queue.get(), member):
            pass
    member.heard.remove(queue)
    return Times(*(at - start for at in (session, kernel, cells, said.at)))


async def drag(member: Member, seconds: float, first: float) -> tuple[int, list[float]]:
    """Drag the slider; gives how many moves the hand made, and the latency of each that was shown."""
    slider = next(id for id in member.widgets("description", "min", "value") if member.comms[id]["description"].startswith(SLIDER))
    steps = int((HIGHEST - LOWEST) / STEP)
    queue: asyncio.Queue[Said] = asyncio.Queue()
    member.heard.append(queue)
    moved, latencies = 0, []
    sent, of_sent, pictured = "", 0.0, 0.0  # the message under way, the moment of its move, its last picture
    waiting: tuple[float, float] | None = None
    following = time.monotonic() + first
    end = following + seconds
    while following < end or sent:
        if time.monotonic() > end + 60.0:
            raise TimeoutError(f"the kernel of {member.name} did not answer a move within a minute")
        if following < end and time.monotonic() >= following:
            moved += 1
            up, along = divmod(moved, steps)
            waiting = (following, LOWEST + STEP * (along if up % 2 == 0 else steps - along))
            following += PERIOD
        if waiting and not sent:
            (of_sent, value), waiting, pictured = waiting, None, 0.0
            sent = member.tell_widget(slider, {"value": value})
        try:
            said = await asyncio.wait_for(queue.get(), max(0.001, following - time.monotonic()) if following < end else 1.0)
        except TimeoutError:
            continue
        if said.parent != sent:
            continue
        if is_picture(said, member):
            pictured = said.at
        if said.kind == "status" and said.content["execution_state"] == "idle":
            sent = ""
            if pictured:
                latencies.append(pictured - of_sent)
    member.heard.remove(queue)
    return moved, latencies


def late(values: list[float]) -> float:
    """The 95th percentile."""
    return statistics.quantiles(values, n=20)[-1] if len(values) > 1 else values[0]


async def dragged(server: ClassServer, members: list[Member], seconds: float) -> None:
    """Let these drag all at once, and print a line."""
    before, own, start = work(server), sum(os.times()[:2]), time.monotonic()
    found = await asyncio.gather(*(drag(member, seconds, PERIOD * index / len(members)) for index, member in enumerate(members)))
    took = time.monotonic() - start
    own = sum(os.times()[:2]) - own
    cost = {kind: now - before[kind] for kind, now in work(server).items()}
    moves, latencies = sum(moved for moved, _ in found), [1000.0 * one for _, some in found for one in some]
    shares = "  ".join(f"{kind} {1000.0 * cost[kind] / len(latencies):5.1f}" for kind in KINDS)
    print(
        f"{len(members):9d} {moves:6d} {len(latencies):7d} {len(latencies) / took / len(members):9.1f} {statistics.median(latencies):8.0f} {late(latencies):7.0f}"
        f" {sum(cost.values()) / took:8.2f} {own / took:7.2f} {1000.0 * sum(cost.values()) / len(latencies):8.1f}   {shares}   load {os.getloadavg()[0]:.1f}",
        flush=True,
    )


async def measured(server: ClassServer, names: list[str], dragging: list[int], seconds: float) -> None:
    """All come in at once; then some of them drag."""
    members = [Member(server.address, name) for name in names]
    before, own, load, start = sum(work(server).values()), sum(os.times()[:2]), os.getloadavg()[0], time.monotonic()
    try:
        times = await asyncio.gather(*(come_in(member, server.password, start) for member in members))
        took, spent, own = time.monotonic() - start, sum(work(server).values()) - before, sum(os.times()[:2]) - own
        print(f"\nall {len(names)} at once, {os.cpu_count()} cores, load average before {load:.1f}")
        print("seconds from the log-in until   median     last")
        for what, one in zip(("the session is ready", "the kernel is ready", "all cells have run", "the first picture is there"), zip(*times)):
            print(f"{what:28s} {statistics.median(one):9.1f} {max(one):8.1f}")
        print(f"CPU until then: {spent / len(names):.1f} s for each learner, {spent / took:.2f} cores; the measuring itself {own / took:.2f} cores")
        await asyncio.sleep(2.0)
        held = memory(server)
        each = (held["kernel"] + held["session"]) / len(names)
        print(f"memory: {each:.0f} MB for each learner (session {held['session'] / len(names):.0f}, kernel {held['kernel'] / len(names):.0f});", end=" ")
        print(f"hub, culler and proxy {held['hub'] + held['proxy']:.0f} MB; together {sum(held.values()) / 1000:.2f} GB")
        print("\n dragging  moves   shown   shown/s median ms  p95 ms    cores measuring  CPU ms for each shown move")
        for count in dragging:
            await dragged(server, members[:count], seconds)
        held = memory(server)
        print(f"memory after: {(held['kernel'] + held['session']) / len(names):.0f} MB for each learner")
    finally:
        await asyncio.gather(*(member.leave() for member in members))


def main() -> None:
    """Read the words and measure."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("learners", nargs="?", type=int, default=30, choices=range(1, MOST_LEARNERS + 1), metavar=f"1..{MOST_LEARNERS}")
    parser.add_argument("--dragging", nargs="+", type=int, help="how many drag at the same time, one round after the other (default: all)")
    parser.add_argument("--seconds", type=float, default=20.0)
    words = parser.parse_args()
    dragging = words.dragging or [words.learners]
    if not (1 <= min(dragging) and max(dragging) <= words.learners and 1 <= words.seconds <= MOST_SECONDS):
        parser.error(f"let 1 to {words.learners} learners drag, for 1 to {MOST_SECONDS:g} seconds")
    names = [f"learner{number:02d}" for number in range(1, words.learners + 1)]
    AsyncHTTPClient.configure(None, max_clients=4 * MOST_LEARNERS)
    with class_server(names) as server:
        asyncio.run(measured(server, names, dragging, words.seconds))


if __name__ == "__main__":
    main()
