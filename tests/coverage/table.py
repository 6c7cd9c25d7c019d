#!/usr/bin/env python3
"""Prints how much of the code the tests run, from what `llvm-cov export --summary-only` says.
usage: table.py SUMMARY.json TREE

The code that decides whether a hole is clear is listed file by file with its branches, the rest by
folder with its lines.
"""
import json
import pathlib
import sys

DECIDES = {
    "verdict": ("models/hole_check.cpp", "models/checking.cpp", "models/hole_settings.cpp",
                "geometry/checked.h", "app/exit_status.h"),
    "tolerance": ("geometry/tolerance.cpp", "geometry/worst_pose", "geometry/seat.cpp",
                  "geometry/access.cpp", "models/site_worst.cpp"),
    "scale": ("export/printer_bars.cpp", "export/paper.cpp"),
    "placement": ("geometry/place", "geometry/measure.cpp", "geometry/zone", "models/placing",
                  "models/place_checks.cpp"),
}


def share(covered, count):
    return f"{100.0 * covered / count:6.1f}" if count else "     -"


def main(summary_path, tree):
    tree = pathlib.Path(tree).resolve()
    files = {}
    for entry in json.loads(pathlib.Path(summary_path).read_text())["data"][0]["files"]:
        path = pathlib.Path(entry["filename"]).resolve()
        if path.is_relative_to(tree):
            files[path.relative_to(tree).as_posix()] = entry["summary"]

    print(f"{'':44} {'branches':>10} {'%':>6} {'lines':>10} {'%':>6}")
    for group, starts in DECIDES.items():
        print(group)
        for name in sorted(n for n in files if n.startswith(starts)):
            branches, lines = files[name]["branches"], files[name]["lines"]
            print(f"  {name:42} {branches['covered']:4} / {branches['count']:3} "
                  f"{share(branches['covered'], branches['count'])} "
                  f"{lines['covered']:4} / {lines['count']:3} "
                  f"{share(lines['covered'], lines['count'])}")
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
