package cli

import (
	"encoding/json"
	"fmt"
	"maps"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"tamis/internal/answer"
	"tamis/internal/food"
	"tamis/internal/trial"
)

// asked is a call of heat: its flags and what they say.
type asked map[string]string

func (a asked) args() []string {
	var out []string
	for _, k := range slices.Sorted(maps.Keys(a)) {
		out = append(out, "--"+k+"="+a[k])
	}
	return out
}

func mmOf(v float64) string { return fmt.Sprintf("%.3f mm", v) }
func cOf(v float64) string  { return fmt.Sprintf("%.3f °C", v) }

// drawnCall is a call of heat with everything that may be stated, most of it sound.
func drawnCall(r *rand.Rand) (a asked, mm, set, start float64) {
	pick := func(p float64) bool { return r.Float64() < p }
	kinds := food.Kinds()
	mm, set, start = 4+60*r.Float64()*r.Float64(), 45+35*r.Float64(), -1+8*r.Float64()
	a = asked{"food": kinds[r.IntN(len(kinds))], "thickness": mmOf(mm), "set-point": cOf(set), "start": cOf(start),
		"form": string(trial.Forms[max(0, r.IntN(12)-6)]), "fat": fmt.Sprintf("%.1f %%", 0.5+9*r.Float64()), "reads": fmt.Sprintf("%.2f °C high", 0.8*r.Float64())}
	if pick(0.7) {
		a["frozen"] = fmt.Sprintf("-%d °C for %d d by supplier", 18+r.IntN(20), 1+r.IntN(10))
	}
	switch r.IntN(4) {
	case 0: // no time: heat finds one
	case 1:
		a["hold"] = fmt.Sprintf("%d min", 1+r.IntN(120))
	default:
		a["time"] = fmt.Sprintf("%d min", 5+r.IntN(400))
	}
	switch r.IntN(5) {
	case 0:
		a["shape"] = "sphere"
	case 1:
		a["shape"] = "cylinder"
	case 2:
		a["shape"] = "slab"
	}
	if pick(0.3) {
		a["rules"] = string(trial.RuleSets[r.IntN(4)])
	}
	if pick(0.3) {
		a["coefficient"] = fmt.Sprintf("%.1f", 30+300*r.Float64())
	}
	if pick(0.3) {
		a["diffusivity"] = fmt.Sprintf("%.3ge-7", 1+0.6*r.Float64())
	}
	if pick(0.2) {
		a["d"], a["z"] = fmt.Sprintf("%.2f min at 60 °C", 0.5+5*r.Float64()), fmt.Sprintf("%.2f °C", 4+4*r.Float64())
	}
	if pick(0.2) {
		a["decades"] = fmt.Sprintf("%.1f", 3+4*r.Float64())
	}
	if pick(0.2) {
		a["load"], a["volume"], a["power"] = fmt.Sprintf("%.2f kg", 0.2+r.Float64()), "20 l", fmt.Sprintf("%d W", 400+r.IntN(1600))
	}
	return a, mm, set, start
}

// worseCall makes a call worse in one respect: ok is false where it cannot, or where
// what would be forgotten is known to be harmful. A change for less knowledge leaves
// the favourable end of a range alone.
type worseCall struct {
	name  string
	less  bool // known, not worse
	timed bool // moves the time in the bath or the come-up by itself
	do    func(a asked, mm, set, start float64, r *rand.Rand) bool
}

