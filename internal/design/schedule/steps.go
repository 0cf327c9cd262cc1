package schedule

import (
	"math"
	"strings"

	"tamis/internal/design/schedule/place"
	"tamis/internal/prose"
	"tamis/internal/quantity"
	"tamis/internal/trial"
)

// step puts one step into words.
func (k *kitchen) step(x *draft, d *Day, times []Times, s place.Step) Step {
	out := Step{From: Moment(s.From), To: Moment(s.To), Flight: s.Flight + 1, Hand: s.Hand + 1, SetPoint: quantity.Absent("no bath is concerned"), Pieces: []string{}}
	if s.From == s.To {
		out.Hand = 0
	}
	if s.Pan >= 0 {
		out.Pan = x.pans[s.Pan]
	}
	id, bath := "", ""
	var c *trial.Cook
	if s.Job >= 0 {
		c = &k.t.Cooks[x.cooks[s.Job]]
		id, bath = c.ID, x.baths[x.bath[s.Job]]
		out.Cook = id
	}
	at := func(b string) { out.Bath, out.SetPoint = b, celsius(c) }
	switch s.Kind {
	case place.Water, place.Heating:
		at(bath)
		out.Cook = ""
		k.water(x, s, &out, bath, sp(*c), x.before[s.Job], c.SetPoint.V.Celsius())
	case place.Rewater, place.Reheating:
		bath = x.baths[x.problem.Flights[s.Flight].WarmBath]
		out.Bath, out.SetPoint = bath, quantity.Num(k.warm.celsius)
		out.What = Water
		if s.Kind == place.Reheating {
			out.What = Heating
		}
		out.Text = say(bathName(bath)+" to ", degrees(k.warm.celsius), ", to warm everything up")
	case place.First:
		q := x.preps[s.Job][s.Index]
		out.What, out.Pieces = Salting, list(q.pieces)
		out.Text = say("put ", pieces(q.pieces, id), " in salt ("+q.brine.Label()+"), ", cold(q.brine))
	case place.Waiting:
		q := x.preps[s.Job][s.Index]
		out.What, out.Pieces = Brining, list(q.pieces)
		out.Text = say(pieces(q.pieces, id), " in salt, ", cold(q.brine))
	case place.Last:
		q := x.preps[s.Job][s.Index]
		out.What, out.Pieces = Bagging, list(q.pieces)
		out.Text = say("bag ", pieces(q.pieces, id))
		if q.brine.Kind != trial.NoBrine {
			out.Text = say("take ", pieces(q.pieces, id), " out of the salt, bag")
		}
		if in := times[s.Job].In; int(in)-s.To > 5*60 {
			out.Text = append(out.Text, say("; keep cold until ", Moment(int(in)-seconds(dropping)))...)
		}
	case place.Drop:
		at(bath)
		out.What = Dropping
		t := times[s.Job]
		out.Text = say("cook "+id+" into "+bathName(bath)+", ", sp(*c), "; out at ", t.Out)
		if k.held[x.cooks[s.Job]] && t.Surely != nil {
			out.Text = append(out.Text, say("; the hold counts from ", *t.Surely)...)
		}
	case place.Soak:
		at(bath)
		out.What = Cooking
		out.Text = say("cook "+id+" in "+bathName(bath)+", ", sp(*c), ", ", quantity.FromMinutes(float64(s.To-s.From)/60))
		if t := times[s.Job]; t.Likely != nil && *t.Likely != *t.Surely {
			out.Text = append(out.Text, say("; the core is there likely at ", *t.Likely, ", surely at ", *t.Surely)...)
		}
	case place.Out:
		at(bath)
		out.What, out.Text = Lifting, say("cook "+id+" out of "+bathName(bath))
		if k.warm != nil {
			out.Text = append(out.Text, say(", into ice water")...)
		}
	case place.Ice:
		out.What, out.Text = Chilling, say("cook "+id+" in ice water to ", degrees(chillTo), ", then kept there")
	case place.Into:
		out.What, out.Text = Dropping, say("cook "+id+" into the warming bath")
	case place.Warming:
		out.Bath, out.SetPoint = x.baths[x.problem.Flights[s.Flight].WarmBath], quantity.Num(k.warm.celsius)
		out.What, out.Text = Rewarming, say("cook "+id+" warms up at ", degrees(k.warm.celsius))
	case place.OutAgain:
		out.What, out.Text = Lifting, say("cook "+id+" out of the warming bath")
	case place.Searing:
		q := x.sears[s.Job][s.Index]
		out.What, out.Pieces = Searing, list([]string{q.piece})
		out.Text = say("sear ", pieces([]string{q.piece}, id), " in "+panName(out.Pan))
	case place.Plate:
		out.What, out.Text = Plating, say("slice and plate cook "+id)
		if k.notTasted {
			out.Text = say("cook " + id + " to the scale and the shear: nobody tastes it")
		} else if n := times[s.Job].Portions; n > 0 {
			out.Text = append(out.Text, say(": ", prose.Plural(n, "portion"), " for the triangles, each beside its code")...)
		}
	case place.Taste:
		out.What, out.Flight = Tasting, s.Flight+1
		f := d.Flights[s.Flight]
		switch {
		case k.notTasted:
			out.Text = say("weigh and shear " + and(f.Cooks) + "; do not taste")
		case f.Tasters > 0:
			samples := append(f.each(), say(" at the most for each of ", prose.Plural(f.Tasters, "taster"), "; last bite at ", f.Ends)...)
			out.Text = say("serve flight ", s.Flight+1, ": ", samples)
			if len(d.Flights) == 1 {
				out.Text = say("serve: ", samples)
			}
		default:
			out.Text = say("serve "+and(f.Cooks)+"; last bite at ", f.Ends)
		}
	}
	return out
}

// water words what is done to a bath.
func (k *kitchen) water(x *draft, s place.Step, out *Step, bath string, to any, from, celsius float64) {
	out.What = Water
	water := k.t.Medium.Or(trial.WaterBath) == trial.WaterBath
	switch {
	case s.Kind == place.Heating:
		out.What = Heating
		out.Text = say(bathName(bath)+" gets to ", to, ", ready at ", Moment(s.To))
	case !water:
		out.Text = say(bathName(bath)+": on, at ", to)
	case math.IsNaN(from):
		out.Text = say("fill "+bathName(bath)+", set it to ", to)
	case celsius < from:
		out.Text = say("cool "+bathName(bath)+" from ", degrees(from), " with tap water, set it to ", to)
		if celsius < k.o.Tap.V {
			out.Text = say("cool "+bathName(bath)+" from ", degrees(from), " with ice, set it to ", to)
		}
	default:
		out.Text = say("set "+bathName(bath)+" from ", degrees(from), " to ", to)
	}
}

// pieces names pieces, or the cook where they have no names.
func pieces(ids []string, cook string) string {
	if len(list(ids)) == 0 {
		return "cook " + cook
	}
	return and(ids)
}

func list(ids []string) []string {
	out := []string{}
	for _, id := range ids {
		if id != "" {
			out = append(out, id)
		}
	}
	return out
}

func panName(id string) string {
	if strings.HasPrefix(id, "pan") {
		return id
	}
	return "pan " + id
}

// cold says how a brine is kept. One that is stated to be warmer counts on the
// growth clock, and the verdict has it.
func cold(b trial.Brine) prose.Sentence {
	if b.AtTmp.Known && b.AtTmp.V.Celsius() > chillTo {
		return say("at ", b.AtTmp.V, " as stated: it counts on the growth clock")
	}
	return say("at ", degrees(chillTo), " or below")
}
