"""The pressure-temperature card: its rows, its words, its one page, its command (hpteach/cards.py, hpteach/card.html).

Published rows are those of tests/reference, whose README.md says how each source is known.
"""

import json
import re
import shlex
from dataclasses import replace
from datetime import date
from functools import cache
from html.parser import HTMLParser

import pytest

from hpteach.cards import card, card_rows, gauge_reading, save_card
from hpteach.cli import main
from hpteach.errors import InputError, UnknownNameError
from hpteach.fluids import Refrigerant, catalogue, listing, refrigerant, water
from hpteach.readouts import GENERAL_CAUTION
from hpteach.units import STANDARD_ATMOSPHERE
from tests.browser.server import chromium
from tests.reference import half_digit, rows

MINUS = "\N{MINUS SIGN}"
PSI = 6894.757293168  # Pa, exact by definition
INCH_OF_MERCURY = 3386.389  # Pa, conventional
SYSTEMS = (("SI", "IP"), ("SI",), ("IP",))
BLENDS = [name for name, one in catalogue().items() if len(one.composition) > 1]


class Page(HTMLParser):
    """What stands on a card: all its text, and for each system the headings and the rows by temperature."""

    def __init__(self, html):
        super().__init__()
        self.words, self.headings, self.rows = [], {}, {}
        self._row, self._cell, self._style = [], None, False
        self.feed(html)
        self.text = " ".join(" ".join(self.words).split())

    def handle_starttag(self, tag, attributes):
        self._style = self._style or tag == "style"
        if tag == "table":
            self.system = dict(attributes)["class"]
        elif tag in ("td", "th"):
            self._cell = ""
        elif tag == "tr":
            self._row = []

    def handle_endtag(self, tag):
        self._style = self._style and tag != "style"
        if tag in ("td", "th"):
            self._row.append(self._cell)
            self._cell = None
        elif tag == "tr":
            at, *pressures = self._row
            if re.fullmatch(f"{MINUS}?[0-9]+", at):
                self.rows.setdefault(self.system, {})[int(at.replace(MINUS, "-"))] = [text.replace(MINUS, "-") for text in pressures]
            else:
                self.headings.setdefault(self.system, []).append(self._row)

    def handle_data(self, data):
        if not self._style:
            self.words.append(data)
        if self._cell is not None:
            self._cell += data


@cache
def page_of(name, systems=("SI", "IP"), **how):
    return Page(card(refrigerant(name), systems, **how))


# The rows -----------------------------------------------------------------------------


@pytest.mark.parametrize("name", catalogue())
def test_every_saturated_step_has_its_row(name):
    """From -40 to 64 °C and from -40 to 150 °F each step below the critical point stands on the page, in order, bubble before dew."""
    fluid, page = refrigerant(name), page_of(name)
    steps = {"SI": [(at, at + 273.15) for at in range(-40, 65, 2)], "IP": [(at, (at + 459.67) / 1.8) for at in range(-40, 151, 5)]}
    for system, every in steps.items():
        expected = [(at, kelvin) for at, kelvin in every if kelvin < fluid.highest_saturation_temperature]
        assert [at for at, _ in expected] == list(page.rows[system])
        for at, kelvin in expected:
            pressures = [fluid.bubble_pressure(kelvin), fluid.dew_pressure(kelvin)][0 if name in BLENDS else 1 :]
            if system == "SI":
                shown = [text for p in pressures for text in (f"{(p - STANDARD_ATMOSPHERE) / 1e5:.2f}", f"{p / 1e5:.2f}")]
            else:
                above = [p - STANDARD_ATMOSPHERE for p in pressures]
                shown = [f"{p / PSI:.1f}" if p > 0 else f"{-p / INCH_OF_MERCURY:.1f} inHg vac" for p in above]
            assert [text.replace("-0.00", "0.00") for text in shown] == page.rows[system][at]


