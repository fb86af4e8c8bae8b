# Block kriging of the one real field at hand by gstat, with a curve given: 50 nearest, cells of 10 m, gstat's own
# block rule. Argument: the field's points. Kept are 60 cells only, none of them a point's own value.
suppressMessages({library(sp); library(gstat)})
file <- file.path(commandArgs(trailingOnly = TRUE)[1], "yield-points-minnesota-corn.tsv")
d <- read.delim(file)
# a flat earth of 111,320 m a degree about the first place: simple on purpose, the same on both sides
k <- 111320
d$x <- (d$long - d$long[1]) * k * cos(d$lat[1] * pi / 180)
d$y <- (d$lat - d$lat[1]) * k
# pounds over square feet of 30 ft by the distance in inches, at 56 lb a bushel and 43,560 ft2 an acre
d$value <- d$mass * d$seconds / 56 / (30 * d$dist / 12 / 43560)
d <- d[d$dist > 0 & d$value < 400, ]
d <- d[!duplicated(d[, c("x", "y")]), ]
s <- d
coordinates(s) <- ~ x + y
model <- vgm(104.903, "Exp", 76.9183, 37.2817)
# every 47th cell of a 10 m grid over the field
x <- seq(floor(min(d$x) / 10) * 10 + 5, max(d$x), by = 10)
y <- seq(floor(min(d$y) / 10) * 10 + 5, max(d$y), by = 10)
grid <- expand.grid(x = x, y = y)[seq(1, length(x) * length(y), by = 47), ]
places <- grid
coordinates(places) <- ~ x + y
over <- krige(value ~ 1, s, places, model, nmax = 50, block = c(10, 10), debug.level = 0)
table <- data.frame(grid, prediction = over$var1.pred, variance = over$var1.var)
write.csv(format(table, digits = 15, trim = TRUE), "cells.csv", row.names = FALSE, quote = FALSE)
cat(nrow(d), "points\n")
