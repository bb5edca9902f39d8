"""Runs the sessions that README.md shows and compares what is printed.

A session is a block fenced by ```console: lines "$ feldspar ..." and what each prints. Texts must agree word for word
(blanks apart), numbers to one unit of their last printed digit, since libraries of other machines round differently.
`session.py --update` writes the program's present output into README.md.
"""
import os
import re
import shlex
import subprocess
import sys

ROOT = os.environ.get("FELDSPAR_SOURCE_DIR") or os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "..")
PROGRAM = os.environ.get("FELDSPAR") or os.path.join(ROOT, ".build", "release", "apps", "feldspar")
NUMBER = re.compile(r"\d+(?:\.\d+)?")


def printed_by(command):
    words = shlex.split(command)
    assert words[0] == "feldspar", f"a session may only call feldspar: {command}"
    done = subprocess.run([PROGRAM] + words[1:], stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, timeout=300)
    return done.stdout.rstrip("\n")


def unit_of_last_digit(number):
    return 10.0 ** -len(number.partition(".")[2])


def same(shown, printed):
    if NUMBER.sub("#", shown).split() != NUMBER.sub("#", printed).split():
        return False
    pairs = zip(NUMBER.findall(shown), NUMBER.findall(printed))
    return all(abs(float(a) - float(b)) <= 1.001 * max(unit_of_last_digit(a), unit_of_last_digit(b)) for a, b in pairs)


def split_session(block):
    """[(command, output)] of one block's text."""
    parts = re.split(r"^\$ (.*)\n", block, flags=re.M)
    return [(parts[i], parts[i + 1].rstrip("\n")) for i in range(1, len(parts), 2)]


def main():
    path = os.path.join(ROOT, "README.md")
    with open(path, encoding="utf-8") as file:
        text = file.read()
    wrong = []
    count = 0

    def replace(match):
        nonlocal count
        renewed = []
        for command, shown in split_session(match.group(1)):
            count += 1
            printed = printed_by(command)
            if not same(shown, printed):
                wrong.append((command, shown, printed))
            renewed.append(f"$ {command}\n{printed}\n")
        return "```console\n" + "\n".join(renewed) + "```"

    renewed = re.sub(r"```console\n(.*?)```", replace, text, flags=re.S)
    if count == 0:
        sys.exit("README.md shows no session")
    if "--update" in sys.argv[1:]:
        with open(path, "w", encoding="utf-8") as file:
            file.write(renewed)
        print(f"{count} commands run, {len(wrong)} had changed")
        return
    for command, shown, printed in wrong:
        print(f"$ {command}\nREADME.md shows:\n{shown}\nthe program prints:\n{printed}\n")
    if wrong:
        sys.exit("README.md is out of date: python3 tests/readme/session.py --update")
    print(f"{count} commands print what README.md shows")


if __name__ == "__main__":
    main()
