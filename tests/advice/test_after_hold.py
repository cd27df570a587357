"""The first weeks after a hold: what rested begins gently, in the plan, at home and in what is said."""

from __future__ import annotations

from dataclasses import replace

import pytest
from told import page_of, text_of

from readiness.advice.after_break import UNPLAYED, closed_lately, is_unhurt, tender_skills
from readiness.advice.handover import hand_over, pair_up
from readiness.advice.lesson import plan_lesson
from readiness.advice.lesson_work import SHORT_ENOUGH
from readiness.advice.letter import home_thing
from readiness.advice.placing_crowd import ASSUMED
from readiness.advice.placing_round import PlacingLooks, looks_ahead, placing_round
from readiness.advice.sheet import check_sheet
from readiness.days import day_number
from readiness.judging import judge
from readiness.judging.history import known_on
from readiness.record.consents import as_if_agreed
from readiness.record.model import Decision, Hold, Task, UnitStart, mentions_pain
from readiness.school.students import Judged, due
from readiness.words.entries import decided_words, decision_question
from readiness.words.layout import lay_out
from readiness.words.lesson import pair_sections, plan_sections
from readiness.words.letters import letter, letter_words
from readiness.words.phrases import Phrases
from readiness.words.share import handover_sections
from readiness.words.why import tell_answer

DAY = day_number("2025-12-02")
WORDS = "ten minutes a day first, says the doctor"
STUDENTS = ("temwa", "chikondi", "noemi", "bogdan")


def flat(text):
    return " ".join(text.split())


@pytest.fixture
def back(records):
    """Return a function that gives a student whose hold was closed on some day."""

    def student(name, closed=DAY, part="hand"):
        hold = Hold(closed - 14, "wrist sore", part, closed, "her mother", WORDS, line=3)
        return replace(records[name], holds=(hold,), tasks=())

    return student


def test_the_weeks_after_are_counted_from_the_closing(back, course):
    assert closed_lately(course, back("temwa", DAY - 27), DAY)
    assert not closed_lately(course, back("temwa", DAY - 28), DAY)
    assert not closed_lately(course, back("temwa", DAY + 1), DAY)


def test_weeks_without_a_lesson_do_not_end_it(back, course):
    """Two lessons with playing come first (rule R7), however long that takes."""
    record = back("temwa", DAY - 60)
    for lessons, lasts in ((0, True), (1, True), (2, False)):
        last = tuple(one for one in record.lessons if one.on > DAY - 60)[:lessons]
        rested = replace(record, lessons=last)
        assert bool(closed_lately(course, rested, DAY)) is lasts
        assert bool(judge(course, rested, DAY).after_hold) is lasts


def test_what_works_the_hand_by_hand(back, course):
    """Read from graph.toml by hand."""
    hand = tender_skills(course, back("temwa"), DAY)
    assert {"wrist-lift", "echo-clap-four", "white-key-piece"} <= hand
    assert not {"feet-supported", "tells-when-it-hurts", "high-low-sound", "letters-forward"} & hand
    voice = tender_skills(course, back("temwa", part="voice"), DAY)
    assert "sings-up-down" in voice
    assert "wrist-lift" not in voice
    assert hand | voice <= tender_skills(course, back("temwa", part="all"), DAY)


