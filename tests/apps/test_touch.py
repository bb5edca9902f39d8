"""--touch and --wide of the real program."""
import csv
import io
import json
import unittest

from program import WIRE, ProgramTest
import test_json

OUTSIDE = """
[[feed.parts]]
name = "coax"
kind = "line"
type = "RG-58"
length = "14 m"
outside = { path = [["0 m", "3 m", "9 m"], ["0 m", "4 m", "0.5 m"]], end = "open" }
"""
CHOKE = """
[[feed.parts]]
kind = "choke"
impedance = "perfect"
distance = "30 cm"
"""
LAWN = WIRE.replace('soil = "free space"', 'soil = "perfect"') + OUTSIDE
ENDS = ("open", "operator", "earthed")


class TouchTest(ProgramTest):
    load = test_json.JsonTest.load

    def setUp(self):
        super().setUp()
        self.write("lawn.toml", LAWN)
        self.write("wire.toml", WIRE)

    def solve(self, *arguments, model="lawn.toml"):
        out = self.succeed("solve", model, "--frequency", "14.2MHz,21.2MHz", "--format", "json", *arguments)
        return self.load(out, "solve")["results"]

    def test_every_end_is_what_a_run_of_its_own_gives(self):
        touched = self.solve("--touch")
        for end in ENDS:
            alone = self.solve("--set", f"feed.parts.coax.outside.end={end}")
            for result, single in zip(touched, alone):
                self.assertIsNone(single["touch"])
                found = result["touch"][end]
                self.assertEqual(found["resistance_ohm"], single["ports"][0]["resistance_ohm"])
                self.assertEqual(found["reactance_ohm"], single["ports"][0]["reactance_ohm"])
                self.assertEqual(found["swr_at_radio"], single["swr_at_radio"])
                self.assertEqual(found["current_at_radio_a"], single["braid"]["current_at_radio_a"])
        for result in touched:
            swr = [result["touch"][end]["swr_at_radio"] for end in ENDS]
            self.assertEqual(result["touch"]["coax_is_part_of_antenna"], max(swr) > 1.2 * min(swr))
            self.assertGreater(result["touch"]["earthed"]["current_at_radio_a"],
                               10 * result["touch"]["open"]["current_at_radio_a"])

    def test_the_end_that_the_model_has_makes_no_difference(self):
        first = self.solve("--touch")
        for end in ENDS[1:]:
            other = self.solve("--touch", "--set", f"feed.parts.1.outside.end={end}")
            self.assertEqual([r["touch"] for r in first], [r["touch"] for r in other])

    def test_a_perfect_choke_keeps_the_antenna_off_the_coax(self):
        """A current that begins at the feed point cannot reach the end: the SWR depends on it by nearness only."""
        self.write("choked.toml", LAWN + CHOKE)
        spread = {}
        for model in ("lawn.toml", "choked.toml"):
            [touch, _] = [result["touch"] for result in self.solve("--touch", model=model)]
            impedances = [complex(touch[end]["resistance_ohm"], touch[end]["reactance_ohm"]) for end in ENDS]
            spread[model] = max(abs(a - b) for a in impedances for b in impedances)
        self.assertLess(spread["choked.toml"], 0.2 * spread["lawn.toml"])

    def test_bands(self):
        arguments = ("bands", "lawn.toml", "--bands", "20m,15m", "--touch", "--every-frequency")
        document = self.load(self.succeed(*arguments, "--format", "json"), "bands")
        middles = ",".join(f"{band['impedance']['frequency_hz']!r}Hz" for band in document["bands"])
        solved = json.loads(self.succeed("solve", "lawn.toml", "--frequency", middles, "--format", "json", "--touch"))
        for band, result in zip(document["bands"], solved["results"]):
            for end in ENDS:
                self.assertAlmostEqual(band["touch"][end]["swr_at_radio"], result["touch"][end]["swr_at_radio"], delta=1e-9)
                self.assertIsNone(band["touch"][end]["current_at_radio_a"])
        rows = list(csv.DictReader(io.StringIO(self.succeed(*arguments, "--format", "csv"))))
        for row, band in zip(rows, document["bands"]):
            for end in ENDS:
                self.assertEqual(float(row[f"swr_touch_{end}"]), band["touch"][end]["swr_at_radio"])
        text = self.succeed(*arguments)
        self.assertIn("What hangs at the radio's end of the coax?", text)
        for line in text.split("\n"):
            self.assertLessEqual(len(line), 80, line)

    def test_threads_do_not_change_the_answer(self):
        self.assertEqual(self.solve("--touch", "--threads", "1"), self.solve("--touch", "--threads", "3"))

    def test_an_end_that_cannot_be_had_is_left_out_and_named(self):
        cases = (("ground.soil=free space", "there is no earth in free space"),
                 ("ground.method=plane-wave", "plane-wave reflection does not know a stake"))
        soil = self.write("soil.toml", LAWN.replace('soil = "perfect"', 'soil = "average"'))
        for setting, reason in cases:
            with self.subTest(setting):
                status, out, err = self.run_program("solve", soil, "--frequency", "14.2MHz", "--touch", "--format", "json",
                                                    "--set", setting)
                self.assertEqual(status, 0, err)
                [result] = self.load(out, "solve")["results"]
                self.assertIsNone(result["touch"]["earthed"])
                self.assertIsNotNone(result["touch"]["operator"])
                self.assertIn(reason, err)
                self.assertIn("touch", [warning["code"] for warning in result["warnings"]])
                text = self.succeed("bands", soil, "--bands", "20m", "--touch", "--set", setting)
                self.assertIn(reason, " ".join(text.split()))

    def test_what_it_needs(self):
        self.write("known.toml", '[antenna]\nimpedance = ["40 ohm", "-30 ohm"]\n')
        for command in (["bands"], ["solve", "--frequency", "14.2MHz"]):
            self.refuse(*command, "wire.toml", "--touch", says=("--touch", "outside = { path = ", "first coax line"))
            self.refuse(*command, "known.toml", "--touch", says=("--touch", "a known antenna has no wires"))
        self.refuse("bands", "whip-ground-radials", "--touch", "--lying-heights", says="goes without --lying-heights")
        self.refuse("solve", "lawn.toml", "--frequency", "14.2MHz", "--touch", "--format", "touchstone",
                    says="goes with --format text, json or csv")


