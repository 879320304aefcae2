# Reads one case per line and prints the same figures as R computes them.
#   one k n level
#   table a b c d level low value high   (the last three are to be certified: "-" for none)
#   strata level a b c d a b c d ...
#   search m p p p ...
#   power n1 n2 rate1 rate2 level   (exact power of Fisher's test)
options(digits = 17, warn = -1)
put <- function(...) cat(formatC(c(...), digits = 17, format = "g"), "\n")

# Distribution of the first cell with all margins fixed, at the odds ratio psi.
given <- function(a, b, c, d, psi) {
  x <- max(0, a + c - (c + d)):min(a + c, a + b)
  w <- dhyper(x, a + b, c + d, a + c, log = TRUE) + log(psi) * x
  w <- exp(w - max(w))
  list(x = x, w = w / sum(w))
}

# Breslow-Day test with Tarone's correction: statistic and p.
agreement <- function(cells, odds) {
  if (!is.finite(odds) || odds <= 0) return(c(NA, NA))
  k <- dim(cells)[3]
  sums <- c(0, 0, 0)
  for (j in 1:k) {
    n1 <- sum(cells[, 1, j]); n2 <- sum(cells[, 2, j]); m <- sum(cells[1, , j]); seen <- cells[1, 1, j]
    f <- function(a) a * (n2 - m + a) - odds * (n1 - a) * (m - a)
    a <- uniroot(f, c(max(0, m - n2), min(n1, m)), tol = 1e-14 * n1, maxiter = 10000)$root
    v <- 1 / (1 / a + 1 / (n1 - a) + 1 / (m - a) + 1 / (n2 - m + a))
    sums <- sums + c((seen - a)^2 / v, seen - a, v)
  }
  x <- max(0, sums[1] - sums[2]^2 / sums[3])
  c(x, pchisq(x, k - 1, lower.tail = FALSE))
}

# Chance that Fisher's exact test finds two rates to differ.
power <- function(n1, n2, rate1, rate2, alpha) {
  found <- 0
  for (m in 0:(n1 + n2)) {
    x <- max(0, m - n2):min(n1, m)
    h <- dhyper(x, n1, n2, m)
    p <- sapply(h, function(one) sum(h[h <= one * (1 + 1e-7)]))
    found <- found + sum((dbinom(x, n1, rate1) * dbinom(m - x, n2, rate2))[p < alpha])
  }
  found
}

for (line in readLines(file("stdin"))) {
  word <- strsplit(line, " ")[[1]]
  kind <- word[1]
  v <- suppressWarnings(as.numeric(word[-1]))
  if (kind == "one") {
    k <- v[1]; n <- v[2]; level <- v[3]
    put(prop.test(k, n, conf.level = level, correct = FALSE)$conf.int,
        binom.test(k, n, conf.level = level)$conf.int,
        binom.test(k, n, conf.level = level, alternative = "greater")$conf.int[1],
        binom.test(k, n, conf.level = level, alternative = "less")$conf.int[2])
  } else if (kind == "table") {
    a <- v[1]; b <- v[2]; c <- v[3]; d <- v[4]; level <- v[5]
    m <- matrix(c(a, c, b, d), 2)
    f <- fisher.test(m, conf.level = level)
    x <- chisq.test(m, correct = FALSE)
    tail <- function(psi, pick) if (is.na(psi)) NA else { g <- given(a, b, c, d, psi); pick(g) }
    put(f$p.value, fisher.test(m, alternative = "less")$p.value, fisher.test(m, alternative = "greater")$p.value,
        x$statistic, x$p.value, f$conf.int[1], f$estimate, f$conf.int[2],
        tail(v[6], function(g) sum(g$w[g$x >= a])),
        tail(v[7], function(g) sum(g$w * (g$x - a))),
        tail(v[8], function(g) sum(g$w[g$x <= a])))
  } else if (kind == "strata") {
    cells <- array(v[-1], c(2, 2, (length(v) - 1) / 4))
    m <- mantelhaen.test(cells, conf.level = v[1], correct = TRUE)
    put(m$estimate, m$conf.int, m$statistic, m$p.value, agreement(cells, m$estimate))
  } else if (kind == "power") {
    put(power(v[1], v[2], v[3], v[4], 1 - v[5]))
  } else if (kind == "search") {
    put(p.adjust(v[-1], "BH", n = v[1]))
  } else {
    stop("unknown kind ", kind)
  }
}
