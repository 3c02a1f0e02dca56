"""What holds, guards and names the wires on their way: clamps, grommets, loom, labels."""

from __future__ import annotations

import math
from collections.abc import Sequence

from rigline.kinds.devices import Breaker, Selector, Switch
from rigline.kinds.sources import ShoreInlet
from rigline.model.system import Run
from rigline.ordering.item import Item, Question, merged
from rigline.ordering.pieces import Piece, slack_frac
from rigline.ordering.wire import M_PER, across_mm, to_cut
from rigline.standards.supplies import is_lug_size, loom_over, outside_of
from rigline.study.study import Study

CLAMP_EVERY_M = 0.45
"""Distance between clamps: 18 in. Source: ABYC E-11, from memory."""
LABELS_PER_WIRE = 2
"""One at each end. Source: common practice."""


def clamps(study: Study, all: Sequence[Piece]) -> list[Item]:
    """Clamps by what they hold: one every 18 in along each route, and one more."""
    found = []
    for run, pieces in _by_run(study, all).items():
        length_m = run.length_m
        if length_m is not None:
            count = math.ceil(length_m / CLAMP_EVERY_M - 1e-9) + 1
            heavy = pieces[0].size is not None and is_lug_size(pieces[0].size)
            kind = "cushioned clamp" if heavy else "clip, or tie on a mount,"
            found.append(Item(f"{kind} for {_held(pieces)}", count, "", (run.id,)))
    return merged(found)


def _held(pieces: Sequence[Piece]) -> str:
    piece = pieces[0]
    if piece.cores:
        return f"a {len(piece.cores)}-core cable {piece.size}"
    count = len({one.pole for one in pieces}) * piece.count
    across = None if piece.size is None else outside_of(piece.size)
    wide = f" ({across:g} mm each)" if across is not None else ""
    return f"{count} × {piece.size}{wide}" if count > 1 else f"{piece.size}{wide}"


def grommets(study: Study, all: Sequence[Piece]) -> tuple[list[Item], list[Question]]:
    """One for every stretch between two places; whether a wall is passed is not known where a place isn't stated."""
    found, silent = [], []
    for run, pieces in _by_run(study, all).items():
        for segment in run.segments:
            stops = (segment.start.component, segment.end.component)
            places = [study.system.components[id].place for id in stops]
            if None in places:
                silent += [id for id, place in zip(stops, places, strict=True) if place is None]
            elif places[0] != places[1]:
                wet = any((known := study.system.places.get(str(p))) and (known.wet or known.outside) for p in places)
                kind = "cable gland" if wet else "grommet"
                found.append(Item(f"{kind} for {_held(pieces)}", 1, "", (f"{run.id} {places[0]} to {places[1]}",)))
    ask = "which holes do the wires pass? Write `place:` on the components, or count the holes"
    questions = [Question(ask, tuple(sorted(set(silent))), "grommets and glands there")] if silent else []
    return merged(found), questions


def looms(study: Study, all: Sequence[Piece]) -> tuple[list[Item], list[Question]]:
    """Loom or conduit for single wires that the spec calls sheathed or that pass an engine space, by bore."""
    found, unknown = [], []
    for run, pieces in _by_run(study, all).items():
        length_m, piece = run.length_m, pieces[0]
        sheathed = study.system.defaults.sheathed if run.spec.sheathed is None else run.spec.sheathed
        if piece.cores or not (sheathed or study.limits.circumstances(run).engine_space) or length_m is None:
            continue
        across = across_mm(piece)
        bore = None if across is None else loom_over(across, len({one.pole for one in pieces}) * piece.count)
        if bore is None:
            unknown.append(run.id)
        else:
            unit = "ft" if study.profile.wire_system == "awg" else "m"
            length = length_m * (1 + slack_frac(study)) / M_PER[unit]
            found.append(Item(f"loom or conduit {bore}", length, unit, (run.id,)))
    ask = "how thick is the wire that you buy? No table here has its diameter"
    questions = [Question(ask, tuple(unknown), "loom or conduit of these runs")] if unknown else []
    return sorted(merged(found), key=lambda item: item.what), questions


def labels(study: Study, all: Sequence[Piece]) -> list[Item]:
    """Wire labels at both ends, device labels, and the set of warnings."""
    wires = [piece for piece in to_cut(all) if piece.state != "have"]
    devices = tuple(
        id for id, part in study.system.components.items() if isinstance(part, Breaker | Switch | Selector | ShoreInlet)
    )
    found = [Item("wire label", LABELS_PER_WIRE * sum(piece.count for piece in wires), note="the id at both ends")]
    found += [Item("device label", len(devices), "", devices)] if devices else []
    return [*found, Item("set of warning labels", 1)]


def _by_run(study: Study, all: Sequence[Piece]) -> dict[Run, list[Piece]]:
    pieces: dict[str, list[Piece]] = {}
    for piece in to_cut(all):
        if piece.size is not None and piece.state != "have":
            pieces.setdefault(piece.run, []).append(piece)
    return {run: pieces[run.id] for run in study.system.runs if run.id in pieces}
