"""Invented loggers' files in many dialects, damaged, each with the truth it began from."""

from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from random import Random

TO_KELVIN = {"C": lambda v: v + 273.15, "F": lambda v: (v + 459.67) / 1.8, "K": lambda v: v}
FROM_KELVIN = {"C": lambda k: k - 273.15, "F": lambda k: k * 1.8 - 459.67, "K": lambda k: k}
STAMPS = [
    "%Y-%m-%d %H:%M:%S",
    "%Y-%m-%dT%H:%M:%SZ",
    "%Y/%m/%d %H:%M:%S",
    "%d.%m.%Y %H:%M:%S",
    "%d/%m/%Y %H:%M:%S",
    "%m/%d/%Y %I:%M:%S %p",
    "%d-%b-%Y %H:%M:%S",
    "%d/%m/%y %H:%M:%S",
]
NAMES = {
    "C": ["T °C", "Temp (C)", "Chamber deg C", "Chamber [°C]"],
    "F": ["T °F", "Temp (F)"],
    "K": ["T [K]", "Chamber kelvin"],
}


@dataclass
class Truth:
    """What the file held before it was damaged: kelvin by UTC second, for each channel."""

    unit: str
    chamber: dict[int, float] = field(default_factory=dict)
    shelf: dict[int, float] = field(default_factory=dict)

    def allows(self, second, kelvin):
        """Tell whether a reading is one of a channel, to the rounding of a decimal."""
        return any(abs(one.get(second, -1.0) - kelvin) < 0.06 for one in (self.chamber, self.shelf))


class Dialect:
    """How one file is written."""

    def __init__(self, rng):
        self.unit = rng.choice("CCCFFK")
        self.mark = rng.choice("..,")
        self.delimiter = rng.choice(";\t" if self.mark == "," else ",,;\t")
        self.stamp = rng.choice(STAMPS)
        self.apart = rng.random() < 0.25 and "T" not in self.stamp
        self.shelf, self.set_point, self.note = (rng.random() < p for p in (0.3, 0.3, 0.2))
        stated = rng.random() < 0.75
        self.behind = stated and rng.random() < 0.2
        self.name = rng.choice(NAMES[self.unit]) if stated and not self.behind else "Chamber"
        self.places = rng.choice([1, 1, 2])

    def header(self):
        head = ["Date", "Time"] if self.apart else ["Time"]
        head += ["Set point"] if self.set_point else []
        head += [self.name]
        head += [self.name.replace("Chamber", "") + " shelf"] if self.shelf else []
        return self.delimiter.join(head + (["Note"] if self.note else []))

    def number(self, kelvin):
        return f"{FROM_KELVIN[self.unit](kelvin):.{self.places}f}".replace(".", self.mark)

    def row(self, rng, moment, kelvin):
        text = f"{moment:{self.stamp}}"
        tail = f" {self.unit}" if self.behind else ""
        cells = text.split(" ", 1) if self.apart else [text]
        cells += [self.number(kelvin + 3)] if self.set_point else []
        cells += [self.number(kelvin) + tail]
        cells += [self.number(kelvin - 11) + tail] if self.shelf else []
        cells += [rng.choice(["", "ok", "door"])] if self.note else []
        if rng.random() < 0.1:
            cells = [f'"{cell}"' for cell in cells]
        return self.delimiter.join(cells)


def make(seed):
    """A file's bytes and its truth."""
    rng = Random(seed)  # noqa: S311 -- files, not secrets
    dialect = Dialect(rng)
    truth = Truth(dialect.unit)
    moment = datetime(2026, rng.randint(1, 12), rng.randint(1, 28), rng.randint(0, 23), tzinfo=UTC)
    step, kelvin, rows = rng.choice([1, 10, 60, 300]), rng.uniform(500, 1000), []
    for _ in range(rng.randint(4, 60)):
        rows.append(dialect.row(rng, moment, kelvin))
        truth.chamber[int(moment.timestamp())] = kelvin
        if dialect.shelf:
            truth.shelf[int(moment.timestamp())] = kelvin - 11
        kelvin = min(1100.0, max(320.0, kelvin + rng.uniform(-4, 3)))
        moment += timedelta(seconds=step)
    header = [dialect.header()]
    if rng.random() < 0.3:
        header.insert(0, rng.choice(["Logger 7", "# exported", "Site: harbour", ""]))
    lines = header + rows
    for _ in range(rng.choice([0, 1, 1, 2, 4])):
        damage(rng, lines, dialect, len(header))
    return as_bytes(rng, lines), truth


def as_bytes(rng, lines):
    """Lines in some encoding, perhaps cut off or with bytes of something else among them."""
    ending = rng.choice(["\n", "\r\n", "\r"])
    text = ending.join(lines) + (ending if rng.random() < 0.8 else "")
    data = text.encode(rng.choice(["utf-8", "utf-8-sig", "utf-16", "cp1252", "utf-16-le"]))
    if rng.random() < 0.1:
        data = data[: rng.randint(len(data) // 2, len(data))]
    if rng.random() < 0.05:
        data += b"\0" * 64
    if rng.random() < 0.05:
        at = rng.randrange(len(data))
        data = data[:at] + bytes(rng.randrange(256) for _ in range(4)) + data[at:]
    return data


def damage(rng, lines, dialect, first):
    """Damage one line in a way that changes no figure into another."""
    if len(lines) <= first + 1:
        return
    delimiter, mark = dialect.delimiter, dialect.mark
    at = rng.randrange(first, len(lines))
    line = lines[at]
    broken = rng.choice(["OPEN", "3276.7", "-999.9", "nan", "", "9999", "----", "Err 4"])
    junk = rng.choice(["", "*** power on ***", "x" * 500, '"', delimiter * 9])
    head = line.rsplit(delimiter, 1)[0]
    changed = [
        [head],
        [line, line],
        [junk, line],
        [lines[0], line],
        [head + delimiter + broken],
        [line.replace(mark, "," if mark == "." else ".")],
        [line + line],
        [line.replace(delimiter, rng.choice(";\t, "), 1)],
        ['"' + line],
        [line + delimiter + rng.choice(["", "x", "12"])],
        [],
    ]
    kind = rng.randrange(len(changed) + 1)
    if kind < len(changed):
        lines[at : at + 1] = changed[kind]
    else:
        lines[0] = lines[0][: rng.randint(0, len(lines[0]))]


def with_changed_bytes(seed):
    """The file of a number with some of its bytes changed, lost or won, figures too."""
    rng = Random(seed)  # noqa: S311 -- files, not secrets
    data = bytearray(make(seed)[0])
    for _ in range(rng.randint(1, 30)):
        at, length = rng.randrange(len(data)), rng.randint(1, 8)
        kind = rng.randrange(3)
        if kind == 0:
            data[at] = rng.randrange(256)
        elif kind == 1 and len(data) > 50:
            del data[at : at + length]
        else:
            data[at:at] = bytes(rng.choice(b'0123456789,;.\t \n\r"CFK:-/') for _ in range(length))
    return bytes(data)
