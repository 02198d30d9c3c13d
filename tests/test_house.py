"""The house: who may import whom, how long a module may be, what stands at the top level, what is documented (docs/house.md).

The table below is the one of docs/house.md as data, and a test holds the two together.  It names rooms that may not stand yet.
"""

import ast
import re
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
LIBRARY = ROOT / "hpteach"

GROUND = {"errors", "tables", "unit_spellings", "units", "circuit", "fluids"}
BELOW_COMPARISON = GROUND | {"cycle", "gauge_doubts", "gauges"}
BELOW_MACHINE = BELOW_COMPARISON | {"comparison"}
BELOW_DIAGRAMS = BELOW_MACHINE | {"machine"}
BELOW_QUESTIONS = BELOW_DIAGRAMS | {"diagrams"}
BELOW_PAPERS = {"errors", "units", "circuit", "fluids", "cycle", "diagrams", "readouts", "questions", "assessment", "solution_words", "question_pictures", "cards"}
BELOW_PANELS = BELOW_QUESTIONS | {"wording", "readouts", "questions", "assessment", "gauge_readouts", "machine_readouts", "fault_readouts", "diagnosis_words", "season_readouts", "question_readouts", "solution_words", "question_pictures", "cards", "papers", "claims", "live"}
OPTIONS = {"option_list", "options", "cycle_options", "chart_options", "gauge_options", "machine_options", "season_options", "desk_folders", "desk_options", "printing", "question_options", "progress_options"}
EVERYTHING = BELOW_PANELS | OPTIONS | {"panels", "serving", "class_session", "cli"}

# room: (rooms it may import, third parties it may import).  The standard library is open to all.
ROOMS = {
    "errors": (set(), set()),
    "tables": (set(), set()),
    "unit_spellings": (set(), set()),
    "units": ({"errors", "tables", "unit_spellings"}, {"pint"}),
    "circuit": ({"errors", "tables"}, set()),
    "fluids": ({"errors", "tables", "units"}, {"CoolProp", "numpy"}),
    "cycle": (GROUND, {"numpy"}),
    "gauge_doubts": ({"errors"}, set()),
    "gauges": (GROUND | {"cycle", "gauge_doubts"}, {"numpy"}),
    "comparison": (BELOW_COMPARISON, set()),
    "machine": (BELOW_MACHINE, {"numpy", "scipy"}),
    "diagrams": (BELOW_DIAGRAMS, {"matplotlib", "numpy"}),
    "wording": (BELOW_DIAGRAMS, set()),
    "readouts": (BELOW_DIAGRAMS, set()),
    "questions": (BELOW_DIAGRAMS, {"numpy"}),
    "assessment": ({"errors", "tables", "questions"}, {"numpy", "platformdirs"}),
    "gauge_readouts": ({"tables", "units", "circuit", "fluids", "gauges", "readouts"}, set()),
    "machine_readouts": ({"tables", "units", "fluids", "machine", "readouts"}, set()),
    "fault_readouts": ({"tables", "units", "machine"}, set()),
    "diagnosis_words": ({"tables", "units", "circuit", "fluids", "machine", "readouts", "fault_readouts"}, set()),
    "season_readouts": ({"tables", "units", "machine", "readouts"}, set()),
    "question_readouts": ({"tables", "units", "questions"}, set()),
    "solution_words": ({"errors", "units", "circuit", "fluids", "cycle", "questions", "wording"}, set()),
    "question_pictures": ({"errors", "units", "circuit", "fluids", "cycle", "machine", "diagrams", "questions", "solution_words"}, {"matplotlib"}),
    "cards": ({"errors", "units", "fluids", "readouts"}, {"jinja2"}),
    "papers": (BELOW_PAPERS, {"jinja2", "markupsafe", "matplotlib", "numpy"}),
    "claims": ({"errors", "units", "circuit", "fluids", "cycle", "gauges", "comparison", "machine"}, set()),
    "live": ({"errors", "tables"}, {"matplotlib", "PIL", "anywidget", "numpy", "traitlets"}),
    "panels": (BELOW_PANELS, {"ipywidgets", "anywidget", "traitlets"}),
    "serving": ({"errors"}, {"voila"}),
    "class_session": ({"errors", "serving"}, {"jupyterhub"}),
    "printing": ({"errors"}, set()),
    "option_list": (set(), set()),
    "options": ({"errors", "tables", "units", "option_list"}, set()),
    "cycle_options": ({"errors", "units", "circuit", "fluids", "cycle", "options"}, set()),
    "chart_options": ({"errors", "fluids", "cycle", "diagrams", "options", "cycle_options"}, set()),
    "gauge_options": ({"errors", "units", "circuit", "fluids", "gauges", "options"}, set()),
    "machine_options": ({"errors", "units", "circuit", "fluids", "machine", "options"}, set()),
    "season_options": ({"errors", "units", "machine", "season_readouts", "options", "machine_options"}, set()),
    "desk_folders": ({"errors", "assessment", "papers"}, set()),
    "desk_options": ({"errors", "tables", "questions", "assessment", "papers", "options", "printing", "desk_folders"}, set()),
    "question_options": ({"errors", "tables", "questions", "question_readouts", "question_pictures", "options", "printing"}, set()),
    "progress_options": ({"errors", "questions", "assessment", "options", "printing"}, set()),
    "cli": (EVERYTHING, set()),
    "__main__": ({"cli"}, set()),
    "__init__": (set(), set()),
}

