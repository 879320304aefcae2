# Reads one case per line and prints the figures of a study as R computes them.
#   pchart n d d ...       samples of n parts: centre, lower limit, upper limit
#   gchart g g ...         good parts between defects: centre, upper limit
#   one k n                Wilson's interval
#   two a n b m            Newcombe's interval of a difference, from two of Wilson's
#   strata a b c d ...     Mantel-Haenszel: odds ratio, its interval, the crude one, the exact
#                          p, and Breslow and Day's test with Tarone's correction
#   adjust p p ...         Benjamini and Hochberg
#   lives t seen ...       Kaplan and Meier: shares, then standard errors, where the defect came
suppressPackageStartupMessages(library(survival))
options(digits = 17, warn = -1)
put <- function(...) cat(formatC(c(...), digits = 17, format = "g"), "\n")
wilson <- function(k, n) prop.test(k, n, correct = FALSE)$conf.int
agreement <- function(cells, odds) {
  k <- dim(cells)[3]
  sums <- c(0, 0, 0)
  for (j in 1:k) {
    n1 <- sum(cells[, 1, j]); n2 <- sum(cells[, 2, j]); m <- sum(cells[1, , j])
    f <- function(a) a * (n2 - m + a) - odds * (n1 - a) * (m - a)
    a <- uniroot(f, c(max(0, m - n2), min(n1, m)), tol = 1e-14 * n1, maxiter = 10000)$root
    v <- 1 / (1 / a + 1 / (n1 - a) + 1 / (m - a) + 1 / (n2 - m + a))
    sums <- sums + c((cells[1, 1, j] - a)^2 / v, cells[1, 1, j] - a, v)
  }
  x <- sums[1] - sums[2]^2 / sums[3]
  c(x, pchisq(x, k - 1, lower.tail = FALSE))
}
for (line in readLines(file("stdin"))) {
  word <- strsplit(line, " ")[[1]]
  v <- as.numeric(word[-1])
  if (word[1] == "pchart") {
    p <- mean(v[-1] / v[1]); reach <- 3 * sqrt(p * (1 - p) / v[1])
    put(p, p - reach, p + reach)
  } else if (word[1] == "gchart") {
    put(mean(v), mean(v) + 3 * sqrt(mean(v) * (mean(v) + 1)))
  } else if (word[1] == "one") {
    put(wilson(v[1], v[2]))
  } else if (word[1] == "two") {
    p <- v[1] / v[2]; q <- v[3] / v[4]; a <- wilson(v[1], v[2]); b <- wilson(v[3], v[4])
    put(p - q - sqrt((p - a[1])^2 + (b[2] - q)^2), p - q + sqrt((a[2] - p)^2 + (q - b[1])^2))
  } else if (word[1] == "strata") {
    cells <- array(v, c(2, 2, length(v) / 4))
    m <- mantelhaen.test(cells, correct = FALSE); all <- apply(cells, c(1, 2), sum)
    put(m$estimate, m$conf.int, all[1, 1] * all[2, 2] / all[1, 2] / all[2, 1],
        mantelhaen.test(cells, exact = TRUE)$p.value, agreement(cells, m$estimate))
  } else if (word[1] == "adjust") {
    put(p.adjust(v, "BH"))
  } else if (word[1] == "lives") {
    x <- matrix(v, nrow = 2)
    fit <- summary(survfit(Surv(x[1, ], x[2, ]) ~ 1))
    put(fit$surv, fit$std.err)
  } else {
    stop("unknown case ", word[1])
  }
}
