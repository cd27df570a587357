"""What one text says of a student on a day, no other text says otherwise.

Compared are sentences as they are printed, where each command puts its own together; the values behind them
are compared in ``test_said_alike``.
"""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date, timedelta

from drawn import situations
from hypothesis import given
from hypothesis import strategies as st
from laws.asking import settled_beforehand
from told import text_of

from readiness.advice.after_break import after_break, pain_noted, tasks_now
from readiness.advice.handover import hand_over, pair_up
from readiness.advice.lesson import plan_lesson
from readiness.advice.letter import good_things, home_thing
from readiness.advice.placing_round import placing_round
from readiness.advice.plan import holidays_before
from readiness.advice.review import breaks, prepare, review
from readiness.advice.sheet import check_sheet
from readiness.judging.engine import judge
from readiness.judging.history import known_on
from readiness.record.consents import as_if_agreed
from readiness.record.model import Decision, Task
from readiness.record.rhythm import Event
from readiness.school.evening import evening
from readiness.school.students import Judged, look
from readiness.testing import Asked, Situation, ask
from readiness.words.ahead import back_sections, review_sections, season_sections, when_sections
from readiness.words.english import VERDICT_BRIEF
from readiness.words.grammar import date_words
from readiness.words.layout import Paragraph
from readiness.words.lesson import pair_sections, plan_sections, sheet_sections
from readiness.words.letters import READERS, letter
from readiness.words.lists import roster_words, tell_evening
from readiness.words.phrases import Phrases, passed_over
from readiness.words.placing_round import round_sections
from readiness.words.reasons import skill_sections
from readiness.words.share import handover_sections
from readiness.words.why import why_sections

made_up = situations(most_units=3, most_skills=12)


def before_a_birthday(one: Situation) -> Situation:
    """Return the student with a birthday in the next days on which the rules of another age begin."""
    bands = sorted(band["from_age"] for band in one.pacing["band"].values())
    soon = one.on + timedelta(days=3)
    born = f"{soon.year - bands[-1]}-{soon:%m}-{min(soon.day, 28):02}"
    student = {key: value for key, value in one.student.items() if key != "band_choice"}
    return replace(one, student={**student, "born": born})


@given(made_up.map(before_a_birthday).map(ask))
def test_a_birthday_before_the_next_lesson_is_said_with_the_answer_by_then(asked: Asked) -> None:
    answer, lesson = asked.answer, asked.answer.next_lesson
    then = None if lesson is None else judge(asked.course, asked.record, lesson, asked.calendar)
    if then is None or answer.unit is None or answer.verdict == "paused":
        return
    told = f"by then the rules of age {then.band} are used, and with nothing new noted the answer is: "
    told += f"{VERDICT_BRIEF[then.verdict]}."
    texts = pages(asked)
    assert all((told in texts[name]) == (then.band != answer.band) for name in ("why", "plan")), told
    for row in look(asked.course, [Judged(asked.record, answer)]):
        assert row.by_birthday == (None if then.band == answer.band else then.verdict)


def not_placed(one: Situation) -> Situation:
    """Return a student with the same lessons, for whom no unit was ever begun."""
    return replace(one, student={key: value for key, value in one.student.items() if key != "unit_start"})


def pages(asked: Asked, *, full: bool = False) -> dict[str, str]:
    """Return what the commands about one student say, each as one line."""
    about = asked.course, asked.record, asked.answer
    p = Phrases(asked.answer, asked.course, asked.record)
    told = {
        "why": text_of(why_sections, p, full=full),
        "plan": text_of(plan_sections, plan_lesson(*about), p, full=full),
        "sheet": text_of(sheet_sections, check_sheet(*about), p, full=full),
        "when": text_of(when_sections, (), p, full=full),
    }
    return {name: " ".join(text.split()) for name, text in told.items()}


@given(made_up.map(not_placed).map(ask))
def test_what_is_left_to_do_for_a_starting_unit_is_the_same_in_every_text(asked: Asked) -> None:
    answer = asked.answer
    if answer.verdict == "paused":
        return
    now = placing_round(asked.course, asked.record, answer.on)
    p = Phrases(answer, asked.course, asked.record)
    begin, look = f"`readiness decide {answer.student} move`", f"`readiness place {answer.student}`"
    place = " ".join(text_of(round_sections, now, p).split())
    assert now.is_over == (now.next is None and "Enough for today" not in place)
    assert (begin in place) == now.may_begin == (now.is_over or (now.is_clear and bool(now.looks)
                                                                 and not now.seat_unseen))  # fmt: skip
    for name, text in pages(asked).items():
        assert (begin in text) == (now.is_over if name == "sheet" else now.may_begin), name
        assert (look in text) == (not now.is_over and name != "sheet"), name  # a sheet has the looks itself
    child = " ".join(letter("child", answer, asked.course, asked.record).sentences)
    assert not (now.is_over and "we try a few more things" in child)


