"""The list of refrigerants: its schema, its sources, and its facts beside tests/reference/01_refrigerants.csv."""

import csv
import math
from pathlib import Path

import pytest

from hpteach.errors import DataError, UnknownNameError
from hpteach.fluids import catalogue, listing, refrigerant
from hpteach.fluids.catalogue import MODELS, REPORTS, SAFETY_CLASSES, read_catalogue

REFERENCE = Path(__file__).parent / "reference" / "01_refrigerants.csv"
GOOD = """
[sources]
composition = "the standard of designations"
classes = "the standard of classes"
AR6 = "the sixth report"

["R-1"]
model = "pure"
library_name = "R32"
composition = { "R-1" = 1.0 }
safety_class = { value = "A1", source = "classes" }
gwp = { AR6 = 1.0 }
gwp_source = "AR6"
lowest_temperature = { value = "136K", source = "equation" }
equation = "Author, Journal (2000)"
"""
MASS_FRACTIONS = ("mass fraction R-32", "mass fraction R-125", "mass fraction R-134a", "mass fraction R-1234yf")
KEYS = ("model", "library_name", "composition", "safety_class", "gwp", "gwp_source", "lowest_temperature", "equation")
BLEND = GOOD.replace("pure", "blend").replace('{ "R-1" = 1.0 }', '{ "R-2" = 0.5, "R-3" = 0.5 }') + (
    'critical = { temperature = "350K", pressure = "50bar", source = "classes" }\n'
)


def published(*properties):
    with REFERENCE.open(newline="", encoding="utf-8") as lines:
        return [entry for entry in csv.DictReader(lines) if entry["property"] in properties]


def label(entry):
    return f"{entry['fluid']} {entry['property']}"


def changed(old, new):
    assert old in GOOD
    return GOOD.replace(old, new)


# Facts --------------------------------------------------------------------------------------


def test_catalogue_lists_the_refrigerants_of_the_course():
    """The refrigerants that the lessons and questions use, the blends with glide and R-744 are in the collection; others may join them."""
    course = {"R-134a", "R-410A", "R-32", "R-290", "R-22", "R-1234yf"}
    assert set() == (course | {"R-454B", "R-407C", "R-452B", "R-454C", "R-513A", "R-744"}) - set(catalogue())


@pytest.mark.parametrize("entry", published("safety class"), ids=label)
def test_safety_class_is_the_published_one(entry):
    """The class of ANSI/ASHRAE 34 / ISO 817 stands in the catalogue (the property library's own A2 for R-32 is outdated)."""
    assert entry["value"] == listing(entry["fluid"]).safety_class


@pytest.mark.parametrize(
    "entry",
    [e for e in published("GWP100 (AR4)", "GWP100 (AR5)", "GWP100 (AR6)", "GWP100 (AR6) second source") if e["fluid"] != "R-125"],
    ids=label,
)
def test_gwp_is_the_one_of_its_report(entry):
    """GWP over 100 years agrees with the IPCC report beside which it stands, and with a second table, to the printed digit."""
    report = entry["property"][len("GWP100 (") :][:3]
    digits = len(entry["value"].partition(".")[2])
    assert float(entry["value"]) == pytest.approx(listing(entry["fluid"]).gwp[report], abs=0.5 * 10.0**-digits)


@pytest.mark.parametrize("entry", published("GWP100 in EU law"), ids=label)
def test_gwp_of_the_regulation_is_that_of_the_report_it_takes(entry):
    """Regulation (EU) 2024/573 takes AR4 for Annex I and AR6 for Annexes II and VI, and the catalogue has both."""
    report = "AR4" if "AR4" in entry["source"] else "AR6"
    assert float(entry["value"]) == listing(entry["fluid"]).gwp[report]


BLENDS = [name for name, found in catalogue().items() if found.model != "pure"]


@pytest.mark.parametrize(("name", "report"), [(name, report) for name in BLENDS for report in REPORTS])
def test_gwp_of_a_blend_is_weighted_by_mass(name, report):
    """Mixture rule of Regulation (EU) 2024/573, Annex VI, with the IPCC values of the parts, to the catalogue's one decimal.

    AR4 has no R-1234yf, so a blend with it has no figure of that report.
    """
    values = {entry["fluid"]: float(entry["value"]) for entry in published(f"GWP100 ({report})")}
    blend = listing(name)
    assert (set(blend.composition) <= set(values)) == (report in blend.gwp)
    if report in blend.gwp:
        assert math.fsum(share * values[part] for part, share in blend.composition.items()) == pytest.approx(blend.gwp[report], abs=0.05 + 1e-9)


