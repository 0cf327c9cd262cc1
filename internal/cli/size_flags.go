package cli

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"tamis/internal/diag"
	"tamis/internal/quantity"
	"tamis/internal/size"
	"tamis/internal/stats/discrim"
	"tamis/internal/trial"
)

// sizeFlags are the flags of size.
type sizeFlags struct {
	common
	setPoints, means     string
	factor               string
	effect               float64
	design               size.Design
	spread               size.Spread
	alpha, power         shareFlag
	pair, oneSided       bool
	unit, measure        string
	prices               size.Prices
	bounds               size.Bounds
	seed                 uint64
	draws                int
	figure, csv          string
	test                 string
	answers              int
	pd                   shareFlag
	dPrime               float64
	similarity, twoSided bool
}

func (f *sizeFlags) add(cmd *cobra.Command) {
	f.common.add(cmd, true)
	fs := cmd.Flags()
	fs.SortFlags = false
	f.alpha, f.power = size.DefaultAlpha, size.DefaultPower
	fs.Float64Var(&f.effect, "effect", 0, "difference of two set points that is worth seeing, in units of the measure")
	fs.StringVar(&f.means, "means", "", "true means of all set points instead, comma-separated: 4,5,7")
	fs.StringVar(&f.setPoints, "set-points", "2", "how many, or the set points themselves: \"48 °C,52 °C\"")
	fs.IntVar(&f.design.Cooks, "cooks", 2, "cooks per set point")
	fs.IntVar(&f.design.Sessions, "sessions", 1, "sessions that the cooks are spread over; removed as blocks")
	fs.IntVar(&f.design.Pieces, "pieces", 1, "pieces per cook")
	fs.IntVar(&f.design.Assessors, "assessors", 0, "people who taste; 0 for a measure that nobody tastes")
	fs.IntVar(&f.design.Tastes, "tastes", 0, "pieces of a cook that each of them scores; 0 for all")
	fs.StringVar(&f.factor, "factor", "", "compare levels of this instead, varied from piece to piece: brine")
	fs.IntVar(&f.design.Within, "within", 0, "how many such levels every cook holds, without a file")
	fs.IntVar(&f.design.Sources, "sources", 0, "sources in a cook, each cut into pieces of every level")
	fs.Float64Var(&f.spread.Cooks, "spread-cooks", 0, "standard deviation between cooks of one set point")
	fs.Float64Var(&f.spread.Pieces, "spread-pieces", 0, "between pieces of a cook")
	fs.Float64Var(&f.spread.Scores, "spread-scores", 0, "between scores of one piece by one assessor (the rest)")
	fs.Float64Var(&f.spread.AssessorArm, "spread-assessors", 0, "how differently assessors see the set points")
	fs.StringVar(&f.measure, "measure", "", "measure of the trial file; the first aim's by default")
	fs.StringVar(&f.unit, "unit", "", "what differences are counted in")
	fs.Var(&f.alpha, "alpha", "risk of seeing a difference that is not there")
	fs.Var(&f.power, "power", "chance to see a difference that is there")
	fs.BoolVar(&f.pair, "pair", false, "two set points named beforehand (t test), not all of them (F)")
	fs.BoolVar(&f.oneSided, "one-sided", false, "in one direction, named beforehand")
	fs.Float64Var(&f.prices.Cook, "price-cook", 0, "price of a cook, in any currency")
	fs.Float64Var(&f.prices.Piece, "price-piece", 0, "price of a piece")
	fs.Float64Var(&f.prices.Assessor, "price-assessor", 0, "price of an assessor, once")
	fs.IntVar(&f.bounds.Cooks, "most-cooks", 24, "search up to so many cooks per set point")
	fs.IntVar(&f.bounds.Pieces, "most-pieces", 6, "search up to so many pieces per cook")
	fs.IntVar(&f.bounds.Assessors, "most-assessors", 16, "search up to so many assessors")
	fs.StringVar(&f.test, "test", "", "a difference test instead: triangle, duo-trio, 2-afc, paired, 3-afc, tetrad")
	fs.IntVar(&f.answers, "answers", 0, "answers of the difference test, one a person")
	fs.Var(&f.pd, "pd", "share of people who tell the samples apart")
	fs.Float64Var(&f.dPrime, "d-prime", 0, "sensory distance, instead of --pd")
	fs.BoolVar(&f.twoSided, "two-sided", false, "of 2-afc: either sample may have more")
	fs.BoolVar(&f.similarity, "similarity", false, "show that fewer than --pd tell the samples apart")
	fs.IntVar(&f.draws, "draws", size.DefaultDraws, "invented trials of each simulation; 0 for none")
	fs.Uint64Var(&f.seed, "seed", size.DefaultSeed, "where the draws start from")
	fs.StringVar(&f.figure, "figure", "", "also draw the curve to this SVG file")
	fs.StringVar(&f.csv, "csv", "", "also write the curve to this CSV file")
}

