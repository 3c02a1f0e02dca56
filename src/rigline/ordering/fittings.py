"""What goes on the ends of wires: lugs, ring terminals, ferrules, splices, plugs; tube and boots over them."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence

from msgspec import Struct

from rigline.kinds.devices import Fuse
from rigline.kinds.sources import Battery, PvArray, VehicleBattery
from rigline.ordering.ends import End
from rigline.ordering.item import Item, Question, State, merged, once
from rigline.ordering.pieces import Piece
from rigline.ordering.wire import to_cut
from rigline.standards.cables import usual_studs
from rigline.standards.studs import Stud, inch_neighbour, studs
from rigline.standards.supplies import Tube, crimp_range, ferrule_mm2, is_lug_size, tube_over
from rigline.standards.wire import WireSize
from rigline.study.study import Study

LOOK_ALIKE = "M10 is 10 mm and 3/8 in 9.5 mm: a 3/8 in lug does not go on M10."
"""The two sizes that are mixed up at the counter. Source: ASME B18.2.8, hole of 9.93 mm for 3/8 in."""

SPARE_LUG_FRAC, SPARE_LUGS = 0.10, 1
"""Lugs bought for spoiled crimps: a tenth, one at least of every size and stud. Source: common practice."""
SPARE_SMALL_FRAC = 0.20
"""The same for rings, ferrules and splices. Source: common practice."""
TUBE_PIECE_MM = ((16.0, 40.0), (54.0, 55.0), (math.inf, 75.0))
"""Heat shrink for one lug by the wire's area up to mm²: barrel and 25 mm, 40 to 75 mm. Source: common practice."""
TUBE_SHORTENING_FRAC = 0.10
"""Tube shortens as it shrinks. Source: common practice, 5 to 15 %."""
TUBE_STICK_MM = 1200.0
"""Length of a stick of heat shrink. Source: common practice (4 ft)."""


class WireEnd(Struct, frozen=True):
    """One end of one piece, with the size of the wire."""

    end: End
    piece: Piece
    size: WireSize

    @property
    def place(self) -> str:
        """Where it is, as in B1 + (W1a)."""
        return self.end.place


def wire_ends(all: Sequence[Piece]) -> Iterator[WireEnd]:
    """Every end of every wire that is cut, and of every core; parallel wires count each."""
    for piece in to_cut(all):
        for end in piece.ends if piece.size is not None else ():
            for _ in range(piece.count * max(len(piece.cores), 1)):
                assert piece.size is not None
                yield WireEnd(end, piece, piece.size)


def on_studs(all: Sequence[Piece]) -> list[WireEnd]:
    """Every end that goes on a stud."""
    return [one for one in wire_ends(all) if one.end.landing == "stud"]


def lugs(all: Sequence[Piece]) -> list[Item]:
    """Lugs and ring terminals by wire size and stud, with spares; only where the stud is known."""
    groups: dict[tuple[WireSize, Stud, State, str], list[WireEnd]] = {}
    for one in on_studs(all):
        if one.end.stud is not None:
            groups.setdefault((one.size, one.end.stud, one.piece.state, one.piece.material), []).append(one)
    ordered = sorted(groups, key=lambda key: (-key[0].area_mm2, key[1].across_mm, key[2:]))
    return [_lugs(*key, groups[key]) for key in ordered]


def _lugs(size: WireSize, stud: Stud, state: State, material: str, ends: Sequence[WireEnd]) -> Item:
    places = once(one.place for one in ends)
    if is_lug_size(size):
        spare = max(SPARE_LUGS, math.ceil(len(ends) * SPARE_LUG_FRAC))
        what = f"{lug_named(material)} {size} for {stud.text}"
        odd = "" if is_usual(size, stud) else "; an odd pair, order it early"
        said = f"hole {stud.hole_mm:g} mm; {len(ends)} and {spare} spare{odd}"
        return Item(what, len(ends) + spare, "", places, state, said)
    named = crimp_range(size)
    words = f"{named[0]}, {named[1]}" if named else str(size)
    return _spared(f"ring terminal {words}, for {stud.text}", ends, state)


def lug_named(material: str) -> str:
    """A lug for a wire's metal: copper lugs corrode on aluminium. Source: NEC 110.14, from memory."""
    return "tinned copper lug" if material == "copper" else f"lug marked for {material}"


