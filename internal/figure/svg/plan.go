package svg

import (
	"tamis/internal/figure"
)

// Plan is where everything of a picture goes, for another backend that draws
// the same picture: distances from the upper left corner, downwards, in user
// units.
type Plan struct {
	Width, Height            float64
	Left, Right, Top, Bottom float64 // the data rectangle
	Base                     float64 // the line of the horizontal axis
	Strips, Windows          []Lane  // lanes under the data, in the order of their layers
	Words                    []Word
	Marks                    []Mark // marks before labels beside the data
	Leads                    []Lead // hairlines from the data to such labels
}

// Lane is a band of the picture that shares the horizontal axis.
type Lane struct{ Top, Bottom float64 }

// Word is a line of text with its baseline at X, Y. Anchor is "", "middle" or
// "end". Halo asks for a rim in the colour of the ground.
type Word struct {
	X, Y, Size float64
	Text       string
	Role       figure.Role
	Anchor     string
	Bold, Halo bool
}

// Mark is a mark in the margin.
type Mark struct {
	X, Y  float64
	Style figure.Style
}

// Lead is a hairline in the margin.
type Lead struct {
	X0, Y0, X1, Y1 float64
	Role           figure.Role
}

// PlanOf lays a figure out and places its words. Errors are those of Inline.
func PlanOf(f figure.Figure, s Size, u figure.Units) (Plan, error) {
	if err := f.Validate(); err != nil {
		return Plan{}, err
	}
	d, err := draw(f, s, u, true)
	if err != nil {
		return Plan{}, err
	}
	fr := d.frame
	p := Plan{Width: fr.w, Height: fr.h, Left: fr.left, Right: fr.right, Top: fr.top, Bottom: fr.bottom,
		Base: fr.ticks - 7, Words: d.canvas.words, Marks: d.marks, Leads: d.leads}
	for _, l := range fr.strips {
		p.Strips = append(p.Strips, Lane{l.top, l.bottom})
	}
	for _, l := range fr.windows {
		p.Windows = append(p.Windows, Lane{l.top + windowTop, l.top + windowBottom})
	}
	return p, nil
}

// Mount is what stands around a picture that travels alone: its size, where
// the picture goes in it, and title, caption and footer as placed lines.
type Mount struct {
	Width, Height float64
	Left, Top     float64
	Words         []Word
}

// MountOf is the mount of a valid figure in one unit system.
func MountOf(f figure.Figure, s Size, u figure.Units) (Mount, error) {
	if err := f.Validate(); err != nil {
		return Mount{}, err
	}
	return mount(f, u, s, layout(f, s, u).h), nil
}

// mount lays title, caption and footer around a picture of the height.
func mount(f figure.Figure, u figure.Units, s Size, height float64) Mount {
	const margin = 20
	inner := s.Width()
	m := Mount{Width: inner + 2*margin, Left: margin}
	y := float64(margin)
	for _, l := range wrap(f.Title.In(u), titleSize, inner, true) {
		m.Words = append(m.Words, Word{X: margin, Y: y + titleSize, Size: titleSize, Text: l, Role: figure.Ink, Bold: true})
		y += titleLead
	}
	m.Top = y + 8
	y = m.Top + height + 10
	small := func(t figure.Text, role figure.Role) {
		for _, l := range wrap(t.In(u), smallSize, inner, false) {
			m.Words = append(m.Words, Word{X: margin, Y: y + smallSize, Size: smallSize, Text: l, Role: role})
			y += smallLead
		}
	}
	small(f.Caption, figure.Muted)
	if f.Caption.In(u) != "" && len(f.Footer) > 0 {
		y += 4
	}
	for _, t := range f.Footer {
		small(t, figure.Ink)
	}
	m.Height = y + margin
	return m
}
