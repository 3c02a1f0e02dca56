"""Whole systems that people wired, told by owners and installers, for the rules on overcurrent protection."""

from __future__ import annotations

NEWLINE = "\n"


def spec(profile: str, components: str, runs: str, insulation: str = "105 °C") -> str:
    """A whole spec with a bond to the engine or chassis."""
    return f"""\
rigline: 1
title: A case from practice
profile: {profile}
body: plastic
conditions: {{coldest: -10 °C}}
defaults: {{insulation: {insulation}}}
components:
{components.strip(NEWLINE)}
  GND: {{kind: chassis, type: engine}}
runs:
{runs.strip(NEWLINE)}
  - {{id: WB, path: [B1-, GND], length: 0.5 m, carries: bond, wire: 2/0 AWG}}
"""


CHARGE_LINE = spec(
    "us-rv",
    """
  B1: {kind: battery, name: House bank, chemistry: flooded, voltage: 12 V, capacity: 100 Ah, short-circuit: 900 A}
  X1: {kind: connector, name: Tow plug, rating: 30 A}
  VB1: {kind: vehicle-battery, chemistry: flooded, voltage: 12 V, capacity: 80 Ah, short-circuit: 900 A,
        output: 120 A}
  F1: {kind: fuse, style: blade, rating: 30 A}
""",
    """
  - {id: W1, path: [B1, X1, F1, VB1], lengths: [3 m, 5 m, 0.3 m], wire: 10 AWG}
""",
    insulation="75 °C",
)

SOLAR_KIT = spec(
    "us-cabin",
    """
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 8 Ah, short-circuit: 200 A}
  B2: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 8 Ah, short-circuit: 200 A}
  B3: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 8 Ah, short-circuit: 200 A}
  B4: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 33 Ah, short-circuit: 800 A}
  BUS1: {kind: busbar, rating: 100 A}
  SC1: {kind: charge-controller, output: 50 A, max-input: 50 V, method: pwm}
  PV1: {kind: pv-array, parallel: 2, pmax: 100 W, vmp: 18 V, imp: 5.6 A, voc: 21.8 V, isc: 6 A,
        max-series-fuse: 15 A, frame: none}
  INV1: {kind: inverter, power: 500 W, output: 120 V, internal-receptacles: true, neutral-bond: fixed,
        metal-case: false}
""",
    """
  - {id: W1, path: [B1, BUS1], length: 0.3 m, wire: 10 AWG}
  - {id: W2, path: [B2, BUS1], length: 0.3 m, wire: 10 AWG}
  - {id: W3, path: [B3, BUS1], length: 0.3 m, wire: 10 AWG}
  - {id: W4, path: [B4, BUS1], length: 0.3 m, wire: 10 AWG}
  - {id: W5, path: [SC1.battery, BUS1], length: 1 m, wire: 10 AWG}
  - {id: W6, path: [PV1, SC1.pv], length: 5 m, wire: 10 AWG}
  - {id: W7, path: [BUS1, INV1.dc], length: 1 m, wire: 6 AWG}
""",
    insulation="90 °C",
)

THICK_TO_THIN = spec(
    "us-boat",
    """
  B1: {kind: battery, chemistry: flooded, voltage: 12 V, capacity: 100 Ah, short-circuit: 1500 A}
  F1: {kind: fuse, style: anl, rating: 150 A}
  J1: {kind: junction}
  LT1: {kind: dc-load, power: 24 W}
""",
    """
  - {id: W1, path: [B1, F1, J1], lengths: [100 mm, 1 m], wire: 1 AWG}
  - {id: W2, path: [J1, LT1], length: 2 m, wire: 14 AWG}
""",
)

INVERTER = spec(
    "us-boat",
    """
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 200 Ah, short-circuit: 4 kA}
  F1: {kind: fuse, style: anl, rating: 175 A}
  INV1: {kind: inverter, power: 1000 W, output: 120 V, internal-receptacles: true, gfci: true,
        neutral-bond: fixed, metal-case: false}
""",
    """
  - {id: W1, path: [B1, F1, INV1.dc], lengths: [100 mm, 0.8 m], wire: 2 AWG, engine-space: true}
""",
)

