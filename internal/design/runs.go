package design

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"

	"tamis/internal/design/allot"
	"tamis/internal/heat"
	"tamis/internal/quantity"
	"tamis/internal/trial"
)

// House rules on time.
const (
	// LongestSession is how long a day at the baths may be, in minutes.
	LongestSession = 12 * 60
	// Turnover is what emptying, refilling and heating a bath takes between two
	// runs, in minutes.
	Turnover = 20
)

// run is one cook that is to be laid out.
type run struct {
	id     string
	combo  int
	repeat int
}

// layout is what was decided for each run and each place in it.
type layout struct {
	s      *sizes
	runs   []run
	rounds int // how often a bath can be filled in a session
	when   allot.Layout
	slots  []slot
	holds  []int // the piece of the stock at each slot; empty without a stock
}

// slot is a place for a piece: of a run, with what varies within it.
type slot struct{ run, within int }

// newLayout numbers the runs: coldest set point first, then by time, levels and
// repeat, so that a fixed cook can be named beforehand.
func newLayout(t *trial.Trial, s *sizes, longest float64) (*layout, error) {
	l := &layout{s: s}
	digits := len(fmt.Sprint(max(10, s.runs())))
	laid := make([]int, len(s.points))
	for c := range s.combinations {
		for r := range s.each {
			i := len(l.runs)
			l.runs = append(l.runs, run{id: fmt.Sprintf("C%0*d", digits, i+1), combo: c, repeat: r})
			for range s.perCook {
				// Where a cook does not hold all that varies within it, the next one
				// of its set point goes on where it stopped.
				arm := s.combinations[c].arm
				l.slots = append(l.slots, slot{i, (laid[arm] + arm) % len(s.within)})
				laid[arm]++
			}
		}
	}
	return l, l.fitsTime(t, longest)
}

// fitsTime refuses more runs than the baths hold in the time of the sessions.
func (l *layout) fitsTime(t *trial.Trial, longest float64) error {
	if longest <= 0 {
		longest = LongestSession
	}
	most := 0.0
	probe := l.trial(t)
	for i, h := range heat.OfTrial(probe).Cooks {
		c := &probe.Cooks[i]
		m := math.Max(c.Time.V.Minutes(), c.Hold.V.Minutes())
		if h.Cannot == nil && !math.IsNaN(h.Longest) {
			m = math.Max(m, h.Longest)
		}
		most = math.Max(most, m)
	}
	l.rounds = max(1, int(longest/(most+Turnover)+1e-9)) // one run always fits, however long it takes
	baths := len(l.s.baths)
	if have := l.rounds * baths * len(l.s.sessions); len(l.runs) > have {
		return refuse(ErrRuns, l.s.d.At, say(len(l.runs), " runs of up to ", quantity.FromMinutes(math.Ceil(most)), " and ", quantity.FromMinutes(Turnover),
			" to refill do not fit: ", count(baths, "bath", "baths"), " in ", count(len(l.s.sessions), "session", "sessions"), " of ", quantity.FromMinutes(longest), " hold ", have),
			say("take more sessions or baths, or fewer set points or repeats"))
	}
	return nil
}

// fixing is what single entries of fixed say of runs and pieces.
type fixing struct {
	session, bath []int   // by run, -1 where free
	pieces        [][]int // entries that speak of each piece of the stock
	must          []bool  // by piece
	entries       []entry
}

// entry is one entry of fixed, its names found.
type entry struct {
	trial.Fixed
	arm, cook, session, bath int // -1 where it does not say
}

// allows reports whether a piece of the entry may go to a run.
func (e *entry) allows(l *layout, run int) bool {
	return (e.arm < 0 || e.arm == l.s.combinations[l.runs[run].combo].arm) && (e.cook < 0 || e.cook == run) &&
		(e.session < 0 || e.session == l.when.Session[run]) && (e.bath < 0 || e.bath == l.when.Bath[run])
}

