"""Looks for bytes that a reader of files does not stand, guided by which lines of the code they reach.

Run by hand, never by the tests: ``python tests/faults/fuzz_loaders.py -max_total_time=120``, with
``pip install '.[fuzz]'`` (atheris, for Linux). All kinds of file are tried in turn; ``--only graph``
tries one. What follows goes to libFuzzer: a folder keeps what was found to reach new lines, and a
file is tried once, as in ``python tests/faults/fuzz_loaders.py crash-1a2b``. It ends at the first
exception, at bytes that take more than ``-timeout`` seconds, or more than ``-rss_limit_mb``.

The first byte of an input says which kind it is of, the rest is the file. Half of the changes are
libFuzzer's, half are of the kind that hurts a TOML file: lines doubled, values replaced.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
from pathlib import Path
from random import Random
from shutil import rmtree

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]

LIMITS = ("-timeout=20", "-rss_limit_mb=1500", "-max_len=20000")
PIECES = (
    b'"', b"'''", b'"""', b"[", b"]", b"[[", b"{", b"}", b"=", b"#", b"\n", b"\r", b"\\", b"\x00", b"\x1b[2J",
    b"\xff", b"\xef\xbb\xbf", b"9" * 4400, b"1e999", b"nan", b"-inf", b"0xffffffffffffffff", b"9999-12-31",
    b"0001-01-01", b"2025-02-30", b"true", b"{}", b"[]", b"null", b"a.b.c.d", b'"\\u0000"', b'"\\U0010FFFF"',
    b'"\\uD800"', b'"\\u001b[31m"', b"\xe2\x80\xae", b"07:32:00", b"2025-12-02T07:32:00Z", b",", b"-5",
    b"0.1", b"<<<<<<< mine\n", b"=======\n", b">>>>>>> theirs\n", b"99999999999999999999", b"<b onload=x>",
    b"&#27;", b"based_on = 'x'\n",
    b"since = 2025-11-01\n", b"retired = 2025-11-20\n", b"replaced_by = ['sit-tall']\n",
    b"stands_on_some = [{ at_least = 1, of = ['sit-tall', 'feet-supported'] }]\n", b"optional_in = ['4-5']\n",
    b"must_be_seen = true\n", b"<data key='d1'>", b'{"day": "2025-12-02"}', b'{"day": "x"}',
)  # fmt: skip


def change(data: bytes, most: int, seed: int) -> bytes:
    """Return an input changed a little, of the same kind."""
    import atheris

    chance = Random(seed)
    if len(data) < 2 or chance.random() < 0.5:
        return atheris.Mutate(data, most)
    kind, lines = data[:1], data[1:].split(b"\n")
    for _ in range(chance.choice((1, 1, 2, 4))):
        at = chance.randrange(len(lines))
        piece = chance.choice(PIECES)
        match chance.randrange(5):
            case 0:
                lines.insert(at, chance.choice(lines))
            case 1:
                del lines[at : at + chance.choice((1, 1, 3))]
            case 2:
                lines[at] = lines[at].partition(b"=")[0] + b"= " + piece
            case 3:
                cut = chance.randrange(len(lines[at]) + 1)
                lines[at] = lines[at][:cut] + piece + lines[at][cut:]
            case _:
                lines.insert(at, piece)
        lines = lines or [b""]
    return (kind + b"\n".join(lines))[:most]


def main() -> None:
    import atheris  # here, so that the tests can look at this file where it is not installed

    with atheris.instrument_imports(include=["readiness", "tomllib"]):
        from faults.any_bytes import KINDS, SEEDS

    order = tuple(KINDS)
    parser = argparse.ArgumentParser(allow_abbrev=False)
    parser.add_argument("--only", choices=order, help="try one kind of file")
    asked, words = parser.parse_known_args()
    with tempfile.TemporaryDirectory() as corpus, tempfile.TemporaryDirectory() as work:
        for kind, files in SEEDS().items():
            for number, file in enumerate(files if asked.only in (kind, None) else ()):
                (Path(corpus) / f"{kind}-{number}").write_bytes(bytes([order.index(kind)]) + file)

        def tried(data: bytes) -> None:
            if data:
                empty(Path(work))
                KINDS[asked.only or order[data[0] % len(order)]](data[1:], Path(work))

        begun = [] if any(Path(word).is_file() for word in words) else [corpus]
        atheris.Setup([sys.argv[0], *LIMITS, *words, *begun], tried, custom_mutator=change)
        atheris.Fuzz()


def empty(folder: Path) -> None:
    for path in folder.iterdir():
        rmtree(path) if path.is_dir() else path.unlink()


if __name__ == "__main__":
    main()
