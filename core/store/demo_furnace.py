"""The invented studio's pots: charged by night, worked by day, levels read in the morning.

No number in this file is a value to work by.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta

from core.composition.composition import Composition
from core.furnace.charged_glass import ChargedGlass
from core.furnace.ledger import Charge
from core.furnace.planned_charge import PlannedCharge
from core.furnace.pot_entry import PotEntry
from core.furnace.pot_events import NewPot, Removal
from core.furnace.taken_out import pieces_out, weighed_out
from core.glass.library import shipped_glasses
from core.melt.charge_material import batch, cullet
from core.melt.melt_task import Fill
from core.melt.melting_furnace import EnergyTerms
from core.melt.pot_level import level_seen
from core.melt.pot_vessel import PotVessel
from core.melt.usual_furnace import usual_melt
from core.store.book import Book

CLEAR_POT, GREEN_POT = "Clear pot", "Green pot"
SHAPES = {
    CLEAR_POT: PotVessel(CLEAR_POT, 0.40, 0.36, 0.36, wall_thickness=0.028, base_thickness=0.035),
    GREEN_POT: PotVessel(GREEN_POT, 0.30, 0.27, 0.31),
}
OLD_PANES = Composition.from_percent(
    {"SiO2": 71.2, "Na2O": 12.4, "CaO": 11.8, "MgO": 2.1, "Al2O3": 1.6, "K2O": 0.9}
)
"""Invented: panes from a torn-down net loft, washed and crushed."""
_DENSITY = 2350.0

_EARLIER = (
    # days before, hour, minute, material, kg
    (12, 17, 30, "cullet", 30.0),
    (12, 20, 40, "cullet", 24.0),
    (11, 18, 0, "batch", 26.0),
    (9, 17, 50, "cullet", 22.0),
    (8, 18, 10, "batch", 28.0),
    (7, 18, 0, "old panes", 14.0),
    (5, 18, 20, "cullet", 26.0),
)
_WORKED = (
    # days before, hour, minute, pieces, kg each, what
    (11, 15, 30, 14, 0.95, "decanters"),
    (10, 15, 40, 16, 0.62, "floats, ashore by Friday"),
    (9, 14, 50, 18, 0.95, "decanters"),
    (8, 15, 10, 24, 0.55, "floats"),
    (7, 15, 0, 9, 2.10, "deck prisms"),
    (6, 14, 40, 20, 0.62, "floats"),
    (5, 15, 5, 15, 0.95, "decanters"),
    (4, 15, 20, 10, 2.10, "deck prisms"),
    (2, 15, 10, 30, 0.95, "decanters, two cracked off"),
    (2, 16, 30, 22, 0.62, "floats"),
    (1, 15, 0, 18, 2.10, "deck prisms"),
    (1, 16, 20, 14, 0.30, "lamp chimneys"),
    (1, 17, 0, 16, 1.10, "deck prisms, the small ones"),
)
_TONIGHT = ((10, 12.0), (75, 8.0), (140, 4.0))
"""Charges to come: minutes from now, kg."""
_LEVELS = ((6, 8, 0, 0.155), (3, 8, 10, 0.265), (1, 8, 5, 0.085))
"""Days before, hour, minute, metres below the rim."""


def fill_demo_pots(book: Book, now: datetime) -> None:
    """Write shapes, answers and a fortnight of entries into the invented studio's pots.

    Parameters
    ----------
    book : Book
        With the pots and their latest charges in it.
    now : datetime
        Aware, in the studio's zone; nothing is entered after it.
    """

    def at(days: int, hour: int, minute: int) -> datetime:
        moment = now - timedelta(days=days)
        return moment.replace(hour=hour, minute=minute, second=0, microsecond=0)

    for pot, shape in SHAPES.items():
        book.save_pot_shape(pot, shape)
    for answer in (
        ChargedGlass("cullet", "harbour clear", pot=CLEAR_POT),
        ChargedGlass("batch", "harbour clear", 0.84, 0.03, pot=CLEAR_POT),
        ChargedGlass("old panes", OLD_PANES, 0.99, 0.03, pot=CLEAR_POT),
        ChargedGlass("cullet", "bottle green potash", pot=GREEN_POT),
        ChargedGlass("batch", "bottle green potash", 0.80, 0.03, pot=GREEN_POT),
    ):
        book.save_charged_glass(answer)
    entries: list[Charge | PotEntry] = [
        PotEntry(CLEAR_POT, NewPot(at(12, 9, 0)), "clay-alumina, heated since Monday"),
        weighed_out(CLEAR_POT, at(9, 8, 20), 1.2, Removal.SKIMMED, "stones from the rim"),
        weighed_out(CLEAR_POT, at(1, 8, 20), 0.8, Removal.SKIMMED),
        weighed_out(GREEN_POT, at(1, 16, 0), 8.5, note="net weights, weighed cold"),
    ]
    for days, hour, minute, material, mass in _EARLIER:
        entries.append(Charge(at(days, hour, minute), CLEAR_POT, material, mass))
    for days, hour, minute, count, each, what in _WORKED:
        entries.append(pieces_out(CLEAR_POT, at(days, hour, minute), count, each, what))
    for days, hour, minute, below in _LEVELS:
        seen = level_seen(SHAPES[CLEAR_POT], _DENSITY, at(days, hour, minute), below)
        entries.append(PotEntry(CLEAR_POT, seen, f"{below * 1000:.0f} mm below the rim"))
    _fill_demo_melt(book, now)
    for entry in entries:
        if isinstance(entry, Charge):
            book.add_charge(entry)
        else:
            book.add_pot_entry(entry)


def _fill_demo_melt(book: Book, now: datetime) -> None:
    """Describe the furnace, and begin tonight's melt with the first charge to come."""
    (furnace,) = {pot.furnace for pot in book.pots() if pot.name == CLEAR_POT}
    glass = shipped_glasses()["harbour clear"]
    start = now.replace(second=0, microsecond=0)
    described = usual_melt(furnace, CLEAR_POT, glass, start, capacity=90.0)
    morning = (now + timedelta(days=1)).replace(hour=8, minute=30, second=0, microsecond=0)
    book.save_furnace_melt(
        furnace,
        replace(
            described,
            furnace=replace(
                described.furnace,
                energy=EnergyTerms(price=0.24, currency="EUR", carbon_dioxide=0.16),
            ),
            pot=SHAPES[CLEAR_POT],
            programme=replace(described.programme, melting=1558.15, working=1408.15, idle=1373.15),
            materials={"cullet": cullet("cullet"), "batch": batch("batch", 0.84)},
            furnace_temperature=1408.15,
            glass_mass=59.0,
            fill=Fill("cullet", largest=18.0),
            workable_by=morning,
        ),
    )
    lines = [
        PlannedCharge(start + timedelta(minutes=after), CLEAR_POT, "cullet", mass)
        for after, mass in _TONIGHT
    ]
    book.save_charge_list(f"{CLEAR_POT}, {start:%Y-%m-%d}", lines, made_at=now)
