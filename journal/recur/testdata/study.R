# Reads a parts table as CSV from standard input and tries every factor as a study
# does, with nothing but the kind of part and the metal held equal: the smallest
# exact conditional p of its values or cuts, times those that could have shown
# anything, and then all factors adjusted (Benjamini and Hochberg).
#   Rscript --vanilla study.R DEFECT COLUMN:KIND ... < parts.csv
# Prints for each factor its name, p, adjusted p, and tries.
asked <- commandArgs(trailingOnly = TRUE)
rows <- read.csv(file("stdin"), colClasses = "character", check.names = FALSE, na.strings = "")
rows <- rows[!is.na(rows$looked) & rows$looked == "yes", ]
bad <- rows[[asked[1]]] == "yes"

# Chance of each count of defects inside, over all strata, with their margins held.
exact <- function(inside, strata) {
  d <- 1; seen <- 0; low <- 0
  for (s in unique(strata)) {
    here <- strata == s
    n1 <- sum(inside[here]); n2 <- sum(!inside[here]); m <- sum(bad[known][here])
    x <- max(0, m - n2):min(n1, m)
    h <- dhyper(x, n1, n2, m)
    d <- rowSums(sapply(seq_along(h), function(k) c(rep(0, k - 1), d * h[k], rep(0, length(h) - k))) |> matrix(ncol = length(h)))
    low <- low + x[1]; seen <- seen + sum(bad[known][here] & inside[here])
  }
  c(p = sum(d[d <= d[seen - low + 1] * (1 + 1e-7)]), least = sum(d[d <= min(d) * (1 + 1e-7)]))
}

factors <- list()
add <- function(name, values, kind) factors[[length(factors) + 1]] <<- list(name = name, values = values, kind = kind)
for (column in strsplit(asked[-1], ":")) add(column[1], rows[[column[1]]], column[2])
add("same_day", rows$day, "word")
add("same_rack", ifelse(is.na(rows$rack) | is.na(rows$bake), NA, paste(rows$rack, rows$bake)), "word")
had <- list()
came <- rep(NA_character_, nrow(rows))
for (i in seq_len(nrow(rows))) {
  casting <- rows$casting[i]
  if (is.na(casting)) next
  if (!is.null(had[[casting]])) came[i] <- had[[casting]]
  had[[casting]] <- if (bad[i] || identical(had[[casting]], "yes")) "yes" else "no"
}
add("came_back", came, "word")

name <- c(); p <- c(); tries <- c()
for (f in factors) {
  known <- !is.na(f$values)
  v <- f$values[known]
  what <- if (f$name == "what") "" else ifelse(is.na(rows$what), "-", rows$what)
  metal <- if (f$name == "metal") "" else ifelse(is.na(rows$metal), "-", rows$metal)
  strata <- paste(rep_len(what, nrow(rows)), rep_len(metal, nrow(rows)))[known]
  if (f$kind == "number") {
    v <- as.numeric(v)
    cuts <- head(sort(unique(v)), -1)
    if (length(cuts) > 60) {
      at <- sort(v)[floor(length(v) * (1:60) / 61) + 1]
      cuts <- unique(at[at < max(v)])
    }
    splits <- lapply(cuts, function(cut) v <= cut)
  } else {
    values <- unique(v)
    if (length(values) == 2) values <- values[1]
    splits <- if (length(unique(v)) < 2) list() else lapply(values, function(value) v == value)
  }
  if (length(splits) == 0) next
  all <- sapply(splits, exact, strata = strata)
  n <- sum(all["least", ] <= 0.05)
  name <- c(name, f$name); tries <- c(tries, n); p <- c(p, min(1, min(all["p", ]) * max(1, n)))
}
adjusted <- p.adjust(p, "BH")
for (i in seq_along(name)) cat(name[i], formatC(c(p[i], adjusted[i]), digits = 17, format = "g"), tries[i], "\n")
