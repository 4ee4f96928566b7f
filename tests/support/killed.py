"""Kills processes that publish, at random moments, and looks at what they leave. Run as a program, so that it may fork.

    python killed.py compile FOLDER COUNT SEED      whole compiles of a spec that changes
    python killed.py publish FOLDER COUNT SEED      only the writing and the exchange, thousands of times
    python killed.py renames FOLDER COUNT SEED      the same where the kernel knows no exchange

Prints what it saw as JSON; an assertion that fails is the exit code.
"""

from __future__ import annotations

import contextlib
import io
import json
import os
import random
import signal
import sys
import time
from collections import Counter
from collections.abc import Callable
from importlib import import_module
from pathlib import Path
from typing import Any

MARKER = ".humdinger"
MORE = """\
  - {stage: common-cathode, id: extra, tube: V3a, supply: B3, plate_load: 100k 1W, cathode_resistor: 1k5, coupling: 22n 630V}
  - {stage: volume, id: trim, pot: 1M audio, control: TRIM}
"""


def contents(folder: Path) -> dict[str, bytes]:
    """Every file below a folder; nothing when there is no such folder."""
    return {str(p.relative_to(folder)): p.read_bytes() for p in folder.rglob("*") if p.is_file()}


def killed(job: Callable[[], int], after: float) -> bool:
    """Runs the job in a process of its own and kills it after so many seconds. False when it was done before."""
    child = os.fork()
    if not child:
        with open(os.devnull, "w") as nowhere, contextlib.redirect_stdout(nowhere), contextlib.redirect_stderr(nowhere):
            os._exit(job())
    time.sleep(after)
    os.kill(child, signal.SIGKILL)
    _, status = os.waitpid(child, 0)
    return os.WIFSIGNALED(status)


def whole(job: Callable[[], int]) -> float:
    """Runs it to its end, which must be a good one; how long it took."""
    start = time.perf_counter()
    child = os.fork()
    if not child:
        with contextlib.redirect_stdout(io.StringIO()) as said:
            code = job()
        if code:
            print(said.getvalue(), file=sys.stderr, flush=True)
        os._exit(code)
    _, status = os.waitpid(child, 0)
    assert os.waitstatus_to_exitcode(status) == 0
    return time.perf_counter() - start


def compiles(folder: Path, count: int, seed: int) -> dict[str, int]:
    """Kills compiles of a spec that has a stage more each second time."""
    from humdinger import cli
    from humdinger.batch import _load

    _load()
    root = Path(__file__).resolve().parents[2]
    short = (root / "tests" / "corpus" / "base" / "smallest.amp.yaml").read_text()
    at = short.index("  - stage: common-cathode\n    id: driver")
    long = (short[:at] + MORE + short[at:]).replace("V2: EL84", "V2: EL84, V3: 12AX7")
    spec, out, lock = folder / "amp.amp.yaml", folder / "amp-manual", folder / "amp.lock.yaml"

    def job() -> int:
        return cli.main(["compile", str(spec), "-o", str(out), "--cache", str(folder / "cache")])

    made: dict[str, dict[str, bytes]] = {}
    locks = []
    for text in (short, long, short, long):
        spec.write_text(text)
        took = whole(job)
        assert made.setdefault(text, contents(out)) == contents(out)
        locks.append(lock.read_bytes())
    assert made[short] != made[long]
    assert locks[1] == locks[3] != locks[0]
    pick = random.Random(seed)
    seen: Counter[str] = Counter()
    for number in range(count):
        text = (short, long)[number % 2]
        spec.write_text(text)
        # every second moment late, where the folder is written and exchanged
        seen["killed"] += killed(job, pick.uniform(0.8 if pick.random() < 0.5 else 0.0, 1.05) * took)
        found = contents(out)
        assert found in made.values(), f"moment {number}: neither the old manual nor the new one"
        seen["new" if found == made[text] else "old"] += 1
        assert lock.read_bytes() in locks, f"moment {number}: neither the old lock file nor the new one"
        seen["left something beside"] += len(list(folder.iterdir())) > 4
        took = whole(job)
        assert contents(out) == made[text]
        assert {p.name for p in folder.iterdir()} == {spec.name, out.name, lock.name, "cache"}, list(folder.iterdir())
    return seen


def publishes(folder: Path, count: int, seed: int, *, exchange: bool) -> dict[str, int]:
    """Kills the writing and the exchange alone."""
    module: Any = import_module("humdinger.site.publish")
    if not exchange:
        module._exchange = lambda a, b: False
    out = folder / "amp"
    versions = [{f"{i}.html": bytes([v]) * 3000 for i in range(v, v + 12)} | {"data/x.json": bytes([v])} for v in (1, 2)]
    notes = {"mine.txt": b"mine"}

    def job(v: int) -> Callable[[], int]:
        def run() -> int:
            module.publish(versions[v], out)
            return 0

        return run

    took = whole(job(0))
    (out / "mine.txt").write_bytes(b"mine")
    pick = random.Random(seed)
    seen: Counter[str] = Counter()
    for number in range(count):
        seen["killed"] += killed(job(number % 2), pick.uniform(0.0, 1.05 * took))
        found = contents(out)
        found.pop(MARKER, None)
        if not exchange and not out.exists():
            seen["between the renames"] += 1
        else:
            assert found in [v | notes for v in versions], f"moment {number}"
            seen["new" if found == versions[number % 2] | notes else "old"] += 1
        if pick.random() < 0.3:
            took = whole(job(1 - number % 2))
            assert {k: v for k, v in contents(out).items() if k != MARKER} == versions[1 - number % 2] | notes
            assert {p.name for p in folder.iterdir()} == {"amp"}
    return seen


if __name__ == "__main__":
    what, place, many, first = sys.argv[1:]
    here = Path(place)
    if what == "compile":
        print(json.dumps(compiles(here, int(many), int(first))))
    else:
        print(json.dumps(publishes(here, int(many), int(first), exchange=what == "publish")))
