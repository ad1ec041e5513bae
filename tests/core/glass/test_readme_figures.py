"""The figures README gives for the fitted model are those of its report."""

import re
from pathlib import Path

from core.glass.property_fit.coefficients import FILE

README = Path(__file__).parents[3] / "README.md"


def _rows(text: str, title: str) -> dict[str, list[str]]:
    """Cells of the first table under a heading, by their first."""
    section = text.split(f"## {title}\n", 1)[1].split("\n## ", 1)[0]
    table = section[section.index("|") :].split("\n\n", 1)[0]
    rows = [[cell.strip() for cell in line.strip("|").split("|")] for line in table.splitlines()]
    return {row[0]: row[1:] for row in rows[2:]}


def test_readme_repeats_the_report():
    report = FILE.with_name("REPORT.md").read_text("utf-8")
    errors = _rows(report, "Errors")
    coverage = _rows(report, "Coverage of the 90 % interval")
    published = _rows(report, "Against the published models")
    shown = _rows(README.read_text("utf-8"), "How sure the numbers are")
    assert len(shown) == 10
    for name, (ours, fluegel, lakatos, inside) in shown.items():
        assert errors[name][1].split(" (")[0] == ours, name
        assert coverage[name][0].split(" (")[0] == inside.removesuffix(" %"), name
        theirs = re.findall(r"(\S+) \((\S+)\)", published[name][0])[1:]
        if len(theirs) == 2:  # factors, not these models, for expansion and density
            assert [fluegel, lakatos] == [f"{half} / {most}" for half, most in theirs], name