// find turns names into numbers and refuses names of nothing.
func (l *layout) find(fixed []trial.Fixed) ([]entry, error) {
	var out []entry
	at := func(list []string, o trial.Opt[string], what string) (int, error) {
		if !o.Known {
			return -1, nil
		}
		for i, x := range list {
			if x == o.V {
				return i, nil
			}
		}
		return -1, refuse(ErrFixed, o.At, say("there is no "+what+" "+o.V+" in this design"), nil)
	}
	ids := make([]string, len(l.runs))
	for i := range l.runs {
		ids[i] = l.runs[i].id
	}
	for _, f := range fixed {
		e := entry{Fixed: f, arm: -1}
		var err [3]error
		e.cook, err[0] = at(ids, f.Cook, "cook")
		e.session, err[1] = at(l.s.sessions, f.Session, "session")
		e.bath, err[2] = at(l.s.baths, f.Bath, "bath")
		for _, err := range err {
			if err != nil {
				return nil, err
			}
		}
		if f.SetPoint.Known {
			if e.arm = l.s.armOf(f.SetPoint.V); e.arm < 0 {
				return nil, refuse(ErrFixed, f.SetPoint.At, say("the set point ", f.SetPoint.V, " is not in this design"), nil)
			}
		}
		if f.Source.Known || f.Part.Known {
			any := false
			for _, p := range l.s.stock {
				any = any || e.names(p)
			}
			if !any {
				return nil, refuse(ErrFixed, f.At, say("the sources of the design give no such piece"), say("list it under sources"))
			}
		}
		out = append(out, e)
	}
	return out, nil
}

// names reports whether an entry speaks of a piece.
func (e *entry) names(p stockPiece) bool {
	return (!e.Source.Known || e.Source.V == p.source) && (!e.Part.Known || e.Part.V == p.part)
}

// ofPieces reports whether an entry speaks of pieces and not of whole cooks.
func (e *entry) ofPieces() bool { return e.Source.Known || e.Part.Known }

// fix works out what the entries say, or reports the two that contradict.
func (l *layout) fix(entries []entry) (*fixing, *clash) {
	n := len(l.runs)
	f := &fixing{session: make([]int, n), bath: make([]int, n), pieces: make([][]int, len(l.s.stock)), must: make([]bool, len(l.s.stock)), entries: entries}
	for i := range n {
		f.session[i], f.bath[i] = -1, -1
	}
	set := func(list []int, run, to int) bool {
		if to < 0 || list[run] == to {
			return true
		}
		if list[run] >= 0 {
			return false
		}
		list[run] = to
		return true
	}
	for k := range entries {
		e := &entries[k]
		if e.cook >= 0 && e.arm >= 0 && l.s.combinations[l.runs[e.cook].combo].arm != e.arm {
			return nil, &clash{}
		}
		if e.ofPieces() {
			continue
		}
		for i, r := range l.runs {
			if (e.cook < 0 || e.cook == i) && (e.arm < 0 || l.s.combinations[r.combo].arm == e.arm) && !(set(f.session, i, e.session) && set(f.bath, i, e.bath)) {
				return nil, &clash{}
			}
		}
	}
	perSource := map[string]int{}
	for _, p := range l.s.stock {
		perSource[p.source]++
	}
	room := make([]int, n) // places that no fixed piece claims yet
	for i := range room {
		room[i] = l.s.perCook
	}
	for i, p := range l.s.stock {
		for k := range entries {
			e := &entries[k]
			if !e.ofPieces() || !e.names(p) {
				continue
			}
			f.pieces[i] = append(f.pieces[i], k)
			// A piece that is named, not only its source, is to be used.
			f.must[i] = f.must[i] || e.Source.Known && (e.Part.Known || perSource[p.source] == 1)
		}
		if f.must[i] {
			f.claim(l, i, room)
		}
	}
	return f, nil
}

// claim sees to it that a run will be where a fixed piece has to go. Which run
// that is is settled in their order; the deal of the pieces tells in the end
// whether all of them fit.
func (f *fixing) claim(l *layout, piece int, room []int) {
	arm, cook, session, bath := -1, -1, -1, -1
	for _, k := range f.pieces[piece] {
		e := &f.entries[k]
		arm, cook, session, bath = max(arm, e.arm), max(cook, e.cook), max(session, e.session), max(bath, e.bath)
	}
	if session < 0 && bath < 0 {
		return
	}
	best, fit := -1, -1
	for i, r := range l.runs {
		if room[i] < 1 || cook >= 0 && cook != i || arm >= 0 && arm != l.s.combinations[r.combo].arm ||
			session >= 0 && f.session[i] >= 0 && f.session[i] != session || bath >= 0 && f.bath[i] >= 0 && f.bath[i] != bath {
			continue
		}
		score := 0 // a run that is there already rather than one that is still free
		if session >= 0 && f.session[i] == session {
			score++
		}
		if bath >= 0 && f.bath[i] == bath {
			score++
		}
		if score > fit {
			best, fit = i, score
		}
	}
	if best < 0 {
		return
	}
	room[best]--
	f.session[best], f.bath[best] = max(f.session[best], session), max(f.bath[best], bath)
}

// clash says that a layout cannot hold what is fixed; err is nil where two
// entries contradict each other outright.
type clash struct{ err error }

