"""What a learner hands in by file: the answers to one form, signed with the form's key.

What lives here: writing such a file and reading it back with its signature checked.  What does not: the key itself (hand_in_keys), judging the
answers (marking).

    {"hpteach": "hand-in", "format": 1, "form": "K7QM-2XAD", "started": "2026-05-04T08:00:00Z" or null, "handed_in": "2026-05-04T09:10:00Z",
     "answers": [{"number": 1, "part": "a", "answer": "9.15 bar"}, ...], "signature": 64 hexadecimal digits}

The signature is HMAC-SHA256 (RFC 2104 and FIPS 180-4, from memory, not seen here) of all the rest, written as JSON in ASCII with sorted names
and without blanks, under the characters of the form's key.  A signature that fits shows that nothing in the file was changed since somebody
signed it who had the key of that form.  It does not show who that was, that nobody helped, or that the times are true: they come from the
clock of the learner's machine, and a learner who knows how can sign anything with his or her own key.
"""

from __future__ import annotations

import hmac
import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from types import MappingProxyType
from typing import Any

from hpteach.assessment.bounded_file import read_bounded
from hpteach.assessment.form_codes import read_form_code
from hpteach.assessment.hand_in_keys import hand_in_key, read_hand_in_key
from hpteach.assessment.secret import Secret
from hpteach.assessment.whole_file import write_whole
from hpteach.errors import DataError, InputError
from hpteach.questions.expressions import shortened

FORMAT = 1
ENDING = ".json"
LARGEST_FILE = 1_000_000
"""Bytes."""
MOST_ANSWERS = 2_000
LONGEST_ANSWER = 1_000
"""Characters."""
MOST_NUMBER = 1_000

_KIND = "hand-in"
_KEYS = ("hpteach", "format", "form", "started", "handed_in", "answers", "signature")
_ANSWER_KEYS = ("number", "part", "answer")
_TIME = "%Y-%m-%dT%H:%M:%SZ"
_AGAIN = "ask for the file as it was handed in, or enter the answers from paper"


@dataclass(frozen=True)
class HandIn:
    """The answers that were handed in for a form, by question number and part (its letter or id), and when, by the learner's own clock.

    `started` is None where nobody knows; `file` is the name of the file.
    """

    form: str
    answers: Mapping[tuple[int, str], str]
    started: datetime | None
    handed_in: datetime
    signature: str
    file: str = ""


def write_hand_in(
    path: str | Path, form: str, key: str, answers: Mapping[tuple[int, str], str], *, started: datetime | None = None, handed_in: datetime
) -> Path:
    """Write the answers to the form with a code, signed with its key as typed, and return the path; the same answers and times give the same bytes.

    Raises `InputError` for a code or key that is none, a time without its zone, too many or too long answers, and a place that cannot be written.

    >>> import tempfile
    >>> secret, now = Secret(bytes(range(16))), datetime(2026, 5, 4, 9, 10, tzinfo=UTC)
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     path = write_hand_in(Path(folder) / "mine.json", "2222-2234", hand_in_key(secret, "2222-2234"), {(1, "a"): "9.15 bar"}, handed_in=now)
    ...     read_hand_in(path, secret).answers[1, "a"]
    '9.15 bar'
    """
    code = read_form_code(form)
    key = read_hand_in_key(key, code)
    if len(answers) > MOST_ANSWERS:
        raise InputError(f"{len(answers)} answers are too many for one form: use {MOST_ANSWERS} or fewer")
    rows = []
    for (number, part), text in sorted(answers.items()):
        if len(text) > LONGEST_ANSWER:
            raise InputError(f"the answer to number {number} has {len(text)} characters: use {LONGEST_ANSWER} or fewer")
        rows.append({"number": number, "part": part, "answer": text})
    found = {
        "hpteach": _KIND,
        "format": FORMAT,
        "form": code,
        "started": started and _time_text(started),
        "handed_in": _time_text(handed_in),
        "answers": rows,
    }
    found["signature"] = _signature(found, key)
    return write_whole(path, (json.dumps(found, indent=1) + "\n").encode("ascii"))


