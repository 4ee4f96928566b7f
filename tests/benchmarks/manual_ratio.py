"""What a manual costs, as ratios measured in one run on one machine. Not a test: it prints, and somebody reads.

The yardstick is `sphinx-build -E` of the fixed text in `text/`: fifteen pages, each with a table of sixty rows, about what a manual is. A
compile is cold: nothing is kept from earlier ones. Run: .venv/bin/python tests/benchmarks/manual_ratio.py [--specs 100]
"""

from __future__ import annotations

import argparse
import random
import resource
import shutil
import subprocess
import sys
import time
from pathlib import Path

from ratios import ENVIRONMENT, FOLDER, ROOT, SPEC, interleaved, process

TEXT = Path(__file__).with_name("text")
HUMDINGER = (sys.executable, "-m", "humdinger.cli")
PEAK = "import resource, sys\nfrom humdinger.cli import main\ncode = main(sys.argv[1:])\n"
PEAK += "print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss)\nsys.exit(code)"


def against_sphinx() -> None:
    """Cold compile against the yardstick, and what the cache gives after a change of a comment."""
    out, kept = FOLDER / "manual", FOLDER / "kept"
    copy = FOLDER / "specs"
    shutil.copytree(ROOT / "specs_demo", copy, dirs_exist_ok=True)
    spec = copy / "curlew" / "curlew.amp.yaml"
    compile_ = (*HUMDINGER, "compile", str(spec), "-o", str(out))

    def commented() -> None:
        with open(spec, "a", encoding="utf-8") as text:
            text.write("# once more\n")
        process(*compile_, "--cache", str(kept))()

    jobs = [
        process(sys.executable, "-m", "sphinx", "-q", "-E", "-b", "html", str(TEXT), str(FOLDER / "sphinx")),
        process(*compile_, "--cache", "off"),
        commented,
        process(sys.executable, "-I", "-c", "pass"),
    ]
    sphinx, cold, warm, bare = interleaved(jobs, 5)
    ratio = f"ratio {cold / sphinx:.2f} (at most 2.0, aim 1.0)"
    print(f"compile curlew, cold {cold:.3f} s, bare Python {bare:.3f} s; sphinx-build -E of 15 pages {sphinx:.3f} s; {ratio}")
    print(f"after a change of a comment, with what the cache keeps {warm:.3f} s: {warm / cold:.2f} of a cold one")


def memory() -> None:
    """Peak memory of one compile."""
    line = [sys.executable, "-c", PEAK, "compile", str(SPEC), "-o", str(FOLDER / "manual"), "--cache", "off"]
    done = subprocess.run(line, capture_output=True, text=True, check=True, cwd=ROOT, env=ENVIRONMENT)
    print(f"peak memory of compile curlew {int(done.stdout.split()[-1]) / 1024:.0f} MB (at most 150)")


def catalogue(count: int) -> None:
    """So many generated specs in one process, in two, and how the cost grows."""
    folder = FOLDER / "catalogue"
    shutil.rmtree(folder, ignore_errors=True)
    shutil.copytree(ROOT / "specs_demo", folder)
    pick = random.Random(7)
    names = []
    for number in range(count):
        base = ("dunlin", "curlew", "heron")[number % 3]
        text = (folder / base / f"{base}.amp.yaml").read_text(encoding="utf-8")
        text = text.replace(f"name: {base.capitalize()}", f"name: {base.capitalize()} {number}")
        text = text.replace("22n 630V", pick.choice(("15n 630V", "22n 630V", "33n 630V")))
        spec = folder / base / f"amp{number:03}.amp.yaml"
        spec.write_text(text, encoding="utf-8")
        names.append(str(spec))
    found: dict[tuple[int, int], float] = {}
    spent: dict[tuple[int, int], float] = {}
    for many, workers in ((count // 4, 1), (count // 2, 1), (count, 1), (count, 2)):
        line = [*HUMDINGER, "compile", *names[:many], "-o", str(folder / "out"), "--cache", "off", "--jobs", str(workers)]
        start, before = time.perf_counter(), resource.getrusage(resource.RUSAGE_CHILDREN).ru_utime
        done = subprocess.run(line, capture_output=True, text=True, check=False, cwd=ROOT, env=ENVIRONMENT)
        found[many, workers] = time.perf_counter() - start
        spent[many, workers] = resource.getrusage(resource.RUSAGE_CHILDREN).ru_utime - before
        assert done.returncode == 0, done.stdout[-2000:] + done.stderr
        each = f"{found[many, workers]:6.2f} s, {1e3 * spent[many, workers] / many:.0f} ms of processor each"
        print(f"{many:3} specs, --jobs {workers}: {each}", flush=True)
    print(f"--jobs 2 against 1: {found[count, 1] / found[count, 2]:.2f} times as fast   (at least 1.7)")
    growth = spent[count, 1] / spent[count // 2, 1]
    print(f"twice the specs take {growth:.2f} times the processor   (linear is 2)")


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--specs", type=int, default=100, help="how many specs the catalogue has (default 100)")
    FOLDER.mkdir(exist_ok=True)
    against_sphinx()
    memory()
    catalogue(parser.parse_args().specs)
