"""The papers of a class as files: a form for each learner, all of them in one, key, answer sheet, cards and manifest.

What lives here: `write_papers`.  What does not: dealing (assessment), what stands on a page (form_page, key_page).

    forms/<code>.html   one form, which fetches nothing
    index.html          all of them, each from a new sheet on
    key.html            for the instructor alone
    answers.csv         a row for each part of each question, to be filled in
    card.html           the pressure-temperature cards, where the table is open
    papers.json         the manifest, for the instructor alone

Forms are taken one at a time and written at once; what is kept are the questions as they are printed, of which a class has far fewer
different ones than forms.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator
from contextlib import ExitStack
from dataclasses import dataclass
from functools import cache
from operator import length_hint
from pathlib import Path
from typing import BinaryIO, NamedTuple

from markupsafe import Markup

from hpteach.assessment.answer_sheet import COLUMNS, part_letters, sheet_row
from hpteach.assessment.blueprint import Blueprint
from hpteach.assessment.drawing_tasks import DRAWING_MARKS, DRAWING_PART
from hpteach.assessment.forms import Form, FormQuestion
from hpteach.assessment.hand_in_keys import hand_in_key
from hpteach.assessment.manifest import write_manifest
from hpteach.assessment.marks import marks_of
from hpteach.assessment.secret import Secret
from hpteach.assessment.tabular import sheet_bytes
from hpteach.assessment.variant_store import VariantStore
from hpteach.assessment.whole_file import whole_file, write_whole
from hpteach.errors import InputError, reason_of
from hpteach.fluids.catalogue import catalogue
from hpteach.papers.attached_card import attached_card
from hpteach.papers.charts_on_paper import ChartsOnPaper
from hpteach.papers.form_page import Asked, form_page, page_around
from hpteach.papers.key_page import RIGHT_DRAWING, Keyed, Right, key_of_form, key_of_question, right_answers
from hpteach.papers.pressure_table import pressure_tables
from hpteach.papers.question_sheet import drawing_sheet, drawn_cycle, question_sheet
from hpteach.questions import Bank, Variant

FORMS, CLASS, KEY, ANSWERS, CARD, MANIFEST = "forms", "index.html", "key.html", "answers.csv", "card.html", "papers.json"

_FOR_THE_OWNER = 0o700  # key and manifest give away what the secret does

PRINTING, SOLVING = "forms printed", "solutions written"

Told = Callable[[str, int, int], None]


@dataclass(frozen=True)
class Printed:
    """What was written: how many forms, the files of the folder, then a file for each form; `notice` is what to know of them, or ""."""

    forms: int
    files: tuple[Path, ...]
    notice: str = ""

    def dictionary(self) -> dict[str, object]:
        """The same ready for JSON, the files by their names in the folder.

        >>> Printed(1, (Path("papers/key.html"), Path("papers/forms/2222-2234.html"))).dictionary()
        {'forms': 1, 'files': ['key.html', 'forms/2222-2234.html']}
        """
        others = len(self.files) - self.forms
        return {"forms": self.forms, "files": [path.name for path in self.files[:others]] + [f"{FORMS}/{path.name}" for path in self.files[others:]]}


def write_papers(
    forms: Iterable[Form],
    blueprint: Blueprint,
    bank: Bank,
    secret: Secret,
    folder: str | Path,
    *,
    store: VariantStore,
    paper: str = "A4",
    charts: bool = True,
    told: Told | None = None,
) -> Printed:
    """Write the papers of a class into a folder; the same forms give the same bytes.

    `store` holds the dealt questions; `paper` is "A4" or "Letter"; without `charts` the solutions of the key have no pictures;
    `told` is called with what is being done, how much is done, and of how much.

    The folder can be opened by its owner alone, as key and manifest lie in it.

    Raises `InputError` for a folder with other papers in it or one that cannot be written, `UnknownNameError` for another paper.
    """
    folder = Path(folder)
    page_around(blueprint.title, paper)  # refuses a paper that is not known
    _make(folder)
    return _Printing(blueprint, store, secret, folder, paper, ChartsOnPaper(charts=charts), told or (lambda what, done, of: None)).run(forms, bank)


def _make(folder: Path) -> None:
    try:
        if (folder / MANIFEST).exists():
            raise InputError(f"{str(folder)!r} holds papers already, and their key and manifest would be written over: choose another folder")
        (folder / FORMS).mkdir(parents=True, exist_ok=True)
        folder.chmod(_FOR_THE_OWNER)
    except (OSError, ValueError) as error:
        if isinstance(error, InputError):
            raise
        raise InputError(f"{str(folder)!r} cannot be made ({reason_of(error)}): choose another folder") from None


class _Piece(NamedTuple):
    """A question as it is printed, wherever it stands: the number of its solution, marks, sheet, letters of its parts, answers, refrigerants."""

    solution: int
    marks: float
    sheet: Markup
    letters: tuple[str, ...]
    right: tuple[Right, ...]
    fluids: tuple[str, ...]


class _Printing:
    """One set of papers."""

    def __init__(self, blueprint: Blueprint, store: VariantStore, secret: Secret, folder: Path, paper: str, charts: ChartsOnPaper, told: Told) -> None:
        self.blueprint, self.store, self.secret, self.folder, self.paper, self.charts, self.told = blueprint, store, secret, folder, paper, charts, told
        self.pieces: dict[tuple, _Piece] = {}
        self.fluids: dict[tuple[str, str], None] = {}
        self.files: list[Path] = []

    def run(self, forms: Iterable[Form], bank: Bank) -> Printed:
        of = length_hint(forms, 0)
        title = self.blueprint.title
        with ExitStack() as stack:
            index, key, answers = (stack.enter_context(whole_file(self.folder / name)) for name in (CLASS, KEY, ANSWERS))
            around, around_key = page_around(f"{title}: all papers", self.paper, numbered=False), page_around(f"{title}: key", self.paper)
            index.write(around[0].encode())
            key.write((around_key[0] + f"<h1>{Markup.escape(title)}: key</h1><p>For the instructor alone.</p>").encode())
            answers.write(sheet_bytes(COLUMNS, ()))
            write_manifest(self.folder / MANIFEST, self._each(forms, of, index, key, answers), self.blueprint, bank, self.secret)
            index.write(around[1].encode())
            key.write(b'<div class="solutions"><h1>Solutions</h1>')
            for text in self._solutions():
                key.write(text.encode())
            key.write(("</div>" + around_key[1]).encode())
        files = [self.folder / name for name in (CLASS, KEY, ANSWERS, MANIFEST)]
        if self.blueprint.table == "open" and self.fluids:
            before, behind = page_around(f"{title}: pressure-temperature cards", self.paper)
            cards = "".join(attached_card(*one) for one in sorted(self.fluids))
            files.append(write_whole(self.folder / CARD, (before + cards + behind).encode()))
        return Printed(len(self.files), (*files, *self.files))

    def _each(self, forms: Iterable[Form], of: int, index: BinaryIO, key: BinaryIO, answers: BinaryIO) -> Iterator[Form]:
        """The same forms, each printed before it goes on."""
        before, behind = page_around(self.blueprint.title, self.paper)
        heading = len(sheet_bytes(COLUMNS, ()))
        for done, form in enumerate(forms, start=1):
            pieces = [self._piece(one) for one in form.questions]
            asked = [Asked(one.number, one.section, piece.marks, piece.sheet) for one, piece in zip(form.questions, pieces)]
            page = form_page(form, self.blueprint, asked, self._cards(form, pieces))
            self.files.append(write_whole(self.folder / FORMS / f"{form.code}.html", (before + page + behind).encode(), lasting=False))
            index.write(page.encode())
            keyed = [Keyed(one.number, piece.solution, piece.right) for one, piece in zip(form.questions, pieces)]
            key.write(key_of_form(form, keyed, hand_in_key(self.secret, form.code)).encode())
            rows = [sheet_row(form.learner.id, form.learner.name, form.code, one.number, letter) for one, piece in zip(form.questions, pieces) for letter in piece.letters]
            answers.write(sheet_bytes(COLUMNS, rows)[heading:])
            self.told(PRINTING, done, max(of, done))
            yield form

    def _piece(self, one: FormQuestion) -> _Piece:
        wanted = (one.question, one.seed, one.system, one.drawing)
        if wanted not in self.pieces:
            self.pieces[wanted] = self._made(self.store.variant(one.question, one.seed, one.system), one.drawing)
        return self.pieces[wanted]

    def _made(self, variant: Variant, drawing: bool) -> _Piece:
        number = len(self.pieces) + 1
        if drawing:
            cycle = drawn_cycle(variant)
            sheet = drawing_sheet(variant, self.charts.blank(cycle, variant.system))
            return _Piece(number, DRAWING_MARKS, sheet, (DRAWING_PART,), RIGHT_DRAWING, (cycle.refrigerant,))
        letters, sheet = part_letters(len(variant.parts)), question_sheet(variant, self.charts.asked(variant))
        return _Piece(number, sum(marks_of(variant).values()), sheet, letters, right_answers(variant), refrigerants_of(variant))

    def _cards(self, form: Form, pieces: Iterable[_Piece]) -> list[Markup]:
        if self.blueprint.table != "open":
            return []
        system = form.questions[0].system
        names = sorted({name for piece in pieces for name in piece.fluids})
        self.fluids |= dict.fromkeys((name, system) for name in names)
        return [*pressure_tables(names, system)]

    def _solutions(self) -> Iterator[str]:
        for (question, seed, system, drawing), piece in self.pieces.items():
            variant = self.store.variant(question, seed, system)
            picture = self.charts.drawn(drawn_cycle(variant), system) if drawing else self.charts.solution(variant)
            yield key_of_question(piece.solution, variant, picture, drawing=drawing)
            self.told(SOLVING, piece.solution, len(self.pieces))


def refrigerants_of(variant: Variant) -> tuple[str, ...]:
    """The refrigerants whose pressures a question is about.

    >>> from hpteach.questions import deal, read_bank
    >>> len(refrigerants_of(deal(read_bank().question("cooling-cop"), seed=7)))
    1
    """
    found = {cycle.refrigerant for cycle in (variant.cycle, variant.other) if cycle}
    asked = " ".join([variant.prompt, *(part.text for part in variant.parts)])
    found |= {name for name in _names().findall(asked) if name in catalogue()}
    found |= {variant.chart.refrigerant} if variant.chart else set()
    return tuple(sorted(found))


@cache
def _names() -> re.Pattern:
    return re.compile("|".join(sorted((re.escape(name) + r"(?!\w)" for name in catalogue()), key=len, reverse=True)))
