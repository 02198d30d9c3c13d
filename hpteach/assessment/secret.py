"""The instructor's secret, from which the papers of a class are dealt and signed.

What lives here: `Secret`, read from a file or made anew, and what is doubtful about one.  What does not: what is dealt from it (forms), what is signed with it
(manifest).

Who holds the secret can deal the same papers again and knows their answers; who doesn't cannot foretell them, though the
question bank lies open.  All that is dealt or signed is taken from HMAC-SHA256 (RFC 2104 and FIPS 180-4, from memory, not seen
here) of the secret and some words, whose lengths are kept, so that no two lists of words mean the same.
"""

from __future__ import annotations

import codecs
import hmac
import os
import random
import re
import secrets
import stat
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path

from hpteach.assessment.bounded_file import read_bounded
from hpteach.errors import DataError, InputError

FEWEST_BYTES = 16
_FEWEST_DIFFERENT = 8  # sixteen random bytes hold fewer in about one case of 10^12 (reckoned)
_FEW_DIFFERENT = 12  # as above, in about one case of 10^6 (reckoned)
_FEW_LETTERS = 16
_WORD = re.compile(r"\s|[A-Za-z][a-z]{5}|[A-Z]{6}")
_MADE_BYTES = 32
_LARGEST = 65_536
_BLANKS = b" \t\r\n"
_HEX = re.compile(rb"[0-9A-Fa-f]+")
_REMEDY = "name a file that is not there yet to have one made, or one with 32 or more random hexadecimal digits"


@dataclass(frozen=True)
class Secret:
    """A secret of 16 random bytes or more; printing it shows nothing.

    Raises `InputError` for fewer bytes, and for bytes that are too much alike to be random.

    >>> Secret(bytes(range(16)))
    Secret()
    """

    key: bytes = field(repr=False)

    def __post_init__(self) -> None:
        if len(self.key) < FEWEST_BYTES:
            raise InputError(f"the secret has {len(self.key)} bytes: use {FEWEST_BYTES} random ones or more")
        if len(set(self.key)) < _FEWEST_DIFFERENT:
            raise InputError(f"the secret has only {len(set(self.key))} different bytes, which anybody may guess: use random ones")

    def digest(self, *words: str) -> bytes:
        """Thirty-two bytes that belong to some words, of which the first says what they are for.

        >>> Secret(bytes(range(16))).digest("seed", "ab") == Secret(bytes(range(16))).digest("seed", "a", "b")
        False
        """
        told = [word.encode("utf-8", errors="surrogatepass") for word in words]
        return hmac.digest(self.key, b"".join(len(word).to_bytes(8, "big") + word for word in told), "sha256")

    def number(self, *words: str) -> int:
        """A number below 2^48 that belongs to some words.

        >>> Secret(bytes(range(16))).number("seed", "start") < 2**48
        True
        """
        return int.from_bytes(self.digest(*words)[:6], "big")

    def stream(self, *words: str) -> random.Random:
        """A source of numbers that belongs to some words; only its `random()` is promised to stay from version to version of Python.

        >>> Secret(bytes(range(16))).stream("lots", "7").random() < 1.0
        True
        """
        return random.Random(int.from_bytes(self.digest(*words), "big"))


def new_secret(path: str | Path) -> Secret:
    """Make a secret, write it as hexadecimal digits to a file that only this user may read, and return it.

    Raises `InputError` where the file is there already, as papers dealt with it could never be marked again, or cannot be written.

    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     new_secret(Path(folder) / "secret.txt") == read_secret(Path(folder) / "secret.txt")
    True
    """
    path = Path(path)
    key = secrets.token_bytes(_MADE_BYTES)
    try:
        descriptor = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    except FileExistsError:
        raise InputError(f"{str(path)!r} is there already, and papers dealt with it need it to be marked: choose another name") from None
    except (OSError, ValueError) as error:
        raise InputError.unwritable(path, error, "choose another place for the secret") from None
    try:
        with os.fdopen(descriptor, "wb") as file:
            file.write(key.hex().encode() + b"\n")
            file.flush()
            os.fsync(file.fileno())
    except OSError as error:
        with suppress(OSError):
            path.unlink()
        raise InputError.unwritable(path, error, "choose another place for the secret") from None
    return Secret(key)


def read_secret(path: str | Path) -> Secret:
    """The secret in a file: hexadecimal digits, or any other 16 bytes or more; blanks and line ends around them do not count.

    Raises `DataError` where the file cannot be read, holds too little, or is far too long for a secret.

    >>> read_secret("nowhere.txt")
    Traceback (most recent call last):
    hpteach.errors.DataError: nowhere.txt: cannot be read (No such file or directory): name the file with the instructor's secret
    """
    path = Path(path)
    file = path.name or str(path)
    data = read_bounded(path, _LARGEST, "name the file with the instructor's secret")
    if len(data) > _LARGEST:
        raise DataError(f"{file}: is larger than {_LARGEST} bytes: is this the file with the instructor's secret?")
    bare = _as_saved(data).strip(_BLANKS)
    try:
        return Secret(bytes.fromhex(bare.decode()) if _HEX.fullmatch(bare) and len(bare) % 2 == 0 else bare)
    except InputError as error:
        raise DataError(f"{file}: {error}; {_REMEDY}") from None


def doubts_of_secret(path: str | Path, secret: Secret) -> tuple[str, ...]:
    """What the instructor should know of a secret that was read from a file: that it reads like typed words, that others can read it.

    >>> doubts_of_secret("nowhere.txt", Secret(b"password password1"))[0]
    'The secret in nowhere.txt looks typed, and typed words can be guessed: name a file that is not there yet to have a random one made.'
    """
    path = Path(path)
    file = path.name or str(path)
    doubts = []
    if _looks_typed(secret.key):
        doubts.append(f"The secret in {file} looks typed, and typed words can be guessed: name a file that is not there yet to have a random one made.")
    with suppress(OSError, ValueError):
        if os.name == "posix" and path.stat().st_mode & (stat.S_IRWXG | stat.S_IRWXO):
            doubts.append(f"Others on this machine can read the secret, or change it: chmod 600 {path}")
    return tuple(doubts)


def _looks_typed(key: bytes) -> bool:
    """Whether bytes are few different ones, or words rather than random letters."""
    different = len(set(key))
    if different < _FEW_DIFFERENT:
        return True
    try:
        text = key.decode()
    except UnicodeDecodeError:
        return False
    return text.replace("\n", " ").replace("\r", " ").replace("\t", " ").isprintable() and (different < _FEW_LETTERS or bool(_WORD.search(text)))


def _as_saved(data: bytes) -> bytes:
    """The bytes without what an editor puts around a text when it saves it anew."""
    if data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        with suppress(UnicodeDecodeError):
            return data.decode("utf-16").encode("utf-8")
    return data.removeprefix(codecs.BOM_UTF8)
