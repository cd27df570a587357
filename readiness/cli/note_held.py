"""Asking once before playing is noted for a day on which a hold is open.

Only where somebody sits in front of the program; elsewhere it is noted and said. What is not
noted is kept half entered, so that nothing is lost either way.
"""

from __future__ import annotations

from readiness.cli.entering import Entry
from readiness.cli.keys import Keys, is_terminal
from readiness.cli.saying import text_width
from readiness.planning.under_hold import played_under_hold
from readiness.record import half_done
from readiness.record.noting import NewLesson
from readiness.words.held import ask_words
from readiness.words.noting import kept_words

__all__ = ["note_all_the_same"]


def note_all_the_same(entry: Entry, lesson: NewLesson, *, asks: bool) -> bool:
    """Return whether to note a lesson; asks once where something was played under a hold.

    On the day a hold is opened nothing is asked: what was played came before it.

    Args:
        entry: whose lesson it is.
        lesson: what was shown.
        asks: whether a question may be asked, where there is a terminal.
    """
    played = played_under_hold(entry.course, entry.record, lesson.on, lesson.helps)
    opened_before = any(
        hold.is_open(lesson.on) and hold.opened < lesson.on for hold in entry.record.entire.holds
    )
    if not played or not opened_before or not asks or not is_terminal():
        return True
    keys = Keys()
    keys.say(ask_words(entry.course, entry.record, lesson.on, played, text_width()), end="")
    if keys.key().lower() == "y":
        return True
    refusal = half_done.keep_beside(entry.path, lesson)
    keys.say(refusal.message if refusal else kept_words(entry.record))
    return False
