package trialfile

import (
	"fmt"
	"strings"

	"tamis/internal/diag"
	"tamis/internal/trial"
)

// sheetLayout is how a score sheet is laid out: what its columns are.
type sheetLayout struct {
	r         *reader
	out       *Sheet
	t         *table
	where     *samples
	book      *codebook
	codeNames *names
	people    *names
	sessions  *names

	cols    []column
	roles   []role
	has     map[string]bool // fixed columns
	measure int             // the column that names the measure, -1 without
	long    bool            // there is a column of scores of whatever measure
	merged  map[string]int  // of a long sheet: index of the score of a sample
}

// role is what one column holds.
type role struct {
	field   string // a column of the table of scores: assessor, code …
	score   bool   // a value of the measure that the line or the sheet names
	of      string // code, piece, cook or assessor, where the header names one
	id      string // that one
	measure string // "" where the line or the sheet names it
	name    bool   // the column measure itself
}

// value reports whether a column holds scores.
func (o role) value() bool { return o.score || o.measure != "" || o.of != "" }

// loose compares names of columns as a person reads them.
func loose(s string) string {
	return strings.ToLower(strings.NewReplacer(" ", "_", "-", "_").Replace(strings.TrimSpace(s)))
}

// measureOf finds the measure that a header names.
func (l *sheetLayout) measureOf(s string) (string, bool) {
	if _, ok := l.r.measure(s); ok {
		return s, true
	}
	found := ""
	for _, m := range l.r.t.Measures {
		if loose(m.Name) == loose(s) {
			if found != "" {
				return "", false
			}
			found = m.Name
		}
	}
	return found, found != ""
}

// named finds the sample or the assessor that a header names. What has a column
// of its own is not looked for.
func (l *sheetLayout) named(s string) (of, id string, ok bool) {
	if !l.has["code"] && !l.has["piece"] && !l.has["cook"] {
		switch {
		case l.codeNames.has(s):
			return "code", s, true
		case l.where.of[s].isPiece:
			return "piece", s, true
		case l.where.of[s].isCook:
			return "cook", s, true
		}
	}
	if !l.has["assessor"] && l.people.has(s) {
		return "assessor", s, true
	}
	return "", "", false
}

// header finds out what the columns are, and reports whether lines can be read.
func (l *sheetLayout) header(t *table) bool {
	r := l.r
	l.cols = r.columns(t)
	l.roles, l.has, l.measure = make([]role, len(l.cols)), map[string]bool{}, -1
	l.merged = map[string]int{}
	for i, c := range l.cols {
		key := loose(c.name)
		_, isMeasure := l.measureOf(c.name)
		switch {
		case c.name == "" || isMeasure:
		case scoreTable.find(key) >= 0:
			l.roles[i].field, l.has[key] = key, true
		case key == "measure":
			l.roles[i].name, l.measure = true, i
		case key == "score" || key == "value":
			l.roles[i].score, l.long = true, true
		}
	}
	var unknown []int
	for i, c := range l.cols {
		o := &l.roles[i]
		if c.name == "" || o.field != "" || o.name || o.score {
			continue
		}
		if m, ok := l.measureOf(c.name); ok {
			o.measure = m
		} else if o.of, o.id, ok = l.named(c.name); !ok && !l.split(c.name, o) {
			unknown = append(unknown, i)
		}
	}
	before := r.faults
	for _, i := range unknown {
		l.unknown(l.cols[i])
	}
	l.columnTwice()
	return l.complete(t) && r.faults == before
}

// columnTwice reports columns of the same scores whose names are written in two
// ways, such as 836.firmness and firmness 836.
func (l *sheetLayout) columnTwice() {
	first := map[role]int{}
	for i, o := range l.roles {
		if o.of == "" && o.measure == "" || l.cols[i].name == "" {
			continue
		}
		if j, dup := first[o]; dup {
			l.r.say(diag.Error, l.cols[i].at, "duplicate-column", fmt.Sprintf("the columns %s and %s hold the same scores", quote(l.cols[j].name), quote(l.cols[i].name)), "", "rename or delete one of them", note(l.cols[j].at.pos, "first here"))
			continue
		}
		first[o] = i
	}
}

// split finds a header such as 836.firmness, firmness 836 or anna/firmness.
func (l *sheetLayout) split(name string, o *role) bool {
	for i, c := range name {
		if !strings.ContainsRune(". :/_", c) {
			continue
		}
		left, right := strings.TrimSpace(name[:i]), strings.TrimSpace(name[i+1:])
		for _, pair := range [][2]string{{left, right}, {right, left}} {
			m, isMeasure := l.measureOf(pair[1])
			of, id, isNamed := l.named(pair[0])
			if isMeasure && isNamed {
				o.measure, o.of, o.id = m, of, id
				return true
			}
		}
	}
	return false
}