// onlyOfTest are the flags that belong to difference tests, and onlyOfCooks
// those that do not.
var (
	onlyOfTest  = []string{"answers", "pd", "d-prime", "two-sided", "similarity"}
	onlyOfCooks = []string{"effect", "means", "set-points", "cooks", "sessions", "pieces", "assessors", "tastes", "spread-cooks",
		"spread-pieces", "spread-scores", "spread-assessors", "factor", "within", "sources", "measure", "unit", "pair", "price-cook", "price-piece",
		"most-cooks", "most-pieces", "most-assessors", "draws", "seed"}
)

// check refuses combinations that mean nothing, before anything is read.
func (f *sizeFlags) check(cmd *cobra.Command, args []string) error {
	changed := cmd.Flags().Changed
	wrong, where := onlyOfTest, "belongs to --test"
	if changed("test") {
		wrong, where = onlyOfCooks, "does not belong to --test"
	}
	for _, name := range wrong {
		if changed(name) {
			return usagef(cmd, "--%s %s", name, where)
		}
	}
	switch {
	case changed("test") && len(args) > 0:
		return usagef(cmd, "--test takes no trial file")
	case f.measure != "" && len(args) == 0, changed("measure") && len(args) == 0:
		return usagef(cmd, "--measure belongs to a trial file").hint("for example: tamis size --measure firmness trials/pollack/pollack.yaml")
	case changed("within") && len(args) > 0:
		return usagef(cmd, "--within is for a size without a file").hint("with one, name the factor: --factor brine")
	case changed("within") && f.design.Within < 2:
		return usagef(cmd, "--within %d: at least 2 levels", f.design.Within).hint("write for example --within 2")
	case changed("factor") && strings.TrimSpace(f.factor) == "":
		return usagef(cmd, "--factor needs a name").hint("write for example --factor brine")
	case changed("factor") && len(args) == 0 && f.design.Within == 0:
		return usagef(cmd, "--factor names what a trial file varies from piece to piece").hint("name the file, or say how many levels there are: --within 2")
	case changed("sources") && !changed("within") && !changed("factor"):
		return usagef(cmd, "--sources belongs to --within or --factor").hint("add --within 2")
	case changed("sources") && f.design.Sources < 1:
		return usagef(cmd, "--sources %d: at least 1", f.design.Sources)
	case f.seed == 0:
		return usagef(cmd, "--seed 0: seeds count from 1")
	case changed("effect") && !(f.effect > 0):
		return usagef(cmd, "--effect %v: a difference, above 0", f.effect).hint("write for example --effect 1")
	case changed("answers") && f.answers < 1:
		return usagef(cmd, "--answers %d: at least 1", f.answers).hint("write for example --answers 24")
	case changed("pd") && !(f.pd > 0):
		return usagef(cmd, "--pd %v: a share of people, above 0", float64(f.pd)).hint("write for example --pd 30%")
	case changed("d-prime") && !(f.dPrime > 0):
		return usagef(cmd, "--d-prime %v: a distance, above 0", f.dPrime).hint("write for example --d-prime 1")
	}
	for _, name := range []string{"most-cooks", "most-pieces", "most-assessors"} {
		if changed(name) && !f.priced(cmd) {
			return usagef(cmd, "--%s belongs to the search for the cheapest design", name).hint("add --price-cook, --price-piece or --price-assessor")
		}
	}
	for _, name := range []string{"figure", "csv"} {
		if changed(name) {
			path, _ := cmd.Flags().GetString(name)
			if path == "" {
				return usagef(cmd, "--%s needs the name of a file", name)
			}
			if err := writable(path); err != nil {
				return err
			}
		}
	}
	return nil
}

