# The counts and model rows of the data set quine, as JSON, for a test that may read but not keep them.
suppressMessages(library(MASS))
x <- model.matrix(Days ~ Sex / (Age + Eth * Lrn), quine)
x <- x[, qr(x)$pivot[seq_len(qr(x)$rank)]]
num <- function(x) paste0("[", paste(format(x), collapse = ", "), "]")
cat('{"counts": ', num(quine$Days), ', "rows": [', paste(apply(x, 1, num), collapse = ", "), ']}\n', sep = "")
