"""Symbols, tags and their texts as stamps: what one thing on a column covers, measured before it is placed.

A stamp is drawn round the point where its column's line passes. Its texts stand in fixed slots, so that a column only
has to be as wide as its widest stamp to be free of overlaps.
"""

from __future__ import annotations

from functools import lru_cache

from msgspec import Struct
from msgspec.structs import replace

from rigline.layout.oneline import Device, Station, Tag
from rigline.layout.plan import Text
from rigline.layout.symbols import SymbolBox
from rigline.layout.text import ascent_mm, descent_mm, shortened, text_width_mm

DATA_MM = 2.5
"""Capital height of designations and ratings. Source: ISO 3098 step (from memory)."""
TAG_MM = 1.8
"""Capital height of wire tags. Source: ISO 3098 step (from memory)."""
BUS_MM = 3.5
"""Capital height of a bus's designation. Source: ISO 3098 step (from memory)."""
ROW_FRAC = 1.6
"""Distance of text rows in capital heights: a gap of half to one letter height. Source: ASME Y14.2-2008, 4.5."""
BAR_DROP_MM = 2.2
"""From the middle of an earth bus to its label below. Our own choice."""
LABEL_GAP_MM = 2.2
"""From a symbol to its label. Our own choice, tried on drawings."""
TAG_GAP_MM = 3.6
"""From a wire to its tag: clear of the slashes and of a fuse above or below. Our own choice."""
FLAG_MM = 5.0
"""Room for one numbered flag. Our own choice."""
FLAG_CLEAR_MM = 1.0
"""Between flags and what they stand beside. Our own choice."""
FLAG_RISE_MM = 2.2
"""From a designation's baseline to the middle of the flags behind it. Our own choice: clear of the next line."""
MAX_LINE_MM = 62.0
"""A longer line of a label goes on in the next one. Our own choice: a third of the smallest sheet at most."""
NARROW_MM = 10.0
"""Room for a device's label in the narrow style. Our own choice: "100 A" fits."""
DEVICE_MM = 30.0
"""Room for what shares a line of a device's label. Our own choice: "F1 250 A, class T" fits."""
RATINGS_MM = 40.0
"""Room for ratings of a station that share a line. Our own choice: "LiFePO4, 12.8 V 300 Ah" fits."""
JOINED_MM = 22.0
"""Room for a tag's joined line; in the narrow style a little more than a device's label. Our own choice."""
REFERENCE = "from sheet 88 / M88"
"""Stands for a reference until the sheets are known: as wide as any."""
SOURCE_REFERENCE = "from sheet 99 / M99"
"""The same for the upper end of a column whose beginning stands on another sheet."""
CONTINUED = "also on sheets 88, 88, …"
"""Stands for the sheets on which a bus goes on."""
ENTRIES_IN_ROW = 2
"""References in one row of an earth's label. Our own choice."""
ENTRY_GAP_MM = 3.0
"""Between them. Our own choice."""
MAX_LINES = 6
"""Further lines of a label are left to the tables. Our own choice."""


class Style(Struct, frozen=True):
    """How the texts of a sheet stand, from roomy to narrow."""

    load_label: str = "right"
    """right | below | turned: the label of what stands at a column's end."""
    joined: bool = False
    """The first two lines of a tag stand in one, where that is not wide."""
    left: str = ""
    """up | all: tags above the buses, or all, stand left of the wire, between the symbols: low, but wide."""
    narrow: bool = False
    """Labels of loads' devices are broken at blanks."""
    mixed: bool = False
    """Rows are counted from the bus, so that different kinds of devices may share one: low."""
    turned: bool = False
    """Device labels and tags are turned by 90 degrees."""


class Stamp(Struct, frozen=True):
    """What one thing covers, seen from the point where its column passes: all distances are positive outwards."""

    left: float
    right: float
    up: float
    down: float
    beside_up: float = 0.0
    """The same for what stands right of the line, where tags are: the label, or all of a wide symbol."""
    beside_down: float = 0.0
    texts: tuple[Text, ...] = ()
    flags: tuple[tuple[int, float, float], ...] = ()
    """Number of a finding and the flag's centre."""


