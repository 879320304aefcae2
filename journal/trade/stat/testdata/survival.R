# Reads "lives LEVEL TIME SEEN TIME SEEN ..." per line and prints, for each time, the time,
# parts at risk, defects, share still good, its standard error, and its interval.
suppressPackageStartupMessages(library(survival))
options(digits = 17, warn = -1)
for (line in readLines(file("stdin"))) {
  v <- as.numeric(strsplit(line, " ")[[1]][-1])
  x <- matrix(v[-1], nrow = 2)
  fit <- summary(survfit(Surv(x[1, ], x[2, ]) ~ 1, conf.int = v[1], conf.type = "log"), censored = TRUE)
  out <- rbind(fit$time, fit$n.risk, fit$n.event, fit$surv, fit$std.err, fit$lower, fit$upper)
  cat(formatC(as.vector(out), digits = 17, format = "g"), "\n")
}