@pytest.mark.parametrize("name", STUDENTS)
def test_turns_are_half_as_long_and_no_home_task_works_what_rested(name, back, records, course):
    record = back(name)
    answer = judge(course, record, DAY)
    tender = tender_skills(course, record, DAY)
    plan = plan_lesson(course, record, answer)
    usual = course.band[answer.band].whole("activity_minutes")
    assert max(block.minutes for block in plan.blocks) <= max(-(-usual // 2), min(usual, SHORT_ENOUGH))
    for block in plan.blocks:
        if block.part == "home":
            assert not tender & set(block.skills)
    told = flat(page_of(plan_sections, plan, answer, course, record))
    assert f'The words of the adult who ended the pause come first: "{WORDS}" (her mother' in told
    assert "The minutes below do not take these words into account: shorten them to what was said." in told
    played = {skill.id for skill in course.skills if not skill.quiet}
    first = [block.skills[0] for block in plan.blocks if block.part in ("new", "review")]
    softly = "turn or two, softly, then rest. Stop at the first sign of soreness."
    assert told.count(softly) == sum(skill in tender & played for skill in first)
    assert "go on" not in flat(page_of(plan_sections, plan, answer, course, record, full=True))
    plain = plan_lesson(course, records[name], judge(course, records[name], DAY))
    assert sum(block.minutes for block in plan.blocks) == sum(block.minutes for block in plain.blocks)


@pytest.mark.parametrize("name", STUDENTS)
def test_nothing_new_is_begun_for_what_rested_and_half_of_the_music_is_quiet(name, back, course):
    record = back(name)
    answer = judge(course, record, DAY)
    plan = plan_lesson(course, record, answer)
    assert not {skill for block in plan.blocks if block.begins for skill in block.skills} & tender_skills(
        course, record, DAY
    )
    quiet = sum(block.minutes for block in plan.blocks if block.part in UNPLAYED)
    music = sum(block.minutes for block in plan.blocks if block.part == "music")
    longest = max((block.minutes for block in plan.blocks if block.part == "music"), default=0)
    assert music - longest <= quiet
    page = hand_over(course, record, answer)
    assert sum(block.minutes for block in page.blocks) == page.minutes
    told = {block.part: block.minutes for block in page.blocks}
    assert told.get("music", 0) == music
    assert max(block.longest for block in page.blocks) == max(block.minutes for block in plan.blocks)


@pytest.fixture
def unplaced(back):
    """Return a function that gives a student who began no unit, with a hold closed on some day."""
    return lambda name, **when: replace(back(name, **when), unit_starts=(), settled=(), placings=())


@pytest.mark.parametrize("name", STUDENTS)
def test_who_is_not_placed_is_asked_for_half_as_much_and_for_what_rested_last(name, unplaced, course):
    """Placing is no reason to hurry: few looks, easy ones first; common practice, no source."""
    soon, later = unplaced(name), replace(unplaced(name), holds=())
    sheets = [check_sheet(course, record, judge(course, record, DAY)) for record in (soon, later)]
    few, many = ([i.skills[0] for i in one.items if i.why in ("patch", "probe")] for one in sheets)
    assert 0 < len(few) == -(-len(many) // 2)
    works = [skill in tender_skills(course, soon, DAY) for skill in few]
    assert works == sorted(works)
    assert placing_round(course, soon, DAY).room < placing_round(course, later, DAY).room
    blocks = plan_lesson(course, soon, judge(course, soon, DAY)).blocks
    assert {block.skills[0] for block in blocks if block.why == "placing"} == {*few}
    unplayed, played = (
        sum(block.minutes for block in blocks if block.part in parts) for parts in (UNPLAYED, ("music",))
    )
    assert 0 < played <= unplayed


def test_the_looks_after_a_hold_are_likely_to_come_out_well(unplaced, course):
    for name in STUDENTS:
        record = unplaced(name)
        on_paper = looks_ahead(course, record, DAY, 4)
        now = PlacingLooks(course, record, known_on(course, record, DAY), frozenset(), ())
        likely = {i: now.belief.shows(i, now.belief.parts) for i in map(course.plan.index.get, on_paper)}
        assert min(likely.values()) >= ASSUMED.first_at_least - 0.01


def test_on_the_day_of_closing_nobody_is_ready_and_nothing_is_nearer(back, records, course):
    """What was played under the hold does not count, and two lessons with playing come first (R1a, R7)."""
    for name in STUDENTS:
        now, before = judge(course, back(name), DAY), judge(course, records[name], DAY)
        assert not now.is_ready
        assert all(now.standings[skill].have <= one.have for skill, one in before.standings.items())


def test_only_a_task_given_since_stays_a_task_for_home(back, course):
    record = back("chikondi")
    answer = judge(course, record, DAY)
    assert home_thing(course, replace(record, holds=()), answer) is not None
    assert home_thing(course, record, answer) is None
    for given, stays in ((DAY, True), (DAY - 1, False)):
        task = Task(given, "wrist-lift", "float the wrist", 1, 3, line=9)
        with_task = replace(record, tasks=(task,))
        found = home_thing(course, with_task, answer)
        assert (found is not None and found.text == "float the wrist") is stays


@pytest.mark.parametrize("name", STUDENTS)
def test_the_letters_say_small_amounts_stop_and_ask(name, back, course):
    record = back(name)
    answer = judge(course, record, DAY)
    family = flat(
        text_of(letter_words, letter("child" if name == "bogdan" else "family", answer, course, record))
    )
    assert "keep to small amounts" in family
    assert "If anything hurts, stop and ask a doctor or another licensed clinician" in family
    assert WORDS in family
    assert "minutes a day" not in family.replace(WORDS, "")
    assert "minute a day" not in family.replace(WORDS, "")
    assert "her mother" not in family
    child = flat(text_of(letter_words, letter("child", answer, course, record)))
    assert "if anything hurts" in child.lower()


def test_a_substitute_hears_how_to_begin_and_not_what_hurt(back, course):
    record = back("temwa")
    answer = judge(course, record, DAY)
    page = hand_over(course, record, answer)
    said, sharing = Phrases(answer, course, record), as_if_agreed(record, "substitute", DAY)
    told = flat(lay_out(handover_sections(page, said, sharing), 80, full=False))
    assert "Paused until 2 December" in told
    assert "If anything hurts, stop at once" in told
    assert WORDS in told
    for private in ("her mother", "wrist sore", "`readiness pause", "(hand)"):
        assert private not in told


def test_a_task_given_before_the_hold_is_not_told_as_one_of_now(back, course):
    """What is practised after a hold is what was given since; common practice, no source."""
    record = back("temwa")
    closed = max(hold.closed for hold in record.holds if hold.closed)
    skill = min(tender_skills(course, record, DAY))
    old, new = (Task(day, skill, "Play it softly", 5, 4) for day in (closed - 1, closed))
    for tasks, told in (((old,), None), ((old, new), new)):
        page = hand_over(course, replace(record, tasks=tasks), judge(course, record, DAY))
        assert page.task == told


def test_two_begin_gently_where_one_of_them_comes_back(back, records, course):
    pairs = []
    for first in (back("temwa"), replace(back("temwa"), holds=())):
        both = [(record, judge(course, record, DAY)) for record in (first, records["chikondi"])]
        pairs.append(pair_up(course, both))
    soon, usual = pairs
    assert soon.minutes == -(-usual.minutes // 2)
    tender = tender_skills(course, back("temwa"), DAY)
    new = {skill for _, answer in both for skill, one in answer.standings.items() if one.state == "untried"}
    assert not {one.skill for one in soon.grow} & tender & new
    told = [flat(text_of(pair_sections, pair, ("Temwa", "Chikondi"), DAY, course)) for pair in pairs]
    assert ["Stop at the first sign of soreness." in one for one in told] == [True, False]
    assert WORDS not in told[0]


@pytest.mark.parametrize(
    ("words", "speak"),
    [
        *((one, True) for one in (
            "pins and needles in fingers", "wears a bandage on her thumb", "wrist tired, shakes it out",
            "numbness in the left hand", "fingers tingling", "arms get a bit tired", "tired hands",
            "thumb swollen", "weakness in the right hand", "stiff neck", "cramps",
            "le duele", "left wrist sore", "says ow", "broken thumb", "an achy shoulder",
            "hand felt weak", "weak grip", "cannot feel her fingers", "can't feel it", "hand shook",
            "hands were shaking", "arm in a sling", "he is in a cast", "no feeling in two fingers",
        )),
        *((one, False) for one in (
            "came tired from school", "tired, hands fine", "now slower", "knows the finger numbers",
            "painted the keys", "came back tired", "broken chords", "weak on Tuesday", "now", "store",
            "hand shape broke down", "left wrist stiff", "weak fourth finger",
            "weak beat", "shook hands", "can't feel the beat", "in the cast of the school play",
        )),
    ],
)  # fmt: skip
def test_which_remarks_may_speak_of_pain(words, speak):
    """What stops playing (caution C1), and how it is said; common practice, no source."""
    assert mentions_pain(words) is speak


def test_nothing_is_called_right_while_somebody_comes_back_or_may_hurt(back, records, course):
    """The page for the teacher and the letter ask one function."""
    well = records["temwa"]
    sore = replace(well, lessons=tuple(replace(one, note="sore" * (one.on == DAY)) for one in well.lessons))
    told = []
    for record in (well, back("temwa", DAY - 20), sore):
        answer = judge(course, record, DAY)
        family = flat(text_of(letter_words, letter("family", answer, course, record)))
        told.append([words in flat(text) for words, text in (
            ("Nothing is wrong: ", tell_answer(answer, course, record)), ("and nothing is wrong", family),
        )])  # fmt: skip
        assert told[-1] == [is_unhurt(course, record, DAY)] * 2
    assert told == [[True] * 2, [False] * 2, [False] * 2]


def test_no_check_is_proposed_soon_after(back, records, course):
    """What the hand-over says ("do not start a check") the list of checks due and the page say too."""
    for record, is_due in ((records["chikondi"], True), (back("chikondi"), False)):
        answer = judge(course, record, DAY)
        assert bool(due(course, [Judged(record, answer)])) is is_due
        assert Phrases(answer, course, record).to_prepare == f"{'sheet' if is_due else 'plan'} chikondi"


@pytest.mark.parametrize("name", STUDENTS)
def test_a_move_before_two_lessons_with_playing_says_what_it_passes_over(name, back, course):
    """The teacher decides, and no rule is passed over without a word (R7, R11)."""
    record = back(name)
    answer = judge(course, record, DAY)
    begins = answer.next_unit
    p = Phrases(answer, course, record)
    said = [flat(text_of(decided_words, p, what, begins)) for what in ("move", "stay")]
    said += [flat(decision_question(p, what)) for what in ("move", "stay")]
    over = ["passes over a rule." in one and "Two lessons with playing" in one for one in said]
    assert over == [True, False] * 2
    moved = replace(
        record,
        decisions=(Decision(DAY, answer.unit, answer.verdict, "move", "a private word", line=90),),
        unit_starts=(*record.unit_starts, UnitStart(begins or answer.unit, DAY, line=95)),
        lessons=tuple(one for one in record.lessons if one.on < DAY),
    )
    now, agreed = judge(course, moved, DAY), replace(moved, consents={"share_school": True})
    told = {
        reader: flat(text_of(letter_words, letter(reader, now, course, agreed)))
        for reader in ("family", "child", "school")
    }
    family = told["child" if name == "bogdan" else "family"]
    assert ("I decided to begin it sooner" in family) == (now.away is None)
    assert "passes over a rule" in flat(tell_answer(now, course, moved, full=True))
    assert "private" not in " ".join(told.values())
    assert ("earlier than by the rules" in told["school"]) == (now.away is None)
    assert "pause" not in told["school"]


def test_a_child_who_told_of_pain_was_heard_though_nobody_asked(back, course):
    """The pause says that something was told; the skill stays open, for it was not seen in a lesson."""
    for holds, told in (((), "not asked yet"), (back("temwa").holds, "told on 18 November (pause)")):
        record = replace(back("temwa"), lessons=(), settled=(), holds=holds)
        said = Phrases(judge(course, record, DAY), course, record)
        assert said.state("tells-when-it-hurts") == told
        assert said.state("feet-supported") == "not asked yet"
