"""The words beside a wire: its id, its conductors with their size, kind and colours, and its length."""

from __future__ import annotations

from rigline.model.describe import UNKNOWN, amount
from rigline.model.system import EARTH, NEGATIVE, NEUTRAL, Run, Segment, System
from rigline.standards.colors import JOIN, Color, color_of_pole, letters_of_words
from rigline.standards.wire import WireSize
from rigline.study.study import SegmentStudy, Study

_MATERIALS = {"aluminium": "Al", "copper-clad": "CCA"}
_UNCOLORED = frozenset({"link", "neutral-bond", "sense", "data"})
"""What carries one of these has no colour of its own in any rule set."""


def tag_lines(one: SegmentStudy, run: Run, study: Study) -> tuple[str, ...]:
    """Id, conductors, kind of wire where it is not the usual one, then length and colours.

    A stretch of unknown length shows the run's sum once, on its last stretch.
    """
    conductors, kind = conductor_words(one, run), ", ".join(wire_kind(run))
    letters, length = color_letters(one.segment, study.system), _length(one.segment, run)
    if length:
        length = f"{length} {letters}".strip()
    else:
        conductors = f"{conductors} {letters}".strip()
    return tuple(line for line in (one.segment.id, conductors, kind, length) if line)


def _length(segment: Segment, run: Run) -> str:
    last = run.segments[-1].id == segment.id
    if segment.length_m is not None:
        return amount(run.spec.lengths_m[segment.index] if run.spec.lengths_m else run.spec.length_m, "m")
    if not last:
        return ""
    return f"{run.id}: {amount(run.spec.length_m, 'm')}" if run.length_m is not None else f"{UNKNOWN} m"


def conductor_words(one: SegmentStudy, run: Run) -> str:
    """Number and size of the conductors; those of another size by themselves, as in 2 × 10 AWG + PE 12 AWG."""
    own = {
        NEGATIVE: run.spec.return_wire if run.carries == "pair" else None,
        NEUTRAL: run.spec.neutral_wire,
        EARTH: run.spec.earth_wire if run.carries == "cores" else None,
    }
    apart = [(c.pole, size) for c in one.segment.conductors if (size := own.get(c.pole)) and size != one.size]
    count = (len(one.segment.conductors) - len(apart)) * run.spec.conductors
    material = _MATERIALS.get(run.spec.material or "", "")
    words = [
        f"{count} × {_size(one.size)}" if count > 1 else _size(one.size),
        material,
        "sized" if one.sized else "",
        *(f"+ {_count(run)}{'−' if pole == NEGATIVE else pole} {_size(size)}" for pole, size in apart),
    ]
    return " ".join(word for word in words if word)


def _count(run: Run) -> str:
    return f"{run.spec.conductors} × " if run.spec.conductors > 1 else ""


def _size(size: WireSize | None) -> str:
    return str(size) if size is not None else f"{UNKNOWN} wire"


def wire_kind(run: Run) -> tuple[str, ...]:
    """What the spec says of this run's wire and way beyond the defaults of the system."""
    spec = run.spec
    words = (
        amount(spec.insulation_c, "c"),
        amount(spec.insulation_voltage_v, "v"),
        "fine-stranded" if spec.strand == "fine" else spec.strand,
        "sheathed" if spec.sheathed else "",
        f"in {spec.loom}" if spec.loom else "",
    )
    return tuple(word for word in words if word)


def color_letters(segment: Segment, system: System) -> str:
    """Letters of the conductors' colours in the order of IEC 61082-1 (L1, L2, N, PE; L+, L-): the author's own, else
    those of the rule set for what each conductor is for; empty where no rule set has a colour.
    """
    written = system.run(segment.run).spec.color
    if written:
        return letters_of_words(written) or written
    if segment.carries in _UNCOLORED:
        return ""
    poles = [EARTH if segment.carries in ("bond", "earth") else conductor.pole for conductor in segment.conductors]
    return JOIN.join(color.letters for pole in poles if (color := _color(system, pole)) is not None)


def pole_letters(segment: Segment, system: System, pole: str) -> str:
    """Letters of one conductor: its own of the colours that the author named for all, else those of the rule set."""
    written = color_letters(segment, system).split(JOIN)
    poles = [conductor.pole for conductor in segment.conductors]
    if len(written) == len(poles) and pole in poles:
        return written[poles.index(pole)]
    return JOIN.join(written)


def _color(system: System, pole: str) -> Color | None:
    beside_ac = any(segment.medium == "ac" for segment in system.segments)
    return color_of_pole(system.profile_name, pole, beside_ac, system.head.dc_grounding != "isolated")
