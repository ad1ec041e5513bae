"""The watch's limits among the preferences."""

from __future__ import annotations

import json
from dataclasses import fields, replace
from datetime import time

from app.settings import Settings
from core.errors import LehrkeeperError
from core.live.watch_types import QuietHours, WatchSettings

_KEY, _SOUND = "watch/limits", "watch/sound"


def watch_settings(settings: Settings) -> WatchSettings:
    """The limits as set, or the usual ones where they cannot be read."""
    usual = WatchSettings()
    try:
        kept = json.loads(settings.text(_KEY, "{}"))
        numbers = {
            field.name: float(kept[field.name])
            for field in fields(WatchSettings)
            if field.name != "quiet" and field.name in kept
        }
        quiet = kept.get("quiet")
        hours = (
            QuietHours(time.fromisoformat(quiet[0]), time.fromisoformat(quiet[1]))
            if quiet
            else None
        )
        return replace(usual, **numbers, quiet=hours)
    except (ValueError, TypeError, AttributeError, IndexError, LehrkeeperError):
        return usual


def keep_watch_settings(settings: Settings, limits: WatchSettings) -> None:
    """Remember the limits."""
    kept: dict[str, object] = {
        field.name: getattr(limits, field.name)
        for field in fields(WatchSettings)
        if field.name != "quiet"
    }
    if limits.quiet is not None:
        kept["quiet"] = [f"{limits.quiet.begin:%H:%M}", f"{limits.quiet.end:%H:%M}"]
    settings.set_text(_KEY, json.dumps(kept))


def sound_wanted(settings: Settings) -> bool:
    """Whether alarms sound."""
    return settings.flag(_SOUND, default=True)


def keep_sound_wanted(settings: Settings, *, wanted: bool) -> None:
    """Remember whether alarms sound."""
    settings.set_flag(_SOUND, value=wanted)
