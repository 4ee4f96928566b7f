"""Published operating conditions of the power tubes as rows, and each row as a whole amp spec by one template.

Zero-signal currents are of all tubes of the row together. `source` is of the whole row: memory of the maker's sheet (nothing was opened),
or the page that was read. Rows marked `section_3` are those of the reference page "output stages: published against simulated".
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

from humdinger.analysis.results import Results
from humdinger.compile import Compiled
from humdinger.parts.model import TubeType
from support.amps import run
from support.front import LIBRARY

MEMORY = "memory of the maker's sheet"
WEAK = "memory of the maker's sheet, weak"
TABLE_6V6 = "public transcription of the 6V6GTA sheet"
POINTS_6V6 = "comment block of a public 6V6GT model that quotes handbook points"
ARTICLE_EL84 = "encyclopedia article on the EL84; currents from memory"
ARTICLE_6L6 = "encyclopedia article on the 6L6; currents partly from memory"
ARTICLE_KT66 = "encyclopedia article on the KT66; screen from memory"
FORUM_EL34 = "forum thread that quotes a published line of the EL34"


@dataclass(frozen=True, slots=True)
class Row:
    """One published condition. Volts to the cathode, except `supply`: the plates' B+ to ground, where the row gives that.

    grid: volts; from a bias supply where `fixed`, else (class A, where no sheet minds) across a resistor that is turned until they are
    there. cathode_ohms: where the row gives the resistor, one for all tubes or `each` its own. screen: volts to the cathode, or of the
    supply where the row gives that; screen_ohms: a resistor common to all screens.
    """

    tube: str
    tubes: int
    load: float
    plate_ma: float | None
    screen_ma: float | None
    source: str
    plate: float | None = None
    supply: float | None = None
    screen: float = 0.0
    screen_ohms: float = 0.0
    grid: float | None = None
    fixed: bool = False
    cathode_ohms: float = 0.0
    each: bool = False
    cathode_ma: float | None = None
    section_3: bool = True

    @property
    def name(self) -> str:
        """Its name in the list of exceptions and in the test's id."""
        how = f"{self.grid:g} V" if self.grid is not None else f"{self.cathode_ohms:g} ohm"
        return f"{self.tube} {'pair' if self.tubes == 2 else 'single'} {self.plate or self.supply:g}/{self.screen:g} V, {how}"


def _se(
    tube: str, plate: float, screen: float, grid: float, load: float, ia: float, ig2: float, source: str, *, section_3: bool = True
) -> Row:
    return Row(tube, 1, load, ia, ig2, source, plate=plate, screen=screen, grid=grid, section_3=section_3)


def _pp(
    tube: str, plate: float, screen: float, grid: float, load: float, ia: float, ig2: float, source: str, *, section_3: bool = True
) -> Row:
    return Row(tube, 2, load, ia, ig2, source, plate=plate, screen=screen, grid=grid, fixed=True, section_3=section_3)


