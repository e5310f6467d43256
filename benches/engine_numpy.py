"""Solves the linear systems of the engine's benchmark with numpy.

Takes the JSON file that the benchmark writes; prints for each case how many
solves a second one `numpy.linalg.solve` a version makes in a plain loop, and the
largest relative difference from the plan's answers.
"""

import json
import sys
import time

import numpy

# Many short repetitions: some of them fall where the machine does nothing else.
REPETITIONS = 200


def best_rate(systems):
    """Solves a second, the best of several passes through the versions."""
    least = float("inf")
    for _ in range(REPETITIONS):
        start = time.perf_counter()
        for matrix, right in systems:
            numpy.linalg.solve(matrix, right)
        least = min(least, time.perf_counter() - start)
    return len(systems) / least


def difference(case, systems):
    """The largest relative difference from the plan's answers."""
    largest = 0.0
    for (matrix, right), plan in zip(systems, case["plan"]):
        solution = numpy.linalg.solve(matrix, right)
        for columns, value in zip(case["asked"], plan):
            other = solution[columns].sum()
            largest = max(largest, abs(other - value) / abs(other))
    return largest


def main():
    with open(sys.argv[1], encoding="utf-8") as file:
        cases = json.load(file)
    for case in cases:
        count = case["unknowns"]
        systems = [
            (numpy.array(matrix).reshape(count, count), numpy.array(right))
            for matrix, right in case["versions"]
        ]
        print(best_rate(systems), difference(case, systems), flush=True)


if __name__ == "__main__":
    main()