@pytest.mark.parametrize("name", catalogue())
def test_blend_has_two_columns_and_a_pure_refrigerant_one(name):
    """A blend's columns say what each is for; a pure refrigerant has one saturation pressure and no such words."""
    page, blend = page_of(name), name in BLENDS
    words = ["bubble: for subcooling", "dew: for superheat"]
    for system in ("SI", "IP"):
        assert (words if blend else []) == [word for word in page.headings[system][0] if word in words]
    assert [blend] * 2 == [word.split(":")[0] in page.text for word in words]
    assert {4 if blend else 2} == {len(row) for row in page.rows["SI"].values()}
    assert {2 if blend else 1} == {len(row) for row in page.rows["IP"].values()}


def published():
    """The rows of file 02 that are entered by temperature, print a pressure, and stand on a card."""
    for entry in rows("02_saturation_points.csv"):
        if entry["entry"] == "T" and entry["p_kPa"] and int(entry["T_C"]) in range(-40, 65, 2):
            yield entry


def called(entry):
    return f"{entry['fluid']} {entry['T_C']} C {re.split('[ ,]', entry['source'])[0]}"


PURE_ROWS = [entry for entry in published() if entry["fluid"] not in BLENDS]
SIZES = {entry["row"]: float(entry["published_minus_computed"]) for entry in rows("disagreements.csv") if entry["quantity"] == "p_kPa"}


@pytest.mark.parametrize("entry", PURE_ROWS, ids=called)
def test_absolute_pressure_is_the_published_one(entry):
    """A handbook's pressure stands on the card to the card's last digit, but for the size that disagreements.csv states for that row."""
    printed = page_of(entry["fluid"]).rows["SI"][int(entry["T_C"])][-1]
    kilopascal = float(entry["p_kPa"]) - SIZES.get(called(entry), 0.0)
    assert kilopascal == pytest.approx(100 * float(printed), rel=0, abs=100 * half_digit(printed) + half_digit(entry["p_kPa"]))


def test_two_refrigerants_are_published_without_a_disagreement():
    """R-134a and R-32 have eight rows or more each that need no stated size."""
    agree = [entry["fluid"] for entry in PURE_ROWS if called(entry) not in SIZES]
    assert agree.count("R-134a") >= 8 and agree.count("R-32") >= 8


@pytest.mark.parametrize("entry", [entry for entry in published() if entry["fluid"] == "R-410A"], ids=called)
def test_one_published_pressure_of_a_blend_lies_between_the_columns(entry):
    """R-410A: a book's one pressure (Borgnakke & Sonntag, table B.4.1, from memory) lies from dew to bubble, to the card's last digit."""
    _, bubble, _, dew = (float(text) for text in page_of("R-410A").rows["SI"][int(entry["T_C"])])
    assert dew - 0.005 <= float(entry["p_kPa"]) / 100 <= bubble + 0.005


SAYINGS = [entry for entry in rows("07_trade_figures.csv") if entry["topic"] == "pressure-temperature"]


@pytest.mark.parametrize("entry", SAYINGS, ids=lambda entry: entry["claim"])
def test_gauge_reading_is_the_one_the_trade_says(entry):
    """Common practice, no source: sayings such as 118 psig for R-410A at 40 °F hold to the whole psi of a chart, but for R-290 at 100 °F (1.9 low)."""
    name, at = re.match(r"(R-\w+).* at (\d+) F", entry["claim"]).groups()
    printed = float(page_of(name).rows["IP"][int(at)][-1])
    off = -1.9 if (name, at) == ("R-290", "100") else 0.0
    assert float(entry["claimed_value"]) == pytest.approx(printed + off, abs=0.05 if off else 1.0)


def test_vacuum_is_said_as_service_gauges_say_it():
    """R-134a at -40 °F stands at 14.8 inches of mercury of vacuum (common practice, as pocket charts have it; from memory)."""
    assert ["14.8 inHg vac"] == page_of("R-134a").rows["IP"][-40]
    assert "inHg" not in page_of("R-134a", ("SI",)).text
    assert "inHg" not in page_of("R-32").text


