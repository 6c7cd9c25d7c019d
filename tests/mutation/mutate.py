#!/usr/bin/env python3
"""Turns each comparison and each sign of the verdict code round, one at a time, and sees whether a
test fails. usage: mutate.py BUILD_FOLDER [FILE...]

BUILD_FOLDER is a configured build of a copy of the tree that may be changed (./dev mutate makes one).
A file is compiled once with all its changes in it, of which the environment turns one on (turned.h);
what does not compile that way, and what is a constant, is changed and compiled by itself. Prints a
line for each change that no test noticed, then the counts by file. Status 1 if any survived that is
not in tests/mutation/equal.txt, where those stand that cannot change what the program does, each
with its reason.
"""
import os
import pathlib
import re
import resource
import subprocess
import sys
from dataclasses import dataclass

# What decides a verdict, and the tests that hold it: a program, or some tests of one after a colon.
# The quickest first, if need be before all of their program: one that fails ends the matter.
CHECKING = "models_checking_tests:-LargeJob*"  # large jobs ask for times and equal answers only
CLEARANCE = "geometry_clearance_tests"
WORST = "geometry_worst_pose_tests"
ANALYSIS = "models_analysis_tests:HoleReach*:HoleBound*:HoleAnalysis*"
SETTINGS = "models_analysis_tests:HoleSettings*"
BORDERS = "models_analysis_tests:HoleReach.Reaches*"
REACH = "models_analysis_tests:HoleReach*"
REASONS = "models_checking_tests:HoleReasons*:HoleStop*:HoleCheck*"
ACCESS = "geometry_clearance_tests:Access*:HoleGuards*"
CONES = "geometry_clearance_tests:ToleranceCones.*-*.TogetherAre*"
TOLERANCE = "geometry_clearance_tests:Tolerance*:HoleGuards*"
PARTS = "geometry_worst_pose_tests:WorstPoseWalls*:WorstPoseSearch*:WorstPoseMetal*:WorstPoseCells*"
BOUNDS = "geometry_worst_pose_tests:WorstPoseBounds*:WorstPoseParts*"
WHOLE = "geometry_worst_pose_tests:-*.NoSampled*"
NEAR = "geometry_clearance_tests:NearWall*"
SUBJECTS = {
    "models/hole_check.cpp": [REASONS, CHECKING, ANALYSIS],
    "models/hole_site.cpp": [BORDERS, REASONS, REACH, CHECKING, ANALYSIS],
    "models/checking.cpp": [CHECKING],
    "geometry/tolerance.cpp": [CONES, TOLERANCE, CLEARANCE, WORST],
    "geometry/seat.cpp": [CLEARANCE, CHECKING],
    "geometry/access.cpp": [ACCESS, CLEARANCE, CHECKING],
    "models/site_worst.cpp": ["models_analysis_tests:SiteWorst*"],
    "models/hole_settings.cpp": [SETTINGS],
    "geometry/worst_pose.cpp": [PARTS, BOUNDS, WHOLE, WORST, CLEARANCE, ANALYSIS],
    "geometry/worst_pose_cells.cpp": [PARTS, BOUNDS, WHOLE, WORST, CLEARANCE, ANALYSIS],
    "geometry/worst_pose_metal.cpp": [PARTS, BOUNDS, WHOLE, WORST, CLEARANCE, ANALYSIS],
    "geometry/worst_pose_along.cpp": [BOUNDS, PARTS, WHOLE, WORST],
    "geometry/worst_pose_bounds.cpp": [BOUNDS, PARTS, WHOLE, WORST],
    "geometry/worst_pose_search.cpp": [PARTS, WHOLE, WORST],
    "geometry/near_wall.cpp": [NEAR, CLEARANCE, WORST, ANALYSIS],
    "export/printer_bars.cpp": ["export_tests:PrinterBars*"],
}
TURNED = {"<": ">=", ">": "<=", "<=": ">", ">=": "<", "==": "!=", "!=": "==", "+": "-", "-": "+",
          "+=": "-=", "-=": "+="}
BINARY = re.compile(r" (<=|>=|==|!=|\+=|-=|<|>|\+|-) ")
UNARY = re.compile(r"(?<=[(\s,={])-(?=[A-Za-z_0-9(])")
# Of computing, not of the clock: a busy machine must not pass for a test that fails. A change that
# makes a loop endless ends there; one that costs many times what the tests take unchanged is noticed.
CPU_LIMIT_S = 120
CPU_TIMES = 5
CPU_SPARE_S = 5
MEMORY_LIMIT = 6 << 30


@dataclass
class Change:
    number: int  # from 1 within its file
    line: int  # from 1
    start: int
    old: str
    new: str

    def what(self):
        return f"{self.old} to {self.new}" if self.new else "sign dropped"

    def changed(self, text):
        """The line changed for good."""
        return text[:self.start] + self.new + text[self.start + len(self.old):]

    def switched(self):
        """What stands in its place where it can be turned on."""
        sign = f"holeward::turned::Sign<{self.number}>{{}}"
        return f"{self.old} {sign} {self.old}" if self.new else f"{sign} % "


def blanked(line):
    """The line with texts and comments blanked, the columns kept."""
    line = re.sub(r'"(?:\\.|[^"\\])*"', lambda m: "_" * len(m.group()), line)
    return re.sub(r"//.*", lambda m: " " * len(m.group()), line)


