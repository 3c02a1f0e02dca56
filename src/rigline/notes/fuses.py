"""The fuse list: every overcurrent device with what may and what must stand there."""

from __future__ import annotations

from msgspec import Struct

from rigline.kinds.devices import Overcurrent
from rigline.study.study import Study


class FuseLine(Struct, frozen=True):
    """One device."""

    device: Overcurrent
    rating_a: float | None
    chosen: bool
    """Whether the tool chose the rating."""
    load_a: float | None
    """Worst current through it."""
    allowed_a: float | None
    """The largest that the wires it protects may have."""
    fault_a: float | None
    """Greatest prospective short-circuit current there; its interrupting rating must be above."""
    protects: tuple[str, ...]
    """Segments that no other device stands before."""
    serves: tuple[str, ...]


def fuses(study: Study) -> tuple[FuseLine, ...]:
    """Every overcurrent device, in the order of the spec."""
    return tuple(_line(study, part) for part in study.system.components.values() if isinstance(part, Overcurrent))


def _line(study: Study, device: Overcurrent) -> FuseLine:
    guarded = [one for one in study.segments if device.id in one.protected_by]
    circuit = study.circuits.get(device.id)
    node = study.nodes.get(device.id)
    rating = study.rating_a(device.id)
    return FuseLine(
        device,
        rating,
        device.rating_a is None and rating is not None,
        None if circuit is None else circuit.load_a,
        min((one.allowed_a for one in guarded if one.allowed_a is not None), default=None),
        None if node is None else node.fault_current_a,
        tuple(one.segment.id for one in guarded),
        () if circuit is None else circuit.serves,
    )
