package design

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"tamis/internal/design/code"
	"tamis/internal/design/order"
	"tamis/internal/quantity"
	"tamis/internal/trial"
)

// Served is the share of a raw piece that reaches the plates; the rest is lost
// in the bath and in slicing (a house rule).
const Served = 0.8

// Serving says how even the serving orders are.
type Serving struct {
	Sittings  int // one assessor on one day
	Samples   int // different samples over all sessions: a cook, by what varies within it
	PerPerson int // samples in a sitting, at most
	Complete  bool
	// InFlights says that places follow the time of serving: see Plan.Serve.
	InFlights bool
	// By set point: how uneven places and predecessors are at the worst, and how
	// often a person meets each at the least and at the most.
	PlaceSpread, AfterSpread, MeetLow, MeetHigh int
	// By sample: tasters at the least and at the most. For incomplete sittings also
	// by method: how often two are in one sitting, λ, and the efficiency factor
	// against complete sittings, by sittings as blocks.
	TasteLow, TasteHigh, PairLow, PairHigh int
	Efficiency                             quantity.Number
}

// sample is what one person tastes once: one treatment of one cook, of which
// there may be several pieces.
type sample struct {
	run, within int
	slots       []int
}

// serve draws codes and serving orders into the panel of the trial.
func (l *layout) serve(out *trial.Trial, seed uint64) (*Serving, error) {
	s := l.s
	if len(s.people) == 0 || s.d.Triangles.Known && len(l.servesScales(out)) == 0 {
		return nil, nil // with triangles alone nothing is scored
	}
	var samples []sample
	session := [][]int{}
	for range s.sessions {
		session = append(session, nil)
	}
	var arm, method []int
	factors := make([][]int, 2+len(s.d.Factors)) // what is compared besides, by sample
	for r := range l.runs {
		for w := range s.within {
			x := sample{run: r, within: w}
			for j, sl := range l.slots {
				if sl.run == r && sl.within == w {
					x.slots = append(x.slots, j)
				}
			}
			if len(x.slots) == 0 {
				continue
			}
			at := l.when.Session[r]
			session[at] = append(session[at], len(samples))
			samples = append(samples, x)
			arm = append(arm, s.combinations[l.runs[r].combo].arm)
			method = append(method, l.runs[r].combo*len(s.within)+w)
			combo := s.combinations[l.runs[r].combo]
			factors[0], factors[1] = append(factors[0], w), append(factors[1], max(0, combo.time))
			for k, f := range s.d.Factors {
				factors[2+k] = append(factors[2+k], levelIndex(f.Levels, combo.with[k].Level))
			}
		}
	}
	factors = slices.DeleteFunc(factors, func(f []int) bool { return len(f) == 0 || slices.Max(f) == 0 })
	rng := generator(seed, forServing)
	people := len(s.people)
	var sittings []order.Sitting
	var rows [][]int
	complete, exact := true, true
	session = slices.DeleteFunc(session, func(pool []int) bool { return len(pool) == 0 }) // days on which nothing is cooked
	for _, pool := range session {
		size := perSitting(len(pool), s.sitting, people)
		complete = complete && size == len(pool)
		for who := range people {
			sittings = append(sittings, order.Sitting{Pool: pool, Size: size, Who: who})
		}
	}
	if complete {
		for _, pool := range session {
			dealt, err := order.Deal(len(pool), people, rng)
			if err != nil {
				return nil, err
			}
			square := len(pool) * (1 + len(pool)%2)
			exact = exact && people%square == 0
			for _, row := range dealt {
				o := make([]int, len(row))
				for i, x := range row {
					o[i] = pool[x]
				}
				rows = append(rows, o)
			}
		}
	} else {
		var err error
		if rows, err = order.Choose(sittings, len(samples), [][]int{method, arm}, rng); err != nil {
			return nil, err
		}
		exact = false
	}
	if !exact { // whole squares need no search
		var err error
		if rows, err = order.Arrange(rows, len(samples), append(append([][]int{arm}, factors...), method), rng); err != nil {
			return nil, err
		}
	}
	if err := l.write(out, samples, sittings, rows, seed); err != nil {
		return nil, err
	}
	return l.servingCounts(samples, sittings, rows, arm, method, complete)
}

