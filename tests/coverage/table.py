#!/usr/bin/env python3
"""Prints how much of the code the tests run, from what `llvm-cov export` says.
usage: table.py EXPORT.json TREE

The code that decides whether a hole is clear is listed file by file with its branches, the rest by
folder with its lines. Under each of its files stand the branches that no test takes, but for those
that none can take: they are kept in tests/coverage/unreachable.txt, each with its reason, and are not
counted.
"""
import json
import pathlib
import sys

DECIDES = {
    "verdict": ("models/hole_check.cpp", "models/checking.cpp", "models/hole_settings.cpp",
                "models/hole_site.cpp", "geometry/checked.h", "app/exit_status.h"),
    "tolerance": ("geometry/tolerance.cpp", "geometry/worst_pose", "geometry/seat.cpp",
                  "geometry/access.cpp", "models/site_worst.cpp"),
    "scale": ("export/printer_bars.cpp", "export/paper.cpp"),
    "placement": ("geometry/place", "geometry/measure.cpp", "geometry/zone", "models/placing",
                  "models/place_checks.cpp"),
}


def share(covered, count):
    return f"{100.0 * covered / count:6.1f}" if count else "     -"


def branches_not_taken(tree, name, entry):
    """How many branches a file has; each that no test takes: line, what is never so, its code."""
    lines = (tree / name).read_text().split("\n")
    places = {}  # a template has its branches once an instance
    for line, column, to_line, to_column, true, false, *_ in entry.get("branches", []):
        if lines[line - 1].endswith("= default;"):
            continue  # a comparison the compiler makes
        counts = places.setdefault((line, column, to_line, to_column), [0, 0])
        counts[0] += true
        counts[1] += false
    found = []
    for (line, column, to_line, to_column), counts in sorted(places.items()):
        last = to_column - 1 if to_line == line else None
        code = lines[line - 1][column - 1:last].strip()
        if f"switch ({code})" in lines[line - 1]:
            counts[0] = 1  # what it has no case for: none, it names each value (-Wswitch)
        found += [(line, what, code) for what, count in zip(("true", "false"), counts) if count == 0]
    return 2 * len(places), found


def unreachable_in(tree):
    """The lines of unreachable.txt: FILE: CODE: never true|false."""
    text = (tree / "tests/coverage/unreachable.txt").read_text()
    return {line for line in text.splitlines() if line and not line.startswith("#")}


def main(export_path, tree):
    tree = pathlib.Path(tree).resolve()
    files = {}
    entries = {}
    for entry in json.loads(pathlib.Path(export_path).read_text())["data"][0]["files"]:
        path = pathlib.Path(entry["filename"]).resolve()
        if path.is_relative_to(tree):
            name = path.relative_to(tree).as_posix()
            files[name] = entry["summary"]
            entries[name] = entry
    unreachable = unreachable_in(tree)

    print(f"{'':44} {'branches':>10} {'%':>6} {'lines':>10} {'%':>6}")
    for group, starts in DECIDES.items():
        print(group)
        for name in sorted(n for n in files if n.startswith(starts)):
            lines = files[name]["lines"]
            count, missed = branches_not_taken(tree, name, entries[name])
            open_ones = [m for m in missed if f"{name}: {m[2]}: never {m[1]}" not in unreachable]
            count -= len(missed) - len(open_ones)
            covered = count - len(open_ones)
            print(f"  {name:42} {covered:4} / {count:3} {share(covered, count)} "
                  f"{lines['covered']:4} / {lines['count']:3} "
                  f"{share(lines['covered'], lines['count'])}")
            for line, what, code in open_ones:
                print(f"      {line}: never {what}: {code}")
    print("by folder")
    for folder in ("geometry", "models", "export", "viewer", "app"):
        of_folder = [s for n, s in files.items() if n.startswith(folder + "/")]
        if not of_folder:
            continue
        sums = [sum(s[kind][what] for s in of_folder)
                for kind in ("branches", "lines") for what in ("covered", "count")]
        print(f"  {folder:40} {sums[0]:5} / {sums[1]:4} {share(sums[0], sums[1])} "
              f"{sums[2]:5} / {sums[3]:4} {share(sums[2], sums[3])}")


if __name__ == "__main__":
    main(*sys.argv[1:])
