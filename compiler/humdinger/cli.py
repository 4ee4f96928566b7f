"""Arguments in, exit code out; the only place that prints.

Exit codes: 0 clean, 1 findings, 2 misuse, 3 a fault of our own.
"""

from __future__ import annotations

import argparse
import contextlib
import gc
import json
import os
import sys
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Any, NoReturn, TextIO

from . import __version__
from .diagnostics.escape import printable
from .summary import (
    CLEAN,
    FINDINGS,
    MISUSE,
    OUR_FAULT,
    diagnostics_text,
    exit_code,
    following_text,
    judgement_rows,
    judgement_text,
    override_text,
)

if TYPE_CHECKING:
    from .compile import Compiled
    from .source.override import Asked


def run() -> NoReturn:
    """The command `humdinger` as a process of its own: it ends before collecting garbage would pay, at the end too."""
    gc.disable()
    code = main()
    gc.freeze()
    sys.exit(code)


def main(argv: Sequence[str] | None = None) -> int:
    """Runs one command. Never shows a traceback; HUMDINGER_DEBUG=1 lets it through."""
    # Matrices of a hundred rows gain nothing from threads, and starting them costs more than a whole solve.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    try:
        return _run(sys.argv[1:] if argv is None else list(argv))
    except KeyboardInterrupt:
        print("humdinger: interrupted; what is not said to be written is as it was", file=sys.stderr)
        return 130
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return CLEAN
    except Exception as fault:
        if os.environ.get("HUMDINGER_DEBUG"):
            raise
        kind = type(fault).__name__
        print(f"humdinger: a fault of the compiler, not of your spec: {kind}: {fault}", file=sys.stderr)
        print("humdinger: nothing was written; run again with HUMDINGER_DEBUG=1 and send us the output and the spec", file=sys.stderr)
        return OUR_FAULT


def _run(argv: list[str]) -> int:
    parser = build_parser()
    try:
        arguments = parser.parse_args(argv)
    except SystemExit as stop:
        return MISUSE if stop.code else CLEAN
    command: Callable[[argparse.Namespace], int] = arguments.command
    return command(arguments)


class _Parser(argparse.ArgumentParser):
    """A parser that finds the width of the terminal without `shutil`, which brings three compressors along: 3 ms of every run."""

    def __init__(self, **options: Any) -> None:
        super().__init__(**options, formatter_class=lambda prog: argparse.HelpFormatter(prog, width=_columns() - 2))


def _columns() -> int:
    try:
        return int(os.environ.get("COLUMNS", "")) or 80
    except ValueError:
        pass
    try:
        return os.get_terminal_size(sys.stdout.fileno()).columns or 80
    except (OSError, ValueError, AttributeError):
        return 80


