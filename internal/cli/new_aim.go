package cli

import (
	"errors"
	"fmt"
	"strconv"
	"strings"

	"tamis/internal/trial"
)

var errNoAim = errors.New("this is not an aim")

// parseAim reads "firmness 5 to 6.5", "dryness at most 3", "juiciness at least
// 6" and "liking highest". The measure may have several words.
func parseAim(text string) (trial.Aim, error) {
	text = strings.NewReplacer("at_most", "at most", "at_least", "at least").Replace(text)
	f := strings.Fields(text)
	n := len(f)
	if n < 2 {
		return trial.Aim{}, errNoAim
	}
	name := func(words []string) string { return strings.Join(words, "_") }
	if last := f[n-1]; last == "highest" || last == "lowest" {
		return trial.Aim{Measure: name(f[:n-1]), Best: trial.Some(trial.Best(last))}, nil
	}
	if n < 4 {
		return trial.Aim{}, errNoAim
	}
	high, err := aimNumber(f[n-1])
	if err != nil {
		return trial.Aim{}, err
	}
	measure := name(f[:n-3])
	switch {
	case f[n-3] == "at" && f[n-2] == "most":
		return trial.Aim{Measure: measure, AtMost: trial.Some(high)}, nil
	case f[n-3] == "at" && f[n-2] == "least":
		return trial.Aim{Measure: measure, AtLeast: trial.Some(high)}, nil
	case f[n-2] != "to":
		return trial.Aim{}, errNoAim
	}
	low, err := aimNumber(f[n-3])
	if err != nil {
		return trial.Aim{}, err
	}
	if low > high {
		return trial.Aim{}, errors.New("the low end is above the high end")
	}
	return trial.Aim{Measure: measure, Target: trial.Some(trial.Range{Low: low, High: high})}, nil
}

func aimNumber(s string) (float64, error) {
	v, err := strconv.ParseFloat(s, 64)
	if err != nil || v-v != 0 { // infinite, or no number at all
		return 0, fmt.Errorf("%q is not a number", s)
	}
	return v, nil
}