func (f *sizeFlags) priced(cmd *cobra.Command) bool {
	for _, name := range []string{"price-cook", "price-piece", "price-assessor"} {
		if cmd.Flags().Changed(name) {
			return true
		}
	}
	return false
}

// request puts the flags over what the trial file says; tk is nil without one.
func (f *sizeFlags) request(cmd *cobra.Command, tk *size.Taken) (size.Request, error) {
	changed := cmd.Flags().Changed
	r := size.Request{Design: f.design, Spread: f.spread, Bounds: f.bounds, Seed: f.seed, Draws: f.draws,
		Question: size.Question{Effect: f.effect, Alpha: float64(f.alpha), Power: float64(f.power), Pair: f.pair, OneSided: f.oneSided},
		Words:    size.Words{Unit: "points", Arm: "set point", From: size.FromFlags}}
	given := changed("spread-cooks") || changed("spread-pieces") || changed("spread-scores")
	if tk != nil {
		r.Words = tk.Words
		take := func(name string, to *int, from int) {
			if !changed(name) {
				*to = from
			}
		}
		take("cooks", &r.Design.Cooks, tk.Design.Cooks)
		take("sessions", &r.Design.Sessions, tk.Design.Sessions)
		take("pieces", &r.Design.Pieces, tk.Design.Pieces)
		take("assessors", &r.Design.Assessors, tk.Design.Assessors)
		take("tastes", &r.Design.Tastes, min(tk.Design.Tastes, r.Design.Pieces))
		take("sources", &r.Design.Sources, tk.Design.Sources)
		r.Design.Within, r.Design.Panel = tk.Design.Within, tk.Design.Panel
		if !changed("tastes") && r.Design.Assessors == 0 {
			r.Design.Tastes = 0
		}
		if !given {
			r.Spread = tk.Spread
			if changed("spread-assessors") {
				r.Spread.AssessorArm = f.spread.AssessorArm
			}
		} else {
			r.Words.From, r.Words.SpreadDF = size.FromFlags, 0
			if r.Words.Unit == "SD" {
				r.Words.Unit = "points"
			}
		}
		if !changed("effect") && !changed("means") {
			r.Question.Effect = tk.Matters
		}
		r.Design.SetPoints, r.Design.OtherDF = tk.Design.SetPoints, tk.Design.OtherDF
	} else if !given && r.Design.Within > 0 {
		r.Spread.Pieces, r.Words.From, r.Words.Unit = 1, size.FromNoPieces, "SD"
	} else if !given {
		r.Spread.Cooks, r.Words.From, r.Words.Unit = 1, size.FromNowhere, "SD"
	}
	if tk == nil && r.Design.Within > 0 {
		r.Words.Factor = strings.Join(strings.Fields(diag.Clean(f.factor)), " ")
		if !changed("pieces") {
			r.Design.Pieces = r.Design.Within * max(1, r.Design.Sources)
		}
	}
	if changed("unit") {
		r.Words.Unit = strings.Join(strings.Fields(diag.Clean(f.unit)), " ")
	}
	if f.priced(cmd) {
		r.Prices = &f.prices
	}
	return r, f.arms(cmd, &r, tk)
}

