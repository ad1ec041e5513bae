"""Batch files."""

from pathlib import Path

import pytest

from core.batch.reckon import make_batch
from core.batch.request import Bound, Counted, MeltSize, Prefer
from core.batch.request_file import library_composition, parse_batch, read_batch
from core.errors import BatchError, LehrkeeperError, LoadError

DEMO = Path(__file__).parents[3] / "demo_data" / "batch"

WHOLE = """
name = "Friday"
composition = "SiO2 70, Na2O 16, CaO 14 wt%"
batch_kg = 24
division_g = 5
fine_division_g = 0.05
prefer = "fewest"

[cullet]
name = "shards"
composition = "SiO2 72, Na2O 14, CaO 14"
share_percent = 25
price_per_kg = 0.1

[weights]
CaO = 3

[volatilises_percent]
Na2O = 1.5

[bounds."soda ash"]
at_least_kg = 0.5
at_most_kg = 9

[bounds.dolomite]
fixed_kg = 0.25

[[additions]]
material = "CoO"
ppm = 150
counted = "on top"

[[additions]]
material = "soda nitre"
percent = 0.5
"""


def test_every_key_is_read():
    request = parse_batch(WHOLE).request
    assert (request.name, request.size, request.size_of) == ("Friday", 24.0, MeltSize.BATCH)
    assert request.target.weight("CaO") == pytest.approx(14.0)
    assert request.division == pytest.approx(0.005)
    assert request.fine_division == pytest.approx(0.00005)
    assert request.prefer is Prefer.FEWEST
    assert request.cullet.share == pytest.approx(0.25)
    assert request.cullet.price == pytest.approx(0.1)
    assert request.weights == {"CaO": 3.0}
    assert request.volatilises == pytest.approx({"Na2O": 0.015})
    assert request.bounds["soda ash"] == Bound(0.5, 9.0)
    assert request.bounds["dolomite"] == Bound.fixed(0.25)
    assert [one.share for one in request.additions] == pytest.approx([150e-6, 0.005])
    assert [one.counted for one in request.additions] == [Counted.ON_TOP, None]
    batch = make_batch(request)
    assert batch.balance.weighed == pytest.approx(24.0, abs=0.05)


@pytest.mark.parametrize(
    "path", [*sorted(DEMO.glob("[!h]*.toml")), DEMO / "harbour_clear_friday.toml"]
)
def test_every_example_makes_a_batch(path):
    batch = make_batch(read_batch(path).request)
    assert abs(batch.balance.open) < 1e-9
    assert not batch.unpriced or batch.unpriced == ("harbour clear",)


def test_a_wish_moves_the_target_and_keeps_where_it_came_from():
    asked = read_batch(DEMO / "deck_prism_blue.toml")
    assert asked.request.wished_from == asked.start
    assert asked.request.target != asked.start
    batch = make_batch(asked.request)
    assert batch.target_properties.expansion.value == pytest.approx(96e-7, abs=0.05e-7)


BAD = [
    ("glass_kg = 3\n", None, "no target"),
    ('composition = "SiO2 50"\n', 1, "adds up to 50"),
    ('library = "harbour cleer"\n', 1, "no glass called"),
    ('library = "harbour clear"\ncomposition = "SiO2 100"\n', 1, "both an analysis"),
    ('library = "harbour clear"\nglass_kg = -4\n', 2, "melt of -4"),
    ('library = "harbour clear"\nbatch_kg = 0\n', 2, "melt of 0"),
    ('library = "harbour clear"\nglass_kg = 4\nbatch_kg = 5\n', 3, "both a size"),
    ('library = "harbour clear"\nkilos = 4\n', 2, "not a known key"),
    ('library = "harbour clear"\ndivision_g = 0\n', 2, "division of 0"),
    ('library = "harbour clear"\nprefer = "best"\n', 2, "not possible here"),
    ('library = "harbour clear"\n[cullet]\nshare_percent = 3\n', 2, "no analysis"),
    ('library = "harbour clear"\n[cullet]\nlibrary = "clear float"\n', 2, "share of the glass"),
    (
        'library = "harbour clear"\n[cullet]\nlibrary = "clear float"\nshare_percent = 130\n',
        4,
        "share of 130",
    ),
    ('library = "harbour clear"\n[weights]\nSand = 2\n', 3, "not an oxide"),
    ('library = "harbour clear"\n[volatilises_percent]\nPbO = 80\n', 3, "loss of 80"),
    ('library = "harbour clear"\n[bounds."soap"]\nat_most_kg = 2\n', 2, "no material called"),
    (
        'library = "harbour clear"\n[bounds."soda ash"]\nat_most_kg = 2\nat_least_kg = 3\n',
        4,
        "cannot both be",
    ),
    (
        'library = "harbour clear"\n[bounds."soda ash"]\nfixed_kg = 2\nat_least_kg = 3\n',
        3,
        "fixed and bounded",
    ),
    ('library = "harbour clear"\n[bounds."soda ash"]\nfixed_kg = -2\n', 3, "bound of -2"),
    ('library = "harbour clear"\n[[additions]]\nmaterial = "CoO"\n', 2, "needs its amount"),
    (
        'library = "harbour clear"\n[[additions]]\nmaterial = "CoO"\nppm = 900000\n',
        4,
        "addition of 90",
    ),
    (
        'library = "harbour clear"\n[[additions]]\nmaterial = "moonstone"\nppm = 9\n',
        3,
        "no material called",
    ),
    ('library = "harbour clear"\n[property]\nchange = "Na2O CaO"\n', 2, "No property"),
    (
        'library = "harbour clear"\n[property]\nannealing_point_rise_C = 5\nchange = "salt"\n',
        4,
        "not an oxide",
    ),
    (
        'library = "harbour clear"\n[property]\nexpansion_1e7_per_K = 0.5\n',
        3,
        "expansion of 0.5",
    ),
    ('library = "harbour clear"\nmaterials = "nowhere.toml"\n', None, "no such file"),
    ('library = "harbour clear\n', 1, "not valid TOML"),
]


@pytest.mark.parametrize(("text", "line", "says"), BAD, ids=[says for _, _, says in BAD])
def test_a_fault_is_placed(text, line, says, tmp_path):
    path = tmp_path / "batch.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(LoadError, match=says) as caught:
        read_batch(path)
    assert caught.value.place.file.startswith(str(tmp_path))
    if line is not None:
        assert caught.value.place.line == line
    assert caught.value.remedy or "TOML" in says


def test_a_negative_stock_is_found_in_the_list_it_stands_in(tmp_path):
    (tmp_path / "shelf.toml").write_text(
        '[[material]]\nname = "sand"\nformula = "SiO2"\nstock_kg = -1\n', encoding="utf-8"
    )
    (tmp_path / "b.toml").write_text(
        'library = "harbour clear"\nmaterials = "shelf.toml"\n', encoding="utf-8"
    )
    with pytest.raises(LehrkeeperError, match="stock of -1") as caught:
        read_batch(tmp_path / "b.toml")
    assert caught.value.place.file.endswith("shelf.toml")
    assert caught.value.place.line == 4


def test_a_glass_known_by_points_alone_is_no_target(monkeypatch):
    from core.batch import request_file
    from core.glass.glass import Glass, MeasuredPoints

    points = MeasuredPoints(strain_point=780.0, annealing_point=810.0, expansion=9e-6)
    monkeypatch.setattr(request_file, "find_glass", lambda name: Glass(name, measured=points))
    with pytest.raises(BatchError, match="no analysis"):
        library_composition("supplier's")