def build_parser() -> argparse.ArgumentParser:
    """The command line. Also read by the completion scripts."""
    parser = _Parser(prog="humdinger", description="Compile the spec of a tube guitar amplifier into its build manual.")
    parser.add_argument("--version", action="version", version=f"humdinger {__version__}")
    commands = parser.add_subparsers(title="commands", metavar="COMMAND", required=True, prog="humdinger")

    check = commands.add_parser("check", help="say what is wrong with a spec", description="Elaborate, solve and judge; write nothing.")
    check.add_argument("specs", metavar="SPEC", nargs="+")
    check.add_argument("--format", choices=("text", "short", "json"), default="text")
    check.add_argument("--strict", action="store_true", help="warnings count as findings (exit 1)")
    check.add_argument("--verbose", action="store_true", help="print what is only for information in full too")
    _overrides(check)
    check.set_defaults(command=_check)

    show = commands.add_parser(
        "show", help="print the fully elaborated spec", description="Every value, defaults with where they come from."
    )
    show.add_argument("spec", metavar="SPEC")
    show.set_defaults(command=_show)

    solve = commands.add_parser(
        "solve", help="print every computed value", description="Per node and per part, per state and mains corner."
    )
    solve.add_argument("spec", metavar="SPEC")
    solve.add_argument("--format", choices=("text", "json"), default="text")
    _overrides(solve)
    solve.set_defaults(command=_solve)

    export = commands.add_parser("export", help="write the netlist for another program", description="So that anybody can check us.")
    export.add_argument("spec", metavar="SPEC")
    export.add_argument("--to", choices=("spice",), required=True)
    export.add_argument("--supply", choices=("averaged", "real"), default="averaged", help="averaged rectifier (.op), or sines and diodes")
    export.add_argument("--state", default="nominal", help="which state and mains corner (default nominal)")
    export.add_argument("--analysis", choices=("op", "ac", "tran"), default=None, help="default op; tran with --supply real")
    export.add_argument("-o", "--output", metavar="FILE", help="default: standard output")
    export.set_defaults(command=_export)

    compile_ = commands.add_parser("compile", help="write the build manual", description="Check, then write the manual as a static site.")
    compile_.add_argument("specs", metavar="SPEC", nargs="+")
    compile_.add_argument("-o", "--output", metavar="DIR", help="default ./NAME-manual; with several specs the folder that holds one each")
    compile_.add_argument("--strict", action="store_true", help="refuse to write when there are warnings")
    compile_.add_argument("--locked", action="store_true", help="refuse when a designator in NAME.lock.yaml would change")
    compile_.add_argument("--jobs", metavar="N", type=_jobs, default=1, help="compile several specs in N processes (default 1)")
    compile_.add_argument("--cache", metavar="DIR|off", help="where drawings are kept (default $XDG_CACHE_HOME/humdinger), or off")
    compile_.add_argument("--open", action="store_true", help="open the manual (of several, the first) in the browser")
    compile_.add_argument("--since", metavar="OLD", default="", help="with a page that says what changed since an older spec")
    _overrides(compile_)
    compile_.set_defaults(command=_compile)

    diff = commands.add_parser("diff", help="tell what changed between two specs", description="In parts, wires, volts and findings.")
    diff.add_argument("old", metavar="OLD")
    diff.add_argument("new", metavar="NEW")
    diff.add_argument("--format", choices=("text", "json"), default="text")
    diff.set_defaults(command=_diff)

    explain = commands.add_parser("explain", help="explain a code or a rule", description="What it checks, why, with examples.")
    explain.add_argument("code", metavar="CODE", nargs="?", help="a code such as HTR-001, or a rule's name; none: the list")
    explain.set_defaults(command=_explain)

    fit = commands.add_parser(
        "fit-tube", help="fit a tube's law to readings of its curves", description="Write a library entry that a spec can include."
    )
    fit.add_argument("file", metavar="FILE", help="a YAML file of readings, as schemas/fit.schema.json describes")
    fit.add_argument("-o", "--output", metavar="PARTS", help="default: NAME.parts.yaml beside FILE, NAME as the file is called")
    fit.set_defaults(command=_fit)

    parts = commands.add_parser("parts", help="what the library knows of a tube", description="Every number with its source.")
    parts.add_argument("name", metavar="NAME", nargs="?", help="a tube or diode type; none: the list")
    parts.set_defaults(command=_parts)

    completion = commands.add_parser("completion", help="print a completion script", description="For instance: humdinger completion bash")
    completion.add_argument("shell", choices=("bash", "zsh", "fish"))
    completion.set_defaults(command=_completion)
    return parser


def _overrides(command: argparse.ArgumentParser) -> None:
    """The options that put something in the place of what the spec says."""
    command.add_argument("--region", metavar="CODE", default="", help="as for another region: mains tap, fuse, colours, market, paper")
    command.add_argument("--tube", metavar="V4,V5=TYPE", action="append", default=[], help="with another tube type; may be repeated")


def _asked(arguments: argparse.Namespace) -> Asked:
    from .source.override import Asked

    return Asked(arguments.region, tuple(arguments.tube))


# -- commands -------------------------------------------------------------------------------------------------------
def _check(arguments: argparse.Namespace) -> int:
    from .compile import judged
    from .source.world import DiskWorld

    world, asked = DiskWorld(), _asked(arguments)
    made_all = [judged(world, spec, asked=asked) for spec in arguments.specs]
    # What an override brings is only seen beside the spec as it is written.
    plain = {made.path: judged(world, made.path, propose=False) for made in made_all if asked and made.findings}
    worst = max(exit_code(made, arguments.strict) for made in made_all)
    if arguments.format == "json":
        print(json.dumps([judgement_rows(made, plain.get(made.path)) for made in made_all], indent=1))
        return worst
    for made in made_all:
        _print_diagnostics(made, arguments.format, verbose=arguments.verbose)
        print(judgement_text(made), end="")
        print(following_text(made, plain.get(made.path)), end="")
    return worst


def _show(arguments: argparse.Namespace) -> int:
    from .compile import elaborated
    from .source.world import DiskWorld

    made = elaborated(DiskWorld(), arguments.spec)
    _print_diagnostics(made, "text", sys.stderr)
    if made.netlist is None or made.design is None:
        return exit_code(made, strict=False)
    from .circuit.show import show_text

    print(show_text(made.design, made.netlist), end="")
    return CLEAN


