"""One visit to a lesson in a browser: what its panels are, answering it, moving it, going through it by keyboard, and asking axe-core.

What lives here: the steps that a visit to JupyterLab and one to a page share.  What does not: opening either, what is asserted of it.
"""

from __future__ import annotations

import ast
import json
import re
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from urllib.parse import urlsplit

from axe_playwright_python.sync_playwright import Axe

from hpteach.panels.verdict_words import shown_answer
from hpteach.questions import Part, Variant, check, deal, read_bank
from tests.browser.server import NOTEBOOKS, PICTURE, SECONDS, page_of

PICTURES = Path(__file__).parent / "pictures"
LESSONS = [path.stem for path in sorted(NOTEBOOKS.glob("*.ipynb"))]
SEED = 12
OUTERMOST = ".hpteach-view:not(.hpteach-view .hpteach-view)"
ERRORS = "[data-mime-type='application/vnd.jupyter.error'], [data-mime-type='application/vnd.jupyter.stderr'], .voila-cell-error"
SHOWN_AT_ONCE = ("Changeover", "TemperaturePressure")
"""Panels that a lesson shows without a prediction before them, or with their own."""
STANDARD = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa"]
"""The rules of axe-core: WCAG 2.0 and 2.1, levels A and AA."""
GRAVE = ("serious", "critical")


@dataclass
class Visit:
    """What was seen in one lesson, for the table at the end."""

    lesson: str
    where: str
    seconds: float = 0.0
    picture: str = "0"
    moved: str = "-"
    stops: int = 0
    wrong: int = 0
    right: int = 0
    lesser: dict[str, int] = field(default_factory=dict)  # axe-core's moderate and minor findings: rule, and in how many places

    @property
    def answered(self) -> bool:
        """Whether a wrong and a right answer got their words."""
        return self.wrong >= 1 and self.right >= 1

    def row(self) -> list[str]:
        """The cells of the table."""
        lesser = ", ".join(f"{rule} {count}" for rule, count in self.lesser.items()) or "0"
        return [self.lesson, self.where, f"{self.seconds:.0f}", self.picture, self.moved, str(self.stops), str(self.wrong), str(self.right), lesser]


HEADING = ["lesson", "where", "seconds", "pictures", "moved by", "Tab stops", "wrong", "right", "axe-core: moderate and minor (serious and critical: 0)"]


@dataclass(frozen=True)
class Call:
    """What a code cell of a lesson calls: a panel, its question, and whether an answer opens another panel."""

    panel: str
    question: str
    opens: bool


def calls(lesson: str) -> list[Call]:
    """The panels of a lesson in their order."""
    found = []
    for cell in json.loads((NOTEBOOKS / f"{lesson}.ipynb").read_text("utf-8"))["cells"]:
        if cell["cell_type"] == "code":
            call = ast.parse("".join(cell["source"])).body[-1].value
            question = call.args[0].value if call.args and call.func.id in ("Exercise", "Prediction") else ""
            found.append(Call(call.func.id, question, any(word.arg == "then" for word in call.keywords)))
    return found


def strangers(urls: list[str], address: str) -> list[str]:
    """The addresses that are neither of the server nor held in the page itself."""
    of_ours = urlsplit(address).netloc
    return [url for url in urls if urlsplit(url).scheme not in ("data", "blob", "about") and urlsplit(url).netloc != of_ours]


@contextmanager
def watched(address: str, path: str, start: str = "/", **size: int) -> Iterator:
    """A page at a path.  Afterwards nothing may have gone wrong in it, nothing complained in its console, and no host but the server been asked."""
    with page_of(address, start, **size) as (page, errors):
        asked: list[str] = []
        page.context.on("request", lambda request: asked.append(request.url))
        page.on("websocket", lambda socket: asked.append(socket.url))
        page.on("console", lambda message: errors.append(message.text) if message.type == "error" else None)
        page.goto(address + path)
        yield page
        assert asked
        assert [] == strangers(asked, address)
        assert [] == errors


# Answering -----------------------------------------------------------------------------


