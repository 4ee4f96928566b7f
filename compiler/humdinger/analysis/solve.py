"""The pass: netlist -> results. Solves every condition once and derives everything else from those solutions."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from ..circuit.netlist import Netlist
from ..diagnostics import Diagnostic, Help, Label, Severity, Span
from ..records import replace
from .bias import bias_changes, bias_range, cathode_biases, cathode_resistors, shorted_changes
from .bias_supply import bias_supply, lost_changes
from .contacts import FAULT_CONDITION, contact_changes, contact_faults, contacts
from .decoupling import decouplers
from .discharge import discharges
from .drive import Drive, cathode_swing, drive, sensitivity
from .feedback import feedback_loop
from .fuses import charging_rms_amps, fuse_loads
from .gridpaths import grid_paths
from .heaters import heater_budgets, heater_cathodes, reference_watts
from .inputs import bass_corner, coupling_corners, input_low_pass
from .inverter import inverter_balance
from .isolation import centre_taps, mains_paths
from .load import output_load
from .losses import copper_loss, coupling_leaks, track_loads
from .probing import meter_changes, metered_volts, shifted_nets, source_ohms
from .results import (
    BiasRange,
    BiasSupply,
    CathodeBias,
    ContactFault,
    LineLevel,
    LoopLevel,
    MainsBudget,
    Operating,
    OutputLoad,
    Results,
    Sensitivity,
    Tremolo,
)
from .smallsignal import responses, stage_gains
from .speakers import speaker_loads
from .study import Study, study
from .supply import ImpossibleTransformer
from .tremolo import tremolo
from .variants import solve_variants
from .windings import Consumers, mains_budget, winding_budgets
from .worst import bypass_changes, bypass_faults, bypassed, part_stresses

CODE = "SOL-001"
RULE = "no-operating-point"


def solve(netlist: Netlist, *, bench: bool = True) -> tuple[Results | None, tuple[Diagnostic, ...]]:
    """Every number of the amp. Where a condition has no operating point there are no results, and SOL-001 names the nets in trouble.

    bench: with dead tests, charts over the mains and first power, which the manual prints and no rule reads.
    """
    try:
        found = study(netlist)
    except ImpossibleTransformer as fault:
        return None, (_impossible(fault),)
    except ValueError as fault:  # a tube section without a model, a law there is no file for
        return None, (_no_model(netlist, str(fault)),)
    trouble = tuple(_trouble(netlist, o) for o in found.operating.values() if not o.convergence.converged)
    if trouble:
        return None, trouble
    return _results(found, bench), ()


def _results(found: Study, bench: bool) -> Results:
    netlist = found.netlist
    at = drive(found, found.playing)
    emptied, joules = discharges(found)
    heaters = heater_budgets(found)
    consumers = {h.winding: h.consumers for h in heaters}
    load = output_load(found)
    windings = winding_budgets(found, consumers, load.full_drive_dc_amps if load else None)
    ohms = source_ohms(found.solved["nominal"])
    span, supply, biases, faults, metered = _with_faults(found, consumers, shifted_nets(found.solved["nominal"], ohms))
    corners = coupling_corners(found, found.playing)
    reference = reference_watts(found, heaters)
    stresses = part_stresses(found, faults, reference, at)
    mains = mains_budget(netlist, found.nominal, windings)
    made = Results(
        operating=found.operating,
        windings=windings,
        heaters=heaters,
        mains=mains,
        discharges=emptied,
        gains=stage_gains(netlist, found.playing),
        responses=responses(found.playing) if netlist.input_net in found.playing.system.index else (),
        poles=found.playing.poles(),
        tremolo=(wave := tremolo(found)),
        grid_paths=(paths := grid_paths(found)),
        bias_range=span,
        input_low_pass_hertz=input_low_pass(found, at),
        stored_joules=joules,
        heater_cathodes=heater_cathodes(found, _swing(found, at, wave)),
        stresses=stresses,
        cathode_biases=biases,
        corners=corners,
        sensitivity=(power := sensitivity(found, at)),
        loops=_loops(found, at),
        line_out=_line_out(found, load),
        inverter=inverter_balance(found, at),
        load=load,
        contacts=_contacts(found),
        centre_taps=centre_taps(netlist),
        mains_paths=mains_paths(netlist),
        bias_supply=supply,
        bass_corner_hertz=bass_corner(netlist, corners),
        decouplers=decouplers(netlist),
        feedback=feedback_loop(found),
        source_ohms=ohms,
        metered_volts=metered,
        tracks=track_loads(found, reference, stresses),
        speaker_loads=speaker_loads(netlist, load),
        copper=copper_loss(netlist, load),
        fuses=fuse_loads(found, load.full_drive_dc_amps if load else None, biases),
        charging_rms_amps=charging_rms_amps(found, load.full_drive_dc_amps if load else None),
        leaks=coupling_leaks(found, paths),
        **(_bench(found, mains, metered, load, wave, power) if bench else {}),
    )
    return _with_formulas(netlist, made) if bench else made


def _with_formulas(netlist: Netlist, made: Results) -> Results:
    from .worked import worked

    return replace(made, worked=worked(netlist, made))


def _bench(
    found: Study,
    mains: MainsBudget,
    metered: Mapping[str, float],
    load: OutputLoad | None,
    wave: Tremolo | None,
    power: Sensitivity | None,
) -> Mapping[str, Any]:
    """The fields of Results that only the bench pages print; their modules are loaded here, because a check needs none of them."""
    from .dead_test import dead_tests
    from .discharge import bleeds
    from .first_power import first_power, loudness
    from .large_signal import large_signal
    from .loadlines import load_lines
    from .mains_charts import mains_charts, mains_solutions

    over_mains = mains_solutions(found)
    return {
        "dead_tests": dead_tests(found.netlist),
        "charts": mains_charts(found, over_mains, metered),
        "first_power": first_power(found, over_mains, mains),
        "bleeds": bleeds(found),
        "loudness": loudness(found.netlist, load),
        "load_lines": load_lines(found, load, wave),
        "large_signal": large_signal(found, power.volts_rms_full if power else None),
    }


def _with_faults(
    found: Study, heaters: Mapping[str, Consumers], probed: tuple[str, ...]
) -> tuple[BiasRange | None, BiasSupply | None, tuple[CathodeBias, ...], Mapping[str, float], Mapping[str, float]]:
    """Everything that is the nominal circuit with one thing changed, solved in one batch; last, bypass capacitors and the meter."""
    netlist = found.netlist
    resistors, pairs = cathode_resistors(netlist), bypassed(netlist)
    groups = (bias_changes(found), lost_changes(netlist), shorted_changes(resistors, netlist), bypass_changes(pairs), meter_changes(probed))
    variants = iter(solve_variants(found.solved["nominal"], [change for group in groups for change in group]))
    ends, lost, shorts, faults, metered = ([next(variants) for _ in group] for group in groups)
    return (
        bias_range(found, ends),
        bias_supply(found, lost, heaters),
        cathode_biases(found, resistors, shorts),
        bypass_faults(netlist, pairs, faults),
        metered_volts(probed, metered),
    )


def _contacts(found: Study) -> tuple[ContactFault, ...]:
    outside = contacts(found)
    return contact_faults(found, outside, solve_variants(found.solved[FAULT_CONDITION], contact_changes(found, outside)))


def _loops(found: Study, at: Drive | None) -> tuple[LoopLevel, ...]:
    """Loaded only for an amp that has one."""
    if not found.netlist.stages_of("effects-loop"):
        return ()
    from .effects import loop_levels

    return loop_levels(found, at)


def _line_out(found: Study, load: OutputLoad | None) -> LineLevel | None:
    """Loaded only for an amp that has one."""
    if not found.netlist.stages_of("line-out"):
        return None
    from .line_level import line_level

    return line_level(found, load)


def _swing(found: Study, at: Drive | None, wave: Tremolo | None) -> dict[str, float]:
    """Section -> peak volts at its cathode: audio at full drive, and the tremolo's own wave where a follower carries it."""
    swing = dict(cathode_swing(found, at))
    if wave is not None and wave.available_peak_volts is not None:
        for stage in found.netlist.stages_of("bias-supply-injection"):
            follower = str(stage.facts.get("follower", ""))
            if follower in swing:
                swing[follower] = max(swing[follower], wave.available_peak_volts)
    if wave is not None and wave.running is not None and wave.running.follower_peak_volts is not None:
        followers = {str(stage.facts["follower"]) for stage in found.netlist.stages if stage.facts.get("follower")}
        for ref in followers & set(swing):
            swing[ref] = max(swing[ref], wave.running.follower_peak_volts)
    return swing


