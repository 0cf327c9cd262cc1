package faults

import (
	"fmt"
	"math"
	"math/rand/v2"
)

// Trial is an invented trial before it is written down.
type Trial struct {
	r *rand.Rand

	food      foodstuff
	setPoints []float64 // °C
	runs      int       // of each set point
	cooks     []*cook
	sessions  int
	baths     int
	names     []string // of the tasters
	assessors []map[string]string
	measures  []measure
	rows      []*row
	lots      int

	head       []string // further lines of the trial file
	panel      map[string]string
	deviations []string // lines of the trial file
	aim        string
	declared   string
	firstDay   int // of February
	step       int // days between sessions
	noise      noise
	effect     float64 // true difference between the ends, points
	write      style
	sources    map[string]map[string]string
	bathFact   []map[string]string
	logOf      func(k *cook, minute float64) (core, bath float64)
}

type foodstuff struct {
	name, kind, shape string
	thickness         float64 // mm
	low, high         float64 // °C that the set points lie between
	minutes           int
}

// noise are standard deviations in points of the scale.
type noise struct{ session, cook, source, piece, taster, score float64 }

// style is how the trial is written down.
type style struct {
	fahrenheit, comma, inline, codes                           bool
	logs, clocks, served, parts, thickness, masses, vacuum     bool
	lots, chilled, history, brine, wetBrine, panel, incomplete bool
	rows, own                                                  bool // a row for each measure; columns of one's own, which follow nothing
	random                                                     bool // tasting orders drawn at random, not balanced
}

type cook struct {
	id                        string
	arm, session, place, bath int
	start, minutes, wait      int // minutes since midnight; minutes
	servedAt                  float64
	fields                    map[string]string
	pieces                    []*piece
	mean                      float64 // true value of this cook
	noLog                     bool
}

type piece struct {
	id                       string
	source, part             int
	thickness, before, after float64
	brined                   bool
	uptake                   float64
	fields                   map[string]string
	mean                     float64
	value                    float64 // read by an instrument
}

type row struct {
	who, session, place int
	cook                *cook
	piece               *piece
	values              []float64 // NaN: blank
	fields              map[string]string
}

type measure struct {
	name, says string
	weight     float64 // of the effect
}

var foods = []foodstuff{
	{"pollack loin", "lean fish", "slab", 16, 44, 62, 50},
	{"trout fillet", "oily fish", "slab", 14, 42, 58, 45},
	{"salmon fillet", "oily fish", "slab", 22, 40, 58, 75},
	{"chicken breast", "poultry", "slab", 28, 58, 76, 120},
	{"pork loin", "beef pork lamb", "slab", 25, 54, 72, 110},
	{"beef rump", "beef pork lamb", "slab", 26, 50, 68, 110},
	{"hen egg", "shell egg", "sphere", 44, 60, 72, 60},
	{"carrot", "vegetable", "cylinder", 20, 80, 92, 60},
}

func pick[T any](r *rand.Rand, list ...T) T { return list[r.IntN(len(list))] }

func (t *Trial) chance(p float64) bool { return t.r.Float64() < p }

// between is an even draw.
func (t *Trial) between(low, high float64) float64 { return low + (high-low)*t.r.Float64() }

// Shape asks for what a fault needs; the zero Shape leaves everything to chance.
type Shape struct {
	Panel, Brine, Wet, Clocks, Logs, Masses, Thickness, Parts, Pieces, Served, Plain bool
	Arms                                                                             int // at least
	Tasters                                                                          int // at least
	Order                                                                            bool
	Animal                                                                           bool // food that a short cook leaves unsafe
}

