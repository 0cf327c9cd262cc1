package texture

import (
	"fmt"
	"strings"

	"tamis/internal/stats"
	"tamis/internal/trial"
)

// The identifiers of the warnings about who tasted what.
const (
	WarnTastersTied   = "tasters-tied"   // tasters cannot be told from a factor
	WarnTastersUneven = "tasters-uneven" // tasters cannot be told from units, so nothing was adjusted for them
)

// tasters warns where the tasters cannot be told from what is compared, or where
// their differences could not be taken out of the means.
func (tb *table) tasters(strata map[trial.Grouping]*stratum) []stats.Warning {
	a := tb.groups[byAssessor]
	if !usable(a) {
		return nil
	}
	var out []stats.Warning
	for _, f := range tb.factors {
		if trial.Nested(a, trial.Groups{Code: f.Code}) {
			name := strings.ReplaceAll(f.Name, "_", " ")
			out = append(out, stats.Warning{ID: WarnTastersTied,
				Text: fmt.Sprintf("Each level of the %s was scored by tasters of its own, so a difference between levels may be one between tasters.", name)})
		}
	}
	if len(out) > 0 {
		return out
	}
	for _, by := range tb.strata() {
		if s := strata[by]; s != nil && s.ut.unlinked && tb.unevenTasters(by) {
			return []stats.Warning{{ID: WarnTastersUneven,
				Text: fmt.Sprintf("Not every taster scored every %s, and who scored what cannot be taken out of the means: a difference between %s may be one between tasters.",
					by, plural(string(by)))}}
		}
	}
	return nil
}

// unevenTasters reports whether some factor of the unit has levels that were
// not scored by the same mix of tasters.
func (tb *table) unevenTasters(by trial.Grouping) bool {
	a := tb.groups[byAssessor]
	for _, f := range tb.factors {
		if tb.units[f.Name].By == by && !alike(a.Code, positive(f.Code), len(f.Levels)) {
			return true
		}
	}
	return false
}