def moved(text: Text, dx_mm: float, dy_mm: float) -> Text:
    """The same text elsewhere."""
    x, y = round(text.x_mm + dx_mm, 3), round(text.y_mm + dy_mm, 3)
    return Text(x, y, text.text, text.capital_mm, text.anchor, text.turn_deg, text.bold, text.color)


@lru_cache(maxsize=4096)
def measured(text: str, capital_mm: float, bold: bool = False) -> float:
    """Width of a text; the same words are asked for in every style."""
    return text_width_mm(text, capital_mm, bold)


@lru_cache(maxsize=4096)
def wrapped(lines: tuple[str, ...], capital_mm: float, room_mm: float = MAX_LINE_MM) -> tuple[str, ...]:
    """Lines no wider than the room: broken at blanks, cut with an ellipsis where a single word is too long."""
    result: list[str] = []
    for line in lines:
        current = ""
        for word in line.split():
            longer = f"{current} {word}".strip()
            if current and measured(longer, capital_mm) > room_mm:
                result.append(current)
                longer = word
            fits = measured(longer, capital_mm) <= MAX_LINE_MM
            current = longer if fits else shortened(longer, MAX_LINE_MM, capital_mm)
        result.extend([current] if current else [])
    if len(result) > MAX_LINES:
        result = [*result[: MAX_LINES - 1], result[MAX_LINES - 1] + " …"]
    return tuple(result)


@lru_cache(maxsize=4096)
def compacted(lines: tuple[str, ...], kept: int, room_mm: float) -> tuple[str, ...]:
    """Lines after the first `kept` share a line where that is no wider than the room or the widest one alone."""
    widest = max(room_mm, block_width(lines, DATA_MM))
    result = list(lines[:kept])
    for line in lines[kept:]:
        longer = f"{result[-1]}, {line}" if len(result) > kept else line
        if len(result) > kept and measured(longer, DATA_MM) <= widest:
            result[-1] = longer
        else:
            result.append(line)
    return tuple(result)


def joined(lines: tuple[str, ...], room_mm: float) -> tuple[str, ...]:
    """The first two lines of a tag in one, if there is room."""
    one = "\u00a0\u00a0".join(lines[:2])
    return (one, *lines[2:]) if lines and measured(one, TAG_MM) <= room_mm else lines


def pitch_mm(capital_mm: float) -> float:
    """From baseline to baseline."""
    return ROW_FRAC * capital_mm


@lru_cache(maxsize=4096)
def block_width(lines: tuple[str, ...], capital_mm: float, bold: bool = False) -> float:
    """Width of the widest line; the first one may be bold."""
    widths = [measured(line, capital_mm, bold and number == 0) for number, line in enumerate(lines)]
    return max(widths, default=0.0)


def block_height(lines: tuple[str, ...], capital_mm: float) -> float:
    """Height of the lines one below the other."""
    if not lines:
        return 0.0
    return (len(lines) - 1) * pitch_mm(capital_mm) + ascent_mm(capital_mm) + descent_mm(capital_mm)


def upright(
    lines: tuple[str, ...], x: float, top: float, capital_mm: float, anchor: str = "start", bold: bool = False
) -> tuple[Text, ...]:
    """Lines one below the other, the first one's highest ink at `top`."""
    first = top + ascent_mm(capital_mm)
    return tuple(
        Text(x, first + number * pitch_mm(capital_mm), line, capital_mm, anchor, bold=bold and number == 0)
        for number, line in enumerate(lines)
    )


def upended(
    lines: tuple[str, ...], left: float, y: float, capital_mm: float, anchor: str = "middle", bold: bool = False
) -> tuple[Text, ...]:
    """Lines turned to be read from the right, the first one's highest ink at `left`."""
    first = left + ascent_mm(capital_mm)
    return tuple(
        Text(first + number * pitch_mm(capital_mm), y, line, capital_mm, anchor, 90, bold=bold and number == 0)
        for number, line in enumerate(lines)
    )


