package cli

import (
	"errors"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"tamis/internal/diag"
	"tamis/internal/quantity"
	"tamis/internal/trial"
)

var commaInNumber = regexp.MustCompile(`\d+,\d+`)

// pointHint is for answers with a decimal comma: a comma separates.
func pointHint(answer, otherwise string) string {
	if at := commaInNumber.FindString(answer); at != "" {
		return "a comma separates; with decimals write " + strings.Replace(at, ",", ".", 1)
	}
	return otherwise
}

// unread is why a quantity in an answer was not read.
func unread(err error, answer string) error {
	var e *quantity.Error
	if errors.As(err, &e) {
		return refusef(pointHint(answer, e.Hint), "%s: %s", e.Text, e.Expected)
	}
	return refusef(pointHint(answer, ""), "%s", err)
}

// parts are what stands between commas. Commas at the end are let pass.
func parts(s string) []string {
	out := strings.Split(strings.TrimRight(s, ", "), ",")
	for i := range out {
		out[i] = strings.TrimSpace(out[i])
	}
	return out
}

// takeFood reads "cod loin, lean fish, whole, 24 mm, 4 °C": the name first, then
// the kind, the form, the thickness and the start temperature in any order.
func (n *newTrial) takeFood(s string) error {
	n.food, n.kind, n.form, n.thickness, n.start = "", "", "", "", ""
	known := slices.Clone(foodKinds)
	for _, f := range trial.Forms {
		known = append(known, string(f))
	}
	for i, p := range parts(s) {
		word := strings.ToLower(p)
		_, length := quantity.ParseLength(p)
		_, heat := quantity.ParseTemperature(p)
		var to *string
		switch {
		case slices.Contains(foodKinds, word):
			to, p = &n.kind, word
		case i > 0 && slices.Contains(known, word):
			to, p = &n.form, word
		case i == 0:
			to = &n.food
		case length == nil:
			to = &n.thickness
		case heat == nil:
			to = &n.start
		case p == "":
			return refusef("", "nothing stands between two commas")
		default:
			hint := "kinds: " + strings.Join(foodKinds, ", ") + "; forms: " + strings.Join(known[len(foodKinds):], ", ")
			if near, ok := diag.Nearest(word, known); ok {
				hint = "did you mean " + near + "?"
			}
			return refusef(pointHint(s, hint), "%q is no kind, form, thickness or temperature", p)
		}
		if *to != "" {
			return refusef("", "%q and %q cannot both be", *to, p)
		}
		*to = p
	}
	if n.food == "" { // the kind alone is a name too
		n.food = n.kind
	}
	if n.food == "" {
		return refusef("for example: cod loin, lean fish", "it needs a name")
	}
	return nil
}

// takeAims reads aims joined by "and" or semicolons.
func (n *newTrial) takeAims(s string) error {
	n.aims = nil
	for _, part := range strings.Split(strings.ReplaceAll(s, " and ", ";"), ";") {
		part = strings.TrimSpace(part)
		if _, err := parseAim(part); err != nil {
			return refusef(pointHint(part, `write "firmness 5 to 6.5", "dryness at most 3" or "liking highest"`), "%q: %s", part, err)
		}
		n.aims = append(n.aims, part)
	}
	return nil
}

// takeSetPoints reads "48 °C, 52 °C and 56 °C for 60 min". Without a time the one
// that was proposed stays.
func (n *newTrial) takeSetPoints(s string) error {
	if s == "" {
		return refusef("Nothing is proposed where, by what is known, none of the usual ones may be eaten. Kind, form and thickness help.", "it needs set points")
	}
	points, time, timed := strings.Cut(s, " for ")
	if timed {
		n.time = strings.TrimSpace(time)
		if _, err := quantity.ParseDuration(n.time); err != nil {
			return unread(err, s)
		}
	}
	n.setPoints = parts(strings.ReplaceAll(points, " and ", ", "))
	for _, p := range n.setPoints {
		if p == "" {
			return refusef("", "nothing stands between two commas")
		}
		if _, err := quantity.ParseTemperature(p); err != nil {
			return unread(err, points)
		}
	}
	if len(n.setPoints) < 2 {
		return refusef("add one that you would not choose: it shows which way the food changes", "one set point compares nothing")
	}
	return nil
}

var numberOfWhat = regexp.MustCompile(`^(-?\d+)\s*(\pL+)$`)

// takeNumbers reads "3 cooks, 2 pieces, 4 people", in any order; what is not
// said stays.
func (n *newTrial) takeNumbers(s string) error {
	const like = "write 3 cooks, 2 pieces, 4 people"
	n.sessions = 0
	seen := map[*int]bool{}
	for _, p := range parts(strings.ReplaceAll(s, " and ", ", ")) {
		m := numberOfWhat.FindStringSubmatch(p)
		if m == nil {
			return refusef(like, "%q is not a number of something", p)
		}
		v, err := strconv.Atoi(m[1])
		var to *int
		low, top := 1, 50
		switch strings.TrimSuffix(strings.ToLower(m[2]), "s") {
		case "cook":
			to = &n.cooksEach
		case "piece":
			to, top = &n.pieces, 100
		case "people", "person", "taster", "assessor":
			to, low, top = &n.assessors, 0, 500
		case "session", "day":
			to = &n.sessions
		default:
			return refusef(like, "%q: cooks, pieces or people?", m[2])
		}
		if err != nil || v < low || v > top {
			return refusef("", "%s: between %d and %d", p, low, top)
		}
		if seen[to] {
			return refusef(like, "%q stands there twice", m[2])
		}
		*to, seen[to] = v, true
	}
	if n.sessions > n.cooksEach {
		return refusef("", "%d sessions: at most one for each of the %d cooks of a set point", n.sessions, n.cooksEach)
	}
	return nil
}

// takeBaths reads names.
func (n *newTrial) takeBaths(s string) error {
	n.baths = parts(s)
	for i, b := range n.baths {
		if b == "" {
			return refusef("", "nothing stands between two commas")
		}
		if slices.Contains(n.baths[:i], b) {
			return refusef("", "%q stands there twice", b)
		}
	}
	return nil
}
