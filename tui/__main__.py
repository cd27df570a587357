"""``python -m tui`` is ``readiness browse``."""

from __future__ import annotations

import sys

from readiness.cli.main import main

sys.exit(main(["browse", *sys.argv[1:]]))
