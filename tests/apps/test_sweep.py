"""Studies: run, killed, resumed, damaged, shared out and read back by other programs."""
import fcntl
import json
import os
import pty
import random
import shutil
import signal
import subprocess
import time
import unittest

import h5py
import numpy as np
import xarray

from program import PROGRAM, WIRE, ProgramTest

MODEL = WIRE.replace('[ground]', '''[parameters.height]
default = "10 m"
minimum = "1 m"
maximum = "30 m"
about   = "of the wire"
[ground]''').replace('"10 m"]', '"height"]').replace('soil = "free space"', 'soil = "average"')

STUDY = """
title = "How high?"
model = "wire.toml"
frequencies = "bands"
bands = "40m,20m"
keep = ["ports", "power"]
[axes]
height = { from = "4 m", to = "12 m", points = 5 }
ground.soil = ["poor", "rich"]
"""

# Cases of some 10 ms each.
LONGER = STUDY.replace("points = 5", "points = 40")


def content(path):
    with open(path, "rb") as file:
        return file.read()


def overwrite(path, data):
    with open(path, "wb") as file:
        file.write(data)


def datasets(path):
    """Every dataset as bytes."""
    found = {}

    def add(name, item):
        if isinstance(item, h5py.Dataset):
            found[name] = item.shape, repr(item[()].tolist()) if item.dtype.kind == "O" else item[()].tobytes()

    with h5py.File(path) as file:
        file.visititems(add)
    return found