@pytest.mark.parametrize(("below", "reading"), [(0.0, "0.0"), (100.0, "0.0"), (250.0, "0.1 inHg vac"), (-350.0, "0.1")])
def test_gauge_in_the_open_shows_nothing(below, reading):
    """At the air pressure and a hair below it stands a plain zero, without a minus and without a vacuum."""
    assert reading == gauge_reading(STANDARD_ATMOSPHERE - below, "IP")


def test_thin_air_moves_the_gauge_figures_only():
    """At 83.5 kPa a gauge reads 0.18 bar more, the absolute pressures stay, and the card says for which air it holds."""
    at_sea, on_high = page_of("R-134a"), page_of("R-134a", atmosphere=83523.0)
    for at, (gauge, absolute) in on_high.rows["SI"].items():
        assert absolute == at_sea.rows["SI"][at][1]
        assert float(at_sea.rows["SI"][at][0]) + 0.178 == pytest.approx(float(gauge), abs=0.01)
    assert "0.835 bar 12.11 psia" in on_high.text and "1.013 bar 14.70 psia" in at_sea.text
    assert "9.5 inHg vac" in on_high.rows["IP"][-40]


@pytest.mark.parametrize(
    ("fluid", "first", "last", "remark"),
    [
        (water, 2, 64, "Rows colder than 0.01 °C are left out"),
        (lambda: Refrigerant(replace(listing("R-290"), name="R-170", library_name="Ethane", lowest_temperature=90.4)), -40, 30, "Rows warmer than 31.67 °C are left out: too near the critical"),
    ],
    ids=["water", "ethane"],
)
def test_temperatures_out_of_range_are_left_out_with_a_remark(fluid, first, last, remark):
    """Where the properties end, the rows end too, and the card says so; a card with every row says nothing of it."""
    page = Page(card(fluid(), ("SI",)))
    assert (first, last, True) == (min(page.rows["SI"]), max(page.rows["SI"]), remark in page.text)
    assert "left out" not in page_of("R-134a").text


def test_unknown_system_is_refused():
    """Rows in a system that is not known are refused with the known ones."""
    with pytest.raises(UnknownNameError, match="unit system 'si'.*SI, IP"):
        card_rows(refrigerant("R-32"), "si")


# The words ----------------------------------------------------------------------------


@pytest.mark.parametrize("name", catalogue())
@pytest.mark.parametrize("systems", SYSTEMS, ids="+".join)
def test_cautions_and_sources_are_printed(name, systems):
    """Each card says what it replaces not, how its refrigerant burns, where its figures come from, and GWP with its report."""
    one, page = listing(name), page_of(name, systems)
    assert GENERAL_CAUTION in page.text
    assert (one.safety_class[1:] != "1") == ("flammable" in page.text) == (one.caution is not None and one.caution in page.text)
    assert f"safety class {one.safety_class} " in page.text
    assert f"Computed with CoolProp. Equation of state: {one.equation}" in page.text
    assert [] == [f"{value:g} ({report})" for report, value in one.gwp.items() if f"{value:g} ({report})" not in page.text]
    assert one.sources["gwp"] in page.text and one.sources["safety_class"] in page.text


def test_boiling_and_critical_point_stand_under_the_title():
    """R-134a boils at -26.1 °C (CRC Handbook, 95th ed., -26.07 °C) and is critical at 101.1 °C (the same, 101.05) and 40.59 bar; so in °F."""
    assert f"Boils at 1 atm (101.325 kPa) {MINUS}26.1 °C / {MINUS}14.9 °F" in page_of("R-134a").text
    assert "Critical point 101.1 °C / 213.9 °F 40.59 bar / 588.7 psia" in page_of("R-134a").text
    assert "Blend, by mass 50 % R-32 50 % R-125 Boils" in page_of("R-410A").text


def test_what_does_not_boil_in_the_open_has_no_boiling_point():
    """Carbon dioxide is solid or gas at 101.325 kPa (its triple point is at 5.18 bar; Span & Wagner 1996), so its card names no boiling point."""
    assert "Boils" not in page_of("R-744").text


