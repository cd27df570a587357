"""The week in the pocket: one page for a phone, read at arm's length between two lessons.

No script and nothing from outside, so it can be looked at without a net and is gone when it is deleted. By
day, in the order of names: who comes, whether there is playing, the two looks that settle most, the one thing
and the promises.
Students are called by their initials, every one of the studio also inside what was promised, unless names
are wished.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from itertools import groupby, takewhile
from typing import Final, NamedTuple

from readiness.advice.plan import lessons_to_come
from readiness.advice.skill_traits import without_resting
from readiness.course.model import Course
from readiness.judging.history import known_on
from readiness.judging.lookahead import look_effects
from readiness.pages.document import Markup, document, tag
from readiness.record.entries import open_promises
from readiness.record.model import Record
from readiness.school.students import Judged
from readiness.terms import Verdict
from readiness.toml.texts import composed, folded
from readiness.words.grammar import listed, tidy, together
from readiness.words.importing import (
    POCKET_CARE,
    POCKET_LABELS,
    may_play_words,
    pocket_day,
    pocket_title,
    pocket_unread,
)

__all__ = ["Visit", "pocket_page", "two_looks", "visits"]

_LOOKS: Final = 2
_STYLE: Final = """\
body { font-size: 20px; line-height: 1.3; margin: 0; padding: 0; max-width: none; }
main { display: block; min-height: 0; padding: 12px; max-width: 640px; margin: 0 auto; }
h1 { font-size: 24px; margin: 0 0 8px; }
h2 { font-size: 22px; margin: 20px 0 6px; padding: 4px 8px; background: #e4e4e4; }
article { border: 2px solid #000; border-radius: 8px; padding: 8px 12px 10px; margin: 0 0 12px; }
article.paused { border-width: 6px; }
h3 { font-size: 34px; line-height: 1.1; margin: 0; }
p { margin: 6px 0; }
.play { font-size: 26px; font-weight: bold; }
span { display: block; margin-bottom: 4px; }
b { display: block; font-size: 17px; font-weight: normal; color: #333; }
footer { border-top: 2px solid #000; margin-top: 20px; padding-top: 6px; font-size: 17px; }
"""


class Visit(NamedTuple):
    """A lesson of one student on a day; the looks are those of the next lesson."""

    day: int
    student: Judged
    looks: tuple[str, ...]


def visits(course: Course, judged: Sequence[Judged], until: int) -> tuple[Visit, ...]:
    """Return who comes up to a day: by day, of each day in the order given; nothing that rests is asked."""
    told = (Judged(one.record, without_resting(course, one.record, one.answer)) for one in judged)
    found = [
        Visit(day, one, two_looks(course, one))
        for one in told
        if one.answer.is_day_known
        for day in takewhile(lambda day: day <= until, lessons_to_come(one.record, one.answer))
    ]
    return tuple(sorted(found, key=lambda visit: visit.day))


def two_looks(course: Course, student: Judged) -> tuple[str, ...]:
    """Return the two skills of the look set that settle most on the next lesson, in graph order."""
    answer = student.answer
    if len(answer.look_first) <= _LOOKS or answer.next_lesson is None:
        return answer.look_first
    course = course.on(answer.on)
    known = known_on(course, student.record, answer.on, answer.calendar)
    looks, plan = look_effects(course, known, answer.next_lesson), course.plan
    chosen = looks.most(plan, (plan.index[skill] for skill in answer.look_first), _LOOKS)
    return tuple(plan.ids[i] for i in sorted(chosen))


def pocket_page(
    course: Course, judged: Sequence[Judged], called: Mapping[str, str], span: tuple[int, int], *,
    names: bool = False, unread: int = 0,
) -> str:  # fmt: skip
    """Return the page.

    ``called`` holds by id what a student is called on it; ``span`` is the first and the last day; ``names``:
    whether names may stand in it; ``unread``: so many files cannot be read. The answers are those of the
    first day.
    """
    coming_up = visits(course, judged, span[1])
    title = pocket_title(*span)
    coming = {visit.student.record.id for visit in coming_up}
    away = [called[one.record.id] for one in judged if one.record.id not in coming]
    words = (_name_words(one.record, called[one.record.id]) for one in judged if not names)
    codes = together(pair for one in words for pair in one.items())
    # what stands for each word of every student's names: of several codes, its first letter alone
    hidden = {word: word[0].upper() if len({*found}) > 1 else found[0] for word, found in codes.items()}
    body = [tag("h1", title), *([tag("p", pocket_unread(unread))] if unread else [])]
    for day, those in groupby(coming_up, lambda visit: visit.day):
        body.append(tag("h2", pocket_day(day)))
        body += (_card(course, visit, called[visit.student.record.id], hidden) for visit in those)
    if away or not coming_up:
        body.append(tag("p", f"{POCKET_LABELS['away']}{f': {listed(away)}' if away else ''}."))
    body.append(tag("footer", *(tag("p", line) for line in POCKET_CARE)))
    return document(title, _STYLE, "a4", *body)


def _card(course: Course, visit: Visit, code: str, hidden: Mapping[str, str]) -> Markup:
    answer, record = visit.student.answer, visit.student.record
    paused, others = answer.verdict == Verdict.PAUSED, len(answer.look_first) - len(visit.looks)
    more = [f"and {others} more"] if others else []
    works = [one for one in (answer.one_thing,) if one and one not in visit.looks and not paused]
    told = {
        "look": [] if paused else [*(tidy(course.skill[skill].name) for skill in visit.looks), *more],
        "work": [tidy(course.skill[one].name) for one in works],
        "promise": [tidy(promise.text) for _, promise in open_promises(record, answer.on)],
    }
    if hidden:
        own = {**hidden, **_name_words(record, code)}
        told["promise"] = [without_names(one, own) for one in told["promise"]]
    return tag(
        "article",
        tag("h3", code),
        tag("p", may_play_words(course, answer, record), class_="play"),
        *(tag("p", tag("b", POCKET_LABELS[kind]), *(tag("span", line) for line in lines))
          for kind, lines in told.items() if lines),
        class_="paused" if paused else "",
    )  # fmt: skip


def _name_words(record: Record, code: str) -> dict[str, str]:
    """Return the code by each word of a student's names; what begins small, such as "van", is none alone."""
    words = re.findall(r"\w+", f"{record.name} {record.family}")
    return {folded(word): code for word in words if len(word) > 1 and not word[0].islower()}


def without_names(text: str, hidden: Mapping[str, str]) -> str:
    """Return words in which names, however they are typed, are replaced by codes.

    >>> without_names("play it with Noémi Okoro, as noemi's sister", {"noemi": "NO", "okoro": "NO"})
    "play it with NO, as NO's sister"
    """
    told = re.sub(r"\w+", lambda word: hidden.get(folded(word[0]), word[0]), composed(text))
    return re.sub(rf"\b({'|'.join(map(re.escape, set(hidden.values())))})(?:[ -]\1)+\b", r"\1", told)
