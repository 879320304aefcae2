# Reads "strata a b c d a b c d ..." per line and prints the two-sided p, that of more and
# that of fewer defects in the first group. R's own test refuses a single stratum.
options(digits = 17, warn = -1)
for (line in readLines(file("stdin"))) {
  v <- as.numeric(strsplit(line, " ")[[1]][-1])
  k <- length(v) / 4
  p <- sapply(c("two.sided", "greater", "less"), function(side) {
    if (k == 1) fisher.test(matrix(v, 2, byrow = TRUE), alternative = side)$p.value
    else {
      x <- array(0, c(2, 2, k))
      for (j in 1:k) x[, , j] <- matrix(v[4 * j - 3:0], 2, byrow = TRUE)
      mantelhaen.test(x, exact = TRUE, alternative = side)$p.value
    }
  })
  cat(formatC(p, digits = 17, format = "g"), "\n")
}
