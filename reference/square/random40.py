"""A random network of 40 slips, squared by dense linear algebra.

Writes random40.json: the network (places, slips, balances, measurements) and what a dense solver makes
of it: squared values, standard errors, residuals, z, chi-square. Shares no code with the program.

Method: the full system with Lagrange multipliers,
    [ H' W H  A' ] [x]   [H' W y]
    [ A       0  ] [l] = [  b   ],
solved with numpy; the upper left block of its inverse is the covariance of x. Monitors enter as
reading = x / k + error, linearised three times from k = 1, x = reading, with the standard error of each
a share of the mean of x / k and the reading held between 0.8 and 1.4 of the reading, both at the point of
linearisation; then once more for residuals and covariance.
"""
import json
import numpy as np

rng = np.random.default_rng(40)
unknowns, balances, measurements = [], [], []


def unknown(start):
    unknowns.append(float(start))
    return len(unknowns) - 1


def linear(terms, value, sd, tested=True):
    measurements.append({"kind": "linear", "terms": terms, "value": float(value), "sd": float(sd), "tested": tested})


k_true = [1.06, 0.93]
k = [unknown(1.0), unknown(1.0)]
for f in k:
    linear([[f, 1.0]], 1.0, 0.1, tested=False)
slips = 0
into_bin = []
while slips < 40:
    machine = int(rng.integers(2))
    tanks = int(rng.integers(1, 4))
    row, total = [], 0.0
    for _ in range(tanks):
        true = rng.uniform(4000.0, 7000.0)
        reading = round(true / k_true[machine] * (1 + 0.025 * rng.standard_normal()), 1)
        x = unknown(reading)
        measurements.append({"kind": "quotient", "mass": x, "factor": k[machine], "reading": reading,
                             "relative": 0.025, "sd": 20.0, "tested": True})
        row.append([x, 1.0])
        total += true
        slips += 1
    ticket = unknown(total)
    row.append([ticket, -1.0])
    balances.append({"terms": row, "total": 0.0})
    if rng.random() < 0.7:
        linear([[ticket, 1.0]], round(total + 25.0 * rng.standard_normal(), 1), 25.0)
    if rng.random() < 0.4:
        into_bin.append((ticket, total))
    slips += 1
# the bin: opened with a measured stock, measured in the middle, emptied by weighed trucks
opening_true = 9000.0
opening = unknown(opening_true)
linear([[opening, 1.0]], round(opening_true * 1.01, 1), 270.0)
half = len(into_bin) // 2
middle_true = opening_true + sum(t for _, t in into_bin[:half])
middle = unknown(middle_true)
linear([[middle, 1.0]], round(middle_true * 0.985, 1), 0.03 * middle_true)
balances.append({"terms": [[opening, 1.0]] + [[x, 1.0] for x, _ in into_bin[:half]] + [[middle, -1.0]], "total": 0.0})
left = middle_true + sum(t for _, t in into_bin[half:])
outs = []
for share in (0.5, 0.3):
    out = unknown(left * share)
    linear([[out, 1.0]], round(left * share + 30.0 * rng.standard_normal(), 1), 30.0)
    outs.append(out)
rest = unknown(left * 0.2)
linear([[rest, 1.0]], round(left * 0.2 * 1.02, 1), 0.03 * left * 0.2)
balances.append({"terms": [[middle, 1.0]] + [[x, 1.0] for x, _ in into_bin[half:]]
                 + [[o, -1.0] for o in outs] + [[rest, -1.0]], "total": 0.0})

n, m, r = len(unknowns), len(measurements), len(balances)
A, b = np.zeros((r, n)), np.zeros(r)
for i, balance in enumerate(balances):
    for j, a in balance["terms"]:
        A[i, j] += a
    b[i] = balance["total"]


def linearise(x):
    H, rest, var = np.zeros((m, n)), np.zeros(m), np.zeros(m)
    for i, e in enumerate(measurements):
        if e["kind"] == "linear":
            for j, a in e["terms"]:
                H[i, j] += a
            rest[i] = e["value"] - H[i] @ x
            var[i] = e["sd"] ** 2
        else:
            factor, mass = x[e["factor"]], x[e["mass"]]
            shown = mass / factor
            H[i, e["mass"]], H[i, e["factor"]] = 1 / factor, -shown / factor
            rest[i] = e["reading"] - shown
            mean = np.clip((shown + e["reading"]) / 2, 0.8 * e["reading"], 1.4 * e["reading"])
            var[i] = (e["relative"] * mean) ** 2 + e["sd"] ** 2
    return H, rest, var


def system(H, var):
    K = np.zeros((n + r, n + r))
    scale = 1e4  # keeps both blocks of the same size
    K[:n, :n] = H.T @ (H / var[:, None]) * scale
    K[:n, n:], K[n:, :n] = A.T, A
    return K, scale


x = np.array(unknowns)
for _ in range(3):
    H, rest, var = linearise(x)
    K, scale = system(H, var)
    step = np.linalg.solve(K, np.concatenate([H.T @ (rest / var) * scale, b - A @ x]))
    step += np.linalg.solve(K, np.concatenate([H.T @ (rest / var) * scale, b - A @ x]) - K @ step)
    x = x + step[:n]
H, rest, var = linearise(x)
K, scale = system(H, var)
C = np.linalg.inv(K)[:n, :n] * scale
fitted = np.einsum("ij,jk,ik->i", H, C, H)
left = var - fitted
z = [float(rest[i] / np.sqrt(left[i])) if left[i] > 1e-7 * var[i] and measurements[i]["tested"] else None for i in range(m)]
json.dump({
    "slips": slips,
    "unknowns": unknowns,
    "balances": balances,
    "measurements": measurements,
    "values": x.tolist(),
    "errors": np.sqrt(np.maximum(np.diag(C), 0)).tolist(),
    "residuals": rest.tolist(),
    "z": z,
    "chi_square": float(np.sum(rest ** 2 / var)),
    "dof": m - n + int(np.linalg.matrix_rank(A)),
}, open("random40.json", "w"), indent=1)
print("slips", slips, "unknowns", n, "measurements", m, "balances", r)
