"""How charts look: sizes, weights and line styles.

What lives here: `Style` and `Look`.  What does not: anything that draws.

Colour never carries meaning alone: every family of lines has its own line style and
every cycle its own marker, weight and label, so that a chart reads in grey too.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace


@dataclass(frozen=True)
class Look:
    """How one cycle is drawn: colour, line style, and a marker with its size and fill.

    A later cycle has larger hollow markers, so that one that lies on it stays visible.
    """

    colour: str
    line_style: str
    marker: str
    marker_size: float = 8.0
    hollow: bool = False


LOOKS = (
    Look("#0b3d91", "-", "o"),
    Look("#a3320b", "--", "s", 13.0, hollow=True),
    Look("#1d5c1d", "-.", "D", 17.0, hollow=True),
)


@dataclass(frozen=True)
class Style:
    """Sizes in points, weights in points, colours; one for the screen and one for paper."""

    title_size: float = 15.0
    label_size: float = 13.0
    tick_size: float = 12.0
    isoline_size: float = 10.0
    point_size: float = 13.0
    crossing_size: float = 10.0
    cycle_weight: float = 2.8
    dome_weight: float = 2.0
    isoline_weight: float = 0.8
    ink: str = "#1a1a1a"
    dome: str = "#1a1a1a"
    isotherm: str = "#6b5a3a"
    isentrope: str = "#4a6a6a"
    quality: str = "#5f5f5f"
    isobar: str = "#6b5a3a"
    isochore: str = "#7a4a7a"
    paper: str = "#ffffff"
    looks: tuple[Look, ...] = LOOKS
    line_states: int | None = None
    """States on each background line; left out, as many as a screen needs."""
    density: float = 1.0
    """Screen pixels on a CSS pixel: nothing is drawn by it, but what is kept as pixels is of one density."""

    def enlarged(self, type_by: float, lines_by: float) -> Style:
        """The same style with larger type and thicker lines, to be read from the back of a room.

        >>> SCREEN.enlarged(1.5, 2.0).title_size
        22.5
        """
        larger = {field.name: type_by * getattr(self, field.name) for field in fields(self) if field.name.endswith("_size")}
        thicker = {field.name: lines_by * getattr(self, field.name) for field in fields(self) if field.name.endswith("_weight")}
        looks = tuple(replace(look, marker_size=type_by * look.marker_size) for look in self.looks)
        return replace(self, **larger, **thicker, looks=looks)


SCREEN = Style()
PAPER = Style(
    line_states=150,
    isotherm="#444444",
    isentrope="#444444",
    quality="#444444",
    isobar="#444444",
    isochore="#444444",
    looks=(Look("#000000", "-", "o"), Look("#000000", "--", "s", 13.0, hollow=True), Look("#000000", "-.", "D", 17.0, hollow=True)),
)

FAMILIES = {
    # family of lines: (line style, attribute of Style with its colour)
    "temperature": ("-", "isotherm"),
    "pressure": ("-", "isobar"),
    "entropy": ((0, (6, 2, 1, 2)), "isentrope"),
    "quality": (":", "quality"),
    "volume": ((0, (10, 4)), "isochore"),
}