// perSitting is how many of n samples a person takes: all where that is allowed,
// else the most, down to half of it, that lets every sample be tasted equally
// often, and the most allowed where none does.
func perSitting(n, most, people int) int {
	if n <= most {
		return n
	}
	for k := most; k >= max(2, (most+1)/2); k-- {
		if people*k%n == 0 {
			return k
		}
	}
	return most
}

// write puts codes, key and score rows into the trial.
func (l *layout) write(out *trial.Trial, samples []sample, sittings []order.Sitting, rows [][]int, seed uint64) error {
	codes, err := l.codes(out, seed)
	if err != nil {
		return err
	}
	id := make([]string, len(l.slots))
	for j := range id {
		id[j] = l.pieceID(j)
	}
	p := out.Panel.V
	p.Key, p.Scores = nil, nil
	for j, c := range codes {
		p.Key = append(p.Key, trial.KeyEntry{Code: c, Piece: id[j]})
	}
	sortKey(p.Key)
	blank := trial.Readings{}
	for _, m := range out.Measures {
		if Tasted(m) {
			blank.Set(m.Name, trial.Reading{Missing: true})
		}
	}
	from := l.portion(samples, rows, p.Bite)
	for i, row := range rows {
		for k, x := range row {
			j := from[i][k]
			p.Scores = append(p.Scores, trial.Score{Assessor: l.s.people[sittings[i].Who], Session: trial.Some(l.s.sessions[l.when.Session[samples[x].run]]),
				Position: trial.Some(k + 1), Code: trial.Some(codes[j]), Piece: trial.Some(id[j]), Cook: l.runs[samples[x].run].id, Values: slices.Clone(blank)})
		}
	}
	out.Panel = trial.Opt[trial.Panel]{V: p, Known: true, At: out.Panel.At}
	return l.feeds(out)
}

// pieceID names the piece of a slot: its cook, and its number there.
func (l *layout) pieceID(slot int) string {
	nth := 1
	for _, s := range l.slots[:slot] {
		if s.run == l.slots[slot].run {
			nth++
		}
	}
	return l.runs[l.slots[slot].run].id + "-" + number(nth)
}

// sortKey puts a key into the order of its codes, which is not that of the set
// points.
func sortKey(key []trial.KeyEntry) {
	slices.SortFunc(key, func(a, b trial.KeyEntry) int { return strings.Compare(a.Code, b.Code) })
}

// portion says from which piece each bite is cut: of the pieces of a sample the
// one with the most bites left, and where masses are not known the one with the
// fewest tasters.
func (l *layout) portion(samples []sample, rows [][]int, bite trial.Opt[quantity.Mass]) [][]int {
	left := make([]float64, len(l.slots))
	for j := range l.slots {
		if len(l.holds) > 0 && bite.Known && bite.V.Grams() > 0 {
			if m := l.s.stock[l.holds[j]].before; m.Known {
				left[j] = math.Floor(Served*m.V.Grams()/bite.V.Grams() + 1e-9)
			}
		}
	}
	out := make([][]int, len(rows))
	for i, row := range rows {
		for _, x := range row {
			best := samples[x].slots[0]
			for _, j := range samples[x].slots[1:] {
				if left[j] > left[best] {
					best = j
				}
			}
			left[best]--
			out[i] = append(out[i], best)
		}
	}
	return out
}

// codes draws a code for every piece, so that none is used in two sessions.
func (l *layout) codes(t *trial.Trial, seed uint64) ([]string, error) {
	numbers := l.setPointDigits()
	got, err := code.Draw(len(l.slots), numbers, nil, generator(seed, forCodes))
	if err != nil { // with very many pieces a code may hold a set point
		got, err = code.Draw(len(l.slots), nil, nil, generator(seed, forCodes))
	}
	if err != nil {
		return nil, refuse(ErrCodes, l.s.d.At, say(len(l.slots), " pieces need a code each, and there are not so many of three digits that say nothing"),
			say("take fewer pieces, or split the trial"))
	}
	return got, nil
}

