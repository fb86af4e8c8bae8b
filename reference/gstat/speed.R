# gstat on larger data, by the clock: the other side of `cargo xtask study spatial-speed`, which makes the points.
# Arguments: `krige` or `variogram`, file of points, file of cell middles, file for the answers. Prints seconds of the computation alone.
suppressMessages({library(sp); library(gstat)})
words <- commandArgs(trailingOnly = TRUE)
s <- read.csv(words[2])
coordinates(s) <- ~ x + y
if (words[1] == "krige") {
  cells <- read.csv(words[3])
  coordinates(cells) <- ~ x + y
  model <- vgm(105, "Exp", 77, 37)
  took <- system.time(
    made <- krige(value ~ 1, s, cells, model, nmax = 50, block = c(10, 10), debug.level = 0)
  )
  table <- data.frame(value = made$var1.pred, variance = made$var1.var)
} else {
  took <- system.time(made <- variogram(value ~ 1, s, width = 5, cutoff = 100))
  table <- data.frame(pairs = made$np, distance = made$dist, gamma = made$gamma)
}
write.csv(format(table, digits = 15, trim = TRUE), words[4], row.names = FALSE, quote = FALSE)
cat(took[["elapsed"]], "\n")