@pytest.mark.parametrize("entry", published(*MASS_FRACTIONS), ids=label)
def test_composition_of_a_blend_is_the_designated_one(entry):
    """R-410A and R-407C (ASHRAE 34, seen in an abstract of NIST) and R-454B (from memory) are mixed by mass as their designations say."""
    part = entry["property"].removeprefix("mass fraction ")
    assert float(entry["value"]) == pytest.approx(100.0 * listing(entry["fluid"]).composition[part])


@pytest.mark.parametrize("name", catalogue())
def test_facts_of_a_listing_are_whole(name):
    """Composition adds to 1, the class and the model are known ones, and each report has a number."""
    found = listing(name)
    assert 1.0 == pytest.approx(math.fsum(found.composition.values()))
    assert found.safety_class in SAFETY_CLASSES and found.model in MODELS
    assert found.gwp and set(found.gwp) <= set(REPORTS) and all(value > 0.0 for value in found.gwp.values())
    assert 0.0 < found.lowest_temperature < 233.15


@pytest.mark.parametrize("name", catalogue())
def test_every_fact_has_a_source_in_words(name):
    """Each fact names where it was taken from: a standard, a report or a paper, not a key."""
    sources = listing(name).sources
    of_some = {"critical"} if listing(name).model == "blend" else {"sublimation"} if name == "R-744" else set()
    assert {"composition", "safety_class", "gwp", "lowest_temperature"} | of_some == set(sources)
    assert all(len(source.split()) >= 3 for source in sources.values())
    assert listing(name).equation == sources["lowest_temperature"]


@pytest.mark.parametrize(("name", "says"), [("R-290", "Highly flammable (A3)"), ("R-32", "Mildly flammable (A2L)"), ("R-1234yf", "A2L"), ("R-134a", None)])
def test_flammable_refrigerant_carries_its_caution(name, says):
    """A flammable refrigerant carries a caution that defers to local codes and licensed work; one that does not burn has none."""
    caution = listing(name).caution
    if says is None:
        assert caution is None
    else:
        assert says in caution and "local codes" in caution and "licensed" in caution


@pytest.mark.parametrize("spelling", ["R-410A", "r-410a", "R410A", "r410a", "R 410A", "r 410 a"])
def test_designation_is_found_in_any_usual_spelling(spelling):
    """Hyphens, blanks and capitals do not matter in a designation."""
    assert "R-410A" == listing(spelling).name


@pytest.mark.parametrize("name", ["", "R", "R-12", "{R-32}", "propane", "R-32 " * 100])
def test_unknown_designation_is_refused(name):
    """A refrigerant that is not in the collection is refused, with those that are."""
    with pytest.raises(UnknownNameError, match=f"{', '.join(catalogue())}$"):
        listing(name)


def test_catalogue_cannot_be_changed():
    """The list, a composition and the numbers of a listing are fixed."""
    for mapping in (catalogue(), listing("R-32").composition, listing("R-32").gwp, listing("R-32").sources):
        with pytest.raises(TypeError):
            mapping["R-32"] = 1.0


# Schema -------------------------------------------------------------------------------------


def test_whole_entry_is_read():
    """An entry with every key is read, with its sources in words."""
    (found,) = read_catalogue(GOOD, "mine.toml").values()
    assert ("R-1", "pure", "A1", 136.0) == (found.name, found.model, found.safety_class, found.lowest_temperature)
    assert "the standard of classes" == found.sources["safety_class"]


@pytest.mark.parametrize("key", KEYS)
def test_missing_key_is_refused(key):
    """An entry without one of its keys is refused by the key's name."""
    text = "\n".join(line for line in GOOD.splitlines() if not (line.startswith(f"{key} ") and "standard of" not in line))
    with pytest.raises(DataError, match=rf"^mine.toml: R-1\.{key} is missing"):
        read_catalogue(text, "mine.toml")


@pytest.mark.parametrize("key", KEYS)
def test_misspelt_key_is_refused(key):
    """A key that the schema does not know is refused with the keys it knows."""
    text = GOOD.replace(f"\n{key} = ", f"\n{key}x = ").replace('compositionx = "the', 'composition = "the')
    with pytest.raises(DataError, match=rf"^mine.toml: R-1\.{key}x = .*: allowed is only the keys composition, critical, equation"):
        read_catalogue(text, "mine.toml")