@given(made_up.map(ask))
def test_no_letter_names_a_lesson_day_that_nothing_says(asked: Asked) -> None:
    """Where no lesson was ever noted or planned and no rhythm is set, the day asked about is a mere guess."""
    about = asked.answer, asked.course, asked.record
    is_known = asked.calendar.rhythm or asked.record.rhythm or asked.answer.last_lesson
    is_known = is_known or any(day >= asked.answer.on for day in asked.calendar.planned)
    for reader in ("child", "family", "school"):
        if not is_known:
            assert asked.answer.next_lesson not in letter(reader, *about).days, reader


@given(made_up.map(ask), st.integers(1, 60), st.integers(0, 40))
def test_holidays_are_the_same_in_the_plan_and_in_the_letter(asked: Asked, ahead: int, length: int) -> None:
    """They are named by their own first day, wherever the last lesson before them is."""
    first = asked.answer.on + ahead
    away = Event("Winter", first, first + length, is_stretch=True)
    calendar = replace(asked.calendar, events=(away,))
    answer = judge(asked.course, asked.record, asked.answer.on, calendar)
    plan = plan_lesson(asked.course, asked.record, answer)
    if plan.season is not None and answer.next_lesson < first and not calendar.planned:
        assert (plan.season.name, plan.season.first) == ("Winter", first)
    told = " ".join(letter("family", answer, asked.course, asked.record).sentences)
    moved = holidays_before(asked.record, answer) is not None
    simply = judge(asked.course, asked.record, asked.answer.on, replace(calendar, events=())).next_lesson
    assert ("after the holidays" in told) <= moved == (simply != answer.next_lesson)


def spoken(one: Situation) -> Situation:
    """Return a student with a remark on the last skill of the course, and a note, in the last lesson."""
    course = ask(one).course
    lessons = [*one.student.get("lesson", ()), {"on": one.on, "note": "Ow."}]
    lessons[-1]["remarks"] = {course.skills[-1].id: "Liked it."}
    return replace(one, student={**one.student, "lesson": lessons})


@given(made_up.map(spoken).map(ask))
def test_what_words_tell_of_or_what_is_probably_there_is_nowhere_said_to_be_unknown(asked: Asked) -> None:
    p = Phrases(asked.answer, asked.course, asked.record)
    plan = plan_lesson(asked.course, asked.record, asked.answer)
    pain = [skill.id for skill in asked.course.skills if skill.asks_pain]
    for skill in {*plan.presumed, asked.course.skills[-1].id, *pain[:1]}:
        assert "not asked yet" not in p.state(skill)
        assert "Not asked yet" not in text_of(skill_sections, p, skill, full=True)
    told = pages(asked, full=True)["why"]
    for skill in plan.presumed:
        assert f"({skill}): not asked yet" not in told
    unknown = told.partition("Not asked yet in earlier units, and not needed now: ")[2].partition(".")[0]
    assert not {p.plain_name(skill) for skill in {*plan.presumed, asked.answer.one_thing} - {None}} & {
        *unknown.split("; ")
    }


@given(made_up.map(ask))
def test_the_one_thing_is_among_what_is_needed_or_it_is_said_what_builds_on_it(asked: Asked) -> None:
    answer, p = asked.answer, Phrases(asked.answer, asked.course, asked.record)
    if answer.one_thing is None or answer.unit is None:
        return
    groups = [member for one in answer.blockers if one.group for member in one.group.of]
    listed = {one.skill for one in answer.blockers} | {*answer.open_rest, *groups}
    listed |= {*[one.skill for one in answer.brought_along if one.skill not in listed][:2]}
    over = f"{p.name(answer.one_thing)}, which {p.name(answer.chain[-1])} builds on" if answer.chain else ""
    told = pages(asked)["why"]
    assert answer.one_thing in listed or over in told or answer.look_first == (answer.one_thing,)
    assert p.plain_name(answer.one_thing) in told
    rows = told.partition("Still needed")[2]
    if answer.one_thing in {one.skill for one in answer.blockers}:
        names = [p.plain_name(one.skill) for one in answer.blockers if one.skill]
        assert min(filter(rows.count, names), key=rows.index) == p.plain_name(answer.one_thing)


