"""What a process that helps needs (hpteach/questions/helper_processes.py)."""

import pickle
import signal
import threading
from types import MappingProxyType

import pytest

from hpteach.questions import deal, read_bank
from hpteach.questions.helper_processes import interrupts_left, packed


def test_a_question_comes_back_as_it_was():
    """A question with its read-only mappings is the same behind the way to another process: it deals the same."""
    question = read_bank().question("cooling-cop")
    back = pickle.loads(packed(question))
    assert deal(question, 7).prompt == deal(back, 7).prompt


def test_read_only_mapping_stays_read_only():
    """What could not be changed before cannot be changed after."""
    with pytest.raises(TypeError):
        pickle.loads(packed({"inner": MappingProxyType({"a": 1})}))["inner"]["a"] = 2


def test_interrupts_are_answered_again_behind_it():
    """Within it Ctrl-C is left, and behind it answered as before, also where something goes wrong inside."""
    before = signal.getsignal(signal.SIGINT)
    with pytest.raises(KeyError):
        with interrupts_left():
            assert signal.SIG_IGN is signal.getsignal(signal.SIGINT)
            raise KeyError
    assert before == signal.getsignal(signal.SIGINT)


def test_another_thread_leaves_them_as_they_are():
    """Only the main thread may say who answers Ctrl-C: any other one goes on without."""
    seen = []

    def inside():
        with interrupts_left():
            seen.append(signal.getsignal(signal.SIGINT))

    thread = threading.Thread(target=inside)
    thread.start()
    thread.join()
    assert [signal.getsignal(signal.SIGINT)] == seen
