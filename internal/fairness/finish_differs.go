package fairness

import (
	"math"
	"slices"
	"strconv"

	"tamis/internal/prose"
	"tamis/internal/quantity"
	"tamis/internal/trial"
)

var finishDiffers = Check{
	Slug:   "finish-differs",
	Short:  "finish",
	Family: Finishing,
	Stage:  Plan,
	Kind:   Bundle,
	Asks:   "Did all set points get the same sear?",
	Needs:  []string{"cooks.finish", "pieces.finish", "finish.sear", "finish.pan", "finish.pan_at"},
	Finds: "It blocks where the kind of finish takes comparisons of set points with it, by rank. It weakens where the kinds agree but the mean " +
		"sear times of set points differ by more than {sear-gap}, the times within a kind scatter by more than {sear-sd} (standard deviation), " +
		"or the mean pan temperatures differ by more than {pan-gap}. It is a note where a kind is missing at some set point, or one pan served two " +
		"set points in turn and its temperature is not written down.",
	Clears:   "Nothing was finished, or all that is known is within the limits.",
	Unjudged: "The finish is written down for some cooks and not for others.",
	Why:      "A few seconds more in a pan that cools or browns change crust, juice and the outer millimetres, which come first to the teeth.",
	Wording:  "The {levels} pieces were finished differently from the rest: {finish}. The bite tells of cooking and pan together.",
	Others: map[string]string{
		"holes": "Only the {levels} pieces were {finish}. The other comparisons assume that the pan does the same everywhere.",
		"sear":  "The {longer} pieces were seared for {long} a side, the {shorter} ones for {short}. The bite tells of cooking and pan together.",
		"loose": "Sear times scatter by {sd} (standard deviation). Some pieces were in the pan much longer than others.",
		"pan":   "The pan was at {hot} for the {hotter} pieces and at {cool} for the {cooler} ones. The bite tells of cooking and pan together.",
		"turns": "One pan, {pan}, served {levels} in turn, and its temperature is not written down. A pan that cools or browns sears the last pieces otherwise.",
	},
	Hedge:      "the pieces were not all finished alike",
	Next:       "Finish all pieces alike, by the clock; or cook seared and plain pieces at every set point, where the plain ones may be eaten.",
	Eats:       true,
	Fix:        "no-sear",
	Source:     "House rules.",
	Options:    []string{"sear-gap", "sear-sd", "pan-gap"},
	FiresOn:    "cooks: [{id: A, set_point: 56 °C, finish: {sear: 60 s per side}}, {id: B, set_point: 62 °C, finish: none}]",
	ClearOn:    "cooks: [{id: A, set_point: 56 °C, finish: none}, {id: B, set_point: 62 °C, finish: none}]",
	EachFactor: true,
	Judge:      judgeFinish,
	Example:    exampleFinishDiffers,
}

// finishedRow is a piece, or a cook without pieces, with its finish.
type finishedRow struct {
	cook, piece, level int
	f                  *trial.Finish // of the trial, not to be altered
}

func judgeFinish(c *Case) Judgement {
	if !c.Compares() {
		return notApplicable("nothing is compared")
	}
	var rows []finishedRow
	var lacks []int
	for ci := range c.Trial.Cooks {
		k := &c.Trial.Cooks[ci]
		for pi := -1; pi < len(k.Pieces); pi++ {
			if pi < 0 && len(k.Pieces) > 0 {
				continue
			}
			level := c.level(ci, pi)
			if level < 0 {
				continue
			}
			if f := k.FinishOf(pi); f.Known {
				rows = append(rows, finishedRow{ci, pi, level, &f.V})
			} else {
				lacks = append(lacks, ci)
			}
		}
	}
	if len(rows) == 0 {
		return notApplicable("no finish is written down")
	}
	if len(lacks) > 0 {
		return cannot("cooks.finish", c.cookIDs(slices.Compact(lacks)...)...)
	}
	var kinds []string
	level, kind := make([]int, len(rows)), make([]int, len(rows))
	for i, r := range rows {
		name := finishKind(r.f)
		at := slices.Index(kinds, name)
		if at < 0 {
			at = len(kinds)
			kinds = append(kinds, name)
		}
		level[i], kind[i] = r.level, at
	}
	t := tieOf(c.Levels(), len(kinds), level, kind)
	if t.Lost > 0 {
		j := c.finishTied(t, kinds, rows, kind)
		j.Severity, j.Statistic, j.Value = Blocks, "comparisons lost by rank", quantity.Num(float64(t.Lost))
		return j
	}
	if j, ok := c.searTimes(rows); ok {
		return j
	}
	if t.empty() > 0 {
		j := c.finishTied(t, kinds, rows, kind)
		j.Severity, j.Variant, j.Statistic, j.Value = Note, "holes", "finishes missing at a level", quantity.Num(float64(t.empty()))
		return j
	}
	return c.panInTurn(rows)
}

// finishKind sorts finishes: none, a sear of any length, or the author's words.
func finishKind(f *trial.Finish) string {
	switch {
	case f.None:
		return "none"
	case f.Sear.Known:
		return "seared"
	case f.Words.Known:
		return f.Words.V
	}
	return "finished"
}

