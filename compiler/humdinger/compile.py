"""The contents page of the compiler: one line per pass, two barriers.

A pass takes what the passes before it made and returns a value and diagnostics. A mistake of the user's is a diagnostic; an exception
is a fault of ours. Past barrier 1 the names are bound; past barrier 2 the amp has been judged and may be rendered.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import field
from typing import TYPE_CHECKING

from .diagnostics import Diagnostic, Help, Severity
from .records import record, replace
from .source.cache import Cached, uncached
from .source.override import NOTHING_ASKED, Asked

if TYPE_CHECKING:
    from .analysis.results import Results
    from .circuit.lock import Lock
    from .circuit.netlist import Netlist
    from .layout import Layout
    from .revision import Amp, Difference
    from .rules.model import Findings
    from .source.load import Source
    from .source.world import World
    from .spec.design import Design

Replacements = tuple[tuple[str, str], ...]
"""Spec path -> text that stands for what is written there; how a proposal of a rule is tried."""

Step = Callable[[str], None]
"""Is told what comes next, in a word or two."""

TRIALS = 12
"""How many proposals one run may try; each costs a solve."""


@record(slots=False)
class Compiled:
    """How far a spec got. What a failed pass did not make is None. texts: every file read, for the renderers.

    asked: what the command line puts in place of the spec's. lock: the designators as found beside the spec; numbered: as they should
    stand there now.
    """

    path: str
    asked: Asked = NOTHING_ASKED
    source: Source | None = None
    lock: Lock | None = None
    numbered: Lock | None = None
    texts: Mapping[str, str] = field(default_factory=dict)
    design: Design | None = None
    netlist: Netlist | None = None
    results: Results | None = None
    layout: Layout | None = None
    findings: Findings | None = None
    diagnostics: tuple[Diagnostic, ...] = ()

    @property
    def blocking(self) -> bool:
        """Danger or an unwaived error: nothing may be rendered."""
        return any(d.severity in (Severity.DANGER, Severity.ERROR) for d in self.diagnostics)


def quiet(name: str) -> None:
    """Tells nobody."""
    del name


def elaborated(world: World, path: str, replacements: Replacements = (), *, asked: Asked = NOTHING_ASKED, step: Step = quiet) -> Compiled:
    """Load, validate, lower, resolve, elaborate: text to netlist. asked: of the command line, in place of what the spec says."""
    return _pointed(_elaborated(world, path, replacements, asked, step))


def _elaborated(world: World, path: str, replacements: Replacements, asked: Asked, step: Step) -> Compiled:
    from .circuit import elaborate
    from .circuit.lock import after, read_lock
    from .parts.library import Library
    from .source.load import load_with_texts
    from .spec.lower import lower
    from .spec.resolve import resolve
    from .spec.validate import validate

    step("reading")
    made = Compiled(path, asked)
    source, said, texts = load_with_texts(world, path)
    made = replace(made, source=source, texts=texts, diagnostics=said)
    if source is None:
        return made
    if asked:
        from .spec.override import overridden

        source, said = overridden(source, asked)
        made = replace(made, source=source, texts={**made.texts, **source.texts}, diagnostics=made.diagnostics + said)
    valid, said = validate(source)
    made = replace(made, diagnostics=made.diagnostics + said)
    if valid is None:
        return made
    spec, said = lower(valid, replacements)
    made = replace(made, diagnostics=made.diagnostics + said)
    if spec is None:
        return made
    design, said = resolve(spec, Library())
    made = replace(made, design=design, diagnostics=made.diagnostics + said)
    if design is None or made.blocking:  # barrier 1
        return made
    step("elaborating")
    lock, said, texts = read_lock(world, path)
    made = replace(made, lock=lock, texts={**made.texts, **texts}, diagnostics=made.diagnostics + said)
    if lock is None:
        return made
    netlist, said = elaborate(design, lock)
    numbered = after(lock, netlist.places) if netlist else None
    return replace(made, netlist=netlist, numbered=numbered, diagnostics=made.diagnostics + said)


def _pointed(made: Compiled) -> Compiled:
    """What underlines an argument of the command line underlines what it stands for too."""
    if made.source is None or not made.source.overrides:
        return made
    from .spec.override import pointed

    return replace(made, diagnostics=pointed(made.diagnostics, made.source.overrides))


def solved(
    world: World, path: str, replacements: Replacements = (), *, bench: bool = True, asked: Asked = NOTHING_ASKED, step: Step = quiet
) -> Compiled:
    """Text to results. bench: with the numbers that only the bench pages print."""
    made = elaborated(world, path, replacements, asked=asked, step=step)
    if made.netlist is None or made.blocking:
        return made
    step("solving")
    from .analysis import solve

    results, said = solve(made.netlist, bench=bench)
    return _pointed(replace(made, results=results, diagnostics=made.diagnostics + said))


def judged(
    world: World,
    path: str,
    replacements: Replacements = (),
    *,
    propose: bool = True,
    bench: bool = False,
    asked: Asked = NOTHING_ASKED,
    step: Step = quiet,
) -> Compiled:
    """Text to findings. propose: try the repairs that rules offer, and say which of them pass. bench: as for `solved`.

    Another region or other tubes get the mains fuse that they ask for, if with it the finding on the fuse goes and no other comes.
    """
    made = _judged(world, path, replacements, bench, asked, step)
    if fuse := _fuse_there(made):
        fused = _judged(world, path, replacements, bench, replace(asked, fuse=fuse), step)
        before, after = ({(d.code, d.element) for d in one.diagnostics} for one in (made, fused))
        made = fused if fused.findings is not None and after < before else made
    return _proposed(world, made, step) if propose else made  # barrier 2


def _fuse_there(made: Compiled) -> str:
    """The mains fuse that another region's mains or other tubes ask for; "" when that of the spec serves or neither was asked for."""
    if made.findings is None or made.source is None or not any(_moves_the_mains(one.path) for one in made.source.overrides):
        return ""
    repairs = (j.outcome.repair for j in made.findings.judged if j.open and j.rule.name == "mains-fuse-rating")
    return next((repair.candidates[0] for repair in repairs if repair), "")


