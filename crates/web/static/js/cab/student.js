// Student's t: probabilities and quantiles, by the incomplete beta function (continued fraction, modified Lentz),
// held to the desk's own numbers by shared test vectors.

// ln gamma by Lanczos, g = 7, nine terms: good to about 1e-15
const LANCZOS = [
  0.99999999999980993, 676.5203681218851, -1259.1392167224028, 771.32342877765313, -176.61502916214059,
  12.507343278686905, -0.13857109526572012, 9.9843695780195716e-6, 1.5056327351493116e-7,
];

/** @param {number} x above 0 @returns {number} */
function lnGamma(x) {
  if (x < 0.5) return Math.log(Math.PI / Math.sin(Math.PI * x)) - lnGamma(1 - x);
  const z = x - 1;
  const t = z + 7.5;
  const sum = LANCZOS.slice(1).reduce((sum, c, i) => sum + c / (z + i + 1), LANCZOS[0]);
  return 0.5 * Math.log(2 * Math.PI) + (z + 0.5) * Math.log(t) - t + Math.log(sum);
}

/** @param {number} a @param {number} b @param {number} x */
function fraction(a, b, x) {
  const small = 1e-300;
  const kept = (/** @type {number} */ value) => (Math.abs(value) < small ? small : value);
  let c = 1;
  let d = 1 / kept(1 - ((a + b) * x) / (a + 1));
  let h = d;
  for (let m = 1; m <= 2000; m += 1) {
    for (const term of [(m * (b - m) * x) / ((a + 2 * m - 1) * (a + 2 * m)), (-(a + m) * (a + b + m) * x) / ((a + 2 * m) * (a + 2 * m + 1))]) {
      d = 1 / kept(1 + term * d);
      c = kept(1 + term / c);
      h *= d * c;
    }
    if (Math.abs(d * c - 1) < 1e-16) break;
  }
  return h;
}

/** Regularized incomplete beta. @param {number} a @param {number} b @param {number} x @param {number} y 1 - x */
function beta(a, b, x, y) {
  if (x <= 0) return 0;
  if (y <= 0) return 1;
  const front = Math.exp(lnGamma(a + b) - lnGamma(a) - lnGamma(b) + a * Math.log(x) + b * Math.log(y));
  return x < (a + 1) / (a + b + 2) ? (front * fraction(a, b, x)) / a : 1 - (front * fraction(b, a, y)) / b;
}

/** The chance that t lies below. @param {number} t @param {number} df @returns {number} */
export function below(t, df) {
  const square = t * t;
  const tail = Number.isFinite(square) ? 0.5 * beta(df / 2, 0.5, df / (df + square), square / (df + square)) : 0;
  return t > 0 ? 1 - tail : tail;
}

/** @param {number} t @param {number} df */
function density(t, df) {
  return Math.exp(lnGamma((df + 1) / 2) - lnGamma(df / 2) - 0.5 * Math.log(df * Math.PI) - ((df + 1) / 2) * Math.log1p((t * t) / df));
}

/** The t below which a share p of cases lies. @param {number} p between 0 and 1 @param {number} df @returns {number} */
export function quantile(p, df) {
  if (p === 0.5) return 0;
  if (p < 0.5) return -quantile(1 - p, df);
  let low = 0;
  let high = 1;
  while (below(high, df) < p && high < 1e150) {
    low = high;
    high *= 2;
  }
  let t = (low + high) / 2;
  for (let turn = 0; turn < 200; turn += 1) {
    const off = below(t, df) - p;
    if (off > 0) high = t;
    else low = t;
    // Newton's step where it stays between the ends, else the middle
    let next = t - off / density(t, df);
    if (!(next > low && next < high)) next = (low + high) / 2;
    if (Math.abs(next - t) <= 1e-15 * Math.abs(next)) return next;
    t = next;
  }
  return t;
}
