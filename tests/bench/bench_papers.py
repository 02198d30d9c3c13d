"""Papers for classes of 100, 1,000 and 10,000 invented learners: seconds and memory.

Run by hand from the top of the project: nice python -m tests.bench.bench_papers [--written WHAT] [--blueprint NAME] [--learners N ...] [--units SI] [--workers N]
Prints a table; nothing here gates anything.  Each class is dealt in a process of its own, so that every line holds everything: the
imports, the bank, the dealing of all questions with their answers and solutions, the lots, the codes and the signed manifest.  What is written:

manifest   the manifest alone: nothing is printed or drawn
text       every file: forms, class file, key with worked solutions, answer sheet, cards; nothing is drawn, and charts are left out
keys       the same with the charts that a form cannot do without: those to read from and those to draw on
charts     the same with a chart too beside each solution that has one

seconds    on the clock; other work on the machine counts
processor  seconds of this process and its helpers, so that other work does not count
each       milliseconds of the processor for each form, without what a class of one learner takes
memory     the most that the process held at once, MB
written    all files together, MB
spread     by how much the expected difficulties of the class's forms differ
"""

from __future__ import annotations

import argparse
import json
import os
import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path

COLUMNS = ("learners", "seconds", "processor", "each", "memory", "variants", "spread", "written")


class _NoCharts:
    """In place of what draws the charts."""

    def __init__(self, *, charts: bool) -> None:
        pass

    def asked(self, *about: object) -> str:
        return ""

    blank = drawn = solution = asked


def one_class(name: str, count: int, system: str, workers: int | None, written: str) -> dict[str, float]:
    """Deal one class in this process, and what it took since the process began."""
    from hpteach.assessment.blueprint import read_blueprint
    from hpteach.assessment.forms import iter_forms
    from hpteach.assessment.manifest import write_manifest
    from hpteach.assessment.roster import Learner
    from hpteach.assessment.secret import Secret
    from hpteach.assessment.variant_store import VariantStore
    from hpteach.papers import paper_files, write_papers
    from hpteach.questions import read_bank

    bank = read_bank()
    blueprint, secret, store = read_blueprint(name), Secret(bytes(range(16))), VariantStore(bank)
    learners = [Learner(f"L{number}", units="IP" if system == "both" and number % 2 else system.replace("both", "SI")) for number in range(count)]
    low, high = 1.0, 0.0
    answers = set()

    def measured():
        nonlocal low, high
        for form in iter_forms(learners, blueprint, bank, secret, store=store, workers=workers):
            low, high = min(low, form.difficulty), max(high, form.difficulty)
            answers.update((one.question, one.seed, one.system) for one in form.questions)
            yield form

    with tempfile.TemporaryDirectory() as folder:
        if written == "manifest":
            write_manifest(Path(folder) / "papers.json", measured(), blueprint, bank, secret)
        else:
            if written == "text":
                paper_files.ChartsOnPaper = _NoCharts
            write_papers(measured(), blueprint, bank, secret, folder, store=store, charts=written == "charts")
        megabytes = sum(path.stat().st_size for path in Path(folder).rglob("*") if path.is_file()) / 1e6
    used = [resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)]
    return {
        "processor": sum(one.ru_utime + one.ru_stime for one in used),
        "memory": used[0].ru_maxrss / 1024.0,
        "variants": len(answers),
        "spread": high - low,
        "written": megabytes,
    }


def main() -> None:
    """Run each class in a process of its own and print the table."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--blueprint", default="end-of-course")
    parser.add_argument("--learners", type=int, nargs="+", default=[1, 100, 1000, 10_000])
    parser.add_argument("--units", choices=("SI", "IP", "both"), default="SI")
    parser.add_argument("--workers", type=int, default=None)
    parser.add_argument("--written", choices=("manifest", "text", "keys", "charts"), default="keys")
    parser.add_argument("--here", action="store_true", help="one class in this process, as JSON")
    given = parser.parse_args()
    if given.here:
        print(json.dumps(one_class(given.blueprint, given.learners[0], given.units, given.workers, given.written)))
        return
    print(f"{given.blueprint}, {given.units}, {given.written}, {os.cpu_count()} processors, load {os.getloadavg()[0]:.1f}")
    print("  ".join(f"{name:>9}" for name in COLUMNS))
    first = 0.0
    for count in given.learners:
        arguments = ["--here", "--blueprint", given.blueprint, "--learners", str(count), "--units", given.units, "--written", given.written]
        arguments += ["--workers", str(given.workers)] if given.workers else []
        begin = time.perf_counter()
        done = subprocess.run([sys.executable, "-m", "tests.bench.bench_papers", *arguments], check=True, capture_output=True, text=True)
        found = json.loads(done.stdout) | {"learners": count, "seconds": time.perf_counter() - begin}
        first = first or found["processor"]
        found["each"] = 1e3 * (found["processor"] - first) / count
        shown = {"learners": "9d", "variants": "9d", "memory": "9.0f", "written": "9.1f", "spread": "9.4f", "each": "9.2f"}
        print("  ".join(format(found[name], shown.get(name, "9.1f")) for name in COLUMNS), flush=True)


if __name__ == "__main__":
    main()
