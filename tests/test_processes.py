"""Which processes run: one that has ended does not, though nobody has asked yet how."""

from __future__ import annotations

import os
import subprocess
import sys
import time

import pytest

from primecoat.processes import process_is_alive


def test_this_one_runs_and_none_of_no_number():
    assert process_is_alive(os.getpid())
    assert not process_is_alive(0)
    assert not process_is_alive(-1)


@pytest.mark.skipif(sys.platform != "linux", reason="only Linux tells that a process has ended")
def test_one_that_ended_does_not_run_before_its_parent_asked():
    child = subprocess.Popen([sys.executable, "-c", ""])
    try:
        until = time.monotonic() + 60
        while process_is_alive(child.pid):
            assert time.monotonic() < until
            time.sleep(0.01)
        os.kill(child.pid, 0)  # the number is still taken
    finally:
        child.wait()
    assert not process_is_alive(child.pid)
