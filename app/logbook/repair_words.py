"""How a night goes on, in plain words beside what core says of it."""

from __future__ import annotations

from datetime import tzinfo

from app.local_time import clock_text, weekday_clock
from app.widgets.quantity import Quantity, format_quantity
from core.units import UnitChoice
from core.verdict.repair import Repair, RepairKind
from core.verdict.unread import Coldest

HEADINGS = {
    RepairKind.NOTHING: "Nothing to repair",
    RepairKind.GOES_ON: "The cooling goes on from here",
    RepairKind.STILL_SOAKING: "Still at the soak: on from here",
    RepairKind.BACK_TO_SOAK: "Back to the soak, then cool anew",
    RepairKind.FROM_COLD: "Anneal again from cold",
}
CAUTION = (
    "Advice only: a polariscope decides, and cracked pieces are taken out first, with gloves and "
    "eye protection. After a power cut have whoever is licensed for gas or electricity look at "
    "the lehr before it is lit again."
)


def coldest_words(coldest: Coldest | None, units: UnitChoice, zone: tzinfo | None) -> str:
    """How cold it may have been while nobody read it; empty where there was no gap."""
    if coldest is None:
        return ""

    def degrees(kelvin: float) -> str:
        return format_quantity(Quantity.TEMPERATURE, kelvin, units)

    begin = weekday_clock(coldest.start, zone)
    until = clock_text(coldest.end, zone) if coldest.over else "now"
    return (
        f"Nothing was read from {begin} to {until}. The coldest the lehr was then lies between "
        f"{degrees(coldest.low)} and {degrees(coldest.high)}, most likely near "
        f"{degrees(coldest.likely)}."
    )


def sound_words(found: Repair) -> str:
    """Whether log and plan together keep within what is allowed; empty without a plan."""
    if found.plan is None:
        return ""
    if found.sound:
        return "Log and schedule together keep every stress within what is allowed."
    return "Some stress passes what is allowed even so; see below."
