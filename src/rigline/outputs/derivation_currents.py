"""Where the currents of a wire come from: what each load, charger or array on it takes or gives."""

from __future__ import annotations

from collections.abc import Iterator

from rigline.kinds import Component
from rigline.kinds.converters import AcCharger, ChargeController, DcConverter, DcToDc, Inverter
from rigline.kinds.loads import Load
from rigline.kinds.sources import PvArray, Turning
from rigline.outputs.derivation_text import Line, amps_text
from rigline.study import demand
from rigline.study.ac_currents import ac_draws
from rigline.study.circuits import served
from rigline.study.currents import DcCases
from rigline.study.demand import Draw
from rigline.study.drops import NO_CURRENT_A
from rigline.study.segment_drop import CHARGER_OUTPUTS
from rigline.study.sizing import LASTING_FACTOR
from rigline.study.study import ConductorStudy, SegmentStudy, Study

MOST_NAMED = 8
"""Components named on one wire; of more, the number is told."""


def currents(study: Study, one: SegmentStudy, hot: ConductorStudy) -> Iterator[Line]:
    """What the wire carries in each case, and what that is made of; states with the same current once."""
    seen: dict[tuple[str, str], list[str]] = {}
    for case in study.cases:
        worst = max((abs(case.amps.get(c.id, 0.0)) for c in one.segment.conductors), default=0.0)
        if worst > NO_CURRENT_A:
            seen.setdefault((amps_text(worst), case.kind), []).append(case.name)
    for (amps, _), names in seen.items():
        alike = f" (and {len(names) - 1} other position{'s' * (len(names) > 2)})" if len(names) > 1 else ""
        yield Line("Current", f"{amps}: {names[0]}{alike}")
    stops = study.run_of(hot.conductor).stops
    ends = {(stops[0].component, stops[0].exit), (stops[-1].component, stops[-1].entry)}
    behind = served(study.graph, hot.conductor.a, hot.conductor.b, hot.conductor)
    words = [said for c in behind for said in _takes_words(study, c.id, one.segment.medium)]
    for id, terminal in sorted(ends):
        own = [] if id in {c.id for c in behind} else _takes_words(study, id, one.segment.medium, terminal)
        words += [*own, *_gives(study.system.components[id], terminal, one.segment.medium)]
    for said in words[:MOST_NAMED]:
        yield Line("", said)
    if len(words) > MOST_NAMED:
        yield Line("", f"and {len(words) - MOST_NAMED} more")


def design(study: Study, one: SegmentStudy, hot: ConductorStudy) -> Iterator[Line]:
    """The current that wire and device are chosen for, as its sum."""
    id = hot.conductor.id
    lasting = max((abs(c.amps.get(id, 0.0)) for c in study.cases if c.kind == "continuous"), default=0.0)
    all_on = max((abs(c.amps.get(id, 0.0)) for c in study.cases if c.kind in ("discharge", "ac")), default=0.0)
    charge = max((abs(c.amps.get(id, 0.0)) for c in study.cases if c.kind == "charge"), default=0.0)
    how, alone = f"{LASTING_FACTOR:g} × {amps_text(charge)} of charging", False
    lasting, charge = (amps if amps > NO_CURRENT_A else 0.0 for amps in (lasting, charge))
    if LASTING_FACTOR * charge < all_on + (LASTING_FACTOR - 1) * lasting:
        how = f"{amps_text(all_on)} with every load on"
        how += f" + {LASTING_FACTOR - 1:g} × {amps_text(lasting)} that lasts three hours or more" if lasting else ""
        alone = not lasting
    if hot.needed_a > NO_CURRENT_A:
        source = study.profile.continuous_factor_frac.source
        yield Line("Design", how if alone else f"{how} = {amps_text(hot.needed_a)} ({source})")
    elif one.segment.medium == "dc":
        yield Line("Design", "none: it carries no current of running loads")
    if hot.unknown:
        yield Line("", f"without {', '.join(hot.unknown)}, whose current the spec does not tell")


def terminals_words(study: Study, id: str) -> Iterator[str]:
    """What a component takes and gives at its terminals, with the formula."""
    for medium in ("dc", "ac"):
        yield from _takes_words(study, id, medium)
    for terminal in ("", *sorted(CHARGER_OUTPUTS)):
        words = list(_gives(study.system.components[id], terminal, "dc"))
        yield from words
        if words:
            return


def _takes_words(study: Study, id: str, medium: str, terminal: str | None = None) -> list[str]:
    component = study.system.components[id]
    own = [d for d in (_dc_draws if medium == "dc" else _ac_draws)(study) if d.component == id]
    words = (_takes(component, draw) for draw in own if terminal in (None, draw.terminal))
    return list(dict.fromkeys(words))


def _dc_draws(study: Study) -> list[Draw]:
    return list(DcCases(study.graph, study.wiring, study.potentials).loads())


def _ac_draws(study: Study) -> list[Draw]:
    sources = {case.source for case in study.cases if case.kind == "ac"}
    components = study.system.components
    return [draw for id in sorted(sources) for draw, _, _ in ac_draws(study.graph, study.potentials, components[id])]


def _takes(component: Component, draw: Draw) -> str:
    assumed = f" ({draw.assumed} assumed)" if draw.assumed else ""
    formula = "its stated current"
    if draw.power_w and draw.amps_a:
        volts, watts = draw.power_w / draw.amps_a, draw.power_w
        formula = f"{watts:.6g} W / {volts:.4g} V"
        efficiency = getattr(component, "efficiency_frac", None)
        if isinstance(component, Inverter) and component.power_w and draw.terminal == "dc":
            efficiency = efficiency or demand.INVERTER_EFFICIENCY_FRAC
            formula = f"{component.power_w:.6g} W / {efficiency:.0%} / {volts:.4g} V, its lowest (NEC 706.30 and 710)"
        elif isinstance(component, DcToDc | AcCharger | Inverter):
            efficiency = efficiency or demand.CHARGER_EFFICIENCY_FRAC
            formula = f"{watts * efficiency:.6g} W of output / {efficiency:.0%} / {volts:.4g} V"
    elif isinstance(component, Load) and component.count > 1:
        formula = f"{component.count} × {draw.amps_a / component.count:.4g} A, stated"
    return f"{component.id} takes {amps_text(draw.amps_a)}: {formula}{assumed}"


def _gives(component: Component, terminal: str, medium: str) -> Iterator[str]:
    if medium != "dc":
        return
    if isinstance(component, PvArray):
        amps = demand.array_max_current_a(component)
        if amps is not None:
            strings = f"{component.parallel} × " if component.parallel > 1 else ""
            how = f"{demand.IRRADIANCE_FACTOR:g} × {strings}{component.isc_a:g} A short-circuit current"
            yield f"{component.id} gives {amps_text(amps)}: {how} (NEC 690.8(A))"
        return
    charges = isinstance(component, ChargeController | AcCharger | DcToDc) and terminal in CHARGER_OUTPUTS
    if (charges or isinstance(component, Turning)) and not isinstance(component, DcConverter):
        amps = getattr(component, "output_a", None)
        if amps is not None:
            yield f"{component.id} gives {amps_text(amps)}: its rated output"
