package design

import (
	"cmp"
	"errors"
	"math"
	"slices"

	"tamis/internal/design/allot"
	"tamis/internal/design/code"
	"tamis/internal/design/order"
	"tamis/internal/prose"
	"tamis/internal/trial"
)

// Triangles says what was laid out of triangle tests.
type Triangles struct {
	Sets      int // in all
	PerPerson int
	// OrderLow and OrderHigh are how often the six orders AAB ABA BAA BBA BAB ABB
	// occur, at the least and at the most.
	OrderLow, OrderHigh int
}

// triangles lays out sets of three portions for each assessor: two of one method
// and one of the other, in one of six orders, each equally often give or take
// one. Both methods of a set are cooked in one session, and the two portions that
// are alike come from one cook, so that nothing else makes a portion the odd one.
// Every portion has a code of its own.
func (l *layout) triangles(out *trial.Trial, seed uint64) (*Triangles, error) {
	s := l.s
	want := s.d.Triangles
	if !want.Known {
		return nil, nil
	}
	if n := len(s.combinations) * len(s.within); n != 2 {
		return nil, refuse(ErrDesign, want.At, say("a triangle compares two methods, and this design has ", n),
			say("list two set points with one time, or one set point with two brines"))
	}
	if len(s.people) == 0 {
		return nil, refuse(ErrDesign, want.At, say("there are triangles and nobody who tastes"), say("add assessors: [P1, P2, P3]"))
	}
	days := l.methodsByDay()
	if len(days) == 0 {
		return nil, refuse(ErrDesign, want.At, say("no session has both methods, and a triangle needs both on one table"), say("take fewer sessions, or cook more often (cooks_each)"))
	}
	orders, err := order.Test(order.Triangle, len(s.people)*want.V, generator(seed, forTriangles))
	if err != nil {
		return nil, err
	}
	codes, err := l.portionCodes(out, 3*len(orders), seed)
	if err != nil {
		return nil, err
	}
	larder := l.larder(out)
	p := out.Panel.V
	p.Triangles = nil
	if len(l.servesScales(out)) == 0 {
		p.Key, p.Scores = nil, nil // of a plan that is drawn anew
	}
	p.Key = slices.Clone(p.Key)
	v := &Triangles{Sets: len(orders), PerPerson: want.V}
	for d, day := range days {
		n := 0 // sets of this day, from which the cooks take turns
		for who, name := range s.people {
			for k := range want.V {
				if (who+k)%len(days) != d {
					continue
				}
				at := len(p.Triangles)
				x := trial.TriangleSet{Assessor: name, Session: trial.Some(s.sessions[day.session]), Set: k + 1}
				for i, slot := range larder.three(orders[at], day, n) {
					x.Codes[i] = codes[3*at+i]
					p.Key = append(p.Key, trial.KeyEntry{Code: x.Codes[i], Piece: l.pieceID(slot)})
				}
				p.Triangles = append(p.Triangles, x)
				n++
			}
		}
	}
	sortKey(p.Key)
	out.Panel = trial.Opt[trial.Panel]{V: p, Known: true, At: out.Panel.At}
	v.OrderLow, v.OrderHigh = timesEach(orders)
	return v, l.feeds(out)
}

// servesScales are the measures that the samples of a trial with triangles are
// scored on besides.
func (l *layout) servesScales(t *trial.Trial) []trial.Measure {
	var out []trial.Measure
	for _, m := range t.Measures {
		if Tasted(m) {
			out = append(out, m)
		}
	}
	return out
}

// dayOfTwo is a session with both methods, and the cooks that are compared: the
// slots of either method.
type dayOfTwo struct {
	session int
	pairs   [][2][]int
}

// methodsByDay are the sessions in which both methods are cooked. Those that are
// compared come from one cook, or else from two baths and as near to each other in
// the run order as that gives; each cook is in one pair, unless the methods do not
// have as many.
func (l *layout) methodsByDay() []dayOfTwo {
	var out []dayOfTwo
	for at := range l.s.sessions {
		d := dayOfTwo{session: at}
		var cooks [2][][]int
		var runs []int
		for r := range l.runs {
			if l.when.Session[r] == at {
				runs = append(runs, r)
			}
		}
		slices.SortStableFunc(runs, func(a, b int) int { return l.when.Order[a] - l.when.Order[b] })
		for _, r := range runs {
			for w := range l.s.within {
				var slots []int
				for j, x := range l.slots {
					if x.run == r && x.within == w {
						slots = append(slots, j)
					}
				}
				if method := l.runs[r].combo*len(l.s.within) + w; len(slots) > 0 {
					cooks[method] = append(cooks[method], slots)
				}
			}
		}
		if len(cooks[0]) > 0 && len(cooks[1]) > 0 {
			d.pairs = l.pairUp(cooks)
			out = append(out, d)
		}
	}
	return out
}

