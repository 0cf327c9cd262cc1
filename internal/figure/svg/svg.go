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

// Options choose one drawing of a figure. Prefix must be unique on the page
// for each drawing; it goes into the ids.
type Options struct {
	Prefix string
	Units  figure.Units
	Size   Size
}

// Inline draws the figure as an <svg> element for a page: colours are the CSS
// variables of Variables, and title, caption and footer
// are left to the page around it. The element has a viewBox and no size. Its
// accessible name is the title of the figure, its description the long text.
func Inline(f figure.Figure, o Options) (string, error) {
	if err := f.Validate(); err != nil {
		return "", err
	}
	d, err := draw(f, o.Size, o.Units, true)
	if err != nil {
		return "", err
	}
	id := o.Prefix + f.ID
	var b strings.Builder
	fmt.Fprintf(&b, `<svg class="fig" viewBox="0 0 %s %s" role="img" aria-labelledby="%s-t" aria-describedby="%s-d" font-family="%s">`+"\n",
		num(d.frame.w), num(d.frame.h), escape(id), escape(id), families)
	head(&b, f, o.Units, id)
	b.WriteString(d.canvas.out.String())
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
	const margin = 20
	inner := Wide.Width()
	title := wrap(f.Title.In(u), titleSize, inner, true)
	var foot []string
	foot = append(foot, wrap(f.Caption.In(u), smallSize, inner, false)...)
	captions := len(foot)
	for _, t := range f.Footer {
		foot = append(foot, wrap(t.In(u), smallSize, inner, false)...)
	}
	d, err := draw(f, Wide, u, false)
	if err != nil {
		return nil, err
	}
	top := margin + float64(len(title))*titleLead + 8
	footTop := top + d.frame.h + 10
	h := footTop + float64(len(foot))*smallLead + margin
	if captions > 0 && captions < len(foot) {
		h += 4
	}
	w := inner + 2*margin

	var b strings.Builder
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" width="%s" height="%s" viewBox="0 0 %s %s" role="img" aria-labelledby="%s-t" aria-describedby="%s-d" font-family="%s">`+"\n",
		num(w), num(h), num(w), num(h), f.ID, f.ID, families)
	head(&b, f, u, f.ID)
	fmt.Fprintf(&b, `<rect width="%s" height="%s" fill="%s"/>`+"\n", num(w), num(h), hex(Light, paper))
	outer := newCanvas(h, false)
	y := h - margin - titleSize
	for _, l := range title {
		outer.text(pt(margin, y), l, textStyle{size: titleSize, ink: solid(figure.Ink), bold: true})
		y -= titleLead
	}
	y = h - footTop - smallSize
	for i, l := range foot {
		if i == captions && i > 0 {
			y -= 4
		}
		role := figure.Muted
		if i >= captions {
			role = figure.Ink
		}
		outer.text(pt(margin, y), l, textStyle{size: smallSize, ink: solid(role)})
		y -= smallLead
	}
	b.WriteString(outer.out.String())
	fmt.Fprintf(&b, "<g transform=\"translate(%s %s)\">\n", num(margin), num(top))
	b.WriteString(d.canvas.out.String())
	b.WriteString("</g>\n</svg>\n")
	return []byte(b.String()), nil
}

// head writes the accessible name and description.
func head(b *strings.Builder, f figure.Figure, u figure.Units, id string) {
	fmt.Fprintf(b, "<title id=\"%s-t\">%s</title>\n<desc id=\"%s-d\">%s</desc>\n",
		escape(id), escape(f.Title.In(u)), escape(id), escape(f.Desc.In(u)))
}
