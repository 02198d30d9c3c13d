"""Answers handed in by file (hpteach/assessment/hand_in.py)."""

import hmac
import json
from datetime import UTC, datetime, timedelta, timezone

import pytest

from hpteach.assessment.form_codes import form_code
from hpteach.assessment.hand_in import FORMAT, LARGEST_FILE, read_hand_in, write_hand_in
from hpteach.assessment.hand_in_keys import hand_in_key
from hpteach.assessment.secret import Secret
from hpteach.errors import DataError, InputError

SECRET = Secret(bytes(range(16)))
CODE, OTHER = form_code(123_456), form_code(2)
KEY = hand_in_key(SECRET, CODE)
BEGUN, DONE = datetime(2026, 5, 4, 8, 0, tzinfo=UTC), datetime(2026, 5, 4, 9, 10, 5, tzinfo=UTC)
ANSWERS = {(1, "a"): "9,15 bar", (2, ""): "B", (10, "absolute"): "", (3, "b"): "Größe <b>ΔT</b> 冷媒"}


def written(tmp_path, name="mine.json", answers=ANSWERS, **how):
    return write_hand_in(tmp_path / name, CODE, KEY, answers, **{"started": BEGUN, "handed_in": DONE, **how})


def changed(path, **entries):
    """The file with other entries, under the signature that it has."""
    found = json.loads(path.read_text(encoding="ascii"))
    path.write_text(json.dumps({**found, **entries}), encoding="utf-8")
    return path


def signed(path, key):
    """The file signed anew, as its docstring says, by whoever has a key."""
    told = {name: value for name, value in json.loads(path.read_text(encoding="ascii")).items() if name != "signature"}
    text = json.dumps(told, sort_keys=True, separators=(",", ":"))
    return changed(path, signature=hmac.new(key.replace("-", "").encode(), text.encode(), "sha256").hexdigest())


def test_what_is_written_is_read(tmp_path):
    """Form, answers and times come back as they were handed in."""
    found = read_hand_in(written(tmp_path), SECRET)
    assert (CODE, ANSWERS, BEGUN, DONE, "mine.json") == (found.form, dict(found.answers), found.started, found.handed_in, found.file)


def test_same_answers_give_the_same_bytes(tmp_path):
    """Neither the order of the answers nor the zone of the clock changes a byte."""
    one = written(tmp_path, "one.json")
    backwards = dict(reversed(ANSWERS.items()))
    other = written(tmp_path, "two.json", backwards, handed_in=DONE.astimezone(timezone(timedelta(hours=2))))
    assert one.read_bytes() == other.read_bytes()


def test_start_may_be_unknown(tmp_path):
    """Where nobody knows when it was begun, nothing is said."""
    assert read_hand_in(written(tmp_path, started=None), SECRET).started is None


def test_layout_and_byte_order_mark_do_not_matter(tmp_path):
    """An editor that lays the file out anew or adds a byte order mark changes nothing that is signed."""
    path = written(tmp_path)
    path.write_text(json.dumps(json.loads(path.read_text(encoding="ascii")), indent=8, sort_keys=True, ensure_ascii=False), encoding="utf-8-sig")
    assert ANSWERS == dict(read_hand_in(path, SECRET).answers)


@pytest.mark.parametrize(
    "entries",
    [
        {"answers": [{"number": 1, "part": "a", "answer": "9.16 bar"}]},
        {"answers": []},
        {"handed_in": "2026-05-04T08:59:59Z"},
        {"started": None},
        {"form": OTHER},
        {"signature": "0" * 64},
        {"signature": ""},
        {"signature": "é" * 64},
    ],
    ids=str,
)
def test_change_is_found(entries, tmp_path):
    """Whatever is changed in the file, the signature no longer fits, and the refusal says so."""
    with pytest.raises(DataError, match="mine.json: was changed after it was handed in, or signed with a key that is not the one of form"):
        read_hand_in(changed(written(tmp_path), **entries), SECRET)


def test_secret_of_other_papers_is_found(tmp_path):
    """A file signed under another secret does not fit this one."""
    with pytest.raises(DataError, match="was changed"):
        read_hand_in(written(tmp_path), Secret(bytes(range(16, 32))))


def test_key_of_a_classmate_is_named(tmp_path):
    """Where the signature is that of another form of the class, the refusal says of which."""
    path = signed(changed(written(tmp_path), form=OTHER), KEY)
    with pytest.raises(DataError, match=f"is signed with the key of form {CODE} and says that it is of form {OTHER}"):
        read_hand_in(path, SECRET, [OTHER, CODE])


