"""What a command prints: blocks of text or JSON on standard output, remarks on standard error.

What lives here: the two streams, and what to do where one is closed or cannot show a letter.
What does not: what is printed (the commands and the readouts).
"""

from __future__ import annotations

import json
import os
import sys
from contextlib import suppress
from typing import Any

from hpteach.errors import InputError


def show(*blocks: Any) -> int:
    """Print blocks with an empty line between; 0, the exit code of a command that is done.

    Raises `InputError` where standard output is closed or cannot be written.

    >>> show("one", "two")
    one
    <BLANKLINE>
    two
    0
    """
    if sys.stdout is None:
        raise InputError("standard output is closed: send it to a terminal, a file or another program")
    text = "\n\n".join(str(block) for block in blocks)
    try:
        try:
            print(text, flush=True)
        except UnicodeEncodeError:
            encoding = sys.stdout.encoding
            print(text.encode(encoding, "replace").decode(encoding), flush=True)
    except OSError as error:
        # Python flushes once more at its end, which must not complain again.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        if not isinstance(error, BrokenPipeError):
            raise InputError(f"standard output cannot be written ({error.strerror}): send it elsewhere") from None
    return 0


def show_json(found: dict[str, Any]) -> int:
    """Print one JSON object; raises as `show` does.

    >>> show_json({"file": "card.html"})
    {
      "file": "card.html"
    }
    0
    """
    return show(json.dumps(found, indent=2, allow_nan=False))


def remark(*sentences: str) -> int:
    """Say sentences on standard error, one line for each; 0 as `show`.  Where nobody listens nothing is said."""
    for sentence in sentences if sys.stderr else ():
        # One line for each, whatever was typed, and nothing that a terminal would act upon.
        line = "".join(letter if letter.isprintable() else "?" for letter in " ".join(sentence.split()))
        with suppress(OSError):
            print(line, file=sys.stderr, flush=True)
    return 0