FOUR_PANELS = spec(
    "us-boat",
    """
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 400 Ah, short-circuit: 4 kA}
  F1: {kind: fuse, style: anl, rating: 100 A}
  SC1: {kind: charge-controller, output: 60 A, max-input: 150 V}
  F2: {kind: breaker, rating: 80 A, voltage: 150 V, interrupting: 5 kA}
  PV1: {kind: pv-array, series: 2, parallel: 4, pmax: 100 W, vmp: 18 V, imp: 10 A, voc: 22 V, isc: 10.66 A,
        max-series-fuse: 20 A, frame: none, combiner: true, string-fuse: 20 A}
""",
    """
  - {id: W1, path: [B1, F1, SC1.battery], lengths: [100 mm, 0.8 m], wire: 4 AWG}
  - {id: W2, path: [PV1, F2, SC1.pv], lengths: [1 m, 1 m], wire: 6 AWG}
""",
    insulation="90 °C",
)

STERN_WINDLASS = spec(
    "us-boat",
    """
  B1: {kind: battery, chemistry: flooded, voltage: 12 V, capacity: 100 Ah, short-circuit: 1500 A}
  F1: {kind: breaker, style: thermal, rating: 40 A}
  WL1: {kind: motor, name: Stern windlass, current: 30 A}
""",
    """
  - {id: W1, path: [B1, F1], length: 12 ft, wire: 2 AWG}
  - {id: W2, path: [F1, WL1], length: 0.5 m, wire: 10 AWG}
""",
)

TWO_TAKE_OFFS = spec(
    "us-rv",
    """
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 200 Ah, short-circuit: 4 kA}
  F1: {kind: fuse, style: class-t, rating: 200 A}
  F2: {kind: fuse, style: class-t, rating: 200 A}
  Q1: {kind: switch, rating: 300 A, voltage: 32 V}
  Q2: {kind: switch, rating: 300 A, voltage: 32 V}
  WH1: {kind: dc-load, power: 1200 W}
  WH2: {kind: dc-load, power: 1200 W}
""",
    """
  - {id: W1, path: [B1, F1, Q1, WH1], lengths: [0.7 m, 0.3 m, 0.5 m], wire: 2/0 AWG}
  - {id: W2, path: [B1, F2, Q2, WH2], lengths: [0.8 m, 0.3 m, 0.5 m], wire: 2/0 AWG}
""",
)

BOW_BATTERY = spec(
    "us-boat",
    """
  B1: {kind: battery, name: Aft bank, chemistry: agm, voltage: 12 V, capacity: 200 Ah, short-circuit: 4 kA}
  B2: {kind: battery, name: Bow bank, chemistry: agm, voltage: 12 V, capacity: 100 Ah, short-circuit: 2 kA}
  F1: {kind: fuse, style: anl, rating: 100 A}
  F2: {kind: fuse, style: anl, rating: 100 A}
  K1: {kind: relay, type: combiner, rating: 300 A, voltage: 32 V}
""",
    """
  - {id: W1, path: [B1, F1, K1, F2, B2], lengths: [100 mm, 0.5 m, 9 m, 100 mm], wire: 2 AWG}
""",
)

WINDLASS = spec(
    "us-boat",
    """
  B1: {kind: battery, chemistry: flooded, voltage: 12 V, capacity: 200 Ah, short-circuit: 2 kA}
  F1: {kind: breaker, rating: 100 A, voltage: 32 V, interrupting: 3 kA}
  WL1: {kind: motor, name: Windlass, current: 83 A, voltage: 12 V}
""",
    """
  - {id: W1, path: [B1, F1, WL1], lengths: [100 mm, 6.9 m], wire: 2 AWG}
""",
)

