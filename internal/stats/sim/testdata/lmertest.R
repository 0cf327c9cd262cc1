# Answers of R for draws.csv, written to lmertest.json. Run in this folder:
#   Rscript lmertest.R
# Needs lme4 and lmerTest. Not run by the tests.
suppressPackageStartupMessages({library(lme4); library(lmerTest)})
options(digits = 15)
d <- read.csv("draws.csv", comment.char = "#", colClasses = c(blocked = "character"))
d$blocked <- d$blocked == "true"
for (v in c("cook", "arm", "session")) d[[v]] <- factor(d[[v]])
rows <- character()
for (s in split(d, list(d$draw, d$design), drop = TRUE)) {
  s <- droplevels(s)
  blocked <- s$blocked[1]
  m <- suppressMessages(if (blocked) lmer(y ~ session + arm + (1 | cook), s) else lmer(y ~ arm + (1 | cook), s))
  k <- tail(summary(m)$coefficients, 1)
  half <- qt(0.975, k[, "df"]) * k[, "Std. Error"]
  u <- aggregate(y ~ cook + arm + session, s, mean)
  a <- anova(if (blocked) lm(y ~ session + arm, u) else lm(y ~ arm, u))
  rows <- c(rows, sprintf(
    '  {"design": %d, "draw": %d, "p": %.15g, "df": %.15g, "estimate": %.15g, "low": %.15g, "high": %.15g, "singular": %s, "unit_p": %.15g}',
    s$design[1], s$draw[1], k[, "Pr(>|t|)"], k[, "df"], k[, "Estimate"], k[, "Estimate"] - half, k[, "Estimate"] + half,
    tolower(isSingular(m, 1e-6)), a["arm", "Pr(>F)"]))
}
source <- sprintf("R %s.%s, lme4 %s, lmerTest %s; unit_p from lm on cook means", R.version$major, R.version$minor,
                  packageVersion("lme4"), packageVersion("lmerTest"))
writeLines(c("{", sprintf(' "source": "%s",', source), ' "rows": [', paste(rows, collapse = ",\n"), " ]", "}"), "lmertest.json")
