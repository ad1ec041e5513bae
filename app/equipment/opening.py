"""How other pages ask for a piece of equipment to be shown."""

from __future__ import annotations

from enum import StrEnum

from app.studio import Studio

_KEY = "equipment/opened"


class Kind(StrEnum):
    """What a piece of equipment is."""

    LEHR = "lehr"
    FURNACE = "furnace"


def open_equipment(studio: Studio, kind: Kind, name: str = "") -> None:
    """Go to the page “Equipment”: to the piece of that name, or to a new one when left out."""
    remember_opened(studio, kind, name)
    studio.page_wanted.emit("equipment")


def remember_opened(studio: Studio, kind: Kind, name: str) -> None:
    """Keep what was looked at last."""
    studio.settings.set_text(_KEY, f"{kind.value}:{name}")


def last_opened(studio: Studio) -> tuple[Kind, str] | None:
    """What was looked at (or asked for) last; an empty name means a new one."""
    kind, _, name = studio.settings.text(_KEY).partition(":")
    return (Kind(kind), name) if kind in set(Kind) else None
