"""feldspar report: the page's numbers against JSON, hostile files, still pictures, wrong input."""
import csv
import io
import json
import math
import os
import re
import unittest
import xml.etree.ElementTree

from program import WIRE, ProgramTest

HOSTILE = "</script><script>alert(1)</script>"

STUDY = f"""
title = "{HOSTILE}"
model = "wire.toml"
frequencies = "bands"
bands = "40m,20m"
keep = ["ports"]
[axes]
half = ["5 m", "7 m", "10 m"]
wires.wire.diameter = ["0.5 mm", "2 mm"]
"""


def data_of(page):
    return json.loads(re.search(r'id="data">(.*?)</script>', page, re.S).group(1))


def cells_of(page, section):
    part = re.search(rf'<section id="{section}">(.*?)</section>', page, re.S).group(1)
    return [re.findall(r"<t[hd][^>]*>(.*?)</t[hd]>", row) for row in re.findall(r"<tr>(.*?)</tr>", part, re.S)][1:]


class ReportTest(ProgramTest):
    def page(self, *arguments):
        [name] = self.succeed("report", *arguments).split()
        with open(os.path.join(self.folder, name), encoding="utf-8") as file:
            return file.read()

    def test_numbers_are_those_of_bands_in_json(self):
        page = self.page("whip-stake-radials", "--bands", "40m,20m,2m")
        self.assertLess(len(page), 2.5e6)
        bands = json.loads(self.succeed("bands", "whip-stake-radials", "--bands", "40m,20m,2m", "--format", "json"))["bands"]
        shown = data_of(page)["rigs"][0]["bands"]
        self.assertEqual([b["band"] for b in shown], [b["band"] for b in bands])
        for drawn, band in zip(shown, bands):
            self.assertEqual(drawn["swr_at_radio"], band["swr_at_radio"])
            self.assertAlmostEqual(drawn["power_percent"]["sky"], band["power_w"]["sky"], delta=1e-9)  # of 100 W
            self.assertAlmostEqual(sum(drawn["power_percent"].values()), 100.0, delta=1e-6)
            self.assertAlmostEqual(drawn["pattern"]["gain_dbi"], band["gain_dbi"], delta=1e-9)
            cut = drawn["pattern"]["elevation_cut"]
            self.assertLessEqual(max(g for g in cut["gain_dbi"] if g is not None), band["gain_dbi"] + 1e-4)
        # the table that people read, to the digits that it shows
        for row, band in zip(cells_of(page, "operating"), bands):
            self.assertEqual(row[0], band["band"])
            for text, value in ((row[9], band["impedance"]["resistance_ohm"]), (row[10], band["impedance"]["reactance_ohm"]),
                                (row[3], band["swr_at_radio"]["middle"])):
                decimals = len(text.partition(".")[2])
                unit = 10.0 ** -decimals if decimals or text[-1] != "0" else 10.0 ** (len(text) - len(text.rstrip("0")))
                self.assertAlmostEqual(float(text), value, delta=0.5001 * unit)

    def test_the_curve_passes_through_the_bands(self):
        rig = data_of(self.page("dipole"))["rigs"][0]
        curve = dict(zip(rig["curve"]["frequency_hz"], rig["curve"]["swr_at_radio"]))
        for band in rig["bands"]:
            for edge, frequency in (("lower", band["lower_hz"]), ("upper", band["upper_hz"])):
                self.assertAlmostEqual(curve[frequency] / band["swr_at_radio"][edge], 1.0, delta=1e-5)

    def test_comparison_and_soils(self):
        page = self.page("whip-stake-radials", "--versus", "radial_count=16", "--soil-band", "--bands", "20m",
                         "--output", "more.html")
        self.assertIn('id="changed"', page)
        first, second = data_of(page)["rigs"]
        self.assertGreater(second["bands"][0]["power_percent"]["sky"], first["bands"][0]["power_percent"]["sky"])
        for rig in (first, second):
            lowest, highest = (rig["ribbon"]["swr_at_radio"][key] for key in ("lowest", "highest"))
            for low, own, high in zip(lowest, rig["curve"]["swr_at_radio"], highest):
                if own is not None:
                    self.assertTrue(low <= own <= high)
            self.assertTrue(any(high > 1.05 * low for low, high in zip(lowest, highest) if low))

    def test_hostile_texts_stay_text(self):
        self.write("wire.toml", WIRE.replace("[ground]", f'title = "{HOSTILE}"\n[ground]', 1) if "title" not in WIRE
                   else re.sub(r'title = ".*?"', f'title = "{HOSTILE}"', WIRE))
        page = self.page("wire.toml", "--bands", "20m")
        self.assertEqual(page.count("<script"), 3)
        self.assertEqual(data_of(page)["rigs"][0]["title"], HOSTILE)

    def test_still_pictures(self):
        os.mkdir(os.path.join(self.folder, "plots"))
        files = self.succeed("report", "inverted-v", "--bands", "40m", "--svg", "plots").split()
        self.assertEqual(files[0], "inverted-v.html")
        self.assertEqual(len(files), 8)
        for name in files[1:]:
            root = xml.etree.ElementTree.parse(os.path.join(self.folder, name)).getroot()
            self.assertEqual(root.tag, "{http://www.w3.org/2000/svg}svg")
            self.assertGreater(len(list(root)), 5)

    def test_a_known_antenna_has_a_page_without_patterns(self):
        self.write("known.toml", '[antenna]\nimpedance = ["40 ohm", "-30 ohm"]\n')
        page = self.page("known.toml", "--bands", "40m")
        self.assertIsNone(data_of(page)["rigs"][0]["bands"][0]["pattern"])
        self.assertNotIn('id="drawing"', page)

    def sweep(self):
        self.write("wire.toml", WIRE)
        self.write("study.toml", STUDY)
        self.succeed("sweep", "study.toml", "--output", "study.h5")

    def test_a_sweep_has_the_numbers_of_its_file(self):
        self.sweep()
        page = self.page("study.h5")
        self.assertEqual(page.count("<script"), 3)
        sweep = data_of(page)["sweep"]
        self.assertEqual(sweep["title"], HOSTILE)
        self.assertEqual([axis["name"] for axis in sweep["axes"]], ["half", "wires.wire.diameter", "band"])
        self.assertEqual(sweep["axes"][2]["values"], ["40m", "20m"])
        rows = [row for row in csv.DictReader(io.StringIO(self.succeed("show", "study.h5", "--format", "csv")))
                if row.get("edge", "middle") == "middle"]
        values = sweep["quantities"][0]["values"]
        self.assertEqual(sweep["quantities"][0]["name"], "swr_at_radio")
        self.assertEqual(len(values), 3 * 2 * 2)
        self.assertEqual(len(rows), len(values))
        for row, value in zip(rows, values):
            self.assertAlmostEqual(float(row["swr_at_radio"]) / value, 1.0, delta=1e-4)  # five digits
        for cells, pair in zip(cells_of(page, "sweep"), zip(values[::2], values[1::2])):
            for text, value in zip(cells[2:], pair):
                self.assertEqual(text, f"{value:.3g}")
        [lowest] = [row for row in cells_of(page, "ranges") if row[0] == "SWR at the radio"]
        self.assertEqual((lowest[2], lowest[4]), (f"{min(values):.3g}", f"{max(values):.3g}"))
        best = sweep["axes"][0]["values"][values.index(min(values)) // 4]
        self.assertTrue(lowest[3].startswith(f"half {best:g} m"), lowest[3])
        for quantity in sweep["quantities"]:
            self.assertEqual(len(quantity["values"]), 12)
            self.assertTrue(all(value is None or math.isfinite(value) for value in quantity["values"]))

    def test_a_sweep_as_a_picture_and_what_it_refuses(self):
        self.sweep()
        files = self.succeed("report", "study.h5", "--svg", ".", "--output", "page.html").split()
        self.assertEqual([os.path.basename(name) for name in files], ["page.html", "sweep.svg"])
        root = xml.etree.ElementTree.parse(os.path.join(self.folder, "sweep.svg")).getroot()
        self.assertGreater(len(list(root)), 5)
        os.remove(os.path.join(self.folder, "page.html"))
        for option in (["--soil-band"], ["--versus", "half=4 m"], ["--set", "half=4 m"], ["--bands", "40m"],
                       ["--accuracy", "fine"]):
            self.refuse("report", "study.h5", *option, says=[option[0], "leave this out"])
        self.refuse("report", "study.h5", "wire.toml", says=["study.h5", "page of its own"])
        with open(os.path.join(self.folder, "other.h5"), "wb") as file:
            file.write(b"\x89HDF\r\n\x1a\n" + bytes(100))
        self.refuse("report", "other.h5", says=["other.h5"])
        self.assertEqual([f for f in os.listdir(self.folder) if f.endswith(".html")], [])

    def test_bands_of_several_rigs(self):
        text = self.succeed("bands", "dipole", "--versus", "height=5 m", "--bands", "40m,20m")
        self.assertTrue(all(len(line) <= 80 for line in text.splitlines()), text)
        self.assertRegex(text, r"height_m +8\.5 +5\n")
        self.assertNotIn("wire_length", text)  # the same in both
        changed = json.loads(self.succeed("bands", "dipole", "--set", "height=5 m", "--bands", "40m,20m", "--format", "json"))
        [first] = re.findall(r"^20m +1 .*\n +2 +(\S+) ", text, re.M)
        self.assertAlmostEqual(float(first), changed["bands"][1]["swr_at_radio"]["middle"], delta=0.006)
        same = self.succeed("bands", "dipole", "dipole", "--bands", "40m,20m")
        self.assertIn("The same in all digits shown: 40m, 20m.", same)
        self.assertNotIn("Settings that differ", same)
        self.assertIn("Caution:", same)
        self.assertIn("error", same)

    def test_bands_over_soils_hold_those_of_each_soil(self):
        text = self.succeed("bands", "inverted-v", "--soil-band", "--bands", "40m")
        [low, high] = re.search(r"^40m +\S+ +(\S+) to (\S+)", text.partition("Over other soils")[2], re.M).groups()
        values = [json.loads(self.succeed("bands", "inverted-v", "--bands", "40m", "--set", f"ground.soil={soil}", "--format",
                                          "json"))["bands"][0]["swr_at_radio"]["middle"]
                  for soil in ("dry sand", "poor", "average", "rich", "wet")]
        self.assertAlmostEqual(float(low), min(values), delta=0.006)
        self.assertAlmostEqual(float(high), max(values), delta=0.006)

    def test_bands_refuse_what_a_comparison_has_not(self):
        self.write("wire.toml", WIRE)
        for option in (["--format", "json"], ["--lying-heights"], ["--touch"], ["--explain"], ["--wide"]):
            self.refuse("bands", "dipole", "--versus", "height=5 m", *option, says=[option[0], "does not go with"])
            self.refuse("bands", "dipole", "--soil-band", *option, says=[option[0], "does not go with"])
        self.refuse("bands", "dipole", "inverted-v", "--soil-band", says=["--soil-band", "one rig"])
        self.refuse("bands", "wire.toml", "--soil-band", says=["--soil-band", "no soil"])
        self.refuse("bands", "dipole", "--versus", "hieght=5 m", says=["--versus", "height"])
        self.refuse("bands", *["dipole"] * 9, says=["at most 8", "9"])

    def test_wrong_input(self):
        self.write("wire.toml", WIRE)
        for what, (arguments, says) in {
                "no model": ([], ["model", "feldspar models"]),
                "misspelt model": (["dipol"], ["did you mean 'dipole'"]),
                "misspelt parameter": (["dipole", "--versus", "hieght=9 m"], ["--versus", "hieght", "height"]),
                "nothing to compare with": (["dipole", "--versus", "height"], ["height", "="]),
                "no soil": (["wire.toml", "--soil-band"], ["--soil-band", "no soil"]),
                "no folder": (["dipole", "--svg", "nowhere"], ["--svg", "no folder"]),
                "too many": (["dipole"] * 9, ["at most 8", "9"]),
                "page into no folder": (["dipole", "--output", "no/where.html"], ["no/where.html"])}.items():
            with self.subTest(what):
                self.refuse("report", *arguments, says=says)
                self.assertEqual([f for f in os.listdir(self.folder) if f.endswith(".html")], [])


if __name__ == "__main__":
    unittest.main()
