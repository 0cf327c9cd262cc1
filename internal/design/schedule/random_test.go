package schedule

import (
	"flag"
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"tamis/internal/design"
	"tamis/internal/quantity"
	"tamis/internal/trial"
)

var daysDrawn = flag.Int("days", 0, "how many problems of a schedule are drawn; some hundred if 0")

// problem draws a kitchen and a plan for it: 1 to 4 baths of unlike size, 0 to 3
// pans, 1 to 4 pairs of hands, 1 to 3 sessions on days of their own, together or
// without a date, brines of minutes to a day, sears in pans, long and short baths and
// holds, chilling, an opening hour, many tasters or none.
func problem(r *rand.Rand) (*trial.Trial, Options, bool) {
	t := fish(nil, 0, 1+r.IntN(4))
	for i := range t.Baths {
		t.Baths[i].Volume, t.Baths[i].Power = trial.Some(quantity.Litres(float64(8+r.IntN(30)))), trial.Some(quantity.Watts(float64(600+200*r.IntN(8))))
	}
	t.Food.Thickness = trial.Some(quantity.Millimetres(8 + float64(r.IntN(24))))
	t.Food.Kind = trial.Some([]string{"lean fish", "beef pork lamb", "poultry", "vegetable"}[r.IntN(4)])
	t.Sources = nil
	if t.Food.Kind.V == "lean fish" {
		t.Food.Frozen = trial.Some(trial.Frozen{Is: true, Tmp: trial.Some(quantity.Celsius(-20)), For: trial.Some(quantity.FromDays(7)), By: trial.Some("supplier")})
	}
	d := trial.Design{CooksEach: trial.Some(1 + r.IntN(2)), PiecesPerCook: trial.Some(1 + r.IntN(4))}
	if r.IntN(3) == 0 {
		d.Holds = []quantity.Duration{quantity.FromMinutes(float64(5 + r.IntN(90)))}
	} else {
		d.Times = []quantity.Duration{quantity.FromMinutes(float64(15 + r.IntN(150)))}
	}
	if len(d.Times) > 0 && r.IntN(4) == 0 {
		d.Times = append(d.Times, quantity.FromMinutes(d.Times[0].Minutes()+float64(10+r.IntN(60))))
	}
	first, step := 44+float64(r.IntN(20)), float64(1+r.IntN(8))
	hot := r.IntN(3) == 0 // hot and long enough to be chilled afterwards
	if hot {
		first = 60 + float64(r.IntN(6))
		d.Holds, d.Times = nil, []quantity.Duration{quantity.FromMinutes(float64(90 + r.IntN(90)))}
	} else if t.Food.Kind.V == "poultry" || t.Food.Kind.V == "beef pork lamb" {
		first += 14
	}
	for i := range 1 + r.IntN(4) {
		d.SetPoints = append(d.SetPoints, quantity.Celsius(first+step*float64(i)))
	}
	if r.IntN(2) == 0 {
		salt := func(minutes float64, kind trial.BrineKind) trial.Brine {
			return trial.Brine{Kind: kind, AtTmp: trial.Some(quantity.Celsius(4)), Salt: trial.Some(quantity.Percent(1)), For: trial.Some(quantity.FromMinutes(minutes))}
		}
		d.Brine = []trial.Brine{{Kind: trial.NoBrine}, salt(float64(5+r.IntN(90)), trial.DryBrine), salt([]float64{30, 240, 1380}[r.IntN(3)], trial.WetBrine)}[r.IntN(2) : 2+r.IntN(2)]
	}
	pans := []string{"steel", "iron"}[:r.IntN(3)]
	if r.IntN(2) == 0 {
		f := trial.Finish{Sear: trial.Some(quantity.FromSeconds(float64(20 + r.IntN(100)))), PerSide: r.IntN(2) == 0}
		if len(pans) > 0 {
			f.Pan = trial.Some(pans[r.IntN(len(pans))])
		}
		d.Finish = []trial.Finish{f}
		if r.IntN(3) == 0 {
			d.Finish = append(d.Finish, trial.Finish{None: true})
		}
	}
	for i := range r.IntN(9) {
		d.Assessors = append(d.Assessors, fmt.Sprint("p", i))
	}
	if len(d.Assessors) == 0 && r.IntN(2) == 0 {
		t.Measures = []trial.Measure{{Name: "shear", Kind: trial.Amount, Unit: trial.Some("N")}}
	}
	sessions := 1 + r.IntN(3)
	t.Sessions = nil
	on, apart := trial.Date{Year: 2026, Month: 3, Day: 27 + r.IntN(3)}, r.IntN(3)
	for i := range sessions {
		s := trial.Session{ID: fmt.Sprint("s", i+1)}
		if apart > 0 { // on days that follow, or two on one day
			day := on
			if apart == 1 || i > 1 {
				day.Day += i
			}
			if day.Day > 31 {
				day.Month, day.Day = 4, day.Day-31
			}
			s.Date = trial.Some(day)
		}
		t.Sessions = append(t.Sessions, s)
	}
	d.Sessions = trial.Some(sessions)
	t.Design = trial.Some(d)
	p, err := design.Of(t, design.Options{Seed: 1 + r.Uint64N(1000)})
	if err != nil {
		return nil, Options{}, false // a refusal of the layout, tested there
	}
	o := Options{ServeAt: clock([]int{0, 12, 19, 23}[r.IntN(4)], 10*r.IntN(6)), Hands: 1 + r.IntN(4), Pans: r.IntN(4), Within: float64(3 + r.IntN(30)), Wait: float64(3 + r.IntN(30)),
		PerSample: float64(1 + r.IntN(3)), Chill: hot && r.IntN(2) == 0, Tap: trial.Some(float64(8 + r.IntN(20)))}
	if r.IntN(4) == 0 {
		o.Opens = clock(r.IntN(8), 0)
		if o.Opens.V.Minute > o.ServeAt.V.Minute {
			o.Opens = trial.Opt[trial.Clock]{}
		}
	}
	if r.IntN(5) == 0 {
		o.Flights = 1 + r.IntN(3)
	}
	return p.Trial, o, true
}

