"""Where the course and the demo students that come with the program are.

Installed, they lie inside the package; in a checkout, beside it. Nothing is read here.
"""

from __future__ import annotations

from pathlib import Path

__all__ = ["shipped"]


def shipped() -> Path:
    """Return the folder that holds ``skill_graphs`` and ``demo_students``."""
    package = Path(__file__).resolve().parent
    inside = package / "shipped"
    return inside if inside.is_dir() else package.parent
