"""A clock in the page: from a key press on a slider to the painted frame.

What lives here: opening a scratch notebook, pressing keys, reading the stamps.  What does not: what is compared (bench_browser).

A press begins with the time stamp of the browser's key event.  A picture counts as painted at the first task after the
frame that shows it: a message posted in that animation frame is heard once the frame is painted.  `strict` waits for the
frame after that one, which adds up to 17 ms of waiting to what was already on the screen.
"""

from __future__ import annotations

import base64
import math
import statistics
from collections.abc import Sequence
from dataclasses import dataclass

from tests.browser.server import SECONDS

PAUSE = 250.0  # ms between presses, so that no frame waits for another
REPEAT = 30.0  # presses per second of a key held down

CLOCK = """
(root) => {
  const clock = { presses: [], paints: [], lost: 0 };
  window.pageClock = clock;
  const PICTURE = "canvas, img";
  document.addEventListener("keydown", (event) => clock.presses.push({ at: event.timeStamp, heard: performance.now() }), true);
  const frame = () => new Promise((resolve) => requestAnimationFrame(() => resolve(performance.now())));
  const afterPaint = () => new Promise((resolve) => requestAnimationFrame(() => {
    const channel = new MessageChannel();
    channel.port1.onmessage = () => resolve(performance.now());
    channel.port2.postMessage(0);
  }));
  const follow = async (image) => {
    const paint = { picture: [...root.querySelectorAll(PICTURE)].indexOf(image), changed: performance.now() };
    try {
      if (image.tagName === "IMG") await image.decode();
      paint.decoded = performance.now();
      const second = frame().then(frame);
      paint.painted = await afterPaint();
      paint.strict = await second;
      clock.paints.push(paint);
    } catch { clock.lost += 1; }
  };
  new MutationObserver((records) => {
    const images = new Set();
    for (const record of records) {
      if (record.type === "attributes") images.add(record.target);
      for (const node of record.addedNodes) {
        if (node.tagName === "IMG") images.add(node);
        else if (node.querySelectorAll) node.querySelectorAll("img").forEach((image) => images.add(image));
      }
    }
    images.forEach((image) => (image.tagName === "CANVAS" || (image.tagName === "IMG" && image.src)) && follow(image));
  }).observe(root, { subtree: true, childList: true, attributes: true, attributeFilter: ["src", "data-frame"] });
}
"""

SHOWN = """
(root) => [...root.querySelectorAll("canvas")].map((canvas) => canvas.toDataURL("image/png").split(",")[1])
"""


@dataclass(frozen=True)
class Press:
    """A key press and the paints it led to, one for each picture; all times in ms of the page's clock."""

    at: float
    heard: float
    paints: tuple[dict, ...]

    @property
    def took(self) -> float:
        """From the press until all pictures were painted."""
        return max(paint["painted"] for paint in self.paints) - self.at

    @property
    def took_strictly(self) -> float:
        """The same with two frames after the decoding."""
        return max(paint["strict"] for paint in self.paints) - self.at


@dataclass(frozen=True)
class Burst:
    """A key held down: how many presses, how many frames with every picture new, how long from the last press to the last frame."""

    presses: int
    lasted: float
    frames: int
    settled: float


def late(times: Sequence[float]) -> float:
    """The 95th percentile by nearest rank: the least of the times that at least 95 in 100 do not exceed."""
    return sorted(times)[math.ceil(0.95 * len(times)) - 1]


def said(times: Sequence[float]) -> str:
    """Number, median, 95th percentile and the longest, in ms."""
    return f"{len(times)} presses: median {statistics.median(times):.1f} ms, 95th percentile {late(times):.1f} ms, longest {max(times):.1f} ms"