// setPointDigits are the set points as digits, which no code should hold.
func (l *layout) setPointDigits() []string {
	var out []string
	for _, p := range l.s.points {
		for _, v := range []float64{p.Celsius(), p.Fahrenheit()} {
			out = append(out, strconv.Itoa(int(math.Round(v))))
		}
	}
	return out
}

// Tasted reports whether assessors give the measure, and nothing but they.
func Tasted(m trial.Measure) bool { return m.Kind != trial.Amount && !m.By.Known && !m.FromWeights() }

// feeds refuses a plan in which a piece is too small for its tasters.
func (l *layout) feeds(t *trial.Trial) error {
	p := t.Panel.V
	if !p.Bite.Known {
		return nil
	}
	bites := map[string]int{}
	for i := range p.Scores {
		bites[p.Scores[i].Piece.V]++
	}
	from := map[string]string{}
	for _, k := range p.Key {
		from[k.Code] = k.Piece
	}
	for i := range p.Triangles {
		for _, c := range p.Triangles[i].Codes {
			bites[from[c]]++
		}
	}
	for i := range t.Cooks {
		for j := range t.Cooks[i].Pieces {
			x := &t.Cooks[i].Pieces[j]
			n := bites[x.ID]
			if !x.Before.Known || n == 0 {
				continue
			}
			have, need := Served*x.Before.V.Grams(), float64(n)*p.Bite.V.Grams()
			if need > have*(1+1e-9) {
				what := x.Source.V
				if x.Part.Known {
					what += ", " + x.Part.V
				}
				return refuse(ErrHungry, l.s.d.At, say("a piece of ", x.Before.V, " ("+what+") leaves about ", quantity.Grams(math.Floor(have)), " to serve, and ",
					count(n, "bite", "bites"), " of ", p.Bite.V, " need ", quantity.Grams(need)),
					say("cut larger pieces, put more of them into a cook (pieces_per_cook), take a smaller bite or fewer assessors"))
			}
		}
	}
	return nil
}

func (l *layout) servingCounts(samples []sample, sittings []order.Sitting, rows [][]int, arm, method []int, complete bool) (*Serving, error) {
	v := &Serving{Sittings: len(rows), Samples: len(samples), Complete: complete, Efficiency: quantity.Absent("everybody tastes everything of a session")}
	arms := make([][]int, len(rows))
	blocks := make([][]int, len(rows))
	uses := make([]int, len(samples))
	meet := make([][]int, len(l.s.people))
	for i := range meet {
		meet[i] = make([]int, len(l.s.points))
	}
	for i, row := range rows {
		v.PerPerson = max(v.PerPerson, len(row))
		for _, x := range row {
			arms[i] = append(arms[i], arm[x])
			if !slices.Contains(blocks[i], method[x]) {
				blocks[i] = append(blocks[i], method[x])
			}
			uses[x]++
			meet[sittings[i].Who][arm[x]]++
		}
	}
	v.TasteLow, v.TasteHigh = slices.Min(uses), slices.Max(uses)
	v.MeetLow, v.MeetHigh = math.MaxInt, 0
	for _, m := range meet {
		v.MeetLow, v.MeetHigh = min(v.MeetLow, slices.Min(m)), max(v.MeetHigh, slices.Max(m))
	}
	c, err := order.Count(arms, len(l.s.points))
	if err != nil {
		return nil, err
	}
	v.PlaceSpread, v.AfterSpread = c.PlaceSpread, c.AfterSpread
	if complete {
		return v, nil
	}
	b, err := order.CountBlocks(blocks, 1+slices.Max(method))
	if err != nil {
		v.Efficiency = quantity.Absent("there are too many methods to say")
		return v, nil
	}
	v.PairLow, v.PairHigh = b.PairLow, b.PairHigh
	v.Efficiency = quantity.Num(b.Efficiency)
	return v, nil
}
