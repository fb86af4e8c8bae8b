# Variograms, fitted curves and kriging by gstat, on points of our own: 300 on 12 lines 9 m apart, in groups by line.
suppressMessages({library(sp); library(gstat)})
set.seed(20261201)
line <- rep(1:12, each = 25)
d <- data.frame(
  x = round(9 * line + rnorm(300, sd = 0.3), 3),
  y = round(runif(300, 0, 150), 3),
  group = line - 1
)
# a rough surface: normal with exponential covariance and a nugget, and an error of its own for each line
h <- as.matrix(dist(d[, c("x", "y")]))
cov <- 150 * exp(-h / 30) + diag(15, 300)
d$value <- round(180 + as.vector(t(chol(cov)) %*% rnorm(300)) + rnorm(12, sd = 2)[line], 3)
write.csv(d, "points.csv", row.names = FALSE)
s <- d
coordinates(s) <- ~ x + y

out <- function(file, table) write.csv(format(table, digits = 15, trim = TRUE), file, row.names = FALSE, quote = FALSE)
bins <- function(v, estimator) data.frame(estimator = estimator, pairs = v$np, distance = v$dist, gamma = v$gamma)
classical <- variogram(value ~ 1, s, width = 8, cutoff = 80)
robust <- variogram(value ~ 1, s, width = 8, cutoff = 80, cressie = TRUE)
out("bins.csv", rbind(bins(classical, "classical"), bins(robust, "cressie_hawkins")))

# fit.method 7 weighs by N/h^2, 1 by N, 2 by N/gamma(h)^2 of the fitted curve, 6 not at all
shape <- list(
  Exp = function(t) exp(-t),
  Sph = function(t) ifelse(t < 1, 1 - 1.5 * t + 0.5 * t^3, 0),
  Gau = function(t) exp(-t^2),
  Mat = function(t) (1 + t) * exp(-t)
)
# the least sum by R's own lm and optimize: for each range nugget and sill by lm, none below 0
at_range <- function(r, kind, w) {
  f <- 1 - shape[[kind]](classical$dist / r)
  y <- classical$gamma
  b <- coef(lm(y ~ f, weights = w))
  if (b[1] < 0) b <- c(0, coef(lm(y ~ f - 1, weights = w)))
  list(sum = sum(w * (y - b[1] - b[2] * f)^2), nugget = b[[1]], sill = b[[2]], range = r)
}
least <- function(kind, w) {
  tries <- exp(seq(log(2), log(240), length.out = 200))
  sums <- sapply(tries, function(r) at_range(r, kind, w)$sum)
  k <- which.min(sums)
  about <- tries[c(max(1, k - 1), min(200, k + 1))]
  at_range(optimize(function(r) at_range(r, kind, w)$sum, about, tol = 1e-10)$minimum, kind, w)
}
fits <- NULL
for (kind in c("Exp", "Sph", "Gau", "Mat")) for (method in c(1, 2, 6, 7)) {
  # Matern of smoothness 3/2; the kappa of the others is not looked at
  start <- vgm(120, kind, c(Exp = 30, Sph = 70, Gau = 30, Mat = 15)[[kind]], 20, kappa = 1.5)
  m <- fit.variogram(classical, start, fit.method = method)
  for (again in 1:20) m <- fit.variogram(classical, m, fit.method = method)
  n <- classical$np
  best <- least(kind, list(n, n, NULL, NULL, NULL, rep(1, length(n)), n / classical$dist^2)[[method]])
  # weights of the fitted curve: anew from each curve until it settles
  if (method == 2) for (again in 1:100) {
    curve <- best$nugget + best$sill * (1 - shape[[kind]](classical$dist / best$range))
    best <- least(kind, n / curve^2)
  }
  fits <- rbind(fits, data.frame(
    kind = kind, method = method, nugget = m$psill[1], sill = m$psill[2], range = m$range[2],
    least_nugget = best$nugget, least_sill = best$sill, least_range = best$range
  ))
}
out("fits.csv", fits)

# ordinary kriging with the 20 nearest: at places, and over blocks of 10 m by 6 m by gstat's own rule
model <- vgm(150, "Exp", 30, 15)
grid <- expand.grid(x = seq(5, 125, by = 15.3), y = seq(-5, 155, by = 17.7))
places <- grid
coordinates(places) <- ~ x + y
at <- krige(value ~ 1, s, places, model, nmax = 20, debug.level = 0)
over <- krige(value ~ 1, s, places, model, nmax = 20, block = c(10, 6), debug.level = 0)
out("kriged.csv", data.frame(grid, at = at$var1.pred, at_var = at$var1.var, over = over$var1.pred, over_var = over$var1.var))

# each point from the others; and each line of points from all other lines
one <- krige.cv(value ~ 1, s, model, nmax = 20, nfold = nrow(d), verbose = FALSE, debug.level = 0)
by_line <- krige.cv(value ~ 1, s, model, nmax = 20, nfold = line, verbose = FALSE, debug.level = 0)
out("left.csv", data.frame(point = one$var1.pred, point_var = one$var1.var, line = by_line$var1.pred, line_var = by_line$var1.var))
