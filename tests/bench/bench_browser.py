"""From a key press on a slider to the painted frame in headless Chromium, the ordinary way beside it, in one run.

Run by hand from the top of the project: python -m tests.bench.bench_browser [--pages] [--stages] [--presses 60]
Prints medians and 95th percentiles; nothing here gates anything.  The aim is 40 ms and 80 ms on a quiet machine.

explorer    the cycle explorer: both charts
changeover  the changeover without its questions: drawing and both charts
ordinary    `interact` with a new pyplot figure of the same two charts at each move
burst       a key held down at 30 presses in a second: frames painted, and the time from the last press to the last frame
--pages     the same on the pages without code instead of in JupyterLab
--stages    where the time of the explorer goes, stamped in the page and in the kernel by the same wall clock;
            and the time of two finished pictures, which is what server, browser and screen need for themselves
"""

from __future__ import annotations

import argparse
import io
import statistics
import tempfile
from collections.abc import Callable
from contextlib import contextmanager
from pathlib import Path

import numpy as np
from PIL import Image

from hpteach.panels import CycleExplorer
from tests.bench.ordinary_way import write_notebooks
from tests.bench.page_clock import PageClock, late, said
from tests.browser import server

# name: (element, pictures, which slider of it)
PLACES = {
    "explorer": (".hpteach-view", 2, 1),
    "changeover": (".hpteach-view", 3, 1),
    "ordinary": (".widget-interact", 1, 0),
    "stages": (".hpteach-view", 2, 1),
    "ready": (".hpteach-view", 2, 0),
}
AIM = (40.0, 80.0)

SOCKET = """
window.socketStamps = { sent: [], arrived: [] };
const Plain = window.WebSocket;
window.WebSocket = class extends Plain {
  constructor(...words) {
    super(...words);
    this.addEventListener("message", (event) => {
      const size = event.data.byteLength ?? event.data.size ?? event.data.length;
      window.socketStamps.arrived.push([performance.now(), size]);
    });
  }
  send(data) { window.socketStamps.sent.push(performance.now()); super.send(data); }
};
"""


@contextmanager
def opened(address: str, name: str, *, pages: bool = False, script: str = ""):  # noqa: ANN201
    """The clock on a scratch notebook, run."""
    path = f"/voila/render/scratch-{name}.ipynb" if pages else f"/lab/workspaces/scratch-{name}/tree/scratch-{name}.ipynb"
    with server.page_of(address, path, height=1000) as (page, errors):
        if script:
            page.add_init_script(script)
            page.reload()
        if not pages:
            server.run_all(page, "[role=slider]")
        yield PageClock(page, *PLACES[name])
        if errors:
            print(f"errors of the page: {errors}")


def alike(first: bytes, second: bytes) -> bool:
    """Whether two pictures are the same but for a label that kept to its side of a point: at most four pixels in a thousand."""
    one, other = (np.asarray(Image.open(io.BytesIO(png)).convert("RGB")) for png in (first, second))
    return one.shape == other.shape and float((one != other).any(axis=2).mean()) < 0.004


def ends_where_the_key_ends(clock: PageClock) -> str:
    """Whether the pictures in the page are those of a panel without a page, moved to the same number."""
    view = CycleExplorer()
    view.controls["saturated_condensing_temperature"].value = clock.value()
    same = all(alike(picture.image.value, shown) for picture, shown in zip(view._pictures.values(), clock.shown()))
    return f"the last frame is that of {clock.value():g}" if same else f"THE LAST FRAME IS NOT THAT OF {clock.value():g}"


