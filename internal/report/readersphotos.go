package report

import (
	"html/template"
	"math"
	"runtime"
	"slices"
	"sync"

	"tamis/internal/answer"
	"tamis/internal/quantity"
	"tamis/internal/report/photo"
	"tamis/internal/trial"
)

// Shot is a photo of the trial that was read.
type Shot struct {
	Of    trial.Photo
	Photo *photo.Photo
}

// The largest sides of photos on a page, in pixels: twice the width of a column,
// for sharp screens, and of a cell of a strip.
const (
	shotWidth, shotHeight = 1200, 1500
	cellWidth, cellHeight = 560, 750
)

// shotView is a photo as a page prints it.
type shotView struct {
	URL             template.URL
	Alt             string
	Width, Height   int
	Share           int   // of the width of its cell, in per cent: one scale for a strip
	Arm             words // of a strip
	Caption, Credit string
}

// shotsOf makes the photos: those of cooks and pieces with a set point, if there
// are two or more, side by side from cold to hot and at one scale; the others
// one by one.
func shotsOf(w Writeup, only *quantity.System) (strip, single []shotView, err error) {
	type placed struct {
		Shot
		celsius float64
		arm     answer.Sentence
	}
	var beside []placed
	var alone []Shot
	for _, s := range w.Photos {
		if s.Photo == nil {
			continue
		}
		if celsius, arm, ok := armOf(w.Trial, s.Of.Of); ok {
			beside = append(beside, placed{s, celsius, arm})
		} else {
			alone = append(alone, s)
		}
	}
	if len(beside) == 1 {
		alone, beside = append(alone, beside[0].Shot), nil
	}
	slices.SortStableFunc(beside, func(a, b placed) int {
		switch {
		case a.celsius < b.celsius:
			return -1
		case a.celsius > b.celsius:
			return 1
		}
		return 0
	})
	ps := make([]*photo.Photo, len(beside))
	for i, b := range beside {
		ps[i] = b.Photo
	}
	factor, widest := photo.Fit(cellWidth, cellHeight, ps...), 0
	var sized []sizedShot
	for _, b := range beside {
		sized = append(sized, sizedShot{b.Shot, factor})
	}
	for _, s := range alone {
		sized = append(sized, sizedShot{s, photo.Fit(shotWidth, shotHeight, s.Photo)})
	}
	views, err := viewsOfShots(sized)
	if err != nil {
		return nil, nil, err
	}
	strip, single = views[:len(beside):len(beside)], views[len(beside):]
	for i, b := range beside {
		strip[i].Arm = of(b.arm)
		widest = max(widest, strip[i].Width)
	}
	for i := range strip {
		strip[i].Share = int(math.Round(100 * float64(strip[i].Width) / float64(widest)))
		strip[i].Arm = oneOf(strip[i].Arm, only)
	}
	return strip, single, nil
}

// sizedShot is a photo with the factor by which it is made smaller.
type sizedShot struct {
	Shot
	factor float64
}

// viewsOfShots makes photos on all cores, in their order. Of several errors the
// first is given.
func viewsOfShots(shots []sizedShot) ([]shotView, error) {
	views, errs := make([]shotView, len(shots)), make([]error, len(shots))
	next := make(chan int)
	var wg sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), len(shots)) {
		wg.Go(func() {
			for i := range next {
				views[i], errs[i] = viewOfShot(shots[i].Shot, shots[i].factor)
			}
		})
	}
	for i := range shots {
		next <- i
	}
	close(next)
	wg.Wait()
	for _, err := range errs {
		if err != nil {
			return nil, err
		}
	}
	return views, nil
}

// rowOf is how many pictures of a strip stand in a row, so that the last row is
// not left with one.
func rowOf(n int) int {
	if n%4 == 0 || n%3 == 1 && n > 1 {
		return 4
	}
	return 3
}

// sharedCredit takes the credit off the pictures where it is the same for all.
func sharedCredit(strip []shotView) string {
	if len(strip) == 0 {
		return ""
	}
	credit := strip[0].Credit
	for _, v := range strip {
		if v.Credit != credit {
			return ""
		}
	}
	for i := range strip {
		strip[i].Credit = ""
	}
	return credit
}

func oneOf(ws words, only *quantity.System) words { return single([]words{ws}, only)[0] }

// armOf is the arm that a photo shows, by the id of a cook or a piece.
func armOf(t *trial.Trial, id trial.Opt[string]) (celsius float64, arm answer.Sentence, ok bool) {
	if !id.Known {
		return 0, nil, false
	}
	for i := range t.Cooks {
		c := &t.Cooks[i]
		piece := slices.IndexFunc(c.Pieces, func(p trial.Piece) bool { return p.ID == id.V })
		if !c.SetPoint.Known || piece < 0 && c.ID != id.V {
			continue
		}
		celsius = c.SetPoint.V.Celsius()
		arm = answer.Say(armTemp(celsius))
		if b := c.Treatments(piece).Brine; b.Known && piece >= 0 {
			switch b.V.Kind {
			case trial.DryBrine:
				arm = answer.Say(arm, ", dry-brined")
			case trial.WetBrine:
				arm = answer.Say(arm, ", brined")
			}
		}
		return celsius, arm, true
	}
	return 0, nil, false
}

// armTemp keeps a whole degree whole.
func armTemp(celsius float64) answer.Quantity {
	q := answer.Quantity{Kind: answer.Temperature, Value: celsius}
	if abs(celsius-math.Round(celsius)) > 1e-6 {
		q.Digits = 1
	}
	return q
}

func viewOfShot(s Shot, factor float64) (shotView, error) {
	pic, err := s.Photo.Make(factor)
	if err != nil {
		return shotView{}, err
	}
	v := shotView{URL: template.URL(pic.URL()), Width: pic.Width, Height: pic.Height, Share: 100,
		Alt: oneLine(s.Of.Alt.V), Caption: together(oneLine(s.Of.Caption.V)), Credit: oneLine(s.Of.Credit.V)}
	if v.Alt == "" {
		v.Alt = "A photo without a description."
		if v.Caption != "" {
			v.Alt = "A photo; the words beside it say: " + v.Caption
		}
	}
	if l := oneLine(s.Of.Licence.V); l != "" {
		if v.Credit != "" {
			v.Credit += ", "
		}
		v.Credit += l
	}
	return v, nil
}