var worseCalls = []worseCall{
	{name: "thicker", do: func(a asked, mm, _, _ float64, r *rand.Rand) bool {
		a["thickness"] = mmOf(mm + 30*r.Float64())
		return true
	}},
	{name: "twice as thick", do: func(a asked, mm, _, _ float64, _ *rand.Rand) bool { a["thickness"] = mmOf(2 * mm); return true }},
	{name: "colder bath", timed: true, do: func(a asked, _, set, start float64, r *rand.Rand) bool {
		a["set-point"] = cOf(math.Max(start+9.5, set-12*r.Float64()))
		return set > start+9.5
	}},
	{name: "a little colder bath", timed: true, do: func(a asked, _, set, _ float64, r *rand.Rand) bool {
		a["set-point"] = cOf(set - 0.4*r.Float64())
		return true
	}},
	{name: "colder start", do: func(a asked, _, _, start float64, r *rand.Rand) bool {
		a["start"] = cOf(start - (start+1)*r.Float64())
		return true
	}},
	{name: "lower coefficient", do: func(a asked, _, _, _ float64, r *rand.Rand) bool {
		return lowered(a, "coefficient", "%.3f", 0.3+0.7*r.Float64())
	}},
	{name: "lower diffusivity", do: func(a asked, _, _, _ float64, r *rand.Rand) bool {
		return lowered(a, "diffusivity", "%.4g", 0.5+0.5*r.Float64())
	}},
	{name: "more decades", do: func(a asked, _, _, _ float64, r *rand.Rand) bool {
		return lowered(a, "decades", "%.3f", 1+2*r.Float64())
	}},
	{name: "bath reads higher", timed: true, do: func(a asked, _, _, _ float64, r *rand.Rand) bool {
		a["reads"] = fmt.Sprintf("%.2f °C high", 1+2*r.Float64())
		return true
	}},
	{name: "nobody checked the bath", timed: true, less: true, do: func(a asked, _, _, _ float64, _ *rand.Rand) bool { return forgot(a, "reads") }},
	{name: "start not stated", less: true, do: func(a asked, _, _, start float64, _ *rand.Rand) bool {
		delete(a, "start")
		return start <= 8 // a start above what is assumed is known to help
	}},
	{name: "shape not stated", less: true, do: func(a asked, _, _, _ float64, _ *rand.Rand) bool { return forgot(a, "shape") }},
	{name: "form not stated", less: true, do: func(a asked, _, _, _ float64, _ *rand.Rand) bool {
		whole := a["form"] == "whole"
		delete(a, "form")
		return whole
	}},
	{name: "freezing not stated", less: true, do: func(a asked, _, _, _ float64, _ *rand.Rand) bool {
		delete(a, "frozen")
		return true
	}},
	{name: "not frozen", do: func(a asked, _, _, _ float64, _ *rand.Rand) bool { a["frozen"] = "no"; return true }},
	{name: "rules not stated", less: true, do: func(a asked, _, _, _ float64, _ *rand.Rand) bool { return forgot(a, "rules") }},
	{name: "for vulnerable people only", do: func(a asked, _, _, _ float64, _ *rand.Rand) bool { a["serve"] = "vulnerable"; return true }},
	{name: "heavier load", do: func(a asked, _, _, _ float64, r *rand.Rand) bool {
		had := a["load"] != ""
		a["load"] = fmt.Sprintf("%.2f kg", 1.3+5*r.Float64())
		return had
	}},
	{name: "weaker heater", do: func(a asked, _, _, _ float64, r *rand.Rand) bool {
		had := a["power"] != ""
		a["power"] = fmt.Sprintf("%d W", 150+r.IntN(250))
		return had
	}},
	{name: "a fan oven for the bath", do: func(a asked, _, _, _ float64, _ *rand.Rand) bool { a["medium"] = "oven"; return true }},
	{name: "steam for the bath", timed: true, do: func(a asked, _, _, _ float64, _ *rand.Rand) bool { a["medium"] = "steam"; return a["time"] != "" }}, // else it finds another time
	{name: "frozen solid", do: func(a asked, _, _, _ float64, r *rand.Rand) bool {
		a["start"] = cOf(-2 - 25*r.Float64())
		return true
	}},
}

// lowered multiplies a flag that is there.
func lowered(a asked, name, format string, by float64) bool {
	text, ok := a[name]
	if !ok {
		return false
	}
	var v float64
	if _, err := fmt.Sscan(text, &v); err != nil {
		return false
	}
	a[name] = fmt.Sprintf(format, v*by)
	return true
}

func forgot(a asked, name string) bool {
	_, had := a[name]
	delete(a, name)
	return had
}

// callRanks orders verdicts, worst first; a plant has none, and may not gain one.
var callRanks = map[string]int{answer.VerdictDoNotEat: 0, answer.VerdictNone: 1, answer.VerdictNotPasteurised: 2, answer.VerdictPasteurised: 3, answer.VerdictNotAsked: 4}

// clocked reports whether the growth clock speaks against a cook.
func clocked(c *answer.HeatCook) bool {
	return strings.Contains(c.Safety.Why, "where germs grow") || c.Word == answer.WordTooThick
}

