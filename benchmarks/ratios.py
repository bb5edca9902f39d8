#!/usr/bin/env python3
"""Prints what matters of the benchmarks as ratios, each against a floor or a partner measured in the same run.

    python3 benchmarks/ratios.py BUILD_FOLDER            everything, some minutes
    python3 benchmarks/ratios.py BUILD_FOLDER --quick    small sizes, well under a minute

Single times mean little on a shared machine; both sides of a ratio see the same machine. docs/performance.md says
what each floor is and what the targets are.
"""

import argparse
import json
import math
import pathlib
import subprocess
import sys
import tempfile

SIZES = (3, 6, 12, 24, 48, 96, 144)  # dipoles of a bed, 20 to 30 unknowns each


def run(build, program, pattern):
    """Benchmarks of a program, in a process of their own, by name without trailing options."""
    path = pathlib.Path(build) / "benchmarks" / f"bench_{program}"
    with tempfile.NamedTemporaryFile(suffix=".json") as out:
        done = subprocess.run([path, f"--benchmark_filter={pattern}", f"--benchmark_out={out.name}"],
                              capture_output=True, text=True)
        if done.returncode != 0:
            sys.exit(f"{path} failed with status {done.returncode}:\n{done.stderr}")
        results = json.loads(pathlib.Path(out.name).read_text())["benchmarks"]
    return {r["name"].split("/iterations")[0]: r for r in results}


def slope(points):
    """Of a straight line through (log x, log y), by least squares."""
    xs, ys = [math.log(x) for x, _ in points], [math.log(y) for _, y in points]
    mean_x, mean_y = sum(xs) / len(xs), sum(ys) / len(ys)
    return sum((x - mean_x) * (y - mean_y) for x, y in zip(xs, ys)) / sum((x - mean_x) ** 2 for x in xs)


def sizes_pattern(name, sizes):
    return f"^{name}/({'|'.join(str(s) for s in sizes)})/"


def factorisation(build, large):
    print("\nLU of a random complex matrix, one thread: Eigen / LAPACK")
    results = run(build, "lu", "^factor/" if large else "^factor/[a-z]*/[0-9]*$")
    for name, result in results.items():
        if "/eigen/" not in name:
            continue
        partner = results[name.replace("/eigen/", "/lapack/")]
        print(f"  {name.rsplit('/', 1)[1]:>5} unknowns  {result['cpu_time']:10.1f} us {partner['cpu_time']:10.1f} us"
              f"   ratio {result['cpu_time'] / partner['cpu_time']:6.2f}")


def full_solve(build, sizes):
    print("\nFull solve, free space / (LU by LAPACK + samples x one vectorised exp(-jkR)/R)")
    results = run(build, "full_solve", sizes_pattern("full_solve", sizes))
    for r in results.values():
        print(f"  {r['unknowns']:5.0f} unknowns {r['samples']:11.0f} samples {1e3 * r['solve_s']:9.2f} ms"
              f"  (LU {1e3 * r['lu_s']:8.2f} ms, {1e9 * r['sample_s']:.2f} ns)   ratio {r['ratio']:6.2f}")


def over_soil(build, sizes):
    print("\nReal ground / free space, same structure")
    results = run(build, "full_solve", sizes_pattern("over_soil", sizes))
    for r in results.values():
        more = 1e3 * (r["soil_s"] - r["free_s"])
        print(f"  {r['unknowns']:5.0f} unknowns {r['entries']:7.0f} entries {1e3 * r['free_s']:9.2f} ms"
              f"  (ground {more:8.2f} ms)   ratio {r['ratio']:6.2f}")


def scaling(build, sizes):
    print("\nOne solve in a process of its own")
    bare = run(build, "full_solve", "^solve_once/1/")["solve_once/1"]["peak_bytes"]
    rows = []
    for size in sizes:
        for r in run(build, "full_solve", f"^solve_once/{size}/").values():
            n, milliseconds, peak = r["unknowns"], r["real_time"], r["peak_bytes"] - bare
            rows.append((n, milliseconds, max(peak, 1)))
            print(f"  {n:5.0f} unknowns {milliseconds:10.2f} ms {peak / 1e6:9.1f} MB"
                  f" = {peak / (16 * n * n):5.1f} matrices")
    large = [row for row in rows if row[0] > 250]
    print(f"  slope of time {slope([row[:2] for row in rows]):.2f}, from 250 unknowns"
          f" {slope([row[:2] for row in large]):.2f}; of memory from 250 unknowns"
          f" {slope([(n, peak) for n, _, peak in large]):.2f}")


def many(build, count):
    print(f"\nSweep of {count} cases: one thread / two")
    results = run(build, "sweep", f"^cases/{count}/")
    one, two = (next(r for name, r in results.items() if f"/{count}/{k}" in name) for k in (1, 2))
    print(f"  wall {one['real_time']:9.1f} ms {two['real_time']:9.1f} ms"
          f"   ratio {one['real_time'] / two['real_time']:5.2f}")
    print(f"  processors' time {one['cpu_time']:9.1f} ms {two['cpu_time']:9.1f} ms: on two idle cores at most a ratio"
          f" of {2 * one['cpu_time'] / two['cpu_time']:.2f}")


def curve(build):
    print("\n1,001 points from 1.8 to 54 MHz / one solve on the same mesh, whip with 4 radials on the grass")
    results = run(build, "sweep", "^curve")
    for r in results.values():
        print(f"  {r['solves']:.0f} solves made, time of {r['ratio']:.1f} solves")


def stored(build, count):
    print(f"\nStudy of {count} cases, one thread: run and stored / solved")
    for r in run(build, "study", f"^stored_cases/{count}/").values():
        print(f"  {1e3 * r['case_s']:.2f} ms a case   ratio {r['ratio']:.3f}")


def radials(build, many_radials):
    print(f"\nOperating table over average soil: {many_radials} radials / 4 radials")
    few, lots = (run(build, "sweep", f"^table_of_radials/{n}/")[f"table_of_radials/{n}"] for n in (4, many_radials))
    for what, unit, scale in (("real_time", "ms", 1), ("peak_bytes", "MB", 1e-6)):
        print(f"  {scale * few[what]:9.1f} {unit} {scale * lots[what]:9.1f} {unit}"
              f"   ratio {lots[what] / few[what]:6.2f}")


def main():
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("build", help="a build folder, with the target `benchmarks` built")
    parser.add_argument("--quick", action="store_true", help="small sizes only")
    parser.add_argument("--radials", type=int, choices=(16, 120), help="how many to compare with 4")
    arguments = parser.parse_args()
    build, quick = arguments.build, arguments.quick
    factorisation(build, not quick)
    full_solve(build, SIZES[:5] if quick else SIZES)
    over_soil(build, SIZES[:4] if quick else SIZES[:5])
    scaling(build, SIZES[:5] if quick else SIZES)
    many(build, 40 if quick else 200)
    curve(build)
    stored(build, 100 if quick else 400)
    radials(build, arguments.radials or (16 if quick else 120))


if __name__ == "__main__":
    main()