def _solve(arguments: argparse.Namespace) -> int:
    from .compile import solved
    from .source.world import DiskWorld

    made = solved(DiskWorld(), arguments.spec, asked=_asked(arguments))
    _print_diagnostics(made, "text", sys.stderr)
    if made.results is None or made.netlist is None or made.source is None:
        return exit_code(made, strict=False)
    if arguments.format == "json":
        from .analysis.export_json import results_json
        from .source.checksum import checksum

        data = results_json(made.netlist, made.results, made.netlist.name, checksum(made.source), made.source.overrides)
        print(json.dumps(data, indent=1, sort_keys=True))
    else:
        from .analysis.report import solve_text

        print(override_text(made), end="")
        print(solve_text(made.netlist, made.results), end="")
    return CLEAN


def _export(arguments: argparse.Namespace) -> int:
    from .analysis.results import CONDITIONS

    if arguments.state not in CONDITIONS:
        print(f"humdinger: no state {arguments.state!r}; there are {', '.join(CONDITIONS)}", file=sys.stderr)
        return MISUSE
    from .compile import elaborated
    from .source.world import DiskWorld

    world = DiskWorld()
    made = elaborated(world, arguments.spec)
    _print_diagnostics(made, "text", sys.stderr)
    if made.netlist is None or made.blocking:
        return exit_code(made, strict=False)
    from .analysis.operating import conditions
    from .analysis.spice import spice_deck

    condition = next(c for c in conditions(made.netlist) if c.name == arguments.state)
    analysis = arguments.analysis or ("tran" if arguments.supply == "real" else "op")
    deck = spice_deck(made.netlist, condition, supply=arguments.supply, analysis=analysis)
    if arguments.output:
        try:
            world.write_text(arguments.output, deck)
        except OSError as fault:
            print(f"humdinger: {arguments.output} cannot be written: {fault.strerror}", file=sys.stderr)
            return MISUSE
    else:
        print(deck, end="")
    return CLEAN


def _compile(arguments: argparse.Namespace) -> int:
    from time import monotonic

    from .batch import Job, clash, jobs_of, outcomes
    from .source.cache import DiskCache

    asked = _asked(arguments)
    pairs = jobs_of(arguments.specs, arguments.output, asked)
    if trouble := clash(pairs):
        print(f"humdinger: {trouble}", file=sys.stderr)
        return MISUSE
    cache = _cache_folder(arguments.cache)
    colour, debug = _colour(sys.stdout), bool(os.environ.get("HUMDINGER_DEBUG"))
    jobs = [Job(spec, out, arguments.strict, arguments.locked, cache, colour, debug, asked, arguments.since) for spec, out in pairs]
    progress = _Progress(arguments.specs, sys.stderr, monotonic)
    worst, page, grown = CLEAN, "", False
    try:
        with contextlib.closing(outcomes(jobs, arguments.jobs, progress)) as found:
            for ended in found:
                progress.clear()
                print(ended.said, end="", flush=True)
                print(ended.complained, file=sys.stderr, end="", flush=True)
                worst, page, grown = max(worst, ended.code), page or ended.page, grown or ended.grown
    finally:
        progress.clear()
        if grown:
            DiskCache(cache).trim()
    if arguments.open and page:
        _open(page)
    return worst


def _cache_folder(asked: str | None) -> str:
    """Where drawings are kept between runs; "" for nowhere. Without a word of the user's the place that the desktop's rules give."""
    if asked is not None:
        return "" if asked == "off" else os.path.abspath(asked)
    base = os.environ.get("XDG_CACHE_HOME", "")
    if not os.path.isabs(base):  # the rules say that a relative one is to be ignored
        base = os.path.expanduser("~/.cache")
    return os.path.join(base, "humdinger") if os.path.isabs(base) else ""


def _open(page: str) -> None:
    import webbrowser
    from pathlib import Path

    try:
        opened = webbrowser.open(Path(page).resolve().as_uri())
    except webbrowser.Error:
        opened = False
    if not opened:
        print(f"humdinger: no browser was found; open {page} yourself", file=sys.stderr)


def _jobs(text: str) -> int:
    """A number of processes from 1 to 64, for argparse."""
    if not text.isascii() or not text.isdigit() or not 1 <= int(text[:9]) <= 64:
        raise argparse.ArgumentTypeError(f"{text!r} is not a number from 1 to 64")
    return int(text)


def _diff(arguments: argparse.Namespace) -> int:
    from .compile import compared, judged
    from .source.world import DiskWorld

    world = DiskWorld()
    new = judged(world, arguments.new, propose=False)
    if new.findings is None:
        _print_diagnostics(new, "text", sys.stderr)
        return exit_code(new, strict=False)
    old, changes = compared(world, arguments.old, new)
    if changes is None:
        _print_diagnostics(old, "text", sys.stderr)
        return exit_code(old, strict=False)
    from .manual.changes_words import changes_json, changes_text

    if arguments.format == "json":
        print(json.dumps(changes_json(changes), indent=1, sort_keys=True, ensure_ascii=False))
    else:
        print(changes_text(changes), end="")
    return CLEAN


