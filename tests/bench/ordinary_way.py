"""Scratch notebooks for the speed in the browser: the panels, and the ordinary way to the same two charts.

What lives here: their text.  What does not: measuring (page_clock).
The ordinary way is `interact` with a new figure at each move, drawn by the same code of the charts, so that what is
compared is the way and not the drawing.  `READY` swaps two finished pictures and computes nothing: what the way itself costs.
"""

from __future__ import annotations

import json
from pathlib import Path

EXPLORER = """
from hpteach.panels import CycleExplorer
CycleExplorer()
"""

CHANGEOVER = """
from hpteach.panels import Changeover
Changeover(predict=False)
"""

ORDINARY = """
import matplotlib.pyplot as plt
from ipywidgets import FloatSlider, interact

from hpteach.circuit import ValvePosition
from hpteach.cycle import Conditions, solve
from hpteach.diagrams import CHARTS
from hpteach.fluids import refrigerant

fluid = refrigerant("R-410A")

def draw(condensing):
    cycle = solve(fluid, Conditions(ValvePosition.COOLING, "indoor coil", 280.15, 273.15 + condensing, 5.0, 5.0, 0.7))
    figure, both = plt.subplots(1, 2, figsize=(11.92, 5.0), dpi=100)
    for axes, kind in zip(both, CHARTS):
        CHARTS[kind](axes, fluid).add_cycle(cycle)
    plt.show()

interact(draw, condensing=FloatSlider(value=45.0, min=15.0, max=65.0, step=0.5));
"""

STAGES = """
import time
from pathlib import Path

from hpteach.panels import CycleExplorer

view, book = CycleExplorer(), Path("stamps.txt").open("w", buffering=1)

def stamp(word):
    book.write(f"{word} {1e3 * time.time():.3f}\\n")

kernel = get_ipython().kernel
handle, refresh = kernel.shell_handlers["comm_msg"], view.refresh

def received(stream, ident, parent):
    stamp("received")
    return handle(stream, ident, parent)

def refreshed():
    stamp("begin")
    refresh()
    stamp("end")

kernel.shell_handlers["comm_msg"], view.refresh = received, refreshed
for picture in view._pictures.values():
    picture.image.observe(lambda _: stamp("sent"), "patch")
view
"""

READY = """
from ipywidgets import FloatSlider, VBox

from hpteach.live import Picture
from hpteach.panels import CycleExplorer

view, finished = CycleExplorer(), []
for number in (45.0, 46.0):
    view.controls["saturated_condensing_temperature"].value = number
    finished.append([(picture.image.still, picture.image.patch) for picture in view._pictures.values()])

slider, images = FloatSlider(value=45.0), [Picture(width=594, height=517, still=still, patch=patch) for still, patch in finished[0]]

def swap(change):
    finished.reverse()
    for image, (_, patch) in zip(images, finished[0]):
        image.patch = patch

slider.observe(swap, "value")
panel = VBox([slider, *images])
panel.add_class("hpteach-view")
panel
"""

NOTEBOOKS = {"explorer": EXPLORER, "changeover": CHANGEOVER, "ordinary": ORDINARY, "stages": STAGES, "ready": READY}


def write_notebooks(folder: Path) -> None:
    """Write each as FOLDER/scratch-NAME.ipynb, with one cell."""
    for name, text in NOTEBOOKS.items():
        cell = {"cell_type": "code", "execution_count": None, "id": f"scratch-{name}", "metadata": {}, "outputs": [], "source": text.strip()}
        kernel = {"display_name": "Python 3 (ipykernel)", "language": "python", "name": "python3"}
        notebook = {"cells": [cell], "metadata": {"kernelspec": kernel, "language_info": {"name": "python"}}, "nbformat": 4, "nbformat_minor": 5}
        (folder / f"scratch-{name}.ipynb").write_text(json.dumps(notebook), encoding="utf-8")
