"""What panels are built of: their look, sliders, lists, buttons, and setting or turning one.

What lives here: the style sheet and the controls.  What does not: what happens when one changes (view).
"""

from __future__ import annotations

from collections.abc import Iterable
from html import escape

import ipywidgets
import traitlets

CSS = """
<style>
.hpteach-view { max-width: 1240px; }
.hpteach-view .widget-html-content, .hpteach-view .widget-html > div { font-size: 16px; line-height: 1.45; }
.hpteach-view .widget-label, .hpteach-view .widget-readout, .hpteach-view input, .hpteach-view select,
.hpteach-view button { font-size: 15px; }
.hpteach-view .widget-radio-box label { font-size: 16px; height: auto; line-height: 1.5; margin: 2px 0; white-space: normal; }
.hpteach-view .widget-html-content p { margin: 3px 0 !important; }
.hpteach-view .widget-html-content h3 { margin: 6px 0 !important; font-size: 18px; }
.hpteach-view table.hpteach-table { border-collapse: collapse; font-variant-numeric: tabular-nums; font-size: 14px; line-height: 1.25; }
.hpteach-view table.hpteach-table th, .hpteach-view table.hpteach-table td { padding: 3px 7px; border-bottom: 1px solid #8886; }
.hpteach-view table.hpteach-table td[style*="right"] { white-space: nowrap; }
.hpteach-view .hpteach-wide { overflow-x: auto; }
.hpteach-status { min-height: 47px; }
.hpteach-large .hpteach-status { min-height: 31px; }
@media (max-width: 700px) { .hpteach-status { min-height: 24px; } }
.hpteach-refused { border-left: 6px solid #b00020; padding-left: 8px; font-weight: bold; }
.hpteach-faded { opacity: 0.5; }
.hpteach-note { border-left: 6px solid #5a6b7a; padding: 2px 10px; margin: 4px 0; }
.hpteach-right { border-left: 6px double #1b6e3c; }
.hpteach-wrong { border-left: 6px dashed #a3320b; }
[data-jp-theme-light="false"] .hpteach-right, [data-jp-theme-light="false"] .hpteach-grid .hpteach-right .hpteach-field { border-color: #7fd39b; }
[data-jp-theme-light="false"] .hpteach-wrong, [data-jp-theme-light="false"] .hpteach-grid .hpteach-wrong .hpteach-field { border-color: #f0b46a; }
[data-jp-theme-light="false"] .hpteach-refused { border-color: #ff8a94; }
.hpteach-form { margin: 6px 2px 2px 2px; }
.hpteach-form, .hpteach-announced { font-size: 16px; line-height: 1.45; color: var(--jp-widgets-label-color, inherit); font-family: var(--jp-ui-font-family, inherit); }
.hpteach-asked-for { margin: 6px 0 4px 0; padding: 0; font-weight: 600; white-space: pre-line; font-size: 16px; color: inherit; text-align: left; }
.hpteach-answer-row { display: flex; flex-flow: row wrap; gap: 6px 10px; align-items: center; margin: 4px 0; }
.hpteach-form ol { margin: 4px 0; padding-left: 2.2em; }
.hpteach-field {
  box-sizing: border-box; flex: 0 1 340px; min-width: 0; height: 34px; padding: 3px 8px; border: 1px solid var(--jp-widgets-input-border-color, #7a8691); border-radius: 3px;
  background: var(--jp-widgets-input-background-color, #ffffff); color: var(--jp-widgets-input-color, #1a1a1a);
}
.hpteach-field::placeholder { color: inherit; opacity: 0.65; }
.hpteach-view .jupyter-button.mod-active { box-shadow: inset 0 0 0 2px currentColor; font-weight: 600; }
.hpteach-choices { border: 0; margin: 0; padding: 0; min-width: 0; }
.hpteach-choice { display: flex; gap: 8px; align-items: flex-start; padding: 3px 2px; max-width: 74ch; }
.hpteach-choice input { flex: 0 0 auto; width: 17px; height: 17px; margin: 3px 0 0 2px; }
.hpteach-check { width: auto !important; height: 34px !important; padding: 0 16px !important; }
.hpteach-verdict { min-height: 38px; max-width: 90ch; }
.hpteach-verdict .hpteach-note { margin: 4px 0; }
.hpteach-view table.hpteach-grid { font-size: 16px; margin: 4px 0; width: auto; }
.hpteach-view table.hpteach-grid th[scope=row] { text-align: left; font-weight: 600; vertical-align: top; padding-top: 8px; }
.hpteach-view table.hpteach-grid td { text-align: left; vertical-align: top; min-width: 7.5em; }
.hpteach-grid .hpteach-field { width: 8em; }
.hpteach-given { line-height: 34px; }
.hpteach-cell-word { display: block; min-height: 1.3em; font-size: 14px; }
.hpteach-grid .hpteach-right .hpteach-field { border: 3px double #1b6e3c; }
.hpteach-grid .hpteach-wrong .hpteach-field { border: 2px dashed #a3320b; }
.hpteach-grid td.hpteach-right, .hpteach-grid td.hpteach-wrong { border-left: 0; }
.hpteach-announced { max-width: 90ch; margin: 0 2px; }
.hpteach-said { white-space: pre-line; }
.hpteach-caption { max-width: 90ch; }
.hpteach-view:not(#none) :focus-visible { outline: 3px solid var(--jp-brand-color1, #1a66cc) !important; outline-offset: 1px !important; }
.hpteach-room { border-top: 1px solid #8886; border-bottom: 1px solid #8886; padding: 3px 0; margin: 3px 0; row-gap: 2px; }
.hpteach-room > * { align-self: center !important; }
.hpteach-room input { font-family: monospace; }
.hpteach-keys { margin: 2px 8px; }
.hpteach-copy { width: auto !important; }
.hpteach-buy { white-space: normal; height: auto !important; max-width: 100%; text-align: left; line-height: 1.35; padding: 4px 10px; }
.hpteach-beside { column-gap: 14px; }
.hpteach-large { max-width: none; }
.hpteach-travel .widget-readout { min-width: 150px; max-width: none; margin-right: 8px; }
.hpteach-large .hpteach-travel .widget-readout { min-width: 200px; }
.hpteach-large > *, .hpteach-large > .hpteach-beside > * { order: 6; }
.hpteach-large > .hpteach-first { order: 1; }
.hpteach-large > .hpteach-drawn, .hpteach-large > .hpteach-beside > .hpteach-drawn { order: 2; }
.hpteach-large > .hpteach-first:has(.hpteach-status) { order: 4; }
.hpteach-large > .hpteach-controls, .hpteach-large > .hpteach-room { order: 5; }
.hpteach-large.hpteach-single > .hpteach-hands { order: 3; }
.hpteach-large > .hpteach-asked { order: 7; }
.hpteach-large > .hpteach-drawn > * { flex-basis: 340px !important; }
.hpteach-large.hpteach-single { display: flex; flex-flow: row wrap !important; align-items: flex-start; column-gap: 10px; }
.hpteach-large.hpteach-single > *, .hpteach-large > .hpteach-beside > * { flex: 0 0 calc(100% - 4px) !important; }
.hpteach-large.hpteach-single > .hpteach-hands { flex: 1 1 380px !important; width: auto !important; min-width: min(470px, 100%); }
.hpteach-large.hpteach-single > .hpteach-hands > .widget-vbox { flex: 1 1 100% !important; min-width: 0 !important; }
.hpteach-large .widget-slider { min-width: 0 !important; }
.hpteach-large.hpteach-single > .hpteach-drawn { flex: 9 1 520px !important; max-width: min(1100px, 139vh - 250px, 100%) !important; }
.hpteach-large > .hpteach-beside { display: contents !important; }
.hpteach-large > .hpteach-beside > .hpteach-drawn { flex: 9 1 520px !important; max-width: min(900px, 126vh - 210px, 100%) !important; }
.hpteach-large > .hpteach-beside > .hpteach-drawn > * { max-width: 100% !important; }
.hpteach-large .widget-inline-hbox > .widget-label, .hpteach-large .widget-hbox > .widget-label { width: 238px !important; }
.hpteach-large .widget-toggle-buttons button { width: auto !important; min-width: 76px; padding: 0 8px; }
.hpteach-large .hpteach-room .widget-inline-hbox > .widget-label { width: 140px !important; }
.hpteach-large select { font-size: 17px !important; }
.hpteach-large .hpteach-circuit { max-width: min(1100px, 139vh - 250px) !important; }
.hpteach-large .widget-html-content, .hpteach-large .widget-html > div { font-size: 21px; }
.hpteach-large .widget-label, .hpteach-large .widget-readout, .hpteach-large input, .hpteach-large select, .hpteach-large button { font-size: 18px; }
.hpteach-large .widget-label, .hpteach-large .widget-inline-hbox, .hpteach-large .widget-toggle-buttons button { height: auto; min-height: 32px; line-height: 32px; }
.hpteach-large table.hpteach-table { font-size: 18px; }
.hpteach-large .widget-radio-box label { font-size: 20px; }
.hpteach-large .hpteach-form, .hpteach-large .hpteach-announced, .hpteach-large .hpteach-asked-for { font-size: 21px; }
.hpteach-clock { font-size: 18px; font-weight: 600; font-variant-numeric: tabular-nums; color: var(--jp-widgets-label-color, inherit); font-family: var(--jp-ui-font-family, inherit); }
.hpteach-unseen { position: absolute; width: 1px; height: 1px; overflow: hidden; clip-path: inset(50%); white-space: nowrap; }
@media (min-width: 701px) { .hpteach-view .hpteach-slide { display: none !important; } }
@media (max-width: 700px) {
  .hpteach-broad { overflow-x: auto !important; }
  .hpteach-broad .hpteach-picture { min-width: 560px; }
  .hpteach-broad:not(.hpteach-circuit, .hpteach-to-read)::before { content: "Where it is cut off, slide it sideways."; display: block; font-size: 14px; position: sticky; left: 0; max-width: 90vw; color: var(--jp-widgets-label-color, inherit); }
  .hpteach-wide:has(> .hpteach-grid, > table th:nth-child(4))::before { content: "Where it is cut off, slide it sideways."; font-size: 14px; position: sticky; left: 0; }
  .hpteach-view table.hpteach-grid th[scope=row] { position: sticky; left: 0; max-width: 7.5em; background: var(--jp-layout-color1, #ffffff); }
  .hpteach-view .widget-box.hpteach-scrolls { overflow-x: auto !important; flex-wrap: nowrap !important; }
  .hpteach-view .widget-box.hpteach-scrolls > .hpteach-to-read.hpteach-to-read { flex: 0 0 680px !important; width: 680px !important; max-width: none !important; }
}
</style>
"""

