"""A file that is there only when it is whole.

What lives here: `whole_file`, to write one piece by piece, and `write_whole`, to write it at once.
What does not: what stands in it (tabular, export, manifest, papers).
"""

from __future__ import annotations

import os
import secrets
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import BinaryIO

from hpteach.errors import HpteachError, InputError


@contextmanager
def whole_file(path: str | Path, *, lasting: bool = True, private: bool = False) -> Iterator[BinaryIO]:
    """A file to write into, which takes its place when the block has ended; if that fails, what was there before stays.

    It is on the disk then, so that a power cut does not take it, unless `lasting` is false: a thousand files that can be made again
    are written sooner.  `private` keeps it for the user's eyes alone, where the system has such rights.  Raises `InputError` where the place cannot be written, and
    for a folder, device or pipe, which a file must not replace.

    >>> with whole_file("nowhere/marks.csv") as file:
    ...     file.write(b"")
    Traceback (most recent call last):
    hpteach.errors.InputError: file 'nowhere...marks.csv' cannot be written (No such file or directory): close it where it is open, or choose another place
    """
    path = Path(path)
    made = path.parent / f".{secrets.token_hex(8)}.part"
    try:
        if path.exists() and not path.is_file():
            raise OSError("it is no ordinary file")
        with open(made, "xb", opener=lambda name, flags: os.open(name, flags, 0o600 if private else 0o666)) as file:
            yield file
            if lasting:
                file.flush()
                os.fsync(file.fileno())
        os.replace(made, path)
    except BaseException as error:
        with suppress(OSError, ValueError):
            made.unlink()
        if isinstance(error, (OSError, ValueError)) and not isinstance(error, HpteachError):
            raise InputError.unwritable(path, error, "close it where it is open, or choose another place") from None
        raise


def write_whole(path: str | Path, data: bytes, *, lasting: bool = True, private: bool = False) -> Path:
    """Write a file in one step and return its path; choices and refusals are those of `whole_file`.

    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     write_whole(Path(folder) / "marks.csv", b"score").read_bytes()
    b'score'
    """
    with whole_file(path, lasting=lasting, private=private) as file:
        file.write(data)
    return Path(path)
