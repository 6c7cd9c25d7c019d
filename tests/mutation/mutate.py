#!/usr/bin/env python3
"""Turns each comparison and each sign of the verdict code round, one at a time, and sees whether a
test fails. usage: mutate.py BUILD_FOLDER [FILE...]

BUILD_FOLDER is a configured build of a copy of the tree that may be changed (./dev mutate makes one).
Prints a line for each change that no test noticed, then the counts by file. Status 1 if any survived
that is not in tests/mutation/equal.txt, where those stand that cannot change what the program does,
each with its reason.
"""
import pathlib
import re
import subprocess
import sys

# What decides a verdict, and the tests that hold it: a program, or some tests of one after a colon.
CHECKING = "models_checking_tests:-LargeJob*"  # large jobs ask for times and equal answers only
SUBJECTS = {
    "models/hole_check.cpp": [CHECKING, "models_analysis_tests"],
    "models/checking.cpp": [CHECKING],
    "geometry/tolerance.cpp": ["geometry_clearance_tests", "geometry_worst_pose_tests"],
    "geometry/seat.cpp": ["geometry_clearance_tests", CHECKING],
    "export/printer_bars.cpp": ["export_tests:PrinterBars*"],
}
TURNED = {"<": ">=", ">": "<=", "<=": ">", ">=": "<", "==": "!=", "!=": "==", "+": "-", "-": "+",
          "+=": "-=", "-=": "+="}
BINARY = re.compile(r" (<=|>=|==|!=|\+=|-=|<|>|\+|-) ")
UNARY = re.compile(r"(?<=[(\s,=])-(?=[A-Za-z_0-9(])")
TIME_LIMIT_S = 300


def blanked(line):
    """The line with texts and comments blanked, the columns kept."""
    line = re.sub(r'"(?:\\.|[^"\\])*"', lambda m: "_" * len(m.group()), line)
    return re.sub(r"//.*", lambda m: " " * len(m.group()), line)


def changes(text):
    """Each change: line number from 1, the old line, the new line, what was changed."""
    for number, line in enumerate(text.split("\n"), 1):
        code = blanked(line)
        if code.lstrip().startswith(("#", "template")):
            continue
        for found in BINARY.finditer(code):
            old = found.group(1)
            start = found.start(1)
            if code[:start].rstrip().endswith(("operator", "return")):
                continue
            new = TURNED[old]
            yield number, line, line[:start] + new + line[start + len(old):], f"{old} to {new}"
        for found in UNARY.finditer(code):
            start = found.start()
            yield number, line, line[:start] + line[start + 1:], "sign dropped"


def run(command, folder):
    try:
        return subprocess.run(command, cwd=folder, capture_output=True, timeout=TIME_LIMIT_S,
                              check=False).returncode
    except subprocess.TimeoutExpired:
        return 1


def noticed(build, tests):
    """True if the change does not compile or a test fails."""
    named = [test.partition(":") for test in tests]
    if run(["ninja", *(program for program, _, _ in named)], build) != 0:
        return True
    return any(run([f"tests/{program}", "--gtest_brief=1", "--gtest_fail_fast",
                    f"--gtest_filter={some or '*'}"], build) != 0
               for program, _, some in named)


def equal_changes(tree):
    """The lines of equal.txt: file, code, change, kept as one text each."""
    lines = (tree / "tests/mutation/equal.txt").read_text().splitlines()
    return {line for line in lines if line and not line.startswith("#")}


def main(build, *files):
    build = pathlib.Path(build).resolve()
    cache = (build / "CMakeCache.txt").read_text()
    tree = pathlib.Path(re.search(r"holeward_SOURCE_DIR:STATIC=(.*)", cache).group(1))
    equal = equal_changes(tree)
    unexpected = 0
    for name in files or SUBJECTS:
        path = tree / name
        text = path.read_text()
        tests = SUBJECTS[name]
        if noticed(build, tests):
            sys.exit(f"{name}: its tests fail before anything is changed")
        made = survived = excused = 0
        lines = text.split("\n")
        try:
            for number, old, new, what in changes(text):
                path.write_text("\n".join(lines[:number - 1] + [new] + lines[number:]))
                made += 1
                if noticed(build, tests):
                    continue
                if f"{name}: {old.strip()}: {what}" in equal:
                    excused += 1
                    continue
                survived += 1
                print(f"{name}:{number}: {what}: {old.strip()}", flush=True)
        finally:
            path.write_text(text)
        print(f"{name}: {made} changes, {made - survived - excused} noticed, {excused} that change "
              f"nothing, {survived} survived", flush=True)
        unexpected += survived
    return 1 if unexpected else 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
