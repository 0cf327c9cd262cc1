package trial

import (
	"testing"

	"tamis/internal/quantity"
)

func cookAt(id string, c float64) Cook {
	return Cook{ID: id, SetPoint: Some(quantity.Celsius(c))}
}

func TestArmsDoNotChain(t *testing.T) {
	t.Parallel()
	// Steps of 0.04 °C: neighbours are within the tolerance, the ends are not.
	tr := &Trial{Cooks: []Cook{cookAt("a", 54), cookAt("b", 54.04), cookAt("c", 54.08), cookAt("d", 60), {ID: "none"}}}
	arms := tr.Arms()
	if len(arms) != 3 {
		t.Fatalf("%d arms, want 3: a and b, c, d", len(arms))
	}
	if got := arms[0].Cooks; len(got) != 2 || got[0] != 0 || got[1] != 1 {
		t.Errorf("first arm has cooks %v, want 0 and 1", got)
	}
}

func TestArmsAcrossUnits(t *testing.T) {
	t.Parallel()
	tr := &Trial{Cooks: []Cook{
		{ID: "c", SetPoint: Some(quantity.Celsius(60))},
		{ID: "f", SetPoint: Some(quantity.Fahrenheit(140))},
	}}
	if arms := tr.Arms(); len(arms) != 1 {
		t.Errorf("60 °C and 140 °F are %d arms, want 1 (140 °F is 60 °C exactly)", len(arms))
	}
}

// The unit rule on small made-up layouts; each answer follows from the rule
// "the coarsest grouping within which the factor never varies".
func TestUnitOf(t *testing.T) {
	t.Parallel()
	brine := func(k BrineKind) Opt[Brine] { return Some(Brine{Kind: k}) }
	piece := func(id, source string, k BrineKind) Piece {
		return Piece{ID: id, Source: Some(source), Treatment: Treatment{Brine: brine(k)}, Values: ReadingOf("firmness", Reading{V: 1})}
	}
	cook := func(id, session string, c float64, pieces ...Piece) Cook {
		k := cookAt(id, c)
		k.Session = Some(session)
		k.Pieces = pieces
		return k
	}
	m := Measure{Name: "firmness", Kind: ScaleScore, Scale: Range{0, 10}}
	for _, c := range []struct {
		name   string
		cooks  []Cook
		factor string
		want   Grouping
		n      int
	}{
		{"set points in each session", []Cook{
			cook("A", "s1", 50, piece("1", "f1", NoBrine), piece("2", "f2", DryBrine)),
			cook("B", "s1", 55, piece("1", "f1", NoBrine), piece("2", "f2", DryBrine)),
			cook("C", "s2", 50, piece("1", "f2", NoBrine), piece("2", "f1", DryBrine)),
			cook("D", "s2", 55, piece("1", "f2", NoBrine), piece("2", "f1", DryBrine)),
		}, SetPointFactor, ByCook, 4},
		{"brine by piece", []Cook{
			cook("A", "s1", 50, piece("1", "f1", NoBrine), piece("2", "f1", DryBrine)),
			cook("B", "s1", 55, piece("1", "f2", NoBrine), piece("2", "f2", DryBrine)),
		}, BrineFactor, ByPiece, 4},
		{"a set point a session: the session is the unit", []Cook{
			cook("A", "s1", 50, piece("1", "f1", NoBrine)),
			cook("B", "s1", 50, piece("1", "f1", NoBrine)),
			cook("C", "s2", 55, piece("1", "f1", NoBrine)),
			cook("D", "s2", 55, piece("1", "f1", NoBrine)),
		}, SetPointFactor, BySession, 2},
		{"one fish a set point: the fish is the unit", []Cook{
			cook("A", "s1", 50, piece("1", "f1", NoBrine)),
			cook("B", "s2", 50, piece("1", "f1", NoBrine)),
			cook("C", "s1", 55, piece("1", "f2", NoBrine)),
			cook("D", "s2", 55, piece("1", "f2", NoBrine)),
		}, SetPointFactor, BySource, 2},
		{"every cook alone is called a cook", []Cook{
			cook("A", "s1", 50, piece("1", "f1", NoBrine)),
			cook("B", "s2", 55, piece("1", "f2", NoBrine)),
			cook("C", "s3", 60, piece("1", "f3", NoBrine)),
		}, SetPointFactor, ByCook, 3},
	} {
		tr := &Trial{Cooks: c.cooks, Measures: []Measure{m}}
		rows := tr.Observe(m).Rows
		var found bool
		for _, f := range tr.VariedFactors(rows) {
			if f.Name != c.factor {
				continue
			}
			found = true
			u := tr.UnitOf(f, rows)
			if u.By != c.want || u.N != c.n {
				t.Errorf("%s: unit is %d %s, want %d %s", c.name, u.N, u.By, c.n, c.want)
			}
		}
		if !found {
			t.Errorf("%s: %s is not seen as varied", c.name, c.factor)
		}
	}
}