ROWS = (
    _se("6V6GT", 250, 250, -12.5, 5000, 45, 4.5, TABLE_6V6),
    _se("6V6GT", 180, 180, -8.5, 5500, 29, 3, POINTS_6V6),
    _se("6V6GT", 315, 225, -13, 8500, 34, 2.2, MEMORY),
    _pp("6V6GT", 250, 250, -15, 10000, 70, 5, MEMORY),
    _pp("6V6GT", 285, 285, -19, 8000, 70, 4, POINTS_6V6),
    _se("6AQ5", 250, 250, -12.5, 5000, 45, 4.5, MEMORY),
    _pp("6AQ5", 250, 250, -15, 10000, 70, 5, MEMORY),
    Row("EL84", 1, 5200, 48, 5.5, ARTICLE_EL84, plate=250, screen=250, cathode_ohms=135),
    _pp("EL84", 300, 300, -14.7, 8000, 15, 1.6, MEMORY),
    _pp("EL84", 250, 250, -11.6, 8000, 20, 2.2, MEMORY),
    _se("6L6GC", 250, 250, -14, 2500, 72, 5, MEMORY),
    _se("6L6GC", 350, 250, -18, 4200, 54, 2.5, ARTICLE_6L6),
    _pp("6L6GC", 360, 270, -22.5, 6600, 88, 5, MEMORY),
    _pp("6L6GC", 450, 400, -37, 5600, 116, 5.6, ARTICLE_6L6),
    Row("6L6GC", 2, 5000, 134, 11, MEMORY, plate=270, screen=270, grid=-17.5),
    _se("5881", 250, 250, -14, 2500, 75, 4.3, MEMORY),
    _se("EL34", 250, 265, -13.5, 2000, 100, 14.9, MEMORY),
    _se("KT66", 250, 250, -15, 2200, 85, 6.3, ARTICLE_KT66),
    _pp("KT88", 553, 300, -34, 4500, 120, 3.4, MEMORY),
    _se("6BM8", 200, 200, -16, 5600, 35, 7, MEMORY),
    Row("EL34", 2, 11000, 50, 6, FORUM_EL34, supply=775, screen=400, screen_ohms=750, grid=-39, fixed=True),
    # Power tubes' other published conditions, which the section does not list.
    _se("6AQ5", 180, 180, -8.5, 5500, 29, 3, MEMORY, section_3=False),
    _se("6L6GC", 300, 200, -12.5, 4500, 48, 2.5, MEMORY, section_3=False),
    _se("5881", 350, 250, -18, 4200, 53, 2.5, MEMORY, section_3=False),
    _pp("5881", 360, 270, -22.5, 6600, 88, 5, WEAK, section_3=False),
    _se("6BM8", 170, 170, -11.5, 3900, 41, 8, MEMORY, section_3=False),
    _se("6BM8", 100, 100, -6, 3900, 26, 5, MEMORY, section_3=False),
    _se("KT88", 250, 250, -15, 2000, 140, 3, MEMORY, section_3=False),
    Row("EL84", 2, 8000, 72, 8, MEMORY, supply=300, screen=300, cathode_ohms=130, section_3=False),
    Row("EL84", 2, 8000, 62, 7, MEMORY, supply=250, screen=250, cathode_ohms=130, section_3=False),
    Row("EL34", 2, 3400, 150, 23, MEMORY, supply=375, screen=375, screen_ohms=470, cathode_ohms=130, section_3=False),
    Row("EL34", 2, 3400, 60, 8.8, MEMORY, supply=425, screen=425, screen_ohms=1000, grid=-38, fixed=True, section_3=False),
    Row("KT88", 2, 9000, 128, 3.4, WEAK, plate=521, screen=300, cathode_ohms=460, each=True, section_3=False),
    Row("KT66", 2, 8000, None, None, ARTICLE_KT66, plate=400, screen=400, grid=-38, fixed=True, cathode_ma=125, section_3=False),
)


@dataclass(frozen=True, slots=True)
class Dials:
    """What is turned until the tube stands at the row's volts: HT and bias winding, series and cathode resistors. amps: for the fuses."""

    winding: float
    screen_ohms: float
    bias: float
    driver_ohms: float
    cathode_ohms: float = 200.0
    mains_amps: float = 1.0
    ht_amps: float = 0.5


TEMPLATE = """\
humdinger: 1
model: {{name: Published, sold_as: own-use}}
region: eu
tubes: {tubes}
signal:
  - {{stage: input, id: guitar, grid_leak: 1M, grid_stopper: 33k}}
  - {{stage: common-cathode, id: first, tube: V1a, supply: {driver}, plate_load: 100k 2W,
     cathode_resistor: 1k5, cathode_bypass: 22u 63V, coupling: 22n 1000V}}
{last}
output:
  topology: {topology}
  tubes: [{outputs}]
  grid_leak: {leak}
  grid_stopper: 2k2
  screen_stopper: 100 10W wirewound
  transformer: {{type: {topology}, primary: {load}, taps: [8 ohm], power: 120 W, lowest: 60 Hz{gap}, primary_inductance: 30 H,
    resistance: {{primary: {copper}, secondary: 0.1}}, insulation: 5 kV}}
bias: {bias}
{controls}
supply:
  mains:
    inlet: {{kind: iec-c14, rating: 250 V 10 A}}
    cord: three-core
    fuse: T {mains_fuse} H 250V
    holder: shock-safe
    switch: {{poles: 2, rating: 250 V 10 A}}
  transformer:
    primary: [{{volts: 230 V, hz: [50, 60], resistance: 1.5}}]
    high_tension: {{volts: {winding} V, current: 2 A, basis: rms, resistance: [8], no_load: {winding_open} V}}
    heaters: [{{volts: 6.3 V, current: 8 A, no_load: 6.5 V}}]
    {bias_winding}
    insulation: 5 kV
    power: 900 VA
  rectifier: {{kind: silicon, arrangement: bridge, diodes: {{part: 1N4007, in_series: 3}}}}
  ht_fuse: {{rating: T {ht_fuse} 1000V, where: after-reservoir}}
  filter:
    - {{node: B1, capacitor: {{value: 100u, rating: 1200 V, ripple: 2 A}}, feeds: [output-plates],
       bleeder: {{value: 100k, power: 50 W, volts: 1200 V, type: wirewound}}}}
{more}
  heater_reference: {{kind: artificial-centre-tap, resistors: 100 0.5W, to: ground}}
grounding: {{chassis_joint: input, pe_stud: {{thread: M4, dedicated: true}}, circuit_bond: {{kind: direct, area: 1 mm2}}}}
speaker: {{impedance: 8 ohm, power: 200 W, tap: 8 ohm, resistance: 6.3, connection: hard-wired, load_resistor: 220 25W}}
"""


