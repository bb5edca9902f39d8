"""Touchstone files in and out: known antennas, planes, ranges of frequencies, and what is refused."""
import json
import math
import os
import unittest

from program import WIRE, ProgramTest

LINE = """
[[feed.parts]]
kind = "line"
type = "RG-58"
length = "10 m"
"""

KNOWN = """
title = "Measured at the boathouse"
[antenna]
touchstone = "loop.s1p"
[feed]
power = "100 W"
"""

TWO_PORTS = WIRE.replace('[port]\nwire = "wire"\nposition = 0.5\n', """
[[wires]]
name = "other"
path = [["-half", "4 m", "10 m"], ["half", "4 m", "10 m"]]
diameter = "2 mm"
[[ports]]
name = "near"
wire = "wire"
position = 0.5
[[ports]]
name = "far"
wire = "other"
position = 0.5
""")


def whip(megahertz):
    """40 ohm, 5 uH and 25 pF in series: resonant at 14.24 MHz."""
    w = 2e6 * math.pi * megahertz
    return complex(40.0, w * 5e-6 - 1.0 / (w * 25e-12))


def s1p(frequencies, impedance=whip):
    rows = [(f, (impedance(f) - 50) / (impedance(f) + 50)) for f in frequencies]
    return "! by hand\n# MHz S RI R 50\n" + "".join(f"{f!r} {s.real!r} {s.imag!r}\n" for f, s in rows)


def rows_of(text):
    """[[numbers]] of a version 1 file."""
    kept = [line for line in text.split("\n") if line and line[0] not in "!#"]
    return [[float(word) for word in line.split()] for line in kept]


def impedance_of(row, reference=50.0):
    s = complex(row[1], row[2])
    return reference * (1 + s) / (1 - s)