// unknown reports a column that nobody knows.
func (l *sheetLayout) unknown(c column) {
	known := append(append(scoreTable.keys(), "measure", "score"), l.r.measureNames()...)
	if n, near := diag.Nearest(c.name, known); near {
		l.r.fail(c.at, "unknown-column", fmt.Sprintf("unknown column %s", quote(c.name)), "did you mean "+n+"?")
		return
	}
	for _, o := range l.roles {
		if o.of == "" {
			continue
		}
		have := l.where.names() // the other columns name samples or assessors, so this is a slip
		switch o.of {
		case "code":
			have = l.codeNames
		case "assessor":
			have = l.people
		}
		l.r.fail(c.at, "unknown-column", fmt.Sprintf("the column %s names no %s of the trial", quote(c.name), o.of), l.r.nearest(c.name, have))
		return
	}
	if len(c.name) == 3 && strings.Trim(c.name, "0123456789") == "" && len(l.book.of) > 0 {
		l.r.fail(c.at, "unknown-column", fmt.Sprintf("the code %s is not in the key", quote(c.name)), l.r.nearest(c.name, l.codeNames))
		return
	}
	l.r.warn(c.at, "unused-column", fmt.Sprintf("the column %s is not used", quote(c.name)), "name it after a measure of the trial if it holds scores: "+strings.Join(l.r.measureNames(), ", "))
}

// complete reports what the header lacks without which no line can be read, and
// fills in what is clear of itself.
func (l *sheetLayout) complete(t *table) bool {
	r := l.r
	at := t.at(&t.head[0])
	before := r.faults
	wide := map[string]bool{}
	values, bare, columns := false, -1, false
	for i, o := range l.roles {
		if o.of != "" {
			wide[o.of] = true
		}
		if o.value() {
			values = true
			if o.measure == "" {
				bare = i
			} else {
				columns = true
			}
		}
	}
	if !l.has["assessor"] && !wide["assessor"] {
		r.fail(at, "missing-column", "the sheet does not say who scored", "add a column assessor")
	}
	samples := false
	for _, k := range []string{"code", "piece", "cook"} {
		if l.has[k] || wide[k] {
			samples = true
			if l.out.By == "" {
				l.out.By = k
			}
		}
	}
	if !samples {
		r.fail(at, "missing-column", "the sheet does not say what was tasted", "add a column code, piece or cook")
	}
	if l.out.By == "code" && len(l.book.of) == 0 {
		r.fail(at, "no-key", "the sheet names codes, and the trial has no key to them", "name the key under panel: key: FILE.csv, with the columns code and piece")
	}
	switch {
	case !values && l.measure >= 0:
		r.fail(l.cols[l.measure].at, "missing-column", "there is a column measure and no column score beside it", "add a column score")
	case !values:
		r.fail(at, "missing-column", "the sheet has no column of scores", "name a column after a measure: "+strings.Join(r.measureNames(), ", "))
	case columns && l.measure >= 0:
		r.fail(l.cols[l.measure].at, "contradiction", "the lines name a measure, and so do other columns", "keep a column measure with a column score, or a column for each measure")
	case bare >= 0 && l.measure < 0:
		l.onlyMeasure(bare)
	}
	for of := range wide {
		l.out.Shape = map[string]string{"assessor": "a line a sample, a column an assessor"}[of]
		if l.out.Shape == "" {
			l.out.Shape = "a line an assessor, a column a sample"
		}
	}
	switch {
	case l.out.Shape != "":
	case l.measure >= 0 || l.long:
		l.out.Shape = "a line a score"
	default:
		l.out.Shape = "a line a sample"
	}
	has := map[string]bool{}
	for _, o := range l.roles {
		has[o.measure] = true
	}
	for _, m := range r.t.Measures {
		if has[m.Name] {
			l.out.Measures = append(l.out.Measures, m.Name)
		}
	}
	return r.faults == before
}

// onlyMeasure gives columns that name no measure the only one there is.
func (l *sheetLayout) onlyMeasure(at int) {
	var tasted []string
	for _, m := range l.r.t.Measures {
		if !m.FromWeights() && !m.By.Known && m.Kind != trial.Amount {
			tasted = append(tasted, m.Name)
		}
	}
	if len(tasted) != 1 {
		l.r.fail(l.cols[at].at, "which-measure", fmt.Sprintf("which measure does the column %s hold?", quote(l.cols[at].name)),
			"add a column measure, or name the columns like "+l.cols[at].name+".firmness; the measures are "+strings.Join(l.r.measureNames(), ", "))
		return
	}
	for i := range l.roles {
		if o := &l.roles[i]; o.value() && o.measure == "" {
			o.measure = tasted[0]
		}
	}
}