def spec(row: Row, dials: Dials) -> str:
    """The row as the text of an amp spec; B1 feeds the plates, the screens have a node of their own, and what drives them the last node."""
    refs = [f"V{number}" for number in range(2, 2 + row.tubes)]
    pair = row.tubes == 2
    tubes = {"V1": "12AX7"} | dict.fromkeys(refs, row.tube)
    unused = [f"{ref}t" for ref in refs if _type(row).section("t")]
    driver = f"B{3 + bool(row.screen_ohms)}"
    text = TEMPLATE.format(
        tubes="{" + ", ".join(f"{ref}: {kind}" for ref, kind in tubes.items()) + "}",
        driver=driver,
        last=(CATHODYNE if pair else COMMON_CATHODE).format(driver=driver),
        topology="push-pull" if pair else "single-ended",
        outputs=", ".join(refs),
        leak="47k" if row.fixed else "220k",
        load=f"{row.load:g}",
        gap="" if pair else f", gap_current: {round(2 * (row.plate_ma or 0))} mA",
        copper=f"{copper(row):.4g}",
        bias=_bias(row, dials),
        mains_fuse=_rated(dials.mains_amps),
        ht_fuse=_rated(dials.ht_amps),
        winding=f"{dials.winding:.2f}",
        winding_open=f"{dials.winding * 1.02:.2f}",
        bias_winding=f"bias: {{volts: {dials.bias:.3f} V, current: 100 mA, basis: rms, resistance: [20]}}" if row.fixed else "",
        controls="controls: {BIAS: 6.5}" if row.fixed else "",
        more="\n".join(_nodes(row, dials)),
    )
    return text + ("unused: {" + ", ".join(f"{name}: ground" for name in unused) + "}\n" if unused else "")


COMMON_CATHODE = (
    "  - {{stage: volume, id: level, pot: 1M audio}}\n"
    "  - {{stage: common-cathode, id: driver, tube: V1b, supply: {driver}, plate_load: 100k 2W, cathode_resistor: 1k5,"
    " cathode_bypass: 22u 63V, coupling: 100n 1000V}}"
)
CATHODYNE = (
    "  - {{stage: cathodyne, id: inverter, tube: V1b, supply: {driver}, load: 47k 2W, cathode_resistor: 1k5, grid_leak: 1M,"
    " grid_stopper: 10k, coupling: 100n 1000V}}"
)
BLEED_MA = 15.0
"""What a bleeder on the screens' node takes where a resistor drops their volts: the screens then move the node little."""


FUSES = (32, 40, 50, 63, 80, 100, 125, 160, 200, 250, 315, 400, 500, 630, 800, 1000, 1250, 1600, 2000, 2500, 3150, 4000, 5000, 6300)
"""Milliamps that fuses are made for: IEC 60127, from memory."""


def _rated(amps: float) -> str:
    """The fuse nearest to it by ratio."""
    return f"{min(FUSES, key=lambda ma: abs(math.log(ma / amps / 1e3)))}mA"


def _bias(row: Row, dials: Dials) -> str:
    if row.fixed:
        return (
            "{scheme: fixed, winding: bias, rectifier: {kind: silicon, diodes: {part: 1N4007}}, filter: ["
            "{capacitor: {value: 47u, rating: 200 V, ripple: 300 mA}, through: 2k2 2W}, {capacitor: 47u 200V, through: 4k7 1W}],"
            " range: {pot: 25k linear 0.5W, to_ground: 2k2,"
            " to_negative: 4k7, fail_safe: 220k}}"
        )
    watts = "50W wirewound"
    shape = "separate" if row.each else "shared"
    arrangement = f"arrangement: {shape}, " if row.tubes == 2 else ""
    return f"{{scheme: cathode, {arrangement}resistor: {row.cathode_ohms or dials.cathode_ohms:.5g} {watts}, bypass: 470u 200V}}"


def _nodes(row: Row, dials: Dials) -> list[str]:
    capacitor = "capacitor: {value: 47u, rating: 1200 V, ripple: 1 A}"
    bleeder = f"bleeder: {row.screen / BLEED_MA * 1e3:.4g} 50W wirewound" if _dropped(row) else "bleeder: 220k 10W wirewound"
    feeds = "feeds: [screens]"
    nodes = [
        f"    - {{node: B2, through: {dials.screen_ohms:.4g} 100W wirewound, {capacitor}, {bleeder}, {'' if row.screen_ohms else feeds}}}"
    ]
    if row.screen_ohms:
        nodes.append(f"    - {{node: B3, through: {row.screen_ohms:g} 25W wirewound, {capacitor}, {feeds}}}")
    nodes.append(f"    - {{node: B{len(nodes) + 2}, through: {dials.driver_ohms:.4g} 10W wirewound, {capacitor}}}")
    return [node.replace(", }", "}") for node in nodes]