def test_high_pressure_is_cautioned():
    """The card of carbon dioxide says what it stands at in a warm room; no other card does."""
    assert "High pressure: a circuit at rest" in page_of("R-744").text
    assert "High pressure" not in page_of("R-410A").text


def test_every_text_is_escaped():
    """What looks like markup in a name or a source is printed as it stands and does nothing."""
    one = Refrigerant(listing("R-32"))
    one.name = "<b>R&D</b>"
    one.listing = replace(one.listing, name=one.name, equation="<script>alert(1)</script>")
    html = card(one, ("SI",))
    assert "<script" not in html and "<b>R" not in html
    assert 2 == html.count("&lt;b&gt;R&amp;D&lt;/b&gt;")


@pytest.mark.parametrize("name", catalogue())
def test_page_fetches_and_runs_nothing(name):
    """The page holds no script, link or address of anything else."""
    found = re.findall(r"<script|<link|<img|<iframe|src\s*=|href\s*=|url\(|@import|https?:|\son\w+\s*=", card(refrigerant(name)), re.IGNORECASE)
    assert [] == found


def test_page_bears_no_date():
    """The same card has the same bytes each time, and the day is not printed."""
    pages = {card(Refrigerant(listing("R-410A"))) for _ in range(2)}
    today = date.today()
    days = (today.isoformat(), f"{today:%d.%m.%Y}", f"{today:%d/%m/%Y}", f"{today:%m/%d/%Y}", f"{today:%B %Y}", f"{today:%d %b %Y}")
    assert (1, []) == (len(pages), [day for day in days if day in min(pages)])


# The file and the command -------------------------------------------------------------


def test_card_is_written_as_utf8(tmp_path):
    """The file holds the page byte for byte, with line ends that are the same on every system."""
    file = save_card(refrigerant("R-32"), tmp_path / "R-32.HTML", ("IP",))
    assert card(refrigerant("R-32"), ("IP",)).encode("utf-8") == file.read_bytes()
    assert b"\r" not in file.read_bytes()


@pytest.mark.parametrize(("name", "words"), [("card.pdf", "'card.pdf' does not end in .html"), ("", "does not end"), ("no/card.html", "cannot be written")])
def test_refusal_of_a_file(name, words, tmp_path):
    """Another ending and a place that cannot be written are refused, and nothing is left behind."""
    with pytest.raises(InputError, match=words):
        save_card(refrigerant("R-32"), tmp_path / name)
    assert [] == list(tmp_path.iterdir())


@pytest.mark.parametrize(
    ("options", "systems", "atmosphere"),
    [
        ("", ("SI", "IP"), STANDARD_ATMOSPHERE),
        ("--units both", ("SI", "IP"), STANDARD_ATMOSPHERE),
        ("--units si", ("SI",), STANDARD_ATMOSPHERE),
        ("--units IP --atmosphere 840hPa", ("IP",), 84000.0),
    ],
)
def test_command_writes_the_card(options, systems, atmosphere, tmp_path, capsys):
    """The command writes the page of the library, in both systems unless one is chosen, and says where."""
    file = tmp_path / "card.html"
    line = f"card --refrigerant r410a --out {shlex.quote(str(file))} {options}"
    assert 0 == main(shlex.split(line))
    assert (f"Written: {file}\n", "") == tuple(capsys.readouterr())
    assert card(refrigerant("R-410A"), systems, atmosphere=atmosphere) == file.read_text(encoding="utf-8")
    assert 0 == main([*shlex.split(line), "--json"])
    assert {"file": str(file)} == json.loads(capsys.readouterr().out)


