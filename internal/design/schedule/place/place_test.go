package place

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"reflect"
	"testing"
)

// drawn is a random day.
func drawn(r *rand.Rand) *Problem {
	p := &Problem{Hands: 1 + r.IntN(3), Pans: 1 + r.IntN(2), Baths: 1 + r.IntN(4), Serve: 19 * 3600, Opens: -20 * 86400,
		Within: 60 * (5 + r.IntN(30)), Wait: 60 * (5 + r.IntN(30)), Pause: 300, Step: 300}
	n := 1 + r.IntN(7)
	flights := 1 + r.IntN(min(n, 3))
	again := r.IntN(5) == 0
	for f := range flights {
		_ = f
		p.Flights = append(p.Flights, Flight{Taste: 60 * (2 + r.IntN(20)), Warm: Lead{120, 60 * r.IntN(20)}, WarmBath: r.IntN(p.Baths)})
	}
	for i := range n {
		j := Job{Flight: i * flights / n, Bath: r.IntN(p.Baths), Lead: Lead{30 * r.IntN(10), 60 * r.IntN(60)}, Drop: 60, Soak: 60 * (5 + r.IntN(120)), Out: 30 * (1 + r.IntN(4)), Plate: 30 * (1 + r.IntN(4))}
		for range r.IntN(3) {
			j.Preps = append(j.Preps, Prep{60 * r.IntN(3), 60 * r.IntN(40), 60 * (1 + r.IntN(2))})
		}
		for range r.IntN(3) {
			s := Sear{Seconds: 60 * (1 + r.IntN(3))}
			if r.IntN(2) == 0 {
				s.Pans = []int{r.IntN(p.Pans)}
			}
			j.Sears = append(j.Sears, s)
		}
		j.Bites = 60 * (1 + r.IntN(15))
		if r.IntN(3) == 0 {
			j.Clock = j.Soak + 60*(20+r.IntN(60))
		}
		if again {
			j.Again = &Again{Ice: 60 * (20 + r.IntN(40)), Second: 60 * (10 + r.IntN(40)), In: 60, Out: 60}
			j.Chilled = 60 * (60 + r.IntN(120))
		}
		p.Jobs = append(p.Jobs, j)
	}
	return p
}

