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
REPETITIONS = 60
LEAST_SECONDS = 0.004


def best_rate(systems):
    """Solves a second, the best of several repetitions."""
    for matrix, right in systems:
        numpy.linalg.solve(matrix, right)
    best = 0.0
    for _ in range(REPETITIONS):
        done = 0
        start = time.perf_counter()
        spent = 0.0
        while spent < LEAST_SECONDS:
            for matrix, right in systems:
                numpy.linalg.solve(matrix, right)
            done += len(systems)
            spent = time.perf_counter() - start
        best = max(best, done / spent)
    return best


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
