#!/usr/bin/env bash
# Times the same work in this module and in R, both in process, in one run, and
# prints the ratios. Needs Rscript with lme4, lmerTest and emmeans. Not run in CI.
#
#   cake       mixed fit, F table, marginal means of temperature, Tukey
#   panel300   300 people x 12 samples x 2 repeats, fit and F test
#   crossed    two crossed groupings of 1500 and 250 levels, 20 000 rows, fit only
#
# Start-up of either program, reading of data and the first (cold) repetition are
# not counted. Usage: internal/stats/bench/compare.sh [repetitions in R, default 5]
set -euo pipefail
cd "$(dirname "$0")/../../.."
reps="${1:-5}"
command -v Rscript >/dev/null || { echo "compare.sh: Rscript is not installed" >&2; exit 1; }

work="$(mktemp -d)"
trap 'rm -rf "$work"' EXIT

go test -run '^$' -bench '^Benchmark(Cake|Panel300|Crossed)$' -benchtime 2s ./internal/stats/mixed >"$work/go.txt"
# BenchmarkPanel300-2   85   14197851 ns/op
awk '/^Benchmark/ { sub(/-[0-9]+$/, "", $1); sub(/^Benchmark/, "", $1); print tolower($1), $3 / 1e6 }' "$work/go.txt" >"$work/go.ms"

Rscript --vanilla - "$reps" internal/stats/mixed/testdata/cake.csv >"$work/r.ms" 2>"$work/r.err" <<'R' || { cat "$work/r.err" >&2; exit 1; }
suppressMessages({library(lmerTest); library(emmeans)})
a <- commandArgs(TRUE); reps <- as.integer(a[1])
ms <- function(f) { f(); 1000 * median(replicate(reps, system.time(f())[["elapsed"]])) }
cake <- read.csv(a[2], comment.char = "#")
cake$recipe <- factor(cake$recipe); cake$temperature <- factor(cake$temperature)
cake$unit <- interaction(cake$recipe, cake$replicate)
t1 <- ms(function() {
  m <- lmer(angle ~ recipe * temperature + (1 | unit), cake)
  anova(m)
  pairs(emmeans(m, "temperature", lmer.df = "satterthwaite"), adjust = "tukey")
})
set.seed(1)
d <- expand.grid(rep = 1:2, sample = factor(1:12), assessor = factor(1:300))
d$both <- interaction(d$assessor, d$sample, drop = TRUE)
d$y <- 1.5 * rnorm(300)[d$assessor] + 0.8 * rnorm(3600)[d$both] + 0.1 * as.integer(d$sample) + rnorm(7200)
t2 <- ms(function() anova(lmer(y ~ sample + (1 | assessor) + (1 | both), d)))
n <- 20000
x <- data.frame(a = factor(sample(1500, n, TRUE)), b = factor(sample(250, n, TRUE)), x = runif(n))
x$y <- rnorm(1500)[x$a] + rnorm(250)[x$b] + rnorm(n)
t3 <- ms(function() lme4::lmer(y ~ x + (1 | a) + (1 | b), x))
cat(sprintf("%s %.3f\n", c("cake", "panel300", "crossed"), c(t1, t2, t3)), sep = "")
R

printf '%-10s %12s %12s %10s\n' work 'R (ms)' 'here (ms)' 'R / here'
join <(sort "$work/r.ms") <(sort "$work/go.ms") |
  awk '{ printf "%-10s %12.2f %12.2f %10.1f\n", $1, $2, $3, $2 / $3 }'