class PageClock:
    """The clock on one panel of a page: `root` is its element, `pictures` how many it shows, `slider` which one is moved."""

    def __init__(self, page, root: str, pictures: int, slider: int) -> None:  # noqa: ANN001
        self.page, self.pictures = page, pictures
        self.root = page.locator(root).first
        self.handle = self.root.get_by_role("slider").nth(slider)
        self.handle.wait_for(timeout=90 * SECONDS)
        self._wait_for_pictures()
        self.root.evaluate(CLOCK)
        self.handle.focus()
        for key in ("ArrowRight", "ArrowLeft") * 3:
            self._pressed(key)
        self._forget()

    def presses(self, count: int) -> list[Press]:
        """Press keys one after the other, up and down the slider; each must have led to one paint of each picture."""
        self._forget()
        for number in range(count):
            self._pressed("ArrowRight" if number // 10 % 2 == 0 else "ArrowLeft")
        stamps = self.page.evaluate("pageClock")
        if stamps["lost"] or len(stamps["presses"]) != count:
            raise AssertionError(f"{len(stamps['presses'])} of {count} presses were heard and {stamps['lost']} pictures could not be decoded")
        ends = [press["at"] for press in stamps["presses"][1:]] + [float("inf")]
        found = []
        for press, end in zip(stamps["presses"], ends):
            paints = tuple(sorted((paint for paint in stamps["paints"] if press["at"] <= paint["changed"] < end), key=lambda paint: paint["picture"]))
            if [paint["picture"] for paint in paints] != list(range(self.pictures)):
                raise AssertionError(f"press {len(found) + 1} led to paints of the pictures {[paint['picture'] for paint in paints]}")
            found.append(Press(press["at"], press["heard"], paints))
        return found

    def burst(self, count: int = 30) -> Burst:
        """Hold a key down for `count` presses, and wait until no picture has changed for a while."""
        self._forget()
        begin = self.page.evaluate("performance.now()")
        for number in range(count):
            wait = begin + number * SECONDS / REPEAT - self.page.evaluate("performance.now()")
            if wait > 0:
                self.page.wait_for_timeout(wait)
            self.page.keyboard.down("ArrowRight")
        self.page.keyboard.up("ArrowRight")
        self._quiet()
        stamps = self.page.evaluate("pageClock")
        at = [press["at"] for press in stamps["presses"]]
        painted = [[paint["painted"] for paint in stamps["paints"] if paint["picture"] == picture] for picture in range(self.pictures)]
        last = max(max(times) for times in painted)
        return Burst(len(at), at[-1] - at[0], min(len(times) for times in painted), last - at[-1])

    def shown(self) -> list[bytes]:
        """The pictures as they stand in the page, as PNG."""
        return [base64.b64decode(text) for text in self.root.evaluate(SHOWN)]

    def value(self) -> float:
        """The slider's number as the page says it."""
        return float(self.handle.get_attribute("aria-valuenow"))

    def _wait_for_pictures(self) -> None:
        """Wait for the first pictures; what is drawn before an output is listened to is lost, and a key press draws it again."""
        from playwright.sync_api import TimeoutError as TooSlow

        for _ in range(3):
            try:
                self.root.locator("canvas[data-frame], img").nth(self.pictures - 1).wait_for(timeout=60 * SECONDS)
            except TooSlow:
                self.handle.press("ArrowRight")
            else:
                return
        raise AssertionError(f"{self.root.locator('canvas[data-frame], img').count()} of {self.pictures} pictures are there")

    def _pressed(self, key: str) -> None:
        before = self.page.evaluate("pageClock.paints.length")
        self.handle.press(key)
        self.page.wait_for_timeout(PAUSE)
        self.page.wait_for_function("(enough) => pageClock.paints.length >= enough", arg=before + self.pictures, timeout=60 * SECONDS)

    def _quiet(self) -> None:
        seen = -1
        while (now := self.page.evaluate("pageClock.paints.length")) != seen:
            seen = now
            self.page.wait_for_timeout(2 * SECONDS)

    def _forget(self) -> None:
        self._quiet()
        self.page.evaluate("Object.assign(pageClock, { presses: [], paints: [], lost: 0 })")