def read_hand_in(path: str | Path, secret: Secret, forms: Iterable[str] = ()) -> HandIn:
    """What was handed in in a file, whose signature fits.

    `forms` are the codes of the class: where the signature is that of another form's key, the refusal says whose.  Raises `DataError`
    with the file and what to do: where it cannot be read, is no hand-in or one of a later format, or was changed or signed with another key.

    >>> read_hand_in("nowhere.json", Secret(bytes(range(16))))
    Traceback (most recent call last):
    hpteach.errors.DataError: nowhere.json: cannot be read (No such file or directory): name a file that a learner handed in
    """
    path = Path(path)
    file = path.name or str(path)
    found = _loaded(path, file)
    hand_in = _checked(found, file)
    if not _signed_with(found, hand_in_key(secret, hand_in.form)):
        for other in forms:
            if other != hand_in.form and _signed_with(found, hand_in_key(secret, other)):
                raise DataError(f"{file}: is signed with the key of form {other} and says that it is of form {hand_in.form}: ask whose answers these are")
        raise DataError(f"{file}: was changed after it was handed in, or signed with a key that is not the one of form {hand_in.form}: {_AGAIN}")
    return hand_in


# Inside -------------------------------------------------------------------------------


def _time_text(time: datetime) -> str:
    if time.tzinfo is None:
        raise InputError(f"time {time.isoformat()} does not say its zone: give one with a zone, such as UTC")
    return time.astimezone(UTC).strftime(_TIME)


def _signature(found: Mapping[str, Any], key: str) -> str:
    told = {name: value for name, value in found.items() if name != "signature"}
    text = json.dumps(told, sort_keys=True, separators=(",", ":"), ensure_ascii=True)
    return hmac.digest(key.replace("-", "").encode("ascii"), text.encode("ascii"), "sha256").hex()


def _signed_with(found: Mapping[str, Any], key: str) -> bool:
    return hmac.compare_digest(found["signature"].casefold().encode("utf-8", errors="replace"), _signature(found, key).encode("ascii"))


def _loaded(path: Path, file: str) -> dict[str, Any]:
    data = read_bounded(path, LARGEST_FILE, "name a file that a learner handed in")
    if len(data) > LARGEST_FILE:
        raise DataError(f"{file}: is larger than {LARGEST_FILE:,} bytes, which no hand-in is: {_AGAIN}")
    try:
        found = json.loads(data.decode("utf-8-sig"), object_pairs_hook=_without_twins)
    except (ValueError, RecursionError):
        raise DataError(f"{file}: cannot be read as a hand-in (it is damaged, cut off, or another kind of file): {_AGAIN}") from None
    if not isinstance(found, dict) or found.get("hpteach") != _KIND:
        raise DataError(f"{file}: is no hand-in: {_AGAIN}")
    return found


def _without_twins(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) < len(pairs):
        raise ValueError("a name stands twice")
    return found


def _checked(found: dict[str, Any], file: str) -> HandIn:
    """The entries of a hand-in, each as it should be; the signature is not looked at yet."""
    number = found.get("format")
    if type(number) is int and number > FORMAT:
        raise DataError(f"{file}: has format {str(number)[:20]}, and this version reads format {FORMAT}: mark it with the version that wrote it, or a later one")
    if number != FORMAT or type(number) is not int or set(found) != set(_KEYS):
        raise _odd(file, "format or names of its entries")
    if not all(isinstance(found[name], str) for name in ("form", "handed_in", "signature")):
        raise _odd(file, "form, handed_in or signature")
    try:
        code = read_form_code(found["form"])
    except InputError as error:
        raise DataError(f"{file}: {error}") from None
    if code != found["form"]:
        raise _odd(file, "form")
    started = None if found["started"] is None else _time(found["started"], file)
    return HandIn(code, _answers(found["answers"], file), started, _time(found["handed_in"], file), found["signature"], file)


def _answers(rows: Any, file: str) -> Mapping[tuple[int, str], str]:
    if not isinstance(rows, list) or len(rows) > MOST_ANSWERS:
        raise _odd(file, "answers")
    answers: dict[tuple[int, str], str] = {}
    for row in rows:
        if not isinstance(row, dict) or set(row) != set(_ANSWER_KEYS):
            raise _odd(file, "answers")
        number, part, text = (row[name] for name in _ANSWER_KEYS)
        if type(number) is not int or not 0 < number <= MOST_NUMBER or not isinstance(part, str) or not isinstance(text, str):
            raise _odd(file, "answers")
        if len(part) > LONGEST_ANSWER or len(text) > LONGEST_ANSWER:
            raise DataError(f"{file}: the answer to number {number} has more than {LONGEST_ANSWER} characters: {_AGAIN}")
        if (number, part) in answers:
            raise DataError(f"{file}: answers number {number} {shortened(part)} twice: {_AGAIN}")
        answers[number, part] = text
    return MappingProxyType(answers)


def _time(text: Any, file: str) -> datetime:
    try:
        return datetime.strptime(text, _TIME).replace(tzinfo=UTC)
    except (TypeError, ValueError):
        raise _odd(file, "times") from None


def _odd(file: str, what: str) -> DataError:
    return DataError(f"{file}: is not as a hand-in is written ({what}): {_AGAIN}")
