"""Tonight's list of charges in the book: made of a plan, and of a plan of the rest."""

from __future__ import annotations

from datetime import timedelta

from app.studio import Studio
from core.furnace.ledger import Pot
from core.melt.charge_plan import ChargePlan
from core.melt.tonight_melt import lines_of
from core.store.book import Book, ChargeListRecord

A_NIGHT = timedelta(hours=36)
"""A list or a start older than this is another night's."""


def tonights_list(studio: Studio, pot: Pot) -> ChargeListRecord | None:
    """The list of a pot that was made last, if it is tonight's."""
    for found in studio.book.charge_lists():
        if studio.now() - found.made_at > A_NIGHT:
            return None
        if found.items and found.items[0].planned.pot == pot.name:
            return found
    return None


def keep_plan(studio: Studio, pot: Pot, plan: ChargePlan, before: ChargeListRecord | None) -> None:
    """Write a plan as tonight's list; an earlier one of which nothing was charged goes."""
    book, task = studio.book, plan.night.task
    book.save_furnace_melt(pot.furnace, task)
    name = f"{pot.name}, {task.start:%Y-%m-%d}"
    book.save_charge_list(name, lines_of(plan, pot.name), made_at=studio.now())
    if before is not None and not any(line.done for line in before.items):
        book.delete_charge_list(before.id)


def keep_rest(book: Book, pot: Pot, plan: ChargePlan, before: ChargeListRecord) -> None:
    """Write a plan of the rest in the place of the lines not charged yet."""
    for line in lines_of(plan, pot.name):
        book.add_planned_charge(before.id, line)
    for line in before.items:
        if not line.done:
            book.delete_planned_charge(line.id)
