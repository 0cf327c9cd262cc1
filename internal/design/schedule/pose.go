package schedule

import (
	"math"
	"slices"
	"strconv"

	"tamis/internal/design/schedule/place"
	"tamis/internal/prose"
	"tamis/internal/safety"
	"tamis/internal/trial"
)

type part = prose.Part

// prep is what is done before the bath to the pieces of a cook that are treated
// alike, and seared is a piece that goes into a pan.
type prep struct {
	brine  trial.Brine
	pieces []string
}

type seared struct {
	piece   string
	seconds int
	pan     string // "": any
}

// handwork finds, for each cook of a day, its brines and its sears.
func (k *kitchen) handwork(x *draft) {
	x.preps, x.sears = make([][]prep, len(x.cooks)), make([][]seared, len(x.cooks))
	for n, i := range x.cooks {
		c := &k.t.Cooks[i]
		at := map[string]int{}
		for p := range max(1, len(c.Pieces)) {
			treatment, id := c.Treatment, ""
			if len(c.Pieces) > 0 {
				treatment, id = c.Treatments(p), c.Pieces[p].ID
			}
			b := treatment.Brine.V
			if !treatment.Brine.Known {
				b = trial.Brine{Kind: trial.NoBrine}
			}
			label := b.Label()
			if _, ok := at[label]; !ok {
				at[label] = len(x.preps[n])
				x.preps[n] = append(x.preps[n], prep{brine: b})
			}
			q := &x.preps[n][at[label]]
			q.pieces = append(q.pieces, id)
			if b.Kind != trial.NoBrine && !b.For.Known {
				k.take("How long the pieces lie in the brine is not stated, and no time is planned for it.")
			}
			f := treatment.Finish
			if !f.Known || f.V.None || !f.V.Sear.Known {
				continue
			}
			s := f.V.Sear.V.Minutes()
			if f.V.PerSide {
				s *= 2
			}
			x.sears[n] = append(x.sears[n], seared{id, seconds(s + turning), f.V.Pan.V})
			if f.V.Pan.Known && !slices.Contains(x.pans, f.V.Pan.V) {
				x.pans = append(x.pans, f.V.Pan.V)
			}
		}
	}
	any := slices.ContainsFunc(x.sears, func(s []seared) bool { return len(s) > 0 })
	for len(x.pans) < k.o.Pans || any && len(x.pans) == 0 {
		x.pans = append(x.pans, "pan "+strconv.Itoa(len(x.pans)+1))
	}
}

// finishMinutes is the time of a finish that is only described.
func finishMinutes(c *trial.Cook, p int) float64 {
	f := c.Finish
	if len(c.Pieces) > 0 {
		f = c.Treatments(p).Finish
	}
	if f.Known && !f.V.None && !f.V.Sear.Known && f.V.Words.Known {
		return finishing
	}
	return 0
}