WRAPPED = {"display": "flex", "flex_flow": "row wrap", "width": "100%"}
"""Side by side where there is room, else one below the other."""

_LABEL_WIDTH = "195px"
_WIDE = {"description_width": _LABEL_WIDTH}


def readout_format(step: float) -> str:
    """How many decimals stand beside a slider of a step.

    >>> readout_format(0.5), readout_format(0.01), readout_format(1000.0)
    ('.1f', '.2f', '.0f')
    """
    return ".2f" if step < 0.1 else ".1f" if step < 500.0 else ".0f"


class _Slider(ipywidgets.FloatSlider):
    """A slider whose moves the kernel does not send back: one message less before each picture."""

    value = traitlets.CFloat(0.0).tag(sync=True, echo_update=False)


def slider(description: str, least: float, most: float, step: float, value: float) -> ipywidgets.FloatSlider:
    """A slider that follows the hand, with its number beside it."""
    return _Slider(
        value=value,
        min=least,
        max=most,
        step=step,
        description=description,
        readout_format=readout_format(step),
        style=_WIDE,
        layout={"width": "auto", "min_width": "300px"},
    )


def dropdown(description: str, options: list, value: object) -> ipywidgets.Dropdown:
    """A list to choose from."""
    return ipywidgets.Dropdown(description=description, options=options, value=value, style=_WIDE, layout={"width": "auto"})


