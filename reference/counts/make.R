# Negative binomial fits, t quantiles and intervals of seed counts, by R. Writes JSON to standard output.
library(MASS)
options(digits = 15)

num <- function(x) paste0("[", paste(trimws(formatC(x, digits = 15, format = "g")), collapse = ", "), "]")
one <- function(x) trimws(formatC(x, digits = 15, format = "g"))
rows <- function(m) paste0("[", paste(apply(m, 1, num), collapse = ", "), "]")

# data: whether the counts themselves may be written; R's own data sets stay in R
fit <- function(name, f, data, offset = NULL, counts = TRUE) {
  control <- glm.control(epsilon = 1e-14, maxit = 500)
  g <- if (is.null(offset)) glm.nb(f, data = data, control = control) else
    glm.nb(update(f, ~ . + offset(off)), data = cbind(data, off = offset), control = control)
  # glm.nb stops on the deviance; one joint polish puts it at the very maximum
  x <- model.matrix(g)
  off <- if (is.null(offset)) rep(0, nrow(x)) else offset
  y <- g$y
  minus <- function(p) -sum(dnbinom(y, size = exp(p[1]), mu = exp(x %*% p[-1] + off), log = TRUE))
  start <- c(log(g$theta), coef(g))
  best <- nlm(minus, start, gradtol = 1e-12, steptol = 1e-14, iterlim = 1000)
  best <- nlm(minus, best$estimate, gradtol = 1e-12, steptol = 1e-14, iterlim = 1000)
  told <- if (counts) paste0(',\n "counts": ', num(y), ',\n "rows": ', rows(x), ',\n "offset": ', num(off)) else ""
  paste0('{"name": "', name, '"', told,
         ',\n "glm_nb": {"coefficients": ', num(coef(g)), ', "theta": ', one(g$theta),
         ', "two_log_likelihood": ', one(g$twologlik), ', "se": ', num(sqrt(diag(vcov(g)))), '}',
         ',\n "polished": {"coefficients": ', num(best$estimate[-1]), ', "theta": ', one(exp(best$estimate[1])),
         ', "two_log_likelihood": ', one(-2 * best$minimum), '}}')
}

three <- function(a, b, c) data.frame(y = c(a, b, c), class = factor(rep(1:3, c(length(a), length(b), length(c)))))
classes <- three(c(2, 1, 0, 3, 2), c(9, 14, 6, 11, 20), c(31, 22, 48, 17, 27))
wild <- three(c(0, 1, 0, 4), c(3, 12, 7, 2), c(40, 16, 71, 25))
feed <- data.frame(y = c(3, 17, 1, 6, 9, 12, 11, 4, 15, 31, 9, 60, 25, 8, 41), f = log(rep(c(6, 8, 10), each = 5) / 8))
area <- rep(c(1, 2, 1, 1, 2), 3)

fits <- c(
  fit("three classes of five frames", y ~ class, classes),
  fit("three classes of four frames, scattered", y ~ class, wild),
  fit("quine", Days ~ Sex / (Age + Eth * Lrn), quine, counts = FALSE),
  fit("feed rate with frames of two sizes", y ~ f, feed, log(area)))

# under-dispersed and equal counts: theta has no maximum
under <- tryCatch({ w <- NULL
  withCallingHandlers(glm.nb(c(10, 9, 11, 11) ~ 1), warning = function(x) { w <<- conditionMessage(x); invokeRestart("muffleWarning") })
  w }, error = function(e) conditionMessage(e))

logt <- t.test(log(c(14, 19, 9, 22, 12) + .5), log(c(31, 22, 48, 17, 27) + .5), var.equal = TRUE)
welch <- t.test(c(28, 19, 41, 24), c(10, 9, 11, 11), conf.level = .9)

# section interval: Welch with half a frame of prior variance, alpha 0.3
steady <- function(a, b, level = .9) {
  v <- function(x) { n <- length(x); m <- mean(x) + .5 / n; s0 <- m + .3 * m^2
    c(((n - 1) * (if (n > 1) var(x) else 0) + .5 * s0) / (n - 1 + .5) / n, n - 1 + .5) }
  va <- v(a); vb <- v(b); se2 <- va[1] + vb[1]
  df <- se2^2 / (va[1]^2 / va[2] + vb[1]^2 / vb[2])
  d <- mean(a) - mean(b)
  c(d, d + c(-1, 1) * qt(.5 + level / 2, df) * sqrt(se2), df)
}
pairs <- list(list(c(10, 9, 11, 11), c(2, 1, 2, 2)), list(c(28, 19, 41, 24), c(10, 9, 11, 11)),
              list(c(1, 0, 2), c(0, 0, 0)), list(c(3, 3, 3, 3), c(3, 3, 3, 3)))
steadied <- sapply(pairs, function(p) paste0('{"a": ', num(p[[1]]), ', "b": ', num(p[[2]]), ', "value_low_high_df": ', num(steady(p[[1]], p[[2]])), '}'))

beta <- qbeta(c(.05, .5, .95), 8.5, 20)  # mu = 4 X, X ~ BetaPrime(S + 1/2, n k), k 4, n 5, S 8
dofs <- c(.5, 1.3, 2.6568, 3.92128, 4.13835, 11.25, 1000)

cat('{"fits": [', paste(fits, collapse = ",\n"), '],\n',
    '"under_dispersed_says": "', gsub('"', "'", under), '",\n',
    '"log_t": {"t": ', one(logt$statistic), ', "df": ', one(logt$parameter), ', "p": ', one(logt$p.value), '},\n',
    '"welch": ', num(welch$conf.int), ',\n',
    '"steadied": [', paste(steadied, collapse = ",\n"), '],\n',
    '"beta_prime": ', num(4 * beta / (1 - beta)), ',\n',
    '"t_quantiles": {"df": ', num(dofs), ', "p95": ', num(qt(.95, dofs)), ', "p90": ', num(qt(.9, dofs)), '}}\n', sep = "")