def wrong_and_right(variant: Variant, part: Part) -> tuple[str, str, str]:
    """A foreseen mistake and the right answer as a learner writes or chooses them, and what is said to the mistake."""
    texts = {one.id: shown_answer(variant, part, one.value) if part.kind == "number" else str(one.value) for one in part.mistakes}
    right = shown_answer(variant, part, part.answer) if part.kind == "number" else str(part.answer)
    judged = {id: check(variant, text, part.id) for id, text in texts.items()}
    named = next((id for id, verdict in judged.items() if not verdict.correct and verdict.mistake == id), "")
    assert check(variant, right, part.id).correct
    if not named:
        return "", right, ""
    return texts[named], right, judged[named].notes[0].sentence


def put(form, part: Part, text: str) -> None:  # noqa: ANN001
    """Write or choose an answer in a form."""
    if part.table:
        form.locator(f"input[data-part='{part.id}']").fill(text)
    elif part.kind in ("number", "order"):
        form.locator("input").fill(text)
    else:
        wanted = text.split() if part.kind == "several" else [text]
        for entry in form.locator("input").all():
            if entry.get_attribute("type") == "checkbox" or entry.get_attribute("value") in wanted:
                entry.set_checked(entry.get_attribute("value") in wanted)


def submit(form, word: str, more: str = "") -> None:  # noqa: ANN001
    """Press the button of a form, and wait for a verdict that begins with a word and says some more."""
    form.locator(".hpteach-check").press("Enter")
    verdict = form.locator(".hpteach-verdict .hpteach-note").filter(has_text=re.compile(rf"(^|: ){re.escape(word)}"))
    verdict.filter(has_text=more).first.wait_for(timeout=60 * SECONDS)


def judged(panel, variant: Variant, visit: Visit) -> None:  # noqa: ANN001
    """Answer each thing that a question asks wrongly, with a foreseen mistake where one is known, then rightly."""
    for place, thing in enumerate(dict.fromkeys(part.table or part.id for part in variant.parts)):
        form = panel.locator("form.hpteach-form").nth(place)
        parts = [part for part in variant.parts if thing in (part.table, part.id)]
        answers = {part.id: wrong_and_right(variant, part) for part in parts}
        for part in parts:
            put(form, part, answers[part.id][1])
        for part in parts:
            mistaken, right, correction = answers[part.id]
            if not mistaken or visit.wrong > 3 and len(parts) > 1:  # of a table three cells are enough
                continue
            put(form, part, mistaken)
            submit(form, "Not right.", correction[:40])
            put(form, part, right)
            visit.wrong += 1
        submit(form, "Right.")
        visit.right += 1


def dealt(panel, question: str) -> Variant:  # noqa: ANN001
    """Ask an exercise for the set of numbers of these tests, and wait until it stands there."""
    seed = panel.get_by_label("set of numbers")
    panel.locator(".hpteach-check").first.wait_for(timeout=60 * SECONDS)
    if seed.input_value() != str(SEED):
        panel.evaluate("panel => panel.querySelectorAll('.hpteach-form').forEach(one => one.dataset.old = 'yes')")
        seed.fill(str(SEED))
        seed.press("Enter")
        panel.locator(".hpteach-form:not([data-old])").first.wait_for(timeout=60 * SECONDS)
        panel.locator(".hpteach-form[data-old]").first.wait_for(state="detached", timeout=60 * SECONDS)
    return deal(read_bank().question(question), SEED)


def commit(panel) -> None:  # noqa: ANN001
    """Predict the first choice of each list, and commit."""
    for group in panel.locator("fieldset, .widget-radio-box").all():
        group.locator("input").first.check()
    panel.get_by_role("button", name="Commit, then show").first.press("Enter")


def answered(page, lesson: str, visit: Visit) -> None:  # noqa: ANN001
    """Answer the exercise that closes the lesson; the question of the practice, where there is none; or its first prediction, where there is neither."""
    kinds = calls(lesson)
    panels = page.locator(OUTERMOST)
    places = [place for place, call in enumerate(kinds) if call.panel == "Exercise"]
    if places:
        panel = panels.nth(places[-1])
        judged(panel, dealt(panel, kinds[places[-1]].question), visit)
    elif kinds[-1].panel == "Practice":
        panel = panels.last.locator(".hpteach-view").first
        title = panel.locator("h3").first.inner_text()
        (question,) = [one.id for one in read_bank().questions.values() if one.title == title]
        judged(panel, dealt(panel, question), visit)
    else:
        place = [call.panel for call in kinds].index("Prediction")
        judged(panels.nth(place), deal(read_bank().question(kinds[place].question), 1), visit)


