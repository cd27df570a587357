"""What rests for another course, or rested until lately, is spared in the same way in every text.

Only a pause of this course lets nobody play; one of another course rests its part, and other work goes on.
"""

from __future__ import annotations

import re
from dataclasses import replace

from drawn import questions
from hypothesis import given
from hypothesis import strategies as st
from told import text_of

from readiness.advice.after_break import kept_from_home, tender_skills
from readiness.advice.handover import hand_over, pair_up
from readiness.advice.lesson import plan_lesson
from readiness.advice.review import breaks, prepare, review
from readiness.advice.sheet import check_sheet
from readiness.advice.skill_traits import resting_skills
from readiness.judging.engine import judge
from readiness.pages.pocket import visits
from readiness.record.consents import as_if_agreed
from readiness.record.model import Hold
from readiness.record.rhythm import Event
from readiness.school.students import Judged
from readiness.testing import Asked
from readiness.words.ahead import back_sections, review_sections, season_sections
from readiness.words.lesson import pair_sections, plan_sections, sheet_sections
from readiness.words.letters import letter
from readiness.words.phrases import SOFTLY, Phrases
from readiness.words.share import handover_sections
from readiness.words.why import why_sections

made_up = questions(most_units=3, most_skills=12)

NEVER = {
    "voice": re.compile(r"\b(?:songs?|sing\w*|hum\w*|whisper\w*|aloud|says it)\b", re.IGNORECASE),
    "hand": re.compile(r"\b(?:clap\w*|tap\w*|free playing|playing whatever)\b", re.IGNORECASE),
}
"""What no text may propose while a part rests; common practice, no source."""
WAYS = re.compile(rf"(.*?)\. (A few good turns each\.|See each once\.|{re.escape(SOFTLY)}) ?")
"""Names of the lesson of a substitute, and how they are done."""
NOTICES = re.compile(r"Here too: no [^.]*\.|Rest the voice: no [^.;]*|Nothing of rhythm, ear or singing fits")


def resting(asked: Asked, part: str) -> Asked:
    """Return the question of a student whose other course is paused; each skill can be tried in many ways."""
    uses = "hand" if part == "voice" else "voice"
    ways = {"remedies": ("Hum it.", "Clap it.", "Whisper it.", "Look at it."), "for_two": (1, 2, 4)}
    skills = tuple(replace(one, uses=(uses,), at_home=(1, 2, 4), **ways) for one in asked.course.skills)
    strands = tuple(replace(one, shared=True) for one in asked.course.strands)
    course = replace(asked.course, skills=skills, strands=strands, uses=uses)
    hold = Hold(asked.answer.on, "sore", part, line=1)
    record, whole = asked.record, replace(asked.record, holds=(*asked.record.holds, hold))
    record = replace(record, whole=whole, elsewhere=frozenset({part}))
    return replace(asked, course=course, record=record)


def told(asked: Asked, ahead: int = 9) -> dict[str, str]:
    """Return what is said of a student, each text as one line without the notice of what rests."""
    course, record, day = asked.course, asked.record, asked.answer.on
    answer = judge(course, record, day, asked.answer.calendar)
    about, p = (course, record, answer), Phrases(answer, course, record)
    event, away = Event("A day", day + ahead, day + ahead), Event("Off", day + ahead, day + ahead + 40)
    page, sharing = hand_over(*about), as_if_agreed(record, "substitute", day)
    both = pair_up(course, ((record, answer), (record, answer)))
    texts = {
        "why": text_of(why_sections, p, full=True),
        "plan": text_of(plan_sections, plan_lesson(*about), p),
        "sheet": text_of(sheet_sections, check_sheet(*about), p),
        "season": text_of(season_sections, prepare(*about, event), p, full=True),
        "before a break": text_of(season_sections, prepare(*about, away), p, full=True),
        "back": text_of(back_sections, breaks(*about), p),
        "review": text_of(review_sections, review(course, record, day), breaks(*about), course, record),
        "handover": text_of(handover_sections, page, p, sharing),
        "together": text_of(pair_sections, both, ("A", "B"), day, course),
        "family": " ".join(letter("family", answer, course, record).sentences),
        "student": " ".join(letter("student", answer, course, record).sentences),
    }
    return {name: NOTICES.sub("", " ".join(text.split())) for name, text in texts.items()}


@given(made_up, st.sampled_from(["voice", "hand"]), st.integers(1, 60))
def test_no_text_proposes_what_rests_for_another_course(asked: Asked, part: str, ahead: int) -> None:
    if any(hold.is_open(asked.answer.on) for hold in asked.record.holds):
        return  # then nothing is played or sung, which another law holds
    for name, text in told(resting(asked, part), ahead).items():
        assert not NEVER[part].search(text), name


