"""A component's ratings in a few short lines, the same on the drawing and in the tables."""

from __future__ import annotations

from collections.abc import Callable

from rigline.kinds import Component
from rigline.kinds import converters as cv
from rigline.kinds import devices as dv
from rigline.kinds import distribution as db
from rigline.kinds import earthing as ea
from rigline.kinds import loads as ld
from rigline.kinds import sources as sc
from rigline.unit_system import is_converted
from rigline.units import Amount, format_amount

CHEMISTRY = {"lifepo4": "LiFePO4", "agm": "AGM", "gel": "gel", "flooded": "flooded lead"}
UNKNOWN = "?"
_BONDS = {"fixed": "N-PE bond", "relay": "N-PE bond by relay"}


def amount(value: float | None, suffix: str) -> str:
    """An amount as its author wrote it, else in the usual unit; empty for None."""
    if value is None:
        return ""
    own = isinstance(value, Amount) and value.text and not (is_converted() and suffix in ("m", "mm", "c", "kg"))
    return value.text if own and isinstance(value, Amount) else format_amount(value, suffix)


def ratings(component: Component, rating_a: float | None = None, sized: bool = False) -> tuple[str, ...]:
    """What stands under a component's id and name.

    Args:
        component: Any component.
        rating_a: Rating to show for an overcurrent device, if it was chosen.
        sized: Whether the tool chose it.
    """
    if isinstance(component, dv.Overcurrent):
        return _overcurrent(component, rating_a, sized)
    for kind, describe in _LINES.items():
        if isinstance(component, kind):
            return tuple(line for line in describe(component) if line)
    return ()


def _overcurrent(device: dv.Overcurrent, rating_a: float | None, sized: bool) -> tuple[str, ...]:
    if device.rating_a is None and rating_a is None:
        shown = f"{UNKNOWN} A"
    else:
        shown = amount(device.rating_a, "a") or f"{rating_a:g} A"
    style = getattr(device, "style", None)
    poles = f"{device.poles}-pole" if device.poles and device.poles > 1 else ""
    residual = amount(getattr(device, "residual_a", None), "a")
    words = " ".join(word for word in (_style(style), poles, residual) if word)
    return tuple(line for line in (shown + (" sized" if sized else ""), words) if line)


def _style(style: str | None) -> str:
    return {"class-t": "class T", "anl": "ANL", "gpv": "gPV", "bolt-down": "bolt-down", None: ""}.get(
        style, style or ""
    )


def _battery(b: Component) -> tuple[str, ...]:
    assert isinstance(b, sc.Battery)
    count = f"{b.series}S{b.parallel}P " if b.series * b.parallel > 1 else ""
    charge = amount(b.capacity_ah, "ah") or amount(b.capacity_wh, "wh")
    return (
        f"{count}{CHEMISTRY.get(b.chemistry or '', '')}".strip(),
        f"{amount(b.voltage_v, 'v')} {charge}".strip(),
    )


def _vehicle(b: Component) -> tuple[str, ...]:
    assert isinstance(b, sc.VehicleBattery)
    return amount(b.voltage_v, "v"), amount(b.output_a, "a")


def _array(a: Component) -> tuple[str, ...]:
    assert isinstance(a, sc.PvArray)
    count = a.series * a.parallel
    power = f"{count} × {amount(a.pmax_w, 'w')}" if a.pmax_w else (f"{count} modules" if count > 1 else "")
    figures = _figures(("Voc", a.voc_v, "v"), ("Isc", a.isc_a, "a"))
    return f"{power} {a.series}S{a.parallel}P".strip(), figures


def _figures(*named: tuple[str, float | None, str]) -> str:
    return " ".join(f"{name} {amount(value, suffix)}".strip() for name, value, suffix in named if value is not None)


def further_data(component: Component) -> str:
    """What a checker of plans asks of a component and its label has no room for."""
    if isinstance(component, sc.PvArray):
        return _figures(
            ("Vmp", component.vmp_v, "v"),
            ("Imp", component.imp_a, "a"),
            ("series fuse ≤", component.max_series_fuse_a, "a"),
        )
    if isinstance(component, cv.Inverter):
        bond = _BONDS.get(component.neutral_bond or "", "")
        return f"{_figures(('DC', component.dc_voltage_v, 'v'), ('surge', component.surge_w, 'w'))} {bond}".strip()
    if isinstance(component, sc.Battery | sc.VehicleBattery):
        return _figures(("Isc", component.short_circuit_a, "a"))
    if isinstance(component, dv.Overcurrent):
        return _figures(("", component.voltage_v, "v"), ("interrupts", component.interrupting_a, "a"))
    return ""