// arms reads the number of set points, and their means.
func (f *sizeFlags) arms(cmd *cobra.Command, r *size.Request, tk *size.Taken) error {
	changed := cmd.Flags().Changed
	if changed("means") {
		for _, s := range strings.Split(f.means, ",") {
			v, err := strconv.ParseFloat(strings.TrimSpace(s), 64)
			if err != nil {
				return usagef(cmd, "--means: %q is no number", strings.TrimSpace(s)).hint("write for example --means 4,5,7")
			}
			r.Question.Means = append(r.Question.Means, v)
		}
		if tk == nil && !changed("set-points") && r.Design.Within == 0 {
			r.Design.SetPoints = len(r.Question.Means)
			return nil
		}
	}
	if tk != nil && !changed("set-points") {
		return nil
	}
	n, err := countOrList(f.setPoints)
	switch {
	case err != nil:
		return usagef(cmd, "--set-points %q: a number, or set points with their units", f.setPoints).hint(withUnits(f.setPoints))
	case n >= likelyTemperature:
		return usagef(cmd, "--set-points %s: so many set points, or one temperature?", strings.TrimSpace(f.setPoints)).hint(
			fmt.Sprintf("a temperature has its unit, and one alone compares nothing: --set-points \"%d °C,%d °C\"; so many set points are sized no further than %d", n, n+4, likelyTemperature-1))
	}
	r.Design.SetPoints = n
	return nil
}

// likelyTemperature is the count of set points from which on a number is rather
// taken to be a temperature whose unit was forgotten: nobody cooks so many, and
// baths begin there. A house rule.
const likelyTemperature = 30

// withUnits is the hint for set points: those that were typed, with their unit, or
// an example.
func withUnits(s string) string {
	var parts []string
	for _, p := range strings.Split(s, ",") {
		p = strings.TrimSpace(p)
		if _, err := strconv.ParseFloat(p, 64); err == nil {
			p += " °C"
		}
		if _, err := quantity.ParseTemperature(p); err != nil {
			return `write --set-points 3 or --set-points "48 °C,52 °C,56 °C"`
		}
		parts = append(parts, p)
	}
	return `write --set-points "` + strings.Join(parts, ",") + `" with the unit that you mean, or how many there are`
}

// countOrList reads "3", or counts the set points of a list.
func countOrList(s string) (int, error) {
	if n, err := strconv.Atoi(strings.TrimSpace(s)); err == nil {
		return n, nil
	}
	seen := map[float64]bool{}
	for _, part := range strings.Split(s, ",") {
		t, err := quantity.ParseTemperature(strings.TrimSpace(part))
		if err != nil {
			return 0, err
		}
		seen[math.Round(t.Celsius()*1e6)] = true
	}
	return len(seen), nil
}

// testRequest is the request of a difference test. The paired test asks which of
// two samples has more, whichever it is; where the direction was named beforehand
// it is the 2-AFC.
func (f *sizeFlags) testRequest(cmd *cobra.Command) (size.TestRequest, error) {
	name := strings.ToLower(strings.TrimSpace(f.test))
	twoSided := f.twoSided
	if name == string(trial.PairedTwoWay) {
		name, twoSided = discrim.TwoAFC.String(), !f.oneSided
	}
	m, err := discrim.ParseMethod(name)
	if err != nil {
		all := []string{"triangle", "duo-trio", "2-afc", "paired", "3-afc", "tetrad"}
		e := usagef(cmd, "--test %q: no difference test is called that", f.test)
		if best, ok := diag.Nearest(name, all); ok {
			return size.TestRequest{}, e.hint("did you mean --test " + best + "?")
		}
		return size.TestRequest{}, e.hint("write one of " + strings.Join(all, ", "))
	}
	return size.TestRequest{Method: m, TwoSided: twoSided, Answers: f.answers, Distinguish: float64(f.pd), DPrime: f.dPrime,
		Alpha: float64(f.alpha), Power: float64(f.power), Similarity: f.similarity, PriceAssessor: f.prices.Assessor}, nil
}

// shareFlag is a share, typed as 0.8 or 80 %.
type shareFlag float64

func (s *shareFlag) String() string { return strconv.FormatFloat(float64(*s), 'g', -1, 64) }

// Type is what the help shows as the kind of value.
func (s *shareFlag) Type() string { return "share" }

func (s *shareFlag) Set(text string) error {
	t := strings.TrimSpace(text)
	number, percent := strings.CutSuffix(t, "%")
	v, err := strconv.ParseFloat(strings.TrimSpace(number), 64)
	if err != nil {
		return err
	}
	if percent {
		v /= 100
	}
	*s = shareFlag(v)
	return nil
}