@given(made_up.map(ask))
def test_what_is_secure_until_the_next_lesson_is_never_told_as_if_it_were_not(asked: Asked) -> None:
    """Asked on the last day on which something needed is seen lately: by the next lesson it is not."""
    about, now = (asked.course, asked.record), asked.answer.standings
    fresh = [now[one].fresh_until for one in asked.answer.deciding if now[one].state == "secure"]
    answer = judge(*about, min((day for day in fresh if day), default=asked.answer.on), asked.calendar)
    told = " ".join(text_of(why_sections, Phrases(answer, *about), full=True).split())
    skills = dict.fromkeys((*answer.look_first, *[one for one in (answer.one_thing,) if one]))
    until = [answer.standings[one].fresh_until for one in skills if answer.standings[one].state == "secure"]
    is_said = not answer.is_ready and any(day < (answer.next_lesson or 0) for day in until if day)
    assert ("Secure today, but not seen lately by then" in told) == is_said


@given(made_up.map(ask))
def test_what_is_unfinished_from_before_has_minutes_or_the_plan_says_why_not(asked: Asked) -> None:
    """Named in every answer (rule R12), it is either in the lesson or held back by something that is told."""
    answer = asked.answer
    plan = plan_lesson(asked.course, asked.record, answer)
    if plan.is_paused or answer.unit is None:
        return
    there = {skill for block in plan.blocks for skill in block.skills}
    left = {one.skill: one for one in plan.from_before}
    for before in answer.brought_along:
        assert (before.skill in left) != (before.skill in there)
    for one in left.values():
        assert one.why != "footing" or answer.standings[one.by].state not in ("secure", "set-aside")
        if one.why == "no-room":  # then no minutes go to what is there already, and not listed as due
            kept = (block for block in plan.blocks if block.why in ("keep-warm", "fading"))
            assert all({*block.skills} & {*plan.looks} for block in kept)


@given(made_up.map(ask), st.sampled_from(["", "wrist sore"]), st.booleans())
def test_where_a_note_or_a_report_may_speak_of_pain_every_text_asks_first(
    asked: Asked, words: str, is_reported: bool
) -> None:
    day, course = asked.answer.on, asked.course
    last = max((one.on for one in asked.record.lessons if one.on <= day), default=None)
    note = "" if is_reported else words
    lessons = tuple(replace(one, note=note) if one.on == last else one for one in asked.record.lessons)
    reports = [] if last is None or not is_reported else [Task(last, course.plan.ids[0], "", 0, 0, 3, words)]
    record = replace(asked.record, holds=(), lessons=lessons, tasks=tuple(reports), promises=())
    answer = judge(course, record, day, asked.answer.calendar)
    hurts, one = bool(pain_noted(record, day)), Judged(record, answer)
    assert hurts == (bool(words) and last is not None)
    told = pages(replace(asked, record=record, answer=answer))
    told["together"] = text_of(pair_sections, pair_up(course, ((record, answer),) * 2), "ab", day, course)
    for name, text in told.items():
        assert ("Ask first how it is today." in " ".join(text.split())) == hurts, name
    told = {reader: " ".join(letter(reader, answer, course, record).sentences) for reader in READERS}
    child = "Playing can wait until a grown-up has asked how you are."
    begins = ("something that may hurt", "something that hurts")[is_reported]
    assert (begins in told["family"] or child in told["student"]) <= hurts
    assert any(begin in told["student"] for begin in (child, begins)) == hurts
    assert [row.ask_first for row in look(course, [one])] == [hurts] * (answer.verdict == "look-again")
    assert all(row.ask_first == hurts for row in evening(course, [one], day, day + 30).comes)
    blocks = plan_lesson(course, record, answer).blocks
    home = {skill for block in blocks if block.part == "home" for skill in block.skills}
    home |= {task.for_skill for task in tasks_now(course, record, day)}
    assert not hurts or all(course.skill[skill].quiet for skill in home)
    assert not hurts or home_thing(course, record, answer) is None


