"""What stands on the wires: two labels for each piece of wire or cable, one for either end.

Whoever opens the locker years later reads which wire this is, what this end lands on, where the other end goes, how
thick it is and which fuse to pull. The end that the label sits on comes first.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from msgspec import Struct

from rigline.errors import CommandError
from rigline.model.describe import UNKNOWN
from rigline.ordering.ends import End
from rigline.ordering.pieces import Piece, pieces
from rigline.outputs.cells import csv_text
from rigline.study.study import Study
from rigline.units import format_amount

COLUMNS = ("Label", "Run", "This end", "Other end", "Size", "Colour", "Protected by")


class Label(Struct, frozen=True):
    """One label, for one end of one piece of wire or cable."""

    name: str
    """The piece as in the cut list; a cable with its cores."""
    run: str
    here: str
    there: str
    size: str
    colour: str
    protected_by: tuple[str, ...]
    """Each device with its rating; empty if none stands ahead of it."""

    @property
    def lines(self) -> tuple[str, str, str]:
        """Name; this end and the other; size and device."""
        return (self.name, f"{self.here} → {self.there}", " · ".join((self.size, *self.protected_by)))

    @property
    def narrow_lines(self) -> tuple[str, str, str]:
        """For a label on which the ends don't fit side by side: name and size; this end; the other."""
        return (f"{self.name.split()[0]}  {self.size}", self.here, f"→ {self.there}")


def labels(study: Study, only: Sequence[str] = ()) -> list[Label]:
    """Both labels of every piece of the cut list, in the order of the spec; of some runs only if these are named.

    Raises:
        CommandError: `only` names a run that isn't in the spec.
    """
    runs = [run.id for run in study.system.runs]
    if strange := [name for name in only if name not in runs]:
        raise CommandError(f"there is no run {', '.join(strange)}; the runs are {', '.join(runs)}")
    protected = {one.segment.id: one.protected_by for one in study.segments}
    chosen = [piece for piece in pieces(study) if not only or piece.run in only]
    return [label for piece in chosen for label in _pair(piece, protected, study)]


def _pair(piece: Piece, protected: dict[str, tuple[str, ...]], study: Study) -> Iterator[Label]:
    """A label for each end of each wire; wires in parallel are alike and get labels of their own."""
    ids = dict.fromkeys(id for segment in piece.segments for id in protected[segment])
    devices = tuple(_device(id, study) for id in ids)
    size = str(piece.size) if piece.size is not None else f"{UNKNOWN} wire"
    cores = " ".join("L" if core == "L1" and "L2" not in piece.cores else core for core in piece.cores)
    ends = (_end(piece.start, piece), _end(piece.end, piece))
    for _ in range(piece.count):
        for here, there in (ends, ends[::-1]):
            yield Label(f"{piece.id} {cores}".rstrip(), piece.run, here, there, size, piece.colour, devices)


def _end(end: End, piece: Piece) -> str:
    """Where an end lands; a cable lands with all its cores."""
    return end.place.removesuffix(f" {end.pole}") if piece.cores else end.place


def _device(id: str, study: Study) -> str:
    rating = study.rating_a(id)
    return id if rating is None else f"{id} {format_amount(rating, 'a')}"


def labels_csv(found: Sequence[Label]) -> str:
    """One row a label, for the program of a label printer."""
    rows = [_row(label) for label in found]
    return csv_text([COLUMNS, *rows])


def _row(label: Label) -> tuple[str, ...]:
    devices = ", ".join(label.protected_by)
    return (label.name, label.run, label.here, label.there, label.size, label.colour, devices)