def _turning(t: Component) -> tuple[str, ...]:
    assert isinstance(t, sc.Turning)
    return (
        " ".join(
            part for part in (amount(t.voltage_v, "v"), amount(t.output_a, "a") or amount(t.output_w, "w")) if part
        ),
    )


def _ac_source(s: Component) -> tuple[str, ...]:
    assert isinstance(s, sc.AcSource)
    return (
        " ".join(
            part for part in (amount(s.voltage_v, "v"), amount(s.rating_a, "a") or amount(s.power_w, "w")) if part
        ),
    )


def _controller(c: Component) -> tuple[str, ...]:
    assert isinstance(c, cv.ChargeController)
    return amount(c.output_a, "a"), f"input ≤ {amount(c.max_input_v, 'v')}" if c.max_input_v else ""


def _dc_to_dc(c: Component) -> tuple[str, ...]:
    assert isinstance(c, cv.DcToDc)
    output = " ".join(
        p for p in (amount(c.output_voltage_v, "v"), amount(c.output_a, "a") or amount(c.output_w, "w")) if p
    )
    return (output,)


def _ac_charger(c: Component) -> tuple[str, ...]:
    assert isinstance(c, cv.AcCharger)
    return (" ".join(part for part in (amount(c.voltage_v or c.dc_voltage_v, "v"), amount(c.output_a, "a")) if part),)


def _inverter(i: Component) -> tuple[str, ...]:
    assert isinstance(i, cv.Inverter)
    output = " ".join(part for part in (amount(i.power_w, "w"), amount(i.output_v or i.ac_voltage_v, "v")) if part)
    return output, f"charges {amount(i.charge_current_a, 'a')}" if i.charge_current_a else ""


def _transformer(t: Component) -> tuple[str, ...]:
    assert isinstance(t, cv.Transformer)
    return t.type or "", amount(t.power_w, "w")


def _rated(c: Component) -> tuple[str, ...]:
    return (amount(getattr(c, "rating_a", None), "a"),)


def _switching(c: Component) -> tuple[str, ...]:
    """What can be opened: current, voltage and poles."""
    assert isinstance(c, dv.InLine)
    poles = f"{c.poles}-pole" if c.poles and c.poles > 1 else ""
    return (" ".join(part for part in (amount(c.rating_a, "a"), amount(c.voltage_v, "v"), poles) if part),)


def _bus(c: Component) -> tuple[str, ...]:
    """Rating and number of circuits."""
    ways = getattr(c, "ways", None)
    bond = _BONDS.get(getattr(c, "neutral_bond", None) or "", "")
    rated = amount(getattr(c, "rating_a", None), "a")
    return ", ".join(part for part in (rated, f"{ways} ways" if ways else "") if part), bond


def _rcd(c: Component) -> tuple[str, ...]:
    assert isinstance(c, dv.Rcd)
    return amount(c.rating_a, "a"), amount(c.residual_a, "a")


def _load(c: Component) -> tuple[str, ...]:
    assert isinstance(c, ld.Load)
    count = f"{c.count} × " if c.count > 1 else ""
    need = amount(c.power_w, "w") or amount(c.current_a, "a")
    rated = amount(getattr(c, "rating_a", None), "a")
    gfci = " GFCI" if getattr(c, "gfci", None) else ""
    return f"{rated}{gfci}".strip(), f"{count}{need}" if need else ""


def _electrode(c: Component) -> tuple[str, ...]:
    assert isinstance(c, ea.EarthElectrode)
    return (f"{c.count} × {c.type or 'electrode'}" if c.count > 1 else (c.type or ""),)


_LINES: dict[type[Component], Callable[[Component], tuple[str, ...]]] = {
    sc.Battery: _battery,
    sc.VehicleBattery: _vehicle,
    sc.PvArray: _array,
    sc.Turning: _turning,
    sc.AcSource: _ac_source,
    cv.ChargeController: _controller,
    cv.DcToDc: _dc_to_dc,
    cv.AcCharger: _ac_charger,
    cv.Inverter: _inverter,
    cv.Transformer: _transformer,
    dv.Rcd: _rcd,
    dv.InLine: _switching,
    db.DcBus: _bus,
    db.AcPanel: _bus,
    db.Junction: _rated,
    ld.Load: _load,
    ea.EarthElectrode: _electrode,
    ea.EarthBus: _rated,
}
