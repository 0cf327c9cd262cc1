package safety

import (
	"strings"

	"tamis/internal/heat"
	"tamis/internal/trial"
)

// powerless are those after which not even the time spent warm is known.
var powerless = []string{"power", "outage", "unplug", "switched off", "turned off", "heater"}

func hasAny(text string, parts []string) bool {
	for _, p := range parts {
		if strings.Contains(text, p) {
			return true
		}
	}
	return false
}

// voided is the deviation that takes the heat calculation away, or "".
func voided(t *trial.Trial, c *trial.Cook) string {
	for i := range t.Deviations {
		d := &t.Deviations[i]
		if (!d.Cook.Known || d.Cook.V == c.ID) && heat.Spoils(d.What.V) {
			return d.What.V
		}
	}
	return ""
}

func (v *CookVerdict) deviations(t *trial.Trial, c *trial.Cook) {
	for i := range t.Deviations {
		d := &t.Deviations[i]
		what := strings.ToLower(d.What.V)
		if d.Cook.Known && d.Cook.V != c.ID || !heat.Spoils(what) {
			continue
		}
		to := NotPasteurised
		switch {
		case v.must:
			to = DoNotEat
		case hasAny(what, powerless):
			to = NoVerdict
		}
		v.lacks("cooks.probe", "a log of a checked probe at the centre of the thickest piece would tell what the core really did")
		v.worsen(to, because("deviation", "something happened to the cook that the calculation does not know ("+d.What.V+")"))
	}
}

// outside: pieces and baths for which the calculation is of another piece, or of
// another bath, give no verdict without a log.
func (v *CookVerdict) outside(t *trial.Trial, c *trial.Cook) {
	if f := t.Food.Form; filled(t) {
		v.lacks("cooks.probe", "what is "+string(f.V)+" lies outside the calculation, and only a checked probe at its centre tells")
		v.worsen(v.unknown(), because("outside-form", "what is "+string(f.V)+" holds two foods and air, and the calculation does not know it"))
	}
	if heat.Overloaded(t, c) && !bathLogged(c) {
		v.lacks("cooks.log", "there was less than ten times as much water as food, and a log of the bath would tell how cold it became")
		v.worsen(v.unknown(), because("outside-crowded", "there was less than ten times as much water as food, and the calculation takes the bath to stand at its temperature"))
	}
}

func bathLogged(c *trial.Cook) bool {
	for i := range c.Log {
		if c.Log[i].Bath.Known {
			return true
		}
	}
	return false
}
