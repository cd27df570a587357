"""What somebody looks for by typing part of a name, also with a slip in it.

What has the letters typed comes first; only where nothing has them is each word taken for the
nearest word there is, as the command line does, and it is said for which.
"""

from __future__ import annotations

from collections.abc import Mapping

from readiness.files.suggest import nearest

__all__ = ["looked_for"]


def looked_for(part: str, names: Mapping[str, str]) -> tuple[tuple[str, ...], str]:
    """Return the keys of the names that fit, and what was taken to be meant, empty where nothing was.

    Args:
        part: what was typed, without capitals and accents; names: by key, the same way.

    >>> names = {"a": "ottilie", "b": "lifts the wrist"}
    >>> looked_for("tti", names), looked_for("otilie", names), looked_for("wrst", names)
    ((('a',), ''), (('a',), 'ottilie'), (('b',), 'wrist'))
    >>> looked_for("zz", names)
    ((), '')
    """
    found = tuple(key for key, name in names.items() if part in name)
    if found or not part:
        return found, ""
    words = {word for name in names.values() for word in name.replace("-", " ").split()}
    meant = [nearest(one, words) for one in part.replace("-", " ").split()]
    if not meant or None in meant:
        return (), ""
    fits = tuple(key for key, name in names.items() if all(one in name for one in meant if one))
    return fits, " ".join(one for one in meant if one) if fits else ""
