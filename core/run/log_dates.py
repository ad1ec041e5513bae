"""Which of two readings of a date such as 03/04/2026 is meant."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from core.run.log_cells import CellError
from core.run.log_times import DateOrder, day_number


def date_order(
    dates: Sequence[str], *, half_days: bool = False, near_day: float | None = None
) -> tuple[DateOrder, tuple[DateOrder, ...]]:
    """Order of day, month and year in a log's dates.

    Fewest impossible dates first; then the order that makes the log shortest (a run passes
    midnight, not the end of a month each night); then the one that begins within three days of
    ``near_day``; then dots, which only day-first dates use.

    Parameters
    ----------
    dates : sequence of str
        Written dates in file order, each once.
    half_days : bool
        True when times carry am and pm, which goes with month-first dates.
    near_day : float, optional
        Day (since 1970-01-01) on which the log should begin.

    Returns
    -------
    order : DateOrder
        The likeliest.
    choices : tuple of DateOrder
        Empty when certain; otherwise all that are possible, the likeliest first.
    """
    orders = (
        (DateOrder.MDY, DateOrder.DMY, DateOrder.YMD)
        if half_days
        else (DateOrder.DMY, DateOrder.MDY, DateOrder.YMD)
    )
    read = {order: _days(dates, order) for order in orders}
    most = max(len(days) for days in read.values())
    possible = [order for order in orders if len(read[order]) == most]
    if most == 0:
        return DateOrder.YMD, ()
    spans = {order: _span(read[order]) for order in possible}
    possible = [order for order in possible if spans[order] == min(spans.values())]
    # Orders that give the very same days are no doubt (a year in front, a month's name).
    distinct: list[DateOrder] = []
    for order in possible:
        if all(read[order] != read[other] for other in distinct):
            distinct.append(order)
    if _year_first(dates):
        return DateOrder.YMD, ()
    if len(distinct) == 1:
        return distinct[0], ()
    if near_day is not None:
        close = [order for order in distinct if abs(read[order][0] - near_day) <= 3]
        if len(close) == 1:
            return close[0], ()
    if all("." in text for text in dates) and DateOrder.DMY in distinct:
        return DateOrder.DMY, ()
    return distinct[0], tuple(distinct)


def _year_first(dates: Sequence[str]) -> bool:
    return sum(text[:4].isdigit() for text in dates) * 2 > len(dates)


def _days(dates: Sequence[str], order: DateOrder) -> list[int]:
    days = []
    for text in dates:
        try:
            days.append(day_number(text, order))
        except CellError:
            continue
    return days


def _span(days: Sequence[int]) -> int:
    return sum(abs(b - a) for a, b in pairwise(days))