def _dropped(row: Row) -> bool:
    return (row.plate or row.supply or 0.0) - row.screen > 25.0


def copper(row: Row) -> float:
    """Ohms of the whole primary: 3 % of the load, or what takes the plates below the screens where the row has them there."""
    if row.plate is None or row.plate_ma is None:
        return 0.03 * row.load
    return max(0.03 * row.load, (row.screen - row.plate + 1.0 + 0.1 * (row.screen_ma or 0.0)) / row.plate_ma * 1e3)


def _type(row: Row) -> TubeType:
    found = LIBRARY.tube(row.tube)
    assert found is not None
    return found


@dataclass(frozen=True, slots=True)
class Stand:
    """Where the row's tubes stand: volts to the cathode, milliamps of all of them; nodes to ground."""

    plate: float
    screen: float
    grid: float
    plate_ma: float
    screen_ma: float
    first_node: float
    screen_supply: float
    through_ma: float


def stand(row: Row, dials: Dials, results: Results) -> Stand:
    """Read off the nominal condition."""
    at = results.nominal
    power = [point for name, point in at.sections.items() if point.screen_volts is not None and not name.startswith("V1")]
    assert len(power) == row.tubes
    one = power[0]
    assert one.screen_volts is not None
    first, second = at.volts["B1"], at.volts["B2"]
    return Stand(
        one.plate_volts,
        one.screen_volts,
        one.grid_volts,
        1e3 * sum(point.plate_amps for point in power),
        1e3 * sum(point.screen_amps or 0.0 for point in power),
        first,
        second,
        1e3 * (first - second) / dials.screen_ohms,
    )


TURNS = 8
"""How often the dials are turned at most."""
NEAR = 0.003
"""How near the volts of the row are reached, plates and screens from below: several rows stand right at their tube's limit."""
AIM = 0.9985
"""Share of the row's plate and screen volts that the dials are turned to: half of NEAR below them."""


def settled(row: Row) -> tuple[Compiled, Stand]:
    """The row's amp with its tubes at the row's volts, judged; and where they stand."""
    volts = row.plate or row.supply or 0.0
    dials = Dials(0.75 * volts, 1000.0, 2.2 * abs(row.grid or 0.0), 10e3)
    off: Mapping[str, float] = {}
    for _ in range(TURNS):
        made = run(spec(row, dials))
        assert made.results is not None, [d.message for d in made.diagnostics]
        found = stand(row, dials, made.results)
        off = _off(row, found)
        if all(-NEAR < share <= (NEAR if what == "grid" else 0.0) for what, share in off.items()):
            return made, found
        dials = _turned(row, dials, found, made.results)
    raise AssertionError(f"{row.name}: not reached, off by {off}")


def _off(row: Row, at: Stand) -> Mapping[str, float]:
    """Shares by which plates, screens and grids are off the row's volts."""
    plate = at.plate if row.plate else at.first_node
    screen = at.screen_supply if row.supply else at.screen
    found = {"plate": plate / (row.plate or row.supply or 1.0) - 1.0, "screen": screen / row.screen - 1.0}
    if row.supply and row.screen == row.supply:
        del found["screen"]
    return found | ({"grid": at.grid / row.grid - 1.0} if row.grid else {})


def _turned(row: Row, dials: Dials, at: Stand, results: Results) -> Dials:
    plate = AIM * (row.plate or row.supply or 0.0) - (at.plate if row.plate else at.first_node)
    first = at.first_node + plate
    second = at.screen_supply + AIM * row.screen - (at.screen_supply if row.supply else at.screen)
    equal = row.supply is not None and row.screen == row.supply
    ohms = 1.0 if equal else max(1.0, 1e3 * (first - second) / (at.through_ma * second / at.screen_supply))
    more = row.grid / at.grid if row.grid else 1.0
    # A larger resistor lowers the current that makes its drop: the square overshoots less than it seems.
    cathode = dials.cathode_ohms * more**2
    driver = max(1e3, (second - 260.0) / 2.5e-3)
    assert results.mains is not None
    mains = (results.mains.primary_rms_amps + (results.mains.full_drive_rms_amps or results.mains.primary_rms_amps)) / 2
    ht = max(max(fuse.idle_rms_amps.values()) for fuse in results.fuses)
    ht = max(ht, *(fuse.full_drive_rms_amps or 0.0 for fuse in results.fuses))
    return replace(
        dials,
        mains_amps=1.7 * mains,
        ht_amps=1.1 * ht,
        winding=dials.winding * first / at.first_node,
        screen_ohms=ohms,
        bias=dials.bias * more,
        cathode_ohms=cathode,
        driver_ohms=driver,
    )
