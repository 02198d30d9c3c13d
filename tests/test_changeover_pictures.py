"""The pictures of the changeover: what is kept ready, and what goes."""

from __future__ import annotations

from hpteach.circuit import MeteringLayout
from hpteach.panels import Changeover


def test_drawings_kept_ready_are_few() -> None:
    """However many layouts, unit systems and sizes were shown, six drawings are kept; a finer screen drops the coarse ones."""
    view = Changeover(predict=False)
    first = view.pictures.circuit.image.value
    for units in ("SI", "IP"):
        for larger in (False, True):
            view.larger.value = larger
            view.controls["units"].value = units
            for layout in MeteringLayout:
                view.controls["metering"].value = layout.value
    assert (6, 6) == (len(view.pictures._drawings.kept), len(view.pictures.circuit.figure.axes))
    view.larger.value = False
    view.set({"units": "SI", "metering": "each-coil"})
    assert first == view.pictures.circuit.image.value
    for picture in (view.pictures.circuit, *view.pictures.charts.values()):
        picture.image.density = 2.0
    for kept in (view.pictures._drawings.kept, view.pictures._scenes.kept):
        assert [2.0] == [style.density for *_, style in kept]
