"""What is public says what it is: docstrings that begin with a sentence, name their refusals, show an example, and cite sources; public lists are sorted.

A name is public where its room's first page lists it in `__all__`, where another room imports it, and, in a room without such a list, wherever no underscore
stands before it.  Only what a machine can check is checked here; whether a docstring is true is for its readers and its example.
"""

import ast
import importlib
import re
from functools import cache
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
LIBRARY = ROOT / "hpteach"
MODULES = sorted(LIBRARY.rglob("*.py"))
COMPUTING = {"units", "circuit", "fluids", "cycle", "gauges", "comparison", "machine", "questions", "assessment"}
SOURCES = (ROOT / "docs" / "sources.md").read_text(encoding="utf-8")


def relative(path):
    return path.relative_to(ROOT).as_posix()


def room_of(path):
    return path.relative_to(LIBRARY).with_suffix("").parts[0]


def public(node, above=()):
    """The public functions, classes and methods below a node, each with the classes around it."""
    for child in node.body:
        if isinstance(child, (ast.FunctionDef, ast.AsyncFunctionDef, ast.ClassDef)) and not child.name.startswith("_"):
            yield child, above
            if isinstance(child, ast.ClassDef):
                yield from public(child, (*above, child))


def name_of(node, above):
    return ".".join(one.name for one in (*above, node))


def said(node):
    return ast.get_docstring(node) or ""


def list_of(tree):
    """The names in a module's `__all__`, None where it has none."""
    for node in tree.body:
        if isinstance(node, ast.Assign) and "__all__" in [getattr(target, "id", "") for target in node.targets]:
            return ast.literal_eval(node.value)
    return None


TREES = {path: ast.parse(path.read_text(encoding="utf-8")) for path in MODULES}
LISTS = {path: names for path, tree in TREES.items() if (names := list_of(tree)) is not None}


# First sentence -----------------------------------------------------------------------


def without_first_sentence(tree):
    """What is public whose docstring does not begin with a line that ends in a full stop."""
    return [name_of(node, above) for node, above in public(tree) if not said(node).split("\n")[0].endswith(".")]


@pytest.mark.parametrize("path", MODULES, ids=relative)
def test_docstring_begins_with_a_sentence(path):
    """The first line of every public docstring is a sentence, ending with a full stop."""
    assert [] == without_first_sentence(TREES[path])


def test_docstring_without_a_sentence_is_found():
    """A first line that is broken off, or that asks, is no sentence."""
    text = 'def f():\n    """Half a\n    sentence."""\ndef g():\n    """Whole.\n\n    More"""\nclass C:\n    """Is it?"""\n    def m(self):\n        """Whole."""'
    assert ["f", "C"] == without_first_sentence(ast.parse(text))


# Refusals -----------------------------------------------------------------------------


def raised(function):
    """The library's errors that stand in a function's own `raise` statements."""
    calls = [node.exc.func if isinstance(node.exc, ast.Call) else node.exc for node in ast.walk(function) if isinstance(node, ast.Raise) and node.exc is not None]
    names = {part.id for call in calls for part in ast.walk(call) if isinstance(part, ast.Name)}
    return sorted(names & ERRORS)


ERRORS = {node.name for node in TREES[LIBRARY / "errors.py"].body if isinstance(node, ast.ClassDef) and node.name.endswith("Error")}


def silent_about_refusals(tree):
    """Public functions that raise an error of the library and name neither it nor whose refusals they share, and which errors these are."""
    for node, above in public(tree):
        if not isinstance(node, ast.ClassDef):
            told = " ".join(said(one) for one in (node, *above[-1:]))
            missing = [error for error in raised(node) if error not in told]
            if missing and not re.search(r"[Rr]efusals as in `|[Rr]aises what `", told):
                yield name_of(node, above), missing


@pytest.mark.parametrize("path", MODULES, ids=relative)
def test_function_names_what_it_raises(path):
    """A public function that raises an error of the library names it in its docstring, or in that of its class."""
    assert [] == list(silent_about_refusals(TREES[path]))


def test_silence_about_a_refusal_is_found():
    """An error that is raised and not named is found, also where another one is named."""
    text = 'def f():\n    """Raises `UnitError`."""\n    raise LimitError.outside("x")\ndef g():\n    """Raises `UnitError`."""\n    raise UnitError("x")\ndef h():\n    """Refusals as in `f`."""\n    raise UnitError'
    assert [("f", ["LimitError"])] == list(silent_about_refusals(ast.parse(text)))


# Examples -----------------------------------------------------------------------------


