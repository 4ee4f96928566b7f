"""Small netlists made by hand, so that analysis can be tested without the language, elaboration or the parts library."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from humdinger.circuit.netlist import (
    Bond,
    Capacitor,
    Choke,
    Control,
    Diode,
    Fuse,
    Net,
    Netlist,
    OutputTransformer,
    Part,
    Pin,
    Pot,
    PowerTransformer,
    Rectifier,
    Resistor,
    Speaker,
    StageInstance,
    Switch,
    Tap,
    Tube,
    TubeSection,
    Winding,
)
from humdinger.diagnostics import Span
from humdinger.parts.model import Base, Cited, DiodeType, Envelope, HeaterConnection, Region, Section, TubeModel, TubeType

Ends = tuple[str, str] | None
"""The two nets of a heater."""

NOWHERE = Span("made by hand", 1, 1, 1, 1)

KOREN_12AX7 = {"mu": 99.59, "ex": 1.66919, "kg1": 2338.19, "kp": 786.349, "kvb": 23.0475, "vct": 0.72108}
KOREN_EL84 = {
    "mu": 19.4102,
    "ex": 1.2,
    "kg1": 476.498,
    "kg2": 1435.53,
    "kp": 285.088,
    "kvb": 17.9,
    "beta": 0.7,
    "slope": 0.000373,
    "slope_volts": 250.0,
}
"""Both from reference/tube_models.yaml (fits); beta between the values the page tried."""

GZ34_PERVEANCE = 0.003961806
SILICON = (7e-9, 1.8)


def cited(value: float) -> Cited:
    """A number whose source is the test."""
    return Cited(value, "test")


def diode_type() -> DiodeType:
    """The silicon diode of the trial decks."""
    return DiodeType("1N4007", cited(SILICON[0]), cited(SILICON[1]), cited(1000.0), cited(1.0), cited(30.0))


def region(volts: float = 230.0) -> Region:
    """A mains region ±10 %."""
    return Region(
        code="eu",
        name="test",
        nominal_volts=cited(volts),
        low_volts=cited(0.9 * volts),
        high_volts=cited(1.1 * volts),
        insulation_high_volts=cited(1.1 * volts),
        hertz=cited(50.0),
        line_colour="brown",
        neutral_colour="blue",
        earth_colours=("green-yellow",),
        colour_source="test",
        plug="",
        paper="A4",
        emergency_number="",
        wiring_rules="",
        deferral="",
    )


def tube_type(
    name: str, sections: tuple[Section, ...], kind: str = "twin triode", heater_amps: float = 0.3, hot_cathode: bool = False
) -> TubeType:
    """A tube type with a 6.3 V heater between pins 4 and 5."""
    base = Base("B9A", 9, cited(11.89), 36.0, cited(19.0), cited(28.6))
    heater = HeaterConnection(6.3, heater_amps, (4,), (5,), "6.3 V", "test")
    return TubeType(name, kind, (), base, "9A", (heater,), sections, Envelope(), cathode_is_heater=hot_cathode)


def triode_section(name: str, farads: tuple[float, float, float] | None = None, parameters: Mapping[str, float] = KOREN_12AX7) -> Section:
    """A triode section; farads: grid-plate, grid-cathode, plate-cathode."""
    c = [None if farads is None else cited(value) for value in (farads or (0.0, 0.0, 0.0))]
    return Section(
        name,
        "triode",
        {},
        TubeModel("triode", parameters, "test"),
        grid_plate_farads=c[0],
        input_farads=c[1],
        output_farads=c[2],
    )


def pentode_section(parameters: Mapping[str, float] = KOREN_EL84) -> Section:
    """A pentode with the capacitances of an output tube."""
    return Section(
        "",
        "pentode",
        {},
        TubeModel("pentode", parameters, "test"),
        grid_plate_farads=cited(0.5e-12),
        input_farads=cited(10.8e-12),
        output_farads=cited(6.5e-12),
    )


def rectifier_section(perveance: float = GZ34_PERVEANCE) -> Section:
    """Both plates of a rectifier tube."""
    return Section("", "rectifier", {}, TubeModel("rectifier", {"perveance": perveance}, "test"))


class Bench:
    """Puts parts between nets and makes the netlist; every method that adds a part returns nothing."""

    def __init__(self) -> None:
        self.parts: list[Part] = []
        self.sections: list[TubeSection] = []
        self.rectifiers: list[Rectifier] = []
        self.stages: list[StageInstance] = []
        self.controls: list[Control] = []
        self.domains: dict[str, str] = {}
        self.power: list[str] = []

    def _fields(self, ref: str, pins: Mapping[str, str]) -> dict[str, Any]:
        return {
            "ref": ref,
            "path": ref,
            "stage": "",
            "role": ref,
            "span": NOWHERE,
            "pins": tuple(Pin(name, net) for name, net in pins.items()),
        }

    def resistor(self, ref: str, a: str, b: str, ohms: float) -> None:
        self.parts.append(Resistor(**self._fields(ref, {"1": a, "2": b}), ohms=ohms))

    def capacitor(self, ref: str, a: str, b: str, farads: float) -> None:
        self.parts.append(Capacitor(**self._fields(ref, {"1": a, "2": b}), farads=farads))

    def choke(self, ref: str, a: str, b: str, henries: float, ohms: float) -> None:
        self.parts.append(Choke(**self._fields(ref, {"1": a, "2": b}), henries=henries, ohms=ohms))

    def pot(self, ref: str, ccw: str, wiper: str, cw: str, ohms: float, taper: str = "linear", position: float = 0.5) -> None:
        fields = self._fields(ref, {"ccw": ccw, "wiper": wiper, "cw": cw})
        self.parts.append(Pot(**fields, ohms=ohms, taper=taper, control=ref, position=position))
        self.controls.append(Control(ref, ref, position))

    def diode(self, ref: str, anode: str, cathode: str) -> None:
        self.parts.append(Diode(**self._fields(ref, {"a": anode, "k": cathode}), type=diode_type()))

    def fuse(self, ref: str, a: str, b: str) -> None:
        fields = self._fields(ref, {"1": a, "2": b})
        self.parts.append(Fuse(**fields, amps=0.5, characteristic="T", breaking="H", volts=250.0, where="high-tension"))

    def bond(self, ref: str = "W1") -> None:
        self.parts.append(Bond(**self._fields(ref, {"1": "0", "2": "PE"}), kind="direct"))

    def switch(self, ref: str, a: str, b: str, where: str, closed: bool) -> None:
        self.parts.append(Switch(**self._fields(ref, {"1a": a, "1b": b}), poles=1, where=where, closed=closed))

    def speaker(self, ref: str, plus: str, minus: str, ohms: float) -> None:
        fields = self._fields(ref, {"+": plus, "-": minus})
        self.parts.append(Speaker(**fields, ohms=ohms, resistance=None, watts=None))

    def triode(self, ref: str, plate: str, grid: str, cathode: str, section: Section | None = None, heater: Ends = None) -> None:
        """A single triode in a tube of its own; its section is called ref + "a"."""
        found = section or triode_section("a")
        pins = {} if heater is None else {"4": heater[0], "5": heater[1]}
        self.parts.append(Tube(**self._fields(ref, pins), type=tube_type("TEST TRIODE", (found,))))
        self.sections.append(TubeSection(f"{ref}a", ref, "", found, plate, grid, cathode))

    def pentode(
        self,
        ref: str,
        plate: str,
        screen: str,
        grid: str,
        cathode: str,
        section: Section | None = None,
        heater: tuple[str, str] | None = None,
    ) -> None:
        """An output pentode; its section is called ref."""
        found = section or pentode_section()
        pins = {} if heater is None else {"4": heater[0], "5": heater[1]}
        self.parts.append(Tube(**self._fields(ref, pins), type=tube_type("TEST PENTODE", (found,), "power pentode", 0.76)))
        self.sections.append(TubeSection(ref, ref, "", found, plate, grid, cathode, screen))
        self.power.append(ref)

    def output_transformer(self, ref: str, pins: Mapping[str, str], taps: Mapping[str, tuple[float, float, float]], **values: Any) -> None:
        """taps: pin -> (ohms, turns ratio, resistance)."""
        fields = self._fields(ref, pins)
        found = tuple(Tap(ohms=z, pin=pin, turns_ratio=ratio, resistance=r) for pin, (z, ratio, r) in taps.items())
        known: dict[str, Any] = {
            "topology": "push-pull" if "CT" in pins else "single-ended",
            "primary_ohms": 8000.0,
            "primary_resistance": 240.0,
            "henries": 25.0,
            "leakage_henries": 25e-3,
        }
        self.parts.append(OutputTransformer(**fields, taps=found, **(known | values)))

    def supply(
        self,
        plus: str,
        reservoir: float,
        *,
        volts: float = 236.0,
        resistance: float = 70.0,
        arrangement: str = "full-wave",
        minus: str = "0",
        primary_resistance: float = 32.0,
        mains: float = 230.0,
        tube: Section | None = None,
        in_series: int = 1,
        heater: tuple[str, str] | None = None,
        extra_ohms: float = 0.0,
    ) -> None:
        """A power transformer T1 with a rectifier "main" (silicon D1 or tube V9) into a reservoir C1; a heater winding if asked for."""
        winding = Winding(
            name="high-tension",
            kind="high-tension",
            volts=volts,
            amps=0.1,
            basis="rms",
            resistance=(resistance,),
            no_load_volts=volts,
            centre_tapped=arrangement == "full-wave",
            pins=("HT1", "HT0" if arrangement == "full-wave" else "", "HT2"),
            feeds=("rectifier",),
            span=NOWHERE,
        )
        windings = [winding]
        pins = {"L": "mains.L", "N": "mains.N", "HT1": "ht.1", "HT2": "ht.2"}
        if arrangement == "full-wave":
            pins["HT0"] = minus
        if heater:
            pins |= {"H1": heater[0], "H2": heater[1]}
            windings.append(
                Winding(
                    name="heater",
                    kind="heater",
                    volts=6.3,
                    amps=4.0,
                    basis="rms",
                    resistance=(0.05,),
                    no_load_volts=6.8,
                    centre_tapped=False,
                    pins=("H1", "", "H2"),
                    feeds=("all",),
                    span=NOWHERE,
                )
            )
        self.domains |= {"mains.L": "mains", "mains.N": "mains", "ht.1": "high-tension-ac", "ht.2": "high-tension-ac"}
        self.parts.append(
            PowerTransformer(
                **self._fields("T1", pins),
                primary_volts=mains,
                primary_hertz=(50.0,),
                primary_resistance=primary_resistance,
                windings=tuple(windings),
            )
        )
        if tube is not None:
            self.parts.append(Tube(**self._fields("V9", {}), type=tube_type("TEST RECTIFIER", (tube,), "rectifier", 1.9, True)))
            devices: tuple[str, ...] = ("V9",)
        else:
            self.diode("D1", "ht.1", plus)
            devices = ("D1",)
        self.capacitor("C1", plus, minus, reservoir)
        kind = "silicon" if tube is None else "tube"
        self.rectifiers.append(
            Rectifier("main", kind, arrangement, plus, minus, "T1", "high-tension", devices, in_series, "C1", extra_ohms, NOWHERE)
        )

    def stage(self, id: str, **ports: str) -> None:
        """A stage with ports; "out_a" stands for "out-a"."""
        named = {name.replace("_", "-"): net for name, net in ports.items()}
        self.stages.append(StageInstance(id, "test", NOWHERE, named, {}))

    def netlist(self, input_net: str = "in", output_net: str = "out", b_plus: tuple[str, ...] = ("B1",), hertz: float = 50.0) -> Netlist:
        """The frozen netlist."""
        names = dict.fromkeys(["0", *(pin.net for part in self.parts for pin in part.pins)])
        for s in self.sections:
            names |= dict.fromkeys(net for net in (s.plate, s.grid, s.cathode, s.screen) if net)
        return Netlist(
            name="test",
            region=region(),
            mains_hertz=hertz,
            parts=tuple(self.parts),
            sections=tuple(self.sections),
            rectifiers=tuple(self.rectifiers),
            nets={n: Net(n, self.domains.get(n, "signal")) for n in names},
            stages=tuple(self.stages),
            controls=tuple(self.controls),
            defaults=(),
            input_net=input_net,
            output_net=output_net,
            bias_scheme="cathode",
            power_sections=tuple(self.power),
            b_plus=b_plus,
        )


def small_amp(*, tube_rectifier: bool = False, choke: bool = False, feedback: bool = False) -> Netlist:
    """An amp of this file's own: triode, long-tailed pair, push-pull pentodes, supply with three B+ nodes, heaters on two 100 Ω."""
    b = Bench()
    heater = ("h1", "h2")
    b.supply("B1", 47e-6, heater=heater, tube=rectifier_section() if tube_rectifier else None, in_series=1)
    b.resistor("R1", "B1", "0", 220e3)
    if choke:
        b.choke("L1", "B1", "B2", 5.0, 90.0)
    else:
        b.resistor("R2", "B1", "B2", 470.0)
    b.capacitor("C2", "B2", "0", 47e-6)
    b.resistor("R3", "B2", "B3", 10e3)
    b.capacitor("C3", "B3", "0", 22e-6)
    b.resistor("R4", "h1", "0", 100.0)
    b.resistor("R5", "h2", "0", 100.0)
    strays = triode_section("a", (1.7e-12, 1.6e-12, 0.46e-12))
    b.resistor("R6", "in", "0", 1e6)
    b.resistor("R7", "in", "g1", 33e3)
    b.triode("V1", "p1", "g1", "k1", strays, heater)
    b.resistor("R8", "B3", "p1", 100e3)
    b.resistor("R9", "k1", "0", 1.5e3)
    b.capacitor("C4", "k1", "0", 22e-6)
    b.capacitor("C5", "p1", "v3", 22e-9)
    b.pot("VOLUME", "0", "v2", "v3", 1e6, position=0.5)
    b.capacitor("C6", "v2", "g2", 22e-9)
    b.resistor("R10", "g2", "t1", 1e6)
    b.resistor("R11", "g3", "t1", 1e6)
    b.capacitor("C7", "g3", "fb", 100e-9)
    b.triode("V2", "p2", "g2", "k2", strays, heater)
    b.triode("V3", "p3", "g3", "k2", strays, heater)
    b.resistor("R12", "B3", "p2", 82e3)
    b.resistor("R13", "B3", "p3", 91e3)
    b.resistor("R14", "k2", "t1", 680.0)
    b.resistor("R15", "t1", "fb", 22e3)
    b.resistor("R27", "fb", "0", 47.0)
    for n, (plate, grid, end) in enumerate((("p2", "g4", "P1"), ("p3", "g5", "P2"))):
        b.capacitor(f"C{8 + n}", plate, f"{grid}l", 47e-9)
        b.resistor(f"R{16 + n}", f"{grid}l", "0", 330e3)
        b.resistor(f"R{18 + n}", f"{grid}l", grid, 2.2e3)
        b.resistor(f"R{20 + n}", "B2", f"s{n}", 470.0)
        b.resistor(f"R{22 + n}", f"k4{n}", "0", 270.0)
        b.capacitor(f"C{10 + n}", f"k4{n}", "0", 470e-6)
        b.pentode(f"V{4 + n}", end, f"s{n}", grid, f"k4{n}", None, heater)
    pins = {"P1": "P1", "CT": "B1", "P2": "P2", "0": "0", "4": "tap4", "8": "out"}
    b.output_transformer("T2", pins, {"4": (4.0, 2000.0**0.5, 0.25), "8": (8.0, 1000.0**0.5, 0.4)})
    b.resistor("R24", "tap4", "0", 1e6)
    b.speaker("LS1", "out", "0", 8.0)
    b.resistor("R25", "out", "0", 220.0)
    if feedback:
        b.resistor("R26", "out", "fb", 820.0)
    b.bond()
    b.resistor("R28", "PE", "0", 1e9)
    b.stage("first", **{"in": "in", "out": "p1"})
    b.stage("inverter", **{"in": "g2", "out_a": "p2", "out_b": "p3"})
    b.stage("level", **{"in": "p1", "out": "v2"})
    return b.netlist(b_plus=("B1", "B2", "B3"))
