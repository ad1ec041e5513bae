"""Usual losses: which oxides have one, and that a batch with them still gives the target."""

import pytest

from core.batch.material_file import shipped_materials
from core.batch.reckon import make_batch
from core.batch.request import GREATEST_LOSS, BatchRequest
from core.batch.volatilisation import USUAL_LOSSES, usual_losses
from core.composition.composition import Composition

LEAD = Composition.from_percent({"SiO2": 57.0, "PbO": 29.0, "K2O": 13.0, "B2O3": 1.0})


def test_only_volatile_oxides_have_a_loss() -> None:
    found = usual_losses(LEAD.weight_percent)
    assert set(found) == {"PbO", "K2O", "B2O3"}
    assert usual_losses(["SiO2", "CaO", "Al2O3", "FeO"]) == {}
    assert all(0.0 < share < GREATEST_LOSS for share in USUAL_LOSSES.values())


def test_more_is_weighed_so_that_the_target_is_met() -> None:
    plain = make_batch(BatchRequest("lead", LEAD, shipped_materials(), 40.0))
    losses = usual_losses(LEAD.weight_percent)
    allowed = make_batch(BatchRequest("lead", LEAD, shipped_materials(), 40.0, volatilises=losses))
    for oxide in losses:
        assert allowed.glass.weight(oxide) == pytest.approx(LEAD.weight(oxide), abs=0.02)
        # What leaves is the share of what was brought: kept / (1 - loss) * loss.
        kept = allowed.balance.glass * allowed.glass.weight(oxide) / 100.0
        gone = kept * losses[oxide] / (1.0 - losses[oxide])
        assert allowed.volatilised[oxide] == pytest.approx(gone, rel=1e-6)
    assert allowed.balance.weighed > plain.balance.weighed
    assert any("from memory, unverified" in note for note in allowed.notes)
    assert not any("from memory" in note for note in plain.notes)


def test_a_loss_found_is_not_called_usual() -> None:
    batch = make_batch(
        BatchRequest("lead", LEAD, shipped_materials(), 40.0, volatilises={"PbO": 0.031})
    )
    assert not any("from memory" in note for note in batch.notes)
