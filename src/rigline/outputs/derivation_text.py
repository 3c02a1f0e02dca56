"""How a line of a derivation is set, and how its amounts are written."""

from __future__ import annotations

import textwrap
from typing import NamedTuple

WIDTH = 80


class Line(NamedTuple):
    """One step of a derivation."""

    label: str
    """What it is about; empty where it continues the step before."""
    text: str

    @property
    def set(self) -> str:
        """As a paragraph with its label in the margin."""
        return textwrap.fill(
            self.text, WIDTH, initial_indent=f"  {self.label:11}", subsequent_indent=" " * 13, break_on_hyphens=False
        )


def amps_text(amps: float) -> str:
    """A current to three digits, in amperes; no exponents.

    >>> amps_text(1234.0), amps_text(1.2345)
    ('1234 A', '1.23 A')
    """
    return f"{amps:.0f} A" if amps >= 1000 else f"{amps:.3g} A"


def ohms_text(ohm: float) -> str:
    """A resistance to four digits, in milliohms, or in ohms from one upwards.

    >>> ohms_text(0.253), ohms_text(1.5)
    ('253 mΩ', '1.5 Ω')
    """
    return f"{ohm:.4g} Ω" if ohm >= 1 else f"{1000 * ohm:.4g} mΩ"
