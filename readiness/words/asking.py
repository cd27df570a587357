"""What is said while a round asks for one thing after another, one key each.

How the keys work is said once, before the first question, since a key counts at once and
somebody used to Enter would answer the next question with it. Nothing here is told as a score.
"""

from __future__ import annotations

from collections.abc import Sequence

from readiness.course.model import Skill
from readiness.record.model import AGAIN
from readiness.record.noting import NewLesson
from readiness.words.brief import HELP_BRIEF, noted_line
from readiness.words.grammar import counted, wrap

__all__ = [
    "beside_words", "closing_words", "counts_words", "enter_words", "keys_words", "question_words",
    "room_left_words",
]  # fmt: skip


def keys_words(*, several: bool = False) -> str:
    """Return how a round is answered, and which key says what."""
    split = "s one by one   " if several else ""
    return (
        "One key answers, and counts at once; no Enter.\n"
        f"a {HELP_BRIEF[0]}   c {HELP_BRIEF[1]}   m {HELP_BRIEF[2]}   h {HELP_BRIEF[3]}   n {HELP_BRIEF[4]}\n"
        f"- not asked   {split}r a few words   d not liked, or liked again   t tried again\n"
        f"u back   ? what counts   q stop here"
    )


def enter_words() -> str:
    """Return that Enter answered nothing."""
    return "(Enter answers nothing here; - is not asked)"


def beside_words(lesson: NewLesson, skills: Sequence[str]) -> str:
    """Return what a lesson says of some things beside how they were shown, if anything.

    >>> beside_words(NewLesson(1, disliked=("a-song",), tried_again={"a-song": "slower"}), ["a-song"])
    'not liked, so not proposed again; tried again slower'
    """
    lists = {"not liked, so not proposed again": lesson.disliked, "liked again": lesson.liked_again}
    told = [words for words, noted in lists.items() if any(skill in noted for skill in skills)]
    ways = dict.fromkeys(AGAIN[lesson.tried_again[skill]] for skill in skills if skill in lesson.tried_again)
    return "; ".join([*told, *(f"tried again {way}" for way in ways)])


def question_words(told: str, title: str, why: str, width: int = 80) -> str:
    """Return one question of a round; the answer goes behind it.

    Args:
        told: which of the questions it is, as it stands before it; may be empty.
        title, why: what is asked for, and a few words on why.
        width: the widest line.
    """
    asked = f"{title} ({why}):" if why else f"{title}:"
    return "\n".join(wrap(asked, width - 20, lead=f"{told}  " if told else "")) + " "


def room_left_words(room: int) -> str:
    """Return how many looks may follow the one that is asked for; ``room`` counts it too.

    >>> room_left_words(7), room_left_words(1)
    ('after this at most 6 more', 'the last one today')
    """
    return f"after this at most {room - 1} more" if room > 1 else "the last one today"


def counts_words(skill: Skill, width: int = 80) -> str:
    """Return what counts as showing a skill."""
    return "\n".join(wrap(f"{skill.name}: {skill.shown_when}", width, indent=2))


def closing_words(lesson: NewLesson, open_count: int, width: int = 80) -> str:
    """Return the last question of a round."""
    rest = f"; {counted(open_count, 'thing')} left open, noted as not asked" if open_count else ""
    so_far = wrap(f"So far: {noted_line(lesson)}{rest}.", width)
    return "\n".join(
        [*so_far, "Enter note it   r a few words about the lesson   u back   l leave it for later"]
    )
