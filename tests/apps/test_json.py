"""JSON and CSV of the real program against the schemas of docs/schema/."""
import csv
import io
import json
import math
import os
import unittest

import jsonschema

from program import SOURCE, WIRE, ProgramTest


def schema(name):
    with open(os.path.join(SOURCE, "docs", "schema", f"{name}.schema.json"), encoding="utf-8") as file:
        loaded = json.load(file)
    jsonschema.Draft202012Validator.check_schema(loaded)
    return loaded


def undescribed(value, described, root, path="$"):
    """Keys of `value` that the schema does not know; the schema itself allows them, for later versions."""
    if "$ref" in described:
        described = root["$defs"][described["$ref"].rsplit("/", 1)[1]]
    if isinstance(value, dict) and "properties" in described:
        for key, inner in value.items():
            if key not in described["properties"]:
                yield f"{path}.{key}"
            else:
                yield from undescribed(inner, described["properties"][key], root, f"{path}.{key}")
    if isinstance(value, list) and "items" in described:
        for i, inner in enumerate(value):
            yield from undescribed(inner, described["items"], root, f"{path}[{i}]")


class JsonTest(ProgramTest):
    def setUp(self):
        super().setUp()
        self.write("wire.toml", WIRE)

    def load(self, text, name):
        document = json.loads(text, parse_constant=lambda word: self.fail(f"{word} is not JSON"))
        loaded = schema(name)
        jsonschema.validate(document, loaded, cls=jsonschema.Draft202012Validator)
        self.assertEqual(list(undescribed(document, loaded, loaded)), [])
        return document

    def test_solve_is_as_described(self):
        out = self.succeed("solve", "wire.toml", "--frequency", "14.2MHz,7.1 MHz", "--format", "json")
        document = self.load(out, "solve")
        self.assertEqual([r["frequency_hz"] for r in document["results"]], [14.2e6, 7.1e6])
        self.assertEqual(document["parameters"], {"half_m": 5.0})
        self.assertEqual(document["ground"]["kind"], "free space")
        for result in document["results"]:
            power = result["power_w"]
            self.assertAlmostEqual(sum(power.values()) - power["radio"], 100.0, delta=1e-6)
            self.assertGreater(result["gain_dbi"], 1.5)

    def test_solve_over_soil_and_through_a_feed(self):
        out = self.succeed("solve", "dipole", "--frequency", "14.1MHz", "--format", "json")
        document = self.load(out, "solve")
        self.assertIn("handbooks", document["ground"].pop("source"))
        self.assertEqual(document["ground"], {"permittivity": 13.0, "conductivity_s_per_m": 0.005, "kind": "real",
                                              "soil": "average"})
        power = document["results"][0]["power_w"]
        self.assertAlmostEqual(sum(power.values()) - power["radio"], power["radio"], delta=1e-6 * power["radio"])
        self.assertGreater(power["line_matched"], 0.0)

    def test_a_known_antenna_is_as_described(self):
        self.write("known.toml", '[antenna]\nimpedance = ["40 ohm", "-30 ohm"]\n')
        for command in (["solve", "known.toml", "--frequency", "7.1MHz"], ["bands", "known.toml"], ["check", "known.toml"]):
            document = self.load(self.succeed(*command, "--format", "json"), command[0])
            for row in document.get("results", []) + document.get("bands", []):
                self.assertEqual(row["power_w"]["antenna"], 100.0)
                self.assertEqual([row["power_w"][key] for key in ("coils", "wires", "ground", "sky")], [None] * 4)
                self.assertIsNone(row["radiation_efficiency"])

    def test_check_is_as_described(self):
        document = self.load(self.succeed("check", "whip-ground-radials", "--frequency", "7.1MHz,14.2MHz", "--format", "json"),
                             "check")
        self.assertEqual([w["name"] for w in document["wires"]], ["whip"] + [f"radial ({i})" for i in (1, 2, 3, 4)])
        self.assertEqual([c["frequency_hz"] for c in document["checks"]], [7.1e6, 14.2e6])
        for check in document["checks"]:
            [wave] = check["waves"]
            self.assertEqual((wave["wire"], wave["copies"], wave["height_m"]), ("radial (1)", 4, 0.02))
            in_air = wave["length_m"] * check["frequency_hz"] / 299792458.0
            self.assertAlmostEqual(wave["length_wavelengths"] * wave["velocity_factor"], in_air, delta=1e-9)
            self.assertTrue(0.6 < wave["velocity_factor"] < 0.9)  # the range that people report of wires on grass
        plain = self.load(self.succeed("check", "whip-ground-radials", "--format", "json"), "check")
        self.assertEqual([c["waves"] for c in plain["checks"]], [[], [], []])

    def test_a_table_of_soil_and_a_far_soil(self):
        soil = """[ground]
table = [{ frequency = "1 MHz", permittivity = 30, conductivity = "2 mS/m" },
         { frequency = "4 MHz", permittivity = 20, conductivity = "8 mS/m" }]
[ground.far]
soil = "sea"
begins = "25 m"
from_bearing = "200 deg"
to_bearing = "320 deg"
"""
        self.write("shore.toml", WIRE.replace('[ground]\nsoil = "free space"\n', soil))
        document = self.load(self.succeed("solve", "shore.toml", "--frequency", "2MHz", "--format", "json"), "solve")
        self.assertAlmostEqual(document["results"][0]["ground"]["permittivity"], 25.0, delta=1e-12)
        self.assertEqual(document["ground"]["far"]["to_bearing_deg"], 320.0)
        self.load(self.succeed("check", "shore.toml", "--format", "json"), "check")
        self.load(self.succeed("bands", "shore.toml", "--bands", "80m", "--format", "json"), "bands")
        self.assertIn("Far soil: sea", self.succeed("check", "shore.toml"))

    def test_pattern_is_as_described(self):
        out = self.succeed("pattern", "low-horizontal", "--frequency", "7.1MHz", "--distance", "300km", "--step", "10deg",
                           "--elevations", "30deg,62.2deg", "--format", "json")
        [result] = self.load(out, "pattern")["results"]
        pattern = result["pattern"]
        self.assertAlmostEqual(result["hop"]["elevation_deg"], 62.222, delta=1e-3)  # derived, hop_takeoff.csv
        self.assertEqual(len(pattern["sphere"]["gain_dbi"]), 10)
        self.assertEqual(len(pattern["sphere"]["gain_dbi"][0]), 36)
        [at_30, at_62, at_hop] = [row["gain_dbi"] for row in pattern["at_elevations"]]
        self.assertAlmostEqual(at_hop, result["hop"]["gain_dbi"], delta=1e-12)
        self.assertAlmostEqual(at_62, at_hop, delta=0.01)
        solved = json.loads(self.succeed("solve", "low-horizontal", "--frequency", "7.1MHz", "--format", "json"))["results"][0]
        self.assertAlmostEqual(pattern["gain_dbi"], solved["gain_dbi"], delta=1e-9)
        self.assertAlmostEqual(at_30, solved["gain_dbi_at_elevation"]["30"], delta=1e-9)

    def test_pattern_as_csv(self):
        rows = list(csv.DictReader(io.StringIO(self.succeed(
            "pattern", "wire.toml", "--frequency", "14.2MHz", "--step", "30deg", "--format", "csv"))))
        parts = {part: [row for row in rows if row["part"] == part] for part in ("elevation cut", "azimuth cut", "sphere")}
        self.assertEqual([len(found) for found in parts.values()], [360, 180, 7 * 12])
        for row in rows:
            if row["gain_dbi"]:
                total = sum(10 ** (float(row[key]) / 10) for key in ("vertical_gain_dbi", "horizontal_gain_dbi") if row[key])
                self.assertAlmostEqual(total, 10 ** (float(row["gain_dbi"]) / 10), delta=1e-9)

    def test_the_schemas_can_fail(self):
        document = json.loads(self.succeed("solve", "wire.toml", "--frequency", "14.2MHz", "--format", "json"))
        document["results"][0]["swr_at_radio"] = 0.5
        with self.assertRaises(jsonschema.ValidationError):
            jsonschema.validate(document, schema("solve"), cls=jsonschema.Draft202012Validator)
        document["results"][0]["swr_at_radio"] = 1.5
        document["results"][0]["power_w"]["tea"] = 1.0
        loaded = schema("solve")
        self.assertEqual(list(undescribed(document, loaded, loaded)), ["$.results[0].power_w.tea"])

    def test_bands_is_as_described(self):
        document = self.load(self.succeed("bands", "wire.toml", "--format", "json"), "bands")
        self.assertEqual([b["band"] for b in document["bands"]],
                         ["160m", "80m", "60m", "40m", "30m", "20m", "17m", "15m", "12m", "10m", "6m", "2m"])
        for band in document["bands"]:
            self.assertEqual(band["impedance"]["frequency_hz"], 0.5 * (band["lower_hz"] + band["upper_hz"]))
            swr = band["swr_at_radio"]
            known = [s for s in swr.values() if s is not None]
            self.assertLessEqual(band["swr_lowest"]["swr"], min(known) * 1.002)
            self.assertGreaterEqual(band["swr_lowest"]["frequency_hz"], band["lower_hz"])
            self.assertLessEqual(band["swr_lowest"]["frequency_hz"], band["upper_hz"])
            self.assertLessEqual(band["bandwidth_swr2_hz"], band["upper_hz"] - band["lower_hz"])
            self.assertEqual(band["bandwidth_swr2_hz"] > 0, band["swr_lowest"]["swr"] < 2)
            largest = max(known)
            tuner = "none" if largest <= 2 else "radio" if largest <= 3 else "wide-range" if largest <= 10 else "out-of-range"
            order = ["none", "radio", "wide-range", "out-of-range"]
            self.assertGreaterEqual(order.index(band["tuner"]), order.index(tuner))
        # 10 m of wire in free space: a half wave near 14.4 MHz and three halves near 44 MHz, both good into 50 ohm.
        frequencies = [dip["frequency_hz"] for dip in document["dips"]]
        self.assertTrue(any(14.0e6 < f < 14.8e6 for f in frequencies), frequencies)
        self.assertTrue(any(42e6 < f < 46e6 for f in frequencies), frequencies)

    def test_a_dip_is_where_a_full_solve_puts_it(self):
        document = json.loads(self.succeed("bands", "wire.toml", "--bands", "20m", "--format", "json"))
        for dip in document["dips"]:
            near = [dip["frequency_hz"] * (1 + step) for step in (-2e-3, 0, 2e-3)]
            listed = ",".join(f"{f:.1f}Hz" for f in near)
            results = json.loads(self.succeed("solve", "wire.toml", "--frequency", listed, "--format", "json"))["results"]
            below, at, above = [r["swr_at_radio"] for r in results]
            self.assertAlmostEqual(at / dip["swr"], 1.0, delta=5e-3)
            self.assertLess(at, below)
            self.assertLess(at, above)

    def test_bands_and_region_are_chosen(self):
        document = self.load(self.succeed("bands", "wire.toml", "--bands", "20m,40m", "--region", "2", "--format", "json"),
                             "bands")
        self.assertEqual([b["band"] for b in document["bands"]], ["40m", "20m"])
        self.assertEqual(document["bands"][0]["upper_hz"], 7.3e6)  # ITU Radio Regulations, Article 5, region 2

    def test_models_is_as_described(self):
        document = self.load(self.succeed("models", "--format", "json"), "models")
        names = [m["name"] for m in document["models"]]
        self.assertEqual(sorted(names), sorted(
            f[:-5] for f in os.listdir(os.path.join(SOURCE, "models")) if f.endswith(".toml")))
        one = self.load(self.succeed("models", "dipole", "--format", "json"), "models")
        self.assertEqual(one["models"], [m for m in document["models"] if m["name"] == "dipole"])

    def test_threads_do_not_change_the_answer(self):
        arguments = ("bands", "wire.toml", "--bands", "40m,20m", "--format", "json", "--threads")
        self.assertEqual(self.succeed(*arguments, "1"), self.succeed(*arguments, "3"))

    def test_csv_says_the_same_as_json(self):
        document = json.loads(self.succeed("bands", "wire.toml", "--bands", "40m,20m", "--format", "json"))
        rows = list(csv.DictReader(io.StringIO(self.succeed("bands", "wire.toml", "--bands", "40m,20m", "--format", "csv"))))
        self.assertEqual(len(rows), 2)
        for row, band in zip(rows, document["bands"]):
            self.assertEqual(row["band"], band["band"])
            self.assertEqual(float(row["resistance_ohm"]), band["impedance"]["resistance_ohm"])
            self.assertEqual(float(row["swr_at_radio_upper"]), band["swr_at_radio"]["upper"])
            self.assertEqual(float(row["power_sky_w"]), band["power_w"]["sky"])
            self.assertEqual(float(row["half_m"]), 5.0)
        solved = json.loads(self.succeed("solve", "wire.toml", "--frequency", "14.2MHz", "--format", "json"))["results"][0]
        row = next(csv.DictReader(io.StringIO(self.succeed("solve", "wire.toml", "--frequency", "14.2MHz", "--format", "csv"))))
        self.assertEqual(float(row["reactance_ohm"]), solved["ports"][0]["reactance_ohm"])
        self.assertEqual(float(row["gain_dbi"]), solved["gain_dbi"])
        self.assertTrue(math.isfinite(float(row["impedance_error_relative"])))


if __name__ == "__main__":
    unittest.main()
