"""Prints the reference values that the tests of src/arrange pin.

Run once by hand, not by the tests:  pip install numpy scipy && python tests/reference/arrange.py
The values in the tests were printed with numpy 2.4.6 and scipy 1.17.1.
"""

import heapq

import numpy
import scipy
from scipy.optimize import brentq, linear_sum_assignment
from scipy.stats import entropy

print("numpy", numpy.__version__, "scipy", scipy.__version__)

HOUSEHOLD = [0.28, 0.22, 0.14, 0.12, 0.10, 0.07, 0.04, 0.03]


def huffman(weights):
    heap = list(weights)
    heapq.heapify(heap)
    length = 0.0
    while len(heap) > 1:
        joined = heapq.heappop(heap) + heapq.heappop(heap)
        length += joined
        heapq.heappush(heap, joined)
    return length / sum(weights)


print("household: entropy and Huffman length")
print(" ", float(entropy(HOUSEHOLD, base=2)), huffman(HOUSEHOLD))
print("five symbols .25 .25 .2 .15 .15:", huffman([0.25, 0.25, 0.2, 0.15, 0.15]))
print("letters of cost 1 + kappa, 2 + kappa, ...: capacity and bound of the household menu")
for kappa in (0.0, 1.0, 2.0, -0.35):
    rate = brentq(lambda x: x ** (kappa + 1) - (1 - x), 1e-9, 1 - 1e-9, xtol=1e-15)
    rate = -numpy.log2(rate)
    print(f"  {kappa}: {float(rate):.6f} {float(entropy(HOUSEHOLD, base=2) / rate):.6f}")


def level(place, interval, first, press):
    """Seconds at one level without errors: the first entry is lit `first` longer."""
    return place * interval + (first if place else 0.0) + press


def assigned(rows, columns, question=()):
    """Least mean seconds over all orders of a grid; the items in `question` are asked about once more."""
    interval, first, press = 1.2, 0.4, 0.65
    count = rows * columns
    weights = numpy.array([30.0 / ((k * 23) % count + 1) for k in range(count)])
    places = [level(r, interval, first, press) + level(c, interval, first, press)
              for r in range(rows) for c in range(columns)]
    # The question lights the way back first, then the item.
    asks = numpy.array([level(1, interval, first, press) if k in question else 0.0 for k in range(count)])
    costs = weights[:, None] * (numpy.array(places)[None, :] + asks[:, None])
    items, at = linear_sum_assignment(costs)
    return float(costs[items, at].sum() / weights.sum())


print("optimal assignment (T 1.2, D 0.4, press 0.65): 3 x 3, 6 x 6, 8 x 8, 6 x 6 with four questions")
print(" ", assigned(3, 3), assigned(6, 6), assigned(8, 8), assigned(6, 6, (9, 19, 29, 35)))