TWO_BANKS_ONE_SWITCH = spec(
    "us-boat",
    """
  B1: {kind: battery, name: House, chemistry: agm, voltage: 12 V, capacity: 200 Ah, short-circuit: 4 kA}
  B2: {kind: battery, name: Reserve, chemistry: agm, voltage: 12 V, capacity: 90 Ah, short-circuit: 2 kA,
        starting: true}
  F1: {kind: fuse, style: class-t, rating: 250 A}
  F2: {kind: fuse, style: class-t, rating: 250 A}
  F3: {kind: fuse, style: anl, rating: 150 A}
  F5: {kind: fuse, style: anl, rating: 100 A}
  F6: {kind: fuse, style: anl, rating: 100 A}
  SEL1: {kind: selector, positions: 1-2-both, rating: 350 A, voltage: 32 V, cranking: 900 A}
  K1: {kind: relay, type: combiner, rating: 300 A, voltage: 32 V}
  M1: {kind: motor, name: Starter, cranking: true, current: 150 A, start: 400 A}
  G1: {kind: alternator, voltage: 12 V, output: 100 A}
  F4: {kind: fuse, style: anl, rating: 100 A}
  DC1: {kind: fuse-block, rating: 100 A}
  FA: {kind: fuse, style: blade, rating: 10 A}
  LT1: {kind: dc-load, power: 48 W}
""",
    """
  - {id: W1, path: [B1, F1, SEL1.1], lengths: [100 mm, 1 m], wire: 2/0 AWG}
  - {id: W2, path: [B2, F2, SEL1.2], lengths: [100 mm, 1 m], wire: 2/0 AWG}
  - {id: W3, path: [SEL1.common, M1], length: 1.5 m, wire: 2/0 AWG}
  - {id: W4, path: [SEL1.common, F4, DC1], lengths: [100 mm, 1 m], wire: 4 AWG}
  - {id: W5, path: [DC1, FA, LT1], length: 2 m, wire: 14 AWG}
  - {id: W6, path: [B1, F3, G1], lengths: [100 mm, 2 m], wire: 2 AWG}
  - {id: W7, path: [B1, F5, K1, F6, B2], lengths: [100 mm, 1 m, 1 m, 100 mm], wire: 4 AWG}
""",
)

TWO_395_AH = spec(
    "us-boat",
    """
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 395 Ah, short-circuit: 6 kA}
  B2: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 395 Ah, short-circuit: 6 kA}
  F1: {kind: fuse, style: class-t, rating: 350 A}
  F2: {kind: fuse, style: class-t, rating: 350 A}
  Q1: {kind: switch, rating: 400 A, voltage: 32 V}
  Q2: {kind: switch, rating: 400 A, voltage: 32 V}
  BUS1: {kind: busbar, rating: 800 A}
  F3: {kind: breaker, rating: 150 A, voltage: 32 V, interrupting: 10 kA}
  WH1: {kind: dc-load, power: 1200 W}
""",
    """
  - {id: W1, path: [B1, F1, Q1, BUS1], lengths: [150 mm, 0.5 m, 1 m], wire: 2/0 AWG}
  - {id: W2, path: [B2, F2, Q2, BUS1], lengths: [150 mm, 0.5 m, 1 m], wire: 2/0 AWG}
  - {id: W3, path: [BUS1, F3, WH1], lengths: [100 mm, 2 m], wire: 2 AWG}
""",
)

TWO_STRINGS = spec(
    "us-cabin",
    """
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 200 Ah, short-circuit: 4 kA}
  F1: {kind: fuse, style: anl, rating: 60 A}
  SC1: {kind: charge-controller, output: 40 A, max-input: 100 V}
  PV1: {kind: pv-array, series: 2, pmax: 100 W, vmp: 18 V, imp: 8 A, voc: 22 V, isc: 8.8 A,
        max-series-fuse: 15 A, frame: none}
  PV2: {kind: pv-array, series: 2, pmax: 100 W, vmp: 18 V, imp: 8 A, voc: 22 V, isc: 8.8 A,
        max-series-fuse: 15 A, frame: none}
  J1: {kind: junction, name: Combiner}
""",
    """
  - {id: W1, path: [B1, F1, SC1.battery], lengths: [200 mm, 0.8 m], wire: 4 AWG}
  - {id: W2, path: [PV1, J1], length: 3 m, wire: 10 AWG}
  - {id: W3, path: [PV2, J1], length: 3 m, wire: 10 AWG}
  - {id: W4, path: [J1, SC1.pv], length: 3 m, wire: 10 AWG}
""",
    insulation="90 °C",
)