// Fair draws a fair trial that has what a shape asks for.
func Fair(seed uint64, s Shape) *Trial {
	r := rand.New(rand.NewPCG(seed, 0x7a6d))
	t := &Trial{r: r, food: pick(r, foods...), panel: map[string]string{}, sources: map[string]map[string]string{}, firstDay: 2 + r.IntN(8), step: 1 + r.IntN(3)}
	if s.Animal {
		t.food = pick(r, foods[:len(foods)-1]...)
	}
	k := max(2+r.IntN(5), s.Arms)
	t.runs = 3 + r.IntN(2)
	step := pick(r, 2.0, 3, 4)
	if float64(k-1)*step > t.food.high-t.food.low {
		step = 2
	}
	first := math.Round(t.between(t.food.low, t.food.high-float64(k-1)*step))
	for i := range k {
		t.setPoints = append(t.setPoints, first+step*float64(i))
	}
	w := &t.write
	w.panel = s.Panel || t.chance(0.8)
	w.fahrenheit, w.comma, w.inline, w.codes = t.chance(0.2), t.chance(0.15), t.chance(0.4), t.chance(0.5)
	w.logs, w.clocks, w.served = s.Logs || t.chance(0.35), s.Clocks || t.chance(0.7), s.Served || t.chance(0.6)
	w.parts, w.thickness, w.masses = s.Parts || t.chance(0.3), s.Thickness || t.chance(0.6), s.Masses || t.chance(0.6)
	w.vacuum, w.lots, w.chilled, w.history = t.chance(0.3), t.chance(0.7), t.chance(0.5), t.chance(0.6)
	w.brine = s.Brine || s.Wet || !s.Plain && t.chance(0.25)
	w.wetBrine = w.brine && (s.Wet || t.chance(0.4))
	w.masses = w.masses || w.wetBrine
	w.incomplete = w.panel && !s.Order && k >= 4 && t.chance(0.2)
	w.random = w.incomplete || w.panel && !s.Order && t.chance(0.2) // places of an incomplete layout are drawn by lot
	w.rows, w.own = t.chance(0.15), t.chance(0.3)
	t.sessions = t.runs
	t.baths = pick(r, 1, 2, 3, k)
	t.bake(s)
	t.noise = noise{t.between(0, 0.4), t.between(0.1, 0.3), t.between(0, 0.2), t.between(0.05, 0.25), t.between(0.3, 0.8), t.between(0.4, 0.9)}
	t.people(s)
	t.size()
	return t
}

// bake lists the cooks: each set point once a session, in an order drawn by lot
// that goes against the set point as much as with it, the baths in turn.
func (t *Trial) bake(s Shape) {
	k := len(t.setPoints)
	pieces := 1 + t.r.IntN(4)
	if s.Pieces || s.Parts || t.write.brine || t.write.parts {
		pieces = max(2, pieces)
	}
	if t.write.brine {
		pieces += pieces % 2
	}
	orders := t.runOrders(k)
	shift := t.r.Perm(k)
	n := 0
	for session := range t.sessions {
		for place, arm := range orders[session] {
			n++
			c := &cook{id: fmt.Sprintf("K%02d", n), arm: arm, session: session, place: place, fields: map[string]string{}}
			c.bath = (shift[arm] + session) % t.baths
			c.minutes = t.food.minutes + 5*t.r.IntN(2) - 2
			slot := place
			if t.baths >= k { // all at once, minutes apart
				c.start = 9*60 + 4*slot
			} else {
				c.start = 8*60 + (slot/t.baths)*(t.food.minutes+25) + 3*(slot%t.baths)
			}
			c.wait = 3 + t.r.IntN(2)
			c.servedAt = 41 + 0.7*t.r.NormFloat64()
			if t.write.own && !t.write.inline {
				c.fields["who cooked"] = pick(t.r, "Mo", "Kit", "both")
				c.fields["room (°C)"] = fmt.Sprintf("%.1f", 21+t.r.NormFloat64())
			}
			for j := range pieces {
				// Each source of the session gives one piece, or a pair, to every cook of it.
				source := session*pieces + j
				if t.write.brine {
					source = session*pieces + j/2
				}
				p := &piece{id: fmt.Sprintf("%s%c", c.id, 'a'+j), source: source, part: (j + arm + session) % 3, fields: map[string]string{}}
				p.thickness = t.food.thickness * (1 + 0.02*t.r.NormFloat64())
				p.before = 90 * (1 + 0.03*t.r.NormFloat64())
				p.brined = t.write.brine && j%2 == 1
				p.uptake = 2.5 + 0.15*t.r.NormFloat64()
				c.pieces = append(c.pieces, p)
			}
			t.cooks = append(t.cooks, c)
		}
	}
	// In one bath at a time the runs of a session stand one after the other; where a
	// bath is free again is known from the clock.
	t.separate()
	for range t.baths {
		t.bathFact = append(t.bathFact, map[string]string{"reads": fmt.Sprintf("%.1f °C %s", math.Abs(0.1*float64(t.r.IntN(3)-1)), pick(t.r, "high", "low")), "checked": "2026-02-01", "volume": "20 l"})
	}
	t.lots = t.sessions
	t.logOf = func(k *cook, minute float64) (float64, float64) {
		bath := t.setPoints[k.arm]
		tau := 0.55 * float64(k.minutes) / math.Log((bath-4)/0.5)
		return bath - (bath-4)*math.Exp(-minute/tau), bath + 0.05*t.r.NormFloat64()
	}
}

