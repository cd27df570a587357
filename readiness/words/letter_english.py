"""What the letters say, in English: each sentence a method, whole, with all that it needs as arguments.

A further language is a class below this one that says every sentence anew (``spanish``), its letters in
``letter_texts`` and a file of names beside ``graph.toml`` (``course.translated``). ``things`` are skills as
things that can be worked on ("lifting the wrist"), ``how`` as they are said to a child.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from readiness.record.model import Hold
from readiness.terms import Kind, State
from readiness.words.cautions import caution
from readiness.words.grammar import capital, date_words, joined, listed, number_words, quoted
from readiness.words.paused import quiet_work

__all__ = ["Letters"]

SPOKEN_AGE: Final = 10
_KIND: Final = {
    Kind.MOTOR: "a new movement", Kind.KNOWLEDGE: "something like this", Kind.EAR: "a listening skill",
    Kind.READING: "something that is read", Kind.HABIT: "a habit",
}  # fmt: skip
_PARTS: Final = {"hand": "hands and arms", "voice": "voice", "all": "part that hurts"}
_HURTS: Final = {"hand": "a hand or an arm hurts", "voice": "the voice or the throat hurts"}
_DOING: Final = {"play": "playing", "sing": "singing", "both": "playing or singing"}


def _it(count: int) -> str:
    return {1: "it", 2: "both"}.get(count, "them")


class Letters:
    """The letters in English."""

    # the small words

    def day(self, day: int, beside: int | None) -> str:
        return date_words(day, beside)

    def listed(self, words: Sequence[str], last: str = "and") -> str:
        """Return a list in a sentence; ``last`` is and or or."""
        return listed(words, last)

    def joined(self, words: Sequence[str]) -> str:
        return joined(words)

    def quoted(self, text: str) -> str:
        return quoted(text)

    def unit(self, number: int, name: str) -> str:
        return f"unit {number}, {name}"

    def unnamed(self, count: int, *, beside: bool) -> str:
        """Return what stands for skills whose names follow on lines of their own."""
        if beside:
            return f"{number_words(count)} more"
        return "this one" if count == 1 else f"these {number_words(count)}"

    def unnamed_you(self, count: int, *, beside: bool) -> str:
        if beside:
            return f"you do {number_words(count)} more"
        return "you do this" if count == 1 else "you do these things"

    def for_home(self, text: str, named: str) -> str:
        """Return an activity as a sentence, with the student's name where it says "the child"."""
        for general in ("The child", "the child", "Child"):
            text = text.replace(general, named)
        return self.quoted(text if text.endswith((".", "!", "?")) else f"{text}.")

    # where the body rests

    def hurts(self, part: str | None) -> str:
        """Return what hurts: a part, or None for more than one."""
        return _HURTS.get(part or "", "something hurts")

    def doing(self, what: str) -> str:
        """Return what is not done for now: play, sing or both."""
        return _DOING[what]

    def stop_now(self, what: str) -> str:
        doing = self.doing(what)
        do = doing.replace("playing", "play").replace("singing", "sing")
        return f"Stop {doing.replace(' or ', ' and ')} now. Do not {do} through pain."

    rest_voice = caution("C13")

    def quiet_work(self, holds: Sequence[Hold]) -> str:
        return listed(quiet_work(holds))

    def resting(self, parts: Sequence[str], since: str) -> str:
        rests = listed([_PARTS[part] for part in parts])
        return (
            f"Another course is paused since {since}. Nothing here or at home uses the {rests} until an "
            "adult ends the pause."
        )

    def resting_child(self, parts: Sequence[str]) -> str:
        rests = listed([_PARTS[part] for part in parts])
        return f"Your {rests} can rest. We use other things until a grown-up says that it's good again."

    gently = (
        "After the rest, please keep to small amounts at home, with pauses, and a little more each week. "
        "If anything hurts, stop and ask the doctor or clinician again."
    )

    gently_child = "Next time we begin with just a little, with pauses. Tell me at once if anything hurts."

    # at home, and when we see each other

    def home_habit(self, things: str, activity: str, *, on_a_break: bool) -> str:
        """Return what belongs to every time of playing; ``things`` is empty where it was just named."""
        where = "At home, where there is an instrument" if on_a_break else "At home"
        more = f" One way to do it: {activity}" if activity else ""
        one = "one thing each time before playing"
        one = f"{one}: {things}" if things else "a moment for this each time before playing"
        return f"{where}, {one}.{more}"

    def home(self, minutes: int, days: int, what: str, activity: str, *, on_a_break: bool) -> str:
        """Return one thing to do at home on some days a week, 0 for every day.

        ``what``: fun, piece, or things, empty where the letter just named them; ``activity`` may be empty.
        """
        where = "At home, where there is an instrument," if on_a_break else "At home,"
        long = "one minute" if minutes == 1 else f"{number_words(minutes)} minutes"
        often = f" on {number_words(days)} day{'s' if days > 1 else ''} a week" if days else " a day"
        fixed = {"": "", "fun": ", playing whatever is fun", "piece": ", with a piece that goes well"}
        end = f": {activity}" if activity else "."
        return f"{where} {long}{often} is plenty{fixed.get(what, f' for {what}')}{end}"

    def when(self, day: str) -> str:
        return f"We'll look again on {day}."

    def when_later(self, day: str, earliest: str) -> str:
        first = f"We'll look again on {day}."
        return f"{first} The earliest day to move on is {earliest}, and it may take longer."

    def when_then(self, day: str, comes: int, named: str) -> str:
        """Return when we look again, and that the move may come that day.

        ``comes``: how many named things have to come, 0 for all of them; ``named``: who moves on, empty for
        whom the letter speaks to.
        """
        what = {1: "it comes", 2: "both come"}.get(comes, "everything we look at comes")
        return f"We'll look again on {day}; if {what} that day without help, {named or 'you'} can move on."

    young = "At this age everything stays short and playful."

    def perhaps(self, first: int | None, last: int | None) -> str:
        told = [f"perhaps as early as unit {first}"] if first else []
        told += [f"perhaps as late as unit {last}"] if last else []
        return f"{capital(', '.join(told))}." if told else ""

    first_impression = "That is a first impression; a second lesson confirms it or moves it."

    def before(self, things: str, more: int, *, last_unit: bool, child: bool = False) -> str:
        """Return what is unfinished from before (R12): a few things and how many more, of which unit."""
        few = f"{things}, and {number_words(more)} more" if more else things
        if child:
            some = "A few things from before come with us."
            return f"One thing from before comes with us: {things}." if things else some
        since = "the unit before" if last_unit else "earlier units"
        return f"From {since}: {few}; we keep at it in small turns."

    # to the family

    def looking_forward(self, named: str) -> str:
        return f"I'm looking forward to the lesson with {named}."

    def good(self, how: str, named: str, things: str) -> str:
        """Return something good; ``how``: on-a-break, away, placing, with-help, alone, or also: not all."""
        match how:
            case "on-a-break":
                return f"Before the break {named} was getting on well with {things}."
            case "away":
                return f"Even after the weeks away, {named} is getting on well with {things}."
            case "with-help":
                return f"{named} is getting on well with {things}."
            case _:
                now = {"placing": "", "also": " now also"}.get(how, " now")
                return f"{named}{now} does this without any help: {things}."

    def seen_on(self, days: Sequence[str], count: int) -> str:
        return f"We saw {_it(count)} on {listed(days)}."

    def first_now(self, things: str, state: State, builds: str) -> str:
        """Return the one thing that comes first, where it stands, and what builds on it (may be empty)."""
        more = f", and {builds} builds on it" if builds else ""
        match state:
            case State.SLIPPED:
                where = f"It was secure and has slipped since, as things do{more}."
            case State.WOBBLING:
                where = f"It was secure and had one off day since{more}; one day says little."
            case State.NOT_SHOWN:
                where = f"It hasn't come yet{more}."
            case _:
                where = f"It comes with some help so far{more}."
        return f"One thing comes first now: {things}. {where}"

    def asks_days(self, age: int, kind: Kind | None, needs: Sequence[int], unit: str, count: int) -> str:
        """Return how many days are asked for and why, of so many skills, of one kind or several (None).

        ``needs``: the numbers of days, each once.

        ``unit``: the next one, where it builds on it; else empty.
        """
        at = f"At {number_words(age)}" if age <= SPOKEN_AGE else "At this age"
        what = _KIND[kind] if kind else "such things"
        often = self.listed([number_words(need) for need in needs], "or")
        days = "one day" if [*needs] == [1] else f"{often} different days"
        because = f", and {unit}, builds on {_it(count)}" if unit else ""
        return f"{at} we like to see {what} on {days} before we build on {'it' if kind else 'them'}{because}."

    def so_far(self, have: int, need: int) -> str:
        more = max(need - have, 1)
        so_far = f"{number_words(have)} of {'two' if need == 2 else f'the {number_words(need)}'} days"
        days = "one more day is" if more == 1 else f"{number_words(more)} more days are"
        return f"So far it's {so_far}, so {days} all we're waiting for, and nothing is wrong."

    def nearly(self, more: int) -> str:
        """Return how many more days at most are waited for, where it differs."""
        some = {1: "One more day", 2: "A day or two more"}
        days = some.get(more, f"At most {number_words(more)} more days")
        return f"{days} {'is' if more <= 2 else 'are'} all we're waiting for, and nothing is wrong."

    not_lately = "Some things haven't been seen for a while; a short look tells us whether they are there."

    def no_turn_yet(self, things: str, count: int) -> str:
        """Return that things were not asked yet; they are named where they are few."""
        who = f"{capital(things)} {'has' if count == 1 else 'have'}" if things else "A few things have"
        return f"{who} not had a turn yet, so we begin with that next."

    def off_day(self, things: str) -> str:
        who = capital(things) if things else "A few things"
        return f"{who} had one off day, and one day says little."

    def some_of(self, at_least: int, things: str) -> str:
        return f"Before the next unit we'd like to see {number_words(at_least)} of these: {things}."

    def along(self, count: int, things: str, *, among: bool) -> str:
        """Return what is finished on the way; ``among``: not all are named."""
        many = f"{capital(number_words(count))} thing{' is' if count == 1 else 's are'}"
        return f"{many} finished on the way{', among them ' if among else ': '}{things}."

    def coming(self, things: str) -> str:
        if not things:
            return "What comes next is new, and we begin it bit by bit."
        return f"Next we look together at {things}."

    def start(self, unit: str, count: int, things: str) -> str:
        many = f"{number_words(count)} extra thing{'' if count == 1 else 's'}"
        extra = f", with {many}: {things}" if things else ""
        return f"We start in {unit}{extra}."

    # to a child

    def child_good(self, how: str, said: str) -> str:
        """Return something good; ``said``: on-a-break, away, placing, alone or other."""
        match said:
            case "on-a-break":
                return f"I remember how {how}."
            case "away":
                return f"Even after the weeks away, {how}."
            case "placing":
                return f"You showed me how {how}."
            case _:
                return f"{capital(how)}{', all on your own' if said == 'alone' else ' now'}."

    def welcome(self, said: str) -> str:
        """Return a greeting; ``said``: on-a-break, away or new."""
        return {
            "on-a-break": "I'm looking forward to seeing you again.",
            "away": "It's good to have you back.",
        }.get(said, "I'm looking forward to playing with you.")

    def then(self, case: str) -> str:
        """Return what comes next time in a case that says it alone; empty for another."""
        few = "We look at a few little things together, and then we go on."
        choose = "Next time you choose what we play."
        return {
            "staying": "Next time we go on with what we're playing now, because there's more in it.",
            "last unit": choose, "finished": choose, "break": few, "after pause": few,
            "first lesson": "Next time we try a few things, and then we know where we begin.",
            "placing": "Next time we try a few more things, and then we know where we begin.",
            "new": "Next time we find out together what's in it.",
            "look": "Next time we look at a few things together.",
            "again": "Next time I'd like to see that once more.",
        }.get(case, "")  # fmt: skip

    def then_one(self, how: str, state: str) -> str:
        """Return the one thing of next time; ``state``: new, start or see."""
        match state:
            case "new":
                return f"Next time we find out together how {how}."
            case "start":
                return f"Next time we start with one thing: {how}."
            case _:
                return f"Next time I'd like to see how {how}."

    def onward(self, unit: str, how: str, count: int) -> str:
        """Return the unit that begins, and what comes along."""
        words = f"Next time we begin something new, {unit}"
        if count == 1:
            return f"{words}, and one thing comes with us: {how}."
        return f"{words}, and a few things come with us." if count else f"{words}."

    # to an adult, or nearly

    def still_along(self, things: str) -> str:
        return f"Still to finish on the way: {things}."

    def to_finish(self, told: Sequence[tuple[str, int]]) -> str:
        """Return what is finished on the way, each with the number of the unit that needs it, or 0."""
        when = {number: f"by unit {number}" if number else "in your own time" for _, number in told}
        return f"To finish on the way: {joined([f'{things} {when[number]}' for things, number in told])}."

    def work_on(self, things: str) -> str:
        return f"The one thing to work on: {things}."

    def look_at(self, things: str, have: int, need: int) -> str:
        """Return what is looked at next; ``need`` 0 where no day is counted."""
        if need:
            return f"Next I'd like to see {things} again: {have} of {need} days so far."
        return f"Next I'd like to look at {things}."

    def start_for_now(self, unit: str) -> str:
        return f"For now we start in {unit}."