def buttons(options: list, value: object, name: str) -> ipywidgets.ToggleButtons:
    """A few choices side by side; `labelled` puts the name before them."""
    return ipywidgets.ToggleButtons(options=options, value=value, tooltips=[f"{name}: {option}" for option in options], style={"button_width": "100px"})


def labelled(text: str, control: ipywidgets.Widget) -> ipywidgets.HBox:
    """A control with its name before it, in line with the names of sliders and lists."""
    name = ipywidgets.Label(text, layout={"width": _LABEL_WIDTH, "display": "flex", "justify_content": "flex-end"})
    return ipywidgets.HBox([name, control], layout={"flex_flow": "row wrap"})


def beside(drawn: ipywidgets.Widget, *texts: ipywidgets.Widget) -> ipywidgets.Box:
    """A picture with texts next to it where there is room; where the panel is larger the controls come between them."""
    drawn.add_class("hpteach-drawn")
    row = ipywidgets.Box([drawn, *texts], layout=WRAPPED)
    row.add_class("hpteach-beside")
    return row


def hands(left: ipywidgets.Widget, right: ipywidgets.Widget) -> ipywidgets.Box:
    """Two columns of controls, which stand beside a single picture where the panel is larger."""
    row = ipywidgets.Box([left, right], layout=WRAPPED)
    row.add_class("hpteach-hands")
    return row


