package schedule

import (
	"fmt"
	"slices"
	"testing"

	"tamis/internal/quantity"
	"tamis/internal/trial"
)

// twoDays is a trial with a serving on each of two dates, at the same hour.
func twoDays(first, second trial.Date, mins, brine float64) *trial.Trial {
	t := fish([]float64{56, 58}, mins, 2)
	more := fish([]float64{56, 58}, mins, 2).Cooks
	for i := range more {
		c := &more[i]
		c.ID, c.Session = fmt.Sprintf("D%d", i+1), trial.Some("second")
		for k := range c.Pieces {
			c.Pieces[k].ID = fmt.Sprintf("%s-%d", c.ID, k+1)
		}
	}
	t.Cooks = append(t.Cooks, more...)
	for i := range t.Cooks {
		t.Cooks[i].Pieces[1].Brine.V.For = trial.Some(quantity.FromMinutes(brine))
	}
	t.Sessions = []trial.Session{{ID: "first", Date: trial.Some(first)}, {ID: "second", Date: trial.Some(second)}}
	return t
}

// crossing is the first step of one day that meets one of another, by the count of
// seconds from one midnight, however the days are called.
func crossing(s *Schedule) string {
	type span struct {
		from, to Moment
		day      int
		what     string
	}
	busy := map[string][]span{}
	for i, d := range s.Days {
		shift := Moment(86400 * d.On.Days())
		for _, x := range d.Steps {
			keys := []string{}
			if x.Hand > 0 {
				keys = append(keys, fmt.Sprint("hands ", x.Hand))
			}
			if x.Bath != "" {
				keys = append(keys, "bath "+x.Bath)
			}
			for _, key := range keys {
				now := span{x.From + shift, x.To + shift, i, x.Text.Text(quantity.Metric)}
				for _, y := range busy[key] {
					if y.day != i && now.from < y.to && y.from < now.to {
						return key + ": " + y.what + ", " + now.what
					}
				}
				busy[key] = append(busy[key], now)
			}
		}
	}
	return ""
}

// A brine of about a day puts the fish of one serving into salt while the one
// before is cooked: nobody does both, across midnight, a month's end and the nights
// in which clocks change.
func TestDaysKeepApart(t *testing.T) {
	t.Parallel()
	for _, dates := range [][2]trial.Date{
		{{Year: 2026, Month: 3, Day: 28}, {Year: 2026, Month: 3, Day: 29}},
		{{Year: 2026, Month: 10, Day: 25}, {Year: 2026, Month: 10, Day: 26}},
		{{Year: 2028, Month: 2, Day: 29}, {Year: 2028, Month: 3, Day: 1}},
		{{Year: 2026, Month: 12, Day: 31}, {Year: 2027, Month: 1, Day: 1}},
	} {
		whole, parted := 0, 0
		for _, serve := range []trial.Opt[trial.Clock]{clock(19, 30), clock(0, 20)} {
			for brine := 22.5 * 60; brine <= 26*60; brine += 20 {
				for hands := 1; hands <= 3; hands++ {
					tr := twoDays(dates[0], dates[1], 60, brine)
					s, conflicts := Of(tr, Options{ServeAt: serve, Hands: hands})
					for _, c := range conflicts {
						parted++
						if c.First == "" || c.Second == "" || c.At == nil || c.Text.Text(quantity.Metric) == "" {
							t.Errorf("%v: the conflict says too little: %+v", dates, c)
						}
					}
					if s == nil {
						continue
					}
					if len(s.Days) == 2 {
						whole++
					}
					if why := crossing(s); why != "" {
						t.Fatalf("%v, brine of %g min, %d hands: %s", dates, brine, hands, why)
					}
				}
			}
		}
		if whole == 0 || parted == 0 {
			t.Errorf("%v: %d schedules whole and %d conflicts: this says too little", dates, whole, parted)
		}
	}
}

// A bath that holds one serving for two days is not free for the one before.
func TestLongBathMeetsTheDayBefore(t *testing.T) {
	t.Parallel()
	tr := twoDays(trial.Date{Year: 2026, Month: 3, Day: 28}, trial.Date{Year: 2026, Month: 3, Day: 29}, 30*60, 20)
	for i := range tr.Cooks {
		tr.Cooks[i].SetPoint = trial.Some(quantity.Celsius(60))
	}
	_, conflicts := Of(tr, Options{ServeAt: clock(19, 30), Hands: 3})
	if !slices.ContainsFunc(conflicts, func(c Conflict) bool { return c.Slug == BathBusy && c.At != nil && c.Session == "second" }) {
		t.Errorf("a bath is in use for two servings at once: %v", conflicts)
	}
}
