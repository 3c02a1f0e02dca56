"""Hand-made one-lines for the tests of layout: invented systems, in the words that the contract gives."""

from __future__ import annotations

from rigline.drawing.symbols import symbol_for
from rigline.layout.oneline import Device, Feeder, OneLine, Station, Tag
from rigline.layout.symbols import SymbolBox, Terminal

ROLES = {
    "battery": ("storage", "dc"),
    "vehicle-battery": ("storage", "dc"),
    "pv-array": ("source", "dc"),
    "alternator": ("source", "dc"),
    "wind-turbine": ("source", "dc"),
    "shore-inlet": ("source", "ac"),
    "generator": ("source", "ac"),
    "busbar": ("bus", "dc"),
    "fuse-block": ("bus", "dc"),
    "dc-panel": ("bus", "dc"),
    "ac-panel": ("bus", "ac"),
    "chassis": ("earth", "earth"),
    "earth-electrode": ("earth", "earth"),
    "earth-bus": ("bus", "earth"),
    "charge-controller": ("converter", "dc"),
    "dc-charger": ("converter", "dc"),
    "dc-converter": ("converter", "dc"),
    "ac-charger": ("converter", "dc"),
    "inverter": ("converter", "dc"),
    "inverter-charger": ("converter", "dc"),
    "transfer-switch": ("converter", "ac"),
    "selector": ("converter", "dc"),
    "diode-isolator": ("converter", "dc"),
    "transformer": ("converter", "ac"),
    "ac-load": ("load", "ac"),
    "receptacle": ("load", "ac"),
}


class RealSymbols:
    """The drawing's own symbols, as layout wants to see them."""

    def __getitem__(self, kind: str) -> SymbolBox:
        symbol = symbol_for(kind, "iec")
        terminals = {name: Terminal(t.x_mm, t.y_mm, t.side) for name, t in symbol.terminals.items()}
        return SymbolBox(symbol.width_mm, symbol.height_mm, terminals)


SYMBOLS = RealSymbols()


def station(text: str, **more: object) -> Station:
    """`id kind: line, line`, as in `B1 battery: Bench bank, LiFePO4 25.6 V 100 Ah`."""
    head, _, rest = text.partition(":")
    station_id, kind = head.split()
    role, medium = ROLES.get(kind, ("load", "dc"))
    lines = (station_id, *(line.strip() for line in rest.split(",") if line.strip()))
    return Station(station_id, kind, lines, role, medium, **more)  # type: ignore[arg-type]


def device(text: str, place: str | None = None) -> Device:
    """`id kind rating, more`, as in `F1 fuse 125 A, class T`."""
    first, *more = (part.strip() for part in text.split(","))
    device_id, kind, *rating = first.split(" ", 2)
    return Device(device_id, kind, (" ".join([device_id, *rating]), *more), place=place)


def feeder(run: str, path: list[str], tags: list[str], kind: str = "dc", **more: object) -> Feeder:
    """A feeder from the first station of the path to the last; `BUS.port` names a port; a device is a text with blanks.

    A tag is `gauge, length`; its segment gets the run's id and a letter.
    """
    start, _, start_port = path[0].partition(".")
    end, _, end_port = path[-1].partition(".")
    devices = tuple(device(text) for text in path[1:-1])
    tags = tags * (len(devices) + 1) if len(tags) == 1 else tags
    letters = "abcdefghijklmnop" if devices else [""]
    made = tuple(
        Tag(run + letter, (run + letter, *(part.strip() for part in text.split(","))))
        for letter, text in zip(letters, tags, strict=False)
    )
    conductors = {"dc": 2, "ac": 3}.get(kind, 1)
    return Feeder(
        run,
        (run,),
        start,
        end,
        devices,
        made,
        kind,
        conductors,
        start_port,
        end_port,
        **more,  # type: ignore[arg-type]
    )