class Sweep(ProgramTest):
    def setUp(self):
        super().setUp()
        self.write("wire.toml", MODEL)
        self.write("study.toml", STUDY)

    def path(self, name):
        return os.path.join(self.folder, name)

    def files(self):
        return sorted(os.listdir(self.folder))

    def start(self, *arguments):
        return subprocess.Popen([PROGRAM, *arguments], cwd=self.folder, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)

    def assert_same(self, a, b):
        first, second = datasets(self.path(a)), datasets(self.path(b))
        self.assertEqual(sorted(first), sorted(second))
        for name in first:
            self.assertEqual(first[name], second[name], name)

    # reading with other programs

    def test_xarray(self):
        self.succeed("sweep", "study.toml", "--output", "a.h5")
        with xarray.open_dataset(self.path("a.h5")) as data:
            case = data.sel(height=8, method="nearest").sel(band="40m", edge="middle")
            self.assertEqual(float(case.height), 8.0)
            self.assertEqual(data.height.attrs["units"], "m")
            self.assertEqual(data.resistance.attrs["units"], "ohm")
            self.assertEqual(data.gain.attrs["units"], "dBi")
            self.assertEqual(data.power_ground.attrs["units"], "W")
            self.assertIn("SWR", data.swr_at_radio.attrs["long_name"])
            self.assertEqual(data.resistance.dims, ("height", "ground.soil", "band", "edge"))
            self.assertEqual(data.frequency.dims, ("band", "edge"))
            self.assertIn("frequency", data.resistance.coords)
            self.assertEqual(list(data["ground.soil"].values), ["poor", "rich"])
            rich = case.sel({"ground.soil": "rich"})
            table = json.loads(self.succeed("bands", "wire.toml", "--bands", "40m", "--set", "height=8m", "--set",
                                            "ground.soil=rich", "--format", "json"))["bands"][0]
            self.assertEqual(float(rich.frequency), table["impedance"]["frequency_hz"])
            for name, there in [("resistance", table["impedance"]["resistance_ohm"]),
                                ("swr_at_radio", table["swr_at_radio"]["middle"]), ("gain", table["gain_dbi"]),
                                ("power_sky", table["power_w"]["sky"])]:
                # one curve serves 160 m to 6 m in both, so that the numbers are the same to the last digits
                self.assertAlmostEqual(float(rich[name]) / there, 1.0, 9, name)
            self.assertTrue(np.isnan(data.gain.sel(edge="lower")).all())

    def test_h5py(self):
        self.succeed("sweep", "study.toml", "--output", "a.h5")
        with h5py.File(self.path("a.h5")) as file:
            data = file["swr_at_radio"]
            self.assertEqual(data.shape, (5, 2, 2, 3))
            self.assertEqual([data.dims[i][0].name for i in range(4)], ["/height", "/ground.soil", "/band", "/edge"])
            self.assertEqual(data.compression, "gzip")
            self.assertTrue(data.fletcher32)
            self.assertTrue((file["status"][()] == 0).all())
            self.assertEqual(file.attrs["study"], STUDY)
            self.assertEqual(list(file.attrs["model_texts"]), [MODEL])
            self.assertIn("feldspar", file.attrs["program"])

    def test_frequencies_and_models(self):
        self.write("study.toml", """
frequencies = { from = "7 MHz", to = "7.2 MHz", points = 3 }
[axes]
model = ["wire.toml", "dipole"]
""")
        self.succeed("sweep", "study.toml", "--output", "a.h5")
        with xarray.open_dataset(self.path("a.h5")) as data:
            self.assertEqual(list(data.frequency.values), [7e6, 7.1e6, 7.2e6])
            self.assertEqual(data.resistance.sel(model="dipole").dims, ("frequency",))

    def test_axes_that_move_together(self):
        self.write("study.toml", """
model = "wire.toml"
frequencies = ["7.1 MHz"]
together = [["half", "height"]]
[axes]
half = ["5 m", "6 m", "7 m"]
ground.soil = ["poor", "rich"]
height = ["8 m", "9 m", "10 m"]
[fixed]
feed.power = "10 W"
""")
        self.succeed("sweep", "study.toml", "--output", "a.h5")
        with xarray.open_dataset(self.path("a.h5")) as data:
            self.assertEqual(data.resistance.dims, ("half", "ground.soil", "frequency"))
            self.assertEqual(list(data.height.values), [8, 9, 10])
            self.assertEqual(data.height.dims, ("half",))
            self.assertEqual(float(data.resistance.sel(half=6)[0, 0]), json.loads(self.succeed(
                "solve", "wire.toml", "--frequency", "7.1MHz", "--set", "half=6m", "--set", "height=9m", "--set",
                "ground.soil=poor", "--format", "json"))["results"][0]["ports"][0]["resistance_ohm"])

    def test_patterns_and_currents(self):
        self.write("study.toml", STUDY.replace('"power"]', '"power", "patterns", "currents"]'))
        self.succeed("sweep", "study.toml", "--output", "a.h5")
        with xarray.open_dataset(self.path("a.h5")) as data:
            self.assertEqual(data.pattern.dims, ("height", "ground.soil", "band", "edge", "elevation", "bearing"))
            middle = data.sel(edge="middle")
            ratio = 10 ** (middle.pattern / 10)
            # what goes to the sky is the gain's mean over all directions: trapezia in elevation, even steps in bearing
            weight = np.cos(np.radians(data.elevation))
            mean = (ratio * weight).mean("bearing").integrate("elevation") * np.radians(1) / 2
            np.testing.assert_allclose(mean, middle.radiation_efficiency, rtol=0.01)
            highest = middle.pattern.max(["elevation", "bearing"])
            self.assertTrue((highest <= middle.gain + 1e-9).all())
            self.assertTrue((highest >= middle.gain - 0.2).all())
            self.assertTrue(np.isnan(data.pattern.sel(edge="lower")).all())
            # the wire lies east and west: broadside is north and south, and both are alike
            north = middle.pattern.sel(bearing=0, elevation=30)
            np.testing.assert_allclose(north, middle.pattern.sel(bearing=180, elevation=30), atol=1e-6)
            self.assertTrue((north > middle.pattern.sel(bearing=90, elevation=30) + 1).all())
            self.assertEqual(list(data.wire.values), ["wire"])
            current = np.hypot(middle.current_real, middle.current_imaginary).sel(wire="wire")
            # the port is in the middle and lossless parts stand before it: 100 W = I^2 R
            np.testing.assert_allclose(current.isel(position=10) ** 2 * middle.resistance, 100, rtol=0.01)
            self.assertTrue((current.isel(position=0) < 0.05 * current.max("position")).all())
        out = self.succeed("show", "a.h5", "--format", "csv")
        self.assertNotIn("pattern", out.splitlines()[0])

    def test_files_of_the_model(self):
        """Two measured antennas, each a file; a file that changes makes another study."""
        for name, row in [("one", "7 0.1 0.2\n8 0.2 0.1\n"), ("two", "7 0.5 0\n8 0.4 0\n")]:
            self.write(f"{name}.s1p", "# MHz S RI R 50\n" + row)
        self.write("known.toml", """
[antenna]
touchstone = "one.s1p"
[feed]
power = "100 W"
""")
        self.write("study.toml", """
model = "known.toml"
frequencies = ["7.5 MHz"]
[axes]
antenna.touchstone = ["one.s1p", "two.s1p"]
""")
        self.succeed("sweep", "study.toml", "--output", "a.h5")
        with xarray.open_dataset(self.path("a.h5")) as data:
            two = data.sel({"antenna.touchstone": "two.s1p"})
            self.assertAlmostEqual(float(two.swr_at_radio[0]), 1.45 / 0.55, 9)  # half way between 0.5 and 0.4
        self.write("two.s1p", "# MHz S RI R 50\n7 0.5 0\n8 0.3 0\n")
        self.refuse("sweep", "study.toml", "--output", "a.h5", says=["file two.s1p"], lines=True)

    def test_sample(self):
        text = """
model = "wire.toml"
frequencies = ["7.1 MHz"]
[sample]
cases = 20
seed = 3
[axes]
height = { from = "4 m", to = "24 m" }
ground.conductivity = { from = "1 mS/m", to = "100 mS/m", spacing = "logarithmic" }
"""
        self.write("study.toml", text)
        self.succeed("sweep", "study.toml", "--output", "a.h5", "--threads", "1")
        self.succeed("sweep", "study.toml", "--output", "b.h5", "--threads", "2")
        self.assert_same("a.h5", "b.h5")
        with xarray.open_dataset(self.path("a.h5")) as data:
            # a Latin hypercube has one value in each stratum of each axis
            self.assertEqual(sorted(int(h) for h in data.height.values - 4), list(range(20)))
            strata = np.floor(np.log10(data["ground.conductivity"].values / 1e-3) * 10).astype(int)
            self.assertEqual(sorted(strata), list(range(20)))
        self.write("study.toml", text.replace("seed = 3", "seed = 4"))
        self.refuse("sweep", "study.toml", "--output", "a.h5", says=["seed 3", "seed 4"], lines=True)

    # interrupted, damaged, extended

    def test_killed_and_resumed(self):
        self.write("study.toml", LONGER)
        self.succeed("sweep", "study.toml", "--output", "whole.h5")
        chance = random.Random(5)
        kills = 0
        for _ in range(100):
            run = self.start("sweep", "study.toml", "--output", "a.h5", "--threads", "2")
            try:
                run.communicate(timeout=chance.uniform(0.05, 0.4))
                break
            except subprocess.TimeoutExpired:
                run.kill()
                run.communicate()
                kills += 1
                if os.path.exists(self.path("a.h5")):  # put in place just before the kill: then it is whole
                    self.assert_same("whole.h5", "a.h5")
        self.assertEqual(run.returncode, 0)
        self.assertGreater(kills, 0)
        self.assert_same("whole.h5", "a.h5")
        self.assertEqual(self.files(), ["a.h5", "study.toml", "whole.h5", "wire.toml"])

    def interrupt(self, number):
        """A run of the longer study into a.h5 that gets a signal after its first few cases. (exit status, standard error)"""
        self.write("study.toml", LONGER)
        run = self.start("sweep", "study.toml", "--output", "a.h5", "--threads", "1")
        journal = self.path("a.h5.journal")
        while run.poll() is None and not (os.path.exists(journal) and os.path.getsize(journal) > 10000):
            time.sleep(0.002)
        run.send_signal(number)
        _, err = run.communicate()
        self.assertNotEqual(run.returncode, 0, "over before it could be stopped")
        return run.returncode, err

    def test_stopped_and_resumed(self):
        status, err = self.interrupt(signal.SIGINT)
        self.assertEqual(status, 1)
        self.assertIn("the same command goes on from there", err)
        with h5py.File(self.path("a.h5")) as file:
            self.assertIn(3, file["status"][()])
            self.assertIn(0, file["status"][()])
        self.succeed("sweep", "study.toml", "--output", "a.h5")
        self.succeed("sweep", "study.toml", "--output", "whole.h5")
        self.assert_same("whole.h5", "a.h5")

    def test_one_run_at_a_time(self):
        self.interrupt(signal.SIGKILL)
        with open(self.path("a.h5.journal"), "rb") as journal:
            fcntl.flock(journal, fcntl.LOCK_EX)
            self.refuse("sweep", "study.toml", "--output", "a.h5", says="another run is writing")
        self.succeed("sweep", "study.toml", "--output", "a.h5")

    def test_damaged_journal(self):
        self.interrupt(signal.SIGKILL)
        self.succeed("sweep", "study.toml", "--output", "whole.h5")
        journal = self.path("a.h5.journal")
        data = bytearray(content(journal))
        middle = len(data) * 3 // 4
        data[middle] ^= 0x40
        overwrite(journal, data[:-7])
        status, _, err = self.run_program("sweep", "study.toml", "--output", "a.h5")
        self.assertEqual(status, 0, err)
        self.assertIn("no sound record", err)
        self.assert_same("whole.h5", "a.h5")

    def test_damaged_file(self):
        self.succeed("sweep", "study.toml", "--output", "whole.h5")
        shutil.copy(self.path("whole.h5"), self.path("a.h5"))
        with h5py.File(self.path("a.h5")) as file:
            chunk = file["reactance"].id.get_chunk_info(0)
        with open(self.path("a.h5"), "r+b") as file:
            file.seek(chunk.byte_offset + chunk.size // 2)
            byte = file.read(1)
            file.seek(chunk.byte_offset + chunk.size // 2)
            file.write(bytes([byte[0] ^ 0x10]))
        status, out, err = self.run_program("show", "a.h5")
        self.assertEqual(status, 0)
        self.assertIn("10 cases of a.h5 are damaged", err)
        status, out, err = self.run_program("sweep", "study.toml", "--output", "a.h5")
        self.assertEqual(status, 0, err)
        self.assertIn("are damaged and are run again", err)
        self.assert_same("whole.h5", "a.h5")

    def test_extended(self):
        self.succeed("sweep", "study.toml", "--output", "a.h5")
        more = STUDY.replace('["poor", "rich"]', '["average", "rich", "poor"]').replace("points = 5", "points = 9")
        self.write("study.toml", more)
        err = self.refuse("sweep", "study.toml", "--output", "a.h5", says=["--extend", "- axis height", "+ axis height"], lines=True)
        self.assertIn("average | rich | poor", err)
        status, _, err = self.run_program("sweep", "study.toml", "--output", "a.h5", "--extend")
        self.assertEqual(status, 0, err)
        self.assertIn("10 of 27 cases are there already", err)
        self.succeed("sweep", "study.toml", "--output", "whole.h5")
        self.assert_same("whole.h5", "a.h5")
        before = datasets(self.path("a.h5"))
        self.write("study.toml", more.replace("40m,20m", "40m,15m"))
        self.refuse("sweep", "study.toml", "--output", "a.h5", "--extend", says=["cannot be extended", "15m"], lines=True)
        self.write("study.toml", more)
        self.write("wire.toml", MODEL.replace('diameter = "2 mm"', 'diameter = "3 mm"'))
        self.refuse("sweep", "study.toml", "--output", "a.h5", "--extend", says=["model wire.toml", "checksum"], lines=True)
        self.assertEqual(before, datasets(self.path("a.h5")))

    def test_failed_cases(self):
        self.write("study.toml", """
model = "wire.toml"
frequencies = ["7.1 MHz"]
only = "half < 8 m"
[axes]
half = ["5 m", "7 m", "9 m"]
wires.wire.diameter = ["2 mm", "200 mm", "20 m"]
""")
        self.refuse("sweep", "study.toml", "--output", "a.h5", says="diameter")
        self.write("study.toml", """
model = "whip-ground-radials"
frequencies = ["7.1 MHz"]
only = ["total_wire < 60 m"]
[axes]
radial_count = [0, 4, 40]
radial_length = ["4 m", "5 m"]
""")
        for _ in range(2):  # also when it is there already
            self.refuse("sweep", "study.toml", "--output", "a.h5", says=["2 of 6 cases failed"], status=1)
        with h5py.File(self.path("a.h5")) as file:
            self.assertEqual(file["status"][()].tolist(), [[1, 1], [0, 0], [2, 2]])
            self.assertIn("nowhere to return", file["message"][0, 0].decode())
        out = self.succeed("show", "a.h5")
        self.assertIn("2 done, 2 failed, 2 left out", out)
        self.assertIn("nowhere to return", " ".join(out.split()))
        out = self.succeed("show", "a.h5", "--along", "radial_count")
        self.assertIn("failed", out)

    # many machines, full disks

    def test_shares(self):
        self.succeed("sweep", "study.toml", "--output", "whole.h5")
        for k in (1, 2, 3):
            self.succeed("sweep", "study.toml", "--output", f"{k}.h5", "--share", f"{k}/3")
        self.succeed("gather", "3.h5", "1.h5", "2.h5", "--output", "a.h5")
        self.assert_same("whole.h5", "a.h5")
        self.refuse("gather", "1.h5", "2.h5", "--output", "b.h5", says=["in none of these files"])
        self.refuse("gather", "1.h5", "2.h5", "1.h5", "3.h5", "--output", "b.h5", says=["as well"])
        self.refuse("sweep", "study.toml", "--output", "1.h5", "--share", "2/3", says=["share 1/3", "share 2/3"])
        self.write("study.toml", STUDY.replace("rich", "average"))
        self.succeed("sweep", "study.toml", "--output", "4.h5", "--share", "3/3")
        self.refuse("gather", "1.h5", "2.h5", "4.h5", "--output", "b.h5", says=["another study", "average"], lines=True)
        self.assertNotIn("b.h5", self.files())

    def test_full_disk(self):
        disk = self.path("disk")
        os.mkdir(disk)
        if os.geteuid() != 0 or subprocess.run(["mount", "-t", "tmpfs", "-o", "size=64k", "small", disk]).returncode != 0:
            self.skipTest("a small file system cannot be mounted here")
        try:
            self.write("study.toml", LONGER)
            status, out, err = self.run_program("sweep", "study.toml", "--output", "disk/a.h5")
            self.assertEqual(status, 2)
            self.assertIn("No space left", err)
            self.assertEqual(os.listdir(disk), ["a.h5.journal"])
            subprocess.run(["mount", "-o", "remount,size=150k", disk], check=True)
            status, out, err = self.run_program("sweep", "study.toml", "--output", "disk/a.h5")
            self.assertEqual(status, 2)  # the journal fits, the file beside it does not
            self.assertIn("the disk is full", err)
            self.assertEqual(os.listdir(disk), ["a.h5.journal"])
            subprocess.run(["mount", "-o", "remount,size=8m", disk], check=True)
            status, out, err = self.run_program("sweep", "study.toml", "--output", "disk/a.h5")
            self.assertEqual(status, 0, err)
            self.assertIn("80 of 80 cases are there already", err)
            shutil.copy(os.path.join(disk, "a.h5"), self.path("a.h5"))
        finally:
            subprocess.run(["umount", disk], check=True)
        self.succeed("sweep", "study.toml", "--output", "whole.h5")
        self.assert_same("whole.h5", "a.h5")

    # reading back

    def test_show(self):
        self.succeed("sweep", "study.toml", "--output", "a.h5")
        out = self.succeed("show", "a.h5")
        for part in ["How high?", "height: 4 m, 6 m, 8 m, 10 m, 12 m", "ground.soil: poor, rich", "10 cases: 10 done", "power_sky"]:
            self.assertIn(part, out)
        out = self.succeed("show", "a.h5", "--along", "height", "--at", "ground.soil=rich", "--bands", "40m")
        self.assertIn("ground.soil rich\n", out)
        self.assertEqual([line.split()[0] for line in out.splitlines() if " m " in line][:5], ["4", "6", "8", "10", "12"])
        self.assertIn("first of 2", self.succeed("show", "a.h5", "--along", "height"))
        out = self.succeed("show", "a.h5", "--best", "lowest worst swr_at_radio", "--bands", "20m", "--limit", "3")
        values = [float(line.split()[0]) for line in out.splitlines() if line.endswith(("poor", "rich"))]
        with h5py.File(self.path("a.h5")) as file:
            worst = np.sort(file["swr_at_radio"][:, :, 1, :].max(axis=2).ravel())
        self.assertEqual(len(values), 3)
        for value, expected in zip(values, worst):
            self.assertAlmostEqual(value / expected, 1, 3)
        lines = self.succeed("show", "a.h5", "--format", "csv", "--at", "height=6.2m", "--bands", "20m").splitlines()
        self.assertEqual(len(lines), 1 + 2 * 3)
        head = lines[0].split(",")
        self.assertEqual(head[:6], ["height_m", "ground.soil", "band", "edge", "frequency_hz", "status"])
        for name in ["resistance_ohm", "gain_dbi", "power_sky_w", "swr_lowest_frequency_hz", "total_wire_m", "radiation_efficiency"]:
            self.assertIn(name, head)
        row = dict(zip(head, lines[2].split(",")))
        self.assertEqual((row["height_m"], row["edge"]), ("6", "middle"))

    def test_progress(self):
        """A bar with the rate and the time left on a terminal; nothing of a short run elsewhere."""
        master, terminal = pty.openpty()
        run = subprocess.Popen([PROGRAM, "sweep", "study.toml", "--output", "a.h5"], cwd=self.folder, stdout=subprocess.PIPE,
                               stderr=terminal)
        os.close(terminal)
        said = b""
        try:
            while part := os.read(master, 4096):
                said += part
        except OSError:  # the other end is closed
            pass
        os.close(master)
        out, _ = run.communicate()
        self.assertEqual((run.returncode, out), (0, b"10 cases in a.h5\n"))
        self.assertRegex(said.decode(), r"\r\[=+\] 10/10  [0-9.]+/s  0 s left")
        self.assertEqual(self.run_program("sweep", "study.toml", "--output", "b.h5"), (0, "10 cases in b.h5\n", ""))

    def test_dry_run(self):
        out = self.succeed("sweep", "study.toml", "--dry-run")
        for part in ["Cases        10", "2 bands", "Unknowns", "Time", "Memory", "File"]:
            self.assertIn(part, out)
        self.assertEqual(self.files(), ["study.toml", "wire.toml"])

    # wrong studies

    def refuse(self, *arguments, says=(), status=2, lines=False):
        if not lines:
            return super().refuse(*arguments, says=says, status=status)
        got, out, err = self.run_program(*arguments)
        self.assertEqual(got, status, err)
        self.assertEqual(out, "")
        for part in says:
            self.assertIn(part, err)
        return err

    def test_wrong_studies(self):
        for name, (old, new, says) in {
            "unknown parameter": ("height =", "hieght =", ["study.toml:8", "hieght", "did you mean 'height'"]),
            "unknown key": ("ground.soil", "ground.siol", ["siol", "soil"]),
            "empty axis": ('["poor", "rich"]', "[]", ["study.toml:9", "axes.ground.soil", "empty"]),
            "empty table": ('ground.soil = ["poor", "rich"]', "[axes.ground]", ["axes.ground", "empty"]),
            "no axis": ('height = { from = "4 m", to = "12 m", points = 5 }\nground.soil = ["poor", "rich"]\n', "", ["at least one axis"]),
            "ten billion cases": ("points = 5 }", 'points = 100000 }\nfeed.power = { from = "1 W", to = "100 W", points = 100000 }',
                                  ["2e+10 cases", "at most 1e+07"]),
            "wrong dimension": ('from = "4 m", to = "12 m"', 'from = "4 MHz", to = "12 MHz"', ["study.toml:8", "length", "frequency"]),
            "two dimensions": ('to = "12 m"', 'to = "12 MHz"', ["axes.height.to", "length", "frequency"]),
            "beyond its limits": ('to = "12 m"', 'to = "120 m"', ["study.toml:8", "maximum", "30 m"]),
            "unknown soil": ('"rich"]', '"ritch"]', ["study.toml:9", "ritch", "rich"]),
            "value twice": ('"rich"]', '"poor"]', ["poor", "twice"]),
            "unknown model": ('"wire.toml"', '"wier.toml"', ["wier.toml"]),
            "misspelt built-in model": ('"wire.toml"', '"dipol"', ["did you mean 'dipole'"]),
            "no model": ('model = "wire.toml"\n', "", ["needs the key 'model'"]),
            "unknown band": ("40m,20m", "40m,21m", ["21m"]),
            "unknown word to keep": ('"power"]', '"pwoer"]', ["pwoer", "power"]),
            "unknown section": ("[axes]", "[axis]", ["axis", "axes"]),
            "one point": ("points = 5", "points = 1", ["points"]),
            "no points": (", points = 5", "", ["points"]),
            "condition of a length": ("[axes]", 'only = "height"\n[axes]', ["condition", "length"]),
            "unknown name in a condition": ("[axes]", 'only = "hight < 5 m"\n[axes]', ["study.toml:7", "hight", "height"]),
            "name of a result": ("height =", "gain =", ["gain"]),
            "bad toml": ("[axes]", "[axes", ["study.toml:7"]),
        }.items():
            with self.subTest(name):
                self.assertIn(old, STUDY)
                self.write("study.toml", STUDY.replace(old, new))
                self.refuse("sweep", "study.toml", "--output", "a.h5", says=says)
                self.assertEqual(self.files(), ["study.toml", "wire.toml"])

    def test_wrong_places(self):
        self.refuse("sweep", "study.toml", "--output", "nowhere/a.h5", says=["nowhere"])
        self.refuse("sweep", "study.toml", says=["--output"])
        self.refuse("sweep", says=["study"])
        self.refuse("sweep", "radails", "--output", "a.h5", says=["did you mean 'radials'"])
        self.refuse("show", "missing.h5", says=["missing.h5", "no such file"])
        self.refuse("sweep", "study.toml", "--output", "a.h5", "--share", "4/3", says=["--share"])
        self.assertEqual(self.files(), ["study.toml", "wire.toml"])
        self.write("text.h5", "not HDF5")
        self.refuse("sweep", "study.toml", "--output", "text.h5", says=["text.h5"])
        self.assertEqual(content(self.path("text.h5")), b"not HDF5")
        with h5py.File(self.path("other.h5"), "w") as file:
            file["x"] = [1, 2]
        before = content(self.path("other.h5"))
        self.refuse("sweep", "study.toml", "--output", "other.h5", says=["other.h5", "not written by feldspar"])
        self.refuse("show", "other.h5", says=["not written by feldspar"])
        self.assertEqual(content(self.path("other.h5")), before)
        os.mkfifo(self.path("pipe"))
        self.refuse("sweep", "study.toml", "--output", "pipe", says=["pipe", "no regular file"])
        self.refuse("show", "pipe", says=["no regular file"])
        os.symlink("real.h5", self.path("link.h5"))
        self.succeed("sweep", "study.toml", "--output", "link.h5")
        self.assertTrue(os.path.islink(self.path("link.h5")))
        self.assertIn("complete", self.succeed("sweep", "study.toml", "--output", "real.h5"))
        self.write("a.h5.journal", "somebody's diary")
        self.refuse("sweep", "study.toml", "--output", "a.h5", says=["a.h5.journal", "not a journal of this program"])
        self.assertEqual(content(self.path("a.h5.journal")), b"somebody's diary")

    def test_wrong_questions(self):
        self.succeed("sweep", "study.toml", "--output", "a.h5")
        self.refuse("show", "a.h5", "--along", "hieght", says=["did you mean 'height'"])
        self.refuse("show", "a.h5", "--at", "height=7MHz", says=["height=7MHz", " m"])
        self.refuse("show", "a.h5", "--at", "ground.soil=wet", says=["wet", "poor, rich"])
        self.refuse("show", "a.h5", "--best", "least swr_at_radio", says=["lowest or highest"])
        self.refuse("show", "a.h5", "--best", "lowest worst swr", says=["'swr'", "swr_at_radio"])
        self.refuse("show", "a.h5", "--bands", "15m", says=["15m", "40m, 20m"])
        self.refuse("show", "a.h5", "--along", "height", "--format", "csv", says=["--format", "--at"])
        self.refuse("show", "a.h5", "--limit", "3", says=["--limit", "--best"])
        self.refuse("sweep", "study.toml", "--dry-run", "--share", "1/2", says=["--dry-run", "--share"])


if __name__ == "__main__":
    unittest.main()
