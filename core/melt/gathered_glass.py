"""The glass of pieces gathered from a pot, as it was in it then."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from datetime import tzinfo

from core.errors import FurnaceError, LoadError
from core.glass.glass import Glass
from core.load.gathering import Gathering
from core.melt.pot_ledger import PotLedger
from core.melt.pot_story import glass_at


def gathered_glass(
    gathering: Gathering, ledgers: Mapping[str, PotLedger], name: str | None = None
) -> Glass:
    """The glass that was in a pot when somebody gathered from it.

    Parameters
    ----------
    gathering : Gathering
    ledgers : mapping of str to PotLedger
        By the pot's name.
    name : str, optional
        Of the glass; by default the pot's.

    Raises
    ------
    LoadError
        If the pot's ledger is not among them, or the pot was empty then.
    """
    ledger = ledgers.get(gathering.pot)
    if ledger is None:
        raise LoadError(
            f"There is no ledger of a pot called “{gathering.pot}”.",
            field="glass",
            remedy="Choose a pot that is in the book, or a glass.",
        )
    try:
        return glass_at(ledger, gathering.time, name)
    except FurnaceError as error:
        raise LoadError(
            error.message,
            field="gathered_at",
            remedy=error.remedy or "Give a time at which there was glass in the pot.",
        ) from error


def gathered_names(gatherings: Iterable[Gathering], zone: tzinfo | None) -> dict[Gathering, str]:
    """What the glasses gathered for one load are called: pot and clock time, “Clear pot 17:40”.

    The day stands with it where the clock alone would call two glasses the same.

    Parameters
    ----------
    gatherings : iterable of Gathering
    zone : tzinfo or None
        Of the clock; ``None``: the machine's own.
    """
    wanted = set(gatherings)
    local = {gathering: gathering.time.astimezone(zone) for gathering in wanted}
    short = {g: f"{g.pot} {at:%H:%M}" for g, at in local.items()}
    often = Counter(short.values())
    return {
        g: short[g] if often[short[g]] == 1 else f"{g.pot} {at.isoformat(' ', 'minutes')}"
        for g, at in local.items()
    }