def tiny() -> OneLine:
    """A battery, its fuse, a fuse block and three loads."""
    return OneLine(
        (
            station("B1 battery: Camp battery, LiFePO4 12.8 V 50 Ah"),
            station("DC1 fuse-block: Fuse block, 12 V 60 A"),
            station("LT1 dc-load: Lights, 18 W"),
            station("PU1 dc-load: Water pump, 60 W"),
            station("SO1 dc-load: USB sockets, 30 W"),
        ),
        (
            feeder("W1", ["B1", "F1 fuse 60 A, class T", "DC1"], ["8 AWG, 0.15 m", "8 AWG, 0.6 m"]),
            feeder("W2", ["DC1", "FA fuse 5 A", "LT1"], ["14 AWG", "14 AWG, 3.2 m"]),
            feeder("W3", ["DC1", "FB fuse 10 A", "PU1"], ["14 AWG", "14 AWG, 1.8 m"]),
            feeder("W4", ["DC1", "FC fuse 10 A", "SO1"], ["14 AWG", "14 AWG, 2.1 m"]),
        ),
    )


def trailer() -> OneLine:
    """A workshop trailer: PV, shunt in the battery's feeder, inverter with AC panel, chassis bond."""
    return OneLine(
        (
            station("B1 battery: Bench bank, LiFePO4 25.6 V 100 Ah", place="front locker"),
            station("BUS1 busbar: 24 V bus, 250 A"),
            station("GND chassis: Trailer frame"),
            station("PV1 pv-array: Roof array, 2 × 195 W"),
            station("SC1 charge-controller: Charge controller, 100 V 20 A"),
            station("DC1 fuse-block: Bench fuses, 100 A 6 ways"),
            station("LT1 dc-load: Bench lights, 36 W"),
            station("FR1 dc-load: Fridge, 60 W"),
            station("FN1 dc-load: Roof fan, 30 W"),
            station("INV1 inverter: Inverter, 1200 W 120 V"),
            station("ACP1 ac-panel: AC panel, 120 V 20 A"),
            station("RC1 receptacle: Bench outlets, 20 A GFCI"),
            station("RC2 receptacle: Door outlet, 20 A GFCI"),
        ),
        (
            feeder(
                "W1",
                ["B1", "F1 fuse 125 A, class T", "Q1 switch 275 A, Battery isolator", "RS1 shunt 300 A", "BUS1"],
                ["1/0 AWG, 0.15 m", "1/0 AWG, 0.4 m", "1/0 AWG, 0.3 m", "1/0 AWG, 0.5 m"],
            ),
            feeder("W2", ["PV1", "SC1.pv"], ["10 AWG, 4 m"]),
            feeder("W3", ["SC1.battery", "F2 breaker 30 A", "BUS1"], ["10 AWG, 0.6 m", "10 AWG, 0.1 m"]),
            feeder("W4", ["BUS1", "F3 fuse 80 A, bolt-down", "DC1"], ["6 AWG, 0.15 m", "6 AWG, 1.5 m"]),
            feeder("W5", ["DC1", "FA fuse 5 A", "LT1"], ["14 AWG", "14 AWG, 4.2 m"]),
            feeder("W6", ["DC1", "FB fuse 15 A", "FR1"], ["12 AWG", "12 AWG, 3.5 m"]),
            feeder("W11", ["DC1", "FC fuse 5 A", "FN1"], ["14 AWG", "14 AWG, 2.5 m"]),
            feeder("W7", ["BUS1", "F4 fuse 100 A, class T", "INV1.dc"], ["1/0 AWG, 0.15 m", "1/0 AWG, 0.9 m"]),
            feeder("W8", ["INV1.ac-out", "ACP1"], ["3 × 12 AWG, 1 m"], "ac"),
            feeder("W9", ["ACP1", "QA breaker 15 A", "RC1"], ["12 AWG", "3 × 12 AWG, 2.5 m"], "ac"),
            feeder("W12", ["ACP1", "QB breaker 15 A", "RC2"], ["12 AWG", "3 × 12 AWG, 4 m"], "ac"),
            feeder("W10", ["BUS1.-", "GND"], ["1/0 AWG, 0.5 m"], "bond"),
            feeder("W13", ["INV1.case", "GND"], ["6 AWG, 0.7 m"], "bond"),
        ),
    )


