"""Near words, for `did you mean`."""

from __future__ import annotations

from collections.abc import Iterable

_MOST = 4
#: How alike two words must be (difflib's ratio), and how much less than the best one.
_NEAR = 0.67
_BEHIND = 0.1


def near_words(word: str, known: Iterable[str]) -> list[str]:
    """Up to four known words that are close to `word`, the closest first."""
    from difflib import SequenceMatcher  # noqa: PLC0415 - only a file with an error pays for it

    plain = _plain(word)
    by_plain: dict[str, str] = {}
    for each in known:
        by_plain.setdefault(_plain(each), each)
    if plain in by_plain:
        return [by_plain[plain]]
    if len(plain) > 60:  # no word of ours is as long, and the comparison's cost is quadratic
        return []
    matcher = SequenceMatcher()
    matcher.set_seq2(plain)
    ranked: list[tuple[float, int, str]] = []
    for order, each in enumerate(by_plain):
        matcher.set_seq1(each)
        if matcher.real_quick_ratio() > _NEAR and matcher.quick_ratio() > _NEAR:
            ranked.append((-matcher.ratio(), order, by_plain[each]))
    ranked.sort()
    near = [word for share, _, word in ranked if -share > max(_NEAR, -ranked[0][0] - _BEHIND)]
    near = near[:_MOST]
    if not near and len(plain) > 3:
        near = [name for each, name in by_plain.items() if plain in each.split("-")][:_MOST]
    return near


def did_you_mean(word: str, known: Iterable[str]) -> list[str]:
    """The question as a remedy; the known words instead where none is near and they are few."""
    choices = list(dict.fromkeys(known))
    near = near_words(word, choices)
    if near:
        return [f"did you mean {any_of(near)}?"]
    if len(choices) == 1:
        return [f"write `{choices[0]}`"]
    if 1 < len(choices) <= 30:
        return [f"possible here: {', '.join(f'`{each}`' for each in choices)}"]
    return []


def any_of(words: Iterable[str]) -> str:
    """`a`, `b` or `c`."""
    marked = [f"`{each}`" for each in words]
    if len(marked) < 2:
        return "".join(marked)
    return f"{', '.join(marked[:-1])} or {marked[-1]}"


def _plain(word: str) -> str:
    return word.strip().lower().replace("_", "-").replace(" ", "-")