@given(made_up, st.sampled_from(["voice", "hand"]))
def test_the_page_for_the_pocket_asks_for_nothing_that_rests(asked: Asked, part: str) -> None:
    one = resting(asked, part)
    skills = [replace(each, uses=((part,), ())[at % 2]) for at, each in enumerate(one.course.skills)]
    course, day = replace(one.course, skills=tuple(skills)), one.answer.on
    answer = judge(course, one.record, day, one.answer.calendar)
    rests = resting_skills(course, one.record, day)
    for visit in visits(course, [Judged(one.record, answer)], day + 7):
        assert not rests & {*visit.looks, visit.student.answer.one_thing}


@given(made_up, st.sampled_from(["voice", "hand", ""]), st.booleans())
def test_two_play_unless_this_course_is_paused_for_one_of_them(one: Asked, part: str, is_sore: bool) -> None:
    plain, one = one, resting(one, part or "voice")
    one = one if part else replace(one, record=plain.record)
    day, course = one.answer.on, one.course
    holds = (Hold(day, "sore", "all"),) if is_sore else ()
    other = replace(one.record, id="other", holds=holds, whole=None, elsewhere=frozenset())
    both = [(record, judge(course, record, day)) for record in (one.record, other)]
    pair = pair_up(course, both)
    text = " ".join(text_of(pair_sections, pair, ("A", "B"), day, course).split())
    is_paused = any(answer.verdict == "paused" for _, answer in both)
    assert pair.paused == ("nobody plays" in text) == ("No playing tasks" in text) == is_paused
    assert (f"the {part} rests" in text) == bool(part and not is_paused)
    for activity in (*pair.grow, *pair.known):
        skill = course.skill[activity.skill]
        assert not {*skill.uses} & {*pair.rests} or (is_paused and skill.quiet)


@given(made_up, st.sampled_from(["hand", "voice", "all"]), st.integers(0, 27), st.booleans())
def test_what_rested_until_lately_begins_softly_in_every_text(
    asked: Asked, part: str, ago: int, may: bool
) -> None:
    day, course = asked.answer.on, asked.course
    skills = tuple(
        replace(one, uses=(("hand",), ("voice",), ())[at % 3]) for at, one in enumerate(course.skills)
    )
    course = replace(course, skills=skills)
    closed = Hold(day - ago - 9, "sore", part, day - ago, "her mother", "well again")
    record = replace(asked.record, holds=(closed,))
    answer = judge(course, record, day, asked.answer.calendar)
    p, plan, page = Phrases(answer, course, record), plan_lesson(course, record, answer), None
    tender = {one for one in tender_skills(course, record, day) if not course.skill[one].quiet}
    work = [skill for block in plan.blocks if block.part in ("review", "new") for skill in block.skills]
    lines = text_of(plan_sections, plan, p, width=900).splitlines()
    for skill in work:
        mine = [line for line in lines if f"  {p.plain_name(skill)}: " in line]
        assert mine
        assert all((SOFTLY in line) == (skill in tender) for line in mine)
    sheet = text_of(sheet_sections, check_sheet(course, record, answer), p, width=2000)
    own = re.search(r"A piece of their own choice[^.\n]*", sheet)
    assert own is None or (", softly" in own[0]) == bool(p.tender)
    page, sharing = hand_over(course, record, answer), as_if_agreed(record, "substitute", day)
    sharing = sharing if may else replace(sharing, sees=())
    text = text_of(handover_sections, page, p, sharing, width=2000)
    lesson = text.partition("\nThe lesson")[2].partition("Do not start")[0]
    assert ("Make music, softly" in lesson) == ("Music, softly" in "".join(lines)) or not may
    named = {p.plain_name(skill): skill in tender for skill in work}
    for line in lesson.splitlines():
        for names, way in WAYS.findall(line) if may else ():
            for name in re.sub(r"^ *\d+ min +", "", names).split("; "):
                assert named[re.sub(r" \((?:last|taken) [^()]*\)$", "", name)] == (way == SOFTLY), name
    home = text_of(season_sections, prepare(course, record, answer, Event("Off", day + 9, day + 50)), p)
    at_home = home.partition(" at home, before")[2].partition("\n\n")[0]
    kept = kept_from_home(course, record, day) | tender
    assert not [skill for skill in kept if f"- {p.plain_name(skill)}\n" in at_home]