def camper() -> OneLine:
    """About forty components: PV, alternator and charger, shore, inverter-charger, AC panel, twelve DC loads, bonds."""
    loads = [
        "Ceiling lights, 24 W", "Reading lights, 12 W", "Fridge, 60 W", "Water pump, 80 W", "Roof fan, 36 W",
        "Diesel heater, 120 W", "USB sockets, 60 W", "Awning light, 10 W", "Step, 90 W", "Level sensors, 5 W",
        "Radio, 40 W", "Gas alarm, 2 W",
    ]  # fmt: skip
    stations = [
        station("B1 battery: House bank, LiFePO4 12.8 V 280 Ah"),
        station("BUS1 busbar: Main bus, 12 V 400 A"),
        station("PV1 pv-array: Roof array, 3 × 175 W"),
        station("SC1 charge-controller: Controller, 150 V 45 A"),
        station("ALT1 alternator: Alternator, 180 A"),
        station("B2 vehicle-battery: Start battery, 12 V 95 Ah"),
        station("DD1 dc-charger: DC charger, 30 A"),
        station("SH1 shore-inlet: Shore inlet, 120 V 30 A"),
        station("IC1 inverter-charger: Inverter-charger, 3000 W 120 A"),
        station("ACP1 ac-panel: AC panel, 120 V 30 A"),
        station("DC1 fuse-block: House fuses, 100 A 12 ways"),
        station("GND chassis: Vehicle frame"),
    ]
    feeders = [
        feeder(
            "W1",
            ["B1", "F1 fuse 300 A, class T", "Q1 switch 350 A", "RS1 shunt 500 A", "BUS1"],
            ["2 × 1/0 AWG, 0.2 m"],
        ),
        feeder("W2", ["PV1", "Q2 breaker 25 A", "SC1.pv"], ["10 AWG, 5 m", "10 AWG, 0.4 m"]),
        feeder("W3", ["SC1.battery", "F2 breaker 60 A", "BUS1"], ["6 AWG, 0.6 m", "6 AWG, 0.2 m"]),
        feeder("W4", ["ALT1", "B2"], ["2 AWG, 1.2 m"]),
        feeder("W5", ["B2", "F5 fuse 50 A", "DD1"], ["8 AWG, 0.2 m", "8 AWG, 4.5 m"]),
        feeder("W6", ["DD1", "F6 fuse 50 A", "BUS1"], ["8 AWG, 0.7 m", "8 AWG, 0.2 m"]),
        feeder("W7", ["BUS1", "F7 fuse 300 A, class T", "IC1.dc"], ["2/0 AWG, 0.2 m", "2/0 AWG, 0.8 m"]),
        feeder("W8", ["SH1", "QS breaker 30 A", "IC1.ac-in"], ["3 × 10 AWG, 3 m", "3 × 10 AWG, 2 m"], "ac"),
        feeder("W9", ["IC1.ac-out", "ACP1"], ["3 × 10 AWG, 1 m"], "ac"),
        feeder("W20", ["BUS1", "F8 fuse 100 A", "DC1"], ["4 AWG, 0.2 m", "4 AWG, 2 m"]),
        feeder("W40", ["BUS1.-", "GND"], ["1/0 AWG, 0.6 m"], "bond"),
        feeder("W41", ["ACP1.case", "GND"], ["8 AWG, 1.2 m"], "bond"),
        feeder("W42", ["IC1.case", "GND"], ["4 AWG, 0.7 m"], "bond"),
    ]
    for number, text in enumerate(loads, 1):
        stations.append(station(f"L{number} dc-load: {text}"))
        path = ["DC1", f"FU{number} fuse 10 A", f"L{number}"]
        feeders.append(feeder(f"W{20 + number}", path, ["14 AWG", "14 AWG, 3 m"]))
    outlets = ["Outlets left, 20 A", "Outlets right, 20 A", "Cooktop, 1800 W", "Air conditioner, 1500 W"]
    for number, text in enumerate(outlets, 1):
        stations.append(station(f"A{number} {'receptacle' if number < 3 else 'ac-load'}: {text}"))
        path = ["ACP1", f"QF{number} breaker 20 A", f"A{number}"]
        feeders.append(feeder(f"W5{number}", path, ["12 AWG", "3 × 12 AWG, 5 m"], "ac"))
    return OneLine(tuple(stations), tuple(feeders))


