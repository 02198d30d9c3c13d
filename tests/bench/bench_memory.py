"""What one learner's kernel takes, lesson by lesson: memory, and the time to the first live picture.

Run by hand from the top of the project: python -m tests.bench.bench_memory [03 11 ...] [--moves 200] [--imports]
Prints a table; nothing here gates anything.  The aims are 200 MB with a panel open, and 4 s to the first picture on a quiet machine.

first    seconds from the start of the kernel to the first picture that it sends; the prediction before it is committed at once
work     seconds that the kernel's processor worked until then, which other programs on the machine do not lengthen
opened   PSS once that picture has been sent: one panel open
all      PSS after every cell, with each prediction committed and the panel behind it open
moved    the same after so many moves of one slider of the last panel; RSS and its peak beside it

PSS counts a page that several processes share by each one's part of it.  `--imports` prints instead what each import adds to a bare Python.
"""

from __future__ import annotations

import argparse
import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from queue import Empty

import nbformat
from jupyter_client import KernelManager

LESSONS = Path(__file__).parents[2] / "notebooks"
PATIENCE = 600.0
"""Seconds for which a cell may work."""

COMMIT = """
view = Out.get(len(In) - 1)
if type(view).__name__ == "Prediction":
    view.controls["prediction"].value = view.controls["prediction"].options[0]
    view.commit()
    if view.refusal:
        raise SystemExit(view.refusal)
    view = view.revealed
elif type(view).__name__ == "Changeover" and not view._shown:
    for name in ("condenser", "check_valve", "metering_device"):
        view.controls[name].index = 0
    view.guard(view.commit)
if getattr(view, "pictures_shown", ()):
    last = view
"""

MOVE = """
import ipywidgets
slider = next((one for one in last.controls.values() if isinstance(one, ipywidgets.FloatSlider) and not one.disabled), None)
if slider is not None:
    reach = min(40, int((slider.max - slider.min) / slider.step))
    start = slider.min + (int((slider.max - slider.min) / slider.step) - reach) // 2 * slider.step
    for move in range({moves}):
        at = move % (2 * reach)
        slider.value = start + slider.step * min(at, 2 * reach - at)
"""

IMPORTS = ("numpy", "IPython", "ipykernel.kernelapp", "ipywidgets", "anywidget", "matplotlib.figure", "matplotlib.backends.backend_agg", "CoolProp", "scipy.optimize", "pint", "hpteach.panels")
GROWTH = """
import importlib, sys, time
def rss():
    return next(int(line.split()[1]) for line in open("/proc/self/smaps_rollup") if line.startswith("Pss:")) / 1000.0
for name in sys.argv[1:]:
    before, begin = rss(), time.perf_counter()
    importlib.import_module(name)
    print(f"{name:<36} {rss() - before:7.1f} MB {time.perf_counter() - begin:6.2f} s   together {rss():6.1f} MB")
"""


def memory(process: int) -> dict[str, float]:
    """PSS, RSS and the highest RSS of a process in MB."""
    told = dict(line.split(":", 1) for path in ("smaps_rollup", "status") for line in Path(f"/proc/{process}/{path}").read_text("utf-8").splitlines() if ":" in line)
    return {name: int(told[name].split()[0]) * 1024 / 1e6 for name in ("Pss", "Rss", "VmHWM")}


def worked(process: int) -> float:
    """Seconds of processor time that a process has taken."""
    fields = Path(f"/proc/{process}/stat").read_text("utf-8").rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


@contextmanager
def kernel() -> Iterator[tuple[Callable[[str], float | None], int, float]]:
    """A real kernel with what runs a cell in it, its process, and when it was started."""
    with tempfile.TemporaryDirectory() as folder:
        begin = time.perf_counter()
        manager = KernelManager(kernel_name="python3")
        manager.start_kernel(cwd=folder, env={**os.environ, "HPTEACH_PROGRESS": "off"})
        client = manager.client()
        client.start_channels()
        client.wait_for_ready(timeout=PATIENCE)

        def run(source: str, *, counted: bool = True) -> float | None:
            """Run a cell; gives when its first picture came, or None; raises `RuntimeError` for a cell that fails."""
            asked, first = client.execute(source, store_history=counted, silent=not counted), None
            while True:
                try:
                    message = client.get_iopub_msg(timeout=PATIENCE)
                except Empty:
                    raise RuntimeError(f"no word for {PATIENCE:.0f} s: {source[:200]}") from None
                if first is None and shows_picture(message):
                    first = time.perf_counter()
                if message["parent_header"].get("msg_id") != asked:
                    continue
                if message["msg_type"] == "error":
                    raise RuntimeError("\n".join(message["content"]["traceback"]))
                if message["msg_type"] == "status" and message["content"]["execution_state"] == "idle":
                    return first

        try:
            yield run, manager.provisioner.process.pid, begin
        finally:
            client.stop_channels()
            manager.shutdown_kernel(now=True)


def shows_picture(message: dict) -> bool:
    """Whether a message carries the still part of a picture."""
    data = message["content"].get("data", {})
    paths = data.get("buffer_paths", ()) if message["msg_type"] in ("comm_open", "comm_msg") else ()
    return any(path == ["still"] and len(buffer) > 0 for path, buffer in zip(paths, message["buffers"]))


def measured(lesson: Path, moves: int) -> str:
    """The row of a lesson."""
    cells = [cell.source for cell in nbformat.read(lesson, 4).cells if cell.cell_type == "code"]
    first = work = opened = None
    with kernel() as (run, process, begin):
        run("last = None", counted=False)
        for source in cells:
            seen = [run(source), run(COMMIT, counted=False)]
            if first is None and any(seen):
                first, work, opened = min(filter(None, seen)) - begin, worked(process), memory(process)["Pss"]
        done, everything = time.perf_counter() - begin, memory(process)["Pss"]
        run("if last is not None:\n" + "".join(f"    {line}\n" for line in MOVE.format(moves=moves).splitlines()), counted=False)
        after = memory(process)
    shown = [f"{number:>7.1f}" if number is not None else f"{'-':>7}" for number in (first, work, opened, everything, after["Pss"], after["Rss"], after["VmHWM"], done)]
    return f"{lesson.stem:<28}" + "".join(shown)


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("lessons", nargs="*", help="the first letters of lessons; all where none is given")
    parser.add_argument("--moves", type=int, default=200, help="of one slider, after all cells")
    parser.add_argument("--imports", action="store_true", help="what each import adds, in a bare Python")
    args = parser.parse_args()
    if args.imports:
        subprocess.run([sys.executable, "-c", GROWTH, *IMPORTS], check=True)
        return
    print(f"{'lesson':<28}  first s work s opened    all  moved    RSS   peak  done s   (MB)")
    for lesson in sorted(LESSONS.glob("*.ipynb")):
        if not args.lessons or lesson.name.startswith(tuple(args.lessons)):
            print(measured(lesson, args.moves), flush=True)


if __name__ == "__main__":
    main()