@cache
def imported_by_others(room):
    """What modules of other rooms import from a room."""
    return {
        alias.name
        for path, tree in TREES.items() if room_of(path) != room
        for node in ast.walk(tree) if isinstance(node, ast.ImportFrom) and (node.module or "").split(".")[:2] == ["hpteach", room]
        for alias in node.names
    }  # fmt: skip


def gives(function):
    """Whether a function returns or yields something."""
    return any(isinstance(node, (ast.Return, ast.Yield, ast.YieldFrom)) and node.value is not None for node in ast.walk(function))


def shown(node):
    return ">>>" in said(node)


@cache
def made_in_room(room):
    return made_in_an_example([tree for path, tree in TREES.items() if room_of(path) == room])


def made_in_an_example(trees):
    """The classes that a public function with an example is annotated to return."""
    return {
        part.id if isinstance(part, ast.Name) else part.value
        for tree in trees for node, _ in public(tree) if not isinstance(node, ast.ClassDef) and node.returns is not None and shown(node)
        for part in ast.walk(node.returns) if isinstance(part, ast.Name) or isinstance(part, ast.Constant) and isinstance(part.value, str)
    }  # fmt: skip


def without_example(tree, names, made):
    """Functions and methods that give something, but no example: none of their own, none in their class, none of a function that makes their class."""
    for node, above in public(tree):
        if isinstance(node, ast.ClassDef) or not gives(node) or names is not None and (above or (node,))[0].name not in names:
            continue
        beside = [node, *above, *(one for owner in above for one in owner.body if isinstance(one, ast.FunctionDef))]
        if not any(map(shown, beside)) and not {one.name for one in above} & made:
            yield name_of(node, above)


def public_names(room):
    """The public names of a room with a first page; None in a room that is one module, where every name without underscore is."""
    names = LISTS.get(LIBRARY / room / "__init__.py")
    return None if names is None else {*names, *imported_by_others(room)}


@pytest.mark.parametrize("path", [path for path in MODULES if room_of(path) in COMPUTING], ids=relative)
def test_what_computes_shows_an_example(path):
    """Whatever a computing room gives to others stands with an example, which is run as a test."""
    assert [] == list(without_example(TREES[path], public_names(room_of(path)), made_in_room(room_of(path))))


def test_missing_example_is_found():
    """A function without an example is found; one that gives nothing, a method of a shown class and one of a class made in an example need none."""
    text = (
        'def f():\n    """F."""\n    return 1\ndef g():\n    """G.\n\n    >>> 1\n    1\n    """\n    return 1\ndef h():\n    """H."""\n'
        'class C:\n    """C.\n\n    >>> 1\n    1\n    """\n    def m(self):\n        """M."""\n        return 1\nclass D:\n    """D."""\n    def m(self):\n        """M."""\n        return 1\n'
        'class E:\n    """E."""\n    def m(self):\n        """M."""\n        return 1\ndef make() -> E:\n    """Make.\n\n    >>> 1\n    1\n    """\n    return E()\n'
    )
    tree = ast.parse(text)
    assert ["f", "D.m"] == list(without_example(tree, None, made_in_an_example([tree])))
    assert ["D.m"] == list(without_example(tree, {"D"}, made_in_an_example([tree])))


# Sources ------------------------------------------------------------------------------

STANDARD = re.compile(
    r"AHRI \d+(?:/\d+)?|(?:EN|ISO|RFC) \d{3,5}|FIPS \d+-\d|NIST Special Publication \d+|ASHRAE (?:Standard \d+|Handbook|RP-\d+|Transactions)|ITU-R BT\.\d+"
    r"|IAPWS(?:-\d+| R\d+-\d+)|(?:10|40) CFR \d+|\(EU\) \d+/\d+"
)
PAPER = re.compile(r"([^;:()]*?)\(((?:18|19|20)\d\d)\)|([A-Z][a-z]+) ((?:18|19|20)\d\d)\b(?!-)")


def told_by(tree):
    """What the docstrings of a module, its classes, functions and values say, in one line."""
    told = [ast.get_docstring(node) or "" for node in ast.walk(tree) if isinstance(node, (ast.Module, ast.FunctionDef, ast.ClassDef))]
    told += [node.value.value for node in tree.body if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant) and isinstance(node.value.value, str)]
    without_examples = ["\n".join(line for line in one.splitlines() if not line.lstrip().startswith((">>>", "...", "'"))) for one in told]
    return " ".join(" ; ".join(without_examples).split())