// wrong checks a solution by the rules alone, without the code that made it.
func wrong(p *Problem, s *Solution) string {
	type use struct {
		what     string
		from, to int
		step     Step
	}
	var uses []use
	byJob := make([]map[Kind][]Step, len(p.Jobs))
	for i := range byJob {
		byJob[i] = map[Kind][]Step{}
	}
	for _, x := range s.Steps {
		if x.From > x.To || x.From < p.Opens {
			return fmt.Sprintf("a step from %d to %d", x.From, x.To)
		}
		if x.Hand >= 0 {
			uses = append(uses, use{fmt.Sprint("hand ", x.Hand), x.From, x.To, x})
		}
		if x.Pan >= 0 {
			uses = append(uses, use{fmt.Sprint("pan ", x.Pan), x.From, x.To, x})
		}
		if x.Bath >= 0 && (x.Kind == Soak || x.Kind == Water || x.Kind == Heating || x.Kind == Rewater || x.Kind == Reheating) {
			uses = append(uses, use{fmt.Sprint("bath ", x.Bath), x.From, x.To, x})
		}
		if x.Kind == Warming { // together, but never beside anything else
			uses = append(uses, use{fmt.Sprint("bath ", x.Bath), x.From, x.To, x})
		}
		if x.Job >= 0 {
			byJob[x.Job][x.Kind] = append(byJob[x.Job][x.Kind], x)
		}
		if x.Kind == Taste && (x.From != s.Serve[x.Flight] || x.To != x.From+p.Flights[x.Flight].Taste) {
			return "the tasting is at another time"
		}
	}
	for i, a := range uses {
		for _, b := range uses[:i] {
			if a.what == b.what && a.from < b.to && b.from < a.to && !(a.step.Kind == Warming && b.step.Kind == Warming && a.step.Flight == b.step.Flight) {
				return fmt.Sprintf("%s twice: %+v and %+v", a.what, a.step, b.step)
			}
		}
	}
	if s.Serve[len(s.Serve)-1] != p.Serve {
		return "the last flight is not served when it should be"
	}
	for f := 1; f < len(s.Serve); f++ {
		if s.Serve[f] < s.Serve[f-1]+p.Flights[f-1].Taste+p.Pause {
			return "two flights overlap"
		}
	}
	lastOut := map[int]int{}
	for i, j := range p.Jobs {
		m := byJob[i]
		serve := s.Serve[j.Flight]
		one := func(k Kind) Step {
			if len(m[k]) != 1 {
				return Step{From: -1 << 40}
			}
			return m[k][0]
		}
		soak, plate, drop, out := one(Soak), one(Plate), one(Drop), one(Out)
		if j.Again != nil {
			out = one(Out)
		}
		for _, x := range []Step{soak, plate, drop, out} {
			if x.From == -1<<40 {
				return fmt.Sprintf("job %d lacks a step or has it twice", i)
			}
		}
		if soak.To-soak.From != j.Soak || drop.To != soak.From || drop.To-drop.From != j.Drop || out.From != soak.To || out.To-out.From != j.Out || plate.To-plate.From != j.Plate {
			return fmt.Sprintf("job %d: steps of another length or with a gap", i)
		}
		if plate.To > serve || plate.To < serve-p.Within {
			return fmt.Sprintf("job %d is plated at %d and served at %d", i, plate.To, serve)
		}
		free := out.To
		left := soak.To
		if a := j.Again; a != nil {
			w, in, back := one(Warming), one(Into), one(OutAgain)
			if w.To-w.From != a.Second || in.To != w.From || back.From != w.To || in.From < out.To+a.Ice {
				return fmt.Sprintf("job %d is not chilled or warmed up as it should be", i)
			}
			if j.Chilled > 0 && serve+j.Bites-in.From > j.Chilled {
				return fmt.Sprintf("job %d is eaten too late after warming up", i)
			}
			free, left = back.To, w.To
		} else if j.Clock > 0 && serve+j.Bites-soak.From > j.Clock {
			return fmt.Sprintf("job %d is eaten too late", i)
		}
		if plate.To-left > p.Wait {
			return fmt.Sprintf("job %d waits %d s", i, plate.To-left)
		}
		if len(m[Searing]) != len(j.Sears) {
			return fmt.Sprintf("job %d is seared %d times", i, len(m[Searing]))
		}
		for _, x := range m[Searing] {
			want := j.Sears[x.Index]
			if x.To-x.From != want.Seconds || x.From < free || x.To > plate.From || len(want.Pans) > 0 && x.Pan != want.Pans[0] || x.Pan < 0 || x.Hand < 0 {
				return fmt.Sprintf("job %d: a sear out of place: %+v", i, x)
			}
		}
		for k, q := range j.Preps {
			var first, last Step
			for _, x := range m[First] {
				if x.Index == k {
					first = x
				}
			}
			for _, x := range m[Last] {
				if x.Index == k {
					last = x
				}
			}
			if last.To > drop.From || last.To-last.From != q.Last || q.First > 0 && (first.To-first.From != q.First || last.From-first.To != q.Wait) {
				return fmt.Sprintf("job %d: a brine out of place: %+v %+v", i, first, last)
			}
		}
		begins := drop.From
		if j.Lead.Hands+j.Lead.Wait > 0 {
			w := one(Water)
			begins = w.From
			if w.To-w.From != j.Lead.Hands || drop.From-w.To < j.Lead.Wait {
				return fmt.Sprintf("job %d: its bath is not ready: %+v", i, w)
			}
		}
		if at, ok := lastOut[j.Bath]; ok && begins < at {
			return fmt.Sprintf("job %d: its bath is still in use", i)
		}
		lastOut[j.Bath] = out.To
	}
	return ""
}

// On random days nothing is twice anywhere, everything is served in time, and the
// problem is left as it was. A clash names two steps, one of them a job's.
func TestRandomDays(t *testing.T) {
	t.Parallel()
	days := 8000
	if testing.Short() {
		days = 2000
	}
	found := 0
	for seed := range days {
		p := drawn(rand.New(rand.NewPCG(uint64(seed), 1)))
		before := fmt.Sprintf("%+v", *p)
		s, c, err := Solve(p)
		if errors.Is(err, ErrArgument) {
			continue // a bath that goes back in time
		}
		switch {
		case err != nil:
			t.Fatalf("seed %d: %v", seed, err)
		case s != nil:
			found++
			if why := wrong(p, s); why != "" {
				t.Fatalf("seed %d: %s", seed, why)
			}
		case c == nil || c.Need.Job < 0 && c.Has.Job < 0 || c.Need == c.Has:
			t.Fatalf("seed %d: neither a solution nor a reason: %+v", seed, c)
		}
		if fmt.Sprintf("%+v", *p) != before {
			t.Fatalf("seed %d: the problem was altered", seed)
		}
		if seed%50 == 0 {
			if s2, c2, _ := Solve(p); !reflect.DeepEqual(s, s2) || !reflect.DeepEqual(c, c2) {
				t.Fatalf("seed %d: another answer the second time", seed)
			}
		}
	}
	if found < days/4 {
		t.Errorf("only %d of %d days have a solution: the test does not try much", found, days)
	}
}

