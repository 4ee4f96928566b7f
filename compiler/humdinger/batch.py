"""Compiles specs into manuals on disk, one after the other or in several processes. Returns text, prints nothing.

Each spec is a job of its own: what goes wrong with one stops no other. Outcomes come in the order of the jobs, as soon as they are known.
"""

from __future__ import annotations

import contextlib
import gc
import os
import re
import signal
from collections.abc import Callable, Generator, Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

from .compile import Compiled, compiled, judged
from .records import record, replace
from .source.cache import Cached, DiskCache, uncached
from .source.load import name_of
from .source.override import NOTHING_ASKED, Asked
from .source.world import DiskWorld
from .summary import CLEAN, MISUSE, OUR_FAULT, diagnostics_text, exit_code, following_text, judgement_text, open_findings

if TYPE_CHECKING:
    from multiprocessing.connection import Connection
    from multiprocessing.process import BaseProcess

T = TypeVar("T")

Progress = Callable[[int, str], None]
"""Is told which job does what now: its number from 0, and a word or two."""


@record
class Job:
    """One spec and where its manual goes. cache: a folder, "" for none. debug: show where a fault of ours arose."""

    spec: str
    out: str
    strict: bool = False
    locked: bool = False
    cache: str = ""
    colour: bool = False
    debug: bool = False
    asked: Asked = NOTHING_ASKED
    since: str = ""


@record
class Outcome:
    """How a job ended: exit code, what belongs on the two streams, and the first page when a manual was written."""

    code: int
    said: str = ""
    complained: str = ""
    page: str = ""
    grown: bool = False
    """Whether the cache has more in it now."""


def jobs_of(specs: Sequence[str], output: str | None, asked: Asked = NOTHING_ASKED) -> tuple[tuple[str, str], ...]:
    """(spec, folder of its manual). One spec: the folder itself; several: the folder that holds one each.

    A manual with other tubes or for another region is not put in the place of the spec's own: its folder's name says what it is of.
    """
    if output and len(specs) == 1:
        return ((specs[0], output),)
    return tuple((spec, str(Path(output or ".") / f"{name_of(spec)}{_variant(asked)}-manual")) for spec in specs)


def _variant(asked: Asked) -> str:
    words = (asked.region, *asked.tubes)
    return "".join(f"-{plain}" for text in words if (plain := re.sub(r"[^a-z0-9]+", "-", text.lower()).strip("-")))[:80]


def clash(jobs: Sequence[tuple[str, str]]) -> str:
    """Two specs that would write the same folder, as a message; "" when there are none."""
    seen: dict[str, str] = {}
    for spec, out in jobs:
        where = os.path.realpath(out)
        if where in seen:
            return f"{seen[where]} and {spec} would both be written to {out}; compile them one by one with -o"
        seen[where] = spec
    return ""


def outcomes(jobs: Sequence[Job], workers: int, progress: Progress) -> Generator[Outcome, None, None]:
    """Runs the jobs and gives their outcomes in order."""
    if workers <= 1 or len(jobs) <= 1:
        for number, job in enumerate(jobs):
            yield outcome(job, lambda name, number=number: progress(number, name))
            if len(jobs) > 1:
                _tidy()
        return
    yield from _in_processes(jobs, min(workers, len(jobs)), progress)


def _tidy() -> None:
    """The command runs without the garbage collector; between two specs what the first left goes, what is loaded stays out of account."""
    if not gc.isenabled():
        gc.collect()
        gc.freeze()


# -- one job --------------------------------------------------------------------------------------------------------
def outcome(job: Job, step: Callable[[str], None]) -> Outcome:
    """Compiles one spec and puts its manual in place. A fault of ours is an outcome too."""
    try:
        return _outcome(job, step)
    except Exception as fault:
        said = f"humdinger: {job.spec}: a fault of the compiler, not of your spec: {type(fault).__name__}: {fault}\n"
        said += f"humdinger: {job.spec}: no manual written; run again with HUMDINGER_DEBUG=1 and send us the output and the spec\n"
        if job.debug:
            import traceback

            said = traceback.format_exc() + said
        return Outcome(OUR_FAULT, "", said)


def _outcome(job: Job, step: Callable[[str], None]) -> Outcome:
    from .site.publish import PublishError, publish

    world = DiskWorld()
    cache = DiskCache(job.cache) if job.cache else None
    made, files = compiled(world, job.spec, _told(cache or uncached, step), locked=job.locked, asked=job.asked, since=job.since, step=step)
    numbers = ""
    if files is not None and exit_code(made, job.strict) == CLEAN:
        step("writing the lock file")
        made, numbers = _lock(world, made)
    said = diagnostics_text(made, "text", colour=job.colour)
    code = exit_code(made, job.strict)
    grown = cache is not None and cache.misses > 0
    out = Path(job.out)
    if files is None or code != CLEAN:
        stale = f"; {out} is of an earlier spec and stale" if (out / ".humdinger").is_file() else ""
        return Outcome(code, said, f"{job.spec}: no manual written{stale}\n", "", grown)
    step("putting the folder in place")
    try:
        kept = publish(files, out)
    except PublishError as fault:
        return Outcome(MISUSE, said + numbers, f"humdinger: {fault}\n", "", grown)
    said += judgement_text(made) + numbers
    if job.asked:
        said += following_text(made, judged(world, job.spec, propose=False))
    if kept:
        shown = ", ".join(kept[:5]) + (" ..." if len(kept) > 5 else "")
        said += f"{job.spec}: kept what you put into {out}: {shown}\n"
    page = out / "index.html"
    said += f"{job.spec}: {len(files)} files in {out}; open {page}; {open_findings(made)}\n"
    return Outcome(CLEAN, said, "", str(page), grown)