def _trouble(netlist: Netlist, found: Operating) -> Diagnostic:
    nets = found.convergence.trouble
    labels = {name: net.label for name, net in netlist.nets.items()}
    named = ", ".join(labels.get(net, net) or net for net in nets)
    name = found.condition.name
    return Diagnostic(
        code=CODE,
        rule=RULE,
        severity=Severity.ERROR,
        message=f"no operating point in the condition {name}" + (f": in trouble at {named}" if named else ""),
        labels=(Label(_where(netlist, nets), "a part of a net in trouble", True),),
        notes=(f"worst current sum {found.convergence.residual_amps:.2g} A after {found.convergence.iterations} iterations",),
        facts={"condition": name, "nets": " ".join(nets)},
        element=nets[0] if nets else "",
    )


def _where(netlist: Netlist, nets: tuple[str, ...]) -> Span:
    """The spec line of a part on the first net in trouble that has one; else of the first part there is."""
    for net in nets:
        for part, _ in netlist.on_net.get(net, ()):
            return part.span
    return netlist.parts[0].span if netlist.parts else Span("", 1, 1, 1, 1)


def _impossible(fault: ImpossibleTransformer) -> Diagnostic:
    return Diagnostic(
        code="SOL-002",
        rule="impossible-transformer",
        severity=Severity.ERROR,
        message=str(fault),
        labels=(Label(fault.span, "", True),),
        notes=("more than half of the volts lost: no load could draw what it is rated for",),
        helps=(Help("check the resistances (ohms, not kilohms), the volts and the currents"),),
    )


def _no_model(netlist: Netlist, reason: str) -> Diagnostic:
    section = next((s for s in netlist.sections if s.section.model is None and not s.unused), None)
    tube = section.tube if section else ""
    part = netlist.by_ref.get(tube)
    span = part.span if part is not None else _where(netlist, ())
    return Diagnostic(
        code=CODE,
        rule=RULE,
        severity=Severity.ERROR,
        message=f"the amp cannot be solved: {reason}",
        labels=(Label(span, "no model of this tube in the library" if section else "", True),),
        element=tube,
    )
