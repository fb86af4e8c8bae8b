# Rates of rare events: gamma posteriors and negative binomial predictions, by R.
n <- function(x) paste(sprintf("%.15g", x + 0), collapse = ", ")
cases <- list(c(1.5, 332.6048, 3, 210, 140), c(1.5, 384.6154, 0, 95, 400), c(0.5, 100, 12, 800, 50), c(1.5, 332.6048, 0, 0, 600))
cat("{\n  \"rates\": [\n")
for (i in seq_along(cases)) {
  k <- cases[[i]]; a <- k[1] + k[3]; b <- k[2] + k[4]; m <- k[5]; p <- b / (b + m)
  cat(sprintf("    {\"shape0\": %s, \"exposure0\": %s, \"events\": %s, \"exposure\": %s, \"ahead\": %s,\n", n(k[1]), n(k[2]), n(k[3]), n(k[4]), n(m)))
  cat(sprintf("     \"rate_q\": [%s], \"cdf_at_mean\": %s,\n", n(qgamma(c(.05, .5, .95), a, b)), n(pgamma(a / b, a, b))))
  cat(sprintf("     \"pmf\": [%s], \"cdf\": [%s],\n", n(dnbinom(0:4, a, p)), n(pnbinom(0:4, a, p))))
  cat(sprintf("     \"count_q\": [%s]}%s\n", n(qnbinom(c(.05, .1, .5, .9, .95), a, p)), if (i < length(cases)) "," else ""))
}
cat("  ],\n  \"greater\": [\n")
pairs <- list(c(4.5, 1, 2.5, 1), c(3.5, 200, 1.5, 400), c(0.5, 10, 0.5, 3), c(8, 2.5, 8, 2.5))
for (i in seq_along(pairs)) {
  k <- pairs[[i]]
  v <- integrate(function(x) dgamma(x, k[1], k[2]) * pgamma(x, k[3], k[4]), 0, Inf, rel.tol = 1e-11, subdivisions = 2000L)$value
  cat(sprintf("    {\"a\": [%s], \"b\": [%s], \"p\": %s}%s\n", n(k[1:2]), n(k[3:4]), n(v), if (i < length(pairs)) "," else ""))
}
cat("  ]\n}\n")