def _moves_the_mains(path: str) -> bool:
    return path == "region" or path.startswith("tubes/")


def _judged(world: World, path: str, replacements: Replacements, bench: bool, asked: Asked, step: Step) -> Compiled:
    made = solved(world, path, replacements, bench=bench, asked=asked, step=step)
    if made.results is None or made.netlist is None or made.design is None:
        return made
    step("judging")
    from .layout import coloured
    from .rules.judge import judge

    colouring = coloured(made.netlist, made.design.wire_colours)
    findings = judge(made.design, made.netlist, made.results, colouring, world.today().isoformat())
    return _pointed(replace(made, findings=findings, diagnostics=made.diagnostics + findings.diagnostics))


def _proposed(world: World, made: Compiled, step: Step) -> Compiled:
    """Attaches a help where a repair, compiled again, removes its finding and brings no new one."""
    if made.findings is None or not any(j.open and j.outcome.repair for j in made.findings.judged):
        return made
    before = {(d.code, d.element) for d in made.diagnostics}
    helps: dict[tuple[str, str], Help] = {}
    trials = 0
    for one in made.findings.judged:
        repair = one.outcome.repair
        if not one.open or repair is None:
            continue
        for candidate in repair.candidates:
            if trials >= TRIALS:
                break
            trials += 1
            step(f"trying {candidate} at {repair.path}")
            tried = _judged(world, made.path, ((repair.path, candidate),), False, made.asked, quiet)
            after = {(d.code, d.element) for d in tried.diagnostics}
            key = (one.rule.code, one.outcome.element)
            line = _line(made, *key)
            crowded = {(d.code, d.element) for d in tried.diagnostics if d.severity is not Severity.INFO and _at(d) == line}
            if tried.findings is not None and key not in after and after <= before and not crowded:
                helps[key] = Help(f"{candidate} at {repair.path} passes (solved again with it)", repair.path, candidate)
                break
    lines = tuple(replace(d, helps=(*d.helps, helps[d.code, d.element])) if (d.code, d.element) in helps else d for d in made.diagnostics)
    return replace(made, diagnostics=lines)


