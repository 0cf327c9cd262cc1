package cli

import "gopkg.in/yaml.v3"

// typedTrial is what a program that checks nothing would decode a trial file into:
// every key of the drawn and the demo trials has a typed place, and a quantity is
// the text that stands there. A key that takes several forms is any.
type typedTrial struct {
	Tamis      int
	Title      string
	Question   string
	Date       string
	By         string
	Status     string
	Declared   string
	Disclosure string
	Language   string
	Aim        any
	Serve      any
	Rules      string
	Medium     string
	Compare    map[string]string
	Food       typedFood
	Measures   map[string]struct {
		Scale     string
		JustRight string `yaml:"just_right"`
		Rank      string
		YesNo     string `yaml:"yes_no"`
		Unit      string
		Low, High string
		From, By  string
		Matters   float64
		Role      string
	}
	Factors  any
	Parts    []string
	Sources  map[string]typedSource
	Baths    map[string]struct{ Reads, Checked, Volume, Power string }
	Sessions map[string]struct{ Date string }
	Design   any
	Drawn    map[string]any
	Cooks    typedList[typedCook]
	Panel    struct {
		Scores, Key string
		Blind       string
		LooksMasked string `yaml:"looks_masked"`
		Together    string
		Bite        string
		Plan        string
		Guessed     map[string]int
		WarmUp      string `yaml:"warm_up"`
		Rinse       struct{ With, Gap string }
		Assessors   map[string]struct{ Kind, Cooked, Chose string }
	}
	Photos     []struct{ File, Of, Caption, Alt, Credit, Licence string }
	Deviations []map[string]any
	Decision   map[string]string
	Conclusion string
	Accept     []map[string]any
	Notes      string
	Analysis   any
}

type typedFood struct {
	Name, Kind, Form, Shape string
	Thickness               string
	Sides                   []string
	Start                   string
	Frozen                  any
	Composition             map[string]string
}

type typedSource struct {
	Lot, Caught, Mass string
	Frozen            any
	Parasites         any
}

type typedCook struct {
	ID, Bath, Session, Log, Finish   any
	Order                            int
	SetPoint                         string `yaml:"set_point"`
	Time, Hold, Started, Out, Served string
	ServedAt                         string `yaml:"served_at"`
	Bag, Chill, Reheat, Probe, With  any
	Brine                            any
	Pieces                           typedList[typedPiece]
}

type typedPiece struct {
	ID, Source, Part      string
	Before, Brined, After string
	Thickness, Start      string
	Brine, With           any
	Rest                  map[string]any `yaml:",inline"` // measures
}

// typedList is a list, or the name of the table that holds it.
type typedList[T any] struct {
	From string
	List []T
}

func (l *typedList[T]) UnmarshalYAML(n *yaml.Node) error {
	if n.Kind == yaml.SequenceNode {
		return n.Decode(&l.List)
	}
	var table struct{ From string }
	err := n.Decode(&table)
	l.From = table.From
	return err
}
