package schedule

import (
	"tamis/internal/design/schedule/place"
	"tamis/internal/prose"
	"tamis/internal/quantity"
)

// conflict words a clash: the two steps and the minute.
func (k *kitchen) conflict(x *draft, c *place.Clash) Conflict {
	at := Moment(c.At)
	out := Conflict{Session: x.sessions[0], First: k.name(x, c.Need), Second: k.name(x, c.Has), At: &at}
	busy := func(who string) prose.Sentence {
		return say(who+" "+out.Second+" from ", Moment(c.Has.From), " to ", Moment(c.Has.To), ", and "+out.First+" needs it at ", at)
	}
	switch c.Reason {
	case place.Baths:
		out.Slug = BathBusy
		bath := bathName(x.baths[max(c.Has.Bath, 0)])
		out.Text = say(bath+" is at ", k.target(x, c.Has), " for "+out.Second+" until ", Moment(c.Has.To), ", and "+out.First+" needs it at ", k.target(x, c.Need), " at ", at)
		if c.Need.Kind == place.Soak && c.Need.To-c.Need.From > 0 && c.Need.Job >= 0 {
			if l := x.problem.Jobs[c.Need.Job].Lead; l.Hands+l.Wait > 0 {
				out.Text = append(out.Text, say(", with ", quantity.FromMinutes(float64(l.Hands+l.Wait)/60), " before that to get there")...)
			}
		}
		out.Hint = say("take another bath, more sessions, or serve it in more flights")
	case place.Hands:
		out.Slug = HandsBusy
		out.Text = busy("everybody's hands are busy; one pair with")
		out.Hint = say("add hands, plate within a longer time, or serve it in more flights")
	case place.Pans:
		out.Slug = PanBusy
		out.Text = busy(panName(x.pans[max(c.Has.Pan, 0)]) + " is taken by")
		out.Hint = say("add a pan, plate within a longer time, or serve it in more flights")
	case place.Opens:
		out.Slug = TooEarly
		out.Text = say(out.First+" would begin at ", at, ", before the kitchen opens at ", Moment(c.Has.From))
		out.Hint = say("serve later, open earlier, or take fewer cooks for the day")
	case place.Clock:
		out.Slug = GrowthLate
		into := "bath"
		if c.Has.Kind == place.Warming {
			into = "warming bath"
		}
		out.Text = say("the growth clock of "+k.cook(x, c.Need.Job)+" runs out at ", at, ": it went into the "+into+" at ", Moment(c.Has.From), ", and its last bite would be at ", Moment(c.Need.To))
		out.Hint = say("cook it for a shorter time, take fewer samples in a sitting or less time for each, or serve it in more flights")
		if c.Has.Kind == place.Warming {
			out.Hint = say("state a shorter time for warming up, as reheat: {at: 55 °C, for: 20 min}, or serve it straight from the bath")
		}
	case place.Waits:
		out.Slug = LongWait
		out.Text = say(k.cook(x, c.Need.Job)+" leaves the bath at ", Moment(c.Has.From), " and may wait for its plate until ", at, ", but is plated at ", Moment(c.Need.To))
		out.Hint = say("add hands or pans, or allow a longer wait")
	}
	return out
}

func (k *kitchen) cook(x *draft, job int) string {
	if job < 0 {
		return "warming up"
	}
	return "cook " + k.t.Cooks[x.cooks[job]].ID
}

// target is the temperature at which a step needs its bath.
func (k *kitchen) target(x *draft, s place.Step) prose.Sentence {
	if s.Kind == place.Warming || s.Job < 0 {
		return say(degrees(k.warm.celsius))
	}
	return sp(k.t.Cooks[x.cooks[s.Job]])
}

// name is what a step is called in a conflict.
func (k *kitchen) name(x *draft, s place.Step) string {
	cook := k.cook(x, s.Job)
	of := func(names []string) string {
		if len(list(names)) > 0 {
			return and(list(names))
		}
		return cook
	}
	switch s.Kind {
	case place.Water, place.Heating:
		return "the water of " + bathName(x.baths[s.Bath]) + " for " + cook
	case place.Rewater, place.Reheating:
		return "the water of the warming bath"
	case place.First:
		return "salting " + of(x.preps[s.Job][s.Index].pieces)
	case place.Waiting:
		return "brining " + of(x.preps[s.Job][s.Index].pieces)
	case place.Last:
		return "bagging " + of(x.preps[s.Job][s.Index].pieces)
	case place.Drop:
		return "putting " + cook + " in"
	case place.Soak:
		return cook
	case place.Out, place.OutAgain:
		return "taking " + cook + " out"
	case place.Ice:
		return "chilling " + cook
	case place.Into, place.Warming:
		return "warming up " + cook
	case place.Searing:
		return "searing " + of([]string{x.sears[s.Job][s.Index].piece})
	case place.Plate:
		return "plating " + cook
	case place.Taste:
		return "the last bite of " + cook
	}
	return "the opening of the kitchen"
}
