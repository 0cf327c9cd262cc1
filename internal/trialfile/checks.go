package trialfile

import (
	"slices"
	"strings"

	"tamis/internal/quantity"
)

// checkNames are the findings that version 1 of the format can accept.
var checkNames = strings.Fields(`
analyses-disagree anything-else-moves assessor-out-of-step bath-off-set-point bath-tied-to-set-point beyond-set-points
brine-dose-differs brine-tied-to-set-point carry-over chilled-only-some cold-history-differs cook-tasted core-short
declared-after-tasting drift-over-runs finish-differs gap-between-set-points hold-spread load-differs
looks-counted-as-runs many-measures missing-by-set-point not-all-tasted-all one-cook-carries-it one-lot
one-run-per-set-point one-tub optimum-from-two panel-splits part-tied-to-set-point place-changes-scores proves
ramp-in-one-bath ratio-on-ratings run-order-follows-set-point safe-words salt-gives-it-away same-without-margin
scores-at-the-end scores-left-out sear-hides-set-point served-at-differs session-tied-to-set-point size-differs
source-tied-to-set-point split-run tasters-knew tasters-talked tasting-order-uneven time-moves-with-set-point
too-few-to-see typing-slip wait-differs wider-than-trial winner-within-noise`)

// thresholdKind is what the value of an option of the checks looks like.
type thresholdKind struct {
	like  string // for hints
	names []string
	reads func(s string) bool
}

// thresholdKinds are the options that version 1 of the format can set. A number
// may be a share, 0.3 or 30 %, as it is typed.
var thresholdKinds = []thresholdKind{
	{"3 or 30 %", strings.Fields(`
alike balance-d bag-gap beyond camp camp-liking carry-p consumers cook-shift deff disagree drift-p drift-share
end-share first-sd flat-p guess-p halo-r hedges-to-drop icc ladder-assessors likely load-ratio lots many mass-floor mass-rel
max-samples min-assessors min-first min-runs min-tubs missing-big missing-gap missing-p order-p order-r order-r-block
order-uneven overlap part-step place-p power ramp-overlap scale-use sear-share sear-share-big show-kitchen show-terminal
slope soak-gap split-p step-error thick-cv thick-floor thick-rel tie-v time-r time-small tired uneven uptake-cv uptake-gap
uptake-sd vacuum-gap`), numberOrShare},
	{"5 min or 10 %", []string{"time-tol", "hold-tol"}, func(s string) bool { return isSpan(s) || numberOrShare(s) && strings.Contains(s, "%") }},
	{"5 min", strings.Fields("age-gap reheat-gap same-start sear-gap sear-sd wait-gap wait-gap-big"), isSpan},
	{"0.3 °C", strings.Fields("bath-off bath-sd core-tol dip dip-gap gap gap-step pan-gap reheat-tol served-gap served-gap-big start-gap thaw-gap"), func(s string) bool {
		d, err := quantity.ParseDifference(s)
		return err == nil && d.Kelvin() >= 0
	}},
}

// numberOrShare is a number from 0 up, a share, or a range of two numbers. The
// words that say what a number counts may follow: 10 points.
func numberOrShare(s string) bool {
	s = strings.TrimSpace(s)
	for _, word := range []string{"points", "point", "SE"} {
		s = strings.TrimSpace(strings.TrimSuffix(s, word))
	}
	if low, high, found := strings.Cut(s, " to "); found {
		return numberOrShare(low) && numberOrShare(high)
	}
	if p, err := quantity.ParseShare(s); err == nil {
		return p.Percent() >= 0
	}
	v, err := parseNumber(s, nil)
	return err == nil && v >= 0 || s == "none"
}

func isSpan(s string) bool {
	_, err := quantity.ParseDuration(s)
	return err == nil
}

// thresholdNames are the names of all options, sorted.
func thresholdNames() []string {
	var out []string
	for _, k := range thresholdKinds {
		out = append(out, k.names...)
	}
	slices.Sort(out)
	return out
}

// kindOfThreshold finds an option; false for one that is not of the format.
func kindOfThreshold(name string) (thresholdKind, bool) {
	for _, k := range thresholdKinds {
		if slices.Contains(k.names, name) {
			return k, true
		}
	}
	return thresholdKind{}, false
}

// ThresholdReads reports whether a value can be read as the threshold of that
// name; like is what one looks like, "" where there is no such threshold.
func ThresholdReads(name, value string) (like string, ok bool) {
	k, found := kindOfThreshold(name)
	if !found {
		return "", false
	}
	return k.like, k.reads(value)
}
