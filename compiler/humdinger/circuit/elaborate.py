"""Elaboration: Design -> Netlist. The order of this page is the order of designators: the way of the signal, then what feeds it."""

from __future__ import annotations

from importlib import import_module
from types import ModuleType

from ..diagnostics import Diagnostic, Severity
from ..spec.design import Design
from ..spec.model import Block
from .builder import Builder, Scope
from .finish import finish
from .graph import check
from .lock import NO_LOCK, Lock
from .netlist import Netlist

SIGNAL_KINDS = (
    "input",
    "common-cathode",
    "pentode-gain",
    "cathode-follower",
    "volume",
    "master-volume",
    "bass-cut",
    "two-knob-tone",
    "three-knob-tone",
    "treble-cut",
    "feedback-tone",
    "effects-loop",
    "long-tailed-pair",
    "cathodyne",
    "paraphase",
    "floating-paraphase",
    "interstage-transformer",
    "network",
    "mixer",
    "optical-cell",
)
"""Kinds that stand in `signal:`; each is a module of stages/ of the same name with underscores."""

SECTION_KINDS = (
    "single-ended-output",
    "push-pull-output",
    "cathode-bias",
    "fixed-bias",
    "phase-shift-oscillator",
    "output-grid-injection",
    "bias-supply-injection",
    "preamp-cathode-injection",
    "inverter-injection",
    "optical-injection",
    "feedback",
    "presence",
    "speaker",
    "line-out",
    "mains-input",
    "power-transformer",
    "rectifier",
    "filter",
    "heaters",
    "grounding",
    "unused-sections",
)
"""Kinds that elaboration calls for the other sections of the spec, in this order of need."""

INJECTIONS = {
    "output-grids": "output-grid-injection",
    "bias-supply": "bias-supply-injection",
    "preamp-cathode": "preamp-cathode-injection",
    "inverter-tail": "inverter-injection",
    "optical": "optical-injection",
}
"""Point of the tremolo's injection -> the kind that builds it."""


def stage_module(kind: str) -> ModuleType:
    """The module of a stage kind. Imported when a spec first uses the kind."""
    return import_module(f".stages.{kind.replace('-', '_')}", __package__)


def elaborate(design: Design, lock: Lock = NO_LOCK) -> tuple[Netlist | None, tuple[Diagnostic, ...]]:
    """Builds the netlist. With an error among the diagnostics there is no netlist. lock: designators of earlier compiles."""
    builder = Builder(design, lock)
    ports = _signal(builder)
    _sections(builder, ports)
    if builder.borrowed:
        stage_module("network").check_borrowed(builder)
    netlist = finish(builder)
    problems = tuple(builder.problems)
    if not _blocking(problems):  # a part left out after an error would only raise a second message
        problems += check(netlist)
    return (None if _blocking(problems) else netlist), problems


def _blocking(problems: tuple[Diagnostic, ...]) -> bool:
    return any(p.severity in (Severity.ERROR, Severity.DANGER) for p in problems)


def _signal(builder: Builder) -> dict[str, dict[str, str]]:
    """Elaborates `signal:` in its order; a stage is fed by the one before it or by the one its `from` names."""
    ports = builder.outputs
    before: dict[str, str] = {}
    last = ""
    stages = builder.design.spec.blocks("signal")
    named = {str(item.get("from")) for stage in stages for item in (stage, *stage.blocks("inputs")) if "from" in item}
    for block in stages:
        kind = str(block.get("stage"))
        module = stage_module(kind)
        if kind == "input" and last and last in named:
            before = {}  # another channel begins; what stood before is fed on by name
        source = ports.get(str(block.get("from")), before) if "from" in block else before
        scope = Scope(builder, block, str(block.get("id")), kind, module.SECTION, source=source)
        made = run(scope, module)
        # what hangs on the signal passes it on as it came
        passed = () if "out" in made else getattr(module, "PASSED_ON", ())
        before = {port: source[port] for port in passed if port in source} if passed else made
        ports[scope.id] = before
        last = scope.id
    ports["signal"] = before
    return ports


def _sections(builder: Builder, ports: dict[str, dict[str, str]]) -> None:
    """Elaborates the rest of the spec. Each section sees the ports of all before it through `scope.source`."""
    spec = builder.design.spec
    known: dict[str, str] = {f"{stage}.{name}": net for stage, found in ports.items() for name, net in found.items()}
    known.update(ports["signal"])

    def section(kind: str, block: Block, id: str) -> None:
        module = stage_module(kind)
        made = run(Scope(builder, block, id, kind, module.SECTION, source=known), module)
        known.update({f"{id}.{name}": net for name, net in made.items()})

    push_pull = spec.block("output").get("topology") == "push-pull"
    section("push-pull-output" if push_pull else "single-ended-output", spec.block("output"), "output")
    section("fixed-bias" if spec.block("bias").get("scheme") == "fixed" else "cathode-bias", spec.block("bias"), "bias")
    if "modulation" in spec:
        modulation = spec.block("modulation")
        section("phase-shift-oscillator", modulation, "oscillator")
        point = str(modulation.block("injection").get("point"))
        section(INJECTIONS.get(point, "output-grid-injection"), modulation, "injection")
    if "feedback" in spec:
        section("feedback", spec.block("feedback"), "feedback")
        if "presence" in spec.block("feedback"):
            section("presence", spec.block("feedback").block("presence"), "presence")
    section("speaker", spec.block("speaker"), "speaker")
    if "line_out" in spec.block("speaker"):
        section("line-out", spec.block("speaker").block("line_out"), "line-out")
    supply = spec.block("supply")
    section("mains-input", supply.block("mains"), "mains")
    section("power-transformer", supply.block("transformer"), "transformer")
    section("rectifier", supply, "rectifier")
    section("filter", supply, "filter")
    section("heaters", supply, "heaters")
    section("grounding", spec.block("grounding"), "grounding")
    section("unused-sections", spec, "unused")


def run(scope: Scope, module: ModuleType) -> dict[str, str]:
    """Elaborates one stage and freezes it. Returns its ports."""
    module.elaborate(scope)
    scope.finish()
    return scope.ports