REFUSED = [
    ('model = "pure"', 'model = "pur"', "R-1.model = 'pur': allowed is pure or pseudo-pure"),
    ('model = "pure"', "model = 3", "R-1.model = 3: allowed is a text"),
    ('model = "pure"', 'model = "pseudo-pure"', "R-1.composition"),
    ('library_name = "R32"', 'library_name = ""', "R-1.library_name = ''"),
    ('equation = "Author, Journal (2000)"', 'equation = ""', "R-1.equation = ''"),
    ('{ "R-1" = 1.0 }', '{ "R-1" = 0.5, "R-2" = 0.5 }', "one component for a pure refrigerant"),
    ('{ "R-1" = 1.0 }', '{ "R-1" = 0.9 }', "mass fractions that add up to 1, not 0.9"),
    ('{ "R-1" = 1.0 }', '{ "R-1" = 1.5 }', "R-1.composition.R-1 = 1.5"),
    ('{ "R-1" = 1.0 }', '{ "R-1" = 1.0, "R-2" = -0.0 }', "R-1.composition.R-2 = -0.0"),
    ('{ "R-1" = 1.0 }', '{ "R-1" = nan }', "R-1.composition.R-1 = nan"),
    ('{ "R-1" = 1.0 }', '{ "R-1" = "all" }', "R-1.composition.R-1 = 'all'"),
    ('{ "R-1" = 1.0 }', "{}", "R-1.composition = {}"),
    ('{ "R-1" = 1.0 }', "1.0", "R-1.composition = 1.0"),
    ('{ "R-1" = 1.0 }', '{ "R-2" = 1.0 }', "R-1.composition"),
    ('value = "A1"', 'value = "B7"', "R-1.safety_class = 'B7': allowed is one of A1, A2L, A2, A3"),
    ('value = "A1"', "value = 1", "R-1.safety_class"),
    ('{ value = "A1", source = "classes" }', '"A1"', "R-1.safety_class = 'A1': allowed is a table"),
    ('source = "classes"', 'source = "hearsay"', "R-1.safety_class.source = 'hearsay'"),
    ('source = "classes"', 'source = ["classes"]', "R-1.safety_class"),
    ('source = "classes"', 'sorce = "classes"', "R-1.safety_class"),
    ("{ AR6 = 1.0 }", "{ AR7 = 1.0 }", "R-1.gwp.AR7 = 1.0: allowed is only the reports AR4, AR5, AR6"),
    ("{ AR6 = 1.0 }", "{ AR6 = -1.0 }", "R-1.gwp.AR6 = -1.0"),
    ("{ AR6 = 1.0 }", "{ AR6 = nan }", "R-1.gwp.AR6 = nan"),
    ("{ AR6 = 1.0 }", "{ AR6 = inf }", "R-1.gwp.AR6 = inf"),
    ("{ AR6 = 1.0 }", '{ AR6 = "low" }', "R-1.gwp.AR6 = 'low'"),
    ("{ AR6 = 1.0 }", "{}", "R-1.gwp = {}"),
    ('gwp_source = "AR6"', 'gwp_source = "hearsay"', "R-1.gwp_source = 'hearsay'"),
    ('gwp_source = "AR6"', 'gwp_source = ""', "R-1.gwp_source = ''"),
    ('"136K"', '"136"', "R-1.lowest_temperature = '136': allowed is a temperature with its unit"),
    ('"136K"', '"-136K"', "R-1.lowest_temperature = '-136K'"),
    ('"136K"', '"5bar"', "R-1.lowest_temperature = '5bar'"),
    ('source = "equation"', 'source = "classes"', "R-1.lowest_temperature.source = 'classes'"),
    ('composition = "the standard of designations"\n', "", "sources"),
    ('composition = "the standard of designations"', "composition = 3", "sources"),
    ('classes = "the standard of classes"', "classes = 3", "classes"),
    ('["R-1"]', '["R-1"', "not readable as TOML"),
    ('["R-1"]', '"R-0" = 3\n["R-1"]', "sources.R-0"),
]


@pytest.mark.parametrize(("old", "new", "says"), REFUSED, ids=[f"{new or 'without ' + old}" for old, new, _ in REFUSED])
def test_contradictory_entry_is_refused(old, new, says):
    """An entry that contradicts the schema or itself is refused with file, key, value and what is allowed."""
    with pytest.raises(DataError) as refusal:
        read_catalogue(changed(old, new), "mine.toml")
    assert str(refusal.value).startswith("mine.toml: ") and says in str(refusal.value)


