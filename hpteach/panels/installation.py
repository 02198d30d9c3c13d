"""Is everything there?  The check of the installation at the start of the course.

What lives here: `installation_check`.  What does not: installing anything.
"""

from __future__ import annotations

from importlib.metadata import version

import ipywidgets

from hpteach.fluids import refrigerant
from hpteach.panels.parts import CSS, paragraphs
from hpteach.questions import read_bank
from hpteach.tables import Table
from hpteach.units import show

# kPa at 40 C, from the handbook saturation table in tests/reference (02_saturation_points.csv).
_R134A_AT_40 = 1016.6


def installation_check() -> ipywidgets.Widget:
    """A table of what was found, with one published figure recomputed on this machine.

    >>> installation_check().children[1].value.count("works")
    3
    """
    computed = refrigerant("R-134a").dew_pressure(313.15)
    right = abs(computed / 1000.0 - _R134A_AT_40) <= 0.05
    rows = [
        (f"properties (CoolProp {version('CoolProp')})", f"R-134a at 40 °C: {show(computed, 'pressure', decimals=3)}, "
         f"published 10.166 bar: {'works' if right else 'DOES NOT AGREE'}"),
        (f"pictures and controls (matplotlib {version('matplotlib')}, ipywidgets {version('ipywidgets')})",
         "works, if you can see this table"),
        ("exercises", f"{len(read_bank().questions)} questions found: works"),
    ]  # fmt: skip
    table = Table("", ("part", "found"), rows)
    ready = "Ready. Go on below." if right else "Stop here and ask your instructor: the figures of this installation cannot be trusted."
    box = ipywidgets.VBox([ipywidgets.HTML(CSS), ipywidgets.HTML(table._repr_html_() + paragraphs([ready]))])
    box.add_class("hpteach-view")
    return box