# Opening and moving ----------------------------------------------------------------------


def opened(page, lesson: str, visit: Visit):  # noqa: ANN001, ANN201
    """Commit the first prediction, then open the first panel that draws; gives that panel, or None where the lesson has none."""
    kinds = calls(lesson)
    panels = page.locator(OUTERMOST)
    predictions = [place for place, call in enumerate(kinds) if call.panel == "Prediction"]
    moving = next((place for place, call in enumerate(kinds) if call.opens or call.panel in SHOWN_AT_ONCE), None)
    for place in dict.fromkeys([*predictions[:1], *([] if moving is None else [moving])]):
        panel = panels.nth(place)
        if panel.get_by_role("button", name="Commit, then show").count():
            commit(panel)
        if kinds[place].panel == "Prediction":
            panel.locator(".hpteach-verdict b").first.wait_for(timeout=60 * SECONDS)
    if moving is None:
        return None
    panel = panels.nth(moving)
    panel.locator(PICTURE).first.wait_for(timeout=60 * SECONDS)
    return panel.locator(".hpteach-view").first if kinds[moving].opens else panel


SHOWN = """panel => [...panel.querySelectorAll('canvas')].map(one => one.dataset.frame).join() + '|' +
  [...panel.querySelectorAll('.widget-html-content, .hpteach-reading')].map(one => one.innerText).join('|')"""


def moved(page, panel, visit: Visit) -> None:  # noqa: ANN001
    """Press one key on the first control of a panel that can be moved, and wait until a picture or the words are others."""
    before = panel.evaluate(SHOWN)
    handle, select, choice = (panel.locator(one).first for one in (".noUi-target:not([disabled]) [role=slider]:visible", "select:visible", "button.widget-toggle-button:not(.mod-active):visible"))
    if handle.count():
        handle.press("ArrowLeft" if handle.get_attribute("aria-valuenow") == handle.get_attribute("aria-valuemax") else "ArrowRight")
        visit.moved = "slider"
    elif select.count():
        select.press("ArrowDown")
        visit.moved = "list"
    else:
        choice.press("Enter")
        visit.moved = "button"
    page.wait_for_function(f"([panel, before]) => ({SHOWN})(panel) !== before", arg=[panel.element_handle(), before], timeout=60 * SECONDS)


# The keyboard ------------------------------------------------------------------------------

STOPS = """panel => {
  document.activeElement.blur();
  const look = one => { const style = getComputedStyle(one); return [style.outlineStyle, style.outlineWidth, style.outlineColor, style.boxShadow].join(); };
  const stops = [...panel.querySelectorAll('a[href], button, input, select, textarea, summary, [tabindex]')].filter(
    one => one.tabIndex >= 0 && !one.disabled && one.getAttribute('aria-disabled') !== 'true' && one.checkVisibility({ visibilityProperty: true }) && one.getClientRects().length);
  const groups = new Set();
  window.stops = new Map();
  for (const one of stops) {
    if (one.type === 'radio') {
      const group = [...panel.querySelectorAll(`input[name="${one.name}"]`)];
      if (groups.has(one.name) || (group.some(other => other.checked) && !one.checked)) continue;
      groups.add(one.name);
    }
    window.stops.set(one, look(one));
  }
  window.reached = new Set();
  window.unseen = [];
  window.stop = () => {
    const at = document.activeElement;
    if (!panel.contains(at)) return false;
    window.reached.add(at);
    const drawn = getComputedStyle(at).outlineStyle !== 'none' && parseFloat(getComputedStyle(at).outlineWidth) >= 1 || getComputedStyle(at).boxShadow !== 'none';
    if (window.stops.has(at) && (look(at) === window.stops.get(at) || !drawn)) window.unseen.push(at.outerHTML.slice(0, 160));
    return true;
  };
  panel.focus();
  return window.stops.size;
}"""
MISSED = "() => [...window.stops.keys()].filter(one => !window.reached.has(one)).map(one => one.outerHTML.slice(0, 160))"


