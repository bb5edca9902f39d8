"""What the program accepts, where its answer goes, and what it says of itself."""
import filecmp
import os
import pty
import re
import stat
import subprocess
import unittest

from program import PROGRAM, SOURCE, WIRE, ProgramTest


def lines(text):
    return text.rstrip("\n").split("\n")


class CommandLineTest(ProgramTest):
    def setUp(self):
        super().setUp()
        self.write("wire.toml", WIRE)

    def check_shape(self, text):
        for line in lines(text):
            self.assertLessEqual(len(line), 80, line)
            self.assertNotIn("\033", line)

    def test_version_and_help(self):
        with open(os.path.join(SOURCE, "CMakeLists.txt"), encoding="utf-8") as file:
            version = re.search(r"project\(feldspar VERSION ([0-9.]+)", file.read()).group(1)
        self.assertEqual(self.succeed("--version"), f"feldspar {version}\n")
        overview = self.succeed("--help")
        for command in ("bands", "solve", "check", "models"):
            self.assertIn(command, overview)
            self.assertIn(f"feldspar {command}", self.succeed(command, "--help"))
        self.check_shape(overview)
        for option in ("--set", "--format", "--output", "--threads", "--region", "--bands", "--accuracy", "--lying-heights"):
            self.assertIn(option, self.succeed("bands", "--help"))

    def test_bands_answers_every_question(self):
        text = self.succeed("bands", "whip-ground-radials")
        self.check_shape(text)
        for part in ("What will the radio see?", "Where do the watts go?", "Where does the signal go?", "Dips of the SWR",
                     "Soil: average, relative permittivity 13, conductivity 5 mS/m", "ITU region 1", "100 W",
                     "10 m of RG-58", "Coax outside not included, as if a perfect choke sat at the feed point",
                     "Own error", "exposure is not computed", "docs/safety.md"):
            self.assertIn(part, text)
        for band in ("160m", "80m", "60m", "40m", "30m", "20m", "17m", "15m", "12m", "10m", "6m", "2m"):
            self.assertGreaterEqual(len(re.findall(rf"^{band} ", text, re.MULTILINE)), 3, band)

    def test_lying_heights(self):
        text = self.succeed("bands", "whip-ground-radials", "--lying-heights", "--bands", "20m")
        self.check_shape(text)
        self.assertIn("radial_height at bare_soil 2 mm, mown_grass 20 mm, long_grass 50 mm", text)
        rows = self.succeed("bands", "whip-ground-radials", "--lying-heights", "--bands", "20m", "--format", "csv")
        heights = [row.split(",")[rows.split("\n")[0].split(",").index("radial_height_m")] for row in lines(rows)[1:]]
        self.assertEqual(heights, ["0.002", "0.02", "0.05"])

    def test_solve_check_and_models(self):
        text = self.succeed("solve", "wire.toml", "--frequency", "14.2MHz")
        self.check_shape(text)
        self.assertIn("14.2 MHz", text)
        self.assertIn("exposure is not computed", text)
        text = self.succeed("check", "wire.toml")
        self.check_shape(text)
        self.assertIn("10.00 m (32 ft 10 in)", text)
        self.assertIn("2 free ends", text)
        self.assertIn("valid", text)
        text = self.succeed("check", "whip-ground-radials", "--frequency", "7.1MHz")
        self.check_shape(text)
        self.assertIn("7.1 MHz: radial (1) and 3 like it lie 20 mm above soil: 5.00 m acts like", text)
        text = self.succeed("models")
        self.check_shape(text)
        self.assertIn("whip-ground-radials", text)
        self.assertIn("end-fed-length", text)
        self.check_shape(self.succeed("models", "end-fed-length"))
        self.succeed("models", "end-fed-length", "--output", "copy.toml")
        self.assertTrue(filecmp.cmp(os.path.join(SOURCE, "models", "studies", "end-fed-length.toml"),
                                    os.path.join(self.folder, "copy.toml"), shallow=False))
        text = self.succeed("models", "whip-ground-radials")
        self.check_shape(text)
        self.assertIn("radial_count", text)

    def test_every_built_in_model_is_checked_and_solved(self):
        for file in sorted(os.listdir(os.path.join(SOURCE, "models"))):
            name, kind = os.path.splitext(file)
            if kind != ".toml":
                continue
            with self.subTest(name):
                self.check_shape(self.succeed("check", name))
                self.check_shape(self.succeed("solve", name, "--frequency", "14.1MHz"))

    def test_every_built_in_study_can_be_run(self):
        for file in sorted(os.listdir(os.path.join(SOURCE, "models", "studies"))):
            with self.subTest(file):
                self.check_shape(self.succeed("sweep", file[:-5], "--dry-run"))

    def test_set_changes_parameters_and_keys(self):
        long = self.succeed("check", "wire.toml", "--set", "half=10 m")
        self.assertIn("20.00 m", long)
        last = self.succeed("check", "wire.toml", "--set", "half=10 m", "--set", "half=6 m")
        self.assertIn("12.00 m", last)
        wet = self.succeed("check", "wire.toml", "--set", "ground.soil=wet")
        self.assertIn("relative permittivity 30, conductivity 30 mS/m", wet)  # Recommendation's "wet" of the named soils

    def test_set_takes_one_word(self):
        self.assertIn("12.00 m", self.succeed("check", "--set", "half=6 m", "wire.toml"))

    def test_output_is_written_whole_and_standard_output_stays_empty(self):
        out = self.succeed("solve", "wire.toml", "--frequency", "14.2MHz", "--output", "answer.txt")
        self.assertEqual(out, "")
        path = os.path.join(self.folder, "answer.txt")
        with open(path, encoding="utf-8") as file:
            self.assertEqual(file.read(), self.succeed("solve", "wire.toml", "--frequency", "14.2MHz"))
        mask = os.umask(0)
        os.umask(mask)
        self.assertEqual(stat.S_IMODE(os.stat(path).st_mode), 0o666 & ~mask)
        self.assertEqual(sorted(os.listdir(self.folder)), ["answer.txt", "wire.toml"])

    def test_a_failed_run_leaves_an_old_file_alone(self):
        path = self.write("answer.txt", "old\n")
        self.refuse("solve", "wire.toml", "--frequency", "14.2MHz", "--set", "half=90 m", "--output", "answer.txt")
        with open(path, encoding="utf-8") as file:
            self.assertEqual(file.read(), "old\n")
        self.assertEqual(sorted(os.listdir(self.folder)), ["answer.txt", "wire.toml"])

    def test_output_through_a_link_keeps_the_link(self):
        self.write("real.txt", "old\n")
        os.symlink("real.txt", os.path.join(self.folder, "link.txt"))
        self.succeed("check", "wire.toml", "--output", "link.txt")
        self.assertTrue(os.path.islink(os.path.join(self.folder, "link.txt")))
        with open(os.path.join(self.folder, "real.txt"), encoding="utf-8") as file:
            self.assertIn("valid", file.read())

    def test_output_to_a_device(self):
        self.succeed("check", "wire.toml", "--output", "/dev/null")
        self.assertTrue(stat.S_ISCHR(os.stat("/dev/null").st_mode))

    def test_a_copy_to_edit(self):
        self.assertEqual(self.succeed("models", "dipole", "--output", "my.toml"), "")
        with open(os.path.join(self.folder, "my.toml"), "rb") as copy:
            with open(os.path.join(SOURCE, "models", "dipole.toml"), "rb") as original:
                self.assertEqual(copy.read(), original.read())
        self.assertIn("valid", self.succeed("check", "my.toml"))
        self.refuse("models", "dipole", "--output", "my.toml", says=("my.toml", "exists already"))

    def test_full_standard_output_is_noticed(self):
        with open("/dev/full", "w", encoding="utf-8") as full:
            done = subprocess.run([PROGRAM, "models"], stdout=full, stderr=subprocess.PIPE, text=True, check=False)
        self.assertNotEqual(done.returncode, 0)
        self.assertIn("standard output", done.stderr)

    def on_terminal(self, **env):
        """Standard output of `models` when it is a terminal."""
        ours, theirs = pty.openpty()
        environment = {k: v for k, v in os.environ.items() if k not in ("NO_COLOR", "TERM")}
        environment.update({"TERM": "xterm-256color"}, **env)
        process = subprocess.Popen([PROGRAM, "models"], stdout=theirs, stderr=subprocess.PIPE, env=environment)
        os.close(theirs)
        text = b""
        while True:
            try:
                part = os.read(ours, 65536)
            except OSError:
                break
            if not part:
                break
            text += part
        os.close(ours)
        process.stderr.close()
        self.assertEqual(process.wait(), 0)
        return text.decode()

    def test_colour_only_on_a_terminal(self):
        self.assertIn("\033[", self.on_terminal())
        self.assertNotIn("\033[", self.on_terminal(NO_COLOR="1"))
        self.assertNotIn("\033[", self.on_terminal(TERM="dumb"))
        self.assertIn("\033[", self.on_terminal(NO_COLOR=""))  # no-color.org: only when not empty
        self.assertNotIn("\033[", self.succeed("models"))

    def test_warnings_of_machine_output_go_to_standard_error(self):
        status, out, err = self.run_program("bands", "wire.toml", "--bands", "2m", "--format", "json", "--set",
                                            "ground.soil=average")
        self.assertEqual(status, 0)
        self.assertTrue(out.startswith("{"))
        self.assertIn("feldspar: warning: ", err)


if __name__ == "__main__":
    unittest.main()