REFUSED_BLENDS = [
    ('temperature = "350K", ', "", "R-1.critical = {"),
    ('temperature = "350K"', 'temperature = "350"', "R-1.critical.temperature = '350': allowed is a temperature with its unit"),
    ('pressure = "50bar"', 'pressure = "-50bar"', "R-1.critical.pressure = '-50bar'"),
    ('pressure = "50bar", source = "classes"', 'pressure = "50bar", source = "hearsay"', "R-1.critical.source = 'hearsay': allowed is one of"),
    ('critical = {', 'critical_point = {', "R-1.critical_point = {"),
    ('critical = { temperature = "350K", pressure = "50bar", source = "classes" }', "", "R-1.critical = None: allowed is a table"),
    ('critical = { temperature = "350K", pressure = "50bar", source = "classes" }', "critical = 350.0", "R-1.critical = 350.0: allowed is a table"),
    ('model = "blend"', 'model = "pseudo-pure"', "R-1.critical = {"),
]  # fmt: skip


@pytest.mark.parametrize(("old", "new", "says"), REFUSED_BLENDS, ids=[f"{new or 'without ' + old}" for old, new, _ in REFUSED_BLENDS])
def test_blend_without_a_whole_critical_point_is_refused(old, new, says):
    """A blend lists its critical point with a source, because its equation does not state it; nothing else may."""
    assert 350.0 == read_catalogue(BLEND, "mine.toml")["R-1"].critical_temperature and BLEND.count(old) == 1
    with pytest.raises(DataError) as refusal:
        read_catalogue(BLEND.replace(old, new), "mine.toml")
    assert str(refusal.value).startswith("mine.toml: ") and says in str(refusal.value)


@pytest.mark.parametrize(
    ("entry", "says"),
    [
        ('{ value = "-78C", source = "hearsay" }', "R-1.sublimation.source = 'hearsay'"),
        ('{ value = "-78", source = "classes" }', "R-1.sublimation = '-78': allowed is a temperature with its unit"),
        ('"-78C"', "R-1.sublimation = '-78C': allowed is a table"),
    ],
)
def test_sublimation_without_unit_or_source_is_refused(entry, says):
    """A sublimation temperature is a value with its unit and a source that the file names."""
    good = GOOD + 'sublimation = { value = "-78C", source = "classes" }\n'
    assert 195.15 == pytest.approx(read_catalogue(good, "mine.toml")["R-1"].sublimation_temperature)
    with pytest.raises(DataError) as refusal:
        read_catalogue(f"{GOOD}sublimation = {entry}\n", "mine.toml")
    assert says in str(refusal.value)


@pytest.mark.parametrize("text", ['"R-1" = 3', '"R-1" = []', "\x00", "sources = 3\n" + GOOD.split("AR6", 1)[1].split("\n", 1)[1]])
def test_file_of_another_shape_is_refused(text):
    """A file whose entries or sources are not tables is refused as data."""
    with pytest.raises(DataError, match="^mine.toml: "):
        read_catalogue(text, "mine.toml")


def test_empty_file_lists_nothing():
    """A catalogue without entries is an empty list."""
    assert {} == read_catalogue("", "mine.toml")


@pytest.mark.parametrize("name", ["R\u2011410A", "r\u2013410a", "R\u00a0410A", "R 410A"])
def test_name_pasted_from_a_document_is_known(name):
    """Dashes and blanks that documents set in a designation are read as its hyphen."""
    assert "R-410A" == listing(name).name


def test_flammable_refrigerants_are_all_named_in_the_safety_notes():
    """docs/safety.md and lesson 00 name every A2L and A3 refrigerant of the catalogue."""
    top = Path(__file__).parents[1]
    for text in ((top / "docs/safety.md").read_text(), (top / "notebooks/00-start-here.ipynb").read_text()):
        assert [] == [name for name, one in catalogue().items() if one.safety_class in ("A2L", "A3") and name not in text]


def test_pressure_in_the_caution_is_that_of_the_equation_of_state():
    """The caution of R-744 names the saturation pressure at 20 °C: 57 bar by Span & Wagner (1996), in psi too."""
    pressure = refrigerant("R-744").dew_pressure(293.15)
    assert f"{pressure / 1e5:.0f} bar ({pressure / 6894.757:.0f} psi) at 20 °C" in listing("R-744").pressure_caution