// pairUp finds the cooks that are compared. The larger side is paired with the
// smaller one, whose cooks come again only where there are too few; then pairs
// change partners as long as that brings them nearer.
func (l *layout) pairUp(cooks [2][][]int) [][2][]int {
	big, small := 0, 1
	if len(cooks[1]) > len(cooks[0]) {
		big, small = 1, 0
	}
	with := make([]int, len(cooks[big]))
	for i := range with {
		with[i] = i % len(cooks[small])
	}
	far := func(i, j int) int { return l.apart(cooks[big][i][0], cooks[small][j][0]) }
	for changed := true; changed; {
		changed = false
		for i := range with {
			for j := range i {
				if far(i, with[j])+far(j, with[i]) < far(i, with[i])+far(j, with[j]) {
					with[i], with[j], changed = with[j], with[i], true
				}
			}
		}
	}
	out := make([][2][]int, len(with))
	for i, j := range with {
		out[i][big], out[i][small] = cooks[big][i], cooks[small][j]
	}
	return out
}

// pairOrder runs the cooks that triangles compare one right after the other, each
// pair as early as its first and in the order that was drawn, so that they come
// out of their baths together. value is the set point of each run.
func (l *layout) pairOrder(value []float64) {
	if len(l.s.combinations)*len(l.s.within) != 2 {
		return // reported with the triangles
	}
	first := make([]int, len(l.runs)) // the earliest place among those that are served together
	for i := range first {
		first[i] = l.when.Order[i]
	}
	days := l.methodsByDay()
	for changed := true; changed; {
		changed = false
		for _, d := range days {
			for _, p := range d.pairs {
				a, b := l.slots[p[0][0]].run, l.slots[p[1][0]].run
				if early := min(first[a], first[b]); first[a] != early || first[b] != early {
					first[a], first[b], changed = early, early, true
				}
			}
		}
	}
	for _, d := range days {
		var runs []int
		for i := range l.runs {
			if l.when.Session[i] == d.session {
				runs = append(runs, i)
			}
		}
		slices.SortFunc(runs, func(a, b int) int {
			return cmp.Or(first[a]-first[b], l.when.Order[a]-l.when.Order[b])
		})
		for place, i := range runs {
			l.when.Order[i] = place + 1
		}
	}
	l.when.R, l.when.Rho = allot.Follows(l.when.Order, value, l.when.Session)
	for _, b := range allot.Bounds {
		l.when.Bound = max(l.when.Bound, b)
		if math.Max(math.Abs(l.when.R), math.Abs(l.when.Rho)) <= l.when.Bound+1e-12 {
			break
		}
	}
}

// oneBath is more than cooks of a day are apart in their run order.
const oneBath = 1_000_000

// apart is how far from each other two slots are cooked: not at all in one cook;
// in one bath one cook has to wait for the other.
func (l *layout) apart(a, b int) int {
	x, y := l.slots[a].run, l.slots[b].run
	if x == y {
		return 0
	}
	d := max(l.when.Order[x]-l.when.Order[y], l.when.Order[y]-l.when.Order[x])
	if l.when.Bath[x] == l.when.Bath[y] {
		d += oneBath
	}
	return d
}

// portionCodes draws codes that no piece has.
func (l *layout) portionCodes(t *trial.Trial, n int, seed uint64) ([]string, error) {
	var taken []string
	if len(l.servesScales(t)) > 0 {
		for _, k := range t.Panel.V.Key {
			taken = append(taken, k.Code)
		}
	}
	got, err := code.Draw(n, l.setPointDigits(), taken, generator(seed, forPortionCodes))
	if errors.Is(err, code.ErrTooMany) {
		return nil, refuse(ErrCodes, l.s.d.Triangles.At, say(n, " portions need a code each, and there are not so many of three digits that say nothing"),
			say("take fewer triangles or fewer assessors"))
	}
	return got, err
}

