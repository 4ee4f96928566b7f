"""Speed and memory as ratios measured in one run on one machine. Not a test: it prints, and somebody reads.

Run: .venv/bin/python tests/benchmarks/ratios.py
"""

from __future__ import annotations

import resource
import shutil
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT / "compiler"), str(ROOT / "tests")]
SPEC = ROOT / "specs_demo" / "curlew" / "curlew.amp.yaml"


def best(job: Callable[[], object], times: int = 7) -> float:
    """Seconds of the fastest of several runs."""
    found = []
    for _ in range(times):
        start = time.perf_counter()
        job()
        found.append(time.perf_counter() - start)
    return min(found)


def process(*arguments: str) -> Callable[[], object]:
    return lambda: subprocess.run(arguments, check=False, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, cwd=ROOT)


def netlist_of(spec: Path):
    from humdinger.compile import elaborated
    from humdinger.source.world import DiskWorld

    made = elaborated(DiskWorld(), str(spec))
    assert made.netlist is not None
    return made.netlist


def against_ngspice() -> None:
    """DC and AC in this process against an ngspice process on the same deck."""
    from humdinger.analysis.operating import conditions, solve_operating
    from humdinger.analysis.smallsignal import small_signal
    from humdinger.analysis.spice import spice_deck

    if shutil.which("ngspice") is None:
        print("ngspice is not installed: the comparison with it is left out")
        return
    netlist = netlist_of(SPEC)
    condition = conditions(netlist)[0]
    folder = Path("/tmp/humdinger-ratios")
    folder.mkdir(exist_ok=True)
    hertz = [20.0 * 1000 ** (i / 120) for i in range(121)]
    for kind, limit in (("op", 0.2), ("ac", 1.0)):
        deck = folder / f"curlew-{kind}.cir"
        deck.write_text(spice_deck(netlist, condition, supply="averaged", analysis=kind))
        theirs = best(process("ngspice", "-b", str(deck)))
        if kind == "op":
            ours = best(lambda: solve_operating(netlist, condition), 20)
        else:
            point = solve_operating(netlist, condition)
            ours = best(lambda: small_signal(netlist, point).transfer(netlist.input_net, (netlist.output_net,), hertz), 20)
        print(f"{kind.upper():3} own {1e3 * ours:7.2f} ms   ngspice {1e3 * theirs:7.2f} ms   ratio {ours / theirs:.3f}   (at most {limit})")


def whole_check() -> None:
    """`humdinger check` over a bare interpreter start; peak memory."""
    python = sys.executable
    bare = best(process(python, "-I", "-c", "pass"))
    numpy = best(process(python, "-c", "import numpy"))
    check = best(process(python, "-m", "humdinger.cli", "check", str(SPEC)))
    print(
        f"check curlew {check:.3f} s, bare interpreter {bare:.3f} s: {check - bare:.3f} s over it (at most 0.35); import numpy alone {numpy - bare:.3f} s"
    )
    usage = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss
    code = f"import resource,sys\nfrom humdinger.cli import main\nmain(['check', {str(SPEC)!r}])\nprint(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss, file=sys.stderr)"
    peak = subprocess.run([python, "-c", code], capture_output=True, text=True, check=False, cwd=ROOT).stderr.split()[-1]
    print(f"peak memory of check curlew {int(peak) / 1024:.0f} MB (at most 120); of all children so far {usage / 1024:.0f} MB")


def against_size() -> None:
    """Cost against circuit size: one, two and three copies of the amp in one netlist."""
    from support.netlists import copies

    from humdinger.analysis.operating import conditions, solve_operating
    from humdinger.analysis.smallsignal import small_signal

    netlist = netlist_of(SPEC)
    hertz = [20.0 * 1000 ** (i / 30) for i in range(31)]
    first: tuple[float, float] | None = None
    for count in (1, 2, 3):
        bigger = copies(netlist, count)
        condition = conditions(bigger)[0]
        dc = best(lambda bigger=bigger, condition=condition: solve_operating(bigger, condition), 10)
        point = solve_operating(bigger, condition)
        ac = best(
            lambda bigger=bigger, point=point: small_signal(bigger, point).transfer(bigger.input_net, (bigger.output_net,), hertz), 10
        )
        first = first or (dc, ac)
        print(
            f"x{count}: {len(bigger.parts):3} parts   DC {1e3 * dc:6.2f} ms ({dc / first[0]:.2f} x)   AC {1e3 * ac:6.2f} ms ({ac / first[1]:.2f} x)"
        )


if __name__ == "__main__":
    against_ngspice()
    whole_check()
    against_size()
