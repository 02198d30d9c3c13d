"""How easy a page reads: Flesch-Kincaid grade level and Flesch reading ease of its prose, and a table of both for every lesson.

What lives here: taking the prose out of Markdown, counting its sentences, words and syllables, the two formulas.  What does not: what is easy enough
(test_reading_ease).  `python -m tests.reading_ease` prints the table.

The grade is that of Kincaid, Fishburne, Rogers and Chissom 1975, the ease that of Flesch 1948 (both from memory).  They count lengths and know nothing of
meaning.  Syllables are counted by rules, as a dictionary of sounds would have to be fetched; `tests/reference/09_syllables.csv` says how well they do.
"""

from __future__ import annotations

import json
import re
import tomllib
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

TOP = Path(__file__).parents[1]
NOTEBOOKS = TOP / "notebooks"
LESSONS = sorted(NOTEBOOKS.glob("[0-9][0-9]-*.ipynb"))

EXCEPTIONS = {
    "area": 3, "auxiliary": 4, "being": 2, "business": 2, "changeover": 3, "coefficient": 4, "cycling": 3, "doesn't": 2, "doing": 2, "doubling": 3, "drier": 2,
    "driest": 2, "easier": 3, "equal": 2, "equation": 3, "everybody": 4, "everyday": 3, "fire": 2, "fluid": 2, "hour": 2, "idea": 3, "ideal": 3, "isn't": 2,
    "january": 4, "layout": 2, "lukewarm": 2, "metre": 2, "mr": 2, "nameplate": 2, "notebook": 2, "our": 2, "qualified": 3, "quiet": 2, "quote": 1, "ratio": 3,
    "reality": 4, "science": 2, "settled": 2, "somebody": 3, "sometimes": 2, "somewhat": 2, "somewhere": 2, "therefore": 2, "throttling": 3, "whoever": 3, "yard": 1,
}  # fmt: skip
"""Words that the rules get wrong."""

_VOWELS = re.compile(r"[aeiouy]+")
_WORD = re.compile(r"[A-Za-z][A-Za-z'-]*")
_FENCED = re.compile(r"^(```.*?^```|~~~.*?^~~~)", re.MULTILINE | re.DOTALL)
_SUMMARY = re.compile(r"<summary>.*?</summary>", re.DOTALL)
_QUANTITY = re.compile(r"[−+-]?\d[\d ]*(?:[.,]\d+)*\s*(?:°[CFR]|%|bar g|bar|psig|psia|psi|kPa|kW/K|kW|Btu/h|Btu/lb|Btu|kJ/kg|kg/m³|kg/s|kg|K\b|lb/ft³|lb/h|lb|m³/h|ft³/min|ft\b|m\b|g/kg|gr/lb|g\b|h\b)?")


@dataclass(frozen=True)
class Ease:
    """What a text is made of: sentences, words, syllables."""

    sentences: int
    words: int
    syllables: int

    @property
    def words_in_sentence(self) -> float:
        """Words of a sentence, on average."""
        return self.words / self.sentences

    @property
    def grade(self) -> float:
        """The Flesch-Kincaid grade level: the school year (US) in which the text is read with ease."""
        return 0.39 * self.words_in_sentence + 11.8 * self.syllables / self.words - 15.59

    @property
    def ease(self) -> float:
        """The Flesch reading ease: 100 very easy, 0 very hard; 60 to 70 is plain language."""
        return 206.835 - 1.015 * self.words_in_sentence - 84.6 * self.syllables / self.words


def syllables(word: str) -> int:
    """The syllables of an English word, by rules; of capitals, as they are spelled out; of parts joined by hyphens, their sum."""
    parts = [part for part in re.split(r"-", word.replace("’", "'")) if part]
    return sum(_of_part(part) for part in parts)


def _of_part(word: str) -> int:
    if len(word) > 1 and word.isupper():  # spelled out: COP, TXV; only the W has more than one
        return len(word) + 2 * word.count("W")
    word = word.casefold()
    if word in EXCEPTIONS:
        return EXCEPTIONS[word]
    word = re.sub(r"'s$|'$|n't$", "", word) or word
    if word in EXCEPTIONS:
        return EXCEPTIONS[word]
    for ending in ("s", "ly"):
        if word.endswith(ending) and word.removesuffix(ending) in EXCEPTIONS:
            return EXCEPTIONS[word.removesuffix(ending)] + (ending == "ly")
    count = len(_VOWELS.findall(word))
    count -= bool(re.search(r"[^aeiouyl]es?$|[aeiouyrl]les?$", word)) and not re.search(r"(?:[sxz]|[cg]|[sc]h)es$", word) and count > 1
    count -= bool(re.search(r"[^aeioutdy]ed$", word)) and count > 1
    count -= len(re.findall(r"(?<=[aeiou][bcdfgklmnprstvz])e(?=ly$|ful$|less|ment|ness|some|thing)", word))
    count += len(re.findall(r"i[ao](?!us)|eo(?!us|p)|io$|ua[lt]|uo|ue[ln]|ya|yi|iu|ui[nt]y|eat(?:e|ion)$", word)) - len(re.findall(r"[cgst]i[ao]", word))
    count += len(re.findall(r"ism$|sm$|thm$", word))
    return max(1, count)


