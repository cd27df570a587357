"""Two who noted the same check: the counts, the figures, and that nobody is named."""

from __future__ import annotations

import json
import math
import warnings
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st
from sklearn.metrics import cohen_kappa_score
from told import text_of

from readiness.cli.main import main
from readiness.days import day_number
from readiness.record.model import HELPS
from readiness.school.counts import kappa, moderation, table_of, weighted_kappa
from readiness.words.school import moderation_words

LEVELS = len(HELPS)
pairs_of_levels = st.lists(
    st.tuples(st.integers(0, LEVELS - 1), st.integers(0, LEVELS - 1)), min_size=1, max_size=40
)
DAY = date(2025, 12, 2)


# ---------------------------------------------------------------- the figures


def test_a_published_example():
    """Artstein and Poesio 2008, Computational Linguistics 34(4), table 1 (from memory): 0.348."""
    assert kappa([[20, 20], [10, 50]]) == pytest.approx(0.348, abs=0.0005)


def test_an_example_worked_by_hand():
    """Three levels, ten cases: seven alike, one a step apart, two two steps apart.

    Rows 5, 3, 2 and columns 4, 4, 2. Alike by chance (5*4 + 3*4 + 2*2) / 100 = 0.36, so plain
    kappa is (0.7 - 0.36) / (1 - 0.36). Weighted: observed 1*1 + 2*2 = 5; expected
    (5*4 + 5*2*2 + 3*4 + 3*2 + 2*4*2 + 2*4) / 10 = 8.2, so 1 - 5 / 8.2.
    """
    table = [[3, 1, 1], [0, 3, 0], [1, 0, 1]]
    assert [sum(row) for row in table] == [5, 3, 2]
    assert [sum(column) for column in zip(*table, strict=True)] == [4, 4, 2]
    assert kappa(table) == pytest.approx((0.7 - 0.36) / 0.64)
    assert weighted_kappa(table) == pytest.approx(1 - 5 / 8.2)


