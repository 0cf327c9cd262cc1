package report

import (
	"html/template"
	"slices"
	"strconv"
	"strings"

	"tamis/internal/answer"
	"tamis/internal/figure"
	"tamis/internal/figure/svg"
)

// block is one thing in a section; one of its fields is set.
type block struct {
	Head     *partHead
	P        words
	Quote    string
	Caution  *cautionBox
	List     []words
	Defs     []def
	Equation *equation
	Table    *numbered
	Figures  []figureView
	Code     *codeBox
	Files    []save
	Fold     *fold
	See      *see
}

// see is a sentence that leads elsewhere on the page.
type see struct{ ID, Words string }

// partHead is a heading inside a section. Level is 3 or 4.
type partHead struct {
	ID, Number string
	Level      int
	Title      words
}

type cautionBox struct {
	Label string
	Items []words
}

// def is a term with what is known of it.
type def struct {
	Term  string
	Words words
}

type equation struct{ ID, Number, Text string }

type codeBox struct{ Label, Text string }

// fold is what is closed on a screen until it is asked for. On paper it is open,
// unless it is long.
type fold struct {
	Long    bool
	Summary string
	Blocks  []block
}

// numbered is a table with a number of its own.
type numbered struct {
	ID, Number string
	Caption    words
	Head       []cellView
	Rows       [][]cellView
	Notes      []words
	Tall       bool // scrolls in a window of its own

	absent map[string]bool // reasons of the dashes
}

// Class says which columns hold words: "w3 w5". The style sheet sets them to the
// left; all others hold numbers, the first the names of the rows.
func (t *numbered) Class() string {
	var cs []string
	for j, h := range t.Head {
		if j > 0 && !h.N {
			cs = append(cs, "w"+strconv.Itoa(j+1))
		}
	}
	return strings.Join(cs, " ")
}

// mostColumns is how many columns the rules for columns of words reach.
const mostColumns = 24

// wordRules are the rules that Class names.
func wordRules() string {
	var which []string
	for j := 2; j <= mostColumns; j++ {
		k := strconv.Itoa(j)
		which = append(which, ".w"+k+" tr>:nth-child("+k+")")
	}
	return strings.Join(which, ",") + "{text-align:left!important;white-space:normal!important;min-width:4rem}\n"
}

// cellView is a cell; N sets it as a number, Head as the name of its row. With a
// Span it is the only one of its row and names the rows below it.
type cellView struct {
	Words   words
	N, Head bool
	Span    int
}

// science collects a report section by section and counts what has numbers.
type science struct {
	r                          *answer.Result
	rec                        Record
	o                          Options
	live                       bool
	sections                   []sectionView
	tables, figures, equations int
	strip                      string       // number of the figure with the chance
	looks                      svg.Sheet    // of the pictures
	feet                       [][][]string // the feet of figures: lines in °C and, where it differs, °F
	explained                  map[string]bool
	err                        error
}

// sectionView is a numbered section with its parts for the table of contents.
type sectionView struct {
	ID, Number string
	Title      words
	Parts      []partHead
	Blocks     []block
}

// section opens a section; id is stable across trials, so that a link lasts.
func (s *science) section(id, title string) {
	s.sections = append(s.sections, sectionView{ID: id, Number: strconv.Itoa(len(s.sections) + 1), Title: phrase(title)})
}

// now is the open section.
func (s *science) now() *sectionView { return &s.sections[len(s.sections)-1] }

func (s *science) add(bs ...block) { s.now().Blocks = append(s.now().Blocks, bs...) }

// drop takes the open section back if nothing stands in it.
func (s *science) drop() {
	if len(s.now().Blocks) == 0 {
		s.sections = s.sections[:len(s.sections)-1]
	}
}

// part opens a part of a section, which the contents list.
func (s *science) part(title string) {
	sec := s.now()
	n := strconv.Itoa(len(sec.Parts) + 1)
	h := partHead{ID: sec.ID + "-" + n, Number: sec.Number + "." + n, Level: 3, Title: phrase(title)}
	sec.Parts = append(sec.Parts, h)
	s.add(block{Head: &h})
}

