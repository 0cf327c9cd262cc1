#!/usr/bin/env bash
# Times whole processes, start-up and reading included: `tamis fit` on the cake
# trial, and R scripts on the same file: one with the tables alone (mixed model,
# tests, means, line), one that also redraws the cooks, refits the curves and
# finds the window, which is what `fit` does. Pairs alternate, the CPU time of both
# (user and system) is compared, and the ratio of the medians is printed; the
# target for the same work is 20 or more. Needs Rscript with lme4, lmerTest and
# emmeans. Not run in CI.
# Usage: internal/stats/bench/process.sh [pairs, default 5]
set -euo pipefail
cd "$(dirname "$0")/../../.."
pairs="${1:-5}"
command -v Rscript >/dev/null || { echo "process.sh: Rscript is not installed" >&2; exit 1; }

work="$(mktemp -d)"
trap 'rm -rf "$work"' EXIT
go build -o "$work/tamis" ./cmd/tamis

# Mixed model, F tests, marginal means with Tukey, the line in temperature and
# its lack of fit. No draws: R is given less to do.
cat >"$work/cake.R" <<'R'
suppressMessages({library(lmerTest); library(emmeans)})
cake <- read.csv("testdata/cake/cooks.csv")
cake$recipe <- factor(cake$with.recipe); cake$batch <- factor(cake$block)
cake$degrees <- as.numeric(sub("[^0-9.].*", "", cake$set_point))
cake$temperature <- factor(cake$degrees)
m <- lmer(angle ~ recipe * temperature + (1 | batch), cake)
print(anova(m))
e <- emmeans(m, "temperature", lmer.df = "satterthwaite")
print(e); print(pairs(e, adjust = "tukey"))
print(pairs(emmeans(m, "recipe", lmer.df = "satterthwaite"), adjust = "tukey"))
line <- lmer(angle ~ recipe + degrees + (1 | batch), cake)
print(summary(line))
free <- lm(angle ~ batch + temperature, cake)
print(anova(lm(angle ~ batch + degrees, cake), free))
R

# The same and the window: as many draws as fit makes, each with its candidates
# refitted and weighed by AICc, the share of draws that hold the aim on a grid.
{ cat "$work/cake.R"; cat <<'R'
set.seed(1)
cells <- aggregate(angle ~ recipe + degrees, cake, mean)
s <- sigma(free) / sqrt(15); f <- cells$recipe; x <- cells$degrees
grid <- expand.grid(x = seq(175, 225, by = 0.18), f = levels(f))
aicc <- function(rss, p, n = 270) n * log(rss / n) + 2 * (p + 1) + 2 * (p + 1) * (p + 2) / (n - p - 2)
pure <- deviance(free); hold <- numeric(nrow(grid))
for (draw in seq_len(2000)) {
  y <- cells$angle + rnorm(18, 0, s) * sqrt(220 / rchisq(1, 220))
  fits <- list(lm(y ~ f), lm(y ~ f + x), lm(y ~ f * x), lm(y ~ f + x + I(x^2)),
    try(nls(y ~ a[f] + b / (1 + exp(-(x - m) / k)), start = list(a = rep(25, 3), b = 12, m = 198, k = 12),
      control = nls.control(warnOnly = TRUE)), silent = TRUE))
  fits <- Filter(function(z) !inherits(z, "try-error"), fits)
  w <- sapply(fits, function(z) aicc(pure + 15 * deviance(z), length(coef(z))))
  w <- exp(-(w - min(w)) / 2); w <- w / sum(w)
  hold <- hold + (Reduce(`+`, Map(function(z, v) v * predict(z, grid), fits, w)) >= 32)
}
print(tapply(hold / 2000, grid$f, max))
R
} >"$work/window.R"

TIMEFORMAT='%U %S'
cpu() { # seconds of CPU of a command, its output thrown away
  { time "$@" >/dev/null 2>"$work/err"; } 2>&1 | awk '{ print $1 + $2 }'
}
"$work/tamis" fit testdata/cake/cake.yaml >/dev/null
Rscript --vanilla "$work/cake.R" >/dev/null 2>"$work/err" || { cat "$work/err" >&2; exit 1; }
for _ in $(seq "$pairs"); do
  cpu Rscript --vanilla "$work/cake.R" >>"$work/tables"
  cpu "$work/tamis" fit testdata/cake/cake.yaml >>"$work/here"
done
cpu Rscript --vanilla "$work/window.R" >>"$work/window" # minutes of it tell nothing more
median() { sort -n "$1" | awk '{ v[NR] = $1 } END { print (v[int((NR + 1) / 2)] + v[int(NR / 2) + 1]) / 2 }'; }
here="$(median "$work/here")"
printf '%-28s %12s %12s %10s\n' 'cake, what R does' 'R (s)' 'fit (s)' 'R / fit'
row() { printf '%-28s %12.2f %12.2f %10.1f\n' "$1" "$2" "$here" "$(awk -v a="$2" -v b="$here" 'BEGIN { print a / b }')"; }
row 'the tables alone' "$(median "$work/tables")"
row 'tables and window, as fit' "$(median "$work/window")"
