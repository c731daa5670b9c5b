"""Interruptions that wait until what is half done is finished."""

import os
import signal
import threading

import pytest

from cradle.files.interruption import interruptions_wait


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM])
def test_a_signal_is_answered_when_the_block_is_done(number):
    told = []
    before = signal.signal(number, lambda n, frame: told.append(n))
    try:
        with interruptions_wait():
            os.kill(os.getpid(), number)
            os.kill(os.getpid(), number)
            assert told == []
        assert told == [number]
        os.kill(os.getpid(), number)
        assert told == [number, number]  # and afterwards as before
    finally:
        signal.signal(number, before)


def test_ctrl_c_ends_what_comes_after_the_block_not_the_block():
    done = []
    before = signal.signal(signal.SIGINT, signal.default_int_handler)

    def half_done():
        with interruptions_wait():
            os.kill(os.getpid(), signal.SIGINT)
            done.append("whole")

    try:
        with pytest.raises(KeyboardInterrupt):
            half_done()
    finally:
        signal.signal(signal.SIGINT, before)
    assert done == ["whole"]


def test_an_error_inside_comes_out_and_the_answers_are_put_back():
    before = signal.getsignal(signal.SIGINT)
    with pytest.raises(ZeroDivisionError), interruptions_wait():
        raise ZeroDivisionError
    assert signal.getsignal(signal.SIGINT) is before


def test_other_threads_go_on_as_they_are():
    answers = []

    def work():
        with interruptions_wait():
            answers.append(signal.getsignal(signal.SIGINT))

    before = signal.getsignal(signal.SIGINT)
    thread = threading.Thread(target=work)
    thread.start()
    thread.join()
    assert answers == [before]
