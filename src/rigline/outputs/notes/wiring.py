"""The tables to wire by: every wire, every panel with its circuits, every fuse, everything to buy and to cut."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec.structs import replace

from rigline.kinds.distribution import AcPanel
from rigline.notes.fuses import FuseLine
from rigline.notes.notes import Notes
from rigline.notes.panels import Panel, Way
from rigline.notes.wording import amps, named, rated
from rigline.outputs.notes.blocks import Block, Paragraph, Table, quoted
from rigline.outputs.order_rows import Row, sections
from rigline.outputs.schedules import COLUMNS, RIGHT, schedule_rows
from rigline.units import format_amount

CUTS = "Cut list"
"""Title of the list of pieces among those of the order."""
PART_HEADS = ("Count", "What", "For", "Note", "State")
UNKNOWN = "not known"


def from_to(notes: Notes) -> Iterator[Block]:
    """Every stretch of wire, as `rigline schedule` has it."""
    yield Paragraph(
        "Lengths are one way, along the route. Drop is out and back at the worst current, in per cent of the nominal "
        "voltage. * was chosen by Rigline, ? is not known."
    )
    yield Table(COLUMNS, tuple(schedule_rows(notes.study)), right=tuple(sorted(RIGHT)))


# Panels


def panel_tables(notes: Notes) -> Iterator[Block]:
    """Each bar, fuse block and panel with its circuits and the load connected to them."""
    if notes.panels:
        yield Paragraph("Connected load is the sum of all that is wired to a panel, all of it on; no demand factor. "
                        "Currents are the worst that a circuit carries.")  # fmt: skip
    for panel in notes.panels:
        yield _panel(notes, panel)


def _panel(notes: Notes, panel: Panel) -> Table:
    ways = sorted(panel.ways, key=lambda way: not way.supply)
    facts = [f"Rated {panel.rating_a:g} A." if panel.rating_a is not None else "Its rating is not stated."]
    facts += [f"{panel.spare} of its ways are free."] if panel.spare is not None else []
    facts += [f"Not counted, since the spec does not say: {', '.join(panel.unstated)}."] if panel.unstated else []
    legs = [f"{leg} {amps(total)}" if len(panel.load_a) > 1 else amps(total) for leg, total in panel.load_a]
    return Table(
        ("Device", "Run", "Leads to", "Leg", "Load", "Current"),
        tuple(_way(notes, panel, way) for way in ways),
        title=named(panel.part),
        about=" ".join(facts),
        right=("Load", "Current"),
        wide=("Leads to",),
        foot=("Connected load", "", "", "", format_amount(panel.load_w, "w"), ", ".join(legs)),
    )


def _way(notes: Notes, panel: Panel, way: Way) -> tuple[str, ...]:
    parts = notes.study.system.components
    device = rated(notes.study, way.device) if way.device is not None else "no device"
    if way.supply:
        leads = f"supply: {named(parts[way.other])}"
    else:
        leads = ", ".join(named(parts[id]) for id in way.feeds) or named(parts[way.other])
        if way.feeds and way.other not in way.feeds:
            leads = f"{way.other}: {leads}"
    load = "" if way.supply or not way.feeds else UNKNOWN if way.load_w is None else format_amount(way.load_w, "w")
    legs = " ".join(way.legs) if isinstance(panel.part, AcPanel) else "DC"
    return (device, way.run, leads, legs, load, UNKNOWN if way.load_a is None else amps(way.load_a))


# Fuses


def fuse_table(notes: Notes) -> Iterator[Block]:
    """Every overcurrent device with what may and what must stand there."""
    if not notes.fuses:
        yield Paragraph("No fuse and no breaker is drawn.", strong=True)
        return
    yield Paragraph("At most: the largest that the wires allow. Interrupts: what its printed interrupting rating must "
                    "reach at least, on AC or DC as used. * was chosen by Rigline.")  # fmt: skip
    heads = ("Device", "Rating", "Style", "Worst current", "At most", "Interrupts", "Protects", "Feeds")
    yield Table(
        heads, tuple(_fuse(notes, line) for line in notes.fuses),
        right=("Rating", "Worst current", "At most", "Interrupts"), wide=("Feeds",),
    )  # fmt: skip


def _fuse(notes: Notes, line: FuseLine) -> tuple[str, ...]:
    rating = UNKNOWN if line.rating_a is None else f"{line.rating_a:g} A{'*' if line.chosen else ''}"
    style = " ".join(word for word in (getattr(line.device, "style", None), line.device.title) if word)
    figures = [UNKNOWN if value is None else amps(value) for value in (line.load_a, line.allowed_a, line.fault_a)]
    name = line.device.id if line.device.name is None else named(line.device)
    return (name, rating, style, *figures, ", ".join(line.protects), ", ".join(line.serves))


# Parts and cuts


def parts(notes: Notes) -> Iterator[Block]:
    """Everything to buy, to find out and to borrow, as `rigline parts` has it."""
    for section in sections(notes.order):
        if section.title != CUTS:
            rows = tuple(_part(row) for row in section.rows)
            tick = any(row.state is not None or row.count == "?" for row in section.rows)
            table = Table(PART_HEADS, rows, section.title, section.about, ("Count",), ("What", "For", "Note"),
                          tick=tick or section.title == "Tools")  # fmt: skip
            yield _filled(table)


def _filled(table: Table) -> Table:
    """A table without the columns in which nothing stands."""
    kept = [index for index in range(len(table.heads)) if any(row[index] for row in table.rows)]
    rows = tuple(tuple(row[index] for index in kept) for row in table.rows)
    return replace(table, heads=tuple(table.heads[index] for index in kept), rows=rows)


def _part(row: Row) -> tuple[str, ...]:
    state = row.state if row.state in ("ordered", "have") else ""
    return (row.count, quoted(row.what), ", ".join(row.at), quoted(row.note), state)


def cuts(notes: Notes) -> Iterator[Block]:
    """Every piece to cut, as `rigline parts` has it."""
    for section in sections(notes.order):
        if section.title == CUTS:
            yield Paragraph(section.about)
            rows = tuple((row.count, row.what, ", ".join(row.at)) for row in section.rows)
            yield Table(("Count", "Piece", "Ends"), rows, right=("Count",), wide=("Ends",), tick=True)