// finishTied names the finish that the fewest levels had.
func (c *Case) finishTied(t tie, kinds []string, rows []finishedRow, kind []int) Judgement {
	named := -1
	for i, name := range kinds {
		if name != "none" && (named < 0 || len(t.have(i)) < len(t.have(named))) {
			named = i
		}
	}
	w := Where{Pairs: t.labels(c)}
	for i, r := range rows {
		if id := c.Trial.Cooks[r.cook].ID; kind[i] == named && !slices.Contains(w.Cooks, id) {
			w.Cooks = append(w.Cooks, id)
		}
	}
	for _, l := range t.have(named) {
		w.Arms = append(w.Arms, c.label(l))
	}
	w.At = c.cookPlace(w.Cooks)
	return Judgement{Outcome: Fires, Threshold: quantity.Num(0), Where: w,
		Fill: Fill{"levels": c.levelsWords(t.have(named)...), "finish": kinds[named]}}
}

// searTimes judges seconds a side and pan temperatures where the kinds agree.
func (c *Case) searTimes(rows []finishedRow) (Judgement, bool) {
	var seconds, pan []mark
	var times []float64
	var level, time []int
	index := map[float64]int{}
	for _, r := range rows {
		if r.f.Sear.Known {
			s := r.f.Sear.V.Seconds()
			seconds = append(seconds, mark{r.cook, r.piece, r.level, s})
			times = append(times, s)
			if _, ok := index[s]; !ok {
				index[s] = len(index)
			}
			level, time = append(level, r.level), append(time, index[s])
		}
		if r.f.PanAt.Known {
			pan = append(pan, mark{r.cook, r.piece, r.level, r.f.PanAt.V.Celsius()})
		}
	}
	found := func(g gap, variant, statistic, option string, value, limit float64, f Fill) (Judgement, bool) {
		return Judgement{Outcome: Fires, Severity: Weakens, Variant: variant, Statistic: statistic, Value: quantity.Num(value),
			Threshold: quantity.Num(limit), Option: option, Where: c.whereGap(g), Fill: f}, true
	}
	if limit := c.set.minutes("sear-gap") * 60; len(seconds) > 0 {
		if g := c.gapOf(seconds); g.size > limit+1e-9 {
			m, _ := c.levelMeans(seconds)
			return found(g, "sear", "range of the mean sear times, s", "sear-gap", g.size, limit,
				Fill{"longer": c.levelWords(g.high), "shorter": c.levelWords(g.low), "long": secondsWords(m[g.high]), "short": secondsWords(m[g.low])})
		}
	}
	// Times that are crossed with the levels were meant; the rest is scatter.
	if limit := c.set.minutes("sear-sd") * 60; len(times) > 1 && tieOf(c.Levels(), len(index), level, time).empty() > 0 {
		_, ss := meanSS(times)
		if sd := math.Sqrt(ss / float64(len(times)-1)); sd > limit {
			g := c.gapOf(seconds)
			return found(g, "loose", "SD of the sear times, s", "sear-sd", sd, limit, Fill{"sd": secondsWords(sd)})
		}
	}
	if limit := c.set.kelvin("pan-gap"); len(pan) > 0 {
		if g := c.gapOf(pan); g.size > limit {
			m, _ := c.levelMeans(pan)
			return found(g, "pan", "range of the mean pan temperatures, K", "pan-gap", g.size, limit,
				Fill{"hotter": c.levelWords(g.high), "cooler": c.levelWords(g.low), "hot": celsius(math.Round(m[g.high])), "cool": celsius(math.Round(m[g.low]))})
		}
	}
	return Judgement{}, false
}

func secondsWords(v float64) prose.Sentence { return prose.Say(strconv.Itoa(int(math.Round(v))), " s") }

// panInTurn finds a pan that served two levels without a stated temperature.
func (c *Case) panInTurn(rows []finishedRow) Judgement {
	type use struct {
		levels []int
		cooks  []string
	}
	uses := map[string]*use{}
	var order []string
	for _, r := range rows {
		if !r.f.Pan.Known || r.f.PanAt.Known {
			continue
		}
		u := uses[r.f.Pan.V]
		if u == nil {
			u = &use{}
			uses[r.f.Pan.V] = u
			order = append(order, r.f.Pan.V)
		}
		if !slices.Contains(u.levels, r.level) {
			u.levels = append(u.levels, r.level)
		}
		if id := c.Trial.Cooks[r.cook].ID; !slices.Contains(u.cooks, id) {
			u.cooks = append(u.cooks, id)
		}
	}
	for _, pan := range order {
		u := uses[pan]
		if len(u.levels) < 2 {
			continue
		}
		slices.Sort(u.levels)
		return Judgement{Outcome: Fires, Severity: Note, Variant: "turns", Statistic: "levels from one pan", Value: quantity.Num(float64(len(u.levels))),
			Threshold: quantity.Num(1), Where: Where{Cooks: u.cooks, Fields: []string{"finish.pan_at"}, At: c.cookPlace(u.cooks)},
			Fill: Fill{"pan": pan, "levels": c.levelsWords(u.levels...)}}
	}
	return clear()
}