def _told(cached: Cached, step: Callable[[str], None]) -> Cached:
    """The same, and says what it makes."""

    def told(kind: str, inputs: object, make: Callable[[], T], of: type) -> T:
        step(f"drawing: {kind}")
        return cached(kind, inputs, make, of)

    return told


def _lock(world: DiskWorld, made: Compiled) -> tuple[Compiled, str]:
    """Brings the lock file up to date; what changed, in a line. It is written before the manual: a number on paper is never forgotten."""

    from .circuit.lock import changes, lock_text, problem, read_lock
    from .diagnostics import Severity

    old, new = made.lock, made.numbered
    if old is None or new is None:
        return made, ""
    text = lock_text(new, os.path.basename(world.resolve(made.path)))
    if text == old.text:
        return made, ""
    again, said, _ = read_lock(world, made.path)
    if again is None or again.text not in (old.text, text):
        message = f"the lock file {old.path} was changed by another program meanwhile"
        said = (problem("LCK-004", message, cure="compile again"),)
        return replace(made, diagnostics=made.diagnostics + said), ""
    try:
        world.write_text(old.path, text)
    except OSError as fault:
        message = f"the lock file {old.path} cannot be written: {fault.strerror or fault}"
        cure = "make the folder writable, so that designators stay as they are when the spec changes"
        said = (problem("LCK-004", message, cure=cure, severity=Severity.WARNING),)
        return replace(made, diagnostics=made.diagnostics + said), ""
    what = changes(old, new)
    return made, f"{made.path}: designators in {old.path}: {what}\n" if what else ""


# -- several processes ------------------------------------------------------------------------------------------------
def _in_processes(jobs: Sequence[Job], count: int, progress: Progress) -> Iterator[Outcome]:
    """A worker takes the next job when it is done with one. A worker that dies costs its job only."""
    from multiprocessing.connection import wait

    team = _Team(jobs)
    found: dict[int, Outcome] = {}
    due = 0
    try:
        for _ in range(count):
            team.hire()
        while due < len(jobs):
            for connection in wait([*team.busy]):
                assert not isinstance(connection, int)
                number, name, ended = team.heard(connection)
                if ended is None:
                    progress(number, name)
                else:
                    found[number] = ended
            while due in found:
                yield found.pop(due)
                due += 1
    finally:
        team.dismiss()


class _Team:
    """The workers, what each does, and what is left to do."""

    def __init__(self, jobs: Sequence[Job]) -> None:
        import multiprocessing

        self.jobs = jobs
        self.left = list(range(len(jobs)))[::-1]
        self.busy: dict[Any, int] = {}
        self.people: dict[Any, BaseProcess] = {}
        forks = "fork" in multiprocessing.get_all_start_methods() and os.name == "posix"
        self.context = multiprocessing.get_context("fork" if forks else None)
        if forks:
            _load()

    def hire(self) -> None:
        """Starts a worker on the next job, if there is one."""
        if not self.left:
            return
        ours, theirs = self.context.Pipe()
        others = (*self.people, ours) if self.context.get_start_method() == "fork" else ()
        person = self.context.Process(target=_work, args=(theirs, others), daemon=True)
        person.start()
        theirs.close()
        self.people[ours] = person
        self._give(ours)

    def heard(self, connection: Any) -> tuple[int, str, Outcome | None]:
        """What a worker says: (job, what it does, None) or (job, "", how it ended)."""
        number = self.busy[connection]
        try:
            name, ended = connection.recv()
        except (EOFError, ConnectionError):
            person = self.people.pop(connection)
            person.join()
            del self.busy[connection]
            connection.close()
            self.hire()
            said = f"humdinger: {self.jobs[number].spec}: the process that compiled it was ended from outside ({person.exitcode})\n"
            return number, "", Outcome(OUR_FAULT, "", said)
        if ended is not None:
            del self.busy[connection]
            self._give(connection)
        return number, name, ended

    def _give(self, connection: Any) -> None:
        if self.left:
            number = self.left.pop()
            self.busy[connection] = number
            with contextlib.suppress(ConnectionError):  # it is dead: the line says so next
                connection.send(self.jobs[number])

    def dismiss(self) -> None:
        """Ends all workers; one in the middle of a job clears up first."""
        for connection, person in self.people.items():
            if connection in self.busy:
                person.terminate()
            connection.close()
        for person in self.people.values():
            person.join()


def _load() -> None:
    """What every worker needs, loaded once before they part."""
    from . import manual as _manual
    from .analysis import solve as _solve
    from .drawing import schematic as _schematic
    from .rules import judge as _judge
    from .site import render as _render

    del _manual, _solve, _schematic, _judge, _render


def _work(connection: Connection, others: Sequence[Connection]) -> None:
    """A worker: jobs in, words and outcomes out, until the other end closes."""
    for other in others:
        other.close()  # else it would hold the line to its colleagues open
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # a Ctrl-C is for the one who hired us
    signal.signal(signal.SIGTERM, _interrupt)
    gc.freeze()
    try:
        while True:
            job: Job = connection.recv()
            connection.send(("", outcome(job, lambda name: connection.send((name, None)))))
            _tidy()
    except (EOFError, ConnectionError, KeyboardInterrupt):
        return


def _interrupt(number: int, frame: object) -> None:
    raise KeyboardInterrupt