// SetsInFlights gives the sets of each person and session the order of the
// flights, from 1, in which their cooks are served, and numbers them so. It
// reports whether any has another number than it had; the trial is not altered.
// Sets of a person and session of which one is answered, or has a cook without a
// flight, are left alone.
func SetsInFlights(t *trial.Trial, flight map[string]int) (sets []trial.TriangleSet, moved bool) {
	cookOf := t.CookOfCode()
	sets = slices.Clone(t.Panel.V.Triangles)
	type key struct{ assessor, session string }
	rows := map[key][]int{}
	var keys []key
	for i := range sets {
		k := key{sets[i].Assessor, sets[i].Session.V}
		if rows[k] == nil {
			keys = append(keys, k)
		}
		rows[k] = append(rows[k], i)
	}
	for _, k := range keys {
		own := make([]trial.TriangleSet, 0, len(rows[k]))
		open := true
		for _, i := range rows[k] {
			own = append(own, sets[i])
			open = open && !sets[i].Odd.Known && flight[cookOf[sets[i].Codes[0]]] > 0
		}
		if !open {
			continue
		}
		slices.SortStableFunc(own, func(a, b trial.TriangleSet) int { return flight[cookOf[a.Codes[0]]] - flight[cookOf[b.Codes[0]]] })
		for j, i := range rows[k] {
			moved = moved || own[j].Codes != sets[i].Codes
			own[j].Set = t.Panel.V.Triangles[i].Set
			sets[i] = own[j]
		}
	}
	return sets, moved
}

// larder is how many bites each piece has left; where masses are not known, less
// by one for each that was taken.
type larder []float64

func (l *layout) larder(t *trial.Trial) larder {
	left := make(larder, len(l.slots))
	bite := t.Panel.V.Bite
	gone := map[string]int{}
	if len(l.servesScales(t)) > 0 {
		for i := range t.Panel.V.Scores {
			gone[t.Panel.V.Scores[i].Piece.V]++
		}
	}
	for j := range l.slots {
		left[j] = -float64(gone[l.pieceID(j)])
		if len(l.holds) > 0 && bite.Known && bite.V.Grams() > 0 {
			if m := l.s.stock[l.holds[j]].before; m.Known {
				left[j] += math.Floor(Served*m.V.Grams()/bite.V.Grams() + 1e-9)
			}
		}
	}
	return left
}

// take is the piece with the most bites left.
func (b larder) take(slots []int) int {
	best := slots[0]
	for _, j := range slots[1:] {
		if b[j] > b[best] {
			best = j
		}
	}
	b[best]--
	return best
}

// three takes the portions of a set in its order, from the n-th pair of cooks of
// the day. Two that are alike come from one piece, unless only another has a bite
// left.
func (b larder) three(places []int, day dayOfTwo, n int) [3]int {
	var out [3]int
	var before [2]int
	for i := range before {
		before[i] = -1
	}
	pair := day.pairs[n%len(day.pairs)]
	for i, method := range places {
		slots := pair[method]
		j := before[method]
		if j >= 0 && (b[j] >= 1 || !slices.ContainsFunc(slots, func(x int) bool { return b[x] >= 1 })) {
			b[j]--
		} else {
			j = b.take(slots)
		}
		before[method], out[i] = j, j
	}
	return out
}

// timesEach is how often each of the six orders occurs.
func timesEach(orders [][]int) (low, high int) {
	var n [8]int
	for _, o := range orders {
		n[o[0]<<2|o[1]<<1|o[2]]++
	}
	six := n[1:7] // all but AAA and BBB
	return slices.Min(six), slices.Max(six)
}

// triangleRemarks says what the triangles leave uneven or unknown.
func (l *layout) triangleRemarks(v *Triangles, add func(slug string, text prose.Sentence)) {
	if v == nil {
		return
	}
	if v.OrderHigh > v.OrderLow {
		add("triangle-orders-uneven", say("Some of the six orders of the triangles come up once more often than others: ", v.Sets, " sets are no multiple of six."))
	}
	if v.PerPerson > 1 {
		add("triangles-repeated", say("Each taster gives ", v.PerPerson, " answers. The test for a difference stays exact, but the interval of the share that can tell them apart speaks of these tasters, not of others."))
	}
	for _, d := range l.methodsByDay() {
		for _, p := range d.pairs {
			if l.apart(p[0][0], p[1][0]) >= oneBath {
				add("triangle-one-bath", say("The two cooks of a triangle share a bath, one after the other, so one of them is out of it for longer. What differs on the plate may be how warm it is: take a second bath, or see that all three portions have one temperature."))
				return
			}
		}
	}
}
