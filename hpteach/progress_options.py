"""The command progress: where the learner stands, the record as CSV, and deleting it.

What lives here: reading its options and printing what comes of them.
What does not: the record, the next question and the standing (assessment).
"""

from __future__ import annotations

import sys
from argparse import Namespace
from dataclasses import asdict
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from hpteach.errors import InputError
from hpteach.options import PROGRAM, Reader, plain, read
from hpteach.printing import remark, show, show_json

if TYPE_CHECKING:
    from hpteach.assessment import Progress

_ENDING = ".csv"


def progress(args: Namespace, reader: Reader) -> int:
    """Show where the learner stands, or write the record to a file, or delete it.  Raises `InputError` for options that do not go together."""
    if args.yes and not args.delete:
        raise InputError("--yes goes with --delete: leave it out, or add --delete")
    record = _record_of(args)
    if args.export is not None:
        return _exported(args, record)
    return _deleted(args, record) if args.delete else _stands(args, record)


def _record_of(args: Namespace) -> Progress:
    from hpteach.assessment import Progress
    from hpteach.assessment.record_file import is_record

    if args.file is None:
        return Progress.open()
    path = Path(args.file)
    if not is_record(path):  # whoever mistypes a name must not find his file renamed
        raise InputError(f"--file {args.file[:200]!r} is not a record of answers: name one, or leave the option out for your own")
    return Progress.open(path)


def _exported(args: Namespace, record: Progress) -> int:
    path = Path(args.export)
    if path.suffix.lower() != _ENDING:
        raise InputError(f"--export {args.export[:200]!r} does not end in {_ENDING}: write it as answers{_ENDING}")
    written = read("--export", args.export, lambda: record.export(path))
    count = len(record.attempts())
    show_json({"file": str(written), "answers": count}) if args.json else show(f"Written: {written} ({_answers(count)})")
    return remark(*filter(None, [record.notice]))


def _deleted(args: Namespace, record: Progress) -> int:
    if not record.kept:
        raise InputError("nothing is kept here, as HPTEACH_PROGRESS says off, so there is nothing to delete: set it to the file that you mean, or leave it unset")
    if not args.yes and not _agreed(record):
        raise InputError(f"--delete takes all answers in {record.path} away for good: add --yes if you mean it; --export FILE.csv keeps a copy")
    gone = record.delete()
    if args.json:
        return show_json({"deleted": [str(path) for path in gone]})
    return show("\n".join(f"Deleted: {path}" for path in gone) or f"There was nothing to delete at {record.path}.")


def _agreed(record: Progress) -> bool:
    """What a person at a terminal says; nobody is asked where nobody can answer."""
    if sys.stdin is None or not sys.stdin.isatty():
        return False
    remark(f"All answers in {record.path} are deleted for good. Type yes to go on.")
    return plain(sys.stdin.readline()) == "yes"


def _stands(args: Namespace, record: Progress) -> int:
    from hpteach.assessment import next_question, standing
    from hpteach.questions import read_bank

    bank, attempts, now = read_bank(), record.attempts(), datetime.now(UTC)
    found, following = standing(bank, attempts, now), next_question(bank, attempts, now)
    remark(*filter(None, [record.notice]))
    if args.json:
        topics = [{**asdict(one), "answers": one.answers, "share_right": one.share_right} for one in found.topics]
        mistakes = [{**asdict(one), "last": one.last.isoformat()} for one in found.misunderstandings]
        told: dict[str, Any] = {"kept": record.kept, "file": str(record.path) if record.kept else None}
        told |= {"answers": found.answers, "right": found.right, "due": found.due, "predictions": found.predictions}
        return show_json({**told, "topics": topics, "misunderstandings": mistakes, "next": asdict(following)})
    ask = f"{PROGRAM} ask --question {following.question} --seed {following.seed}"
    return show(
        *([found] if attempts else []),
        f"Next: {bank.question(following.question).title}. {following.why}\n  {ask}",
        f"{_answers(len(attempts)).capitalize()} in {record.path}. Nothing of it leaves this machine." if record.kept else "Nothing is kept here, as HPTEACH_PROGRESS says off.",
    )


def _answers(count: int) -> str:
    return {0: "no answer yet", 1: "1 answer"}.get(count, f"{count} answers")
