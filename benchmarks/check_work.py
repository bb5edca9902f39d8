#!/usr/bin/env python3
"""Compares the counted work of a fixed list of cases with the stored one, benchmarks/work.json.

Counted work (kernel samples, systems and unknowns solved, ground-table entries) does not depend on the machine, so
unlike a time it can be judged anywhere. More than a tenth more of anything fails; more than a tenth less says so and
asks to store the new counts. Counts must also be the same on one thread and on two.

    python3 benchmarks/check_work.py BUILD_FOLDER            compares, exit status 1 for a rise
    python3 benchmarks/check_work.py BUILD_FOLDER --store    writes the counts of this build
"""

import argparse
import json
import pathlib
import subprocess
import sys

STORED = pathlib.Path(__file__).with_name("work.json")
TOLERATED = 0.10


def count(build, threads):
    program = pathlib.Path(build) / "benchmarks" / "count_work"
    return json.loads(subprocess.run([program, str(threads)], check=True, capture_output=True, text=True).stdout)


def compare(stored, now):
    """Lines about what rose too much, and about what fell."""
    rises, falls = [], []
    for case in sorted(set(stored) | set(now)):
        if case not in stored or case not in now:
            rises.append(f"{case}: only in the {'new' if case in now else 'stored'} counts; store them anew")
            continue
        for what in sorted(set(stored[case]) | set(now[case])):
            before, after = stored[case].get(what, 0), now[case].get(what, 0)
            line = f"{case}: {what} {before} -> {after}"
            if after > before * (1 + TOLERATED):
                rises.append(line)
            elif after < before * (1 - TOLERATED):
                falls.append(line)
    return rises, falls


def main():
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("build", help="a build folder, with the target `benchmarks` built")
    parser.add_argument("--store", action="store_true", help="write the counts of this build")
    arguments = parser.parse_args()

    now = count(arguments.build, 1)
    if count(arguments.build, 2) != now:
        sys.exit("counted work differs between one thread and two")
    if arguments.store:
        lines = [f"  {json.dumps(case)}: {json.dumps(work)}" for case, work in now.items()]
        STORED.write_text("{\n" + ",\n".join(lines) + "\n}\n")
        print(f"stored the counted work of {len(now)} cases in {STORED.name}")
        return
    rises, falls = compare(json.loads(STORED.read_text()), now)
    for line in falls:
        print("less work:", line)
    if falls:
        print("store it: python3 benchmarks/check_work.py BUILD_FOLDER --store")
    for line in rises:
        print("MORE WORK:", line)
    if rises:
        sys.exit(f"{len(rises)} counts rose by more than {TOLERATED:.0%}")
    print(f"counted work of {len(now)} cases: no count rose by more than {TOLERATED:.0%}")


if __name__ == "__main__":
    main()
