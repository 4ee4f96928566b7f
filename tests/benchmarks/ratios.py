"""Speed and memory as ratios measured in one run on one machine. Not a test: it prints, and somebody reads.

Run: .venv/bin/python tests/benchmarks/ratios.py
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from functools import partial
from pathlib import Path

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
"""As the command line sets it: such small matrices lose by threads, most of all where both cores are taken."""

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT / "compiler"), str(ROOT / "tests")]
FOLDER = Path(tempfile.gettempdir()) / "humdinger-ratios"
SPEC = ROOT / "specs_demo" / "curlew" / "curlew.amp.yaml"


def best(job: Callable[[], object], times: int = 7) -> float:
    """Seconds of the fastest of several runs."""
    found = []
    for _ in range(times):
        start = time.perf_counter()
        job()
        found.append(time.perf_counter() - start)
    return min(found)


ENVIRONMENT = {k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"}
ENVIRONMENT["PYTHONPATH"] = str(ROOT / "compiler")
ENVIRONMENT["PYTHONPYCACHEPREFIX"] = str(FOLDER / "bytecode")
"""Children run from compiled bytecode, as an installed tool does; the first run of each command makes it and is not counted."""


def process(*arguments: str) -> Callable[[], None]:
    """A child process that must end well."""

    def run() -> None:
        done = subprocess.run(arguments, check=False, capture_output=True, text=True, cwd=ROOT, env=ENVIRONMENT)
        assert done.returncode == 0, done.stdout + done.stderr

    return run


def interleaved(jobs: list[Callable[[], None]], times: int) -> list[float]:
    """Best seconds of several jobs, run in turns so that a slow minute of the machine meets them all."""
    for job in jobs:
        job()
    rounds = [[best(job, 1) for job in jobs] for _ in range(times)]
    return [min(column) for column in zip(*rounds, strict=True)]


def netlist_of(spec: Path):
    from humdinger.compile import elaborated
    from humdinger.source.world import DiskWorld

    made = elaborated(DiskWorld(), str(spec))
    assert made.netlist is not None
    return made.netlist


def once(kind: str) -> float:
    """Best seconds of many of our solutions in this process. kind: "op" or "ac"."""
    from humdinger.analysis.operating import conditions, solve_system
    from humdinger.analysis.smallsignal import small_signal
    from humdinger.analysis.system import build_system

    netlist = netlist_of(SPEC)
    condition = conditions(netlist)[0]
    hertz = [20.0 * 1000 ** (i / 120) for i in range(121)]

    def solution() -> object:
        """From the netlist to the volts of every net, as the simulator goes from the deck to them."""
        return solve_system(build_system(netlist, condition))

    def response() -> object:
        """The same, and 121 frequencies from the input to the speaker."""
        return small_signal(netlist, condition).transfer(netlist.input_net, (netlist.output_net,), hertz)

    return best(solution if kind == "op" else response, 20)


def against_ngspice() -> None:
    """DC and AC in a process of ours against an ngspice process on the same deck.

    In turns, a new process of either at each: which core of a shared machine a process gets decides by up to a half while it lives.
    """
    from humdinger.analysis.operating import conditions
    from humdinger.analysis.spice import spice_deck

    if shutil.which("ngspice") is None:
        print("ngspice is not installed: the comparison with it is left out")
        return
    netlist = netlist_of(SPEC)
    condition = conditions(netlist)[0]
    FOLDER.mkdir(exist_ok=True)
    for kind, limit in (("op", 0.2), ("ac", 1.0)):
        deck = FOLDER / f"curlew-{kind}.cir"
        deck.write_text(spice_deck(netlist, condition, supply="averaged", analysis=kind))
        ours, theirs = [], []
        for _ in range(9):
            theirs.append(best(process("ngspice", "-b", str(deck)), 3))
            done = subprocess.run([sys.executable, __file__, "--once", kind], capture_output=True, text=True, check=True, env=ENVIRONMENT)
            ours.append(float(done.stdout))
        ratio = min(ours) / min(theirs)
        print(
            f"{kind.upper():3} own {1e3 * min(ours):7.2f} ms   ngspice {1e3 * min(theirs):7.2f} ms   ratio {ratio:.3f}   (at most {limit})"
        )


def whole_check() -> None:
    """`humdinger check` over a bare interpreter start; peak memory."""
    python = sys.executable
    jobs = [
        process(python, "-I", "-c", "pass"),
        process(python, "-c", "import numpy"),
        process(python, "-m", "humdinger.cli", "check", str(SPEC)),
    ]
    bare, numpy, check = interleaved(jobs, 9)
    print(f"check curlew {check:.3f} s, bare interpreter {bare:.3f} s: {check - bare:.3f} s over it (at most 0.35)")
    print(f"of which import numpy {numpy - bare:.3f} s")
    code = "import resource, sys\nfrom humdinger.cli import main\nmain(sys.argv[1:])\n"
    code += "print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss)"
    done = subprocess.run([python, "-c", code, "check", str(SPEC)], capture_output=True, text=True, check=True, cwd=ROOT, env=ENVIRONMENT)
    print(f"peak memory of check curlew {int(done.stdout.split()[-1]) / 1024:.0f} MB (at most 120)")


def against_size() -> None:
    """Cost against circuit size: one, two and three copies of the amp in one netlist."""
    from humdinger.analysis.operating import conditions, solve_system
    from humdinger.analysis.smallsignal import small_signal
    from humdinger.analysis.system import build_system
    from support.copies import copies

    netlist = netlist_of(SPEC)
    hertz = [20.0 * 1000 ** (i / 30) for i in range(31)]
    first: tuple[float, float] | None = None
    for count in (1, 2, 3):
        bigger = copies(netlist, count)
        condition = conditions(bigger)[0]
        found = small_signal(bigger, condition)
        dc = best(partial(lambda n, c: solve_system(build_system(n, c)), bigger, condition), 10)
        ac = best(partial(found.transfer, bigger.input_net, (bigger.output_net,), hertz), 10)
        first = first or (dc, ac)
        growth = f"DC {1e3 * dc:6.2f} ms ({dc / first[0]:.2f} x)   AC {1e3 * ac:6.2f} ms ({ac / first[1]:.2f} x)"
        print(f"x{count}: {len(bigger.parts):3} parts   {growth}")


if __name__ == "__main__" and "--once" in sys.argv:
    print(once(sys.argv[-1]))
elif __name__ == "__main__":
    against_ngspice()
    whole_check()
    against_size()
