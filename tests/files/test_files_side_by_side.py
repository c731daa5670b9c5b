"""Batches done side by side give what they give one after the other, whatever becomes of the processes."""

import os
from functools import partial
from multiprocessing.process import BaseProcess

import pytest

from cradle.errors import CaptureError, LimitError
from cradle.files import side_by_side as module
from cradle.files.side_by_side import one_by_one, side_by_side


def kept(number, among):
    """All numbers of a batch so far."""
    among.append(number)
    return tuple(among)


def refused(name):
    raise CaptureError("found nothing", where=name, hint="look again")


def too_long():
    raise LimitError("stopped", hint="make it simpler")


def process():
    return os.getpid()


def elsewhere(fate, *, here):
    """Another process than this one ends so; here all is well."""
    if os.getpid() != here:
        fate()
    return "done"


def crashed():
    os._exit(1)


def at_fault():
    raise ZeroDivisionError("a fault of ours")


def at_fault_everywhere():
    raise KeyError("a fault of ours")


@pytest.fixture(autouse=True)
def _two_cores(monkeypatch):
    monkeypatch.setattr(module, "_cores", lambda: 2)


def of_three():
    """Three batches, the tasks of each with a list of their own."""
    return [[partial(kept, 10 * n + k, among) for k in range(n)] for n, among in ((1, []), (2, []), (3, []))]


def test_each_batch_has_its_results_in_its_place_and_its_tasks_share_what_they_have():
    assert side_by_side(of_three()) == one_by_one(of_three())
    assert side_by_side(of_three())[2] == [(30,), (30, 31), (30, 31, 32)]


def test_another_process_does_each_of_two_batches():
    pids = [pid for batch in side_by_side([[process, process], [process]]) for pid in batch]
    assert os.getpid() not in pids
    assert pids[0] == pids[1] != pids[2]


@pytest.mark.parametrize("batches", [[], [[process]], [[process], [process]]], ids=["none", "one", "two"])
def test_one_batch_or_one_core_needs_no_other_process(batches, monkeypatch):
    monkeypatch.setattr(module, "_cores", lambda: 1 if len(batches) > 1 else 8)
    assert side_by_side(batches) == [[os.getpid()] for _ in batches]


def test_what_a_user_can_correct_comes_back_in_its_place_as_it_was_raised():
    (first,), (second,) = side_by_side([[partial(refused, "a.jpg")], [process]])
    assert type(first) is CaptureError
    assert (first.where, first.found, first.hint) == ("a.jpg", "found nothing", "look again")
    assert str(first) == "a.jpg: found nothing; look again"
    assert isinstance(second, int)


def test_a_limit_that_is_met_elsewhere_ends_it_here():
    with pytest.raises(LimitError, match="stopped; make it simpler"):
        side_by_side([[process], [too_long]])


@pytest.mark.parametrize("fate", [crashed, at_fault])
def test_what_another_process_did_not_end_is_done_here(fate):
    task = partial(elsewhere, fate, here=os.getpid())
    assert side_by_side([[task], [task], [task]]) == [["done"]] * 3


def test_a_fault_of_ours_is_met_here_too_with_its_place():
    with pytest.raises(KeyError) as met:
        side_by_side([[process], [at_fault_everywhere]])
    assert met.traceback[-1].name == "at_fault_everywhere"


def test_where_no_process_can_be_started_all_is_done_here(monkeypatch):
    def full(_):
        raise OSError(11, "resource temporarily unavailable")

    monkeypatch.setattr(BaseProcess, "start", full)
    assert side_by_side([[process], [process]]) == [[os.getpid()]] * 2
