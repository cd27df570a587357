"""``python -m tui`` is ``readiness browse``."""

import sys
from runpy import run_module

sys.argv.insert(1, "browse")
run_module("readiness", run_name="__main__", alter_sys=True)