def walked(page, panel, visit: Visit) -> list[str]:  # noqa: ANN001
    """Go through a panel with Tab; gives the controls that are not reached, and those that do not show that they have the focus."""
    wanted = visit.stops = panel.evaluate(STOPS)
    for _ in range(3 * wanted + 10):  # a slider's number can be written too, so there are more stops than controls
        page.keyboard.press("Tab")
        if not page.evaluate("window.stop()"):
            break
    return [f"not reached: {one}" for one in page.evaluate(MISSED)] + [f"focus unseen: {one}" for one in page.evaluate("window.unseen")]


# What the eye sees, and who has none ---------------------------------------------------------

WORDLESS = """() => [...document.querySelectorAll('.hpteach-view canvas, .hpteach-view img, .hpteach-view svg, .hpteach-prose img, .jp-MarkdownOutput img')].filter(one => {
  if (one.closest('[aria-hidden=true]') || !one.checkVisibility()) return false;
  const words = one.getAttribute('aria-label') || one.getAttribute('alt') || '';
  const beside = [...(one.closest('.hpteach-view')?.querySelectorAll('table, p, li, .hpteach-note') ?? [])].map(text => text.textContent).join(' ');
  return words.trim().split(/\\s+/).length < 2 || (one.closest('.hpteach-view') && beside.length < 60);
}).map(one => one.outerHTML.slice(0, 200))"""

UNTOLD = """() => [...document.querySelectorAll('.hpteach-view .widget-toggle-button')].filter(one =>
  one.checkVisibility() && one.getAttribute('aria-pressed') !== String(one.classList.contains('mod-active'))).map(one => `not told whether pressed: ${one.outerHTML.slice(0, 160)}`)"""

SIDEWAYS = """() => document.documentElement.scrollWidth <= document.documentElement.clientWidth ? [] :
  [...document.querySelectorAll('body *')].filter(one => one.getBoundingClientRect().right > document.documentElement.clientWidth + 1)
    .slice(-3).map(one => `reaches beyond the page: ${one.outerHTML.slice(0, 160)}`)"""

RUN = "([within, options]) => axe.run(within ? { include: within.map(one => [one]) } : document, options)"


def wordless(page) -> list[str]:  # noqa: ANN001
    """The pictures that have no name of at least two words, or nothing beside them that says the same."""
    return page.evaluate(WORDLESS)


def worked_through(page, lesson: str, visit: Visit) -> list[str]:  # noqa: ANN001
    """Do in a lesson that has run what a learner does: predict, move a control, go through a panel with Tab, answer; gives what is amiss then, with all that
    is folded open.  A notebook that has no panel is only looked at."""
    amiss = []
    if calls(lesson):
        panel = opened(page, lesson, visit)
        if panel is not None:
            moved(page, panel, visit)
        amiss = walked(page, panel if panel is not None else page.locator(OUTERMOST).last, visit)
        answered(page, lesson, visit)
    unfold(page)
    visit.picture = str(page.locator(PICTURE).count())
    return [*amiss, *page.locator(ERRORS).all_inner_texts(), *wordless(page), *page.evaluate(UNTOLD)]


def settled(page) -> None:  # noqa: ANN001
    """Wait until the page has been laid out and painted anew."""
    page.evaluate("new Promise(done => requestAnimationFrame(() => requestAnimationFrame(done)))")


def unfold(page) -> None:  # noqa: ANN001
    """Open everything that is folded, in prose and panels."""
    page.evaluate("document.querySelectorAll('.hpteach-view details, .hpteach-prose details, .jp-MarkdownOutput details').forEach(one => (one.open = true))")


def judged_by_axe(page, within: list[str] | None, visit: Visit) -> list[str]:  # noqa: ANN001
    """What axe-core finds against WCAG 2.1 AA, serious or critical, each with its places; the lesser goes into the visit."""
    if not page.evaluate("typeof window.axe === 'object'"):
        page.evaluate(Axe().axe_script)
    found = page.evaluate(RUN, [within, {"resultTypes": ["violations"], "runOnly": {"type": "tag", "values": STANDARD}}])
    assert found["passes"], "axe-core looked at nothing"
    grave = []
    for finding in found["violations"]:
        if finding["impact"] in GRAVE:
            grave += [f"{finding['id']} ({finding['impact']}): {node['html'][:200]} | {node['failureSummary'][:200]}" for node in finding["nodes"]]
        else:
            visit.lesser[finding["id"]] = max(visit.lesser.get(finding["id"], 0), len(finding["nodes"]))
    return grave
