import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.composition.amounts import AmountKind, Unit, read_amount
from core.errors import CompositionError


@pytest.mark.parametrize(
    ("text", "value", "error", "kind"),
    [
        ("72.5", 72.5, 0.0, AmountKind.NUMBER),
        ("72,5", 72.5, 0.0, AmountKind.NUMBER),
        ("1e-3", 0.001, 0.0, AmountKind.NUMBER),
        (".5 %", 0.5, 0.0, AmountKind.NUMBER),
        ("450 ppm", 0.045, 0.0, AmountKind.NUMBER),
        ("450ppmw", 0.045, 0.0, AmountKind.NUMBER),
        ("12 mg/kg", 0.0012, 0.0, AmountKind.NUMBER),
        ("12 µg/g", 0.0012, 0.0, AmountKind.NUMBER),
        ("50 ppb", 5e-6, 0.0, AmountKind.NUMBER),
        ("3 ‰", 0.3, 0.0, AmountKind.NUMBER),
        ("<0.1", 0.05, 0.1 / math.sqrt(12), AmountKind.LIMIT),
        ("< 0,1 %", 0.05, 0.1 / math.sqrt(12), AmountKind.LIMIT),
        ("≤ 0.1", 0.05, 0.1 / math.sqrt(12), AmountKind.LIMIT),
        ("less than 0.1", 0.05, 0.1 / math.sqrt(12), AmountKind.LIMIT),
        ("up to 0.1", 0.05, 0.1 / math.sqrt(12), AmountKind.LIMIT),
        ("<50 ppm", 0.0025, 0.005 / math.sqrt(12), AmountKind.LIMIT),
        ("trace", 0.05, 0.1 / math.sqrt(12), AmountKind.TRACE),
        ("tr.", 0.05, 0.1 / math.sqrt(12), AmountKind.TRACE),
        ("20 to 30", 25.0, 10 / math.sqrt(12), AmountKind.RANGE),
        ("20-30", 25.0, 10 / math.sqrt(12), AmountKind.RANGE),
        ("20–30 %", 25.0, 10 / math.sqrt(12), AmountKind.RANGE),
        ("20 … 30", 25.0, 10 / math.sqrt(12), AmountKind.RANGE),
        ("20 % to 30 %", 25.0, 10 / math.sqrt(12), AmountKind.RANGE),
        ("between 20 and 30", 25.0, 10 / math.sqrt(12), AmountKind.RANGE),
        ("12.5 ± 0.5", 12.5, 0.5, AmountKind.ERROR),
        ("12,5 +/- 0,5", 12.5, 0.5, AmountKind.ERROR),
        ("12.5 +- 0.5 %", 12.5, 0.5, AmountKind.ERROR),
        ("12.5 ± 4 % rel", 12.5, 0.5, AmountKind.ERROR),
        ("120 ± 20 ppm", 0.012, 0.002, AmountKind.ERROR),
        ("12(1)", 12.0, 1.0, AmountKind.ERROR),
        ("ca. 30", 30.0, 0.0, AmountKind.ABOUT),
        ("~30", 30.0, 0.0, AmountKind.ABOUT),
        ("-", 0.0, 0.0, AmountKind.NOTHING),
        ("–", 0.0, 0.0, AmountKind.NOTHING),
        ("", 0.0, 0.0, AmountKind.NOTHING),
        ("n.d.", 0.0, 0.0, AmountKind.NOTHING),
        ("b.d.l.", 0.0, 0.0, AmountKind.NOTHING),
        ("<LOD", 0.0, 0.0, AmountKind.NOTHING),
        ("not detected", 0.0, 0.0, AmountKind.NOTHING),
        ("n.a.", 0.0, 0.0, AmountKind.UNKNOWN),
        ("not analysed", 0.0, 0.0, AmountKind.UNKNOWN),
    ],
)
def test_amounts_as_analyses_report_them(
    text: str, value: float, error: float, kind: AmountKind
) -> None:
    amount = read_amount(text, "Fe2O3")
    assert amount.value == pytest.approx(value, rel=1e-12)
    assert amount.error == pytest.approx(error, rel=1e-9)
    assert amount.kind is kind