def press(text: str) -> ipywidgets.Button:
    """A button as wide as its text."""
    return ipywidgets.Button(description=text, layout={"width": "auto", "align_self": "flex-start"})


def paragraphs(sentences: Iterable[str]) -> str:
    """Sentences as HTML, one paragraph each."""
    return '<div class="hpteach-reading">' + "".join(f"<p>{escape(s)}</p>" for s in sentences) + "</div>"


def set_slider(control: ipywidgets.FloatSlider, least: float, most: float, step: float, value: float) -> None:
    """Give a slider a range and a value within it in one message, so that no value between is shown or moved to an end."""
    with control.hold_sync():
        control.min, control.max = min(least, control.min), max(most, control.max)
        control.value = value
        control.min, control.max, control.step = least, most, step


def grid_number(value: float, least: float, step: float, parts: int) -> int:
    """Which part of a step, counted from the least value, a value is nearest to.

    >>> grid_number(6.7, -35.0, 0.5, 10)
    834
    """
    return round((value - least) / step * parts)


def turned(control: ipywidgets.Widget, *, backwards: bool) -> None:
    """Move a control by one step: a list goes round, a slider stays at its end.

    >>> units = buttons(["SI", "IP"], "SI", "units")
    >>> turned(units, backwards=False)
    >>> units.value
    'IP'
    """
    way = -1 if backwards else 1
    if isinstance(control, ipywidgets.FloatSlider):
        control.value = round(min(max(control.value + way * control.step, control.min), control.max), 6)
    elif isinstance(control, ipywidgets.SelectionSlider):
        control.index = min(max(control.index + way, 0), len(control.options) - 1)
    else:
        control.index = ((control.index if control.index is not None else -(way > 0)) + way) % len(control.options)


def lines(text: str) -> str:
    """A text as HTML: its paragraphs and its line breaks, everything else escaped.

    >>> lines("p1 < p2\\nSo it flows.")
    'p1 &lt; p2<br>So it flows.'
    """
    return escape(text.strip()).replace("\n\n", "</p><p>").replace("\n", "<br>")


def closed(widgets: Iterable[ipywidgets.Widget]) -> None:
    """Close widgets and what they hold, with their layouts and styles, so that browser and kernel forget them."""
    for widget in widgets:
        closed(getattr(widget, "children", ()))
        looks = [getattr(widget, name, None) for name in ("layout", "style")]
        widget.close()
        for look in looks:
            if isinstance(look, ipywidgets.Widget):
                look.close()


def chart_words(kind: str) -> str:
    """What a chart is called for whoever cannot see it, and where the same stands in words.

    >>> chart_words("temperature-entropy")
    'Temperature-entropy chart. The table and the sentences below tell the same.'
    """
    return f"{kind.capitalize()} chart. The table and the sentences below tell the same."
