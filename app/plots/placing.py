"""Where labels go so that they do not cover each other: plain numbers, no Qt."""

from __future__ import annotations

from collections.abc import Sequence


def spread(wanted: Sequence[float], height: float, low: float, high: float) -> list[float]:
    """Centres of labels along an edge, near where they are wanted but ``height`` apart.

    Parameters
    ----------
    wanted : sequence of float
        Wanted centres in pixels.
    height : float
        Room each needs.
    low, high : float
        Ends of the edge; labels stay inside as far as there is room.

    Returns
    -------
    list of float
        In the order of ``wanted``.
    """
    order = sorted(range(len(wanted)), key=lambda i: wanted[i])
    groups: list[list[int]] = []
    centres: list[float] = []
    for index in order:
        groups.append([index])
        centres.append(_held(wanted[index], 1, height, low, high))
        # Two groups that touch become one, centred where its members want to be on average.
        while (
            len(groups) > 1
            and centres[-1] - len(groups[-1]) * height / 2
            < centres[-2] + len(groups[-2]) * height / 2
        ):
            merged = groups[-2] + groups[-1]
            groups[-2:] = [merged]
            mean = sum(wanted[i] for i in merged) / len(merged)
            centres[-2:] = [_held(mean, len(merged), height, low, high)]
    result = [0.0] * len(wanted)
    for group, centre in zip(groups, centres, strict=True):
        first = centre - (len(group) - 1) * height / 2
        for place, index in enumerate(group):
            result[index] = first + place * height
    return result


def _held(centre: float, count: int, height: float, low: float, high: float) -> float:
    half = count * height / 2
    if high - low <= 2 * half:
        return (low + high) / 2
    return min(max(centre, low + half), high - half)


def rows(spans: Sequence[tuple[float, float]], gap: float = 8.0) -> list[int]:
    """Row of each label (left, right in pixels), lowest row in which it covers no other."""
    taken: list[list[tuple[float, float]]] = []
    result: list[int] = []
    for left, right in spans:
        for number, row in enumerate(taken):
            if all(right + gap <= a or b + gap <= left for a, b in row):
                row.append((left, right))
                result.append(number)
                break
        else:
            result.append(len(taken))
            taken.append([(left, right)])
    return result


def sides(
    positions: Sequence[float], widths: Sequence[float], low: float, high: float, gap: float = 6.0
) -> list[bool]:
    """For each upright line: whether its words stand left of it (True) or right of it.

    Right where they fit before the next line and the edge, else left where they fit after the
    line before, else wherever the edge leaves room.
    """
    result = []
    for x, width in zip(positions, widths, strict=True):
        after = min((p for p in positions if p > x), default=high)
        before = max((p for p in positions if p < x), default=low)
        if x + width + gap <= min(after, high):
            result.append(False)
        elif x - width - gap >= max(before, low):
            result.append(True)
        else:
            result.append(x + width + gap > high)
    return result