def is_usual(size: WireSize, stud: Stud) -> bool:
    """Whether lugs of a wire size are sold for a stud: the usual ones, the next of their series, or the other series'.

    >>> from rigline.standards.studs import parse_stud
    >>> from rigline.standards.wire import parse_wire_size
    >>> [is_usual(parse_wire_size("1/0 AWG"), parse_stud(stud)) for stud in ("3/8 in", "M8", "M5")]
    [True, True, False]
    """
    series = [one.text for one in studs() if one.is_metric]
    usual = [series.index(text) for text in usual_studs(size)]
    near = [text for index, text in enumerate(series) if any(abs(index - place) <= 1 for place in usual)]
    return any(stud.text in (text, inch_neighbour(text)) for text in near)


def _spared(what: str, ends: Sequence[WireEnd], state: State, note: str = "") -> Item:
    spare = math.ceil(len(ends) * SPARE_SMALL_FRAC)
    counted = f"{len(ends)} and {spare} spare"
    said = f"{counted}; {note}" if note else counted
    return Item(what, len(ends) + spare, "", once(e.place for e in ends), state, said)


def open_lugs(all: Sequence[Piece]) -> list[Item]:
    """Lugs and rings that can't be bought yet, by wire size: the spec does not say on which stud they go."""
    groups: dict[WireSize, list[WireEnd]] = {}
    for one in on_studs(all):
        if one.end.stud is None and one.piece.state == "need":
            groups.setdefault(one.size, []).append(one)
    found = []
    for size in sorted(groups, key=lambda size: -size.area_mm2):
        usual = usual_studs(size) if is_lug_size(size) else ()
        if not size.is_metric:
            usual = tuple(f"{inch} ({metric})" for metric in usual if (inch := inch_neighbour(metric)))
        note = f"usually sold for {' and '.join(usual)}" if usual else ""
        named = lug_named(groups[size][0].piece.material) if is_lug_size(size) else "ring terminal"
        what = f"{named} {size}, stud not known"
        found.append(Item(what, len(groups[size]), "", once(e.end.component for e in groups[size]), note=note))
    return found


def stud_questions(all: Sequence[Piece]) -> list[Question]:
    """By component: the ends whose stud the spec does not say, or says in a way that can be read two ways."""
    silent: dict[str, list[WireEnd]] = {}
    unclear: dict[tuple[str, tuple[str, ...]], list[WireEnd]] = {}
    for one in on_studs(all):
        if one.end.stud is None and one.end.stated:
            unclear.setdefault((one.end.component, one.end.stated), []).append(one)
        elif one.end.stud is None:
            silent.setdefault(one.end.component, []).append(one)
    found = [_which(*key, ends) for key, ends in unclear.items()]
    if silent:
        ask = (
            "which stud has it? Measure across the thread and write `stud: M8` or `stud: 3/8 in` on the component, or "
            f"`stud: [M8, M10]` on a run. {LOOK_ALIKE}"
        )
        places = tuple(f"{id} ({_counted(ends)})" for id, ends in silent.items())
        count = sum(len(ends) for ends in silent.values())
        found.append(Question(ask, places, f"{count} {'lug or ring' if count == 1 else 'lugs and rings'}"))
    return found


def _which(id: str, stated: tuple[str, ...], ends: Sequence[WireEnd]) -> Question:
    runs = once(one.piece.run for one in ends)
    if len(stated) == 1:
        ask = f"`{stated[0]}` is no size of stud that lugs are made for: write M8 or 5/16 in"
    else:
        ask = f"which of its studs ({', '.join(stated)}) takes {', '.join(runs)}? Write `stud: [M8, M10]` on the run"
    return Question(ask, (f"{id} ({_counted(ends)})",), f"lugs and rings of {', '.join(runs)}")


def _counted(ends: Sequence[WireEnd]) -> str:
    counts: dict[WireSize, int] = {}
    for one in ends:
        counts[one.size] = counts.get(one.size, 0) + 1
    return ", ".join(f"{count} × {size}" for size, count in sorted(counts.items(), key=lambda pair: -pair[0].area_mm2))


def small_fittings(all: Sequence[Piece]) -> list[Item]:
    """Ferrules, splices and rod clamps, by size and state."""
    groups: dict[tuple[str, str, State], list[WireEnd]] = {}
    for one in wire_ends(all):
        named = _named(one)
        if named is not None:
            groups.setdefault((*named, one.piece.state), []).append(one)
    return [_fitting(*key, ends) for key, ends in sorted(groups.items(), key=lambda pair: pair[0])]


def _fitting(what: str, note: str, state: State, ends: Sequence[WireEnd]) -> Item:
    if what.startswith(("ferrule", "butt")):
        return _spared(what, ends, state, note)
    return Item(what, len(ends), "", once(e.place for e in ends), state, note)


