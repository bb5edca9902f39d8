"""Runs the real program for the tests of this folder."""
import os
import subprocess
import tempfile
import unittest

PROGRAM = os.environ["FELDSPAR"]
SOURCE = os.environ["FELDSPAR_SOURCE_DIR"]

# A rig of the boathouse in free space, which is solved in milliseconds.
WIRE = """
title = "Test wire"
about = "a wire for tests"
[parameters.half]
default = "5 m"
minimum = "1 m"
maximum = "20 m"
about   = "half its length"
[ground]
soil = "free space"
[[wires]]
name = "wire"
path = [["-half", "0 m", "10 m"], ["half", "0 m", "10 m"]]
diameter = "2 mm"
[port]
wire = "wire"
position = 0.5
[feed]
power = "100 W"
"""


def run(*arguments, cwd=None, env=None, timeout=120):
    """(exit status, standard output, standard error) of the program."""
    environment = dict(os.environ)
    environment.update(env or {})
    done = subprocess.run([PROGRAM, *arguments], capture_output=True, text=True, cwd=cwd, env=environment, timeout=timeout)
    return done.returncode, done.stdout, done.stderr


class ProgramTest(unittest.TestCase):
    """A test with a folder of its own in which the program runs."""

    maxDiff = None

    def setUp(self):
        folder = tempfile.TemporaryDirectory()
        self.addCleanup(folder.cleanup)
        self.folder = folder.name

    def write(self, name, text):
        path = os.path.join(self.folder, name)
        with open(path, "w", encoding="utf-8") as file:
            file.write(text)
        return path

    def run_program(self, *arguments, env=None):
        return run(*arguments, cwd=self.folder, env=env)

    def succeed(self, *arguments, env=None):
        status, out, err = self.run_program(*arguments, env=env)
        self.assertEqual(status, 0, f"{arguments}: {err}")
        return out

    def refuse(self, *arguments, says=(), status=2):
        """The program ends with `status`, one clear message, and nothing on standard output."""
        got, out, err = self.run_program(*arguments)
        self.assertEqual(got, status, f"{arguments}: status {got}, {err}")
        self.assertEqual(out, "", f"{arguments}: wrote to standard output")
        self.assertTrue(err.startswith("feldspar: error: "), err)
        self.assertEqual(err.count("\n"), 1, f"{arguments}: more than one line: {err}")
        for part in [says] if isinstance(says, str) else says:
            self.assertIn(part, err)
        return err