def _beside(lines: tuple[str, ...], x: float, capital_mm: float, turn: bool, bold: bool) -> tuple[Text, ...]:
    """Lines to the right of x, centred on the height 0."""
    if turn:
        return upended(lines, x, 0.0, capital_mm, bold=bold)
    return upright(lines, x, -block_height(lines, capital_mm) / 2, capital_mm, bold=bold)


def _extent(lines: tuple[str, ...], capital_mm: float, turn: bool, bold: bool = False) -> tuple[float, float]:
    """Width and height of a block, turned or not."""
    width, height = block_width(lines, capital_mm, bold), block_height(lines, capital_mm)
    return (height, width) if turn else (width, height)


def _with_flags(stamp: Stamp, numbers: tuple[int, ...]) -> Stamp:
    """Flags to the left of everything, one below the other."""
    if not numbers:
        return stamp
    x = -stamp.left - FLAG_CLEAR_MM - FLAG_MM / 2
    top = -(len(numbers) - 1) * FLAG_MM / 2
    flags = tuple((number, x, top + index * FLAG_MM) for index, number in enumerate(numbers))
    reach = len(numbers) * FLAG_MM / 2
    up, down = max(stamp.up, reach), max(stamp.down, reach)
    return replace(stamp, left=stamp.left + FLAG_MM + FLAG_CLEAR_MM, flags=flags, up=up, down=down)


def _with_flag_row(stamp: Stamp, numbers: tuple[int, ...]) -> Stamp:
    """Flags in a row behind the designation; the sides of the symbol stay free for its wires."""
    if not numbers or not stamp.texts:
        return _with_flags(stamp, numbers)
    name = stamp.texts[0]
    left = name.x_mm + measured(name.text, name.capital_mm, name.bold) + 1.0
    y = name.y_mm - FLAG_RISE_MM
    flags = tuple((number, left + (index + 0.5) * FLAG_MM, y) for index, number in enumerate(numbers))
    up = max(stamp.up, FLAG_MM / 2 - y)
    right = max(stamp.right, left + len(numbers) * FLAG_MM)
    return replace(stamp, right=right, up=up, beside_up=max(stamp.beside_up, up), flags=flags)


def device_stamp(device: Device, box: SymbolBox, style: Style, narrow: bool) -> Stamp:
    """A symbol in line with its label at the right."""
    lines = wrapped(device.lines, DATA_MM, NARROW_MM if narrow else MAX_LINE_MM)
    if style.joined and not narrow:
        lines = compacted(lines, 0, DEVICE_MM)
    width, height = _extent(lines, DATA_MM, style.turned)
    half, tall = box.width_mm / 2, box.height_mm / 2
    texts = _beside(lines, half + LABEL_GAP_MM, DATA_MM, style.turned, bold=False)
    right = half + (LABEL_GAP_MM + width if lines else 0.0)
    reach = max(tall, height / 2)
    beside = height / 2 if half <= TAG_GAP_MM - 1.0 else reach
    return _with_flags(Stamp(half, right, reach, reach, beside, beside, texts), device.flags)


def station_stamp(station: Station, box: SymbolBox, place: str, narrow: bool, tight: bool) -> Stamp:
    """A symbol with its label at the right, below or turned below, seen from the symbol's centre."""
    half, tall = box.width_mm / 2, box.height_mm / 2
    if place == "right":
        lines = wrapped(station.lines, DATA_MM)
        lines = compacted(lines, 2, RATINGS_MM) if tight else lines
        width, height = _extent(lines, DATA_MM, False, bold=True)
        texts = _beside(lines, half + LABEL_GAP_MM, DATA_MM, False, bold=True)
        reach = max(tall, height / 2)
        right = half + (LABEL_GAP_MM + width if lines else 0.0)
        return _with_flag_row(Stamp(half, right, reach, reach, reach, reach, texts), station.flags)
    if place == "bar":
        lines = wrapped(station.lines, DATA_MM, 40.0)
        texts = upright(lines, 0.0, BAR_DROP_MM, DATA_MM, bold=True)
        down = BAR_DROP_MM + block_height(lines, DATA_MM)
        width = block_width(lines, DATA_MM, bold=True)
        return _with_flag_row(Stamp(2.5, max(2.5, width), 1.0, down, 1.0, down, texts), station.flags)
    if place == "below":
        lines = wrapped(station.lines, DATA_MM, 20.0 if narrow else 30.0)
        width, height = _extent(lines, DATA_MM, False, bold=True)
        top = tall + 1.5 + (FLAG_RISE_MM if station.flags else 0.0)
        texts = upright(lines, -half, top, DATA_MM, bold=True)
        stamp = Stamp(half, max(half, width - half), tall, top + height, tall, top + height, texts)
        return _with_flag_row(stamp, station.flags)
    lines = wrapped(station.lines, DATA_MM, 40.0)
    width, height = _extent(lines, DATA_MM, True, bold=True)
    texts = upended(lines, -width / 2, tall + 1.5, DATA_MM, "end", bold=True)
    side, down = max(half, width / 2), tall + 1.5 + height
    stamp = Stamp(side, side, tall, down, tall, down, texts)
    return _with_flags(stamp, station.flags)


