"""README lists every key a melt file may have."""

from dataclasses import replace
from datetime import time
from pathlib import Path

import pytest
from quay_furnace import POT, gas

from core.melt.charging_hours import ClosedHours
from core.melt.furnace_fit import scaled_furnace
from core.melt.melt_file import read_melt
from core.melt.melt_task import SetCharge
from core.melt.melt_writer import melt_to_toml
from core.melt.standing_pot import StandingPot

ROOT = Path(__file__).parents[3]
TASK = read_melt(ROOT / "demo_data" / "quay_pot_overnight.toml")
FITTED = scaled_furnace(TASK.furnace, POT, 1.1, 1.0, 1.0)[0]
FULL = (
    replace(
        TASK,
        furnace=FITTED,
        fill=replace(TASK.fill, closed=(ClosedHours(time(1), time(2)),)),
        other_pots=(StandingPot(POT, 3.0),),
        programme=replace(TASK.programme, idle=1300.0),
    ),
    replace(
        TASK,
        furnace=gas(),
        fill=None,
        charges=(SetCharge(TASK.start, "crushed harbour clear", 3.0),),
    ),
)


@pytest.mark.parametrize("task", FULL, ids=["electric", "gas"])
def test_every_key_that_is_written_is_explained(task):
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    section = readme.partition("## Melt files")[2].partition("\n## ")[0]
    assert section
    text = melt_to_toml(task).partition("[glasses")[0]
    for line in text.splitlines():
        key, mark, _ = line.partition(" = ")
        wanted = key if mark else line.strip("[]").partition('."')[0]
        if wanted:
            assert f"{wanted}" in section, f"{wanted} is not listed"
