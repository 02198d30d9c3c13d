"""The instructor's secret (hpteach/assessment/secret.py)."""

from __future__ import annotations

import hashlib
import hmac
import os
import stat
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hpteach.assessment.secret import FEWEST_BYTES, Secret, doubts_of_secret, new_secret, read_secret
from hpteach.errors import DataError, InputError

KEY = bytes(range(32))
DIGITS = KEY.hex()

words = st.lists(st.text(max_size=5), max_size=4)


def test_new_secret_is_read_back_and_no_two_are_alike(tmp_path: Path) -> None:
    """What is made can be read again, is for this user's eyes only, and differs from the next one."""
    made = new_secret(tmp_path / "a.txt")
    assert made == read_secret(tmp_path / "a.txt")
    assert made != new_secret(tmp_path / "b.txt")
    assert len(made.key) == 32
    if os.name == "posix":
        assert 0o600 == stat.S_IMODE((tmp_path / "a.txt").stat().st_mode)


def test_new_secret_never_replaces_a_file(tmp_path: Path) -> None:
    """The secret of papers that were dealt already is left alone."""
    (tmp_path / "a.txt").write_text(DIGITS)
    with pytest.raises(InputError, match="is there already, and papers dealt with it need it to be marked"):
        new_secret(tmp_path / "a.txt")
    assert DIGITS == (tmp_path / "a.txt").read_text()


def test_new_secret_needs_a_folder(tmp_path: Path) -> None:
    """A place that cannot be written is named."""
    with pytest.raises(InputError, match="cannot be written"):
        new_secret(tmp_path / "nowhere" / "a.txt")


@pytest.mark.parametrize(
    "data",
    [
        DIGITS.encode(), f"{DIGITS}\n".encode(), f"\r\n {DIGITS.upper()} \r\n".encode(), f"\ufeff{DIGITS}\r\n".encode(),
        f"\ufeff{DIGITS}\r\n".encode("utf-16-le"), f"\ufeff{DIGITS}".encode("utf-16-be"),
    ],
)  # fmt: skip
def test_secret_survives_being_saved_by_an_editor(tmp_path: Path, data: bytes) -> None:
    """Byte order marks, blanks, line ends and capitals around and in the digits change nothing."""
    (tmp_path / "a.txt").write_bytes(data)
    assert Secret(KEY) == read_secret(tmp_path / "a.txt")


def test_any_other_bytes_are_a_secret_as_they_stand(tmp_path: Path) -> None:
    """A file of random bytes needs no digits."""
    (tmp_path / "a.bin").write_bytes(b"\xff" + KEY[:20] + b"\x80")
    assert b"\xff" + KEY[:20] + b"\x80" == read_secret(tmp_path / "a.bin").key


@pytest.mark.parametrize(
    ("data", "sentence"),
    [
        (b"", "the secret has 0 bytes: use 16 random ones or more"),
        (b" \r\n", "the secret has 0 bytes"),
        (b"letmein", "the secret has 7 bytes"),
        (DIGITS[:30].encode(), "the secret has 15 bytes"),
        (b"aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa", "the secret has only 1 different bytes, which anybody may guess"),
        (b"passpasspasspasspass", "only 3 different bytes"),
        (b"x" * 70_000, "is larger than 65536 bytes"),
    ],
)
def test_weak_secret_is_refused(tmp_path: Path, data: bytes, sentence: str) -> None:
    """Too short, too plain or too long: the file is named, and what to do."""
    (tmp_path / "a.txt").write_bytes(data)
    with pytest.raises(DataError) as caught:
        read_secret(tmp_path / "a.txt")
    assert str(caught.value).startswith("a.txt: ")
    assert sentence in str(caught.value)


@pytest.mark.parametrize(("name", "sentence"), [("nowhere.txt", "nowhere.txt: cannot be read"), (".", "is no file"), ("a\0b", "cannot be read")])
def test_file_that_cannot_be_read_is_refused(tmp_path: Path, name: str, sentence: str) -> None:
    """A missing file, a folder and an impossible name are refused alike."""
    with pytest.raises(DataError, match=sentence):
        read_secret(tmp_path / name)