class WideTest(ProgramTest):
    def setUp(self):
        super().setUp()
        self.write("lawn.toml", LAWN)

    def test_everything_in_one_place(self):
        arguments = ("bands", "lawn.toml", "--bands", "20m,15m")
        narrow, wide = self.succeed(*arguments), self.succeed(*arguments, "--wide")
        self.assertLessEqual(max(len(line) for line in narrow.split("\n")), 80)
        self.assertGreater(max(len(line) for line in wide.split("\n")), 120)
        questions = [line for line in narrow.split("\n") if "?" in line]
        self.assertEqual([question for question in questions if question not in wide], [])
        for question in ("What do the parts bear?", "Where is voltage, and what runs outside the line?"):
            self.assertIn(question, wide)
        for band in ("20m", "15m"):
            self.assertEqual(sum(line.startswith(band + " ") for line in wide.split("\n")), 5)

    def test_what_a_tuner_at_the_radio_must_stand(self):
        """P = I^2 R and V = I |Z| (derived)."""
        arguments = ("bands", "lawn.toml", "--bands", "15m")
        line = next(l for l in self.succeed(*arguments, "--wide").split("\n") if l.startswith("15m"))
        volts, amperes = (float(word) for word in line.split()[-2:])
        solved = json.loads(self.succeed("solve", "lawn.toml", "--frequency", "21.225MHz", "--format", "json"))["results"][0]
        z = complex(solved["radio"]["resistance_ohm"], solved["radio"]["reactance_ohm"])
        self.assertAlmostEqual(amperes, (100.0 / z.real) ** 0.5, delta=0.006)
        self.assertAlmostEqual(volts / ((100.0 / z.real) ** 0.5 * abs(z)), 1.0, delta=6e-3)

    def test_text_only(self):
        for kind in ("json", "csv"):
            self.refuse("bands", "lawn.toml", "--wide", "--format", kind, says=("--wide", "goes with --format text"))
        self.refuse("solve", "lawn.toml", "--frequency", "14.2MHz", "--wide", says="no option '--wide'")


if __name__ == "__main__":
    unittest.main()
