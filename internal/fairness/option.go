package fairness

import (
	"fmt"
	"strconv"
	"strings"
	"sync"

	"tamis/internal/diag"
	"tamis/internal/quantity"
	"tamis/internal/trial"
)

// Option is a threshold: a house rule with a default that an author may change.
type Option struct {
	Name    string
	Default string // as it is typed: "3", "30 %", "5 min", "0.3 °C"
	Says    string // what it limits, in a few words
	Source  string // "" = house rule
}

// Changed is a threshold that differs from its default.
type Changed struct {
	Name    string   `json:"name"`
	Value   string   `json:"value"`
	Default string   `json:"default"`
	At      diag.Pos `json:"at,omitzero"`
}

// settings are the thresholds in force for one trial, as they are typed.
type settings struct {
	own map[string]string // those that the trial or the user set
}

// typed is a threshold as it is typed.
func (s settings) typed(name string) string {
	if v, ok := s.own[name]; ok {
		return v
	}
	return defaults()[name]
}

// defaults are those of all thresholds, by name.
var defaults = sync.OnceValue(func() map[string]string {
	out := make(map[string]string, len(options))
	for _, o := range options {
		out[o.Name] = o.Default
	}
	return out
})

// Thresholds gives the thresholds of a trial, over them those given by name,
// and which differ from the default. An unknown name is an error.
func newSettings(t *trial.Trial, over []trial.Threshold) (settings, []Changed, error) {
	s := settings{own: map[string]string{}}
	var changed []Changed
	index := map[string]int{}
	for _, th := range append(append([]trial.Threshold(nil), t.Thresholds...), over...) {
		def, ok := optionNamed(th.Name)
		if !ok {
			return s, nil, fmt.Errorf("there is no threshold %q", th.Name)
		}
		s.own[th.Name] = th.Value
		c := Changed{Name: th.Name, Value: th.Value, Default: def.Default, At: th.At}
		if i, seen := index[th.Name]; seen {
			changed[i] = c
			continue
		}
		index[th.Name] = len(changed)
		changed = append(changed, c)
	}
	kept := changed[:0]
	for _, c := range changed {
		if c.Value != c.Default {
			kept = append(kept, c)
		}
	}
	return s, kept, nil
}

func optionNamed(name string) (Option, bool) {
	for _, o := range options {
		if o.Name == name {
			return o, true
		}
	}
	return Option{}, false
}

// Options lists every threshold, in the order of the families.
func Options() []Option { return append([]Option(nil), options...) }

// number is a threshold as a number: 3, or 0.3 for 30 %. Words after the number
// ("10 points") say what it counts.
func (s settings) number(name string) float64 {
	v := strings.TrimSpace(s.typed(name))
	for _, word := range []string{"points", "point", "SE"} {
		v = strings.TrimSpace(strings.TrimSuffix(v, word))
	}
	if p, ok := strings.CutSuffix(v, "%"); ok {
		f, err := strconv.ParseFloat(strings.TrimSpace(p), 64)
		if err == nil {
			return f / 100
		}
	}
	f, err := strconv.ParseFloat(v, 64)
	if err != nil {
		panic("fairness: threshold " + name + " is not a number: " + v) // the reader of the file and a test exclude it
	}
	return f
}

// count is a threshold that is a whole number; a million is as good as any more.
func (s settings) count(name string) int { return int(min(s.number(name), 1e6)) }

// minutes is a threshold that is a time.
func (s settings) minutes(name string) float64 {
	d, err := quantity.ParseDuration(s.typed(name))
	if err != nil {
		panic("fairness: threshold " + name + " is not a time: " + s.typed(name))
	}
	return d.Minutes()
}

// kelvin is a threshold that is a temperature difference.
func (s settings) kelvin(name string) float64 {
	d, err := quantity.ParseDifference(s.typed(name))
	if err != nil {
		panic("fairness: threshold " + name + " is not a difference: " + s.typed(name))
	}
	return d.Kelvin()
}

// span is a threshold that is a time, or a share of what is given in minutes
// when the author typed a share; with the default both hold and the larger
// counts.
func (s settings) span(name string, share, of float64) float64 {
	if strings.Contains(s.typed(name), "%") {
		return s.number(name) * of
	}
	if def, _ := optionNamed(name); s.typed(name) == def.Default {
		return max(s.minutes(name), share*of)
	}
	return s.minutes(name)
}

// bounds is a threshold that is a range: "0.5 to 1.5".
func (s settings) bounds(name string) (low, high float64) {
	a, b, ok := strings.Cut(s.typed(name), " to ")
	low, err := strconv.ParseFloat(strings.TrimSpace(a), 64)
	high, err2 := strconv.ParseFloat(strings.TrimSpace(b), 64)
	if !ok || err != nil || err2 != nil {
		panic("fairness: threshold " + name + " is not a range: " + s.typed(name)) // as in number
	}
	return low, high
}
