"""The only place that makes sentences: for the teacher, from answers.

Phrases say one fact, stories choose the order. Nothing here decides anything.
"""

from __future__ import annotations
