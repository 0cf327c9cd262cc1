package trial

import (
	"sort"
	"strconv"
	"strings"
)

// Varied is one factor with two or more levels among some observations.
type Varied struct {
	Name string
	// Levels are the distinct levels: set points coldest first, times shortest
	// first, declared factors in the order of their declaration, the rest by name
	// with numbers by size, plain first and "not stated" last: never by the order
	// of cooks and pieces in the file.
	Levels []string
	// Code gives the level of each observation, -1 where the file does not say.
	Code []int
	// Values are the numeric values of the levels (°C, or minutes), nil for a
	// category.
	Values []float64
}

// VariedFactors lists the factors that take two or more levels in rows: set
// point, time or hold, brine, finish, then the declared ones. A row for which
// no brine is stated in a trial that states one elsewhere is a level of its
// own ("not stated"), never "none".
func (t *Trial) VariedFactors(rows []Observation) []Varied {
	var out []Varied
	if v := t.variedSetPoint(rows); len(v.Levels) > 1 {
		out = append(out, v)
	}
	names := []string{TimeFactor, HoldFactor, BrineFactor, FinishFactor}
	for _, f := range t.Factors {
		names = append(names, f.Name)
	}
	for _, name := range names {
		if v := t.variedByName(name, rows); len(v.Levels) > 1 {
			out = append(out, v)
		}
	}
	return out
}

func (t *Trial) variedSetPoint(rows []Observation) Varied {
	v := Varied{Name: SetPointFactor, Code: make([]int, len(rows))}
	arms := t.Arms()
	armOf := map[int]int{}
	for a, arm := range arms {
		for _, c := range arm.Cooks {
			armOf[c] = a
		}
	}
	used := make([]int, len(arms)) // new code + 1 of each arm that occurs
	for _, r := range rows {
		if a, ok := armOf[r.Cook]; ok {
			used[a] = 1
		}
	}
	for a, arm := range arms {
		if used[a] == 0 {
			continue
		}
		v.Levels = append(v.Levels, arm.Label())
		v.Values = append(v.Values, arm.SetPoint.Celsius())
		used[a] = len(v.Levels)
	}
	for i, r := range rows {
		v.Code[i] = -1
		if a, ok := armOf[r.Cook]; ok {
			v.Code[i] = used[a] - 1
		}
	}
	return v
}

// sameTreatment reports whether two rows have one level of a factor because they are
// looks at one piece, or share what the file says of their cook.
func (t *Trial) sameTreatment(name string, a, b *Observation) bool {
	if a.Cook != b.Cook {
		return false
	}
	if a.Piece == b.Piece {
		return true
	}
	switch c := &t.Cooks[a.Cook]; name {
	case TimeFactor, HoldFactor:
		return true
	case BrineFactor:
		return c.BrineOf(a.Piece) == c.BrineOf(b.Piece)
	case FinishFactor:
		return c.FinishOf(a.Piece) == c.FinishOf(b.Piece)
	}
	return false
}

// variedByName is a factor other than the set point; without levels where rows do
// not differ in it.
func (t *Trial) variedByName(name string, rows []Observation) Varied {
	labels := make([]string, len(rows))
	stated, several := 0, false
	named := map[brineName]string{} // brines that are alike are put in words once
	for i := range rows {
		r := &rows[i]
		if i > 0 && t.sameTreatment(name, r, &rows[i-1]) {
			labels[i] = labels[i-1]
			continue
		}
		var l string
		var ok bool
		if name == BrineFactor {
			b := t.Cooks[r.Cook].BrineOf(r.Piece)
			like := b.V.name()
			if l, ok = named[like]; !ok {
				l = b.V.Label()
				named[like] = l
			}
			ok = b.Known
		} else {
			l, ok = t.Cooks[r.Cook].levelOf(name, r.Piece)
		}
		if !ok {
			l = NotStated
		} else {
			stated++
		}
		labels[i] = l
		several = several || l != labels[0]
	}
	if stated == 0 || !several {
		return Varied{}
	}
	v := Varied{Name: name, Code: make([]int, len(rows))}
	if name == TimeFactor || name == HoldFactor {
		t.joinTimes(name, rows, labels)
	}
	if name == FinishFactor {
		t.joinSears(rows, labels)
	}
	if name == BrineFactor {
		t.joinSoaks(rows, labels)
		t.shortenBrines(rows, labels)
	}
	order := map[string]int{}
	for _, f := range t.Factors {
		if f.Name == name {
			for _, l := range f.Levels {
				addLevel(&v, order, l, labels)
			}
		}
	}
	for _, l := range inOrder(labels) {
		addLevel(&v, order, l, labels)
	}
	if name == TimeFactor || name == HoldFactor {
		t.sortByMinutes(&v, name, rows, labels, order)
	}
	for i, l := range labels {
		v.Code[i] = order[l]
	}
	return v
}

