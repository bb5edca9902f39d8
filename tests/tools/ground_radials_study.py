"""Prints the tables of docs/ground.md: what stake and radials do, computed with the program.

    FELDSPAR=path/to/feldspar ground_radials_study.py
"""
import json
import os
import subprocess

PROGRAM = os.environ.get("FELDSPAR", "feldspar")
MHZ = (3.6, 7.1, 14.2, 28.5)
COUNTS = (0, 1, 2, 4, 8, 16, 32)


def solve(model, **parameters):
    """One result per frequency of MHZ."""
    command = [PROGRAM, "solve", model, "--format", "json", "--frequency", ",".join(f"{f}MHz" for f in MHZ)]
    for name, value in parameters.items():
        command += ["--set", f"{name}={value}"]
    return json.loads(subprocess.run(command, check=True, capture_output=True, text=True).stdout)["results"]


def impedance(result):
    z = result["ports"][0]
    return f"{z['resistance_ohm']:.1f} {'−' if z['reactance_ohm'] < 0 else '+'} j{abs(z['reactance_ohm']):.0f}"


def efficiency(result):
    percent = 100 * result["radiation_efficiency"]
    return f"{percent:.{2 if percent < 1 else 1 if percent < 10 else 0}f}"


def swr(result):
    return f"{result['swr_on_line']:.1f}" if result["swr_on_line"] < 99 else ">99"


def cells(result):
    return (f"{impedance(result)} | {swr(result)} | {efficiency(result)} | {result['gain_dbi']:.1f} | "
            f"{result['gain_elevation_deg']:.0f}°").replace("-", "−")


def count_tables():
    with_stake = {n: solve("whip-stake-radials", radial_count=n) for n in COUNTS}
    without = {n: solve("whip-stake-radials", radial_count=n, stake_length="0 m") for n in COUNTS if n > 0}
    for i, f in enumerate(MHZ):
        print(f"**{f} MHz**\n")
        print("| radials | stake: Z, Ω | SWR | efficiency, % | gain, dBi | at | no stake: Z, Ω | SWR | efficiency, % "
              "| gain, dBi | at |")
        print("|" + "---|" * 11)
        for n in COUNTS:
            bare = cells(without[n][i]) if n in without else " | " * 4
            print(f"| {n} | {cells(with_stake[n][i])} | {bare} |")
        print()


def height_table():
    print("| four radials, no stake | " + " | ".join(f"{f} MHz: Z, Ω; efficiency, %" for f in MHZ) + " |")
    print("|---|---|---|---|---|")
    rows = [(f"{h} above", "whip-stake-radials", {"radial_height": h})
            for h in ("0.3 m", "50 mm", "20 mm", "6 mm")]
    rows += [(f"{d} below", "whip-stake-buried-radials", {"radial_depth": d, "feed_height": "20 mm"})
             for d in ("6 mm", "20 mm", "50 mm", "0.3 m")]
    for name, model, parameters in rows:
        results = solve(model, radial_count=4, stake_length="0 m", **parameters)
        print(f"| {name} | " + " | ".join(f"{impedance(r)}; {efficiency(r)}" for r in results) + " |")


if __name__ == "__main__":
    count_tables()
    height_table()
