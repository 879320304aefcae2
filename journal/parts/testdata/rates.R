# Reads a parts table as CSV from standard input and prints, for each value of a
# column, how many coats were looked at, how many had the defect, and the Wilson
# interval of the rate.
#   Rscript --vanilla rates.R COLUMN DEFECT LEVEL < parts.csv
asked <- commandArgs(trailingOnly = TRUE)
rows <- read.csv(file("stdin"), colClasses = "character", check.names = FALSE, na.strings = "")
rows <- rows[!is.na(rows[[asked[1]]]) & !is.na(rows[[asked[2]]]), ]
for (value in sort(unique(rows[[asked[1]]]), method = "radix")) {
  had <- rows[[asked[2]]][rows[[asked[1]]] == value] == "yes"
  rate <- suppressWarnings(prop.test(sum(had), length(had), conf.level = as.numeric(asked[3]), correct = FALSE))
  cat(value, length(had), sum(had), formatC(rate$conf.int, digits = 17, format = "g"), "\n", sep = "\t")
}