// subpart is a heading inside a part.
func (s *science) subpart(title string, n *int) {
	*n++
	sec := s.now()
	last := sec.Parts[len(sec.Parts)-1]
	k := strconv.Itoa(*n)
	s.add(block{Head: &partHead{ID: last.ID + "-" + k, Number: last.Number + "." + k, Level: 4, Title: phrase(title)}})
}

func (s *science) p(parts ...any) { s.add(para(parts...)) }

func para(parts ...any) block { return block{P: phrase(parts...)} }

// phrase makes words of strings, quantities and sentences.
func phrase(parts ...any) words { return of(answer.Say(parts...)) }

// together adds sentences as one paragraph.
func (s *science) together(list []answer.Sentence) {
	if w := of(sentences(list)); len(w) > 0 {
		s.add(block{P: w})
	}
}

// sentences adds each as a paragraph.
func (s *science) sentences(list []answer.Sentence) {
	for _, w := range all(list) {
		s.add(block{P: w})
	}
}

// table starts a table; columns that begin with "#" hold numbers.
func (s *science) table(caption words, columns ...string) *numbered {
	t := &numbered{Caption: caption, absent: map[string]bool{}}
	for _, c := range columns {
		name, n := strings.CutPrefix(c, "#")
		t.Head = append(t.Head, cellView{Words: phrase(name), N: n})
	}
	return t
}

// shown numbers a table that has rows. Columns without any entry are left out.
func (s *science) shown(t *numbered) (block, bool) {
	if t == nil || len(t.Rows) == 0 {
		return block{}, false
	}
	s.tables++
	t.Number = strconv.Itoa(s.tables)
	t.ID = "table-" + t.Number
	t.dropEmpty()
	for _, why := range sortedKeys(t.absent) {
		t.Notes = append(t.Notes, phrase("–: "+strings.TrimRight(why, ".")+"."))
	}
	return block{Table: t}, true
}

func (s *science) addTable(t *numbered) {
	if b, ok := s.shown(t); ok {
		s.add(b)
	}
}

// folded adds a table that is closed at first.
func (s *science) folded(summary string, t *numbered) {
	if b, ok := s.shown(t); ok {
		t.Tall = len(t.Rows) > 20
		s.add(block{Fold: &fold{Long: len(t.Rows) > printedRows, Summary: summary + " (" + strconv.Itoa(len(t.Rows)) + " rows)", Blocks: []block{b}}})
	}
}

// printedRows is the most rows of a folded table that are printed; the rest is in
// the files under Data and in the JSON.
const printedRows = 100

// openUpTo is how many rows stand open.
const openUpTo = 24

// addOrFold shows a table openly unless it is long.
func (s *science) addOrFold(summary string, t *numbered) {
	if t != nil && len(t.Rows) > openUpTo {
		s.folded(summary, t)
		return
	}
	s.addTable(t)
}

func (t *numbered) dropEmpty() {
	keep := make([]bool, len(t.Head))
	for _, r := range t.Rows {
		for i, c := range r {
			keep[i] = keep[i] || len(c.Words) > 0 && c.Span == 0
		}
	}
	pick := func(in []cellView) (out []cellView) {
		for i, c := range in {
			if keep[i] {
				out = append(out, c)
			}
		}
		return out
	}
	t.Head = pick(t.Head)
	for i, r := range t.Rows {
		if len(r) == 1 && r[0].Span > 0 {
			r[0].Span = len(t.Head)
			continue
		}
		t.Rows[i] = pick(r)
	}
}

// group is a row that names those below it.
func (t *numbered) group(parts ...any) {
	t.Rows = append(t.Rows, []cellView{{Words: phrase(parts...), Span: len(t.Head)}})
}