TOP_LEVEL = {"README.md", "DEVELOPERS.md", "pyproject.toml", "notebooks", "hpteach", "exercises", "tests", "docs"}
LEFTOVERS = re.compile(r"\..*|.*\.egg-info|__pycache__|build|dist")

MOST_LINES = 400
LONGER_FOR_A_REASON = {
    "hpteach/claims/claims.toml": "one list of claims: data, of which a reader looks up one entry",
    "hpteach/questions/law_topics.toml": "one list of topics of the law: data, of which a reader looks up one entry",
}

MODULES = sorted(LIBRARY.rglob("*.py"))
TESTS = sorted(path for path in (ROOT / "tests").rglob("*.py"))
WRITTEN = sorted(
    path for folder in ("hpteach", "docs", "exercises", "tests", ".") for path in (ROOT / folder).glob("*" if folder == "." else "**/*")
    if path.suffix in {".js", ".css", ".html", ".md", ".toml"} and path.is_file()
)  # fmt: skip


def relative(path):
    return path.relative_to(ROOT).as_posix()


def lines_of(path):
    return len(path.read_text(encoding="utf-8").splitlines())


def room_of(parts):
    """The room of a module: its first word, unless its first two words are a room of their own."""
    return ".".join(parts[:2]) if ".".join(parts[:2]) in ROOMS else parts[0]


def room_of_file(path):
    return room_of(path.relative_to(LIBRARY).with_suffix("").parts)


def imported(tree, path):
    """The full dotted names that a module imports, wherever in it the import stands."""
    package = ("hpteach", *path.relative_to(LIBRARY).parts[:-1])
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            above = package[: len(package) - node.level + 1] if node.level else ()
            base = ".".join((*above, *([node.module] if node.module else [])))
            yield from (f"{base}.{alias.name}" for alias in node.names)


def may_enter(room, other):
    """Its own room, the rooms of its row, and a part of any of those."""
    return other in {room, room.split(".")[0]} or other.split(".")[0] in ROOMS[room][0]


def trespasses(text, path):
    """The names that a module at `path` imports and may not."""
    room = room_of_file(path)
    for name in imported(ast.parse(text), path):
        first, *rest = name.split(".")
        if first == "hpteach":
            if rest and not rest[0].startswith("__") and not may_enter(room, room_of(rest)):
                yield name
        elif first not in sys.stdlib_module_names and first not in ROOMS[room][1]:
            yield name


def mentions_pyplot(text):
    tree = ast.parse(text)
    names = [alias.name for node in ast.walk(tree) if isinstance(node, (ast.Import, ast.ImportFrom)) for alias in node.names]
    names += [node.module or "" for node in ast.walk(tree) if isinstance(node, ast.ImportFrom)]
    names += [node.attr for node in ast.walk(tree) if isinstance(node, ast.Attribute)]
    return any({"pyplot", "pylab"} & set(name.split(".")) for name in names)


def listed(cell):
    """The names in a cell of the page's table, without what stands in brackets, in emphasis or as code."""
    plain = re.sub(r"\([^)]*\)|\*[^*]*\*|`", "", cell)
    return [word.strip() for word in plain.split(",") if word.strip() not in ("", "-")]


def table_of_the_page(page):
    """The import table as it stands on the page, in the form of ROOMS."""
    table = page.split("| room |", 1)[1].split("\n\n", 1)[0].splitlines()[2:]
    names = {"Pillow": "PIL", "Jinja2": "jinja2", "Voila": "voila", "JupyterHub": "jupyterhub"}
    found, above = {}, set()
    for row in table:
        rooms, from_house, third_parties = (listed(cell) for cell in row.strip("| ").split(" | "))
        first, *others = from_house or [""]
        if first.removeprefix("all of ").startswith("the above"):
            left_out = {first.removeprefix("the above but "), *others} if " but " in first else set()
            assert left_out <= above, f"{rooms}: {left_out} is not above"
            below = above - left_out
        else:
            below = set(from_house)
        for room in rooms:
            found[room] = (below, {names.get(name, name) for name in third_parties})
        above = above | set(rooms)
    return found