def _named(one: WireEnd) -> tuple[str, str] | None:
    """Name of what goes on an end, and what to know about it; None if nothing does, or it is a lug."""
    if one.end.landing == "clamp" and not one.piece.solid:
        section = ferrule_mm2(one.size)
        return None if section is None else (f"ferrule {section:g} mm²", "only where the terminal's maker allows them")
    if one.end.landing == "lead":
        named = crimp_range(one.size)
        words = f"{named[0]}, {named[1]}" if named else str(one.size)
        return f"butt splice {words}, with heat shrink", "for parts with leads; look what each part has"
    if one.end.landing == "rod":
        return f"rod clamp for {one.size}", ""
    return None


def plugs(study: Study, all: Sequence[Piece]) -> list[Item]:
    """Plugs at the ends of leads and cords: a half for each pole of an array, one for a whole cord."""
    found = []
    for piece in to_cut(all):
        for end in piece.ends:
            part = study.system.components[end.component]
            if end.landing == "plug" and isinstance(part, PvArray) and part.parallel > 1 and not part.combiner:
                what = f"PV branch plug, {part.parallel} to 1, of the family on the module"
                found.append(Item(what, piece.count, "", (end.place,), piece.state))
            if end.landing == "plug" and isinstance(part, PvArray):
                what = "PV plug, one half, of the family on the module"
                found.append(Item(what, piece.count, "", (end.place,), piece.state))
            elif end.landing == "plug":
                found.append(Item(f"plug that fits {part.display}", 1, "", (end.place,), piece.state))
    return merged(found)


def tubes(all: Sequence[Piece]) -> tuple[list[Item], list[Question]]:
    """Heat shrink over lugs by bore, and the sizes for which no tube is wide enough."""
    needs: dict[Tube | None, dict[WireSize, list[WireEnd]]] = {}
    for one in on_studs(all):
        if is_lug_size(one.size) and one.piece.state != "have":
            needs.setdefault(tube_over(one.size), {}).setdefault(one.size, []).append(one)
    items = [_tube(tube, ends) for tube, ends in needs.items() if tube is not None]
    ask = "how thick is your {} cable? Its tube is 1.2 times as wide or more"
    questions = [
        Question(ask.format(size), once(e.place for e in ends), f"heat shrink for {len(ends)} lugs")
        for size, ends in needs.get(None, {}).items()
    ]
    return items, questions


def _tube(tube: Tube, ends: Mapping[WireSize, Sequence[WireEnd]]) -> Item:
    mm = {size: tube_piece_mm(size) for size in ends}
    sticks = math.ceil(sum(len(group) * mm[size] for size, group in ends.items()) / TUBE_STICK_MM)
    cut = "; ".join(f"{len(group)} × {mm[size]:.0f} mm on {size}" for size, group in ends.items())
    return Item(f"heat shrink {tube.text}, 3:1 with adhesive, 1.2 m (4 ft)", sticks, note=f"cut {cut}")


def tube_piece_mm(size: WireSize) -> float:
    """Length of tube to cut for one lug of a size: it shortens as it shrinks."""
    return next(mm for most, mm in TUBE_PIECE_MM if size.area_mm2 <= most) * (1 + TUBE_SHORTENING_FRAC)


def boots(study: Study, all: Sequence[Piece]) -> list[Item]:
    """A boot for every lug on a battery post, and on every other stud that is not at ground.

    Source: 33 CFR 183.445(b) for conductors that are not grounded, 183.420(b) for batteries.
    """
    grounded = {"negative": "-", "positive": "+"}.get(study.system.head.dc_grounding, "")
    groups: dict[WireSize, list[WireEnd]] = {}
    for one in on_studs(all):
        part = study.system.components[one.end.component]
        post = isinstance(part, Battery | VehicleBattery)
        covered = bool(getattr(part, "covered", None))
        hot = one.end.pole in ("+", "-") and one.end.pole != grounded
        # A fuse's holder has its own cover.
        bare = not covered and not isinstance(part, Fuse) and one.piece.state != "have"
        if is_lug_size(one.size) and (post or hot) and bare:
            groups.setdefault(one.size, []).append(one)
    return [
        Item(f"boot or cover for a lug {size}", len(ends), "", once(e.place for e in ends))
        for size, ends in sorted(groups.items(), key=lambda pair: -pair[0].area_mm2)
    ]


def sizes_used(ends: Iterable[WireEnd]) -> tuple[str, ...]:
    """The wire sizes of some ends, smallest first."""
    return tuple(str(size) for size in sorted({one.size for one in ends}, key=lambda size: size.order))