// The checker finds what is wrong.
func TestTheCheckerFinds(t *testing.T) {
	t.Parallel()
	for seed := uint64(0); ; seed++ {
		p := drawn(rand.New(rand.NewPCG(seed, 1)))
		s, _, err := Solve(p)
		if err != nil || s == nil || len(p.Jobs) < 4 {
			continue
		}
		for i := range s.Steps {
			if s.Steps[i].Kind == Waiting || s.Steps[i].Kind == Heating || s.Steps[i].Kind == Ice || s.Steps[i].From == s.Steps[i].To {
				continue
			}
			broken := &Solution{Steps: append([]Step(nil), s.Steps...), Serve: s.Serve}
			broken.Steps[i].From -= 7200
			if wrong(p, broken) == "" {
				t.Errorf("a %v of the wrong length was not found", s.Steps[i].Kind)
			}
		}
		return
	}
}

func TestBadProblems(t *testing.T) {
	t.Parallel()
	ok := func() *Problem {
		return &Problem{Jobs: []Job{{Soak: 60}}, Flights: []Flight{{}}, Hands: 1, Baths: 1, Serve: 3600, Within: 60, Wait: 60, Step: 60}
	}
	if s, c, err := Solve(ok()); s == nil || c != nil || err != nil {
		t.Fatalf("a small problem: %v %v %v", s, c, err)
	}
	for name, change := range map[string]func(p *Problem){
		"no jobs":        func(p *Problem) { p.Jobs = nil },
		"no flights":     func(p *Problem) { p.Flights = nil },
		"no hands":       func(p *Problem) { p.Hands = 0 },
		"no bath":        func(p *Problem) { p.Baths = 0 },
		"bath":           func(p *Problem) { p.Jobs[0].Bath = 1 },
		"flight":         func(p *Problem) { p.Jobs[0].Flight = 1 },
		"negative":       func(p *Problem) { p.Jobs[0].Soak = -1 },
		"for ever":       func(p *Problem) { p.Jobs[0].Soak = 1 << 40 },
		"no pan":         func(p *Problem) { p.Jobs[0].Sears = []Sear{{Seconds: 60}} },
		"step":           func(p *Problem) { p.Step = 0 },
		"opens too late": func(p *Problem) { p.Opens = 7200 },
		"back in time": func(p *Problem) {
			p.Flights = []Flight{{}, {}}
			p.Jobs = []Job{{Flight: 1}, {Flight: 0}}
		},
	} {
		p := ok()
		change(p)
		if _, _, err := Solve(p); !errors.Is(err, ErrArgument) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// Each clash is the one it should be, with its two jobs and its minute.
func TestClashes(t *testing.T) {
	t.Parallel()
	day := func(change func(p *Problem)) *Clash {
		p := &Problem{Hands: 2, Pans: 1, Baths: 2, Serve: 12 * 3600, Within: 600, Wait: 900, Pause: 300, Step: 300, Flights: []Flight{{Taste: 600}},
			Jobs: []Job{{Bath: 0, Soak: 3600, Drop: 60, Out: 60, Plate: 60, Bites: 600}, {Bath: 1, Soak: 3600, Drop: 60, Out: 60, Plate: 60, Bites: 600}}}
		change(p)
		s, c, err := Solve(p)
		if s != nil || err != nil {
			t.Errorf("a day that cannot be has a solution: %v %v", s, err)
			return nil
		}
		return c
	}
	for _, c := range []struct {
		name   string
		reason Reason
		change func(p *Problem)
	}{
		{"one bath", Baths, func(p *Problem) { p.Jobs[1].Bath = 0 }},
		{"one pan", Pans, func(p *Problem) {
			for i := range p.Jobs {
				p.Jobs[i].Sears = []Sear{{Seconds: 700}}
			}
		}},
		{"too few hands", Hands, func(p *Problem) {
			p.Hands = 1
			for i := range p.Jobs {
				p.Jobs[i].Plate = 650
			}
		}},
		{"opens", Opens, func(p *Problem) { p.Opens = p.Serve - 3600 }},
		{"clock", Clock, func(p *Problem) { p.Jobs[0].Clock = 4000 }},
		{"wait", Waits, func(p *Problem) { p.Wait = 60 }},
	} {
		got := day(c.change)
		if got == nil || got.Reason != c.reason {
			t.Errorf("%s: %+v", c.name, got)
		}
	}
}
