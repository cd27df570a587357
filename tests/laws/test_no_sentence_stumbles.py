"""What no text may stumble over: an end or an advice twice, a count of nothing said as a number.

Whatever somebody's own words end in, the sentence of ours that they stand in ends once.
"""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import timedelta
from typing import Any

from drawn import situations
from hypothesis import given
from hypothesis import strategies as st
from told import text_of

from readiness.advice.after_break import tasks_now
from readiness.advice.estimates import estimates
from readiness.advice.handover import hand_over
from readiness.advice.lesson import plan_lesson
from readiness.advice.review import breaks, prepare, review
from readiness.advice.sheet import check_sheet
from readiness.record.consents import as_if_agreed
from readiness.record.entries import practice_on
from readiness.record.rhythm import Event
from readiness.school.evening import evening
from readiness.school.students import Judged
from readiness.testing import Situation, ask
from readiness.words.ahead import back_sections, review_sections, season_sections, when_sections
from readiness.words.cautions import GENTLY
from readiness.words.entries import family_promise_words, promise_list_words, task_list_words
from readiness.words.lesson import plan_sections, sheet_sections
from readiness.words.letters import letter
from readiness.words.lists import tell_evening
from readiness.words.phrases import Phrases
from readiness.words.reasons import skill_sections
from readiness.words.share import handover_sections, particulars_words, share_sections
from readiness.words.why import why_sections

ENDS = st.sampled_from(["", ".", "!", "?", "...", " :)"])
TWICE = re.compile(r"[^.]\.\"?\s?\.(?!\.)|[!?]\s?\.|[^.]\.\s*[;,]|[^.]\. \([^()]*:\d+\)\.|(?<!\.)\.\.(?!\.)")
NOTHING = re.compile(r"(?<![\w.,:/-])0 (?!of )[a-z]+")
TEXTS = ("age_note", "advice", "alternative", "shown_when")
PHRASES = ("said", "you")


def in_own_words(one: Situation, end: str) -> Situation:
    """Return a question whose course and student file have words of somebody's own wherever they can."""
    course, on, day = one.course, one.on, one.on - timedelta(days=1)
    words, skill = f"as you like it{end}", course.skills[0].id
    blocks: dict[str, list[dict[str, Any]]] = {
        "lesson": [{"on": day, "not_shown": [skill], "note": words, "remarks": {skill: words}}],
        "alternative": [{"skill": skill, "text": words, "agreed_with": "them", "on": day}],
        "told": [{"to": "them", "what": words, "on": day}],
        "task": [{"given": day, "for_skill": skill, "text": words, "minutes_day": 2, "days_planned": 3,
                  "days_reported": 0, "reported": words}],
        "promise": [{"given": day, "to": "them", "text": words, "due": day},
                    {"given": day, "to": "them", "text": words, "answered": on, "answer": words}],
        "hold": [{"opened": day, "words": words, "part": part, "closed": day, "closed_by": "them",
                  "closed_words": words} for part in ("hand", "voice")],
    }  # fmt: skip
    unit = [start["unit"] for start in one.student.get("unit_start", ())]
    if unit:
        decided = {"on": day, "unit": unit[-1], "computed": "ready", "decided": "stay", "reason": words}
        blocks["decision"] = [decided]
    own = {kind: [*one.student.get(kind, ()), *new] for kind, new in blocks.items()}
    known = ("stop", "bench", "footrest", "distance", "words", "upsets", "collects")
    particulars = dict.fromkeys(known, words)
    return replace(one, student={**one.student, **own, "particulars": particulars})


@given(situations(), ENDS, st.integers(0, 20))
def test_a_sentence_with_own_words_ends_once(one: Situation, end: str, ahead: int) -> None:
    asked = ask(in_own_words(one, end))
    said = end if end == "." else ""  # a phrase that our sentence goes on with
    course = replace(asked.course, skills=tuple(
        replace(skill, remedies=tuple(f"a game{end}" for _ in skill.remedies) or ("a game",),
                **dict.fromkeys(TEXTS, f"as it is{end}"), **dict.fromkeys(PHRASES, f"as it is{said}"))
        for skill in asked.course.skills
    ))  # fmt: skip
    record, answer = asked.record, asked.answer
    about, p = (course, record, answer), Phrases(answer, course, record)
    tasks = practice_on(tasks_now(course, record, answer.on), course.band[answer.band], answer.on)
    may, page = as_if_agreed(record, "substitute", answer.on), hand_over(*about)
    comes = evening(course, [Judged(record, answer)], answer.on, answer.on + 14)
    told = {
        "why": text_of(why_sections, p, full=True),
        "skill": text_of(skill_sections, p, course.skills[0].id, full=True),
        "plan": text_of(plan_sections, plan_lesson(*about), p, full=True),
        "sheet": text_of(sheet_sections, check_sheet(*about), p, full=True),
        "handover": text_of(handover_sections, page, p, may, full=True),
        "tasks": text_of(task_list_words, p, tasks),
        "promises": text_of(promise_list_words, record, answer.on),
        "family": text_of(family_promise_words, [record], answer.on),
        "particulars": text_of(particulars_words, record, None),
        "evening": text_of(tell_evening, comes, course),
    }
    for reader in ("family", "substitute"):
        sharing = as_if_agreed(record, reader, answer.on)
        told[f"shared with {reader}"] = text_of(share_sections, sharing, p, page)
    for reader in ("student", "family", "school"):
        told[f"to {reader}"] = " ".join(letter(reader, answer, course, record).sentences)
    big_day = prepare(*about, Event("A day", answer.on + ahead, answer.on + ahead))
    told["season"] = text_of(season_sections, big_day, p, full=True)
    told["back"] = text_of(back_sections, breaks(*about), p, full=True)
    found = review(course, record, answer.on, ahead + 1)
    told["review"] = text_of(review_sections, found, breaks(*about), course, record, full=True)
    told["when"] = text_of(when_sections, estimates(course, [record], record, answer), p, full=True)
    for name, told_so in told.items():
        text = " ".join(told_so.split())
        assert not TWICE.findall(text), (name, told_so)
        assert not NOTHING.findall(text), (name, told_so)
        assert max(map(text.count, (GENTLY, 'come first: "'))) <= 1, (name, told_so)