def test_the_error_of_a_range_is_that_of_even_likelihood() -> None:
    # Against the variance of equally spaced values, (n^2 - 1)/12 in units of their spacing.
    n = 100_001
    values = [20 + 10 * i / (n - 1) for i in range(n)]
    mean = math.fsum(values) / n
    deviation = math.sqrt(math.fsum((v - mean) ** 2 for v in values) / n)
    assert read_amount("20 to 30", "PbO").error == pytest.approx(deviation, rel=1e-4)


def test_a_column_in_ppm_counts_for_numbers_without_a_unit() -> None:
    assert read_amount("450", "CoO", Unit.PPM).value == pytest.approx(0.045)
    assert read_amount("<50", "CoO", Unit.PPM).value == pytest.approx(0.0025)
    assert read_amount("450 ppm", "CoO", Unit.PPM).value == pytest.approx(0.045)


@pytest.mark.parametrize(
    ("text", "unit", "words"),
    [
        (">60", None, "no upper end"),
        ("30-20", None, "does not run upwards"),
        ("12.5 ± -0.5", None, "negative error"),
        ("<0", None, "no possible limit"),
        ("1,234 ppm", None, "1.234 or 1234 ppm"),
        ("1,234", Unit.PPM, "1.234 or 1234 ppm"),
        ("12,345,678 ppm", None, "12345678 ppm"),
        ("1.250,5", None, "is not a number"),
        ("1.2.3", None, "is not a number"),
        ("1e999", None, "too large"),
        ("5 % ppm", None, "names two units"),
        ("0.5 %", Unit.PPM, "the column is in ppm"),
        ("trace", Unit.PPM, "says nothing of an amount in ppm"),
        ("12 34", None, "is not an amount"),
        ("some", None, "is not an amount"),
        ("١٢", None, "is not an amount"),
        ("7²", None, "is not an amount"),
    ],
)
def test_what_cannot_be_read_with_certainty_is_refused(
    text: str, unit: Unit | None, words: str
) -> None:
    with pytest.raises(CompositionError, match=words) as caught:
        read_amount(text, "Fe2O3", unit)
    assert caught.value.field == "Fe2O3"
    assert caught.value.remedy


def outcome(text: str, unit: Unit | None) -> str:
    """The message of a plain error, empty when the amount was read; raises anything else."""
    try:
        amount = read_amount(text, "CaO", unit)
    except CompositionError as error:
        return str(error)
    return "" if math.isfinite(amount.value) and 0 <= amount.error < math.inf else "not finite"


@given(st.text(max_size=40), st.sampled_from([None, Unit.PPM]))
def test_any_text_is_an_amount_or_a_plain_error(text: str, unit: Unit | None) -> None:
    assert outcome(text, unit) != "not finite"


_BITS = st.sampled_from(
    [
        *("12.5", "12,5", "0", "1e5", "1e308", "9" * 400, ".", ",", "(", ")", "[", "<", ">", "~"),
        *("±", "+/-", "-", "–", " to ", " and ", "between ", "%", "ppm", "rel", " ", "trace", "nd"),
        *("n.a.", "ca.", "…", "..", "‰", "mg/kg", "٣", "²", "E", "e-"),
    ]
)


@given(st.lists(_BITS, max_size=8).map("".join), st.sampled_from([None, Unit.PPM, Unit.PPB]))
def test_garbled_amounts_never_become_anything_else(text: str, unit: Unit | None) -> None:
    assert outcome(text, unit) != "not finite"


@given(st.floats(0.001, 100.0), st.floats(0.001, 10.0))
def test_an_error_written_out_is_read_back(value: float, error: float) -> None:
    amount = read_amount(f"{value!r} ± {error!r}", "CaO")
    assert (amount.value, amount.error) == (value, error)
