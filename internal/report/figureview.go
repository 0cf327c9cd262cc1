package report

import (
	"fmt"
	"html/template"
	"strings"

	"tamis/internal/figure"
	"tamis/internal/figure/live"
	"tamis/internal/figure/svg"
)

// figureView is a figure as the template "figure" prints it: the pictures, the
// words, the table of its numbers, and what the live chart is made of.
type figureView struct {
	ID       string
	Class    string
	Number   string // on a page that numbers its figures
	Level    int    // of its heading
	Title    words
	Desc     words
	Caption  words
	Drawings []drawing
	Table    unitTable
	Foot     int  // of a page whose script saves figures: which foot
	Bare     bool // its numbers stand in a table beside it
	Saves    []save
	Live     template.JS // JSON for the live chart; empty: none
}

// placing says how a figure stands on its page.
type placing struct {
	// Small draws one shape, for a phone and for two figures side by side;
	// otherwise there is a wide one too, and the style sheet shows what fits.
	Small bool
	// Save adds links that hold the picture as a file with its caution, n,
	// source and date. Each weighs as much as the picture.
	Save bool
	// SaveIn, when given, is the one unit system of those links.
	SaveIn *figure.Units
	// Live adds the data of the live chart. Only for a page that carries the
	// runtime (see scriptsOf).
	Live bool
	// Level of the heading, 2 to 4; 0 is 2.
	Level int
	// Class is set on the <figure>.
	Class string
	// Bare leaves the table of its numbers to the page, which has it close by.
	Bare bool
	// Sheet takes the looks of the pictures of a page that has many.
	Sheet *svg.Sheet
}

// drawing is one picture; Class shows it at one width.
type drawing struct {
	Class string
	SVG   template.HTML // from package svg, which escapes every word in it
}

// unitTable is a table in both unit systems: cells that read the same stand
// once, the others in both.
type unitTable struct {
	Head []unitCell
	Rows [][]unitCell
}

// unitCell is a cell shown in the units of its class, or always. Head marks that
// of the row.
type unitCell struct {
	Class, Text string
	Head        bool
}

// save is a link that holds the picture as a file.
type save struct {
	Class, Name, Words string
	Href               template.HTMLAttr
}

// viewOf draws a figure for a page. Errors are those of figure.
func viewOf(f figure.Figure, p placing) (figureView, error) {
	v := figureView{ID: f.ID, Class: p.Class, Level: max(2, p.Level),
		Title: dual(f.Title), Desc: dual(f.Desc), Caption: dual(f.Caption), Bare: p.Bare}
	if !p.Bare {
		v.Table = tableOf(f)
	}
	sizes := []svg.Size{svg.Wide, svg.Narrow}
	if p.Small {
		sizes = sizes[1:]
		v.Class = strings.TrimSpace(v.Class + " small")
	}
	for _, s := range sizes {
		pic, err := svg.Inline(f, svg.Options{Size: s, Name: f.ID + "-t", Desc: f.ID + "-d", Sheet: p.Sheet})
		if err != nil {
			return v, err
		}
		class := "still"
		if !p.Small {
			class += map[svg.Size]string{svg.Wide: " wide", svg.Narrow: " narrow"}[s]
		}
		v.Drawings = append(v.Drawings, drawing{Class: class, SVG: template.HTML(pic)})
	}
	if p.Save {
		if err := v.saves(f, p.SaveIn); err != nil {
			return v, err
		}
	}
	if p.Live {
		block, err := live.Block(f, sizes[0])
		if err != nil {
			return v, err
		}
		v.Live = template.JS(block)
	}
	return v, nil
}

// saves adds the links, one for each unit system in which the figure differs.
func (v *figureView) saves(f figure.Figure, only *figure.Units) error {
	for _, u := range []struct {
		units             figure.Units
		class, end, words string
	}{{figure.Metric, "c", "-c", ", °C"}, {figure.US, "f", "-f", ", °F"}} {
		if !f.Dual() {
			if u.units == figure.US {
				break
			}
			u.class, u.end, u.words = "", "", ""
		} else if only != nil {
			if u.units != *only {
				continue
			}
			u.class, u.end = "", ""
		}
		file, err := svg.Standalone(f, u.units)
		if err != nil {
			return err
		}
		v.Saves = append(v.Saves, save{Class: u.class, Name: f.ID + u.end + ".svg",
			Words: fmt.Sprintf("Save this figure as a picture (SVG%s)", u.words), Href: dataURL(file)})
	}
	return nil
}

// dataURL is an href that holds an SVG as it is, but for the few characters
// that an attribute or an address may not hold: a third less than base64. The
// quotes of package svg stand around attributes only, as it escapes those in
// words.
func dataURL(file []byte) template.HTMLAttr {
	s := strings.NewReplacer("%", "%25", "#", "%23", "&", "%26", `"`, "'", "\n", "").Replace(string(file))
	return template.HTMLAttr(`href="data:image/svg+xml;charset=utf-8,` + s + `"`)
}

// tableOf joins the tables of both unit systems, which have the same rows.
func tableOf(f figure.Figure) (t unitTable) {
	m, us := f.Table(figure.Metric), f.Table(figure.US)
	cells := func(a, b []string) (out []unitCell) {
		for j := range a {
			if a[j] != b[j] {
				out = append(out, unitCell{"c", a[j], j == 0}, unitCell{"f", b[j], j == 0})
			} else {
				out = append(out, unitCell{"", a[j], j == 0})
			}
		}
		return out
	}
	t.Head = cells(m.Header, us.Header)
	for i := range m.Rows {
		t.Rows = append(t.Rows, cells(m.Rows[i], us.Rows[i]))
	}
	return t
}