def entered(room, rooms):
    """Whole rooms: who may enter a room may enter its parts, and a room may always enter itself."""
    return {other.split(".")[0] for other in rooms} - {room.split(".")[0]}


def test_table_is_the_one_of_the_page():
    """The import table of docs/house.md says the same as the table here, room by room."""
    page = table_of_the_page((ROOT / "docs" / "house.md").read_text(encoding="utf-8"))
    assert set(ROOMS) == set(page)
    for room, (rooms, third_parties) in ROOMS.items():
        assert (entered(room, rooms), third_parties) == (entered(room, page[room][0]), page[room][1]), room


@pytest.mark.parametrize("path", MODULES, ids=relative)
def test_module_belongs_to_a_room_of_the_house(path):
    """A module whose room is not in the table is refused, so that nobody forgets to give it one."""
    assert room_of_file(path) in ROOMS


@pytest.mark.parametrize("path", MODULES, ids=relative)
def test_module_imports_only_what_its_room_may(path):
    """A room imports the rooms and third parties of its row in the table and nothing else."""
    assert [] == sorted(trespasses(path.read_text(encoding="utf-8"), path))


@pytest.mark.parametrize(
    ("place", "text"),
    [
        ("circuit.py", "from hpteach import fluids"),
        ("circuit.py", "import numpy"),
        ("cycle.py", "def solve():\n    from CoolProp.CoolProp import PropsSI"),
        ("units.py", "from hpteach.circuit import flow"),
        ("fluids/blend.py", "from .. import cycle"),
        ("fluids/blend.py", "from ..cycle import solve"),
        ("assessment/marking.py", "from hpteach.diagrams import style"),
        ("assessment/marking.py", "from hpteach import papers"),
        ("live.py", "from hpteach.cycle import solve"),
        ("options.py", "from hpteach import readouts"),
        ("serving.py", "from hpteach.options import read"),
        ("cards.py", "from hpteach.cycle import solve"),
        ("questions/bank.py", "import hpteach.diagrams.style"),
        ("__main__.py", "from hpteach.cycle import solve"),
        ("tables.py", "import hpteach.errors"),
    ],
)
def test_trespass_is_found(place, text):
    """An import that the table does not allow is found wherever and however it is written."""
    assert 1 == len(list(trespasses(text, LIBRARY / place)))


@pytest.mark.parametrize(
    ("place", "text"),
    [
        ("circuit.py", "from hpteach.errors import CircuitError\nfrom hpteach.tables import Table\nimport math"),
        ("fluids/blend.py", "from . import catalogue\nfrom .refrigerant import State\nfrom hpteach.units import read\nimport CoolProp"),
        ("papers/form_page.py", "from hpteach.diagrams import style\nfrom hpteach.assessment.blueprint import draw\nimport jinja2"),
        ("assessment/marking.py", "from hpteach.questions import checking\nfrom . import statistics\nimport sqlite3"),
        ("panels/cycle_panel.py", "from hpteach import live, diagrams, assessment\nimport ipywidgets"),
        ("cli.py", "from hpteach import __version__, panels, fluids\nfrom hpteach.papers import write_papers"),
        ("__main__.py", "from hpteach.cli import main"),
    ],
)
def test_permitted_import_passes(place, text):
    """An import that the table allows passes, also within a room."""
    assert [] == list(trespasses(text, LIBRARY / place))


def test_rooms_stand_without_a_circle():
    """Following the table downwards never comes back to the room where it began."""
    below = {room: {other for other in rooms if other != room} for room, (rooms, _) in ROOMS.items()}
    while below:
        ground = {room for room, rooms in below.items() if not rooms & set(below)}
        assert ground, f"in a circle: {sorted(below)}"
        below = {room: rooms for room, rooms in below.items() if room not in ground}


@pytest.mark.parametrize("path", MODULES, ids=relative)
def test_no_module_touches_pyplot(path):
    """Figures belong to whoever made them: nothing in the library uses the global state of pyplot."""
    assert not mentions_pyplot(path.read_text(encoding="utf-8"))


@pytest.mark.parametrize(
    "text",
    ["import matplotlib.pyplot as plt", "from matplotlib import pyplot", "from matplotlib.pyplot import plot", "matplotlib.pyplot.plot()", "import pylab"],
)  # fmt: skip
def test_pyplot_is_found(text):
    """Every way of reaching pyplot is recognised."""
    assert mentions_pyplot(text)