def _explain(arguments: argparse.Namespace) -> int:
    from .explain import explanation, listing

    if arguments.code is None:
        print(listing(), end="")
        return CLEAN
    text = explanation(arguments.code)
    if text is None:
        from .diagnostics import nearest
        from .explain import known_codes

        near = nearest(arguments.code, known_codes())
        print(f"humdinger: no code or rule {arguments.code!r}" + (f"; did you mean {near}?" if near else ""), file=sys.stderr)
        return MISUSE
    print(text, end="")
    return CLEAN


def _fit(arguments: argparse.Namespace) -> int:
    from .diagnostics import Severity, sort_diagnostics
    from .diagnostics.render_text import render_text
    from .fitting import entry_path, fitted, is_ours
    from .source.world import DiskWorld

    world = DiskWorld()
    made = fitted(world, arguments.file)
    if made.diagnostics:
        print(render_text(sort_diagnostics(made.diagnostics), made.texts, colour=_colour(sys.stdout)))
    print(made.report, end="")
    if made.broken:
        return FINDINGS if made.texts else MISUSE
    out = arguments.output or entry_path(arguments.file)
    if not is_ours(world, out):
        print(f"humdinger: {out} was not written by fit-tube and is left alone; name another with -o", file=sys.stderr)
        return MISUSE
    try:
        world.write_text(out, made.entry)
    except OSError as fault:
        print(f"humdinger: {out} cannot be written: {fault.strerror}", file=sys.stderr)
        return MISUSE
    name = made.file.name if made.file else ""
    print(f"{out}: written; put it under `include:` of a spec and name {name} under `tubes:`")
    warned = sum(d.severity is Severity.WARNING for d in made.diagnostics)
    if warned:
        print(f"{out}: {warned} warning{'s' if warned > 1 else ''} on how far it can be trusted")
    return CLEAN


def _parts(arguments: argparse.Namespace) -> int:
    from .diagnostics import nearest
    from .parts.describe import describe_diode, describe_library, describe_tube
    from .parts.library import Library

    library = Library()
    if arguments.name is None:
        print(describe_library(library), end="")
        return CLEAN
    names = (*library.tube_names(aliases=True), *library.diode_names())
    name = next((known for known in names if known.casefold() == arguments.name.casefold()), arguments.name)
    if tube := library.tube(name):
        print(describe_tube(tube, library.sources()), end="")
    elif diode := library.diode(name):
        print(describe_diode(diode, library.sources()), end="")
    else:
        near = nearest(arguments.name, names)
        print(f"humdinger: the library has no {arguments.name!r}" + (f"; did you mean {near}?" if near else ""), file=sys.stderr)
        return MISUSE
    return CLEAN


def _completion(arguments: argparse.Namespace) -> int:
    from .completion import script

    print(script(arguments.shell, build_parser()), end="")
    return CLEAN


# -- printing -------------------------------------------------------------------------------------------------------
def _print_diagnostics(made: Compiled, form: str, stream: TextIO | None = None, *, verbose: bool = False) -> None:
    out: TextIO = stream or sys.stdout
    print(diagnostics_text(made, form, colour=_colour(out), verbose=verbose), file=out, end="")


def _colour(stream: TextIO) -> bool:
    return stream.isatty() and "NO_COLOR" not in os.environ


class _Progress:
    """One line on the terminal that says what is being done, once that has taken a second; nothing where nobody watches."""

    PATIENCE = 1.0

    def __init__(self, specs: Sequence[str], stream: TextIO, clock: Callable[[], float]) -> None:
        self.specs = specs
        self.stream = stream
        self.clock = clock
        self.watched = stream.isatty()
        self.start = clock()
        self.shown = False

    def __call__(self, number: int, name: str) -> None:
        if not self.watched or self.clock() - self.start < self.PATIENCE:
            return
        count = f"{number + 1} of {len(self.specs)}: " if len(self.specs) > 1 else ""
        text = printable(f"{count}{self.specs[number]}: {name}")
        self.stream.write(f"\r\x1b[K{text[: max(_columns() - 1, 10)]}")
        self.stream.flush()
        self.shown = True

    def clear(self) -> None:
        """Takes the line away before something is printed."""
        if self.shown:
            self.stream.write("\r\x1b[K")
            self.stream.flush()
            self.shown = False


if __name__ == "__main__":
    run()
