"""A command that is stopped at any call that changes a file loses nothing, doubles nothing, leaves nothing.

Here some commands at each call; ``python tests/faults/stop_anywhere.py`` tries all of them in every way.
"""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

HERE = Path(__file__).parent


@pytest.mark.skipif(sys.platform == "win32", reason="programs end in another way there")
def test_commands_stopped_at_each_call():
    done = subprocess.run(
        [sys.executable, str(HERE / "stop_anywhere.py"), "--quick"],
        capture_output=True, text=True, check=False, env={**os.environ, "PYTHONPATH": str(HERE.parents[1])},
    )  # fmt: skip
    said = re.match(r"(\d+) tries of 7 commands \(half (\d+), after (\d+)\); 0 wrong\n", done.stdout)
    assert said, done.stdout + done.stderr
    assert int(said[1]) >= 55
    assert int(said[2]) >= 7