@given(made_up.map(ask))
def test_the_first_lesson_back_is_the_same_lesson_wherever_it_is_named(asked: Asked) -> None:
    answer, p = asked.answer, Phrases(asked.answer, asked.course, asked.record)
    if answer.away != "first-lesson-back":
        return
    days = sorted({one.on for one in asked.record.lessons if one.on <= answer.on})
    assert days[-1] - days[-2] == answer.away_days
    back = after_break(asked.course, asked.record, answer)
    texts = {
        "why": pages(asked)["why"],
        "back": text_of(back_sections, (back, None), p),
        "decide": passed_over(asked.course, asked.record, answer.on),
    }
    day = date_words(days[-1], answer.on)
    for name, text in texts.items():
        is_today = days[-1] == answer.on and name != "decide"
        told = "This is the first lesson back" if is_today else f"First lesson back on {day}"
        assert told in " ".join(text.split()), name


events = st.tuples(st.integers(1, 60), st.sampled_from((0, 0, 6, 16, 20, 40)))


@given(made_up.map(ask), st.integers(1, 60))
def test_before_an_event_the_review_minutes_are_those_of_the_plan(asked: Asked, ahead: int) -> None:
    """They are shared out only where something is to be reviewed for it, and soon."""
    about, first = (asked.course, asked.record, asked.answer), asked.answer.on + ahead
    found = prepare(*about, Event("A day", first, first))
    told = " ".join(text_of(season_sections, found, Phrases(asked.answer, *about[:2])).split())
    minutes = re.search(r"of the (\d+) review minutes", told)
    sums = re.search(r"(\d+) review", pages(asked, full=True)["plan"])
    assert not minutes or (sums and sums[1] == minutes[1])
    is_near = asked.answer.next_lesson is not None and asked.answer.next_lesson < first
    assert bool(minutes) == bool(sums and is_near and found.review and "a long way off" not in told)


@given(made_up.map(ask), events)
def test_before_an_event_new_things_start_in_the_lessons_in_which_the_plan_starts_some(
    asked: Asked, when: tuple[int, int]
) -> None:
    """Also where the next lesson is the first of all, or the first after a break or a pause."""
    course, record, on = asked.course, asked.record, asked.answer.on
    first = on + when[0]
    event = Event("Away", first, first + when[1], is_stretch=when[1] > 0)
    calendar = replace(asked.calendar, events=(event,))
    answer = judge(course, record, on, calendar)
    found, plan = prepare(course, record, answer, event), plan_lesson(course, record, answer)
    told = " ".join(text_of(season_sections, found, Phrases(answer, course, record)).split())
    if answer.verdict == "paused" or answer.placing is not None:
        return
    starts = plan.season is None and not plan.is_first and not plan.is_first_back
    assert (answer.next_lesson in found.for_new) == (starts and answer.next_lesson in found.lessons)
    assert starts or not plan.begun
    assert "start new things as usual" not in told or (starts and not plan.lately)
    assert (f"until {date_words(found.last_new, first)}, then" in told) == (
        bool(found.for_new) and found.kind != "holidays" and answer.is_day_known
    )
    is_back = plan.is_first_back and "Nothing new from now on" not in told
    assert ("nothing new is started" in told) == (is_back and bool(found.lessons))
    if found.back is not None:
        lessons = [{"on": date.fromordinal(day)} for day in found.lessons]
        student = asked.situation.student
        then = replace(
            asked.situation,
            student={**student, "lesson": [*student.get("lesson", ()), *lessons]},
            on=date.fromordinal(max(on, found.back.last_lesson)),
        )
        later = ask(then)
        back = judge(later.course, later.record, later.answer.on, calendar)
        assert back.band != answer.band or plan_lesson(later.course, later.record, back).is_first_back


@given(made_up.map(ask))
def test_what_why_looks_at_first_is_looked_at_before_the_plan_teaches_it(asked: Asked) -> None:
    p = Phrases(asked.answer, asked.course, asked.record)
    plan = plan_lesson(p.course, p.record, p.answer)
    lines = [one.text for one in plan_sections(plan, p) if isinstance(one, Paragraph) and one.row]
    glance = {skill for block in plan.blocks if block.part == "opening" for skill in block.skills}
    for skill in {*plan.look_first} - glance:
        told = [line for line, block in zip(lines, plan.blocks, strict=True)
                if skill in block.skills and block.part in ("review", "new")]  # fmt: skip
        assert not told or re.search("look (?:first|once), without help", told[0]), told
        taught = [block for block in plan.blocks if skill in block.skills and block.remedy is not None]
        assert not (plan.is_first_back and taught)


