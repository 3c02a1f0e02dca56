"""Short ways to write whole systems for the rules on charging, banks, disconnects and monitoring."""

from __future__ import annotations

from helpers import report

Said = tuple[str, str, tuple[str, ...], float | None, float | None]


def system(components: str, runs: str, profile: str = "us-boat", head: str = "") -> str:
    """A whole spec, its negative bonded at B1 unless the runs say otherwise; one component or run a line."""
    bond = (
        "" if "carries: bond" in runs else "\n- {id: WB, path: [B1-, GND], length: 0.5 m, carries: bond, wire: 2/0 AWG}"
    )
    own = "".join(f"  {line.strip()}\n" for line in components.strip().splitlines())
    lines = "".join(f"  {line.strip()}\n" for line in (runs.strip() + bond).splitlines())
    return f"""\
rigline: 1
title: A case from practice
profile: {profile}
body: plastic
conditions: {{coldest: 5 °C}}
{head}components:
{own}  GND: {{kind: chassis, type: engine}}
runs:
{lines}"""


def judged(text: str, *rules: str) -> list[Said]:
    """Rule, severity, place, number and limit of what some rules (or families) find, three digits each."""
    return sorted(
        (f.rule, f.severity.value, f.at, _rounded(f.found), _rounded(f.limit))
        for f in report(text).findings
        if f.rule.startswith(rules)
    )


def missing(text: str, rule: str) -> list[tuple[tuple[str, ...], str]]:
    """What one rule could not judge, and for want of which fact."""
    return [(one.at, one.missing) for one in report(text).not_assessed if one.rule == rule]


def _rounded(value: float | None) -> float | None:
    return None if value is None else float(f"{value:.3g}")