@pytest.mark.parametrize(
    ("options", "named"),
    [
        ("", "card needs --out: add for example --out card.html"),
        ("--out card.svg", "--out: file 'card.svg' does not end in .html"),
        ("--out", "--out has no value: write one after it, such as --out card.html"),
        ("--out nowhere/card.html", "--out: file 'nowhere/card.html' cannot be written"),
        ("--out card.html --units all", "--units: unit system 'all' is not known; known are SI, IP, both"),
        ("--out card.html --altitude 9000m", "--altitude 9000m"),
        ("--out card.html --reference iir", "option '--reference' is not known"),
    ],
)
def test_refusal_of_the_command(options, named, tmp_path, monkeypatch, capsys):
    """Bad input ends with 2 and one line that names the option; no file is written."""
    monkeypatch.chdir(tmp_path)
    code = main(shlex.split(f"card --refrigerant R-32 {options}"))
    out, err = capsys.readouterr()
    assert (2, "", 1, True) == (code, out, len(err.splitlines()), named in err)
    assert [] == list(tmp_path.iterdir())


def test_only_a_card_shows_both_systems(capsys):
    """Other commands show one system at a time and refuse both."""
    assert 2 == main(["refrigerants", "--units", "both"])
    assert "--units: unit system 'both' is not known; known are SI, IP" in capsys.readouterr().err


# The printed page ---------------------------------------------------------------------


@pytest.fixture(scope="module")
def browser():
    """A headless Chromium."""
    path = chromium()
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        started = playwright.chromium.launch(executable_path=path, args=["--no-sandbox", "--disable-gpu", "--no-first-run"])
        yield started
        started.close()


MILLIMETRE = 96 / 25.4  # CSS pixels

# Every text with a place of its own, whose letters lie outside it or beyond the card.
OUTSIDE = """() => {
  const card = document.querySelector("main").getBoundingClientRect();
  return [...document.querySelectorAll("h1, p, dt, dd, th, td, footer, .class")].filter(place => {
    const range = document.createRange();
    range.selectNodeContents(place);
    const own = place.getBoundingClientRect(), text = range.getBoundingClientRect(), hair = 0.5;
    if (text.width === 0) return false;
    const within = place.matches("h1, p, dt, dd") ? card : own;
    return text.left < within.left - hair || text.right > within.right + hair || text.bottom > card.bottom + hair
      || (place.matches("th, td") && (text.top < own.top - 2 || text.bottom > own.bottom + 2));
  }).map(place => place.textContent);
}"""


@pytest.mark.browser
@pytest.mark.parametrize("name", catalogue())
def test_card_prints_on_one_page(name, browser, tmp_path):
    """On A4 and on Letter each card is one page, 184 by at most 252 mm, and no figure leaves its cell; nothing but the file is asked for."""
    for systems in SYSTEMS:
        file = save_card(refrigerant(name), tmp_path / f"{'-'.join(systems)}.html", systems)
        page, asked = browser.new_page(), []
        page.on("request", lambda request: asked.append(request.url))
        page.emulate_media(media="print")
        page.goto(file.as_uri())
        for paper in ("A4", "Letter"):
            assert 1 == len(re.findall(rb"/Type\s*/Page\b", page.pdf(format=paper))), (systems, paper)
        assert [file.as_uri()] == asked
        for font in ("Arial, sans-serif", "'DejaVu Sans'"):  # what this machine takes, and a wide one
            page.add_style_tag(content=f"* {{ font-family: {font} !important; }}")
            size = page.evaluate("() => { const box = document.querySelector('main').getBoundingClientRect(); return [box.width, box.height]; }")
            assert 184.0 == pytest.approx(size[0] / MILLIMETRE, abs=0.5)
            assert size[1] / MILLIMETRE <= 252.0, (systems, font)
            assert [] == page.evaluate(OUTSIDE), (systems, font)
        page.close()


@pytest.mark.browser
def test_a_page_too_many_would_be_found(browser):
    """The count of pages and the look for letters outside their cells do find what they look for."""
    page = browser.new_page()
    page.set_content("<main style='height: 600mm'><table style='table-layout: fixed; width: 20px'><tr><td>118.0118.0118.0</table></main>")
    assert len(re.findall(rb"/Type\s*/Page\b", page.pdf(format="A4"))) > 1
    assert ["118.0118.0118.0"] == page.evaluate(OUTSIDE)
    page.close()