func TestClockCrossesMidnight(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		from, to Clock
		want     float64
	}{
		{Clock{Minute: 10 * 60}, Clock{Minute: 11*60 + 5}, 65},
		{Clock{Minute: 23*60 + 30}, Clock{Minute: 15}, 45},
		{Clock{Date: Date{2024, 2, 28}, Minute: 0}, Clock{Date: Date{2024, 3, 1}, Minute: 0}, 2 * 1440}, // a leap year
		{Clock{Minute: 60, Second: 30}, Clock{Minute: 61}, 0.5},
	} {
		if got := c.to.MinutesAfter(c.from); got != c.want {
			t.Errorf("%s to %s: %v min, want %v", c.from, c.to, got, c.want)
		}
	}
}

func TestCookLossDenominators(t *testing.T) {
	t.Parallel()
	p := Piece{Before: Some(quantity.Grams(100)), Brined: Some(quantity.Grams(110)), After: Some(quantity.Grams(88))}
	if v, ok := p.CookLoss(false); !ok || v != 12 {
		t.Errorf("on the raw mass: %v %v, want 12", v, ok)
	}
	if v, ok := p.CookLoss(true); !ok || v != 20 {
		t.Errorf("on the brined mass: %v %v, want 20", v, ok)
	}
	if _, ok := (&Piece{Before: Some(quantity.Grams(0)), After: Some(quantity.Grams(1))}).CookLoss(false); ok {
		t.Error("a mass of 0 has no loss in percent")
	}
}

func TestMethodsAreOrderedAndLabelled(t *testing.T) {
	t.Parallel()
	factors := []Varied{
		{Name: SetPointFactor, Levels: []string{"50 °C", "55 °C"}, Code: []int{0, 1, 0, 1}},
		{Name: BrineFactor, Levels: []string{"plain", "dry-brined"}, Code: []int{1, 0, 0, 1}},
	}
	methods, code := Methods(factors, 4)
	if len(methods) != 2 || methods[0].Label != "plain" || methods[1].Label != "dry-brined" {
		t.Fatalf("methods %+v", methods)
	}
	for i, want := range []int{1, 0, 0, 1} {
		if code[i] != want {
			t.Errorf("row %d is method %d, want %d", i, code[i], want)
		}
	}
}

// A number on the cook as a whole beside numbers of pieces: the brine's unit is
// the piece, never the score.
func TestUnitWithNumbersOnCooksAndPieces(t *testing.T) {
	t.Parallel()
	m := Measure{Name: "firmness", Kind: ScaleScore, Scale: Range{0, 10}}
	value := ReadingOf("firmness", Reading{V: 1})
	a, b := cookAt("A", 50), cookAt("B", 55)
	a.Values, b.Values = value, value
	a.Pieces = []Piece{{ID: "1", Treatment: Treatment{Brine: Some(Brine{Kind: DryBrine})}}, {ID: "2", Treatment: Treatment{Brine: Some(Brine{Kind: NoBrine})}}}
	p := Panel{}
	for _, who := range []string{"x", "y"} {
		for _, piece := range []string{"1", "2"} {
			p.Scores = append(p.Scores, Score{Assessor: who, Cook: "A", Piece: Some(piece), Values: value})
		}
	}
	tr := &Trial{Cooks: []Cook{a, b}, Measures: []Measure{m}, Panel: Some(p)}
	rows := tr.Observe(m).Rows
	for _, f := range tr.VariedFactors(rows) {
		if f.Name != BrineFactor {
			continue
		}
		if u := tr.UnitOf(f, rows); u.By != ByPiece || u.N != 4 {
			t.Errorf("unit %s, n %d; want 4 pieces: two pieces, and two cooks as a whole", u.By, u.N)
		}
		return
	}
	t.Error("the brine is not seen as varied")
}