def _at(diagnostic: Diagnostic) -> tuple[str, int] | None:
    """File and line of what a diagnostic blames."""
    primary = diagnostic.primary
    return (primary.span.file, primary.span.line) if primary else None


def _line(made: Compiled, code: str, element: str) -> tuple[str, int] | None:
    """The line a finding blames: a proposal for it must leave nothing else wrong there."""
    return next((_at(d) for d in made.diagnostics if (d.code, d.element) == (code, element)), None)


def placed(made: Compiled) -> Compiled:
    """With boards and wires. No rule asks for them, so only what is to be rendered pays for them."""
    from .layout.makeup import made_up
    from .layout.place import place

    if made.netlist is None or made.design is None or made.results is None:
        return made
    states = [point.volts for point in made.results.operating.values()]
    return replace(made, layout=made_up(place(made.netlist, made.design.wire_colours, states), made.netlist, made.results))


def compiled(
    world: World,
    path: str,
    cached: Cached = uncached,
    *,
    locked: bool = False,
    asked: Asked = NOTHING_ASKED,
    since: str = "",
    step: Step = quiet,
) -> tuple[Compiled, Mapping[str, bytes] | None]:
    """Text to the files of the manual. None when something blocks: danger, an unwaived error, a number that `locked` forbids to change.

    since: a spec that the manual says the changes from, on a page of its own; one that cannot be solved blocks too, with its diagnostics.
    """
    made = judged(world, path, bench=True, asked=asked, step=step)
    if locked:
        made = replace(made, diagnostics=made.diagnostics + _held(made))
    if made.blocking or made.findings is None:
        return made, None
    step("placing")
    made = placed(made)
    changes = None
    if since:
        step(f"comparing with {since}")
        before, changes = compared(world, since, made)
        if changes is None:
            return replace(
                made, diagnostics=made.diagnostics + before.diagnostics, texts={**before.texts, **made.texts}, findings=None
            ), None
    step("loading the pages")
    from .manual import compose
    from .site.render import render

    assert made.source is not None
    assert made.design is not None
    assert made.netlist is not None
    assert made.results is not None
    assert made.layout is not None
    assert made.findings is not None
    step("composing the pages")
    manual = compose(made.source, made.design, made.netlist, made.results, made.layout, made.findings, world.version(), cached, changes)
    step("writing the pages")
    return made, render(manual)


def compared(world: World, old: str, new: Compiled) -> tuple[Compiled, Difference | None]:
    """An older spec, judged, and what changed from it to an amp that was judged. None when either could not be solved.

    Where only one of the two has a lock file, both are numbered by it.
    """
    from .revision import difference
    from .source.world import LentWorld

    notes: tuple[str, ...] = ()
    if new.lock is not None and new.lock.exists:
        from .circuit.lock import lock_path

        path = lock_path(world, old)
        if not world.exists(path):
            world = LentWorld(world, path, new.lock.path)
            notes = (f"{old} has no lock file: it is numbered by {new.lock.path}",)
    before = judged(world, old, propose=False)
    amps = _amp(before), _amp(new)
    if amps[0] is None or amps[1] is None:
        return before, None
    return before, difference(amps[0], amps[1], notes)


def _amp(made: Compiled) -> Amp | None:
    from .revision import Amp
    from .source.checksum import checksum

    if made.layout is None:
        made = placed(made)
    if not (made.source and made.design and made.netlist and made.results and made.layout and made.findings and made.lock):
        return None
    return Amp(
        made.path,
        checksum(made.source),
        made.lock,
        made.design,
        made.netlist,
        made.results,
        made.layout,
        made.findings,
        made.diagnostics,
    )


def _held(made: Compiled) -> tuple[Diagnostic, ...]:
    from .circuit.lock import held

    if made.netlist is None or made.lock is None or made.numbered is None:
        return ()
    return held(made.lock, made.numbered, {part.ref: part.span for part in made.netlist.parts})
