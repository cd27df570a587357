"""What the letters say, in English: whole sentences by name, those that differ as a table of them.

A further language is a class below this one that says every sentence again (``spanish``), its letters in
``letter_texts`` and a file of names beside ``graph.toml`` (``course.translated``). ``{things}`` are skills as
things that can be worked on ("lifting the wrist"), ``{how}`` as they are said to a child. Where the key is a
number, it is how many things a sentence speaks of, 0 standing for any other number and ``{n}`` for its word.
Of a pair, the second form is said where something is so, the first where it is not.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from readiness.terms import State
from readiness.words.cautions import brief_cautions, quiet_work
from readiness.words.grammar import date_words, joined, listed, number_words, quoted

__all__ = ["Letters"]


class Letters:
    """The letters in English."""

    # how the language counts and lists

    def day(self, day: int, beside: int | None) -> str:
        return date_words(day, beside)

    number = staticmethod(number_words)
    listed = staticmethod(listed)
    joined = staticmethod(joined)
    quoted = staticmethod(quoted)

    def for_home(self, text: str, named: str) -> str:
        """Return an activity as a sentence, with the student's name where it says "the child"."""
        for general in ("The child", "the child", "Child"):
            text = text.replace(general, named)
        return self.quoted(text if text.endswith((".", "!", "?")) else f"{text}.")

    def quiet_work(self) -> str:
        return listed(quiet_work())

    def so_far(self, have: int, need: int, *, is_all: bool, well: str) -> str:
        """Return how many days there are and, where nothing else is waited for, how many more."""
        so_far = f"{number_words(have)} of {'two' if need == 2 else f'the {number_words(need)}'} days"
        so_far = so_far if have < need else f"{number_words(have)} days close together"
        if not is_all:
            return f"So far it's {so_far}."
        more = max(need - have, 1)
        days = "one more day is" if more == 1 else f"{number_words(more)} more days are"
        return f"So far it's {so_far}, so {days} all we're waiting for{well}."

    def by_count(self, forms: Mapping[int, str], count: int, **words: str) -> str:
        """Return the form for so many, filled in."""
        return forms.get(count, forms[0]).format(n=self.number(count), **words)

    def ended_words(self, said: Sequence[str]) -> str:
        """Return in one sentence what was said when pauses ended, the latest first; nothing without one."""
        words = [self.quoted(one) for one in dict.fromkeys(reversed(said))]
        return self.ended.format(self.joined(words)) if words else ""

    so_many_days: Mapping[int, str] = {1: "one day", 0: "{n} days"}
    unit = "unit {number}, {name}"
    # skills whose names follow on lines of their own; the second of each pair stands behind others
    unnamed: Mapping[int, str] = {1: "this one", 0: "these {n}"}
    unnamed_more: Mapping[int, str] = {0: "{n} more"}
    unnamed_you: Mapping[int, str] = {1: "you do this", 0: "you do these things"}
    unnamed_you_more: Mapping[int, str] = {0: "you do {n} more"}

    # where the body rests

    parts: Mapping[str, str] = {"hand": "hands and arms", "voice": "voice", "all": "part that hurts"}
    hurts: Mapping[str, str] = {
        "hand": "a hand or an arm hurts", "voice": "the voice or the throat hurts",
        "all": "something hurts or doesn't feel right",
    }  # fmt: skip
    """What was told when a pause was opened; where no part is named it may be an illness."""
    doing: Mapping[str, str] = {"play": "playing", "sing": "singing", "both": "playing or singing"}
    stop_now: Mapping[str, str] = {
        "play": "Stop playing now. Do not play through pain. No playing at home either, until {ends}.",
        "sing": "Stop singing now. Do not sing through pain. No singing at home either, until {ends}.",
        "both": "Stop playing and singing now. Do not play or sing through pain. No playing or singing at "
        "home either, until {ends}.",
    }
    ends = ("an adult ends the pause", "you tell me that the pause can end")
    """Who ends a pause, and to an adult that nobody else does."""
    may_hurt = (
        "Something I was told between the lessons sounds as if it may hurt.",
        "On {day} I noted something that sounds as if it may hurt.",
    )
    it_hurts = (
        ("{noted} Please ask {named} today. If it does, let nothing be played at home for now, ask a doctor "
         "or another licensed clinician, and tell me what you hear."),
        ("{noted} If it does, please play nothing at home for now, ask a doctor or another licensed "
         "clinician, and tell me what you hear."),
    )
    """What hurts without a pause, to the family and to the student."""
    ask_first = "Playing can wait until a grown-up has asked how you are."
    """The same to a child, and on the page for the fridge."""
    rest_voice = (
        f"{brief_cautions(['C13'])} If it is still hoarse after two weeks, see a licensed clinician again."
    )
    """Where a clinician is to look at it now."""
    rest_voice_child = f"For the grown-ups: {rest_voice}"
    by_when = "this week", "now"
    """When a clinician is to look at it, in the first weeks of a pause and later."""
    came_back = "There was a pause before, until {}: please mention that, too."
    resting = (
        "Another course has been paused since {since}. Please have it looked at {by_when} by a doctor or "
        "another licensed clinician, if nobody has yet, and tell me what you hear. Nothing here or at home "
        "uses the {rests} until {ends}."
    )
    resting_child = "Your {rests} can rest. We use other things until a grown-up says that it's good again."
    ended = "When the pause ended I was told {}, and that comes first at home, too."
    gently = (
        "After the pause, please keep to small amounts at home, with rests, and a little more each week. "
        "If anything hurts, stop and ask a doctor or another licensed clinician."
    )
    moved_early = (
        "Usually two lessons come after a pause before a new unit begins; this time I decided to begin "
        "it sooner."
    )
    gently_child = "Next time we begin with just a little, with rests. Tell me at once if anything hurts."

    # at home, and when we see each other

    where = "At home", "At home, where there is an instrument"
    """Where a task is done, on a break another place."""
    habit = "a moment for this each time before playing", "one thing each time before playing: {things}"
    """What belongs to every time of playing, named or just named before."""
    habit_then = "{where}, a moment each time before playing: {activity}"
    habit_way = " One way to do it: {}"
    home = "{where}, {minutes} {often} is plenty{what}{activity}"
    minutes: Mapping[int, str] = {1: "one minute", 0: "{n} minutes"}
    a_week: Mapping[int, str] = {1: "on one day a week", 0: "on {n} days a week"}
    a_day = "a day"
    at_what: Mapping[str, str] = {
        "": "", "fun": ", {doing} whatever is fun", "piece": ", with a piece that goes well",
    }  # fmt: skip
    at_things = " for {}"
    it = "it"
    """What was named in the sentence before."""
    with_activity = ": {}"
    after_holidays = ", after the holidays ({first} to {last})"
    when = "We'll look again on {day}."
    after_season = ", after the weeks without lessons", ", after {}"
    look_back = ", with a short look back first"
    when_later = (
        "The earliest day to move on is {earliest}, and it may take longer.",
        "By the plan we can go on to the next unit from {earliest}, and it may take longer.",
    )
    when_then = "We'll look again on {day}; if {what} that day without help, {who}."
    it_comes: Mapping[int, str] = {1: "it comes", 2: "both come", 0: "everything we look at comes"}
    enough_comes = "enough of what we look at comes"
    moves_on = "you can move on", "{named} can move on"
    young = "At this age everything stays short and playful."
    start_open = "Where to begin is not clear yet; we look at a few more things first."
    will_show = "The first lessons will show whether that fits."
    before = "From {since}: {few}; we keep at it in small turns."
    since = "earlier units", "the unit before"
    before_child = "A few things from before come with us.", "One thing from before comes with us: {how}."

    # to the family

    looking_forward = "I'm looking forward to the lesson with {named}."
    good: Mapping[str, str] = {
        "on-a-break": "Before the break {named} was getting on well with {things}.",
        "earlier": "When we last looked, {named} was getting on well with {things}.",
        "away": "Even after the weeks away, {named} is getting on well with {things}.",
        "with-help": "{named} is getting on well with {things}.",
        "alone": "{named} does this without any help: {things}.",
    }
    """Something good; earlier: what was not seen lately."""
    seen_on = "We saw that on {}."
    on_day = "{}"
    first_now = "One thing comes first now: {things}. {stands}{builds}."
    stands: Mapping[State, str] = {
        State.SLIPPED: "It was secure and has slipped since, as things do",
        State.WOBBLING: "It was secure and had one off day since",
        State.NOT_SHOWN: "It hasn't come yet",
        State.WITH_HELP: "It comes with some help so far",
    }
    came_before = "It has come before, and didn't the last time"
    builds = ", and {} builds on it"
    after_pause = "After the pause, two lessons come before the next unit begins."
    under_way = "We're still working on {}."
    asks_days = "{at} we like to see {what} on {days} different days before we build on it{because}."
    at_age = "At {}"
    at_this_age = "At this age"
    for_now = "For now"
    """Where the teacher chose the numbers of another age."""
    something_new = "something new"
    because = ", as {}, does"
    nearly: Mapping[int, str] = {
        1: "One more day is all we're waiting for{well}.",
        0: "At most {n} more days are all we're waiting for{well}.",
    }
    """How many more days at most are waited for, where it differs."""
    well = ", and nothing is wrong"
    """Said of that only where nothing rests, rested until lately or may hurt."""
    not_lately = "Some things haven't been seen for a while; a short look tells us whether they are there."
    no_turn_yet = "We haven't looked at {} yet; that comes bit by bit."
    from_the_start = "We start from the beginning."
    off_day = "There was one off day with {}, and one day says little."
    some_of: Mapping[int, str] = {0: "Before the next unit we'd like to see {n} of these: {things}."}
    along = "On the way we finish this: {}."
    coming = "Next we look together at {}."
    start = "We start in {unit}{extra}."
    extra = ", with some extra time for {}"

    # to a child

    how: Mapping[str, str] = {"earlier": "how ", "placing": "how "}
    child_good: Mapping[str, str] = {
        "earlier": "I remember how {how}.",
        "away": "Even after the weeks away, {how}.",
        "alone": "{how}, all on your own.",
        "other": "{how} now.",
    }
    welcome = "I'm looking forward to our lesson."
    then: Mapping[str, str] = {
        "staying": "Next time we go on with what we're playing now, because there's more in it.",
        "last unit": "Next time you choose what we play.",
        "finished": "Next time you choose what we play.",
        "break": "We look at a few little things together, and then we go on.",
        "after pause": "We look at a few little things together, and then we go on.",
        "first lesson": "Next time we try a few things, and then we know where we begin.",
        "placing": "Next time we try a few more things, and then we know where we begin.",
        "placed": "Now we know where we begin, and next time we start.",
        "new": "Next time we find out together what's in it.",
        "look": "Next time we look at a few things together.",
        "again": "Next time I'd like to see that once more.",
    }
    """What comes next time, in the cases that say it alone."""
    then_one: Mapping[str, str] = {
        "new": "Next time we find out together how {how}.",
        "start": "Next time we start with one thing: {how}.",
        "see": "Next time I'd like to see how {how}.",
    }
    onward: Mapping[int, str] = {
        1: "Next time we begin something new, {unit}, and one thing comes with us: {how}.",
        2: "Next time we begin something new, {unit}, and a few things come with us.",
        0: "Next time we begin something new, {unit}.",
    }
    """The unit that begins, and what comes along: one thing, some (2) or nothing."""
    later_child = "You have all you need for {unit}. We begin it later{after}."

    # to an adult, or nearly

    well_earlier = "{things}, last seen on {day}"
    to_finish = "To finish on the way: {}."
    work_on = "The one thing to work on: {things}."
    look_at = (
        "Next I'd like to look at {things}.",
        "Next I'd like to see {things} again: {have} of {need} days so far.",
    )
    """What is looked at next, with days where some are counted."""
    start_for_now = "For now we start in {unit}."

    # the page of a week at home; numbers stand in figures

    week = "At home, {first} to {last}", "{named} at home, {first} to {last}"
    week_days = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
    week_minutes: Mapping[int, str] = {1: "1 minute", 0: "{count} minutes"}
    week_often: Mapping[int, str] = {1: "on 1 day", 0: "on {count} days"}
    week_stop = "Stop at once when something hurts or tires, and tell me."
    week_last = "Tick a box on each day it was done. An empty box is fine."