@given(made_up.map(ask))
def test_a_letter_asks_for_everything_only_where_why_does(asked: Asked) -> None:
    told = {reader: " ".join(letter(reader, asked.answer, asked.course, asked.record).sentences)
            for reader in ("family", "student")}  # fmt: skip
    p = Phrases(asked.answer, asked.course, asked.record)
    groups = [p.still_of(one.group) for one in asked.answer.blockers if one.group is not None]
    some = re.search(r"any \w+ of \w+ in the unit", pages(asked)["why"]) is not None
    some = some or any(still < len(of) for still, of in groups)
    for reader, text in told.items():
        assert not some or "everything we look at comes" not in text, reader
        assert some or "enough of what we look at comes" not in text, reader


@given(made_up.map(ask), st.integers(1, 60))
def test_by_a_day_and_until_a_day_are_the_last_fresh_day_in_every_text(asked: Asked, days: int) -> None:
    answer, about = asked.answer, (asked.course, asked.record, asked.answer)
    p, away = Phrases(answer, *about[:2]), breaks(*about)
    back = " ".join(text_of(back_sections, away, p).split())
    soon = " ".join(text_of(review_sections, review(*about[:2], answer.on, days), away, *about[:2]).split())
    assert ("what to look at first: `readiness back" in soon) <= ("Look first, in the next lesson" in back)
    named = re.findall(r'"([^"]*)"', soon.partition(", look first at ")[2].partition(". ")[0])
    assert {*named} <= {p.plain_name(skill) for skill in plan_lesson(*about).looks}

    def listed(days: int) -> str:
        soon = review(*about[:2], answer.on, days)
        return " ".join(text_of(review_sections, soon, away, *about[:2], full=True).split())

    if (first := re.search(r"look again at the first by ([^.;]+)", back)) and answer.verdict != "paused":
        by = min(answer.standings[skill].fresh_until for skill in away[0].kept)
        assert first[1] == date_words(by, answer.on)
        assert (f"by {first[1]}" in listed(days).partition("Look again")[2]) == (by < answer.on + days)
        assert f" to {date_words(answer.on + days - 1, answer.on)}" in listed(days)
    if answer.fades_first is not None:
        last, name = answer.holds_until, p.plain_name(answer.fades_first)
        known = known_on(*about[:2], answer.on)
        if known.band_on(asked.course, last + 1).name == answer.band:
            assert f"holds until {p.day(last)}. Then look again at" in pages(asked)["why"]
            assert f"{name}: by {p.day(last)}" in listed(last - answer.on + 1)
            assert f"{name}: by" not in listed(last - answer.on or 1) or last == answer.on
    if away[1] is not None:
        before = listed(days).partition("Before ")[2]
        for name in map(p.plain_name, away[1].skills[:2]):
            assert name in before
            assert name in back.partition(", before ")[2]


@given((made_up | made_up.map(not_placed)).map(ask), st.integers(0, 14))
def test_where_nothing_is_secure_no_plan_asks_for_what_is(asked: Asked, ahead: int) -> None:
    first = asked.answer.on + ahead
    calendar = replace(asked.calendar, events=(Event("A day", first, first),))
    answer = judge(asked.course, asked.record, asked.answer.on, calendar)
    told = pages(replace(asked, answer=answer))["plan"]
    if all(one.state != "secure" for one in answer.standings.values()):
        assert "secure" not in told.partition("0-")[0].partition("look, but")[2]
        assert "sure already" not in told


@given(made_up.map(ask), st.booleans())
def test_what_is_to_be_seen_is_never_told_as_the_help(asked: Asked, has_any: bool) -> None:
    """Where a course has no activity for somebody of this age, a smaller step is told in its place."""
    course = replace(asked.course, skills=tuple(
        replace(one, shown_when="To be seen.", remedies=("A game.",) * has_any, for_children=(1,) * has_any)
        for one in asked.course.skills
    ))  # fmt: skip
    told = text_of(why_sections, Phrases(replace(asked.answer, age=11), course, asked.record))
    assert "To be seen." not in told
    assert "A game." not in told


@given(situations(most_units=3, most_skills=12).map(ask))
def test_where_another_way_in_is_advised_the_first_activity_is_not_the_one_named(asked: Asked) -> None:
    """Rule R8 says "try another way in" of a skill that is stuck; the way tried so far is the first one."""
    answer, course = asked.answer, asked.course
    p, plan = Phrases(answer, course, asked.record), plan_lesson(course, asked.record, answer)
    for skill in {one.skill for one in answer.remarks if one.id == "stuck"}:
        known = course.skill[skill]
        fit = [i for i in range(len(known.remedies)) if answer.age < 11 or i + 1 not in known.for_children]
        if len(fit) < 2:
            continue
        tried = (block.remedy for block in plan.blocks if block.skills == (skill,))
        named = [remedy for remedy in tried if remedy is not None]
        assert fit[0] not in named[:1]
        assert p.to_try(skill)[0] == p.activity(known.remedies[fit[1]])


