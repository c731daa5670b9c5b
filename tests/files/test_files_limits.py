import os
import signal
import threading

import pytest

from cradle.cli.main import main
from cradle.errors import LimitError
from cradle.files import limits
from cradle.files.limits import resident_mb, within_limits
from cradle.files.writing import write_all
from cradle.page.jobs import Job, Task, Watch, answered

pytestmark = pytest.mark.skipif(not hasattr(signal, "setitimer"), reason="needs a clock of computing")


def compute_for_ever():
    while True:
        sum(range(1000))


def take_for_ever():
    taken = []
    while True:
        taken.append(bytearray(1_000_000))
        sum(range(10_000))


@pytest.fixture
def short(monkeypatch):
    monkeypatch.setattr(limits, "MOST_S", 0.2)
    monkeypatch.setattr(limits, "_LOOK_S", 0.02)


def test_what_computes_too_long_is_stopped_and_told_what_to_do(short):
    before = signal.getsignal(signal.SIGPROF)
    with (
        pytest.raises(LimitError, match=r"^stopped after 0\.2 s of computing, the limit; make it simpler: "),
        within_limits(),
    ):
        compute_for_ever()
    assert signal.getsignal(signal.SIGPROF) == before
    assert signal.getitimer(signal.ITIMER_PROF) == (0.0, 0.0)


@pytest.mark.skipif(resident_mb() == 0, reason="the system does not say how much memory is taken")
def test_what_takes_too_much_memory_is_stopped(short, monkeypatch):
    monkeypatch.setattr(limits, "MOST_S", 60.0)
    monkeypatch.setattr(limits, "MOST_MB", resident_mb() + 40)
    with (
        pytest.raises(LimitError, match=r"^stopped: \d+ MB of memory were taken, the limit is \d+ MB; "),
        within_limits(),
    ):
        take_for_ever()


def test_a_library_that_takes_the_limit_for_an_error_of_its_own_changes_nothing(short):
    def ask_a_library():
        try:
            compute_for_ever()
        except LimitError as error:
            raise ValueError("what is this colour?") from error

    with pytest.raises(LimitError, match="stopped after"), within_limits():
        ask_a_library()


def test_an_error_within_the_limits_stays_what_it_is():
    with pytest.raises(ValueError, match="colour"), within_limits():
        raise ValueError("what is this colour?")


def test_no_memory_at_all_is_a_limit_too():
    with (
        pytest.raises(LimitError, match="not enough memory: up to 3000 MB may be taken; make it simpler"),
        within_limits(),
    ):
        raise MemoryError


def test_files_that_are_written_stay_and_the_rest_of_the_command_runs_on(short, tmp_path):
    with within_limits():
        write_all({tmp_path / "a": b"new"})
        for _ in range(40_000):
            sum(range(1000))
    assert (tmp_path / "a").read_bytes() == b"new"


def test_a_limit_in_the_middle_of_a_set_leaves_the_earlier_one_and_no_litter(short, tmp_path, monkeypatch):
    names = ("a", "b", "c")
    write_all({tmp_path / name: b"old" for name in names})
    replace, done = os.replace, []

    def slow(source, target):
        if not str(source).endswith(".kept"):
            done.append(target)
            if len(done) == 3:  # the journal and one file have their names
                compute_for_ever()
        replace(source, target)

    monkeypatch.setattr(os, "replace", slow)
    with pytest.raises(LimitError), within_limits():
        write_all({tmp_path / name: b"new" for name in names})
    assert {file.name: file.read_bytes() for file in tmp_path.iterdir()} == dict.fromkeys(names, b"old")


def test_a_command_ends_with_one_line_and_the_code_of_the_impossible(short, monkeypatch, capsys, tmp_path):
    monkeypatch.setattr("cradle.project.template.project_template", lambda **_: compute_for_ever())
    assert main(["start", str(tmp_path / "new")]) == LimitError.exit_code == 3
    assert capsys.readouterr().err.startswith(
        "cradle: stopped after 0.2 s of computing, the limit; make it simpler"
    )
    assert not (tmp_path / "new").exists()


def test_a_request_of_the_page_is_limited(short, tmp_path):
    class Doers:
        def of(self, task):
            return self

        def answer(self, job, watch):
            compute_for_ever()

    watch = Watch(step=print, part=print)
    job = Job(task=Task.BUILD, text="", file=tmp_path / "holder.toml", folder=tmp_path)
    (problem,) = answered(job, doers=Doers(), watch=watch).problems
    assert problem.found == "stopped after 0.2 s of computing, the limit"


def test_other_threads_are_not_limited(short):
    def work():
        with within_limits():
            for _ in range(40_000):
                sum(range(1000))
        done.append(True)

    done: list[bool] = []
    thread = threading.Thread(target=work)
    thread.start()
    thread.join()
    assert done