// separate moves runs that would share a bath apart.
func (t *Trial) separate() {
	for session := range t.sessions {
		free := make([]int, t.baths)
		for _, c := range t.cooks {
			if c.session != session {
				continue
			}
			c.start = max(c.start, free[c.bath])
			free[c.bath] = c.start + c.minutes + 15
		}
	}
}

// runOrders draws an order for each session until none of them, taken together,
// goes with the set point (|r| within sessions at most 0.5, or the best of many).
func (t *Trial) runOrders(k int) [][]int {
	var best [][]int
	least := math.Inf(1)
	for range 200 {
		orders := make([][]int, t.sessions)
		var sum, square float64
		for s := range orders {
			orders[s] = t.r.Perm(k)
			for place, arm := range orders[s] {
				x, y := float64(place)-float64(k-1)/2, float64(arm)-float64(k-1)/2
				sum += x * y
				square += x * x
			}
		}
		same := 0
		for s := range orders {
			if fmt.Sprint(orders[s]) == fmt.Sprint(orders[0]) {
				same++
			}
		}
		r := math.Abs(sum / square)
		if same == len(orders) {
			r = 1
		}
		if r < least {
			best, least = orders, r
		}
		if least <= 0.5 {
			break
		}
	}
	return best
}

// people draws the panel.
func (t *Trial) people(s Shape) {
	t.measures = []measure{{"firmness", "{scale: 0 to 10, low: falls apart, high: rubbery}", 1}}
	if t.write.panel && t.chance(0.4) {
		t.measures = append(t.measures, measure{"juiciness", "{scale: 0 to 10, low: dry, high: juicy}", -0.6})
	}
	if t.write.panel && t.chance(0.3) {
		t.measures = append(t.measures, measure{"liking", "{scale: 1 to 9, role: liking}", 0.2})
	}
	if !t.write.panel {
		t.measures = []measure{{"shear", "{unit: N}", 1}}
	}
	t.aim = fmt.Sprintf("{measure: %s, target: 4 to 6}", t.measures[0].name)
	if !t.write.panel {
		t.aim = "{measure: shear, at_most: 30}"
	}
	all := []string{"anna", "ben", "cleo", "dora", "emil", "freya", "gus", "hedda", "ivo", "jana", "karl", "lena", "mats", "nora"}
	n := max(6+t.r.IntN(7), s.Tasters)
	for i := range min(n, len(all)) {
		t.names = append(t.names, all[i])
		t.assessors = append(t.assessors, map[string]string{"kind": pick(t.r, "trained", "staff"), "cooked": "no", "chose": "no"})
	}
	t.panel["blind"] = "yes"
	t.panel["together"] = "no"
	if t.chance(0.7) {
		t.panel["looks_masked"] = "red light"
	}
	if t.chance(0.7) {
		t.panel["warm_up"] = "yes"
	}
	if t.chance(0.5) {
		t.panel["rinse"] = "{with: water, gap: 2 min}"
	}
	if t.write.incomplete {
		t.panel["plan"] = "incomplete blocks"
	} else if t.chance(0.6) {
		t.panel["plan"] = "complete"
	}
	t.declared = "2026-02-01"
}