// row adds a row. Entries are words, text, or cells made by the helpers below;
// the first names the row.
func (t *numbered) row(cells ...any) {
	var out []cellView
	for i, c := range cells {
		var v cellView
		switch c := c.(type) {
		case cellView:
			v = c
		case words:
			v.Words = c
		case answer.Sentence:
			v.Words = of(c)
		case answer.Quantity:
			v.Words = phrase(c)
		case string:
			if c = clean(c); c != "" {
				v.Words = words{{Text: c}}
			}
		case int:
			v.Words = words{{Text: strconv.Itoa(c)}}
		}
		if i < len(t.Head) {
			v.N = t.Head[i].N
		}
		v.Head = i == 0
		for k := range v.Words {
			v.Words[k].Number = false // a column of numbers does not break anyway
		}
		out = append(out, v)
	}
	t.Rows = append(t.Rows, out)
}

func (t *numbered) note(parts ...any) { t.Notes = append(t.Notes, phrase(parts...)) }

// explain puts what tells how to read a table under the first one of its kind.
func (s *science) explain(t *numbered, text string) {
	if s.explained == nil {
		s.explained = map[string]bool{}
	}
	if !s.explained[text] {
		s.explained[text] = true
		t.note(text)
	}
}

// figure draws a figure at its place and numbers it.
func (s *science) figure(f figure.Figure, p placing) (figureView, bool) {
	if s.err != nil || f.Validate() != nil {
		return figureView{}, false
	}
	s.figures++
	n := strconv.Itoa(s.figures)
	f.ID = "figure-" + n
	p.Sheet = &s.looks
	p.Live, p.Level = s.live && !p.Bare, 4
	v, err := viewOf(f, p)
	if err != nil {
		s.err = err
		return v, false
	}
	v.Number = n
	v.Foot = s.foot(f)
	return v, true
}

// foot is the place of the footer of a figure among the feet.
func (s *science) foot(f figure.Figure) int {
	lines := [][]string{}
	for _, t := range f.Footer {
		line := []string{clean(t.Metric)}
		if t.Dual() {
			line = append(line, clean(t.US))
		}
		lines = append(lines, line)
	}
	for i, had := range s.feet {
		if slices.EqualFunc(had, lines, slices.Equal[[]string]) {
			return i
		}
	}
	s.feet = append(s.feet, lines)
	return len(s.feet) - 1
}

// How a figure stands: across the page; or in the shape for a phone with its like beside it, with the numbers in
// a table of its own or, bare, in one that the page has close by.
var (
	across   = placing{}
	beside   = placing{Small: true}
	untabled = placing{Small: true, Bare: true}
)

// draw adds figures side by side, those that there are.
func (s *science) draw(p placing, fs ...drawn) {
	var vs []figureView
	for _, f := range fs {
		if !f.ok {
			continue
		}
		if v, ok := s.figure(f.f, p); ok {
			vs = append(vs, v)
		}
	}
	if len(vs) > 0 {
		s.add(block{Figures: vs})
	}
}

// drawn is what a builder of figures returns.
type drawn struct {
	f  figure.Figure
	ok bool
}

func built(f figure.Figure, ok bool) drawn { return drawn{f, ok} }

// dataFile is a link that holds a file of the given type.
func dataFile(name, mime, text, label string) save {
	return save{Name: name, Words: label, Href: template.HTMLAttr(`href="data:` + mime + `;charset=utf-8,` + percent(text) + `"`)}
}

// percent escapes all but what a data URL and an attribute may hold as it is.
func percent(s string) string {
	const hex = "0123456789ABCDEF"
	var b strings.Builder
	for i := 0; i < len(s); i++ {
		c := s[i]
		switch {
		case c >= 'a' && c <= 'z', c >= 'A' && c <= 'Z', c >= '0' && c <= '9', strings.IndexByte("-._~,;:!*()/@$+=", c) >= 0:
			b.WriteByte(c)
		default:
			b.WriteByte('%')
			b.WriteByte(hex[c>>4])
			b.WriteByte(hex[c&15])
		}
	}
	return b.String()
}