def changes(lines):
    found = []
    for number, line in enumerate(lines, 1):
        code = blanked(line)
        if code.lstrip().startswith(("#", "template")):
            continue
        for match in BINARY.finditer(code):
            start = match.start(1)
            if not code[:start].rstrip().endswith(("operator", "return")):
                found.append((number, start, match.group(1), TURNED[match.group(1)]))
        found += [(number, match.start(), "-", "") for match in UNARY.finditer(code)]
    return [Change(i, *change) for i, change in enumerate(found, 1)]


def with_switches(lines, switched):
    """The text with each of the changes as a switch."""
    lines = list(lines)
    for change in sorted(switched, key=lambda c: -c.start):
        line = lines[change.line - 1]
        lines[change.line - 1] = (line[:change.start] + change.switched() +
                                  line[change.start + len(change.old):])
    return '#include "tests/mutation/turned.h"\n#line 1\n' + "\n".join(lines)


def limited(seconds):
    resource.setrlimit(resource.RLIMIT_CPU, (seconds, seconds))
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY_LIMIT, MEMORY_LIMIT))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))


def computed():
    """Seconds the processes that have ended computed for."""
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


class Build:
    def __init__(self, folder, tests):
        self.folder = folder
        self.tests = [test.partition(":") for test in tests]
        self.limits = [CPU_LIMIT_S] * len(tests)

    def compile(self):
        """What the compiler says against it; empty if nothing."""
        done = subprocess.run(["ninja", *{program for program, _, _ in self.tests}],
                              cwd=self.folder, capture_output=True, text=True, check=False)
        return "" if done.returncode == 0 else done.stdout + done.stderr

    def run(self, which, turned):
        """True if the tests of that number fail with the change of that number turned on."""
        program, _, some = self.tests[which]
        return subprocess.run([f"tests/{program}", "--gtest_brief=1", "--gtest_fail_fast",
                               f"--gtest_filter={some or '*'}"],
                              cwd=self.folder, capture_output=True, check=False,
                              env=os.environ | {"HOLEWARD_TURNED": str(turned)},
                              preexec_fn=lambda: limited(self.limits[which])).returncode != 0

    def fails(self, turned):
        """True if a test fails with the change of that number turned on."""
        return any(self.run(which, turned) for which in range(len(self.tests)))

    def fails_unchanged(self):
        """True if a test fails with no change turned on; from then on tests may take some times as long."""
        for which in range(len(self.tests)):
            before = computed()
            if self.run(which, 0):
                return True
            took = computed() - before
            self.limits[which] = min(CPU_LIMIT_S, int(CPU_TIMES * took) + CPU_SPARE_S)
        return False


def compile_switched(build, path, lines, all_changes):
    """Compiles as many of the changes as switches as the compiler takes; these."""
    switched = all_changes
    while True:
        path.write_text(with_switches(lines, switched))
        said = build.compile()
        if not said:
            return switched
        refused = {int(line) for line in
                   re.findall(rf"{re.escape(path.name)}:(\d+):\d+:\s+(?:error|required from)",
                              re.sub(r"\x1b\[[0-9;]*[mK]", "", said))}
        kept = [change for change in switched if change.line not in refused]
        if len(kept) == len(switched):
            sys.exit(f"{path}: does not compile:\n{said}")
        switched = kept


def survivors(build, path, lines):
    """All changes, and of them those that no test noticed."""
    all_changes = changes(lines)
    switched = compile_switched(build, path, lines, all_changes)
    if build.fails_unchanged():
        sys.exit(f"{path}: its tests fail before anything is changed")
    noticed = {change.number for change in switched if build.fails(change.number)}
    # Once more for good what was not compiled as a switch, and what may be a constant: that is worked
    # out by the compiler, where no switch is on.
    at_run = {change.number for change in switched if "constexpr" not in lines[change.line - 1]}
    left = []
    for change in all_changes:
        if change.number in noticed:
            continue
        if change.number in at_run:
            left.append(change)
            continue
        at = change.line - 1
        path.write_text("\n".join(lines[:at] + [change.changed(lines[at])] + lines[at + 1:]))
        if not build.compile() and not build.fails(0):
            left.append(change)
    return all_changes, left


def main(build, *files):
    folder = pathlib.Path(build).resolve()
    cache = (folder / "CMakeCache.txt").read_text()
    tree = pathlib.Path(re.search(r"holeward_SOURCE_DIR:STATIC=(.*)", cache).group(1))
    equal = set((tree / "tests/mutation/equal.txt").read_text().splitlines())
    unexpected = 0
    for name in files or SUBJECTS:
        path = tree / name
        text = path.read_text()
        lines = text.split("\n")
        try:
            made, left = survivors(Build(folder, SUBJECTS[name]), path, lines)
        finally:
            path.write_text(text)
        survived = 0
        for change in sorted(left, key=lambda c: c.number):
            code = lines[change.line - 1].strip()
            if f"{name}: {code}: {change.what()}" in equal:
                continue
            survived += 1
            print(f"{name}:{change.line}: {change.what()}: {code}", flush=True)
        print(f"{name}: {len(made)} changes, {len(made) - len(left)} noticed, "
              f"{len(left) - survived} that change nothing, {survived} survived", flush=True)
        unexpected += survived
    return 1 if unexpected else 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