def test_printing_a_secret_shows_nothing() -> None:
    """Neither the bytes nor the digits leak into a log."""
    assert "Secret()" == repr(Secret(KEY))
    assert "Secret()" == f"{Secret(KEY)}"


def test_digest_is_the_hmac_of_the_words_with_their_lengths() -> None:
    """HMAC-SHA256 as Python's own library has it."""
    told = b"\0\0\0\0\0\0\0\x04seed\0\0\0\0\0\0\0\x02\xc3\xa9"
    assert hmac.new(KEY, told, hashlib.sha256).digest() == Secret(KEY).digest("seed", "é")


@given(words, words)
def test_only_the_same_words_have_the_same_digest(first: list[str], second: list[str]) -> None:
    """However words are cut, other words give another digest."""
    assert (first == second) == (Secret(KEY).digest(*first) == Secret(KEY).digest(*second))


def test_another_secret_gives_another_digest_number_and_stream() -> None:
    """Whoever has not the secret foretells nothing."""
    other = Secret(KEY[::-1])
    assert Secret(KEY).digest("a") != other.digest("a")
    assert Secret(KEY).number("a") != other.number("a")
    assert Secret(KEY).stream("a").random() != other.stream("a").random()


def test_streams_stay_from_version_to_version() -> None:
    """Papers that were dealt years ago are dealt alike today: these figures must never change."""
    assert 73529030164881 == Secret(KEY).number("seed", "start")
    assert [0.318, 0.7684] == [round(number, 4) for number in (lambda stream: (stream.random(), stream.random()))(Secret(KEY).stream("lots", "7"))]


def test_fewest_bytes_are_enough() -> None:
    """Sixteen bytes are a secret."""
    assert KEY[:FEWEST_BYTES] == Secret(KEY[:FEWEST_BYTES]).key


@pytest.mark.parametrize(
    "key",
    [b"password password1", b"The quick brown fox jumps", b"Fernhill-Workshop-2026", b"a1b2c3d4a1b2c3d4a1b2", b"one\ntwo three four 5678", b"abcdefgh" * 3],
)
def test_typed_secret_is_doubted(key: bytes) -> None:
    """Few different bytes, words and long runs of letters look typed."""
    assert ["looks typed"] == [doubt[26:37] for doubt in doubts_of_secret("nowhere.txt", Secret(key))]


@pytest.mark.parametrize("key", [KEY, bytes(range(100, 116)) + b"\xff", b"x7Q/f0+Lk2Vd9mZpW4sJt1==", b"\xff\xfe" + b"Fernhill Workshop"])
def test_random_secret_is_not_doubted(key: bytes) -> None:
    """Random bytes, and random letters such as in base 64, are left alone."""
    assert () == doubts_of_secret("nowhere.txt", Secret(key))


def test_made_secrets_are_not_doubted(tmp_path: Path) -> None:
    """What is made anew raises no doubt."""
    for number in range(20):
        assert () == doubts_of_secret(tmp_path / f"{number}.txt", new_secret(tmp_path / f"{number}.txt"))


@pytest.mark.skipif(os.name != "posix", reason="permissions are those of POSIX")
@pytest.mark.parametrize(("mode", "doubted"), [(0o600, False), (0o400, False), (0o644, True), (0o660, True), (0o602, True)])
def test_secret_that_others_can_read_is_doubted(tmp_path: Path, mode: int, doubted: bool) -> None:
    """A file that a group or everybody can read or change is told, with the command that mends it."""
    file = tmp_path / "a.txt"
    file.write_text(DIGITS)
    file.chmod(mode)
    expected = (f"Others on this machine can read the secret, or change it: chmod 600 {file}",) if doubted else ()
    assert expected == doubts_of_secret(file, Secret(KEY))