def tag_stamp(
    tag: Tag, style: Style, narrow: bool = False, left: bool = False, offset: float = 0.0, figure: float = 0.0
) -> Stamp:
    """What stands beside a wire.

    `offset` keeps a tag at the left clear of the symbols above and below; `figure` leaves room for a conductor count.
    """
    lines = wrapped(tag.lines, TAG_MM)
    if style.joined and not style.turned:
        lines = joined(lines, NARROW_MM if narrow else JOINED_MM)
    width, height = _extent(lines, TAG_MM, style.turned)
    if left:
        gap = max(TAG_GAP_MM, offset)
        texts = upright(lines, -gap, -height / 2, TAG_MM, "end")
        stamp = Stamp(gap + width, 0.0, height / 2, height / 2, height / 2, height / 2, texts)
    else:
        texts = _beside(lines, TAG_GAP_MM + figure, TAG_MM, style.turned, bold=False)
        stamp = Stamp(0.0, TAG_GAP_MM + figure + width, height / 2, height / 2, height / 2, height / 2, texts)
    if not tag.flags:
        return stamp
    return _with_flags(replace(stamp, left=max(stamp.left, 1.7)), tag.flags)


def with_reference(stamp: Stamp, reference: str, left: bool) -> Stamp:
    """A tag with a line more, which says where the wire goes on."""
    width = measured(reference, TAG_MM, True)
    half = (stamp.up + stamp.down + pitch_mm(TAG_MM)) / 2
    texts = tuple(moved(text, 0.0, -pitch_mm(TAG_MM) / 2) for text in stamp.texts)
    x = texts[0].x_mm if texts else -TAG_GAP_MM if left else TAG_GAP_MM
    line = Text(x, half - descent_mm(TAG_MM), reference, TAG_MM, "end" if left else "start", bold=True)
    reach = (max(stamp.left, width - x), stamp.right) if left else (stamp.left, max(stamp.right, x + width))
    return Stamp(*reach, half, half, half, half, (*texts, line), stamp.flags)


def with_entries(stamp: Stamp, entries: tuple[str, ...]) -> Stamp:
    """An upright label with references below it, in rows."""
    left = stamp.texts[0].x_mm if stamp.texts else stamp.left
    y = max((text.y_mm + descent_mm(text.capital_mm) for text in stamp.texts), default=stamp.down) + 1.0
    wide = max(measured(entry, TAG_MM, True) for entry in entries) + ENTRY_GAP_MM
    texts = list(stamp.texts)
    for number, entry in enumerate(entries):
        row, column = divmod(number, ENTRIES_IN_ROW)
        base = y + row * pitch_mm(TAG_MM) + ascent_mm(TAG_MM)
        texts.append(Text(left + column * wide, base, entry, TAG_MM, bold=True))
    right = max(stamp.right, left + min(len(entries), ENTRIES_IN_ROW) * wide - ENTRY_GAP_MM)
    down = texts[-1].y_mm + descent_mm(TAG_MM)
    return replace(
        stamp, right=right, down=max(stamp.down, down), beside_down=max(stamp.beside_down, down), texts=tuple(texts)
    )
