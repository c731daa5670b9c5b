"""Where permissions bind whoever runs the tests."""

import os

import pytest

BOUND = os.name == "posix" and os.geteuid() != 0

where_permissions_bind = pytest.mark.skipif(
    not BOUND, reason="the superuser, and Windows, may read and write anything"
)
