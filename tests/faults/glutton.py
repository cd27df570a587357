"""A program with little memory and time that reads files made to take a lot of both.

It prints a line for each: its name, the ids of the problems found, and the most memory so far.
"""

from __future__ import annotations

import resource
import sys
import tempfile
from pathlib import Path

from readiness.course.load import load_course
from readiness.record.load import load_record
from readiness.toml.problems import render

ROOT = Path(__file__).parents[2]
COURSE = ROOT / "skill_graphs" / "first-two-years"
MEMORY = 500_000_000
SECONDS = 120

HEAD = 'format = 1\nname = "Mia"\nborn = "2019-05"\n'
LESSON = "[[lesson]]\non = 2025-12-01\n"
FULL = 600_000

STUDENTS = {
    "entries taken back": lambda: "x = 1 # 1a2b3c4d\n" * 270_000 + "# noted 1a2b3c4d\n# taken back 1a2b3c4d",
    "many ends of one entry": lambda: ("a # 1a2b3c4d\n" * 9 + "# noted 1a2b3c4d\n") * 30_000
    + "# taken back 1a2b3c4d\n" * 9,
    "lines taken out": lambda: "".join(f"# taken back above {i:08x}\n" for i in range(150_000)),
    "lists in lists": lambda: "x = " + "[" * 100_000,
    "closed lists in lists": lambda: "x = " + "[" * 20_000 + "]" * 20_000,
    "braces in braces": lambda: "x = " + "{a=" * 30_000,
    "a key of many parts": lambda: ".".join("a" * 30_000) + " = 1",
    "a header of many parts": lambda: "[" + ".".join("a" * 30_000) + "]",
    "many tables": lambda: "".join(f"[a{i}]\nb=1\n" for i in range(60_000)),
    "tables one in another": lambda: "".join(f"[a.b{i}.c.d.e]\nf=1\n" for i in range(25_000)),
    "one skill very often": lambda: LESSON + "alone = [\n" + '"wrist-lift",\n' * 110_000 + "]",
    "unknown skills": lambda: LESSON + "alone = [\n" + "".join(f'"w{i}",\n' for i in range(90_000)) + "]",
    "empty lists": lambda: LESSON + "alone = [\n" + "[],\n" * 300_000 + "]",
    "very many lessons": lambda: LESSON * 60_000,
    "very many wrong lessons": lambda: "[[lesson]]\non = 1\n" * 30_000,
    "a number of a million digits": lambda: "home_keys = " + "9" * FULL,
    "a text that never ends": lambda: 'x = "' + "a" * FULL,
    "lines that never end": lambda: 'x = """' + "a\n" * (FULL // 2),
    "backslashes": lambda: 'x = "' + "\\" * FULL,
    "quotes": lambda: "x = " + '"' * FULL,
    "blanks": lambda: " " * FULL + "x",
    "blanks in short lines": lambda: (" " * 90_000 + "x\n") * 50,
    "empty lines": lambda: "\n" * FULL,
    "signs alone": lambda: "=\n" * (FULL // 2),
    "words alone": lambda: "a\n" * (FULL // 2),
    "the same key": lambda: "a=1\n" * (FULL // 4),
    "letters that join others": lambda: 'x = "' + "\u0301" * (FULL // 2) + '"',
    "nothing but zero bytes": lambda: "\x00" * FULL,
    "more than is read": lambda: "#\n" * 3_000_000,
    "two versions, often": lambda: "<<<<<<< a\n=======\n>>>>>>> b\n" * 100_000,
}
SKILL = (
    '[skill.s{0}]\nname = "x"\nunit = "arms-that-travel"\nstrand = "hand-arm"\nkind = "motor"\n'
    'fade = "fast"\nminutes = 1\nshown_when = "x"\nremedies = ["a", "b"]\nstands_on = {1}\n'
)
GRAPHS = {
    "a long chain": lambda: "".join(SKILL.format(i, f'["s{i - 1}"]' if i else "[]") for i in range(4_000)),
    "each on all before": lambda: "".join(
        SKILL.format(i, "[" + ",".join(f'"s{j}"' for j in range(i)) + "]") for i in range(300)
    ),
    "a great loop": lambda: "".join(SKILL.format(i, f'["s{(i + 1) % 2000}"]') for i in range(2_000)),
    "on what is not there": lambda: "".join(SKILL.format(i, f'["x{i}"]') for i in range(3_000)),
}


def main() -> None:
    """Read everything, one after the other."""
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
    resource.setrlimit(resource.RLIMIT_CPU, (SECONDS, SECONDS))
    course = load_course(COURSE).course
    assert course is not None
    with tempfile.TemporaryDirectory() as name:
        file = Path(name) / "mia.toml"
        for what, make in STUDENTS.items():
            file.write_bytes((HEAD + make() + "\n").encode())
            report(what, load_record(file, course).problems)
        folder = Path(name)
        (folder / "pacing.toml").write_bytes((COURSE / "pacing.toml").read_bytes())
        for what, make in GRAPHS.items():
            text = (COURSE / "graph.toml").read_text(encoding="utf-8")
            (folder / "graph.toml").write_text(f"{text}\n{make()}", encoding="utf-8")
            report(what, load_course(folder).problems)


def report(what, problems) -> None:
    shown = sum(len(render(problem)) for problem in problems)
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024
    found = dict.fromkeys(problem.id for problem in problems)
    print(what, "|", *found, "|", len(problems), shown, peak, flush=True)


if __name__ == "__main__":
    sys.exit(main())