def prose(markdown: str) -> list[str]:
    """The sentences of a Markdown text: no headings, tables, code, formulas, quantities, designations and titles of folded parts.

    The end of a paragraph or of an item of a list ends a sentence, whatever stands there.
    """
    text = _SUMMARY.sub("\n\n", _FENCED.sub("\n\n", markdown))
    blocks: list[str] = [""]
    for line in text.splitlines():
        bare = line.strip().removeprefix("> ")
        if not bare or bare.startswith(("#", "|", "<", "![")) or line.startswith("    "):
            blocks.append("")
        elif re.match(r"(?:[-*]|\d+\.) ", bare):
            blocks.append(re.sub(r"^(?:[-*]|\d+\.) ", "", bare))
        else:
            blocks[-1] += " " + bare
    found = [sentence for block in blocks for sentence in re.split(r"(?<=[.!?])[\"”')*]*\s+", _plain(block))]
    return [sentence for sentence in found if not _is_formula(sentence) and _WORD.search(sentence)]


def _plain(block: str) -> str:
    block = re.sub(r"!?\[([^\]]*)\]\([^)]*\)", r"\1", block)  # the words of a link, not where it leads
    block = re.sub(r"`[^`]*`|<[^>]+>|\([\w-]+\.ipynb\)|[\w/-]+\.(?:md|csv|toml|ipynb)\b", " ", block)
    block = re.sub(r"\b[A-Z]{1,3}-?\d+\w*(?:[/.]\d+\w*)*", " ", block)  # R-410A, A2L, EN 14825
    block = _QUANTITY.sub(" ", block)
    return re.sub(r"[*_]{1,2}", "", block).strip()


def _is_formula(sentence: str) -> bool:
    return bool(re.search(r" [=×÷→] |\w / \(|^\W*$", sentence))


def measure(sentences: Iterable[str]) -> Ease:
    """Sentences, words and syllables of a text given in sentences."""
    found = [words for sentence in sentences if (words := _WORD.findall(sentence))]
    return Ease(len(found), sum(map(len, found)), sum(syllables(word) for words in found for word in words))


def of_notebook(path: Path) -> Ease:
    """How easy the prose of a notebook reads."""
    cells = json.loads(path.read_text("utf-8"))["cells"]
    return measure(sentence for cell in cells if cell["cell_type"] == "markdown" for sentence in prose("".join(cell["source"])))


def of_readme() -> Ease:
    """How easy the first part of the README reads: all before its commands."""
    return measure(prose((TOP / "README.md").read_text("utf-8").split("\n## Start", 1)[0]))


def of_glossary() -> Ease:
    """How easy the meanings in the glossary read."""
    from tests.glossary_page import entries

    return measure(sentence for entry in entries() for sentence in prose(entry.meaning))


def of_questions() -> Ease:
    """How easy the prompts of the question bank and the texts of its parts read, all together; what a draw fills in is left out."""
    texts = []
    for path in sorted((TOP / "exercises").rglob("*.toml")):
        question = tomllib.loads(path.read_text("utf-8"))
        if "prompt" in question:
            texts += [question["prompt"], *(part.get("text", "") for part in question["parts"])]
    return measure(sentence for text in texts for sentence in prose(re.sub(r"\{[^}]*\}", " ", text)))


def table() -> str:
    """The grade, the ease and the lengths of every lesson, of the README's first part, of the glossary's meanings and of the questions."""
    rows = [(path.stem, of_notebook(path)) for path in [*LESSONS, NOTEBOOKS / "index.ipynb", NOTEBOOKS / "where-i-stand.ipynb"]]
    rows += [("README, first part", of_readme()), ("glossary, meanings", of_glossary()), ("questions, prompts", of_questions())]
    lines = [f"{'text':<32}{'grade':>7}{'ease':>7}{'words':>8}{'words a sentence':>18}"]
    lines += [f"{name:<32}{ease.grade:>7.1f}{ease.ease:>7.1f}{ease.words:>8}{ease.words_in_sentence:>18.1f}" for name, ease in rows]
    return "\n".join(lines)


if __name__ == "__main__":
    print(table())