POST_FUSE = spec(
    "us-boat",
    """
  B1: {kind: battery, chemistry: lifepo4, voltage: 12.8 V, capacity: 100 Ah, bms: true, short-circuit: 3 kA}
  F1: {kind: fuse, style: terminal, rating: 100 A, on-post: true}
  WH1: {kind: dc-load, power: 800 W}
""",
    """
  - {id: W1, path: [B1, F1, WH1], lengths: [0 m, 1 m], wire: 4 AWG}
""",
)

ONE_SELECTOR = spec(
    "us-boat",
    """
  B1: {kind: battery, chemistry: flooded, voltage: 12 V, capacity: 90 Ah, short-circuit: 900 A}
  B2: {kind: battery, chemistry: flooded, voltage: 12 V, capacity: 90 Ah, short-circuit: 900 A}
  SEL1: {kind: selector, positions: 1-2-both, rating: 350 A, voltage: 32 V, cranking: 900 A}
  M1: {kind: motor, name: Starter, cranking: true, current: 150 A, start: 400 A}
  G1: {kind: alternator, voltage: 12 V, output: 60 A}
  F4: {kind: fuse, style: anl, rating: 35 A}
  LT1: {kind: dc-load, power: 48 W}
""",
    """
  - {id: W1, path: [B1, SEL1.1], length: 1 m, wire: 2/0 AWG, sheathed: true}
  - {id: W2, path: [B2, SEL1.2], length: 1 m, wire: 2/0 AWG, sheathed: true}
  - {id: W3, path: [SEL1.common, M1], length: 1.5 m, wire: 2/0 AWG, sheathed: true}
  - {id: W4, path: [SEL1.common, F4, LT1], lengths: [100 mm, 2 m], wire: 10 AWG, sheathed: true}
  - {id: W5, path: [M1, G1], length: 0.15 m, wire: 6 AWG}
""",
)

GOLF_CART_PAIR = spec(
    "us-rv",
    """
  B1: {kind: battery, chemistry: flooded, voltage: 12 V, capacity: 100 Ah, short-circuit: 900 A}
  B2: {kind: battery, chemistry: flooded, voltage: 12 V, capacity: 100 Ah, short-circuit: 900 A}
  F1: {kind: fuse, style: anl, rating: 100 A}
  DC1: {kind: fuse-block, rating: 100 A}
  FA: {kind: fuse, style: blade, rating: 10 A}
  LT1: {kind: dc-load, power: 48 W}
""",
    """
  - {id: W1, path: [B1, F1, DC1], lengths: [150 mm, 2 m], wire: 4 AWG}
  - {id: W2, path: [B2, B1], length: 0.25 m, wire: 2 AWG}
  - {id: W3, path: [DC1, FA, LT1], length: 2 m, wire: 14 AWG}
""",
    insulation="90 °C",
)

