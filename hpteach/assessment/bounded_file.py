"""A file that somebody hands over, read as far as such a file can be long.

What lives here: `read_bounded`.  What does not: what stands in the file (tabular, hand_in, manifest, blueprint, secret), writing one (whole_file).
"""

from __future__ import annotations

from pathlib import Path

from hpteach.errors import DataError, reason_of


def read_bounded(path: str | Path, most: int, remedy: str) -> bytes:
    """The bytes of a file, up to one more than `most`, so that whoever asks can see that it is too long.

    Raises `DataError` for a folder, device or pipe and for a file that cannot be read, with `remedy` as what to do.

    >>> read_bounded("nowhere.csv", 1000, "name a CSV file")
    Traceback (most recent call last):
    hpteach.errors.DataError: nowhere.csv: cannot be read (No such file or directory): name a CSV file
    """
    path = Path(path)
    file = path.name or str(path)
    try:
        ordinary = path.is_file() or not path.exists()
        if ordinary:
            with path.open("rb") as opened:
                return opened.read(most + 1)
    except (OSError, ValueError) as error:
        raise DataError(f"{file}: cannot be read ({reason_of(error)}): {remedy}") from None
    raise DataError(f"{file}: is no file: {remedy}")