def sources_in(tree):
    """The standards, laws and papers that the docstrings of a module name, each as the words that its row on the page must have."""
    told = told_by(tree)
    for standard in STANDARD.findall(told):
        yield (standard,)
    for before, year, author, its_year in PAPER.findall(told):
        sentence = re.split(r"(?<=[a-z]{3}\d\d)\. |(?<=[a-z]{4})\. ", before)[-1]
        names = re.findall(r"\b[A-Z][a-z]{3,}", sentence)[:5] if before else [author]
        if names:
            yield (*names, year or its_year)


def unlisted(tree, page):
    """The sources of a module that no line of the page has all words of."""
    return sorted({one for one in sources_in(tree) if not any(all(word in line for word in one) for line in page.splitlines())})


@pytest.mark.parametrize("path", MODULES, ids=relative)
def test_source_of_a_docstring_stands_on_the_page(path):
    """Each standard, law and paper that code names is listed in docs/sources.md."""
    assert [] == unlisted(TREES[path], SOURCES)


def test_source_that_is_not_listed_is_found():
    """Standards, laws and papers are recognised in docstrings of modules, functions and values, and looked for line by line."""
    text = (
        '"""Form of RFC 4180."""\ndef f():\n    """After AHRI 540 and (EU) 2024/573; Kuder & Richardson, Psychometrika 2 (1937) 151."""\n'
        'X = 1\n"""ITU-R BT.601."""\ndef g():\n    """By Kelley (1939), and by rank (Kendall 1945)."""'
    )
    page = "| RFC 4180 |\n| AHRI 540, (EU) 2024/573 |\n| ITU-R BT.601 |\n| Kelley |\n| 1939 |\n| Kendall, Biometrika 33 (1945) |"
    assert [("Kelley", "1939"), ("Kuder", "Richardson", "Psychometrika", "1937")] == unlisted(ast.parse(text), page)


def test_page_gives_each_citation_once():
    """No row of docs/sources.md begins like another, and no volume and pages stand twice."""
    lines = SOURCES.splitlines()
    first = [line.split(" | ")[0] for before, line in zip(lines, lines[1:]) if line.startswith("| ") and before.startswith("|")]
    volumes = re.findall(r"[A-Z][\w.]* \d+ \((?:18|19|20)\d\d\)[^|;,]*?\d+-\d+", SOURCES)
    for found in (first, volumes):
        assert 12 < len(found) and [] == sorted({one for one in found if found.count(one) > 1})


FIGURES = {"units", "circuit", "fluids", "cycle", "gauges", "gauge_doubts", "comparison", "machine", "assessment"}
NAMED = re.compile(r"Source|memory|no source|chosen|invented|textbook|sources\.md")


def figures_in(text):
    """The numbers with three or more figures that a module computes with, but for 0 degrees Celsius, whole powers and what is next to 1."""
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.Constant) and isinstance(node.value, float) and abs(node.value - 1.0) > 0.01 and node.value != 273.15:
            written = ast.get_source_segment(text, node)
            if len(re.sub(r"e.*", "", written).replace(".", "").replace("_", "").strip("0")) >= 3:
                yield written


@pytest.mark.parametrize("path", [path for path in MODULES if room_of(path) in FIGURES], ids=relative)
def test_figures_that_are_computed_with_have_a_source(path):
    """A module that computes with a number of three figures or more says where such numbers come from, or that it was chosen."""
    text = path.read_text(encoding="utf-8")
    assert not list(figures_in(text)) or NAMED.search(text)


def test_figure_is_found():
    """A coefficient is found; small round numbers, 273.15 and a hair above 1 are not."""
    assert ["101325.0", "5.2559"] == sorted(figures_in("x = 5.2559 + 0.5 * 273.15 * 1.000001\ny = 101325.0\nz = 2.0e5"))


# Lists --------------------------------------------------------------------------------


def in_order(names):
    """Constants first, then classes, then functions; each in the order of the alphabet."""
    return sorted(names, key=lambda name: (2 if name[0].islower() else 1 if any(map(str.islower, name)) else 0, name))


@pytest.mark.parametrize("path", LISTS, ids=relative)
def test_public_list_is_sorted_and_true(path):
    """A list of public names is sorted, holds each once, and each is there."""
    names = LISTS[path]
    assert in_order(set(names)) == names
    module = importlib.import_module(".".join(path.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__"))
    assert [] == [name for name in names if not hasattr(module, name)]


@pytest.mark.parametrize("path", [path for path in LISTS if path.name == "__init__.py"], ids=relative)
def test_first_page_lists_what_it_imports(path):
    """A room's first page imports a name only to list it."""
    imported = [alias.asname or alias.name for node in TREES[path].body if isinstance(node, ast.ImportFrom) for alias in node.names]
    assert [] == [name for name in imported if name not in LISTS[path]]
