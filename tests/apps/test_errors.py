"""Wrong input: exit status 2, one clear message that names the place and the remedy, nothing on standard output."""
import os
import unittest

from program import SOURCE, WIRE, ProgramTest


def changed(old, new):
    assert old in WIRE, old
    return WIRE.replace(old, new)


CROSSING = """
[[wires]]
name = "other"
path = [["1 m", "-3 m", "10 m"], ["1 m", "3 m", "10 m"]]
diameter = "2 mm"
"""

# What is wrong with the file, and what the message has to say. Line 1 of the file is empty.
WRONG_FILES = {
    "bad toml": (changed('title = "Test wire"', 'title = "Test wire'), ["wrong.toml:2"]),
    "unknown key": (changed('diameter = "2 mm"', 'diametre = "2 mm"'), ["wrong.toml:14", "diametre", "diameter"]),
    "unknown section": (changed("[feed]", "[fead]"), ["wrong.toml:18", "fead", "feed"]),
    "wrong dimension": (changed('diameter = "2 mm"', 'diameter = "2 MHz"'),
                        ["wrong.toml:14", "wires.wire.diameter", "length", "frequency"]),
    "unknown unit": (changed('diameter = "2 mm"', 'diameter = "2 mmm"'), ["wrong.toml:14", "mmm"]),
    "implausible bare number": (changed('diameter = "2 mm"', "diameter = 1.6"), ["wrong.toml:14", "mm"]),
    "unknown parameter": (changed('path = [["-half"', 'path = [["-hall"'), ["wrong.toml:13", "hall", "half"]),
    "zero radius": (changed('diameter = "2 mm"', 'diameter = "0 mm"'), ["wrong.toml:14", "diameter"]),
    "negative radius": (changed('diameter = "2 mm"', 'diameter = "-2 mm"'), ["wrong.toml:14", "diameter"]),
    "zero length": (changed('["half", "0 m", "10 m"]]', '["-half", "0 m", "10 m"]]'), ["wire"]),
    "crossing wires": (WIRE + CROSSING, ["wire", "other", "point"]),
    "wire in the surface": (changed('"free space"', '"average"').replace('"10 m"', '"0 m"'),
                            ["wire", "on the soil", "mown_grass", "buried"]),
    "port on a missing wire": (changed('[port]\nwire = "wire"', '[port]\nwire = "wore"'), ["wrong.toml:16", "wore", "wire"]),
    "no port": (changed('[port]\nwire = "wire"\nposition = 0.5\n', ""), ["port"]),
    "negative power": (changed('power = "100 W"', 'power = "-100 W"'), ["wrong.toml:19", "feed.power"]),
    "default outside its limits": (changed('default = "5 m"', 'default = "50 m"'), ["half", "20 m"]),
    "unknown soil": (changed('"free space"', '"averidge"'), ["wrong.toml:10", "averidge", "average"]),
    "absurdly many copies": (changed('diameter = "2 mm"', 'diameter = "2 mm"\ncopies = { count = 1000000000, around = "z" }'),
                             ["wrong.toml:15", "copies"]),
    "position off the wire": (changed("position = 0.5", "position = 1.5"), ["wrong.toml:17", "position"]),
    "division by zero": (changed('diameter = "2 mm"', 'diameter = "2 mm / 0"'), ["wrong.toml:14"]),
    "no wires": (changed('[[wires]]\nname = "wire"\npath = [["-half", "0 m", "10 m"], ["half", "0 m", "10 m"]]\n'
                         'diameter = "2 mm"\n', ""), ["wire"]),
    "empty file": ("", ["wrong.toml"]),
    "binary": ("\0\1\2", ["wrong.toml"]),
}