// NotStated is the level of a factor where the file does not say. It is no
// treatment: what was not written down is not known to be plain.
const NotStated = "not stated"

// shortenBrines drops the details of a brine where its kind alone names it.
func (t *Trial) shortenBrines(rows []Observation, labels []string) {
	long := map[string]string{} // kind → the one detailed label it has, or "" for several
	kindOf := func(r *Observation) string { return t.Cooks[r.Cook].BrineOf(r.Piece).V.short() }
	for i := range rows {
		if labels[i] == NotStated {
			continue
		}
		kind := kindOf(&rows[i])
		if have, ok := long[kind]; ok && have != labels[i] {
			long[kind] = ""
		} else if !ok {
			long[kind] = labels[i]
		}
	}
	for i := range labels {
		if labels[i] == NotStated {
			continue
		}
		kind := kindOf(&rows[i])
		if long[kind] != "" {
			labels[i] = kind
		}
	}
}

// addLevel appends l when it is new and occurs in labels.
func addLevel(v *Varied, order map[string]int, l string, labels []string) {
	if _, ok := order[l]; ok {
		return
	}
	for _, have := range labels {
		if have == l {
			order[l] = len(v.Levels)
			v.Levels = append(v.Levels, l)
			return
		}
	}
}

// minutesOf is the time in the bath, or the hold.
func (c *Cook) minutesOf(name string) (float64, bool) {
	if name == HoldFactor {
		return c.Hold.V.Minutes(), c.Hold.Known
	}
	d, ok := c.BathTime()
	return d.Minutes(), ok
}

func (t *Trial) sortByMinutes(v *Varied, name string, rows []Observation, labels []string, order map[string]int) {
	sum, n := map[string]float64{}, map[string]float64{}
	for i, r := range rows {
		if labels[i] == NotStated {
			return // a gap has no place on the time axis: leave a category
		}
		if m, ok := t.Cooks[r.Cook].minutesOf(name); ok {
			sum[labels[i]] += m
			n[labels[i]]++
		}
	}
	minutes := map[string]float64{} // the mean of a level
	for l := range n {
		minutes[l] = sum[l] / n[l]
	}
	sort.SliceStable(v.Levels, func(i, j int) bool { return minutes[v.Levels[i]] < minutes[v.Levels[j]] })
	for i, l := range v.Levels {
		order[l] = i
		v.Values = append(v.Values, minutes[l])
	}
}

// LevelWords names a level so that it can stand alone: "60 min", "dry-brined",
// but "recipe A", because the levels of a declared factor need its name.
func (v Varied) LevelWords(level int) string {
	switch v.Name {
	case SetPointFactor, TimeFactor, BrineFactor, FinishFactor:
		return v.Levels[level]
	case HoldFactor:
		return "held " + v.Levels[level]
	}
	return strings.ReplaceAll(v.Name, "_", " ") + " " + v.Levels[level]
}

// Method is one cell of everything that was varied on purpose except the set
// point.
type Method struct {
	Label  string // the levels of the varied factors, joined by ", "; "" when nothing else varied
	Levels []int  // code of each factor given to Methods
}

// Methods gives the method of each row over the varied factors other than the
// set point, and the distinct methods in the order of their levels.
func Methods(factors []Varied, rows int) (methods []Method, code []int) {
	var others []Varied
	for _, f := range factors {
		if f.Name != SetPointFactor {
			others = append(others, f)
		}
	}
	code = make([]int, rows)
	type entry struct {
		key    string
		levels []int
	}
	byKey := map[string]entry{}
	keys := make([]string, rows)
	for i := range code {
		levels := make([]int, len(others))
		key := ""
		for j, f := range others {
			levels[j] = f.Code[i]
			key += strconv.Itoa(100000+f.Code[i]) + "/" // fixed width, so that text order is level order
		}
		keys[i] = key
		byKey[key] = entry{key, levels}
	}
	sorted := make([]string, 0, len(byKey))
	for k := range byKey {
		sorted = append(sorted, k)
	}
	sort.Strings(sorted)
	at := map[string]int{}
	for i, k := range sorted {
		at[k] = i
		m := Method{Levels: byKey[k].levels}
		for j, f := range others {
			if c := m.Levels[j]; c >= 0 {
				if m.Label != "" {
					m.Label += ", "
				}
				m.Label += f.LevelWords(c)
			}
		}
		methods = append(methods, m)
	}
	for i, k := range keys {
		code[i] = at[k]
	}
	return methods, code
}
