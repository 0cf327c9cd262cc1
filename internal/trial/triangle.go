package trial

import (
	"slices"
	"strconv"
	"strings"

	"tamis/internal/diag"
)

// TriangleSet is one set of three portions, two cooked alike and one otherwise, and
// which of them its assessor took for the odd one.
type TriangleSet struct {
	Assessor string
	Session  Opt[string]
	Set      int       // number among the sets of the assessor, from 1
	Codes    [3]string // in the order in which they are tasted
	Odd      Opt[string]
	Notes    Opt[string]
	At       diag.Pos
}

// CookOfCode gives the cook behind each code of the key.
func (t *Trial) CookOfCode() map[string]string {
	cook := map[string]string{}
	for i := range t.Cooks {
		c := &t.Cooks[i]
		cook[c.ID] = c.ID
		for j := range c.Pieces {
			cook[c.Pieces[j].ID] = c.ID
		}
	}
	out := make(map[string]string, len(t.Panel.V.Key))
	for _, k := range t.Panel.V.Key {
		out[k.Code] = cook[k.Piece]
	}
	return out
}

// Portions says how the portion behind each code of a key was cooked: which
// codes are alike in everything that was varied on purpose.
type Portions struct {
	by map[string]portion
}

type portion struct {
	cook   int
	method string // the levels of all varied factors, coldest and first level first as text
	words  []string
}

// Portions reads the key of the panel. A code whose piece is not in the trial,
// or whose set point is not known, is left out.
func (t *Trial) Portions() Portions {
	type place struct{ cook, piece int }
	at := map[string]place{}
	for i := range t.Cooks {
		if _, dup := at[t.Cooks[i].ID]; !dup {
			at[t.Cooks[i].ID] = place{i, -1}
		}
		for j := range t.Cooks[i].Pieces {
			at[t.Cooks[i].Pieces[j].ID] = place{i, j}
		}
	}
	var codes []string
	var rows []Observation
	for _, k := range t.Panel.V.Key {
		if x, ok := at[k.Piece]; ok && t.Cooks[x.cook].SetPoint.Known {
			codes = append(codes, k.Code)
			rows = append(rows, Observation{Cook: x.cook, Piece: x.piece})
		}
	}
	factors := t.VariedFactors(rows)
	out := Portions{by: make(map[string]portion, len(codes))}
	for i, c := range codes {
		p := portion{cook: rows[i].Cook}
		for _, f := range factors {
			p.method += strconv.Itoa(100000+f.Code[i]) + "/" // fixed width, so that text order is level order
			word := ""
			if f.Name != SetPointFactor && f.Code[i] >= 0 {
				word = f.LevelWords(f.Code[i])
			}
			p.words = append(p.words, word)
		}
		out.by[c] = p
	}
	return out
}

// Odd is the place, from 0, of the portion that is cooked unlike the other two;
// false where the set is not two alike and one other, or a code is not known.
func (p Portions) Odd(x TriangleSet) (int, bool) {
	var m [3]string
	for i, c := range x.Codes {
		got, ok := p.by[c]
		if !ok {
			return 0, false
		}
		m[i] = got.method
	}
	switch {
	case m[0] == m[1] && m[1] != m[2]:
		return 2, true
	case m[0] == m[2] && m[1] != m[2]:
		return 1, true
	case m[1] == m[2] && m[0] != m[2]:
		return 0, true
	}
	return 0, false
}

// Knows reports whether the key says how the portion of a code was cooked.
func (p Portions) Knows(code string) bool {
	_, ok := p.by[code]
	return ok
}

// TriangleCount is what the triangles between the same two methods came to.
type TriangleCount struct {
	// Between names the two: by the ids of their cooks where the set point
	// differs, else by the first other thing that differs. The colder or first
	// level comes first.
	Between   []string
	Answers   int
	Correct   int
	Blank     int // sets without an answer
	Assessors int // that answered
	Most      int // answers of one assessor, at most
}

// CountTriangles counts the triangles of the panel, pair by pair of methods. A
// set that is no triangle is not counted.
func (t *Trial) CountTriangles() []TriangleCount {
	if len(t.Panel.V.Triangles) == 0 {
		return nil
	}
	type pair struct {
		TriangleCount
		key   string
		cooks [2][]int
		words [2][]string
		by    map[string]int
	}
	portions := t.Portions()
	var pairs []*pair
	for _, x := range t.Panel.V.Triangles {
		odd, ok := portions.Odd(x)
		if !ok {
			continue
		}
		a, b := portions.by[x.Codes[odd]], portions.by[x.Codes[(odd+1)%3]]
		if b.method < a.method {
			a, b = b, a
		}
		key := a.method + "|" + b.method
		i := slices.IndexFunc(pairs, func(p *pair) bool { return p.key == key })
		if i < 0 {
			i = len(pairs)
			pairs = append(pairs, &pair{key: key, words: [2][]string{a.words, b.words}, by: map[string]int{}})
		}
		p := pairs[i]
		for _, c := range x.Codes {
			got := portions.by[c]
			side := 0
			if got.method == b.method {
				side = 1
			}
			if !slices.Contains(p.cooks[side], got.cook) {
				p.cooks[side] = append(p.cooks[side], got.cook)
			}
		}
		if !x.Odd.Known {
			p.Blank++
			continue
		}
		p.Answers++
		p.by[x.Assessor]++
		p.Most = max(p.Most, p.by[x.Assessor])
		if x.Odd.V == x.Codes[odd] {
			p.Correct++
		}
	}
	slices.SortFunc(pairs, func(a, b *pair) int { return strings.Compare(a.key, b.key) })
	var out []TriangleCount
	for _, p := range pairs {
		p.Assessors = len(p.by)
		p.Between = t.betweenWords(p.cooks, p.words)
		out = append(out, p.TriangleCount)
	}
	return out
}

// betweenWords names two methods.
func (t *Trial) betweenWords(cooks [2][]int, words [2][]string) []string {
	out := make([]string, 2)
	shared := false
	for side := range cooks {
		slices.Sort(cooks[side])
		var ids []string
		for _, c := range cooks[side] {
			ids = append(ids, t.Cooks[c].ID)
			shared = shared || slices.Contains(cooks[1-side], c)
		}
		out[side] = strings.Join(ids, ", ")
	}
	a, b := t.Cooks[cooks[0][0]].SetPoint.V.Celsius(), t.Cooks[cooks[1][0]].SetPoint.V.Celsius()
	if !shared && (a-b > ArmTolerance || b-a > ArmTolerance) {
		return out
	}
	for i := range words[0] {
		if words[0][i] != words[1][i] {
			return []string{words[0][i], words[1][i]}
		}
	}
	return out
}
