"""The commands ask, check and bank: questions from their options, judged, and proved as a whole.

What lives here: reading their options and printing what comes of them.
What does not: dealing, judging and proving (questions), how a question and its key are laid out (question_readouts).
"""

from __future__ import annotations

import os
import time
from argparse import Namespace
from collections import Counter
from collections.abc import Callable
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING

from hpteach.errors import DataError, InputError
from hpteach.options import Reader, read, whole
from hpteach.printing import remark, show, show_json

if TYPE_CHECKING:
    from hpteach.questions import Bank, Variant

_SILENT, _BETWEEN = 1.0, 5.0
"""Seconds without a remark, and between two of them."""


def ask(args: Namespace, reader: Reader) -> int:
    """Ask one question with the figures of a seed, or list the questions.  Raises `InputError` for options that do not go together."""
    from hpteach.tables import Table

    if args.question is not None:
        from hpteach.question_readouts import asked_dictionary, key_blocks

        variant = variant_of(args, reader)
        drawn = None if args.chart is None else _drawn(args, variant)
        if args.json:
            return show_json({**asked_dictionary(variant, key=args.key), **({"file": str(drawn)} if drawn else {})})
        return show(variant, *(key_blocks(variant) if args.key else ()), *([f"Written: {drawn}"] if drawn else ()))
    if args.chart is not None:
        raise InputError("--chart goes with one question: name it with --question, or leave --chart out")
    found = bank_of(args).questions.values()
    if args.json:
        return show_json({"questions": [{"id": one.id, "topic": one.topic, "level": one.level, "title": one.title} for one in found]})
    rows = [(one.id, one.topic, str(one.level), one.title) for one in found]
    return show(Table("Ask one of these with --question ID", ("id", "topic", "level", "title"), rows))


def _drawn(args: Namespace, variant: Variant) -> Path:
    """The file of --chart: the chart to read from, or with --key the picture of the solution."""
    from hpteach.question_pictures import save_picture

    return read("--chart", args.chart, lambda: save_picture(variant, Path(args.chart), solution=args.key))


def check(args: Namespace, reader: Reader) -> int:
    """Judge an answer; 0 whether right or wrong."""
    from hpteach.questions import check as judged

    variant = variant_of(args, reader)
    read("--part", args.part or "", lambda: variant.part(args.part))
    verdict = judged(variant, args.answer, args.part)
    return show_json(asdict(verdict)) if args.json else show(verdict)


def bank(args: Namespace, reader: Reader) -> int:
    """Prove the whole bank or the named files; 1 where anything does not hold."""
    from hpteach.question_readouts import coverage_blocks, coverage_dictionary
    from hpteach.questions import Bank, Proof, prove
    from hpteach.questions.law_topics import coverage

    try:
        found = _named(args) if args.files else bank_of(args)
        proof = prove(found, told=_progress())
    except DataError as error:
        found, proof = Bank({}), Proof(0, 0, 0, (str(error),))
    covered = coverage(found, () if args.files else lessons_of_the_course()) if args.coverage else None
    if args.json:
        show_json({**asdict(proof), **(coverage_dictionary(covered) if covered else {})})
    else:
        show(proof, *(coverage_blocks(covered) if covered else ()))
    return 1 if proof.failures else 0


# What they share ----------------------------------------------------------------------------


def bank_of(args: Namespace) -> Bank:
    """The bank in --folder, or the project's own.  Raises `InputError` where that is no folder."""
    from hpteach.questions import read_bank

    if args.folder is not None and not os.path.isdir(args.folder):
        raise InputError(f"--folder {args.folder!r} is not a folder: name one that holds questions as TOPIC/ID.toml, or leave the option out")
    return read_bank(args.folder)


def variant_of(args: Namespace, reader: Reader) -> Variant:
    """The question of --question, dealt with --seed in the reader's units."""
    from hpteach.questions import deal

    bank = bank_of(args)
    question = read("--question", args.question, lambda: bank.question(args.question))
    return deal(question, whole("--seed", args.seed, 0, 999_999_999), reader.system)


def lessons_of_the_course() -> tuple[str, ...]:
    """The two digits of every lesson that teaches, in the clone's notebooks: the mock exam has no questions of its own."""
    folder = Path(__file__).resolve().parents[1] / "notebooks"
    return tuple(sorted({path.name[:2] for path in folder.glob("[0-9][0-9]-*.ipynb") if not path.stem.endswith("-mock-exam")}))


def _named(args: Namespace) -> Bank:
    """The questions that are named: by a file, whose folder is the topic, or by the id of one in the bank."""
    from hpteach.questions import Bank
    from hpteach.questions.bank import bank_of_files

    files = [text for text in args.files if text.endswith(".toml")]
    for file in files:
        if not os.path.isfile(file):
            raise InputError(f"{file!r} is not a file: name question files as TOPIC/ID.toml, ids of questions, or nothing for the whole bank")
    bank = bank_of(args) if len(files) < len(args.files) else Bank({})
    known = {id: read("FILE", id, lambda: bank.question(id)) for id in args.files if id not in files}
    return Bank({**known, **bank_of_files(map(Path, files)).questions})


def _progress() -> Callable[[int, int], None]:
    """What says now and then how far the proof is."""
    said = Counter({"next": time.monotonic() + _SILENT})

    def told(done: int, of: int) -> None:
        if time.monotonic() >= said["next"] and done < of:
            said["next"] = time.monotonic() + _BETWEEN
            remark(f"Proving: {done} of {of} questions.")

    return told