// Problems drawn by lot, as wide as a kitchen: what is scheduled holds by a reader of
// its own, which knows what the words mean and nothing of how it was scheduled; what
// is not names two steps and the minute.
func TestRandomKitchens(t *testing.T) {
	t.Parallel()
	n := 500
	if testing.Short() {
		n = 80
	}
	if *daysDrawn > 0 {
		n = *daysDrawn
	}
	counts := map[string]int{}
	for seed := range n {
		tr, o, ok := problem(rand.New(rand.NewPCG(uint64(seed), 11)))
		if !ok {
			counts["not laid out"]++
			continue
		}
		s, conflicts := Of(tr, o)
		for _, c := range conflicts {
			counts[c.Slug]++
			if why := told(c); why != "" {
				t.Errorf("seed %d: %s %s: %s; %q, %q", seed, c.Slug, why, c.Text.Text(quantity.Metric), c.First, c.Second)
			}
		}
		if s == nil {
			if len(conflicts) == 0 {
				t.Errorf("seed %d: neither a schedule nor a conflict", seed)
			}
			continue
		}
		counts["scheduled"]++
		// With places that follow the flights, as plan writes them.
		rows, _, err := s.Places(tr)
		if err != nil {
			t.Fatal(err)
		}
		if len(rows) > 0 {
			tr.Panel.V.Scores = rows
		}
		if s, _ = Of(tr, o); s == nil {
			t.Errorf("seed %d: no schedule once the places follow the flights", seed)
			continue
		}
		if s.NotTasted {
			counts["weighed and sheared only"]++
		}
		if o.Chill {
			counts["chilled"]++
		}
		counts["days"] += len(s.Days)
		for _, d := range s.Days {
			counts["flights"] += len(d.Flights)
		}
		if why := (outside{tr, o, s}).broken(); why != "" {
			t.Errorf("seed %d: %s", seed, why)
		}
	}
	t.Logf("%v", counts)
	for _, must := range []string{"scheduled", BathBusy, "weighed and sheared only", "chilled"} {
		if counts[must] < n/100 {
			t.Errorf("%s only %d times of %d: this says too little", must, counts[must], n)
		}
	}
}