// attempt lays out runs and pieces with these entries.
func (l *layout) attempt(entries []entry, seed uint64) (*clash, error) {
	f, c := l.fix(entries)
	if c != nil {
		return c, nil
	}
	p := allot.Runs{Sessions: len(l.s.sessions), Baths: len(l.s.baths), Rounds: l.rounds, InSession: f.session, InBath: f.bath}
	var combo, time []int
	with := make([][]int, len(l.s.d.Factors))
	for _, r := range l.runs {
		c := l.s.combinations[r.combo]
		p.Arm = append(p.Arm, c.arm)
		p.Value = append(p.Value, l.s.points[c.arm].Celsius())
		combo, time = append(combo, r.combo), append(time, c.time)
		for k, x := range c.with {
			with[k] = append(with[k], levelIndex(l.s.d.Factors[k].Levels, x.Level))
		}
	}
	p.Compared, p.Classes = append([][]int{time}, with...), [][]int{combo}
	if held := l.heldWithin(); held != nil {
		p.Compared = append(p.Compared, held)
	}
	var err error
	if l.when, err = allot.Lay(p, generator(seed, forRuns)); err != nil {
		if errors.Is(err, allot.ErrNoRoom) {
			return &clash{err}, nil
		}
		return nil, err
	}
	if l.s.d.Triangles.Known {
		l.pairOrder(p.Value)
	}
	return l.deal(f, seed)
}

// heldWithin labels the runs by what varies within them, where that is not the same
// for all; else it is nil.
func (l *layout) heldWithin() []int {
	if s := l.s; s.perCook == 0 || s.perCook%len(s.within) == 0 {
		return nil
	}
	held := make([][]bool, len(l.runs))
	for i := range held {
		held[i] = make([]bool, len(l.s.within))
	}
	for _, x := range l.slots {
		held[x.run][x.within] = true
	}
	var names []string
	out := make([]int, len(l.runs))
	for i := range held {
		out[i] = label(&names, fmt.Sprint(held[i]))
	}
	return out
}

func levelIndex(levels []string, x string) int {
	for i, l := range levels {
		if l == x {
			return i
		}
	}
	return 0
}

// settle lays everything out, or names the entries of fixed that cannot all hold.
func (l *layout) settle(seed uint64) error {
	entries, err := l.find(l.s.d.Fixed)
	if err != nil {
		return err
	}
	c, err := l.attempt(entries, seed)
	if err != nil || c == nil {
		return err
	}
	// Leave out one entry after the other that is not needed for the conflict.
	culprits := entries
	for i := len(culprits) - 1; i >= 0; i-- {
		fewer := append(append([]entry(nil), culprits[:i]...), culprits[i+1:]...)
		if c, err := l.attempt(fewer, seed); err != nil {
			return err
		} else if c != nil {
			culprits = fewer
		}
	}
	if len(culprits) == 0 {
		return refuse(ErrRuns, l.s.d.At, say("the runs do not fit into the baths"), say("take more sessions or baths"))
	}
	r := refuse(ErrFixed, culprits[0].At, nil, say("change or delete one of them"))
	names := ""
	for i, e := range culprits {
		if i > 0 {
			names += map[bool]string{true: " and ", false: ", "}[i == len(culprits)-1]
			r.Notes = append(r.Notes, Note{e.At, "together with this"})
		}
		names += e.String()
	}
	if len(culprits) == 1 {
		r.Text, r.Hint = say("no plan of this size can keep it: "+names), say("change or delete it")
	} else {
		r.Text = say("these cannot hold together: " + names)
	}
	return r
}

// String writes an entry the way a file does.
func (e *entry) String() string {
	s := "{"
	add := func(key, v string, known bool) {
		if known {
			if s != "{" {
				s += ", "
			}
			s += key + ": " + v
		}
	}
	add("source", e.Source.V, e.Source.Known)
	add("part", e.Part.V, e.Part.Known)
	add("cook", e.Cook.V, e.Cook.Known)
	add("set_point", e.SetPoint.V.String(), e.SetPoint.Known)
	add("session", e.Session.V, e.Session.Known)
	add("bath", e.Bath.V, e.Bath.Known)
	return s + "}"
}

// The purposes that a generator is made for; each has its own stream, so that a
// change of one leaves the others as they are.
const (
	forRuns = iota + 1
	forPieces
	forCodes
	forServing
	forTriangles
	forPortionCodes
	forFlights
)

func generator(seed uint64, purpose uint64) *rand.Rand { return rand.New(rand.NewPCG(seed, purpose)) }
