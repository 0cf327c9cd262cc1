package schedule

import (
	"math"

	"tamis/internal/trial"
)

// Options of a schedule. A zero takes the trial's own value or the house rule of
// the same name. Durations are minutes.
type Options struct {
	ServeAt trial.Opt[trial.Clock]
	Opens   trial.Opt[trial.Clock] // nothing is done before; not known: no limit
	Hands   int
	Pans    int
	Within  float64
	Wait    float64
	// PerSample is the time for one sample, with a rinse.
	PerSample float64
	// Flights is in how many flights a session is served; 0 is as few as fit.
	Flights int
	// On is the date of the first day of serving, for days of which the file gives
	// none: each of these comes a day after the one before.
	On trial.Date
	// Tap is the temperature of the tap water, °C, not known: 15.
	Tap trial.Opt[float64]
	// Chill chills every cook and warms all of it up together before it is served.
	Chill bool
}

// longestOption is the longest duration that an option may have, in minutes.
const longestOption = 24 * 60.0

// settled fills in the house rules, or reports what means nothing.
func (o Options) settled(t *trial.Trial) (Options, *Conflict) {
	if !o.ServeAt.Known && t.Design.Known {
		o.ServeAt = t.Design.V.ServeAt
	}
	if !o.ServeAt.Known {
		return o, &Conflict{Slug: NoTime, Text: say("nothing says when it is served"), Hint: say("add serve_at: 19:30 to the design, or give --serve-at 19:30")}
	}
	bad := func(what string) *Conflict {
		return &Conflict{Slug: BadNumber, Text: say(what + " is not a number that can be used")}
	}
	for _, c := range []trial.Opt[trial.Clock]{o.ServeAt, o.Opens} {
		if c.Known && (c.V.Minute < 0 || c.V.Minute > 1439 || c.V.Second < 0 || c.V.Second > 59) {
			return o, bad("the clock time")
		}
	}
	for _, x := range []struct {
		name string
		v    *float64
		rule float64
	}{{"within", &o.Within, Within}, {"wait", &o.Wait, Wait}, {"per sample", &o.PerSample, perSample(t)}} {
		if !(*x.v >= 0 && *x.v <= longestOption) {
			return o, bad(x.name)
		}
		if *x.v == 0 {
			*x.v = x.rule
		}
	}
	if o.Hands == 0 {
		o.Hands = Hands
	}
	if o.Hands < 1 || o.Hands > 50 || o.Pans < 0 || o.Pans > 50 || o.Flights < 0 || o.Flights > 500 {
		return o, bad("the number of hands, pans or flights")
	}
	if !o.Tap.Known {
		o.Tap = trial.Some(tapWater)
	}
	if v := o.Tap.V; !(v >= 0 && v <= 60) {
		return o, bad("the temperature of the tap water")
	}
	return o, nil
}

// perSample is the house rule, or a minute and the rinse that the file states.
func perSample(t *trial.Trial) float64 {
	if r := t.Panel.V.Rinse; t.Panel.Known && r.Known && r.V.Gap.Known {
		if m := 1 + r.V.Gap.V.Minutes(); m > PerSample && m <= longestOption {
			return math.Ceil(m)
		}
	}
	return PerSample
}