def test_pint_is_loaded_at_the_first_unit_only():
    """Only units imports pint, inside the function that needs it, because it costs half a second."""
    at_the_top = [name for node in ast.parse((LIBRARY / "units.py").read_text(encoding="utf-8")).body
                  if isinstance(node, (ast.Import, ast.ImportFrom)) for name in imported(ast.Module([node], []), LIBRARY / "units.py")]  # fmt: skip
    assert [] == [name for name in at_the_top if name.split(".")[0] == "pint"]


@pytest.mark.parametrize("path", [*MODULES, *TESTS], ids=relative)
def test_module_is_short_enough_to_read(path):
    """A module has at most 400 lines, unless it is listed with the reason why it is better whole."""
    assert lines_of(path) <= MOST_LINES or LONGER_FOR_A_REASON.get(relative(path))


def test_page_script_and_list_are_short_enough_to_read():
    """A page, a style sheet, a script and a list of data have at most 400 lines too, unless they are listed with the reason."""
    assert len(WRITTEN) > 200
    assert set() == {relative(path) for path in WRITTEN if lines_of(path) > MOST_LINES} - set(LONGER_FOR_A_REASON)


def test_list_of_longer_modules_is_true():
    """A module that has become short enough, or is gone, leaves the list of exceptions."""
    lengths = {relative(path): lines_of(path) for path in [*MODULES, *TESTS, *WRITTEN]}
    assert [] == [name for name in LONGER_FOR_A_REASON if lengths.get(name, 0) <= MOST_LINES]


def test_nothing_else_stands_at_the_top_level():
    """The top level holds the files and folders of the house and no other."""
    assert set() == {path.name for path in ROOT.iterdir() if not LEFTOVERS.fullmatch(path.name)} - TOP_LEVEL


def test_everything_of_the_house_stands_at_the_top_level():
    """Each file and folder that the house names is there."""
    assert set() == TOP_LEVEL - {path.name for path in ROOT.iterdir()}


def test_exercises_are_data_only():
    """The question bank holds TOML, folders and a page that explains them, no code."""
    assert set() == {path.suffix for path in (ROOT / "exercises").rglob("*") if path.is_file()} - {".toml", ".md"}


@pytest.mark.parametrize("path", MODULES, ids=relative)
def test_module_says_what_lives_in_it(path):
    """Each module begins with a docstring; a room's main page says what lives there."""
    assert ast.get_docstring(ast.parse(path.read_text(encoding="utf-8")))


def undocumented(node, owner=""):
    """The public functions, classes and methods below a node that have no docstring."""
    for child in node.body:
        if isinstance(child, (ast.FunctionDef, ast.AsyncFunctionDef, ast.ClassDef)) and not child.name.startswith("_"):
            if not ast.get_docstring(child):
                yield owner + child.name
            if isinstance(child, ast.ClassDef):
                yield from undocumented(child, f"{owner}{child.name}.")


@pytest.mark.parametrize("path", MODULES, ids=relative)
def test_everything_public_has_a_docstring(path):
    """Every public function, class and method of the library says what it is for."""
    assert [] == list(undocumented(ast.parse(path.read_text(encoding="utf-8"))))


def test_missing_docstring_is_found():
    """A public function, class or method without a docstring is found; a private one need not have any."""
    text = "def f(): pass\ndef _g(): pass\nclass C:\n    def m(self): pass\n    def _n(self): pass\nclass _D:\n    def o(self): pass"
    assert ["f", "C", "C.m"] == list(undocumented(ast.parse(text)))


def test_glossary_is_sorted():
    """The terms of the glossary stand in the order of the alphabet, each once."""
    rows = (ROOT / "docs" / "glossary.md").read_text(encoding="utf-8").split("|---|", 1)[1].splitlines()[1:]
    terms = [row.strip("| ").split(" | ")[0] for row in rows if row.startswith("|")]
    assert len(terms) > 50
    letters = [term.casefold().replace("-", " ") for term in terms]
    assert sorted(set(letters)) == letters


@pytest.mark.parametrize("path", [path for path in TESTS if path.name.startswith("test_")], ids=relative)
def test_every_test_states_its_behaviour(path):
    """Each test has a docstring that states a behaviour as a sentence, ending with a full stop."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    tests = [node for node in ast.walk(tree) if isinstance(node, ast.FunctionDef) and node.name.startswith("test_")]
    silent = [node.name for node in tests if not (ast.get_docstring(node) or "").rstrip().endswith(".")]
    assert [] == silent
    assert ast.get_docstring(tree)


def test_every_module_stands_on_the_page():
    """The page of the house names every module of the library, and no module that is gone."""
    page = (ROOT / "docs" / "house.md").read_text(encoding="utf-8").split("## Who may import whom")[0]
    named = {word.split("/")[-1] for word in re.findall(r"[\w/]+\.py\b", page)}
    assert set() == {path.name for path in MODULES if path.name != "__init__.py"} ^ named
