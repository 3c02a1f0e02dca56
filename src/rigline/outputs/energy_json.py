"""The energy report as JSON: every key ends in its unit."""

from __future__ import annotations

import json
import math
from typing import Any

import msgspec

from rigline.energy.balance import Balance
from rigline.energy.report_facts import EnergyReport


def energy_json(report: EnergyReport) -> str:
    """The report as one JSON object."""
    return json.dumps(_plain(_whole(report)), indent=2, ensure_ascii=False) + "\n"


def _whole(report: EnergyReport) -> dict[str, Any]:
    found = report.balance
    head = found.system.head
    return {
        "spec": found.system.file, "title": head.title, "revision": head.revision, "profile": head.profile,
        "stage": found.system.stage, "setting": found.setting, "loads": _loads(found), "battery": found.bank,
        "autonomy": found.autonomy, "arrays": found.arrays, "charge_times": found.charge_times, "sun": _sun(found),
        "year": found.year, "backup": found.backup, "aged": _aged(found), "spells": found.spells,
        "advice": report.advice, "sizes": report.proposals, "assumed": found.assumptions,
        "not_assessed": found.unknowns,
    }  # fmt: skip


def _loads(found: Balance) -> dict[str, Any]:
    loads = found.loads
    return {
        "rows": loads.rows, "inverters": loads.inverters, "elsewhere": loads.elsewhere, "day_wh": loads.day_wh,
        "month_wh": loads.month_wh, "not_counted": loads.not_counted,
    }  # fmt: skip


def _sun(found: Balance) -> dict[str, Any] | None:
    sun = found.sun
    if sun is None:
        return None
    return {
        "basis": sun.basis,
        "assumed": sun.assumed,
        "latitude_deg": sun.latitude_deg,
        "sun_h_per_day": sun.sun_h_per_day,
    }


def _aged(found: Balance) -> dict[str, Any] | None:
    aged = found.aged
    return None if aged is None else {"short_days": aged.short_days, "unserved_wh": aged.unserved_wh}


def _plain(value: Any) -> Any:
    """Structs as objects, numbers without the noise of floating point, infinity as null."""
    if isinstance(value, float):
        return None if not math.isfinite(value) else float(f"{value:.8g}")
    if isinstance(value, msgspec.Struct):
        return {name: _plain(getattr(value, name)) for name in value.__struct_fields__}
    if isinstance(value, dict):
        return {key: _plain(one) for key, one in value.items()}
    if isinstance(value, tuple | list):
        return [_plain(one) for one in value]
    return value
