"""Prints the files clang-tidy has to read: those of BUILD's compile commands that hold the sources of lib/ and apps/,
many of them in one where the build joins a module's files. Fails if a source would not be read.

    lint_units.py BUILD SOURCE…
"""
import json
import pathlib
import re
import sys

build, sources = pathlib.Path(sys.argv[1]).resolve(), {pathlib.Path(name).resolve() for name in sys.argv[2:]}
units, read = [], set()
for command in json.loads((build / "compile_commands.json").read_text()):
    unit = pathlib.Path(command["file"])
    if "Unity" in unit.parts:
        held = {pathlib.Path(name) for name in re.findall(r'^#include "(.+)"$', unit.read_text(), re.MULTILINE)}
    else:
        held = {unit}
    if held & sources:
        units.append(unit)
        read |= held
missing = sorted(str(name) for name in sources - read)
if missing or not sources:
    sys.exit("clang-tidy would not read " + (", ".join(missing) or "anything"))
print("\n".join(map(str, units)))
