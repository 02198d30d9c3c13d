"""The countdown of an exam (hpteach/panels/exam_clock.py)."""

from hpteach.panels.exam_clock import ExamClock


def test_each_telling_is_a_new_one():
    """The same seconds told twice are two messages, so that the browser begins to count anew."""
    clock = ExamClock(lambda: None)
    clock.show(60.0)
    first = list(clock.left)
    clock.show(60.0)
    assert first != clock.left and first[0] == clock.left[0]
    clock.stop()
    assert [] == clock.left


def test_only_asking_asks():
    """The kernel looks when the browser asks, and at no other message."""
    asked = []
    clock = ExamClock(lambda: asked.append(True))
    for content in ({}, {"ask": False}, {"ask": True}):
        clock._handle_custom_msg(content, [])
    assert [True] == asked
