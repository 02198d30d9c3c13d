"""How easy the lessons, the README's first part, the glossary and the questions read (tests/reading_ease.py)."""

from pathlib import Path

import pytest

from tests.reading_ease import EXCEPTIONS, LESSONS, NOTEBOOKS, Ease, measure, of_glossary, of_notebook, of_questions, of_readme, prose, syllables, table
from tests.reference import rows

HARDEST = 9.0
"""Plain language: a text that asks more than nine years of school is rewritten."""

SLOWLY = {"everything": 4, "everywhere": 4, "recovery": 4, "several": 3, "temperature": 4, "temperatures": 4, "theory": 3, "w": 1}
"""Words that the dictionary of sounds has in a quicker way of speaking than is counted here, and the letter, which it spells out."""

READ = [*LESSONS, *(NOTEBOOKS / f"{name}.ipynb" for name in ("index", "where-i-stand"))]


@pytest.mark.parametrize("path", READ, ids=[path.stem for path in READ])
def test_a_lesson_reads_easily(path: Path) -> None:
    """The prose of every lesson, of the index and of the page of one's own stays at or below grade 9, and there is some."""
    ease = of_notebook(path)
    assert ease.words > 200
    assert ease.grade <= HARDEST


@pytest.mark.parametrize(("of", "least"), [(of_readme, 300), (of_glossary, 1000), (of_questions, 5000)], ids=["README", "glossary", "questions"])
def test_other_texts_read_easily(of, least: int) -> None:  # noqa: ANN001
    """The README's first part, the meanings of the glossary and the prompts of all questions together stay at or below grade 9."""
    ease = of()
    assert ease.words > least
    assert ease.grade <= HARDEST


def test_the_formulas_are_the_published_ones() -> None:
    """Grade and ease of 100 words in 5 sentences with 150 syllables, worked by hand: 0.39 · 20 + 11.8 · 1.5 − 15.59 and 206.835 − 1.015 · 20 − 84.6 · 1.5."""
    ease = Ease(sentences=5, words=100, syllables=150)
    assert 9.91 == pytest.approx(ease.grade)
    assert 59.635 == pytest.approx(ease.ease)


def test_syllables_are_those_of_the_dictionary() -> None:
    """Every word of the reference has the syllables that the dictionary gives, but for those that are spoken slowly here."""
    table = {row["word"]: int(row["syllables"]) for row in rows("09_syllables.csv")}
    assert len(table) > 1000
    differing = {word: syllables(word) for word, counted in table.items() if syllables(word) != counted}
    assert SLOWLY == differing


@pytest.mark.parametrize(
    ("word", "count"),
    [
        ("subcooling", 3), ("superheat", 3), ("vapour", 2), ("enthalpy", 3), ("enthalpies", 3), ("condenses", 3), ("condenser's", 3), ("energised", 3),
        ("thermostatic", 4), ("evaporators", 5), ("solenoid", 3), ("defrosts", 2), ("refrigerating", 5), ("volumetric", 4), ("hygrometers", 4), ("isotherm", 3),
        ("COP", 3), ("TXV", 3), ("W", 1), ("BTW", 5), ("pressure-enthalpy", 5), ("they're", 1),
    ],
)  # fmt: skip
def test_the_trades_words_are_counted(word: str, count: int) -> None:
    """Words that the dictionary lacks, with what an ear counts; capitals are spelled out, parts joined by hyphens are added up."""
    assert count == syllables(word)


def test_every_exception_is_needed(monkeypatch) -> None:  # noqa: ANN001
    """The rules alone get every word of the list of exceptions wrong."""
    from tests import reading_ease

    monkeypatch.setattr(reading_ease, "EXCEPTIONS", {})
    assert [] == [word for word, counted in EXCEPTIONS.items() if syllables(word) == counted]


def test_only_prose_is_read() -> None:
    """Headings, tables, code, formulas, quantities, designations, titles of folded parts and the targets of links are left out; an item of a list ends a sentence."""
    text = """# Not this

| nor | this |
|---|---|

<details>
<summary><b>Nor this</b></summary>

R-410A boils at −51.4 °C (−60.6 °F) [in the open](glossary.ipynb#boiling). Mr Holt says **so**.
It goes on

- one item
2. `code` and another (02-who-is-who.ipynb)

Superheat = suction line − dew.

```
not = this
```

    nor this

</details>
"""
    found = [" ".join(sentence.split()) for sentence in prose(text)]
    assert ["boils at ( ) in the open.", "Mr Holt says so.", "It goes on", "one item", "and another"] == found
    assert Ease(5, 5 + 4 + 3 + 2 + 2, 6 + 5 + 3 + 3 + 4) == measure(found)


def test_the_table_names_every_lesson_and_the_other_texts() -> None:
    """The printed table has a line for each lesson and for the other texts, under its heads."""
    lines = table().splitlines()
    assert ["text", "grade", "ease", "words", "words", "a", "sentence"] == lines[0].split()
    assert [path.stem for path in READ] == [line.split()[0] for line in lines[1:-3]]
    assert ["README", "glossary", "questions"] == [line.split(",")[0] for line in lines[-3:]]
