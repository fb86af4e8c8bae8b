"""Best speed from frames at two speeds and a prior, apart from the program: plain Python, another grid,
golden section instead of halving. US units throughout."""
import json
from math import exp, log, sqrt

SLOW, FAST, HEAD, TAIL, PER_BU, AT, ALPHA = [14, 17, 12, 19], [30, 41, 26, 35], 10.0, 4.0, 4.0, 3.0, 0.15
PRICE, HOUR, ACRES = 11.0, 180.0, 20.0 / 8.25  # acres an hour at 1 mph
K = 1 / ALPHA


def likelihood(counts, mean):
    return sum(y * log(mean / (mean + K)) + K * log(K / (mean + K)) for y in counts)


curves = []
for i in range(401):
    m = exp(log(0.5) - 5 + i * 10 / 400)
    for j in range(201):
        b = exp(log(2.5) + 0.40 * (-5 + j * 10 / 200))
        prior = -0.5 * ((log(m) - log(0.5)) ** 2 + ((log(b) - log(2.5)) / 0.40) ** 2)
        at = lambda v: HEAD + TAIL * PER_BU * m * (v / AT) ** b
        curves.append((prior + likelihood(SLOW, at(2.5)) + likelihood(FAST, at(4.0)), m, b))
top = max(one[0] for one in curves)
curves = [(exp(w - top), m, b) for w, m, b in curves if w - top > -18]
total = sum(one[0] for one in curves)
curves = [(w / total, m, b) for w, m, b in curves]
mean_b = sum(w * b for w, m, b in curves)


def cost(v):
    return PRICE * sum(w * m * (v / AT) ** b for w, m, b in curves) + HOUR / (ACRES * v)


low, high, golden = 1.0, 8.0, (sqrt(5) - 1) / 2
while high - low > 1e-7:
    a, c = high - golden * (high - low), low + golden * (high - low)
    low, high = (low, c) if cost(a) < cost(c) else (a, high)
best = sorted((AT * (HOUR / (ACRES * AT * PRICE * b * m)) ** (1 / (b + 1)), w) for w, m, b in curves)


def quantile(share):
    s = 0.0
    for v, w in best:
        s += w
        if s >= share:
            return v


print(json.dumps({
    "mean_exponent": round(mean_b, 5),
    "sd_exponent": round(sqrt(sum(w * (b - mean_b) ** 2 for w, m, b in curves)), 5),
    "mean_loss_bu_per_ac": round(sum(w * m for w, m, b in curves), 5),
    "least_expected_cost_mph": round((low + high) / 2, 5),
    "mph_5_50_95": [round(quantile(q), 4) for q in (0.05, 0.5, 0.95)],
}, indent=1))