# The words after `feldspar`, and what the message has to say.
WRONG_LINES = {
    "nothing": ([], ["command", "bands"]),
    "misspelt command": (["bnads", "wire.toml"], ["bnads", "did you mean 'bands'"]),
    "unknown command": (["frobnicate"], ["frobnicate", "bands, solve, pattern, report, check, sweep, gather, show, models"]),
    "option before the command": (["--format", "json", "bands", "wire.toml"], ["--format"]),
    "misspelt option": (["bands", "wire.toml", "--formt", "json"], ["--formt", "did you mean '--format'"]),
    "misspelt option with =": (["bands", "wire.toml", "--output=x", "--thread=2"], ["--thread", "--threads"]),
    "misspelt option and no model": (["bands", "--bnads", "40m"], ["--bnads", "--bands"]),
    "unknown short option": (["bands", "wire.toml", "-z"], ["-z"]),
    "option of another command": (["check", "wire.toml", "--bands", "40m"], ["--bands"]),
    "format of another command": (["models", "--format", "csv"], ["csv", "text, json"]),
    "no model": (["bands"], ["model", "feldspar models"]),
    "two models": (["solve", "wire.toml", "dipole", "--frequency", "7MHz"], ["one model", "dipole"]),
    "missing file": (["bands", "nothing.toml"], ["nothing.toml"]),
    "misspelt model": (["bands", "dipol"], ["dipol", "did you mean 'dipole'"]),
    "misspelt model to show": (["models", "whip-shrot"], ["whip-shrot", "did you mean 'whip-short'"]),
    "a folder as model": (["bands", "."], ["."]),
    "unknown format": (["bands", "wire.toml", "--format", "jsno"], ["--format", "jsno", "did you mean 'json'"]),
    "unknown accuracy": (["bands", "wire.toml", "--accuracy", "fien"], ["--accuracy", "fien", "fine"]),
    "region 4": (["bands", "wire.toml", "--region", "4"], ["--region", "1 to 3", "4"]),
    "region in words": (["bands", "wire.toml", "--region", "one"], ["--region", "one"]),
    "no threads": (["bands", "wire.toml", "--threads", "0"], ["--threads", "0"]),
    "half a thread": (["bands", "wire.toml", "--threads", "1.5"], ["--threads", "1.5"]),
    "negative threads": (["bands", "wire.toml", "--threads", "-1"], ["--threads", "-1"]),
    "very many threads": (["bands", "wire.toml", "--threads", "99999999999999999999"], ["--threads"]),
    "unknown band": (["bands", "wire.toml", "--bands", "41m"], ["41m", "40m"]),
    "empty band": (["bands", "wire.toml", "--bands", "40m,,20m"], ["band"]),
    "no frequency": (["solve", "wire.toml"], ["--frequency", "7.1MHz"]),
    "frequency 0": (["solve", "wire.toml", "--frequency", "0MHz"], ["--frequency", "above 0"]),
    "negative frequency": (["solve", "wire.toml", "--frequency", "-7MHz"], ["--frequency", "above 0"]),
    "frequency without unit": (["solve", "wire.toml", "--frequency", "7.1"], ["--frequency", "MHz"]),
    "a length as frequency": (["solve", "wire.toml", "--frequency", "7.1 m"], ["--frequency", "frequency", "length"]),
    "one of several frequencies wrong": (["solve", "wire.toml", "--frequency", "7.1MHz,,14MHz"], ["--frequency"]),
    "frequency with an open bracket": (["solve", "wire.toml", "--frequency", "max(7MHz,8MHz"], ["--frequency"]),
    "infinite frequency": (["solve", "wire.toml", "--frequency", "1e300*1e300 MHz"], ["--frequency"]),
    "set without value": (["bands", "wire.toml", "--set", "half"], ["half", "="]),
    "set unknown": (["bands", "wire.toml", "--set", "hlaf=5 m"], ["hlaf", "half"]),
    "set outside its limits": (["bands", "wire.toml", "--set", "half=99 m"], ["half", "20 m"]),
    "set a wrong dimension": (["bands", "wire.toml", "--set", "half=5 MHz"], ["half", "length"]),
    "option without value": (["bands", "wire.toml", "--set"], ["--set"]),
    "empty option": (["bands", "wire.toml", "--bands="], ["--bands"]),
    "option twice": (["bands", "wire.toml", "--format", "json", "--format", "csv"], ["--format"]),
    "output into no folder": (["bands", "wire.toml", "--output", "no/where.txt"], ["no/where.txt", "no folder"]),
    "output onto a folder": (["bands", "wire.toml", "--output", "."], ["folder"]),
    "lying heights without lying wires": (["bands", "dipole", "--lying-heights"], ["--lying-heights", "mown_grass"]),
    "lying heights in json": (["bands", "whip-ground-radials", "--lying-heights", "--format", "json"],
                              ["--lying-heights", "csv"]),
    "pattern without frequency": (["pattern", "wire.toml"], ["--frequency", "7.1MHz"]),
    "distance without unit": (["pattern", "wire.toml", "--frequency", "7MHz", "--distance", "300"], ["--distance", "km"]),
    "distance of a frequency": (["pattern", "wire.toml", "--frequency", "7MHz", "--distance", "7MHz"], ["--distance", "length"]),
    "distance too far": (["pattern", "wire.toml", "--frequency", "7MHz", "--distance", "30000km"], ["--distance", "20000"]),
    "layer under the clouds": (["pattern", "wire.toml", "--frequency", "7MHz", "--layer", "8km"], ["--layer", "50"]),
    "elevation in the soil": (["pattern", "wire.toml", "--frequency", "7MHz", "--elevations", "10deg,-5deg"],
                              ["--elevations", "0 to 90"]),
    "step that does not divide": (["pattern", "wire.toml", "--frequency", "7MHz", "--step", "7deg", "--format", "json"],
                                  ["--step", "90 deg"]),
    "step with text": (["pattern", "wire.toml", "--frequency", "7MHz", "--step", "5deg"], ["--step", "json"]),
    "nothing to return the current": (["bands", "whip-ground-radials", "--set", "radial_count=0"],
                                      ["the current has nowhere to return: add a radial, a stake, or the outside of the coax"]),
}