@pytest.mark.parametrize("weights, own", [(None, kappa), ("linear", weighted_kappa)])
@given(pairs=pairs_of_levels)
def test_scikit_learn_says_the_same(weights, own, pairs):
    """Where it says "not a number" there is nothing to tell."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # it warns where there is nothing to tell
        theirs = cohen_kappa_score(*zip(*pairs, strict=True), labels=range(LEVELS), weights=weights)
    ours = own(table_of(pairs, LEVELS))
    assert ours is None if math.isnan(theirs) else ours == pytest.approx(theirs, abs=1e-12)


@given(pairs=pairs_of_levels)
def test_it_does_not_matter_who_is_called_the_first(pairs):
    turned = [(second, first) for first, second in pairs]
    for figure in (kappa, weighted_kappa):
        assert figure(table_of(pairs, LEVELS)) == figure(table_of(turned, LEVELS))


@given(pairs=pairs_of_levels)
def test_full_agreement_is_one_and_is_never_passed(pairs):
    for figure in (kappa, weighted_kappa):
        alike = figure(table_of([(first, first) for first, _ in pairs], LEVELS))
        assert alike in (1.0, None)
        found = figure(table_of(pairs, LEVELS))
        assert found is None or found <= 1


# ---------------------------------------------------------------- the counts


def noted(by, on=DAY, **helps):
    lists = {field: [] for field in ("alone", "cue", "model", "hands_on", "not_shown")}
    for skill, field in helps.items():
        lists[field].append(skill.replace("_", "-"))
    return {"on": on, "by": by, **lists}


def checked(taught, student, *lessons, since=None, until="2025-12-31"):
    day = None if since is None else day_number(since)
    return moderation(taught, [student("mia", lesson=list(lessons))], day, day_number(until))


def test_what_both_noted_is_compared_and_what_one_left_out_is_not(taught, student):
    found = checked(
        taught, student,
        noted("OB", wrist_lift="alone", feet_supported="cue", sings_up_down="alone"),
        noted("LN", wrist_lift="cue", feet_supported="cue", loose_shoulders="alone"),
    )  # fmt: skip
    assert (found.checks, found.pairs, found.agreed) == (1, 2, 1)
    assert [(one.skill, one.agreed, one.one_apart) for one in found.criteria] == [
        ("wrist-lift", 0, 1), ("feet-supported", 1, 0),
    ]  # fmt: skip
    assert found.criteria[0].levels == (((0, 1), 1),)


@pytest.mark.parametrize(
    "lessons",
    [
        [noted("OB", wrist_lift="alone"), noted("OB", wrist_lift="cue")],
        [noted("OB", wrist_lift="alone"), noted("ob ", wrist_lift="cue")],
        [noted("OB", wrist_lift="alone"), noted("", wrist_lift="cue")],
        [noted("OB", wrist_lift="alone"), noted("LN", date(2025, 12, 3), wrist_lift="cue")],
        [noted("OB", wrist_lift="alone"), noted("LN", feet_supported="cue")],
    ],
    ids=["one person", "the same initials", "nobody's", "another day", "other things"],
)
def test_no_check_was_noted_by_two(lessons, taught, student):
    found = checked(taught, student, *lessons)
    assert (found.checks, found.pairs, found.kappa, found.criteria) == (0, 0, None, ())
    assert "No check was noted by two teachers." in text_of(moderation_words, found, taught, full=True)


def test_of_several_notes_of_one_person_the_one_with_most_help_counts(taught, student):
    found = checked(
        taught, student,
        noted("OB", wrist_lift="alone"), noted("OB", wrist_lift="model"), noted("LN", wrist_lift="model"),
    )  # fmt: skip
    assert (found.pairs, found.agreed) == (1, 1)


def test_only_the_days_asked_about_are_looked_at(taught, student):
    days = [date(2025, 11, 4), date(2025, 12, 2), date(2025, 12, 30)]
    lessons = [noted(by, on, wrist_lift="alone") for on in days for by in ("OB", "LN")]
    assert checked(taught, student, *lessons).checks == 3
    assert checked(taught, student, *lessons, since="2025-11-05").checks == 2
    assert checked(taught, student, *lessons, since="2025-11-05", until="2025-12-29").checks == 1


def test_the_criterion_with_most_disagreement_comes_first(taught, student):
    """One of one differs; three of six differ; two of six differ; none of six."""
    lessons = []
    for number in range(6):
        on = date(2025, 10, 1 + number)
        lessons.append(
            noted("OB", on, feet_supported="alone", loose_shoulders="alone", sings_up_down="alone")
        )
        lessons.append(
            noted(
                "LN", on,
                feet_supported="alone",
                loose_shoulders="cue" if number < 2 else "alone",
                sings_up_down="model" if number < 3 else "alone",
            )
        )  # fmt: skip
    lessons += [noted("OB", wrist_lift="alone"), noted("LN", wrist_lift="cue")]
    found = checked(taught, student, *lessons)
    assert [one.skill for one in found.criteria] == [
        "wrist-lift", "sings-up-down", "loose-shoulders", "feet-supported",
    ]  # fmt: skip
    text = " ".join(text_of(moderation_words, found, taught, full=True).split())
    assert " ".join(taught.skill["sings-up-down"].shown_when.split()) in text
    assert "3 of 6 alike, in 6 checks on 6 days." in text
    assert "0 of 1 alike, in 1 check on 1 day. Too few to conclude." in text
    assert "without help and after being shown, 3 times" in text
    assert text.index("Noted differently") < text.index("(wrist-lift)") < text.index("Noted alike so far")


SKILLS = ("feet-supported", "loose-shoulders", "sings-up-down", "wrist-lift", "rounded-hand-rest")


def together(taught, student, students, days):
    """Return what two noted of five skills for so many students on each of so many days."""
    records = []
    for number in range(students):
        lessons = []
        for day in range(days):
            on = date(2025, 10, 1 + day)
            seen = {skill.replace("-", "_"): "alone" for skill in SKILLS}
            lessons += [noted("OB", on, **seen), noted("LN", on, **{**seen, "wrist_lift": "cue"})]
        records.append(student(f"m{number}", lesson=lessons))
    return moderation(taught, records, None, day_number("2025-12-31"))


@pytest.mark.parametrize("students, days", [(1, 1), (1, 4), (5, 1), (3, 4), (1, 5), (2, 5)])
def test_a_figure_rests_on_five_checks_and_five_days(students, days, taught, student):
    """What two noted in one check hangs together, and so does one day: five is common practice, no source."""
    found = together(taught, student, students, days)
    assert (found.checks, found.days, found.pairs) == (students * days, days, 5 * students * days)
    enough = min(students * days, days) >= 5
    assert (found.kappa is not None, found.weighted is not None) == (enough, enough)
    assert found.too_few != enough
    assert {one.too_few for one in found.criteria} == {not enough}
    told = " ".join(text_of(moderation_words, found, taught, full=True).split())
    checks, of_days = ("check" if students * days == 1 else "checks"), ("day" if days == 1 else "days")
    assert f"{students * days} {checks} on {days} {of_days}, " in told
    assert ("kappa" in told) == enough
    assert ("Not a figure under 5 checks on 5 days" in told) != enough


def test_the_command_names_no_teacher(studio_of_two, capsys):
    for words in ([], ["--json"]):
        assert main(["moderate", *words, *studio_of_two, "--on", "2025-12-31"]) == 0
        out = capsys.readouterr().out
        assert "OB" not in out
        assert "QZ" not in out
        assert "Odalys" not in out
    found = json.loads(out)
    assert (found["checks"], found["pairs"], found["agreed"], found["too_few"]) == (1, 1, 0, True)
    assert (found["days"], found["kappa"], found["weighted_kappa"]) == (1, None, None)
    assert [(one["checks"], one["days"], one["too_few"]) for one in found["criteria"]] == [(1, 1, True)]


def test_it_says_itself_that_a_file_could_not_be_read(studio_of_two, tmp_path, capsys):
    (tmp_path / "mia.toml").write_text("format = x\n", encoding="utf-8")
    for words in ([], ["--json"]):
        assert main(["moderate", *words, *studio_of_two, "--on", "2025-12-31"]) == 2
        out = capsys.readouterr().out
        assert "mia.toml" in out
    assert (json.loads(out)["unread"], json.loads(out)["unread_files"]) == (1, ["mia.toml"])


@pytest.fixture
def studio_of_two(tmp_path, course_folder, demo_folder):
    text = (demo_folder / "temwa.toml").read_text(encoding="utf-8")
    for by in ("OB", "QZ"):
        given_help = "alone" if by == "OB" else "cue"
        text += f'\n[[lesson]]\non = 2025-12-30\n{given_help} = ["wrist-lift"]\nby = "{by}"\n'
    (tmp_path / "temwa.toml").write_text(text, encoding="utf-8")
    return ["--course", str(course_folder), "--students", str(tmp_path)]
