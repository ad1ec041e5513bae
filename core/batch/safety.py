"""A line of safety for each material, deferring to the supplier's sheet and local rules.

The limits named are those of 29 CFR 1910.1053 (respirable crystalline silica) and 29 CFR
1910.1025 (lead), eight-hour means; other countries have their own. All else is from memory,
unverified, and general on purpose.
"""

from __future__ import annotations

from collections.abc import Iterable

from core.batch.material import Hazard, Material

DEFER = (
    "The supplier's safety data sheet and the rules where you work come before these lines; have "
    "them at hand before you open a bag."
)
MIXING = (
    "Weigh and mix under extraction or with a fitted dust mask, wet-wipe or vacuum with a fine "
    "filter, never sweep dry; keep food and children out of the batch room."
)
GENERAL = (MIXING, DEFER)

_SENTENCE = {
    Hazard.SILICA: (
        "respirable crystalline silica: its dust causes silicosis and lung cancer (US limit "
        "0.05 mg/m3, action level 0.025 mg/m3 over 8 hours)"
    ),
    Hazard.LEAD: (
        "lead: poisonous as dust and fume, harms unborn children (US limit 0.05 mg/m3, action "
        "level 0.03 mg/m3 over 8 hours); blood tests, own clothes, no dry sweeping"
    ),
    Hazard.TOXIC: "poisonous: keep it off skin and out of the air, gloves and a mask",
    Hazard.ALKALI: "alkali: burns eyes and airways, goggles and gloves",
    Hazard.NITRATE: (
        "nitrate, an oxidiser: keep it from anything that burns; it gives off nitrogen oxides in "
        "the melt, so extract the fume"
    ),
    Hazard.SULPHATE: "sulphate: gives off sulphur oxides in the melt, so extract the fume",
    Hazard.FUME: "its fume causes fever: extract it",
    Hazard.DUST: "dust: a mask",
}


def safety_line(material: Material) -> str | None:
    """What to mind with a material; ``None`` if its list names no hazard."""
    parts = [_SENTENCE[hazard] for hazard in material.hazards]
    if not parts and not material.hazard:
        return None
    text = "; ".join(parts)
    remark = f" {material.hazard}" if material.hazard else ""
    return f"{material.name}: {text}.{remark}" if text else f"{material.name}:{remark}"


def safety_lines(materials: Iterable[Material]) -> tuple[str, ...]:
    """Lines for the materials of a batch, then the general ones."""
    lines = [line for material in materials if (line := safety_line(material)) is not None]
    return (*lines, *GENERAL)