class WrongInputTest(ProgramTest):
    def test_files(self):
        for what, (text, says) in WRONG_FILES.items():
            with self.subTest(what):
                self.write("wrong.toml", text)
                for command in (["check"], ["bands"], ["solve", "--frequency", "14.2MHz"]):
                    self.refuse(command[0], "wrong.toml", *command[1:], says=says)

    def test_command_lines(self):
        self.write("wire.toml", WIRE)
        for what, (arguments, says) in WRONG_LINES.items():
            with self.subTest(what):
                self.refuse(*arguments, says=says)

    def test_options_that_are_not_due_are_refused(self):
        self.write("wire.toml", WIRE)
        for option in ("--versus", "--plane", "--soil-band"):
            with self.subTest(option):
                self.refuse("bands", "wire.toml", option, says=option)
        for command in ("compare", "optimise"):
            with self.subTest(command):
                self.refuse(command, "wire.toml", says=command)
        for name in ("touchstone", "hdf5"):
            with self.subTest(name):
                self.refuse("bands", "wire.toml", "--format", name, says=name)

    def test_a_file_that_may_not_be_read(self):
        path = self.write("secret.toml", WIRE)
        os.chmod(path, 0)
        if os.access(path, os.R_OK):
            self.skipTest("root may read everything")
        self.refuse("bands", "secret.toml", says="secret.toml")

    def test_the_built_in_models_are_not_changed_by_a_copy_of_their_name(self):
        self.write("dipole", WIRE)
        status, out, _ = self.run_program("check", "dipole")
        self.assertEqual(status, 0)
        self.assertNotIn("Test wire", out)
        self.assertTrue(os.path.exists(os.path.join(SOURCE, "models", "dipole.toml")))


if __name__ == "__main__":
    unittest.main()
