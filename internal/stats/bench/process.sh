#!/usr/bin/env bash
# Times whole processes, start-up and reading included: `tamis fit` on the cake
# trial, and an R script that does the comparable analysis of the same file. Pairs
# alternate, the CPU time of both (user and system) is compared, and the ratio of
# the medians is printed; the target is 20 or more. Needs Rscript with lme4,
# lmerTest and emmeans. Not run in CI.
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

TIMEFORMAT='%U %S'
cpu() { # seconds of CPU of a command, its output thrown away
  { time "$@" >/dev/null 2>"$work/err"; } 2>&1 | awk '{ print $1 + $2 }'
}
"$work/tamis" fit testdata/cake/cake.yaml >/dev/null
Rscript --vanilla "$work/cake.R" >/dev/null 2>"$work/err" || { cat "$work/err" >&2; exit 1; }
for _ in $(seq "$pairs"); do
  cpu Rscript --vanilla "$work/cake.R" >>"$work/r"
  cpu "$work/tamis" fit testdata/cake/cake.yaml >>"$work/here"
done
median() { sort -n "$1" | awk '{ v[NR] = $1 } END { print (v[int((NR + 1) / 2)] + v[int(NR / 2) + 1]) / 2 }'; }
r="$(median "$work/r")" here="$(median "$work/here")"
printf '%-10s %12s %12s %10s\n' work 'R (s)' 'here (s)' 'R / here'
printf '%-10s %12.2f %12.2f %10.1f\n' cake "$r" "$here" "$(awk -v a="$r" -v b="$here" 'BEGIN { print a / b }')"
