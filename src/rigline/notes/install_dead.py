"""The installation up to the battery: everything that is done while nothing is live."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator

from rigline.checks.run import Report
from rigline.findings import Severity
from rigline.kinds.earthing import Chassis
from rigline.kinds.sources import PvArray, VehicleBattery
from rigline.model.system import Run
from rigline.notes import dead
from rigline.notes.entries import Step, Task
from rigline.notes.ways import Ways
from rigline.notes.wording import ac_off, listed, named, wire_label
from rigline.ordering.order import Order
from rigline.ordering.pieces import Piece, seated
from rigline.study.grounding import CABINS
from rigline.study.study import Study

NO_PLACE = "Place not stated"
"""Of components that stand nowhere in the spec; they come last."""


def dead_steps(study: Study, report: Report, order: Order, ways: Ways) -> Iterator[Step]:
    """Paper, mounting, wires, bonds, negatives, positives, AC and sun, all dead."""
    yield Step("Paper and parts first", "What is wrong on paper is cheap.", tuple(_paper(study, report, order)))
    yield Step("Mount everything, no wire yet", "Batteries stay out.", tuple(_mount(study)))
    yield Step("Lay the wires, label both ends", "Ends left long. Clamps now, lugs later.", tuple(_lay(study)))
    yield Step(
        "Bonds and earths",
        "They come first, so that a mistake later opens a fuse.",
        tuple(_bonds(order)) if any(p.medium == "earth" for p in order.cuts) else (),
    )
    dc = [piece for piece in order.cuts if piece.medium == "dc" and not ways.is_solar(piece)]
    back = [piece for piece in dc if piece.pole == ways.back]
    hot = [piece for piece in dc if piece.pole != ways.back]
    words = {"-": "negative", "+": "positive"}
    yield Step(f"The {words[ways.back]} side", "Ends at a battery stay open and covered.",
               tuple(_pieces(sorted(back, key=ways.deepest_first), ways)))  # fmt: skip
    yield Step(
        f"The {words[ways.hot]} side, from the loads back",
        f"Every fuse out, every breaker and switch off: {_devices(study)}. Ends at a battery stay open and covered.",
        tuple(_pieces(sorted(hot, key=ways.deepest_first), ways)),
    )
    yield Step(
        "Sense and data leads", "A sense lead has its own fuse at the hot end, out.", tuple(_signals(study, order))
    )
    yield Step("The AC part, dead", _ac_why(study), tuple(_ac(study, order)))
    yield Step("The sun, not plugged in", "Modules covered. The plugs at the modules stay apart.",
               tuple(_sun(order, ways)))  # fmt: skip
    yield Step("Dead tests", "Nothing goes on before each of them is as expected.",
               (Task("Do all dead tests of these notes and write the readings down."),))  # fmt: skip


def _paper(study: Study, report: Report, order: Order) -> Iterator[Task]:
    if report.fails(Severity.FAULT):
        counts = ((report.count(severity), severity) for severity in (Severity.DANGER, Severity.FAULT))
        words = listed(f"{count} {severity}{'s' if count > 1 else ''}" for count, severity in counts if count)
        yield Task(f"Stop: the check finds {words} (see the findings). Mend the spec, or waive them there with a "
                   "reason, and make these notes anew; nothing below is safe until then.", stops=True)  # fmt: skip
    if report.not_assessed:
        yield Task(f"Find the facts for the {len(report.not_assessed)} judgements that were not possible.")
    if order.questions:
        yield Task(f"Answer the {len(order.questions)} open questions of the parts list; order what takes weeks.")
    if any(run.medium == "ac" for run in study.system.runs):
        cabin = study.profile.name in CABINS
        yield Task("Ask who may do the AC part" + (", and for the permit and its inspections." if cabin else
                   ", and your insurer what it wants to see."))  # fmt: skip
    yield Task("Keep these notes, the drawing and the makers' manuals where the work is.")


def _mount(study: Study) -> Iterator[Task]:
    """Everything that is fixed to something, by place. What sits in a panel comes with its panel."""
    within, places = seated(study), defaultdict(list)
    for part in study.system.components.values():
        there = part.status == "existing" or isinstance(part, Chassis | VehicleBattery)
        if not there and part.role != "storage" and part.id not in within:
            places[_place(study, part.place)].append(named(part))
    for place, parts in sorted(places.items(), key=lambda pair: pair[0] == NO_PLACE):
        yield Task(f"{place}: {', '.join(parts)}.")


def _place(study: Study, place: str | None) -> str:
    if place is None:
        return NO_PLACE
    known = study.system.places.get(place)
    name = (known.name if known else None) or place
    return name[:1].upper() + name[1:]


def _lay(study: Study) -> Iterator[Task]:
    for run in study.system.runs:
        if run.spec.factory:
            continue
        where = f", {run.spec.place}" if run.spec.place else ""
        loom = f", with {run.spec.loom}" if run.spec.loom else ""
        yield Task(f"{run.id}: {_path(run)}{where}{loom}")


def _path(run: Run) -> str:
    return " – ".join(stop.component for stop in run.stops)


def _bonds(order: Order) -> Iterator[Task]:
    for piece in order.cuts:
        if piece.medium == "earth":
            yield Task(f"{piece.id}: {_ends(piece)}")
    yield Task(f"Dead tests, “{dead.EARTHS}”, as far as the wires are there.")


def _ends(piece: Piece) -> str:
    return f"{_minus(piece.start.place)} to {_minus(piece.end.place)}"


def _minus(place: str) -> str:
    """The place with a sign that can be told from a hyphen."""
    return f"{place[:-1]}−" if place.endswith(" -") else place


def _pieces(pieces: Iterable[Piece], ways: Ways) -> Iterator[Task]:
    for piece in pieces:
        source = ways.source_of(piece)
        label = wire_label(piece.id)
        if source is None:
            yield Task(f"{label}: {_ends(piece)}")
        elif all(ways.is_source(end.component) for end in piece.ends):
            yield Task(f"{label}: made up, both ends open ({_ends(piece)})")
        else:
            far = next(end for end in piece.ends if not ways.is_source(end.component))
            yield Task(f"{label}: on {_minus(far.place)} only; the end for {source} stays open and covered")


def _devices(study: Study) -> str:
    found = [
        p.id for p in study.system.components.values() if p.role == "inline" and (p.protects or p.kind == "switch")
    ]
    return listed(found) if found else "none is drawn"


def _signals(study: Study, order: Order) -> Iterator[Task]:
    for piece in order.cuts:
        if piece.medium == "control":
            yield Task(f"{piece.id}: {_ends(piece)}")
    for run in study.system.runs:
        if run.carries == "data":
            yield Task(f"{run.id}: data cable, {_path(run)}")


def _ac_why(study: Study) -> str:
    bonds = "; ".join(
        f"while {listed(net.sources)} feeds, by {listed(b.words for b in net.bonds) if net.bonds else 'nothing drawn'}"
        for net in study.neutrals.nets
    )
    joined = f" Neutral and earth are joined {bonds}; nowhere else." if bonds else ""
    return f"For a licensed person where the law says so. {ac_off(study)}.{joined}"


def _ac(study: Study, order: Order) -> Iterator[Task]:
    for piece in order.cuts:
        if piece.medium == "ac":
            cores = piece.pole if "L2" in piece.pole else piece.pole.replace("L1", "L")
            yield Task(f"{piece.id} ({cores}): {piece.start.component} to {piece.end.component}")


def _sun(order: Order, ways: Ways) -> Iterator[Task]:
    system = ways.study.system
    for piece in order.cuts:
        if ways.is_solar(piece):
            array = next((e.component for e in piece.ends if isinstance(system.components[e.component], PvArray)), None)
            label = wire_label(piece.id)
            if array is None:
                yield Task(f"{label}: {_ends(piece)}")
            else:
                yield Task(f"{label}: {_ends(piece)}; not plugged in at {array}")
