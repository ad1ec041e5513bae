"""The program as it is keyed in, in both ways of entry."""

from studio_loads import decanter, lehr, load

from core.equipment.lehr import Controller, Entry
from core.plan.plan import SegmentKind
from core.plan.planner import make_plan
from core.plan.program import program_in_words, rate_lines, time_lines
from core.units import TemperatureUnit, kelvin_to


def plan_with(entry: Entry, unit: TemperatureUnit = TemperatureUnit.CELSIUS):
    controller = Controller(entry=entry, unit=unit)
    return make_plan(load(decanter(), oven=lehr(4.5, controller))), controller


def test_rate_lines_lead_through_the_plan():
    plan, controller = plan_with(Entry.RATE)
    lines = rate_lines(plan, controller)
    programmed = [s for s in plan.segments if s.kind is not SegmentKind.COAST]
    assert [line.number for line in lines] == list(range(1, len(programmed) + 1))
    temperature = kelvin_to(programmed[0].target)
    for line, segment in zip(lines[1:], programmed[1:], strict=True):
        minutes = abs(line.target - temperature) / line.rate * 60
        assert abs(minutes * 60 - segment.ramp_time) < 1.0
        temperature = line.target


def test_time_lines_take_as_long_as_the_plan():
    plan, controller = plan_with(Entry.TIME, TemperatureUnit.FAHRENHEIT)
    lines = time_lines(plan, controller)
    planned = sum(s.duration for s in plan.segments if s.kind is not SegmentKind.COAST)
    assert sum(line.minutes for line in lines) * 60 == planned


def test_words_leave_out_holds_of_nothing():
    plan, controller = plan_with(Entry.RATE)
    first, *others = program_in_words(plan, controller)
    assert "hold" in first
    assert all("hold" not in line for line in others)
    plan, controller = plan_with(Entry.TIME)
    assert all(" in " in line for line in program_in_words(plan, controller))
