"""Spoilt places that are sound all the same, each with the clause that makes them so.

Ampacities are those of the tables named (33 CFR 183.425 Table 5 for 105 °C insulation; NEC Table 310.16 copper).
"""

from __future__ import annotations

CFR = "33 CFR 183.455(c)(1)"
NEC = "NEC 240.4"
RV = "NEC Table 552.10(E)(1), from memory"
ISOLATED_END = "self-limited source, NEC 690.9(A) and ISO 13297 12.3"

SOUND = {
    # Day boat: 33 CFR and ABYC E-11.
    "boat: remove F4": "ABYC E-11 exception: sheathed, 1.47 m to the fuses at the bus, at most 1.83 m (72 in)",
    "boat: raise F1 from 125 to 175 A": f"{CFR}: 2 AWG has 178.5 A in the engine space",
    "boat: raise F4 from 200 to 250 A": f"{CFR}: 2/0 AWG has 330 A, and the bus is rated 250 A",
    "boat: raise F2 from 60 to 80 A": f"{CFR}: 6 AWG has 120 A",
    "boat: raise F3 from 40 to 60 A": f"{CFR}: 6 AWG has 120 A",
    "boat: raise QC from 15 to 25 A": "33 CFR 183.455(c)(2): 16 AWG has 25 A",
    "boat: raise F6 from 30 to 50 A": f"{CFR}: 8 AWG has 80 A",
    "boat: raise F5 from 80 to 100 A": f"{CFR}: 1/0 AWG has 285 A, and the panel is rated 100 A",
    "boat: raise Q11 from 5 to 30 A": f"{CFR}: 14 AWG has 35 A",
    "boat: raise Q12 from 10 to 30 A": f"{CFR}: 12 AWG has 45 A",
    "boat: raise F7 from 6 to 15 A": f"{CFR}: 16 AWG has 25 A",
    "boat: shrink W1 from 1/0 AWG to 4 AWG": "33 CFR 183.455(b): a cranking cable carries its current for seconds",
    "boat: shrink W5 from 2/0 AWG to 2 AWG": f"{CFR}: 2 AWG has 210 A, behind 200 A",
    "boat: shrink W6 from 1/0 AWG to 4 AWG": f"{CFR}: 4 AWG has 160 A, behind 80 A",
    "boat: shrink W10 from 16 AWG to 18 AWG": f"{CFR}: 18 AWG has 20 A, behind 5 A; 2.1 A over 4 m lose 1.5 %",
    # Forest cabin: NEC.
    "cabin: remove QI": f"{ISOLATED_END}: 20.8 A of inverter or 25 A of generator breaker, and 8 AWG has 50 A",
    "cabin: remove F6": f"{ISOLATED_END}: the converter gives 20 A, and 8 AWG has 50 A",
    "cabin: remove FA": f"{ISOLATED_END}: the converter gives 20 A, and 12 AWG may have 20 A ahead",
    "cabin: remove W16 (bond)": "NEC 250.162(A): two-wire DC up to 60 V need not be grounded (from memory)",
    "cabin: remove W18 (earth)": "NEC 250.121, exception: the 8 AWG earth of W8 and W17 lead to the rods (from memory)",
    "cabin: shrink W18 from 6 AWG to 12 AWG": "NEC 250.121, exception: the 8 AWG earth of W8 leads there (from memory)",
    "cabin: remove W21 (earth)": "NEC 250.35(B): the frame is bonded by the earth core of the generator's own run",
    "cabin: raise QPV from 50 to 70 A": f"{NEC}(B): 6 AWG has 65 A, 70 A is the next standard rating",
    "cabin: raise F3 from 80 to 100 A": f"{NEC}: 3 AWG has 100 A",
    "cabin: raise QI from 30 to 40 A": f"{NEC}: 8 AWG has 50 A",
    "cabin: raise F5 from 30 to 40 A": f"{NEC}: 8 AWG has 50 A",
    "cabin: raise F6 from 30 to 50 A": f"{NEC}: 8 AWG has 50 A",
    "cabin: raise FA from 7.5 to 15 A": f"{NEC}(D): 12 AWG may have 20 A",
    "cabin: raise FB from 2 to 4 A": f"{NEC}(D): 14 AWG may have 15 A",
    "cabin: shrink W16 from 4/0 AWG to 1/0 AWG": "NEC 250.162(A): two-wire DC up to 60 V need not be grounded at all",
    "cabin: shrink W16 from 4/0 AWG to 4 AWG": "NEC 250.162(A): two-wire DC up to 60 V need not be grounded at all",
    "cabin: shrink W18 from 6 AWG to 18 AWG": "NEC 250.121, exception: the 8 AWG earth of W8 leads there (from memory)",
    "cabin: shrink W21 from 8 AWG to 18 AWG": "NEC 250.35(B): the generator's own run has an earth core of 8 AWG",
    "cabin: shrink W21 from 8 AWG to 14 AWG": "NEC 250.35(B): the generator's own run has an earth core of 8 AWG",
    # Family camper: NEC, articles for vehicles.
    "camper: raise F2 from 40 to 60 A": f"{NEC}: 6 AWG has 68 A at 40 °C",
    "camper: raise F5 from 60 to 80 A": f"{NEC}: 2 AWG has 118 A at 40 °C",
    "camper: raise F6 from 40 to 60 A": f"{NEC}: 6 AWG has 68 A at 40 °C",
    "camper: raise FA from 3 to 5 A": f"{RV}: 18 AWG may have 6 A",
    "camper: raise FB from 1 to 3 A": f"{RV}: 18 AWG may have 6 A",
    "camper: raise FH from 1 to 3 A": f"{RV}: 18 AWG may have 6 A",
    # Camping box.
    "lights: raise FA from 3 to 5 A": f"{RV}: 18 AWG may have 6 A",
    # Bicycle repair trailer.
    "trailer: remove F4": f"{NEC}: 1/0 AWG has 163 A, behind 125 A of the main fuse and 30 A of the sun",
    "trailer: remove QA": "exception of NEC 690.9(A) alike: the inverter gives 10 A, and 12 AWG may have 20 A",
    "trailer: raise FA from 2 to 4 A": f"{RV}: 14 AWG may have 15 A",
    "trailer: raise F4 from 80 to 100 A": f"{NEC}: 1/0 AWG has 163 A at 35 °C",
    "trailer: shrink W2 from 10 AWG to 16 AWG": "NEC 690.8(B): 1.56 x 10.2 A is 15.9 A, and 16 AWG has 17.3 A at 35 °C",
    "trailer: shrink W5 from 14 AWG to 18 AWG": f"{RV}: 18 AWG may have 6 A, behind 2 A",
    "trailer: shrink W7 from 1/0 AWG to 4 AWG": f"{NEC}: 4 AWG has 91 A at 35 °C, behind 80 A",
    "trailer: shrink W11 from 1/0 AWG to 4 AWG": "NEC Table 250.122: 8 AWG is enough behind 80 A",
}
"""Mutant -> the clause."""
