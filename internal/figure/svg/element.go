package svg

import (
	"strings"

	"tamis/internal/figure"
)

// element is one mark of a picture. What it looks like is apart from where it
// is, so that neighbours that look alike can share it.
type element struct {
	tag   string
	where string // its geometry, as attributes
	data  string // of a path: its geometry, from a first absolute move on
	look  string // colours, widths, type: attributes that a group hands down
	words string // of a text, escaped
	apart bool   // of a path: its rim covers what is drawn before it
}

func (c *canvas) add(e element) { c.els = append(c.els, e) }

// drawn is an element with the unit systems in which it is shown.
type drawn struct {
	element
	class string // "" in both, "c" in metric units only, "f" in US units only
}

// both joins the drawings of one figure in the two unit systems. Both have the
// same geometry, so most of their elements are the same; what differs, the
// words and the ticks of a temperature, stands in both forms in its own class.
// It is the longest common subsequence, by the textbook table.
func both(m, us []element) (out []drawn) {
	n, k := len(m), len(us)
	// What is common at the beginning and at the end needs no table.
	first := 0
	for first < n && first < k && m[first] == us[first] {
		first++
	}
	last := 0
	for last < n-first && last < k-first && m[n-1-last] == us[k-1-last] {
		last++
	}
	a, b := m[first:n-last], us[first:k-last]
	// length[i][j] is the longest common subsequence of a[i:] and b[j:].
	length := make([][]int, len(a)+1)
	for i := range length {
		length[i] = make([]int, len(b)+1)
	}
	for i := len(a) - 1; i >= 0; i-- {
		for j := len(b) - 1; j >= 0; j-- {
			if a[i] == b[j] {
				length[i][j] = length[i+1][j+1] + 1
			} else {
				length[i][j] = max(length[i+1][j], length[i][j+1])
			}
		}
	}
	for _, e := range m[:first] {
		out = append(out, drawn{element: e})
	}
	i, j := 0, 0
	for i < len(a) || j < len(b) {
		switch {
		case i < len(a) && j < len(b) && a[i] == b[j]:
			out = append(out, drawn{element: a[i]})
			i, j = i+1, j+1
		case i < len(a) && (j == len(b) || length[i+1][j] >= length[i][j+1]):
			out = append(out, drawn{a[i], "c"})
			i++
		default:
			out = append(out, drawn{b[j], "f"})
			j++
		}
	}
	for _, e := range m[n-last:] {
		out = append(out, drawn{element: e})
	}
	return out
}

// same is the elements shown in every unit system.
func same(els []element) []drawn {
	out := make([]drawn, len(els))
	for i, e := range els {
		out[i].element = e
	}
	return out
}

// write prints the elements in order. A run of elements of one class, or of
// one look, is a group that says it once; paths of one look are one path. With a
// sheet, a look is a class.
func write(b *strings.Builder, els []drawn, sheet *Sheet) {
	for i := 0; i < len(els); {
		end := i + 1
		for end < len(els) && els[end].class == els[i].class {
			end++
		}
		if class := els[i].class; class != "" {
			b.WriteString(`<g class="` + class + `">`)
			looks(b, els[i:end], sheet)
			b.WriteString("</g>\n")
		} else {
			looks(b, els[i:end], sheet)
		}
		i = end
	}
}

func looks(b *strings.Builder, els []drawn, sheet *Sheet) {
	els = joined(els)
	for i := 0; i < len(els); {
		end := i + 1
		for end < len(els) && els[end].look == els[i].look {
			end++
		}
		look := els[i].look
		if sheet != nil {
			look = `class="` + sheet.class(look) + `"`
		}
		shared := end-i > 1
		if shared {
			b.WriteString("<g " + look + ">")
		}
		for ; i < end; i++ {
			e := els[i]
			b.WriteString("<" + e.tag)
			if !shared {
				b.WriteString(" " + look)
			}
			if e.data != "" {
				b.WriteString(` d="` + e.data + `"`)
			} else {
				b.WriteString(" " + e.where)
			}
			if e.tag == "text" {
				b.WriteString(">" + e.words + "</text>")
			} else {
				b.WriteString("/>")
			}
		}
		if shared {
			b.WriteString("</g>")
		}
		b.WriteByte('\n')
	}
}

// joined makes neighbouring paths of one look one path. A path that must stay
// apart stays so.
func joined(els []drawn) (out []drawn) {
	for _, e := range els {
		if n := len(out) - 1; n >= 0 && e.data != "" && out[n].data != "" && e.look == out[n].look && !e.apart && !out[n].apart {
			out[n].data += e.data
			continue
		}
		out = append(out, e)
	}
	return out
}

// drawBoth is the figure at a size in both unit systems at once.
func drawBoth(f figure.Figure, s Size) (frame, []drawn, error) {
	m, err := draw(f, s, figure.Metric, true)
	if err != nil {
		return frame{}, nil, err
	}
	if !f.Dual() {
		return m.frame, same(m.canvas.els), nil
	}
	us, err := draw(f, s, figure.US, true)
	if err != nil {
		return frame{}, nil, err
	}
	return m.frame, both(m.canvas.els, us.canvas.els), nil
}