class WrittenFilesTest(ProgramTest):
    def setUp(self):
        super().setUp()
        self.write("wire.toml", WIRE)
        self.write("fed.toml", WIRE + LINE)

    def results(self, *arguments):
        return json.loads(self.succeed(*arguments, "--format", "json"))["results"]

    def test_both_planes_hold_what_json_says(self):
        for file, plane, key in (("wire.toml", None, "port"), ("fed.toml", None, "radio"), ("fed.toml", "radio", "radio"),
                                 ("fed.toml", "port", "port"), ("wire.toml", "radio", "radio")):
            with self.subTest(file=file, plane=plane):
                frequency = ("--frequency", "14MHz..14.4MHz/5,7MHz")
                options = ["--plane", plane] if plane else []
                text = self.succeed("solve", file, *frequency, "--format", "touchstone", *options)
                self.assertIn("# MHz S RI R 50\n", text)
                rows = rows_of(text)
                self.assertEqual([row[0] for row in rows], sorted(row[0] for row in rows))
                wanted = {r["frequency_hz"]: r["radio"] if key == "radio" else r["ports"][0]
                          for r in self.results("solve", file, *frequency)}
                self.assertEqual(len(rows), len(wanted))
                for row in rows:
                    at = min(wanted, key=lambda f: abs(f - row[0] * 1e6))
                    self.assertLess(abs(at - row[0] * 1e6), 1.0)
                    z = complex(wanted[at]["resistance_ohm"], wanted[at]["reactance_ohm"])
                    self.assertLess(abs(impedance_of(row) - z), 1e-9 * abs(z))  # rounding: SWR of some tens costs two digits

    def test_a_written_file_is_a_known_antenna(self):
        """The antenna replaced by its own file: the same impedance and watts at the radio."""
        out = self.succeed("solve", "fed.toml", "--frequency", "14MHz..14.4MHz/9", "--format", "touchstone", "--plane", "port",
                           "--output", "loop.s1p")
        self.assertEqual(out, "")
        self.write("known.toml", KNOWN + LINE)
        for frequency, close in (("14.1MHz", 1e-9), ("14.13MHz", 1e-5)):  # a row, and between rows
            with self.subTest(frequency):
                known, = self.results("solve", "known.toml", "--frequency", frequency)
                whole, = self.results("solve", "fed.toml", "--frequency", frequency)
                for key in ("resistance_ohm", "reactance_ohm"):
                    self.assertLess(abs(known["radio"][key] - whole["radio"][key]), close * 100)
                power = known["power_w"]
                for key in ("line_matched", "line_extra"):
                    self.assertLess(abs(power[key] - whole["power_w"][key]), close * 100)
                self.assertEqual([power[key] for key in ("coils", "wires", "ground", "sky")], [None] * 4)
                total = sum(value for key, value in power.items() if key != "radio" and value is not None)
                self.assertLess(abs(total - power["radio"]), 1e-9 * power["radio"])
                self.assertIsNone(known["gain_dbi"])
                self.assertEqual(known["unknowns"], 0)

    def test_two_ports_are_an_s2p(self):
        self.write("two.toml", TWO_PORTS)
        text = self.succeed("solve", "two.toml", "--frequency", "14.2MHz", "--format", "touchstone")
        (row,) = rows_of(text)
        self.assertEqual(len(row), 9)
        s = [complex(row[i], row[i + 1]) for i in (1, 3, 5, 7)]  # 11, 21, 12, 22
        # S = (Z/50 - 1)(Z/50 + 1)^-1, here for a symmetric pair: even and odd parts.
        ((z11, z12), _), = [r["z_matrix_ohm"] for r in self.results("solve", "two.toml", "--frequency", "14.2MHz")]
        even, odd = ((complex(*z11) + sign * complex(*z12)) / 50 for sign in (1, -1))
        even, odd = (even - 1) / (even + 1), (odd - 1) / (odd + 1)
        for found, wanted in zip(s, ((even + odd) / 2, (even - odd) / 2, (even - odd) / 2, (even + odd) / 2)):
            self.assertLess(abs(found - wanted), 1e-6)  # the pair is symmetric to the solver's precision
        self.refuse("solve", "two.toml", "--frequency", "14.2MHz", "--format", "touchstone", "--output", "two.s1p", says=".s2p")
        one = self.succeed("solve", "two.toml", "--frequency", "14.2MHz", "--format", "touchstone", "--plane", "radio")
        self.assertEqual(len(rows_of(one)[0]), 3)

    def test_three_ports_have_no_file(self):
        third = '[[ports]]\nname = "third"\nwire = "other"\nposition = 0.2\n'
        self.write("three.toml", TWO_PORTS.replace("[feed]", third + "[feed]"))
        self.refuse("solve", "three.toml", "--frequency", "14.2MHz", "--format", "touchstone", says=["--plane", "3", "radio"])

    def test_ranges(self):
        frequencies = [r["frequency_hz"] for r in self.results("solve", "wire.toml", "--frequency", "7MHz..7.3MHz/4,max(9,10)*1MHz")]
        for found, wanted in zip(frequencies, (7e6, 7.1e6, 7.2e6, 7.3e6, 10e6), strict=True):
            self.assertLess(abs(found - wanted), 1e-3)
        self.assertEqual(frequencies[3], 7.3e6)
        self.assertIn("7.2 MHz", self.succeed("check", "wire.toml", "--frequency", "7MHz..7.2MHz/2"))

    def test_wrong_words(self):
        touchstone = ("--format", "touchstone")
        wrong = {
            "plane without touchstone": (["--plane", "port"], ["--plane", "--format touchstone"]),
            "plane with json": (["--plane", "port", "--format", "json"], ["--plane", "--format touchstone"]),
            "unknown plane": (["--plane", "rdio", *touchstone], ["--plane", "did you mean 'radio'"]),
            "a file of three ports": ([*touchstone, "--output", "x.s3p"], ["x.s3p", "one- and two-ports"]),
            "a file of two ports": ([*touchstone, "--output", "x.s2p"], ["x.s2p", ".s1p"]),
        }
        for what, (options, says) in wrong.items():
            with self.subTest(what):
                self.refuse("solve", "wire.toml", "--frequency", "7MHz", *options, says=says)
        ranges = {
            "7MHz..8MHz": "number of points",
            "7MHz/3..8MHz": "number of points",
            "7MHz..8MHz/": "points",
            "7MHz..8MHz/1": "from 2",
            "7MHz..8MHz/1e9": "points",
            "7MHz..8MHz/99999999": "20000",
            "8MHz..7MHz/3": "must rise",
            "7MHz..7MHz/3": "must rise",
            "7..8MHz/3": "MHz",
            "..8MHz/3": "7MHz..7.3MHz/31",
            "7MHz../3": "7MHz..7.3MHz/31",
            "7MHz...8MHz/3": "--frequency",
            "0MHz..8MHz/3": "above 0",
            "1MHz..2MHz/20000,3MHz": "20000",
        }
        for text, says in ranges.items():
            with self.subTest(text):
                self.refuse("solve", "wire.toml", "--frequency", text, says=["--frequency", says])
        for text in ("7MHz,7MHz", "7MHz..8MHz/3,7.5MHz"):
            with self.subTest(text):
                self.refuse("solve", "wire.toml", "--frequency", text, *touchstone, says=["--frequency", "twice"])


