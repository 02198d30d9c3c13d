"""What a command prints: text, JSON and remarks, and a stream that is closed."""

import json

import pytest

from hpteach.errors import InputError
from hpteach.printing import remark, show, show_json


def test_blocks_are_parted_by_an_empty_line(capsys):
    """Blocks stand one below the other with an empty line between, and 0 is the exit code."""
    assert 0 == show("one", 2)
    assert "one\n\n2\n" == capsys.readouterr().out


def test_json_is_one_object_without_nan(capsys):
    """JSON is one object; a number that is none is no JSON and never leaves."""
    assert 0 == show_json({"found": [1, None]})
    assert {"found": [1, None]} == json.loads(capsys.readouterr().out)
    with pytest.raises(ValueError, match="JSON"):
        show_json({"found": float("nan")})


def test_remark_is_one_line_without_signs_for_the_terminal(capsys):
    """Each remark is one line on standard error, whatever was typed into it."""
    assert 0 == remark("one\ntwo", "bell \x07")
    assert ("", "one two\nbell ?\n") == capsys.readouterr()


def test_closed_stream_is_refused_or_left_in_peace(monkeypatch):
    """Without standard output there is nowhere to print; without standard error nobody listens."""
    monkeypatch.setattr("sys.stdout", None)
    with pytest.raises(InputError, match="standard output is closed"):
        show("one")
    monkeypatch.setattr("sys.stderr", None)
    assert 0 == remark("nobody hears this")