// The reader finds what it is there to find: of schedules that hold, each of these
// changes is seen in one at least.
func TestTheReaderFinds(t *testing.T) {
	t.Parallel()
	spoil := map[string]func(d *Day, r *rand.Rand) bool{
		"hands twice": func(d *Day, _ *rand.Rand) bool {
			for i := range d.Steps {
				d.Steps[i].Hand = min(1, d.Steps[i].Hand)
			}
			return d.Hands > 1
		},
		"too few minutes in the bath": func(d *Day, r *rand.Rand) bool {
			c := &d.Cooks[r.IntN(len(d.Cooks))]
			c.In += 60
			for i := range d.Steps {
				if d.Steps[i].Cook == c.Cook && d.Steps[i].What == Dropping {
					d.Steps[i].From, d.Steps[i].To = d.Steps[i].From+60, d.Steps[i].To+60
				}
			}
			return true
		},
		"two cooks in one bath": func(d *Day, _ *rand.Rand) bool {
			if len(d.Baths) < 2 {
				return false
			}
			for i := range d.Cooks {
				d.Cooks[i].Bath = "one"
			}
			return len(d.Flights) == 1
		},
		"no water": func(d *Day, _ *rand.Rand) bool {
			n := len(d.Steps)
			d.Steps = slices.DeleteFunc(d.Steps, func(s Step) bool { return s.What == Water })
			return len(d.Steps) < n
		},
		"served too late": func(d *Day, _ *rand.Rand) bool {
			d.Flights[0].Served += 86400
			return true
		},
		"thrown away too late": func(d *Day, _ *rand.Rand) bool {
			c := &d.Cooks[0]
			if c.Discard == nil {
				return false
			}
			late := *c.Discard + 7200
			c.Discard = &late
			return true
		},
		"eaten too late": func(d *Day, _ *rand.Rand) bool {
			c := &d.Cooks[0]
			if c.LastBite == nil || c.Discard == nil {
				return false
			}
			late := *c.Discard + 7200
			c.LastBite = &late
			return true
		},
		"out of the brine too soon": func(d *Day, _ *rand.Rand) bool {
			for i := range d.Steps {
				if d.Steps[i].What == Salting {
					d.Steps[i].To++
					return true
				}
			}
			return false
		},
		"seared after the plate": func(d *Day, _ *rand.Rand) bool {
			for i := range d.Steps {
				if d.Steps[i].What == Searing {
					d.Steps[i].From, d.Steps[i].To = d.Steps[i].From+3600, d.Steps[i].To+3600
					return true
				}
			}
			return false
		},
		"a pan twice": func(d *Day, _ *rand.Rand) bool {
			n := 0
			for i := range d.Steps {
				if s := &d.Steps[i]; s.What == Searing {
					s.From, s.To, s.Pan = 60000, 60060, "p"
					n++
				}
			}
			return n > 1
		},
		"a cook is lost": func(d *Day, _ *rand.Rand) bool {
			d.Cooks = d.Cooks[1:]
			return true
		},
		"before the kitchen opens": func(d *Day, _ *rand.Rand) bool {
			d.Steps[0].From = -40 * 86400
			return false // only where there is an hour
		},
	}
	found, meant := map[string]bool{}, map[string]bool{}
	for seed := range 40 {
		r := rand.New(rand.NewPCG(uint64(seed), 11))
		tr, o, ok := problem(r)
		if !ok {
			continue
		}
		for name, f := range spoil {
			s, conflicts := Of(tr, o)
			if s == nil || len(conflicts) > 0 {
				break
			}
			if must := f(&s.Days[0], r); !must && !(name == "before the kitchen opens" && o.Opens.Known) {
				continue
			}
			meant[name] = true
			if (outside{tr, o, s}).broken() != "" {
				found[name] = true
			} else if !slices.Contains([]string{"two cooks in one bath", "hands twice", "thrown away too late"}, name) {
				// Steps may happen never to meet, and what has no verdict has no clock.
				t.Errorf("seed %d: not seen: %s", seed, name)
			}
		}
	}
	for name := range spoil {
		if !found[name] {
			t.Errorf("never seen: %s (tried: %v)", name, meant[name])
		}
	}
}