// pose turns a day that is split into flights into numbers.
func (k *kitchen) pose(x *draft) []Conflict {
	k.tastes(x)
	serve := k.o.ServeAt.V.Minute*60 + k.o.ServeAt.V.Second
	opens := serve - 20*86400
	if k.o.Opens.Known {
		opens = min(serve, k.o.Opens.V.Minute*60+k.o.Opens.V.Second)
	}
	pr := place.Problem{Hands: k.o.Hands, Pans: len(x.pans), Baths: len(x.baths), Serve: serve, Opens: opens,
		Within: exactly(k.o.Within), Wait: exactly(k.o.Wait), Pause: exactly(Pause), Step: 300, Flights: make([]place.Flight, len(x.flights))}
	x.before = make([]float64, len(x.cooks))
	now := make([]float64, len(x.baths)) // set points of the baths as the day goes on
	for i := range now {
		now[i] = math.NaN()
	}
	warmBath := 0
	if k.warm != nil {
		uses := make([]int, len(x.baths))
		for _, b := range x.bath {
			uses[b]++
		}
		for b := range uses {
			if uses[b] < uses[warmBath] {
				warmBath = b
			}
		}
	}
	var out []Conflict
	lead := func(b int, to float64, cook string) place.Lead {
		from := now[b]
		now[b] = to
		l, ok := k.leadOf(x.baths[b], from, to)
		if !ok {
			out = append(out, Conflict{Slug: ColdBath, Session: x.sessions[0], First: cook, Second: bathName(x.baths[b]),
				Text: say(bathName(x.baths[b])+" does not get to ", degrees(to), ": its heater loses that much to the air")})
		}
		return l
	}
	for f, places := range x.flights {
		for _, p := range places {
			i := x.cooks[p]
			c := &k.t.Cooks[i]
			j := place.Job{Flight: f, Bath: x.bath[p], Drop: seconds(dropping), Soak: exactly(k.soak[i]), Bites: x.bites[p]}
			pieces := max(1, len(c.Pieces))
			j.Out = seconds(max(1, lifting*float64(pieces)))
			plate := plating * float64(pieces)
			for q := range pieces {
				plate += finishMinutes(c, q)
			}
			j.Plate = seconds(plate + portioning*float64(x.of[p]))
			// The last bite is no later than the minute in which the clock runs out.
			j.Clock = int(60 * k.clockOf(i))
			x.before[p] = now[j.Bath]
			to := now[j.Bath]
			if c.SetPoint.Known {
				to = c.SetPoint.V.Celsius()
			}
			j.Lead = lead(j.Bath, to, "cook "+c.ID)
			for _, q := range x.preps[p] {
				w := place.Prep{Last: seconds(bagging * float64(len(q.pieces)))}
				if q.brine.Kind != trial.NoBrine {
					w.First, w.Wait = seconds(salting*float64(len(q.pieces))), exactly(q.brine.For.V.Minutes())
				}
				j.Preps = append(j.Preps, w)
			}
			for _, s := range x.sears[p] {
				y := place.Sear{Seconds: s.seconds}
				if s.pan != "" {
					y.Pans = []int{slices.Index(x.pans, s.pan)}
				}
				j.Sears = append(j.Sears, y)
			}
			if w := k.warm; w != nil {
				j.Again = &place.Again{Ice: exactly(w.ice[i]), Second: exactly(w.minutes), In: seconds(dropping), Out: seconds(dropping)}
				if v := k.verdicts[i]; v.Discard > 0 && !k.notTasted {
					j.Chilled = max(1, int(60*(v.Discard-k.soak[i])))
				}
			}
			if k.verdicts[i].Discard <= 0 && k.verdicts[i].Verdict != safety.NotAsked && !k.notTasted {
				k.take("No growth clock can be run for some cooks; they are kept to ", minutes(unclocked), " from the bath to the last bite, which is no verdict.")
			}
			pr.Jobs = append(pr.Jobs, j)
		}
		pr.Flights[f].Taste = x.taste[f]
		if k.warm != nil {
			pr.Flights[f].WarmBath, pr.Flights[f].Warm = warmBath, lead(warmBath, k.warm.celsius, "warming up")
		}
	}
	x.problem = pr
	return out
}

// leadOf is what brings a bath from one set point to another; from is NaN where it
// is filled from the tap. ok is false where it does not get there.
func (k *kitchen) leadOf(bath string, from, to float64) (l place.Lead, ok bool) {
	if k.t.Medium.Or(trial.WaterBath) != trial.WaterBath || math.IsNaN(to) {
		return place.Lead{Hands: seconds(1), Wait: seconds(preheating)}, true
	}
	litres, watts, stated := bathOf(k.t, bath)
	if !stated {
		k.take("A bath whose volume or power is not stated is taken to hold ", prose.Quantity{Kind: prose.Amount, Value: bathLitres, Unit: "l"}, " and to heat with ",
			prose.Quantity{Kind: prose.Amount, Value: bathWatts, Unit: "W"}, "; state volume and power under baths.")
	}
	tap := k.o.Tap.V
	switch {
	case math.IsNaN(from):
		from = tap
		fallthrough
	case to > from+0.05:
		m, ok := heatTime(litres, watts, from, to)
		if !ok || m > 2*1440 {
			return l, false
		}
		return place.Lead{Hands: seconds(filling), Wait: seconds(whole(m) + settling)}, true
	case to < from-0.05:
		if to < tap { // with ice
			tap = 0
		}
		return place.Lead{Hands: seconds(coolTime(litres, from, to, tap)), Wait: seconds(settling)}, true
	}
	return place.Lead{Wait: seconds(settling)}, true // the food pulled it down a little
}