def cabin() -> OneLine:
    """An off-grid cabin: generator and inverter on a transfer switch, earth electrode, two banks of loads."""
    return OneLine(
        (
            station("B1 battery: Shed bank, AGM 48 V 200 Ah"),
            station("BUS1 busbar: 48 V bus, 250 A"),
            station("PV1 pv-array: South array, 6 × 400 W"),
            station("SC1 charge-controller: Controller, 250 V 60 A"),
            station("PV2 pv-array: West array, 4 × 400 W"),
            station("SC2 charge-controller: Controller, 250 V 40 A"),
            station("G1 generator: Generator, 3.5 kW 230 V"),
            station("INV1 inverter: Inverter, 3 kW 230 V"),
            station("TS1 transfer-switch: Transfer switch, 40 A"),
            station("ACP1 ac-panel: House panel, 230 V 40 A"),
            station("CH1 ac-charger: Charger, 40 A"),
            station("L1 ac-load: Kitchen, 2 kW"),
            station("L2 ac-load: Well pump, 750 W"),
            station("L3 receptacle: Outlets, 16 A"),
            station("DC1 dc-panel: Panel, 48 V 60 A"),
            station("LT1 dc-load: Lights, 80 W"),
            station("FR1 dc-load: Fridge, 90 W"),
            station("EE1 earth-electrode: Ground rod"),
        ),
        (
            feeder("W1", ["B1", "F1 fuse 200 A, class T", "Q1 switch 250 A", "BUS1"], ["2/0 AWG, 0.5 m"]),
            feeder("W2", ["PV1", "Q2 switch 32 A", "SC1.pv"], ["6 mm², 12 m", "6 mm², 0.5 m"]),
            feeder("W3", ["SC1.battery", "F2 breaker 80 A", "BUS1"], ["25 mm², 1 m", "25 mm², 0.3 m"]),
            feeder("W4", ["PV2", "Q3 switch 32 A", "SC2.pv"], ["6 mm², 15 m", "6 mm², 0.5 m"]),
            feeder("W5", ["SC2.battery", "F3 breaker 63 A", "BUS1"], ["16 mm², 1 m", "16 mm², 0.3 m"]),
            feeder("W6", ["BUS1", "F4 fuse 125 A, class T", "INV1.dc"], ["35 mm², 0.3 m", "35 mm², 1 m"]),
            feeder("W7", ["INV1.ac-out", "QI breaker 20 A", "TS1.b"], ["3 × 4 mm², 0.5 m", "3 × 4 mm², 0.5 m"], "ac"),
            feeder("W8", ["G1", "QG breaker 20 A", "TS1.a"], ["3 × 4 mm², 10 m", "3 × 4 mm², 1 m"], "ac"),
            feeder("W9", ["TS1.out", "QM breaker 40 A", "ACP1"], ["3 × 6 mm², 0.5 m", "3 × 6 mm², 1.5 m"], "ac"),
            feeder("W10", ["ACP1", "QA breaker 16 A", "L1"], ["2.5 mm²", "3 × 2.5 mm², 8 m"], "ac"),
            feeder("W11", ["ACP1", "QB breaker 16 A", "L2"], ["2.5 mm²", "3 × 2.5 mm², 25 m"], "ac"),
            feeder("W12", ["ACP1", "QC rcd 16 A, 30 mA", "L3"], ["2.5 mm²", "3 × 2.5 mm², 6 m"], "ac"),
            feeder("W13", ["ACP1", "QD breaker 16 A", "CH1.ac"], ["2.5 mm²", "3 × 2.5 mm², 2 m"], "ac"),
            feeder("W14", ["CH1.dc", "F5 fuse 60 A", "BUS1"], ["16 mm², 0.5 m", "16 mm², 0.5 m"]),
            feeder("W15", ["BUS1", "F6 fuse 60 A", "DC1"], ["16 mm², 0.3 m", "16 mm², 3 m"]),
            feeder("W16", ["DC1", "FA fuse 5 A", "LT1"], ["1.5 mm²", "1.5 mm², 6 m"]),
            feeder("W17", ["DC1", "FB fuse 10 A", "FR1"], ["2.5 mm²", "2.5 mm², 5 m"]),
            feeder("W18", ["ACP1.-", "EE1"], ["6 mm², 3 m"], "bond"),
            feeder("W19", ["BUS1.-", "EE1"], ["16 mm², 3 m"], "bond"),
        ),
    )
