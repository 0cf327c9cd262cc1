package safety

import (
	"math"

	"tamis/internal/food"
	"tamis/internal/trial"
)

// freezeRow is one published row of freezing against parasites: everywhere at
// or below a temperature for a time.
// Where solid is not 0 it is first frozen through at that temperature or below.
type freezeRow struct{ celsius, hours, solid float64 }

// The rows. European Union: Regulation (EC) 853/2004, annex III, section VIII,
// as amended by (EU) 1276/2011 (figures; wording from memory); the United
// Kingdom kept it. United States: Food Code 3-402.11, 2009 text. No row is
// warmer than -20 °C, so a home freezer at -18 °C meets none.
var (
	freezeEU = []freezeRow{{-20, 24, 0}, {-35, 15, 0}}
	freezeUS = []freezeRow{{-20, 168, 0}, {-35, 15, 0}, {-20, 24, -35}}
)

func freezeRows(r trial.Opt[trial.Rules]) []freezeRow {
	if r.Known && (r.V == trial.RulesEU || r.V == trial.RulesUK) {
		return freezeEU
	}
	return freezeUS // also the strictest, for rules that are not stated
}

// freezingMeets reports whether the freezing meets a row of the rules.
func freezingMeets(f trial.Frozen, r trial.Opt[trial.Rules]) bool {
	if !f.Is || !f.Tmp.Known || !f.For.Known {
		return false
	}
	const rounding = 1e-9 // -4 °F is -20 °C up to the last bit
	solid := f.Tmp.V.Celsius()
	held := f.Then.Or(f.Tmp.V).Celsius()
	for _, row := range freezeRows(r) {
		through := math.Max(solid, held) <= row.celsius+rounding
		if row.solid != 0 {
			through = solid <= row.solid+rounding && held <= row.celsius+rounding
		}
		if through && f.For.V.Hours() >= row.hours-rounding {
			return true
		}
	}
	return false
}

// parasitesOf judges the fish of one cook as it was bought: the worst of the
// sources that its pieces name. A piece without a source, and a cook without
// pieces, are judged by food.frozen, or else by the worst of all sources.
func parasitesOf(t *trial.Trial, c *trial.Cook) (Parasites, Reason) {
	byID := map[string]*trial.Source{}
	for i := range t.Sources {
		byID[t.Sources[i].ID] = &t.Sources[i]
	}
	worst, why := ParasitesNotAsked, Reason{}
	take := func(s *trial.Source) {
		if p, r := parasitesIn(t, c, s); p < worst {
			worst, why = p, r
		}
	}
	whole := func() {
		if !t.Food.Frozen.Known {
			for i := range t.Sources {
				take(&t.Sources[i])
			}
			if len(t.Sources) > 0 {
				return
			}
		}
		take(&trial.Source{})
	}
	if len(c.Pieces) == 0 {
		whole()
	}
	for i := range c.Pieces {
		if id := c.Pieces[i].Source; id.Known {
			if s := byID[id.V]; s != nil {
				take(s)
			} else {
				take(&trial.Source{ID: id.V})
			}
		} else {
			whole()
		}
	}
	return worst, why
}

func parasitesIn(t *trial.Trial, c *trial.Cook, s *trial.Source) (Parasites, Reason) {
	control := s.Parasites.V.Control
	record := s.Parasites.V.Record.Known && s.Parasites.V.Record.V != ""
	frozen := s.Frozen
	if !frozen.Known {
		frozen = t.Food.Frozen
	}
	if tooLong(t, c, s, frozen) {
		return ParasitesUnknown, because("frozen-before-caught", "the freezing is longer than the time from catch to cook")
	}
	switch {
	case control.Known && control.V == trial.NoControl:
		return ParasitesNotControlled, because("parasites-not-controlled", "parasites were not controlled")
	case control.Known && (control.V == trial.Exempt || control.V == trial.ByFeed):
		if !record {
			return ParasitesUnknown, because("parasites-no-evidence", creature(t)+" is called free of parasites without a record")
		}
		return ParasitesExempt, because("parasites-exempt", "exempt from freezing by the record")
	case frozen.Known && !frozen.V.Is:
		return ParasitesNotControlled, because("parasites-not-frozen", creature(t)+" was not frozen beforehand")
	case !frozen.Known, !frozen.V.Tmp.Known, !frozen.V.For.Known:
		return ParasitesUnknown, because("parasites-unknown", "it is not stated how cold and how long "+creature(t)+" was frozen against parasites")
	case !freezingMeets(frozen.V, t.Rules):
		row := freezeRows(t.Rules)[0]
		return ParasitesNotControlled, because("parasites-freezing-short", "the freezing meets no rule: ", temp(row.celsius, 0), " for ", mins(row.hours*60), " is needed")
	case !record && !frozen.V.By.Known:
		return ParasitesUnknown, because("parasites-no-record", "it is not stated who froze "+creature(t)+", nor where that is recorded")
	}
	return ParasitesFrozen, because("parasites-frozen", "controlled by freezing beforehand, by the record")
}

// creature is what a trial is of, where parasites are a matter of it.
func creature(t *trial.Trial) string {
	if k, ok := food.Lookup(t.Food.Kind.V); ok && k.Name == "cephalopod" {
		return "the cephalopod"
	}
	return "the fish"
}

// freezingRules is what the rules of a trial ask of freezing, as a quotation.
func freezingRules(r trial.Opt[trial.Rules]) Words {
	us := words("US Food Code (text of 2009), 3-402.11: ", temp(-20, 0), " for ", mins(168*60), "; or frozen solid at ", temp(-35, 0), " and then held at ", temp(-35, 0), " for ", mins(15*60),
		" or at ", temp(-20, 0), " for ", mins(24*60))
	eu := words("Regulation (EC) 853/2004, annex III, section VIII, as amended by (EU) 1276/2011: ", temp(-20, 0), " in all parts for ", mins(24*60), ", or ", temp(-35, 0), " for ", mins(15*60))
	memory := " Figures of the regulation from summaries, its wording from memory, to be confirmed."
	switch r.Or(trial.RulesOther) {
	case trial.RulesUS:
		return words("Freezing against parasites by the ", us, ".")
	case trial.RulesEU:
		return words("Freezing against parasites by ", eu, ".", memory)
	case trial.RulesUK:
		return words("Freezing against parasites as the United Kingdom kept it from ", eu, ".", memory)
	}
	return words("Freezing against parasites is held against the strictest rule here, ", us, ".")
}

// tooLong reports whether the fish would have to have been frozen before it
// was caught.
func tooLong(t *trial.Trial, c *trial.Cook, s *trial.Source, f trial.Opt[trial.Frozen]) bool {
	day := cookedOn(t, c)
	if !s.Caught.Known || !f.V.For.Known || day.IsZero() {
		return false
	}
	// The cook may be at the end of its day and the catch at the start: one more.
	return f.V.For.V.Days() > float64(day.Days()-s.Caught.V.Days()+1)
}

// cookedOn is the day of a cook: of its start, its session or the trial.
func cookedOn(t *trial.Trial, c *trial.Cook) trial.Date {
	if d := c.Started.V.Date; c.Started.Known && !d.IsZero() {
		return d
	}
	for i := range t.Sessions {
		if c.Session.Known && t.Sessions[i].ID == c.Session.V && t.Sessions[i].Date.Known {
			return t.Sessions[i].Date.V
		}
	}
	return t.Date.V
}
