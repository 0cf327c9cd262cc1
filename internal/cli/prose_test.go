package cli

import (
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"tamis/internal/answer"
	"tamis/internal/quantity"
	"tamis/internal/texture"
)

// sentences are all sentences of a result that a person reads.
func sentences(r *answer.Result) []answer.Sentence {
	p := r.Text
	out := []answer.Sentence{p.Answer, p.Basis}
	for _, part := range [][]answer.Sentence{p.Safety, p.Doubt, p.Compare, p.Next, p.Missing, p.Units, p.Variance, p.Panel, p.Cautions, p.Method} {
		out = append(out, part...)
	}
	return out
}

// slips are what a sentence holds when something was printed that should not
// have been.
var slips = regexp.MustCompile(`NaN|\bInf\b|absent|%!|  |\.\.|<nil>|texture\.|quantity\.|stats\.|float64|\[\]|map\[|0x[0-9a-f]{6}| [.,;]`)

// causal words claim more than a comparison shows.
var causal = regexp.MustCompile(`(?i)because of|caused|\bmakes\b|due to|leads to`)

func TestSentencesAreClean(t *testing.T) {
	t.Parallel()
	for _, file := range trialFiles {
		_, r := analyse(t, file)
		for _, sys := range []quantity.System{quantity.Metric, quantity.US} {
			for _, s := range sentences(r) {
				text := s.Text(sys)
				if bad := slips.FindString(text); bad != "" {
					t.Errorf("%s: %q in: %s", file, bad, text)
				}
				if bad := causal.FindString(text); bad != "" {
					t.Errorf("%s claims a cause, %q: %s", file, bad, text)
				}
			}
			// The whole text too, where it is prose and not a table.
			if bad := causal.FindString(renderFit(r, sys, true, false)); bad != "" {
				t.Errorf("%s: the text claims a cause: %q", file, bad)
			}
		}
	}
	for _, bad := range []string{"a NaN", "twice  spaced", "an end..", "%!d(string=a)", "not known (absent)", "a texture.Number", "a , b"} {
		if !slips.MatchString(bad) {
			t.Errorf("%q is not seen as a slip", bad)
		}
	}
}

// numbersOf are the numbers of a result that its sentences may say, by kind.
func numbersOf(r *answer.Result) map[string][]float64 {
	out := map[string][]float64{}
	add := func(n texture.Number, kinds ...string) {
		if v, ok := n.Get(); ok {
			for _, k := range kinds {
				out[k] = append(out[k], v)
			}
		}
	}
	for _, w := range r.Windows {
		add(w.Best, answer.SetPoint)
		if w.Closest != nil {
			add(w.Closest.SetPoint, answer.SetPoint)
		}
		add(w.Tol, answer.Tolerance)
		for _, s := range []texture.Span{w.Next.Range, w.Next.Likely, w.Mean.Range, w.Mean.Likely} {
			add(s.Low, answer.WindowLow, answer.Temperature)
			add(s.High, answer.WindowHigh, answer.Temperature)
		}
	}
	for _, m := range r.Measures {
		for _, arms := range [][]texture.Arm{m.Arms, m.Levels} {
			for _, a := range arms {
				add(a.SetPoint, answer.Temperature)
				add(a.Mean, answer.Amount)
				add(a.Low, answer.Amount)
				add(a.High, answer.Amount)
			}
		}
		diffs := append([]texture.Difference{}, m.Differences...)
		for _, tr := range m.Treatments {
			diffs = append(diffs, tr.Average)
			out[answer.Count] = append(out[answer.Count], float64(len(tr.At)))
			for _, n := range tr.SetPoints {
				add(n, answer.Temperature)
			}
		}
		for _, d := range diffs {
			add(d.Estimate, answer.Amount)
			add(d.Low, answer.Amount)
			add(d.High, answer.Amount)
		}
		for _, test := range m.Tests {
			add(test.Value, answer.Amount)
			add(test.DF1, answer.Amount)
			add(test.DF2, answer.Amount)
			add(test.P, answer.PValue)
		}
	}
	return out
}

// Every number of the answer, the doubt and the comparisons is one of the
// result. A difference may be said from its other side.
func TestSentencesSayTheNumbers(t *testing.T) {
	t.Parallel()
	checked := map[string]int{}
	for _, file := range trialFiles {
		tr, r := analyse(t, file)
		have := numbersOf(r)
		for i := range tr.Cooks { // the time in the answer is the file's
			if d, ok := tr.Cooks[i].BathTime(); ok {
				have[answer.Duration] = append(have[answer.Duration], d.Minutes())
			}
		}
		for _, s := range append(append([]answer.Sentence{r.Text.Answer}, r.Text.Doubt...), r.Text.Compare...) {
			for _, p := range s {
				if p.Quantity == nil {
					continue
				}
				q := *p.Quantity
				checked[q.Kind]++
				if !hasNumber(have[q.Kind], q.Value, q.Kind == answer.Amount) {
					t.Errorf("%s: %s %v is no number of the result: %s", file, q.Kind, q.Value, s.Text(quantity.Metric))
				}
				printedAsMeant(t, file, q)
			}
		}
	}
	for _, kind := range []string{answer.SetPoint, answer.WindowLow, answer.WindowHigh, answer.Tolerance, answer.Amount, answer.Temperature, answer.PValue} {
		if checked[kind] == 0 {
			t.Errorf("no sentence says a %s", kind)
		}
	}
}

func hasNumber(have []float64, v float64, eitherSide bool) bool {
	for _, h := range have {
		if h == v || (eitherSide && h == -v) {
			return true
		}
	}
	return false
}

// printedAsMeant reads the printed number back in both systems and holds it
// against the value within half of its last digit; windows and tolerances are
// rounded to their inside, so they may be off by a whole step, one way only.
func printedAsMeant(t *testing.T, file string, q answer.Quantity) {
	t.Helper()
	for _, sys := range []quantity.System{quantity.Metric, quantity.US} {
		text := q.Text(sys)
		number, _, _ := strings.Cut(strings.ReplaceAll(strings.ReplaceAll(text, "−", "-"), "\u00a0", " "), " ")
		if q.Kind == answer.Duration || number == "<" {
			continue // hours and minutes, and a bound, have tests of their own
		}
		got, err := strconv.ParseFloat(number, 64)
		if err != nil {
			t.Errorf("%s: %q does not start with a number", file, text)
			continue
		}
		want, half := q.Value, 0.5*math.Pow(10, -float64(q.Digits))
		low, high := half, half // how far below and above the value it may be printed
		us := sys == quantity.US
		switch q.Kind {
		case answer.SetPoint, answer.WindowLow, answer.WindowHigh:
			step := 0.5
			if us {
				want, step = q.Value*1.8+32, 1
			}
			low, high = step/2, step/2
			if q.Kind == answer.WindowLow {
				low, high = 0, step
			} else if q.Kind == answer.WindowHigh {
				low, high = step, 0
			}
		case answer.Tolerance:
			if us {
				want = q.Value * 1.8
			}
			low, high = 0.1, 0
		case answer.Temperature:
			if us {
				want = q.Value*1.8 + 32
			}
		case answer.PValue:
			low, high = 0.0005, 0.0005
		}
		const eps = 1e-9 // of the conversions
		if got < want-low-eps || got > want+high+eps {
			t.Errorf("%s: %s %v is printed as %q in %s", file, q.Kind, q.Value, text, sys)
		}
	}
}