// Whatever is asked of heat: thicker, colder, a lower coefficient, less known and less
// checked never shortens a time, brings pasteurisation forward, or improves a
// verdict; and where pathogens grow nothing is called pasteurised.
func TestHeatFlagsAreNeverOptimistic(t *testing.T) {
	t.Parallel()
	n := 900
	if testing.Short() {
		n = 120
	}
	r := rand.New(rand.NewPCG(61, 62))
	tried := map[string]int{}
	seen := map[string]int{}
	for range n {
		call, mm, set, start := drawnCall(r)
		before := askHeat(t, call)
		if before == nil {
			continue
		}
		seen[before.Safety.Verdict]++
		for _, w := range worseCalls {
			changed := maps.Clone(call)
			if !w.do(changed, mm, set, start, r) {
				continue
			}
			after := askHeat(t, changed)
			if after == nil {
				continue
			}
			tried[w.name]++
			if p := notWorse(w, before, after, call); p != "" {
				t.Errorf("%s: %s\n%q\n%q", w.name, p, call.args(), changed.args())
			}
		}
		if t.Failed() {
			return
		}
	}
	for _, w := range worseCalls {
		if tried[w.name] == 0 {
			t.Errorf("%q was never tried", w.name)
		}
	}
	for v := range callRanks {
		if seen[v] == 0 {
			t.Errorf("no call was drawn with the verdict %q", v)
		}
	}
}

// askHeat is the only cook of a call; nil where the call was refused.
func askHeat(t *testing.T, a asked) *answer.HeatCook {
	t.Helper()
	code, out, errs := run(t.Context(), append([]string{"heat", "--json"}, a.args()...)...)
	if code == ExitUsage {
		return nil
	}
	h := &answer.Heat{}
	if code != ExitDone || json.Unmarshal([]byte(out), h) != nil || len(h.Cooks) != 1 {
		t.Fatalf("%q: code %d, %s", a.args(), code, errs)
	}
	return &h.Cooks[0]
}

// notWorse says what got better, or "".
func notWorse(w worseCall, before, after *answer.HeatCook, call asked) string {
	const dust = 0.02 // min; a loaded bath is solved on a grid that depends on the piece
	_, held := call["hold"]
	if !w.timed && before.ComeUp.Mid.Known() && after.ComeUp.Mid.Known() {
		for _, x := range []struct {
			end  string
			a, b answer.HeatRange
		}{{"come-up", before.ComeUp, after.ComeUp}} {
			if x.b.High.Or(0) < x.a.High.Or(0)-dust {
				return fmt.Sprintf("the longest %s fell from %v to %v min", x.end, x.a.High, x.b.High)
			}
			if !w.less && (x.b.Low.Or(0) < x.a.Low.Or(0)-dust || x.b.Mid.Or(0) < x.a.Mid.Or(0)-dust) {
				return fmt.Sprintf("the %s fell from %v to %v min", x.end, x.a, x.b)
			}
		}
	}
	from := func(c *answer.HeatCook) float64 { return c.PasteurisedFrom.Or(math.Inf(1)) }
	if !held && from(after) < from(before) {
		return fmt.Sprintf("pasteurised from %v min on, not from %v", after.PasteurisedFrom, before.PasteurisedFrom)
	}
	// A hold is counted from the arrival: what arrives later stays in for longer, and
	// the growth clock moves with it. Against that clock an earlier end is better.
	if held && clocked(before) {
		return ""
	}
	// Where no time can be found any more, what was known to be too long is not known.
	if clocked(before) && !after.Minutes.Known() {
		return ""
	}
	if callRanks[after.Safety.Verdict] > callRanks[before.Safety.Verdict] {
		return fmt.Sprintf("%s (%s) became %s (%s)", before.Safety.Verdict, before.Safety.Why, after.Safety.Verdict, after.Safety.Why)
	}
	// Without a time heat takes the shortest that pasteurises, and that of a thicker
	// piece may reach what vulnerable people ask for on the way.
	if after.Vulnerable && !before.Vulnerable && !before.Assumed {
		return "it is now for vulnerable people too"
	}
	if set, ok := after.SetPoint.Get(); ok && set < 54.4 && (after.Safety.Verdict == answer.VerdictPasteurised || after.PasteurisedFrom.Known()) {
		return fmt.Sprintf("pasteurised at %v °C", set)
	}
	return ""
}
