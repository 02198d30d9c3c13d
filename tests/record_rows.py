"""Rows of the learner's record, what a file holds of them, and a file with torn pages."""

from hpteach.assessment.record_file import RecordFile


def row(text="8 bar", **other):
    """A row as the record keeps it."""
    told = {"at": "2026-05-04T12:00:00.000Z", "question": "read-a-gauge", "version": 1, "topic": "start", "lesson": "00", "seed": 7, "system": "SI"}
    return {**told, "part": "absolute", "text": text, "correct": False, "mistake": None, "hints": 0, "solution_seen": False, **other}


def texts(path):
    """The answers in a file, in their order."""
    return [one["text"] for one in RecordFile(path).rows()]


def torn(path):
    """Write over the pages behind the first one."""
    for number in range(30):
        RecordFile(path).write(row(f"{number}" * 40))
    data = bytearray(path.read_bytes())
    assert len(data) > 8192
    data[4096:8192] = b"\xff" * 4096
    path.write_bytes(data)