def with_a_break(one: Situation) -> Situation:
    """Return a student whose last lesson was the first one back."""
    lessons = [*one.student.get("lesson", ())]
    last = {**lessons[-1], "on": lessons[-1]["on"] + timedelta(days=70)} if lessons else {"on": one.on}
    return replace(one, on=max(one.on, last["on"]), student={**one.student, "lesson": [*lessons[:-1], last]})


@given((made_up | made_up.map(with_a_break)).map(ask))
def test_a_letter_says_now_and_since_the_break_of_nothing_that_was_seen_before(asked: Asked) -> None:
    """By the notes alone: those of the file that count, or the day on which it was taken as known."""
    answer, about = asked.answer, (asked.answer, asked.course, asked.record)
    seen = {
        skill: max((one.day for one in now.evidence if one.counts), default=now.settled_on or 0)
        for skill, now in answer.standings.items()
    }
    days = [seen[skill] for skill in good_things(asked.course, answer)]
    family, student = (" ".join(letter(reader, *about).sentences) for reader in ("family", "student"))
    if "Even after the weeks away" in family + student:
        assert answer.away == "first-lesson-back"
        assert all(day == answer.last_lesson for day in days)
    now = r"Even after|now (?:also )?does this|is getting on well|Going well: (?!.*last seen)"
    assert not re.search(now, f"{family} {student}") or all(day > answer.on - 28 for day in days)
    if "When we last looked" in family:
        assert all(day <= answer.on - 28 for day in days)
    if "Before the break" in family and answer.away == "first-lesson-back":
        assert all(day < answer.last_lesson for day in days)
    if answer.away == "first-lesson-back" and any(
        note.counts and note.day == answer.last_lesson and one.state in ("secure", "building")
        and skill != answer.one_thing
        for skill, one in answer.standings.items() for note in one.evidence
    ):  # fmt: skip
        assert days[0] == answer.last_lesson


@given(made_up.map(settled_beforehand).map(ask))
def test_a_decision_to_stay_stands_with_the_verdict_wherever_that_is_said(asked: Asked) -> None:
    course, answer = asked.course, asked.answer
    if not answer.is_ready or answer.unit is None or answer.closed is not None:
        return
    stays = Decision(answer.on, answer.unit, answer.verdict, "stay")
    record = replace(asked.record, decisions=(*asked.record.decisions, stays), whole=None)
    answer = judge(course, record, answer.on, answer.calendar)
    found = evening(course, [Judged(record, answer)], answer.on, answer.on + 30)
    told = text_of(tell_evening, found, course, full=True)
    assert " ".join(told.split()).count("you decided to stay") == len(found.comes)
    told = pages(replace(asked, record=record, answer=answer))["why"], text_of(roster_words, [answer], course)
    assert all("you decided to stay" in " ".join(text.split()) for text in told)


@given(made_up.map(ask))
def test_what_is_needed_stands_under_its_heading_and_no_heading_over_nothing(asked: Asked) -> None:
    p = Phrases(asked.answer, asked.course, asked.record)
    told = text_of(why_sections, p, full=False)
    is_needed = bool(asked.answer.blockers) or p.too_much_open
    is_asked = asked.answer.verdict in ("not-yet", "look-again")
    assert ("\nStill needed " in told) == (is_asked and is_needed)


@given(made_up.map(ask))
def test_the_page_for_a_substitute_is_for_the_lesson_of_the_plan(asked: Asked) -> None:
    about = asked.course, asked.record, asked.answer
    p = Phrases(asked.answer, asked.course, asked.record)
    sharing = as_if_agreed(asked.record, "substitute", asked.answer.on)
    page = text_of(handover_sections, hand_over(*about), p, sharing, width=400)
    plan = text_of(plan_sections, plan_lesson(*about), p, width=400)
    day = date_words(asked.answer.lesson_told)
    assert page.splitlines()[0].endswith(day)
    assert day.removesuffix(f" {date.fromordinal(asked.answer.on).year}") in plan.splitlines()[0]