class KnownAntennaTest(ProgramTest):
    def setUp(self):
        super().setUp()
        self.write("known.toml", KNOWN)
        self.write("loop.s1p", s1p([5 + 0.1 * i for i in range(171)]))

    def test_solve(self):
        text = self.succeed("solve", "known.toml", "--frequency", "14.2MHz")
        self.assertIn("antenna (as given)", text)
        self.assertIn("Antenna as measured: file loop.s1p, 5.0 MHz to 22.0 MHz", text)
        self.assertIn("exposure is not computed", text)
        self.assertNotIn("nothing is radiated", text)
        for unknown in ("sky", "Own error", "Soil"):
            self.assertNotIn(unknown, text)
        result, = json.loads(self.succeed("solve", "known.toml", "--frequency", "14.23MHz", "--format", "json"))["results"]
        z = complex(result["ports"][0]["resistance_ohm"], result["ports"][0]["reactance_ohm"])
        self.assertLess(abs(z - whip(14.23)), 1e-2)  # between rows 0.1 MHz apart
        self.refuse("solve", "known.toml", "--frequency", "3.5MHz", says=["loop.s1p", "from 5 to 22 MHz"])

    def test_bands(self):
        status, text, err = self.run_program("bands", "known.toml")
        self.assertEqual(status, 0, err)
        for line in text.split("\n"):
            self.assertLessEqual(len(line), 80, line)
        for part in ("Antenna as measured", "20m", "14.235 MHz (1.25)", "160m, 80m, 12m, 10m, 6m, 2m left out",
                     "given by its impedance only", "exposure is not computed"):
            self.assertIn(part, text)
        self.assertNotIn("\n80m", text)
        bands = json.loads(self.succeed("bands", "known.toml", "--format", "json"))
        self.assertEqual([band["band"] for band in bands["bands"]], ["60m", "40m", "30m", "20m", "17m", "15m"])
        self.assertIn("antenna-table", [warning["code"] for warning in bands["warnings"]])
        self.assertEqual(self.succeed("bands", "known.toml", "--format", "csv").count("\n"), 7)
        self.refuse("bands", "known.toml", "--bands", "80m", says=["5 to 22 MHz", "edge to edge"])

    def test_check(self):
        text = self.succeed("check", "known.toml")
        self.assertIn("A known antenna in place of wires", text)
        self.assertIn("The model is valid.", text)
        self.assertIn("not known at 3.5 MHz", self.succeed("check", "known.toml", "--frequency", "3.5MHz"))
        json.loads(self.succeed("check", "known.toml", "--format", "json"))

    def test_the_file_lies_beside_the_model(self):
        os.mkdir(os.path.join(self.folder, "rig"))
        self.write("rig/mine.toml", KNOWN.replace("loop", "own"))
        self.write("rig/own.s1p", s1p([7.0, 7.1]))
        self.assertIn("7.0 MHz to 7.1 MHz", self.succeed("check", "rig/mine.toml"))
        self.refuse("check", "rig/mine.toml", "--set", "antenna.touchstone=loop.s1p", says="loop.s1p")
        self.assertIn("5.0 MHz", self.succeed("check", "rig/mine.toml", "--set", "antenna.touchstone=../loop.s1p"))

    def test_an_impedance_in_place_of_a_file(self):
        self.write("short.toml", KNOWN.replace('touchstone = "loop.s1p"', 'impedance = ["13.6 ohm", "-1000 ohm"]') + LINE)
        text = self.succeed("bands", "short.toml")
        self.assertIn("Antenna as given: 13.6 - j1000 ohm at every frequency.", text)
        self.assertIn("\n160m", text)

    def test_bad_files_name_their_line(self):
        good = s1p([5.0, 6.0, 7.0])
        lines = good.split("\n")
        bad = {
            "empty": ("", ["loop.s1p:1", "empty"]),
            "truncated": ("\n".join(lines[:4])[:-30], ["loop.s1p:4", "expected 3 values"]),
            "too many values": (good.replace(lines[3], lines[3] + " 1"), ["loop.s1p:4", "found 4"]),
            "NaN": (good.replace(lines[3].split()[1], "nan"), ["loop.s1p:4", "finite"]),
            "descending": (good.replace("6.0 ", "4.0 "), ["loop.s1p:4", "above 5 MHz"]),
            "unknown unit": (good.replace("MHz", "THz"), ["loop.s1p:2", "THz"]),
            "binary": (good.replace("6.0 ", "\x00\x01"), ["loop.s1p:4", "plain text"]),
            "makes power": (good.replace(lines[3], "6.0 0.8 0.8"), ["loop.s1p", "makes power", "6 MHz"]),
            "version 2 without end": ("[Version] 2.0\n# MHz S RI\n[Number of Ports] 1\n[Number of Frequencies] 1\n[Network Data]\n7 0 0\n",
                                      ["loop.s1p:6", "[End]"]),
        }
        for what, (text, says) in bad.items():
            with self.subTest(what):
                self.write("loop.s1p", text)
                self.refuse("bands", "known.toml", says=says)

    def test_bad_models(self):
        wrong = {
            "no such file": (KNOWN.replace("loop", "pool"), ["known.toml:4", "antenna.touchstone", "pool.s1p", "cannot be opened"]),
            "a two-port": (KNOWN.replace("s1p", "s2p"), ["known.toml:4", "one-port"]),
            "three ports": (KNOWN.replace("s1p", "s3p"), ["known.toml:4", "one- and two-ports"]),
            "a folder": (KNOWN.replace("loop.s1p", "."), ["known.toml:4", "folder"]),
            "no name": (KNOWN.replace("loop.s1p", ""), ["known.toml:4", "name of a Touchstone file"]),
            "neither": (KNOWN.replace('touchstone = "loop.s1p"', ""), ["known.toml:3", "impedance"]),
            "both": (KNOWN.replace("[feed]", 'impedance = ["1 ohm", "1 ohm"]\n[feed]'), ["known.toml:4", "not both"]),
            "wires as well": (WIRE + KNOWN.replace('title = "Measured at the boathouse"', "").replace('[feed]\npower = "100 W"\n', ""),
                              ["known.toml:11", "in place of wires"]),
            "one number": (KNOWN.replace('touchstone = "loop.s1p"', 'impedance = "50 ohm"'), ["known.toml:4", "resistance and reactance"]),
            "no resistance": (KNOWN.replace('touchstone = "loop.s1p"', 'impedance = ["0 ohm", "5 ohm"]'), ["known.toml:4", "above"]),
            "unknown key": (KNOWN.replace("touchstone", "touchston"), ["known.toml:4", "did you mean 'touchstone'"]),
        }
        for what, (text, says) in wrong.items():
            with self.subTest(what):
                self.write("known.toml", text)
                self.refuse("solve", "known.toml", "--frequency", "7MHz", says=says)


if __name__ == "__main__":
    unittest.main()
