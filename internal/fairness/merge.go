package fairness

import "slices"

// absorption is one line of the table of parenthood: a root cause, what it
// absorbs, and when.
type absorption struct {
	root, child string
	when        func(c *Case, root, child *Finding) bool
}

// absorptions is the table in the order of parenthood: a child goes under the
// first root that fires and meets its condition. A root stands above its
// children in this order, so no circle can arise; a test holds that.
var absorptions = []absorption{
	{"source-tied-to-set-point", "cold-history-differs", constantWithinSource},
	{"source-tied-to-set-point", "size-differs", constantWithinSource},
	{"source-tied-to-set-point", "part-tied-to-set-point", onePartASource},
	{"ramp-in-one-bath", "time-moves-with-set-point", cooksAmong},
	{"ramp-in-one-bath", "run-order-follows-set-point", cooksAmong},
	{"ramp-in-one-bath", "wait-differs", cooksAmong},
	{"ramp-in-one-bath", "hold-spread", cooksAmong},
	{"one-run-per-set-point", "split-run", armsAmong},
	{"one-run-per-set-point", "session-tied-to-set-point", singleRuns},
	{"one-run-per-set-point", "bath-tied-to-set-point", singleRuns},
	{"one-run-per-set-point", "run-order-follows-set-point", singleRuns},
	{"one-run-per-set-point", "drift-over-runs", singleRuns},
	{"one-run-per-set-point", "looks-counted-as-runs", armsAmong},
	{"one-run-per-set-point", "too-few-to-see", armsAmong},
	{"one-run-per-set-point", "anything-else-moves", singleRuns},
	{"session-tied-to-set-point", "bath-tied-to-set-point", bathFollowsSession},
	{"session-tied-to-set-point", "run-order-follows-set-point", always},
	{"session-tied-to-set-point", "drift-over-runs", always},
	{"session-tied-to-set-point", "cold-history-differs", ageOnly},
	{"session-tied-to-set-point", "not-all-tasted-all", tastersFollowSession},
	{"bath-off-set-point", "bath-tied-to-set-point", sameBaths},
	{"time-moves-with-set-point", "hold-spread", always},
	{"core-short", "hold-spread", always}, // a core that never arrived was held for no time
	{"core-short", "size-differs", thickerAreShort},
	{"core-short", "load-differs", cooksShared},
	{"core-short", "cold-history-differs", startOnly},
	{"part-tied-to-set-point", "size-differs", thicknessFollowsPart},
	{"run-order-follows-set-point", "drift-over-runs", always},
	{"brine-tied-to-set-point", "one-tub", always},
	{"brine-tied-to-set-point", "brine-dose-differs", always},
	{"brine-tied-to-set-point", "salt-gives-it-away", always},
	{"chilled-only-some", "wait-differs", cooksAmong},
	{"chilled-only-some", "served-at-differs", cooksAmong},
	{"finish-differs", "sear-hides-set-point", cooksAmong},
	{"finish-differs", "wait-differs", cooksAmong},
	{"wait-differs", "served-at-differs", always},
	{"tasters-knew", "cook-tasted", always},
	{"tasters-knew", "salt-gives-it-away", always},
	{"tasting-order-uneven", "carry-over", always},
	{"tasting-order-uneven", "place-changes-scores", always},
	{"assessor-out-of-step", "panel-splits", splitOfOne},
	{"declared-after-tasting", "many-measures", always},
	{"analyses-disagree", "scores-left-out", turnedBy},
	{"analyses-disagree", "scores-at-the-end", turnedBy},
	{"analyses-disagree", "cook-tasted", turnedBy},
}

// merge puts each finding that fires under its root cause, flattens chains, and
// lifts a root to the worst severity of the children that share its subject.
func merge(c *Case, findings []Finding) {
	var firing []*Finding // few of many
	for i := range findings {
		if f := &findings[i]; f.Outcome == Fires {
			firing = append(firing, f)
		}
	}
	at := func(slug, factor string) *Finding {
		for _, f := range firing {
			if f.Slug == slug && f.Factor == factor {
				return f
			}
		}
		return nil
	}
	for _, a := range absorptions {
		for _, child := range firing {
			if child.Slug != a.child || child.Under != "" {
				continue
			}
			if root := at(a.root, child.Factor); root != nil && a.when(c, root, child) {
				child.Under = a.root
			}
		}
	}
	for _, child := range firing {
		if child.Under == "" {
			continue
		}
		root := at(child.Under, child.Factor)
		for root.Under != "" {
			root = at(root.Under, root.Factor)
		}
		child.Under = root.Slug
		if child.About == root.About && child.Severity > root.Severity {
			root.Severity = child.Severity
			root.Kind = child.Kind
		}
	}
}

// standings are what merge changes of findings, so that it can be undone.
type standings []standing

type standing struct {
	under    string
	severity Severity
	kind     Kind
}

func standingsOf(findings []Finding) standings {
	out := make(standings, len(findings))
	for i := range findings {
		f := &findings[i]
		out[i] = standing{f.Under, f.Severity, f.Kind}
	}
	return out
}

// restore gives the first findings back what they were.
func (s standings) restore(findings []Finding) {
	for i, was := range s {
		f := &findings[i]
		f.Under, f.Severity, f.Kind = was.under, was.severity, was.kind
	}
}

// The conditions.

func always(*Case, *Finding, *Finding) bool { return true }

// among reports whether every id of a is in b; what names no id concerns all.
func among(a, b []string) bool {
	for _, id := range a {
		if !slices.Contains(b, id) {
			return false
		}
	}
	return true
}

func cooksAmong(_ *Case, root, child *Finding) bool {
	return among(child.Where.Cooks, root.Where.Cooks)
}

func armsAmong(_ *Case, root, child *Finding) bool { return among(child.Where.Arms, root.Where.Arms) }

func sameBaths(_ *Case, root, child *Finding) bool { return among(root.Where.Baths, child.Where.Baths) }

func cooksShared(_ *Case, root, child *Finding) bool {
	for _, id := range child.Where.Cooks {
		if slices.Contains(root.Where.Cooks, id) {
			return true
		}
	}
	return false
}

// singleRuns: with one run at a set point everything that varies between cooks
// is tied to it, so it is one finding and not four.
func singleRuns(c *Case, root, child *Finding) bool {
	return root.Severity == Blocks && armsAmong(c, root, child)
}
