"""Files made to cost much: each is read or refused within limits of CPU time and memory (``hostile``)."""

import sys

import pytest
from hostile import FILES, SECONDS, cost, written


@pytest.mark.further
@pytest.mark.parametrize("name", list(FILES))
def test_a_file_made_to_cost_much_costs_little(tmp_path, name):
    outcome, words, seconds, megabytes = cost(written(tmp_path, name))
    sys.stderr.write(f"{name}: {outcome}, {seconds:.1f} s, {megabytes} MB: {words[:120]}\n")
    assert outcome in ("read", "refused")
    assert seconds < SECONDS