def measured(address: str, presses: int, *, pages: bool) -> None:
    """Print a line for each of the three."""
    medians = {}
    for name in ("explorer", "changeover", "ordinary"):
        with opened(address, name, pages=pages) as clock:
            found = clock.presses(presses)
            times = [press.took for press in found]
            medians[name] = statistics.median(times)
            print(f"{name:11} {said(times)}", flush=True)
            print(f"{'':11} and one frame more: {said([press.took_strictly for press in found])}")
            burst = clock.burst()
            print(
                f"{'':11} burst: {burst.presses} presses in {burst.lasted:.0f} ms, {burst.frames} frames, last one {burst.settled:.0f} ms after the last press",
                flush=True,
            )
            if name == "explorer":
                print(f"{'':11} {ends_where_the_key_ends(clock)}")
                print(f"{'':11} aim {AIM[0]:.0f} and {AIM[1]:.0f} ms: {'met' if medians[name] <= AIM[0] and late(times) <= AIM[1] else 'not met'}")
    print(f"ordinary / explorer: {medians['ordinary'] / medians['explorer']:.1f}")


def stages(address: str, folder: Path, presses: int, *, pages: bool) -> None:
    """Print where the time of a press goes, as medians and 95th percentiles over the presses."""
    with opened(address, "ready", pages=pages) as clock:
        print(f"two finished pictures, nothing computed: {said([press.took for press in clock.presses(presses)])}")
    with opened(address, "stages", pages=pages, script=SOCKET) as clock:
        found = clock.presses(presses)
        origin, sockets = clock.page.evaluate("[performance.timeOrigin, socketStamps]")
    kernel = [(word, float(time) - origin) for word, time in (line.split() for line in (folder / "stamps.txt").read_text().splitlines())]
    rows: dict[str, list[float]] = {}
    for press in found:
        done = max(paint["painted"] for paint in press.paints)

        def of(word: str, at: float = press.at, done: float = done) -> list[float]:
            return [time for other, time in kernel if other == word and at - 5 <= time <= done]

        sent = [time for time in sockets["sent"] if press.at <= time <= done]
        arrived = [time for time, size in sockets["arrived"] if press.at <= time <= done and size > 8000]
        if not (sent and len(of("sent")) == 2 and of("received") and of("end") and len(arrived) >= 2):
            rows.setdefault("not told apart", []).append(0.0)
            continue
        last: Callable[[str], float] = lambda word, press=press: max(paint[word] for paint in press.paints)  # noqa: E731
        marks = {
            "key event to listener": press.heard,
            "listener to socket (slider, model)": sent[0],
            "socket to kernel (server, zmq)": of("received")[0],
            "kernel: message to refresh": of("begin")[0],
            "kernel: solve, first picture": of("sent")[0],
            "kernel: second picture": of("sent")[1],
            "kernel to socket, second picture": arrived[1],
            "socket to drawn picture": last("changed"),
            "until the frame is painted": last("painted"),
        }
        before = press.at
        for word, time in marks.items():
            rows.setdefault(word, []).append(time - before)
            before = time
        rows.setdefault("(kernel: table, words, after the pictures)", []).append(of("end")[0] - of("sent")[1])
        rows.setdefault("(first picture: sent to drawn)", []).append(min(paint["changed"] for paint in press.paints) - of("sent")[0])
        rows.setdefault("all", []).append(press.took)
        rows.setdefault("(all, and one frame more)", []).append(press.took_strictly)
    print(f"{'stage':42} {'median ms':>10} {'p95 ms':>8}")
    for word, times in rows.items():
        print(f"{word:42} {statistics.median(times):10.1f} {late(times):8.1f}   {len(times)}")


def main() -> None:
    """Start the server, measure, print."""
    words = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    words.add_argument("--pages", action="store_true", help="on the pages without code")
    words.add_argument("--stages", action="store_true", help="where the time goes")
    words.add_argument("--presses", type=int, default=60)
    chosen = words.parse_args()
    serving = server.pages if chosen.pages else server.jupyterlab
    with tempfile.TemporaryDirectory() as temporary:
        folder = Path(temporary)
        with serving(folder) as address:
            write_notebooks(folder / "notebooks")
            if chosen.stages:
                stages(address, folder / "notebooks", chosen.presses, pages=chosen.pages)
            else:
                measured(address, chosen.presses, pages=chosen.pages)


if __name__ == "__main__":
    main()
