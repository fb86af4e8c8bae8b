# Means over two polygons by ordinary kriging: gstat over points that fill them, and dense matrices with the program's
# own nodes. Writes JSON to standard output.
suppressPackageStartupMessages({ library(sp); library(gstat) })
options(digits = 15)
set.seed(20)

n <- 70
p <- data.frame(x = round(runif(n, -5, 85), 2), y = round(runif(n, -5, 65), 2))
p$z <- round(100 + 8 * sin(p$x / 20) + 5 * cos(p$y / 15) + rnorm(n, sd = 3), 3)
nugget <- 9; sill <- 60; range <- 35

# cells of 10 m: an L, and a frame around a hole, beside each other
cells <- expand.grid(i = 0:7, j = 0:5)
ell <- cells[(cells$i < 2) | (cells$i < 4 & cells$j < 2), ]
frame <- cells[cells$i >= 4 & !(cells$i %in% 5:6 & cells$j %in% 2:3), ]
rings <- list(
  ell = '[[[0, 0], [40, 0], [40, 20], [20, 20], [20, 60], [0, 60]]]',
  frame = '[[[40, 0], [80, 0], [80, 60], [40, 60]], [[50, 20], [70, 20], [70, 40], [50, 40]]]')

# gstat: points 1 m apart fill the polygon; all measurements tell
fill <- function(cell) do.call(rbind, lapply(seq_len(nrow(cell)), function(k)
  expand.grid(x = 10 * cell$i[k] + 0:9 + .5, y = 10 * cell$j[k] + 0:9 + .5)))
data <- p; coordinates(data) <- ~ x + y
model <- vgm(sill, "Exp", range, nugget)
by_gstat <- function(cell) {
  origin <- SpatialPoints(cbind(x = 0, y = 0))
  k <- krige(z ~ 1, data, origin, model, block = fill(cell), debug.level = 0)
  c(k$var1.pred, k$var1.var)
}

# dense: 4 x 4 Gauss-Legendre nodes in each cell, equal cells
u <- c(-0.861136311594052575, -0.339981043584856265, 0.339981043584856265, 0.861136311594052575)
w <- c(0.347854845137453857, 0.652145154862546143, 0.652145154862546143, 0.347854845137453857)
nodes <- function(cell) do.call(rbind, lapply(seq_len(nrow(cell)), function(k) {
  g <- expand.grid(a = 1:4, b = 1:4)
  data.frame(x = 10 * cell$i[k] + 5 + 5 * u[g$a], y = 10 * cell$j[k] + 5 + 5 * u[g$b],
             w = w[g$a] * w[g$b] / 4 / nrow(cell))
}))
cov <- function(a, b) sill * exp(-sqrt(outer(a$x, b$x, "-")^2 + outer(a$y, b$y, "-")^2) / range)
both <- list(nodes(ell), nodes(frame))
K <- cov(p, p) + diag(nugget, n)
Ki <- solve(K)
one <- rep(1, n)
lambda <- sapply(both, function(q) {
  k <- cov(p, q) %*% q$w
  Ki %*% (k + one * ((1 - sum(Ki %*% k)) / sum(Ki)))
})
errors <- matrix(0, 2, 2)
for (a in 1:2) for (b in 1:2)
  errors[a, b] <- t(lambda[, a]) %*% K %*% lambda[, b] -
    t(lambda[, a]) %*% cov(p, both[[b]]) %*% both[[b]]$w -
    t(lambda[, b]) %*% cov(p, both[[a]]) %*% both[[a]]$w +
    t(both[[a]]$w) %*% cov(both[[a]], both[[b]]) %*% both[[b]]$w

# generalized least squares of z on a slope in x, the same covariance: nlme's gls
fit <- nlme::gls(z ~ x, p, correlation = nlme::corExp(c(range, nugget / (nugget + sill)), ~ x + y, nugget = TRUE, fixed = TRUE),
  method = "ML")
unit <- vcov(fit) * (n - 2) / n / fit$sigma^2 # of errors of variance 1: gls by ML widens by n / (n - 2)

num <- function(x) paste0("[", paste(formatC(x, digits = 15, format = "g", width = 1), collapse = ", "), "]")
cat('{"nugget": ', nugget, ', "sill": ', sill, ', "range_m": ', range, ',\n',
    ' "x": ', num(p$x), ',\n "y": ', num(p$y), ',\n "z": ', num(p$z), ',\n',
    ' "rings": [', rings$ell, ',\n  ', rings$frame, '],\n',
    ' "gstat_mean_variance": [', num(by_gstat(ell)), ', ', num(by_gstat(frame)), '],\n',
    ' "dense_means": ', num(t(lambda) %*% p$z), ',\n',
    ' "dense_error_covariance": [', num(errors[1, ]), ', ', num(errors[2, ]), '],\n',
    ' "gls": ', num(coef(fit)), ',\n "gls_covariance_over_variance": ', num(unit), '}\n', sep = "")