THREE_LITHIUM = spec(
    "us-rv",
    """
  B1: {kind: battery, chemistry: lifepo4, voltage: 12.8 V, capacity: 100 Ah, bms: true}
  B2: {kind: battery, chemistry: lifepo4, voltage: 12.8 V, capacity: 100 Ah, bms: true}
  B3: {kind: battery, chemistry: lifepo4, voltage: 12.8 V, capacity: 100 Ah, bms: true}
  F1: {kind: fuse, style: class-t, rating: 125 A}
  F2: {kind: fuse, style: class-t, rating: 125 A}
  F3: {kind: fuse, style: class-t, rating: 125 A}
  FM: {kind: fuse, style: class-t, rating: 250 A}
  BUS1: {kind: busbar, rating: 400 A}
  BUS2: {kind: busbar, rating: 400 A}
  F4: {kind: fuse, style: anl, rating: 100 A}
  WH1: {kind: dc-load, power: 800 W}
""",
    """
  - {id: W1, path: [B1, F1, BUS1], lengths: [150 mm, 0.3 m], wire: 1/0 AWG}
  - {id: W2, path: [B2, F2, BUS1], lengths: [150 mm, 0.3 m], wire: 1/0 AWG}
  - {id: W3, path: [B3, F3, BUS1], lengths: [150 mm, 0.3 m], wire: 1/0 AWG}
  - {id: W4, path: [BUS1, FM, BUS2], lengths: [0.2 m, 1 m], wire: 4/0 AWG}
  - {id: W5, path: [BUS2, F4, WH1], lengths: [0.2 m, 1 m], wire: 4 AWG}
""",
    insulation="90 °C",
)

SERIES_PAIR = spec(
    "us-rv",
    """
  B1: {kind: battery, chemistry: flooded, voltage: 6 V, capacity: 200 Ah, short-circuit: 2 kA}
  B2: {kind: battery, chemistry: flooded, voltage: 6 V, capacity: 200 Ah, short-circuit: 2 kA}
  F1: {kind: fuse, style: anl, rating: 100 A}
  WH1: {kind: dc-load, power: 800 W}
""",
    """
  - {id: W1, path: [B1+, F1, WH1+], lengths: [150 mm, 0.3 m], wire: 4 AWG}
  - {id: W2, path: [B1-, B2+], length: 0.3 m, wire: 4 AWG}
  - {id: W3, path: [WH1-, B2-], length: 0.3 m, wire: 4 AWG, carries: negative}
""",
    insulation="90 °C",
)

BESIDE_THE_PANEL = spec(
    "us-rv",
    """
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 200 Ah, short-circuit: 2 kA}
  BUS1: {kind: busbar, rating: 400 A}
  F1: {kind: fuse, style: anl, rating: 100 A}
  WH1: {kind: dc-load, power: 800 W}
  INV1: {kind: inverter, power: 1000 W, output: 120 V, internal-receptacles: true, gfci: true,
        neutral-bond: fixed, metal-case: false}
""",
    """
  - {id: W1, path: [B1, BUS1], length: 150 mm, wire: 2/0 AWG}
  - {id: W2, path: [BUS1, F1, WH1], lengths: [0.1 m, 1 m], wire: 4 AWG}
  - {id: W3, path: [BUS1, INV1.dc], length: 1 m, wire: 1/0 AWG}
""",
    insulation="90 °C",
)

CARAVAN = """\
rigline: 1
title: 230 V in a caravan
profile: eu-caravan
body: metal
defaults: {insulation: 70 °C}
components:
  SH1: {kind: shore-inlet, rating: 16 A, voltage: 230 V, short-circuit: 1 kA}
  RCD1: {kind: rcd, rating: 25 A, residual: 30 mA, poles: 2}
  ACP1: {kind: ac-panel, rating: 25 A, neutral-bond: none}
  Q1: {kind: breaker, rating: 10 A, poles: 2, curve: B, interrupting: 6 kA}
  Q2: {kind: breaker, rating: 6 A, poles: 2, curve: C, interrupting: 6 kA}
  RC1: {kind: receptacle, rating: 10 A, power: 500 W}
  FR1: {kind: ac-load, name: Fridge, power: 120 W}
  GND: {kind: chassis}
runs:
  - {id: W1, path: [SH1, RCD1, ACP1], lengths: [1 m, 0.2 m], wire: 2.5 mm²}
  - {id: W2, path: [ACP1, Q1, RC1], length: 4 m, wire: 1.5 mm²}
  - {id: W3, path: [ACP1, Q2, FR1], length: 3 m, wire: 1.5 mm²}
  - {id: W4, path: [ACP1, GND], length: 1 m, carries: earth, wire: 6 mm²}
"""
