"""Amps to draw: the frozen ones, and variants that reach every optional part of every cell."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache

from humdinger.circuit.netlist import Netlist
from humdinger.drawing.schematic import sheets
from humdinger.drawing.sheet import Sheet
from support.amps import changed
from support.channels import channel_changes
from support.inverters import FLOATING, INTERSTAGE, PARAPHASE, instead
from support.network import BESIDE, DIVIDER, PAD
from support.outputs import FOUR, TAPPED, TWO, connected, stacked
from support.pentode import first_pentode
from support.signal_amps import netlist_of, text_of
from support.supplies import DOUBLER, HYBRID, SERIES, SERIES_RAISED
from support.tones import CUT, LOOP_LEVELS, LOOP_PLAIN, MASTER, loop_instead, stack_behind_a_follower, stack_behind_a_plate, with_stage

STEPS = {"1": "[22n 630V, 22n 630V, 22n 630V, 22n 630V]", "2": "[1M, 220k, 470k, 1M]"}

TWO_REFERENCES = (
    "[{kind: hum-balance, pot: 250 wirewound 1W, to: elevated, divider: {upper: 470k 1W, lower: 56k, bypass: 22u 100V, from: B2}},"
    " {winding: H2, kind: artificial-centre-tap, resistors: 100 0.5W, to: ground}]"
)

TAP = "{kind: artificial-centre-tap, resistors: 100 0.5W}"

OPTICAL = "{stage: optical-cell, id: pulse, arrangement: ARRANGED, resistor: 220k, cell: {dark: 1M, bright: 2k, at: 1 mA}}"
LIT = "{point: optical, stage: pulse, follower: {tube: V2b, supply: B3, cathode_resistor: 47k 1W}}"

VARIANTS: dict[str, tuple[str, Mapping[str, str]]] = {
    "bare-stages": ("pipit", {"signal/1/cathode_bypass": "~", "signal/0/grid_stopper": "~", "signal/4/grid_leak": "470k"}),
    "unswitched-jack": ("pipit", {"signal/0/switched": "false"}),
    "first-stage-stopper": ("pipit", {"signal/1/grid_stopper": "10k", "signal/1/grid_leak": "1M"}),
    "speaker-on-a-jack": ("pipit", {"speaker/connection": "jack", "speaker/shorting": "true"}),
    "no-load-resistor": ("ruff", {"speaker/load_resistor": "~"}),
    "single-ended-no-stoppers": ("pipit", {"output/grid_stopper": "~", "output/screen_stopper": "~"}),
    "single-ended-no-bypass": ("pipit", {"bias/bypass": "~"}),
    "feedback-on-one-tube": ("pipit", {"feedback": "{from: 8 ohm, to: driver, resistor: 10k 1W, shunt: 100}"}),
    "shared-cathode": ("ruff", {"bias": "{scheme: cathode, arrangement: shared, resistor: 150 5W, bypass: 470u 63V}"}),
    "shared-cathode-no-bypass": ("ruff", {"bias": "{scheme: cathode, arrangement: shared, resistor: 150 5W}"}),
    "separate-no-bypass": ("ruff", {"bias/bypass": "~"}),
    "pair-no-stoppers": ("ruff", {"output/grid_stopper": "~", "output/screen_stopper": "~"}),
    "pair-stopper": ("ruff", {"signal/5/grid_stopper": "47k"}),
    "four-steps": ("ruff", {"modulation/oscillator/capacitors": STEPS["1"], "modulation/oscillator/resistors": STEPS["2"]}),
    "speed-in-the-third": ("ruff", {"modulation/oscillator/speed_section": "3"}),
    "speed-in-the-first": ("ruff", {"modulation/oscillator/speed_section": "1"}),
    "no-footswitch": ("ruff", {"modulation/footswitch": "~"}),
    "no-oscillator-bypass": ("ruff", {"modulation/oscillator/cathode_bypass": "~"}),
    "no-tremolo": ("whimbrel", {"modulation": "~", "unused": "{V3a: ground, V3b: grid-to-cathode}"}),
    "fixed-no-test-resistors": ("whimbrel", {"bias/test_resistor": "~"}),
    "fixed-plain": ("whimbrel", {"bias/range/fail_safe": "~", "bias/feed": "~", "bias/filter": "[{capacitor: 47u 100V, through: 2k2 1W}]"}),
    "fixed-feed-capacitor": ("whimbrel", {"bias/feed_capacitor": "1u 100V film", "bias/rectifier/diodes/in_series": "2"}),
    "preamp-cathode-injection": ("ruff", {"modulation/injection": "{point: preamp-cathode, stage: second, through: 22k}"}),
    "preamp-cathode-follower": (
        "ruff",
        {
            "modulation/injection": (
                "{point: preamp-cathode, stage: first, through: 47k,"
                " follower: {tube: V2b, supply: B3, cathode_resistor: 47k 1W, grid_stopper: 47k}}"
            )
        },
    ),
    "inverter-tail-injection": ("ruff", {"modulation/injection": "{point: inverter-tail, through: 47k}"}),
    "inverter-tail-follower": (
        "ruff",
        {
            "modulation/injection": (
                "{point: inverter-tail, through: 150k, follower: {tube: V2b, supply: B3, cathode_resistor: 47k 1W, grid_stopper: 47k}}"
            )
        },
    ),
    "optical-series": ("ruff", {"signal/3": OPTICAL.replace("ARRANGED", "series"), "modulation/injection": LIT}),
    "optical-shunt": ("ruff", {"signal/3": OPTICAL.replace("ARRANGED", "shunt"), "modulation/injection": LIT}),
    "injection-without-follower": ("whimbrel", {"modulation/injection/follower": "~", "unused": "{V3b: ground}"}),
    "bridge-with-things-in-its-leads": (
        "pipit",
        {
            "supply/rectifier/plate_resistors": "22 5W",
            "supply/ht_fuse": "{rating: T 250mA 500V, where: winding}",
            "supply/rectifier/diodes/in_series": "2",
        },
    ),
    "doubler": ("ruff", DOUBLER),
    "heaters-in-series": ("ruff", SERIES),
    "heaters-in-series-raised": ("ruff", SERIES_RAISED),
    "doubler-with-things-in-its-leads": (
        "ruff",
        DOUBLER
        | {
            "supply/rectifier/diodes/in_series": "2",
            "supply/rectifier/plate_resistors": "10 5W",
            "supply/ht_fuse": "{rating: T 630mA 500V, where: winding}",
            "supply/standby": "{where: after-reservoir, rating: 250 V 3 A, dc_rating: 400 V}",
        },
    ),
    "doubler-behind-a-switch": ("ruff", DOUBLER | {"supply/standby": "{where: after-reservoir, rating: 250 V 3 A, dc_rating: 400 V}"}),
    "doubler-on-a-tapped-winding": (
        "ruff",
        DOUBLER | {"supply/transformer/high_tension/volts": "55-0-55 V", "supply/transformer/high_tension/resistance": "[5, 5]"},
    ),
    "hybrid-bridge": ("whimbrel", HYBRID),
    "hybrid-bridge-with-things-in-its-leads": (
        "whimbrel",
        HYBRID
        | {
            "supply/rectifier/plate_resistors": "100 5W",
            "supply/rectifier/diodes": "{part: 1N4007, in_series: 2}",
            "supply/ht_fuse": "{rating: T 400mA 500V, where: winding}",
        },
    ),
    "bridge-on-a-tapped-winding": (
        "ruff",
        {"supply/rectifier/arrangement": "bridge", "supply/transformer/high_tension/volts": "110-0-110 V"},
    ),
    "full-wave-with-fuses": (
        "ruff",
        {"supply/ht_fuse": "{rating: T 250mA 500V, where: winding}", "supply/rectifier/plate_resistors": "22 5W"},
    ),
    "centre-tap-switch": (
        "ruff",
        {
            "supply/ht_fuse": "{rating: T 250mA 500V, where: centre-tap}",
            "supply/standby": "{where: centre-tap, rating: 250 V 3 A, dc_rating: 400 V}",
        },
    ),
    "before-reservoir": (
        "ruff",
        {
            "supply/ht_fuse": "{rating: T 250mA 500V, where: before-reservoir}",
            "supply/standby": "{where: after-reservoir, rating: 250 V 3 A, dc_rating: 400 V}",
        },
    ),
    "mains-with-everything": (
        "ruff",
        {
            "supply/mains/order": "[switch, fuse]",
            "supply/mains/x_capacitor": "{value: 100n, rating: 275 V, type: class-X2}",
            "supply/mains/inrush": "10 ohm",
            "supply/mains/thermal_fuse": "115 °C",
            "grounding/circuit_bond": "{kind: loop-breaker, area: 1 mm2}",
        },
    ),
    "switch-in-the-neutral": ("ruff", {"supply/mains/switch": "{poles: 1, rating: 250 V 4 A, in: neutral}"}),
    "single-pole": ("ruff", {"supply/mains/switch": "{poles: 1, rating: 250 V 4 A}"}),
    "no-grounding": ("ruff", {"grounding": "{scheme: star}"}),
    "no-screen": ("ruff", {"supply/transformer/screen": "false"}),
    "spare-bias-winding": ("ruff", {"supply/transformer/bias": "{volts: 50 V, current: 30 mA, basis: rms, resistance: [30]}"}),
    "pilot": ("ruff", {"supply/pilot": "{lamp: filament, winding: H1, volts: 6.3 V, current: 150 mA}"}),
    "pilot-led": ("ruff", {"supply/pilot": "{lamp: led, winding: H1, volts: 6.3 V, current: 10 mA}"}),
    "heaters-one-side": ("ruff", {"supply/heater_reference": "{kind: one-side, to: ground}"}),
    "heaters-on-cathode": ("ruff", {"supply/heater_reference": "{kind: artificial-centre-tap, resistors: 100 0.5W, to: output-cathode}"}),
    "heaters-tapped": (
        "ruff",
        {
            "supply/transformer/heaters": "[{volts: 6.3 V, current: 4 A, feeds: [all], no_load: 6.8 V, centre_tapped: true}]",
            "supply/heater_reference": "{kind: centre-tap, to: ground}",
        },
    ),
    "heaters-tap-raised": (
        "whimbrel",
        {
            "supply/transformer/heaters/0": "{volts: 6.3 V, current: 5 A, feeds: [all], no_load: 6.7 V, centre_tapped: true}",
            "supply/heater_reference/kind": "centre-tap",
            "supply/heater_reference/pot": "~",
        },
    ),
    "spare-heater-winding": (
        "ruff",
        {
            "supply/transformer/heaters": (
                "[{volts: 6.3 V, current: 4 A, feeds: [all], no_load: 6.8 V},"
                " {volts: 5 V, current: 2 A, feeds: [rectifier], no_load: 5.3 V, centre_tapped: true}]"
            )
        },
    ),
    "directly-heated-rectifier": ("whimbrel", {"tubes/V6": "5Y3GT"}),
    "nine-pin-rectifier": (
        "whimbrel",
        {
            "tubes/V6": "EZ81",
            "supply/transformer/heaters/1": "{volts: 6.3 V, current: 1.5 A, feeds: [rectifier], no_load: 6.6 V}",
            "supply/heater_reference": TWO_REFERENCES,
        },
    ),
    "seven-pin-rectifier": (
        "whimbrel",
        {
            "tubes/V6": "6X4",
            "supply/transformer/heaters/1": "{volts: 6.3 V, current: 1.5 A, feeds: [rectifier], no_load: 6.6 V}",
            "supply/heater_reference": TWO_REFERENCES,
        },
    ),
    "suppressor-pins-head-to-head": (
        "ruff",
        {
            "tubes": "{V1: 12AY7, V2: 12AX7, V3: 12AT7, V4: EL34, V5: EL34}",
            "bias": "{scheme: cathode, arrangement: shared, resistor: 150 5W, bypass: 470u 63V}",
        },
    ),
    "suppressor-pin-alone": ("pipit", {"tubes/V2": "EL34"}),
    "beam-pair": ("whimbrel", {"tubes/V4": "6L6GC", "tubes/V5": "6L6GC"}),
    "two-grid-pins": ("pipit", {"tubes/V2": "6AQ5A"}),
    "triode-pentode": ("pipit", {"tubes": "{V1: 6SL7GT, V2: 6BM8}", "signal/4/tube": "V2t", "unused": "{V1b: ground}"}),
    "pentode-first": ("pipit", first_pentode("B3", grid_leak="1M", grid_stopper="10k")),
    "pentode-partial-bypass": ("pipit", first_pentode("B3", cathode_unbypassed="220", coupling="direct")),
    "pentode-screen-to-cathode": ("pipit", first_pentode("B3", cathode_bypass="~", screen_bypass_to="cathode")),
    "pentode-of-a-triode-pentode": (
        "pipit",
        first_pentode("B3", tube="V3p") | {"tubes/V3": "6BM8", "unused": "{V1a: ground, V3t: ground}"},
    ),
    "network-in-the-signal": ("pipit", {"signal/3": PAD}),
    "network-beside-the-signal": ("pipit", {"signal/3": BESIDE}),
    "network-with-a-pot-to-ground": ("pipit", {"signal/3": DIVIDER}),
    "two-jacks": ("pipit", {"signal/0/jacks": "2", "signal/0/grid_stopper": "~"}),
    "two-guitars": ("pipit", {"signal/0/jacks": "2", "signal/0/arrangement": "parallel"}),
    "two-channels": ("pipit", channel_changes(text_of("pipit"), "B3")),
    "tone-on-a-plate": ("pipit", stack_behind_a_plate(2)),
    "tone-on-a-follower": (
        "pipit",
        stack_behind_a_follower(text_of("pipit"), 2, "V3a", "B3", slope="47k 0.5W") | {"tubes/V3": "12AX7", "unused": "{V3b: ground}"},
    ),
    "cut-on-a-line": ("pipit", with_stage(text_of("pipit"), 2, CUT)),
    "cut-behind-a-pair": ("ruff", with_stage(text_of("ruff"), 6, CUT)),
    "cut-behind-a-cathodyne": ("whimbrel", with_stage(text_of("whimbrel"), 7, CUT)),
    "master-before-one-tube": ("pipit", with_stage(text_of("pipit"), 5, MASTER)),
    "master-before-a-pair": ("ruff", with_stage(text_of("ruff"), 5, MASTER)),
    "master-behind-a-pair": ("ruff", with_stage(text_of("ruff"), 6, MASTER)),
    "master-behind-a-cathodyne": ("whimbrel", with_stage(text_of("whimbrel"), 7, MASTER)),
    "line-out": ("ruff", {"speaker/line_out": "{upper: 10k 0.5W}"}),
    "line-out-with-a-pot": ("pipit", {"speaker/line_out": "{upper: 4k7 0.5W, pot: 1k linear}"}),
    "loop-plain": ("pipit", with_stage(text_of("pipit"), 3, LOOP_PLAIN)),
    "loop-with-everything": ("pipit", with_stage(text_of("pipit"), 3, LOOP_LEVELS) | {"signal/1/coupling": "direct"}),
    "loop-with-a-return-pot": ("pipit", with_stage(text_of("pipit"), 3, LOOP_PLAIN.replace("}}", "}, return: {pot: 1M audio}}"))),
    "loop-with-a-send-pot": ("pipit", with_stage(text_of("pipit"), 3, LOOP_PLAIN.replace("shunt: 22k", "pot: 25k linear"))),
    "presence-on-one-tube": (
        "pipit",
        {"feedback": "{from: 8 ohm, to: driver, resistor: 10k 1W, shunt: 100, presence: {capacitor: 1u 100V film, pot: 1k linear}}"},
    ),
    "presence": ("whimbrel", {"feedback/presence": "{capacitor: 1u 100V film, pot: 1k linear, control: PRESENCE AND MORE}"}),
    "tone-in-a-loop": ("pipit", loop_instead(2, "V3a", "B3") | {"tubes/V3": "12AX7", "unused": "{V3b: ground}"}),
    "tone-in-a-loop-with-everything": (
        "pipit",
        loop_instead(
            2, "V3a", "B3", grid_stopper="10k", bass_end="47k 0.5W", isolation="330k 1W", bass_capacitor="{value: 4n7, rating: 1000 V}"
        )
        | {"tubes/V3": "12AX7", "unused": "{V3b: ground}"},
    ),
    "tone-in-a-loop-without-bypass": (
        "pipit",
        loop_instead(2, "V3a", "B3", cathode_bypass="~") | {"tubes/V3": "12AX7", "unused": "{V3b: ground}"},
    ),
    "paraphase": ("ruff", instead(PARAPHASE)),
    "paraphase-with-everything": ("ruff", instead(PARAPHASE, cathode_bypass="22u 25V", grid_stopper="10k")),
    "paraphase-behind-a-pot": (
        "ruff",
        {
            **instead(PARAPHASE, grid_leak="~"),
            "unused": "{V2a: ground, V1b: ground}",
            "signal/4": "{stage: volume, id: master, control: MASTER, pot: 1M audio}",
        },
    ),
    "floating-paraphase": ("ruff", instead(FLOATING)),
    "floating-paraphase-with-everything": ("ruff", instead(FLOATING, cathode_bypass="22u 25V", grid_stopper="10k", tube="[V3b, V3a]")),
    "interstage": ("ruff", {**instead(INTERSTAGE), "unused": "{V2a: ground, V3b: ground}"}),
    "interstage-with-everything": ("ruff", {**instead(INTERSTAGE, grid_stopper="10k"), "unused": "{V2a: ground, V3b: ground}"}),
    "interstage-bare": (
        "ruff",
        {
            **instead(INTERSTAGE, grid_leak="~", cathode_bypass="~"),
            "unused": "{V2a: ground, V1b: ground, V3b: ground}",
            "signal/4": "{stage: volume, id: master, control: MASTER, pot: 1M audio}",
        },
    ),
    "interstage-in-fixed-bias": (
        "whimbrel",
        {"tubes/V9": "12AX7", "signal/6": INTERSTAGE.replace("V3a", "V9a"), "feedback": "~", "unused": "{V9b: ground}"},
    ),
    "cut-behind-a-paraphase": ("ruff", {**with_stage(text_of("ruff"), 6, CUT), **instead(PARAPHASE)}),
    "push-pull-transformer-on-one-tube": ("pipit", {"output/transformer/type": "push-pull"}),
    "two-references-on-one-winding": ("ruff", {"supply/heater_reference": f"[{TAP}, {TAP}]"}),
    "bridge-with-a-fuse-in-the-tap": (
        "ruff",
        {
            "supply/rectifier/arrangement": "bridge",
            "supply/transformer/high_tension/volts": "110-0-110 V",
            "supply/ht_fuse": "{rating: T 250mA 500V, where: centre-tap}",
        },
    ),
    "many-tubes": (
        "ruff",
        {
            "tubes": "{V1: 12AY7, V2: 12AX7, V3: 12AT7, V4: EL84, V5: EL84, V6: 12AX7, V7: 12AX7, V8: 12AX7, V9: 12AX7, V10: 12AX7,"
            " V11: 12AX7, V12: 12AX7, V13: 12AX7, V14: 12AX7}"
        },
    ),
    "two-speakers-in-parallel": ("ruff", {"speaker/count": "2", "speaker/wiring": "parallel"}),
    "two-speakers-in-series": ("pipit", {"speaker/count": "2", "speaker/wiring": "series"}),
    "four-speakers": ("ruff", {"speaker/count": "4", "speaker/wiring": "series-parallel", "speaker/shorting": "true"}),
    "four-speakers-soldered": ("pipit", {"speaker/count": "4", "speaker/wiring": "series-parallel"}),
    "four-speakers-in-series": ("ruff", {"speaker/count": "4", "speaker/wiring": "series"}),
    "extension-in-parallel": ("ruff", {"speaker/extension": "{arrangement: parallel, impedance: 8 ohm}"}),
    "extension-that-switches": ("ruff", {"speaker/extension": "{arrangement: switching, impedance: 8 ohm}"}),
    "extension-beside-soldered-speakers": (
        "pipit",
        {"speaker/extension": "{arrangement: switching, impedance: 8 ohm}", "speaker/count": "2", "speaker/wiring": "series"},
    ),
    "extension-alone": ("pipit", {"speaker/extension": "{arrangement: parallel, impedance: 8 ohm}", "speaker/load_resistor": "~"}),
    "capacitors-in-series": ("ruff", stacked()),
    "three-in-series-with-a-bleeder": ("pipit", stacked(count=3, bleeder="470k 2W")),
    "series-behind-the-reservoir": ("whimbrel", stacked(1) | stacked(2)),
    "four": ("ruff", FOUR),
    "four-triodes": ("ruff", FOUR | connected("triode")),
    "four-ultralinear": ("ruff", FOUR | connected("ultralinear")),
    "four-on-one-cathode": ("ruff", FOUR | {"bias": "{scheme: cathode, arrangement: shared, resistor: 68 10W, bypass: 470u 63V}"}),
    "four-on-one-cathode-no-bypass": (
        "ruff",
        FOUR | connected("ultralinear") | {"output/grid_stopper": "~", "bias": "{scheme: cathode, resistor: 68 10W}"},
    ),
    "four-in-fixed-bias": (
        "whimbrel",
        {"tubes/V7": "EL34", "tubes/V8": "EL34", "output/tubes": "[V4, V5, V7, V8]", "feedback/to": "second"},
    ),
    "four-in-fixed-bias-on-ground": (
        "whimbrel",
        {"tubes/V7": "EL34", "tubes/V8": "EL34", "output/tubes": "[V4, V5, V7, V8]", "bias/test_resistor": "~"} | TAPPED,
    ),
    "two-alone": ("pipit", TWO),
    "two-alone-on-resistors-of-their-own": (
        "pipit",
        {
            "tubes/V3": "6V6GT",
            "output/tubes": "[V2, V3]",
            "bias": "{scheme: cathode, arrangement: separate, resistor: 270 5W, bypass: 470u 63V}",
        },
    ),
    "two-triodes-alone": ("pipit", TWO | connected("triode")),
    "two-alone-ultralinear": ("pipit", TWO | connected("ultralinear")),
    "triode-pair": ("ruff", connected("triode")),
    "triode-pair-without-stoppers": ("ruff", connected("triode", screen_stopper="~")),
    "triode-head-to-head": ("whimbrel", connected("triode")),
    "ultralinear-pair": ("ruff", connected("ultralinear")),
    "ultralinear-pair-without-stoppers": ("ruff", connected("ultralinear", screen_stopper="~")),
    "ultralinear-head-to-head": ("whimbrel", connected("ultralinear") | {"feedback/to": "second"}),
    "ultralinear-crossed": ("whimbrel", connected("ultralinear")),
    "screen-taps-unused": ("ruff", TAPPED),
    "screen-taps-unused-head-to-head": ("whimbrel", TAPPED),
    "triode-alone": ("pipit", connected("triode")),
    "ultralinear-alone": ("pipit", connected("ultralinear")),
    "ultralinear-alone-without-stopper": ("pipit", connected("ultralinear", screen_stopper="~")),
    "ultralinear-alone-on-push-pull-iron": ("pipit", connected("ultralinear") | {"output/transformer/type": "push-pull"}),
    "screen-tap-unused-alone": ("pipit", TAPPED),
    "follower-direct": (
        "whimbrel",
        {
            "feedback": "~",
            "signal/4/coupling": "direct",
            "signal/5": "{stage: cathode-follower, id: follow, tube: V2a, supply: B3, cathode_resistor: 100k, coupling: 47n 630V}",
        },
    ),
    "follower-alone": (
        "whimbrel",
        {
            "feedback": "~",
            "signal/5": (
                "{stage: cathode-follower, id: follow, tube: V2a, supply: B3, cathode_resistor: 47k 1W, coupling: 47n 630V,"
                " grid_leak: 1M, grid_stopper: 10k, bias_resistor: 1k5}"
            ),
        },
    ),
}
"""Name -> (frozen amp, what is set at which path)."""


@cache
def variant(name: str) -> Netlist:
    """The netlist of a frozen amp ("ruff") or of a variant."""
    if name not in VARIANTS:
        return netlist_of(text_of(name))
    amp, changes = VARIANTS[name]
    return netlist_of(varied(text_of(amp), changes))


def varied(text: str, changes: Mapping[str, str]) -> str:
    """A spec with changes; a list item one past the end is appended."""
    import yaml

    tree = yaml.load(text, yaml.BaseLoader)
    for path in changes:
        *parents, last = path.split("/")
        at = tree
        for key in parents:
            at = at[int(key)] if isinstance(at, list) else at.setdefault(key, {})
        if isinstance(at, list) and int(last) == len(at):
            at.append("")
    from support.amps import dump

    return changed(dump(tree), changes)


VOLTS = ("none", "short", "long")


def guessed_volts(netlist: Netlist, kind: str = "long") -> dict[str, float]:
    """A voltage for every net, so that lint sees a label wherever a cell may print one: "long" or "short"; none at all for "none"."""
    return {} if kind == "none" else dict.fromkeys(netlist.nets, -444.4 if kind == "long" else 3.0)


@cache
def drawn(name: str, volts: str = "long") -> tuple[Sheet, ...]:
    """The section sheets of a frozen amp or variant, with a voltage wherever there may be one."""
    return _sheets(name, volts)[0]


def drawn_wide(name: str, volts: str = "long") -> Sheet:
    """Its wide sheet."""
    return _sheets(name, volts)[1]


@cache
def _sheets(name: str, volts: str) -> tuple[tuple[Sheet, ...], Sheet]:
    netlist = variant(name)
    return sheets(netlist, guessed_volts(netlist, volts))