def test_signature_is_as_documented(tmp_path):
    """Whoever has the key and follows the docstring signs what is accepted: the signature shows no more than that."""
    path = signed(changed(written(tmp_path), answers=[{"number": 1, "part": "a", "answer": "another"}]), KEY)
    assert {(1, "a"): "another"} == dict(read_hand_in(path, SECRET).answers)


def test_later_format_is_told(tmp_path):
    """A file of a later format is not taken for a damaged one."""
    with pytest.raises(DataError, match=f"has format {FORMAT + 1}, and this version reads format {FORMAT}"):
        read_hand_in(changed(written(tmp_path), format=FORMAT + 1, news=True), SECRET)


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "cannot be read as a hand-in"),
        (b"{", "cannot be read as a hand-in"),
        (b"\xff\xfe{\x00}\x00", "cannot be read as a hand-in"),
        (b"[" * 100_000, "cannot be read as a hand-in"),
        (b'{"hpteach": "hand-in", "hpteach": "hand-in"}', "cannot be read as a hand-in"),
        (b'{"hpteach": "hand-in", "format": 1' + b"0" * 5000 + b"}", "cannot be read as a hand-in"),
        (b"[]", "is no hand-in"),
        (b'{"form": "2222-2234"}', "is no hand-in"),
        (b'{"hpteach": "hand-in"}', "is not as a hand-in is written"),
        (b'{"hpteach": "hand-in", "format": true}', "is not as a hand-in is written"),
        (b" " * (LARGEST_FILE + 1), "is larger than 1,000,000 bytes"),
    ],
)
def test_other_file_is_refused(data, words, tmp_path):
    """What is no hand-in, or a damaged one, is refused in one sentence that names the file."""
    path = tmp_path / "odd.json"
    path.write_bytes(data)
    with pytest.raises(DataError, match=f"odd.json: {words}"):
        read_hand_in(path, SECRET)


@pytest.mark.parametrize(
    "entries",
    [
        {"form": 7},
        {"form": "2222-2235"},
        {"form": "K7QM 2XAD"},
        {"form": CODE.lower()},
        {"handed_in": "yesterday"},
        {"handed_in": None},
        {"started": 5},
        {"answers": {}},
        {"answers": [[1, "a", "b"]]},
        {"answers": [{"number": "1", "part": "a", "answer": "b"}]},
        {"answers": [{"number": True, "part": "a", "answer": "b"}]},
        {"answers": [{"number": 0, "part": "a", "answer": "b"}]},
        {"answers": [{"number": 1, "part": None, "answer": "b"}]},
        {"answers": [{"number": 1, "part": "a", "answer": 9.15}]},
        {"answers": [{"number": 1, "part": "a", "answer": "b" * 1001}]},
        {"answers": [{"number": 1, "part": "a", "answer": "b"}] * 2},
        {"more": 1},
    ],
    ids=str,
)
def test_odd_entry_is_refused(entries, tmp_path):
    """Entries of another kind are refused before anything is made of them."""
    with pytest.raises(DataError, match="^mine.json: "):
        read_hand_in(changed(written(tmp_path), **entries), SECRET)


def test_folder_is_no_hand_in(tmp_path):
    """A folder in a file's place is refused."""
    with pytest.raises(DataError, match="is no file"):
        read_hand_in(tmp_path, SECRET)


@pytest.mark.parametrize(
    ("how", "words"),
    [
        ({"handed_in": datetime(2026, 5, 4)}, "does not say its zone"),
        ({"answers": {(1, "a"): "x" * 1001}}, "has 1001 characters"),
        ({"answers": {(number, "a"): "x" for number in range(1, 2002)}}, "2001 answers are too many"),
    ],
)
def test_what_cannot_be_read_is_not_written(how, words, tmp_path):
    """What a reader would refuse is refused when it is written."""
    with pytest.raises(InputError, match=words):
        written(tmp_path, **how)
    assert [] == list(tmp_path.iterdir())


def test_key_of_another_form_signs_nothing(tmp_path):
    """A key that does not belong to the form is told to the learner at once."""
    with pytest.raises(InputError, match="does not belong to form"):
        write_hand_in(tmp_path / "mine.json", CODE, hand_in_key(SECRET, OTHER), ANSWERS, handed_in=DONE)
