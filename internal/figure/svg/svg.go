package svg

import (
	"fmt"
	"strings"

	"tamis/internal/figure"
)

// Size is the shape in which a figure is drawn. Text has the same size in user
// units in both, so each is to be shown at about its own width.
type Size int

// Wide is drawn for a column of a page and for A4, Narrow for a phone.
const (
	Wide Size = iota
	Narrow
)

// Width is the width of the picture in user units, to be shown as CSS pixels.
func (s Size) Width() float64 {
	if s == Narrow {
		return 328
	}
	return 720
}

// Options choose one drawing of a figure.
type Options struct {
	Size Size
	// Name and Desc are the ids of the elements of the page that hold the
	// title of the figure and the picture in words. The picture takes its
	// accessible name and description from them; both unit systems stand there
	// too, and a screen reader reads the one that is shown.
	Name, Desc string
	// Sheet, when given, takes the looks; its CSS must then stand in the style
	// sheet of the page. Without it every picture says its looks itself.
	Sheet *Sheet
}

// Inline draws the figure as an <svg> element for a page, in both unit systems
// at once: what differs is in groups of the class "c" or "f", one of which the
// page hides. Colours are the CSS variables of Variables; title, caption and
// footer are left to the page around it. The element has a viewBox and no size.
func Inline(f figure.Figure, o Options) (string, error) {
	if err := f.Validate(); err != nil {
		return "", err
	}
	fr, els, err := drawBoth(f, o.Size)
	if err != nil {
		return "", err
	}
	var b strings.Builder
	font := ` font-family="` + families + `"`
	if o.Sheet != nil {
		font = ""
	}
	fmt.Fprintf(&b, `<svg class="fig" viewBox="0 0 %s %s" role="img" aria-labelledby="%s" aria-describedby="%s"%s>`+"\n",
		num(fr.w), num(fr.h), escape(o.Name), escape(o.Desc), font)
	write(&b, els, o.Sheet)
	b.WriteString("</svg>")
	return b.String(), nil
}

// Standalone draws the figure as a file of its own in the light scheme: real
// colours, named fonts with fallbacks, and the title, caption and footer inside
// the picture, so that caution, n, source and date go wherever it goes.
func Standalone(f figure.Figure, u figure.Units) ([]byte, error) {
	if err := f.Validate(); err != nil {
		return nil, err
	}
	d, err := draw(f, Wide, u, false)
	if err != nil {
		return nil, err
	}
	m := mount(f, u, Wide, d.frame.h)
	var b strings.Builder
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" width="%s" height="%s" viewBox="0 0 %s %s" role="img" aria-labelledby="%s-t" aria-describedby="%s-d" font-family="%s">`+"\n",
		num(m.Width), num(m.Height), num(m.Width), num(m.Height), f.ID, f.ID, families)
	fmt.Fprintf(&b, "<title id=\"%s-t\">%s</title>\n<desc id=\"%s-d\">%s</desc>\n",
		f.ID, escape(f.Title.In(u)), f.ID, escape(f.Desc.In(u)))
	fmt.Fprintf(&b, `<rect width="%s" height="%s" fill="%s"/>`+"\n", num(m.Width), num(m.Height), hex(Light, paper))
	outer := newCanvas(m.Height, false)
	for _, w := range m.Words {
		outer.text(pt(w.X, m.Height-w.Y), w.Text, textStyle{size: w.Size, ink: solid(w.Role), bold: w.Bold})
	}
	write(&b, same(outer.els), nil)
	fmt.Fprintf(&b, "<g transform=\"translate(%s %s)\">\n", num(m.Left), num(m.Top))
	write(&b, same(d.canvas.els), nil)
	b.WriteString("</g>\n</svg>\n")
	return []byte(b.String()), nil
}
