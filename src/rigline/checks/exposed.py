"""What the rules on missing and oversized protection share: one hit per cause and run, from the study's causes."""

from __future__ import annotations

from collections.abc import Iterator
from math import isinf

from rigline.checks.check import Hit, Missing
from rigline.findings import Severity
from rigline.kinds.sources import Battery
from rigline.model.system import Conductor
from rigline.standards.ampacity import Ampacity
from rigline.study.banks import Bank, parallel_banks
from rigline.study.causes import Cause, exceeds
from rigline.study.distances import Stub
from rigline.study.protection import EndFlow
from rigline.study.study import ConductorStudy, Study


def exposed_hits(study: Study, slug: str) -> Iterator[Hit | Missing]:
    """Each run with a conductor that is exposed at one of its ends for one reason, once, at its first segment.

    A conductor whose devices' ratings are unknown could not be judged. A conductor that only self-limited sources
    overload, with a current that it carries every day, is left to the rules on conductors.
    """
    found: dict[str, Hit | Missing] = {}
    for one in study.conductors.values():
        for cause in one.causes:
            if cause.exception or cause.slug != slug or _is_only_too_thin(one, cause):
                continue
            run = one.conductor.run
            if cause.missing:
                found.setdefault(run, Missing((run,), ", ".join(cause.missing)))
            elif not isinstance(found.get(run), Hit):
                found[run] = hit_of(study, one, cause)
    yield from found.values()


def _is_only_too_thin(one: ConductorStudy, cause: Cause) -> bool:
    carried = one.ampacity.value_a if isinstance(one.ampacity, Ampacity) else None
    return not cause.end.fed_by and carried is not None and exceeds(max(one.current_a, one.needed_a), carried)


def hit_of(study: Study, one: ConductorStudy, cause: Cause) -> Hit:
    """The hit for an exposed conductor, with the words for its templates."""
    rule = cause_rule(one)
    end = cause.end
    found = end.flow_a
    if cause.at and len(cause.at) == 1 and cause.slug.startswith("rt-"):
        rating = study.rating_a(cause.at[0])
        found = found if rating is None else rating
    return Hit(
        at=cause.at,
        found=found,
        limit=cause.limit_a,
        unit="A",
        runs=(one.conductor.run,),
        segment=one.conductor.segment,
        words={
            "flow": "any current" if isinf(found) else f"{found:.4g} A",
            "wire": str(one.size),
            "end": end.node.component,
            "sources": ", ".join(_sources(end)),
            "ampacity": f"{one.limits.ampacity_a:.4g}" if one.limits else "?",
            "rule": rule,
        },
        mode=None if end.mode.everything or not end.mode.positions else end.mode.name,
    )


def _sources(end: EndFlow) -> tuple[str, ...]:
    """What feeds an end: its devices, or the sources behind it if one of them has no device between."""
    if isinf(end.flow_a):
        return end.sources or end.fed_by
    return end.feeding or end.fed_by or end.sources


def cause_rule(one: ConductorStudy) -> str:
    """The rule that set the largest device of a conductor, in words."""
    return one.limits.allowance.rule if one.limits and one.limits.allowance else ""


def stub_hit(stub: Stub, severity: Severity | None = None) -> Hit:
    """The hit for a stretch without protection, with the words for its templates."""
    whole = stub.tap.length_m is not None
    return Hit(
        at=(stub.device, stub.source),
        found=stub.tap.known_m,
        limit=stub.most_m,
        unit="m",
        runs=stub.runs,
        segment=stub.tap.segments[0] if stub.tap.segments else None,
        severity=severity,
        words={
            "source": stub.source,
            "device": stub.device,
            "least": "" if whole else "at least ",
            "cover": "sheathed" if stub.tap.sheathed else "not sheathed",
            "duty": "at most" if stub.limit is not None else "as near as practicable, in practice at most",
            "live": ", ".join(stub.live),
            "rule": (stub.limit or stub.warn).source,
        },
    )


MOST_LEAD_AH = 500.0
"""Above this a bank needs a device at each battery. Source: ABYC E-11.10.1.4.1."""


def bank_severity(study: Study, bank: Bank) -> Severity | Missing:
    """How bad it is that batteries of a bank have no devices of their own, or what must be known to tell."""
    batteries = [c for id in bank.batteries if isinstance(c := study.system.components[id], Battery)]
    unknown = [b.id for b in batteries if b.chemistry is None or _capacity_ah(b) is None]
    capacity = sum((_capacity_ah(b) or 0.0) * b.parallel for b in batteries)
    if bank.strings >= 3 or any(b.chemistry == "lifepo4" for b in batteries) or capacity > MOST_LEAD_AH:
        return Severity.DANGER
    if unknown:
        return Missing(tuple(unknown), "chemistry and capacity of " + ", ".join(unknown))
    together = len({b.place for b in batteries}) == 1
    if not together or not bank.devices:
        return Severity.FAULT
    short = [_is_short(study, conductor) for conductor in bank.jumpers]
    if None in short:
        return Missing(bank.unfused, "length of the jumpers between " + " and ".join(bank.batteries))
    return Severity.ADVICE if all(short) else Severity.FAULT


def _capacity_ah(battery: Battery) -> float | None:
    if battery.capacity_ah is None and battery.capacity_wh and battery.voltage_v:
        return battery.capacity_wh / battery.voltage_v
    return battery.capacity_ah


def _is_short(study: Study, conductor: Conductor) -> bool | None:
    if conductor.length_m is None:
        return None
    spec, rules = study.run_of(conductor).spec, study.profile
    sheathed = spec.sheathed if spec.sheathed is not None else bool(study.system.defaults.sheathed)
    most = rules.tap_battery_sheathed_m if sheathed else rules.tap_battery_bare_m
    return not exceeds(conductor.length_m, (most or rules.tap_battery_warn_m).value)


def shared_banks(study: Study) -> Iterator[tuple[Bank, Severity | Missing]]:
    """Banks in which a battery without a device of its own shares a net with others, and how bad that is."""
    return ((bank, bank_severity(study, bank)) for bank in parallel_banks(study) if bank.is_shared())


def batteries_judged_as_bank(study: Study) -> frozenset[str]:
    """Batteries that need a device at their post for another reason, however far the next one stands."""
    return frozenset(
        id for bank, severity in shared_banks(study) if severity is not Severity.ADVICE for id in bank.unfused
    )
