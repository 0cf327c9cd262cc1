package cli

import (
	"fmt"
	"math"
	"regexp"
	"strings"

	"github.com/spf13/cobra"

	"tamis/internal/answer"
	"tamis/internal/food"
	"tamis/internal/heat"
	"tamis/internal/quantity"
	"tamis/internal/trial"
)

// trial makes a trial of one cook from the flags, or without a cook where only
// a table is asked for.
func (h *heatFood) trial(cmd *cobra.Command, table bool) (*trial.Trial, error) {
	changed := cmd.Flags().Changed
	if !changed("food") {
		return nil, usagef(cmd, "heat needs --food, or a trial file").hint("for example: " + firstExample(cmd))
	}
	if _, ok := food.Lookup(h.food); !ok {
		return nil, usagef(cmd, "--food %q: not a kind of food that is known", h.food).hint(kindHint(h.food))
	}
	t := &trial.Trial{}
	t.Food.Kind = trial.Some(h.food)
	if err := h.describe(cmd, t); err != nil {
		return nil, err
	}
	c, err := h.cook(cmd, t)
	if err != nil {
		return nil, err
	}
	if table && (!changed("set-point") || !changed("thickness") && !changed("sides")) {
		for _, name := range []string{"time", "hold"} {
			if changed(name) {
				return nil, usagef(cmd, "--%s goes with --thickness and --set-point; a table finds the time itself", name)
			}
		}
		t.Food.Thickness = trial.Opt[quantity.Length]{}
		t.Food.Sides = nil
		return t, nil
	}
	for _, need := range []struct{ name, like string }{{"set-point", "52C"}, {"thickness", "25mm"}} {
		if !changed(need.name) && !(need.name == "thickness" && changed("sides")) {
			return nil, usagef(cmd, "heat needs --%s", need.name).hint("for example --" + need.name + " " + need.like + ", or --table for many")
		}
	}
	t.Cooks = []trial.Cook{c}
	return t, h.possible(cmd, t)
}

// describe fills in the food.
func (h *heatFood) describe(cmd *cobra.Command, t *trial.Trial) (err error) {
	if t.Food.Form, err = word(cmd, "form", h.form, trial.Forms); err != nil {
		return err
	}
	if t.Food.Shape, err = word(cmd, "shape", h.shape, trial.Shapes); err != nil {
		return err
	}
	if t.Medium, err = word(cmd, "medium", h.medium, trial.Media); err != nil {
		return err
	}
	if t.Rules, err = word(cmd, "rules", h.rules, trial.RuleSets); err != nil {
		return err
	}
	for _, s := range h.serve {
		g, err := word(cmd, "serve", strings.TrimSpace(s), trial.Eaters)
		if err != nil {
			return err
		}
		t.Serve = append(t.Serve, g.V)
	}
	if t.Food.Thickness, err = parsed(cmd, "thickness", h.thickness, quantity.ParseLength); err != nil {
		return err
	}
	if t.Food.Start, err = parsed(cmd, "start", h.start, quantity.ParseTemperature); err != nil {
		return err
	}
	fat, err := parsed(cmd, "fat", h.fat, quantity.ParseShare)
	if err != nil {
		return err
	}
	if fat.Known {
		if fat.V.Percent() > 100 {
			return usagef(cmd, "--fat %s: more than the whole", fat.V)
		}
		t.Food.Composition = trial.Some(trial.Composition{Fat: fat})
	}
	if t.Food.Frozen, err = frozenFlag(cmd, h.frozen); err != nil {
		return err
	}
	return h.describeSides(cmd, t)
}

func (h *heatFood) describeSides(cmd *cobra.Command, t *trial.Trial) error {
	block := t.Food.Shape.Known && t.Food.Shape.V == trial.Block
	switch given := cmd.Flags().Changed("sides"); {
	case given && t.Food.Shape.Known && !block:
		return usagef(cmd, "--sides are those of a block, and --shape is %s", t.Food.Shape.V)
	case block && !given:
		return usagef(cmd, "a block needs its three sides").hint(`for example --sides "30 mm x 60 mm x 120 mm"`)
	case !given:
		return nil
	}
	parts := sideSeparator.Split(strings.TrimSpace(h.sides), -1)
	if len(parts) != 3 {
		return usagef(cmd, "--sides %q: a block has three sides", h.sides).hint(`for example --sides "30 mm x 60 mm x 120 mm"`)
	}
	for _, p := range parts {
		l, err := quantity.ParseLength(strings.TrimSpace(p))
		if err != nil {
			return quantityFlag(cmd, "sides", err)
		}
		t.Food.Sides = append(t.Food.Sides, l)
	}
	t.Food.Shape = trial.Some(trial.Block)
	return nil
}

var sideSeparator = regexp.MustCompile(`\s*(?:×|,|\bx\b|x\s)\s*`)

var frozenText = regexp.MustCompile(`^(.+?)\s+for\s+(.+?)(?:\s+by\s+(.+))?$`)

// frozenFlag reads how fish was frozen: "-20 °C for 7 d by supplier", or no.
func frozenFlag(cmd *cobra.Command, text string) (o trial.Opt[trial.Frozen], err error) {
	if !cmd.Flags().Changed("frozen") {
		return o, nil
	}
	text = strings.TrimSpace(text)
	if text == "no" {
		return trial.Some(trial.Frozen{}), nil
	}
	m := frozenText.FindStringSubmatch(text)
	if m == nil {
		return o, usagef(cmd, "--frozen %q: how cold, how long and by whom", text).hint(`for example --frozen "-20 °C for 7 d by supplier", or --frozen no`)
	}
	f := trial.Frozen{Is: true}
	at, then, two := strings.Cut(m[1], "then")
	c, err := quantity.ParseTemperature(strings.Trim(at, " ,"))
	if err != nil {
		return o, quantityFlag(cmd, "frozen", err)
	}
	if two {
		held, err := quantity.ParseTemperature(strings.TrimSpace(then))
		if err != nil {
			return o, quantityFlag(cmd, "frozen", err)
		}
		if held.Celsius() > -1 {
			return o, usagef(cmd, "--frozen %q: nothing stays frozen at %s", text, held).hint(`for example --frozen "-35 °C then -20 °C for 24 h by supplier"`)
		}
		f.Then = trial.Some(held)
	}
	d, err := quantity.ParseDuration(m[2])
	if err != nil {
		return o, quantityFlag(cmd, "frozen", err)
	}
	if c.Celsius() > -1 {
		return o, usagef(cmd, "--frozen %q: nothing freezes through at %s", text, c).hint(`for example --frozen "-20 °C for 7 d by supplier", or --frozen no`)
	}
	f.Tmp, f.For = trial.Some(c), trial.Some(d)
	if m[3] != "" {
		f.By = trial.Some(m[3])
	}
	return trial.Some(f), nil
}

// cook fills in the cook and its bath.
func (h *heatFood) cook(cmd *cobra.Command, t *trial.Trial) (c trial.Cook, err error) {
	if c.SetPoint, err = parsed(cmd, "set-point", h.setPoint, quantity.ParseTemperature); err != nil {
		return c, err
	}
	if c.Time, err = parsed(cmd, "time", h.time, quantity.ParseDuration); err != nil {
		return c, err
	}
	if c.Hold, err = parsed(cmd, "hold", h.hold, quantity.ParseDuration); err != nil {
		return c, err
	}
	if c.Time.Known && c.Hold.Known {
		return c, usagef(cmd, "--time and --hold exclude each other").hint("--hold counts from the arrival of the core, --time from the start")
	}
	if c.Load, err = parsed(cmd, "load", h.load, quantity.ParseMass); err != nil {
		return c, err
	}
	b := trial.Bath{ID: "bath"}
	if b.Volume, err = parsed(cmd, "volume", h.volume, quantity.ParseVolume); err != nil {
		return c, err
	}
	if b.Power, err = parsed(cmd, "power", h.power, quantity.ParsePower); err != nil {
		return c, err
	}
	if b.Reads, err = parsed(cmd, "reads", h.reads, parseReads); err != nil {
		return c, err
	}
	switch {
	case c.Load.Known && !(c.Load.V.Grams() > 0):
		return c, usagef(cmd, "--load %s: nothing is in the bath", c.Load.V).hint("for example --load \"0.6 kg\"")
	case b.Volume.Known && !(b.Volume.V.Litres() > 0):
		return c, usagef(cmd, "--volume %s: a bath without water", b.Volume.V).hint("for example --volume \"20 l\"")
	case b.Power.Known && !(b.Power.V.Watts() > 0):
		return c, usagef(cmd, "--power %s: a heater that heats nothing", b.Power.V).hint("for example --power \"1100 W\", or leave it out")
	}
	b.Checked.Known = b.Reads.Known // who states the error has checked it
	t.Baths = []trial.Bath{b}
	c.Bath = trial.Some(b.ID)
	return c, nil
}

// parseReads reads the error of a thermometer, 0.1 °C high or 0.2 °C low.
func parseReads(s string) (quantity.Difference, error) {
	body := strings.TrimSpace(s)
	high, isHigh := strings.CutSuffix(body, "high")
	low, isLow := strings.CutSuffix(body, "low")
	switch {
	case isHigh:
		body = high
	case isLow:
		body = low
	}
	d, err := quantity.ParseDifference(strings.TrimSpace(body))
	switch {
	case err != nil:
		return d, err
	case d.Kelvin() < 0 && (isHigh || isLow):
		return d, &quantity.Error{Text: s, Expected: "a sign and a direction contradict each other", Hint: "write 0.1 °C high or 0.1 °C low"}
	case !isHigh && !isLow && d.Kelvin() != 0:
		return d, &quantity.Error{Text: s, Expected: "does the thermometer read high or low?", Hint: fmt.Sprintf("write %s high or %s low", d.Abs(), d.Abs())}
	case math.Abs(d.Kelvin()) > 10:
		return d, &quantity.Error{Text: s, Expected: "off by more than 10 °C it measures nothing", Hint: "write its error, such as 0.1 °C high"}
	case isLow:
		return d.Neg(), nil
	}
	return d, nil
}

// possible refuses what no kitchen can mean.
func (h *heatFood) possible(cmd *cobra.Command, t *trial.Trial) error {
	c := &t.Cooks[0]
	if t.Food.Thickness.Known {
		if err := thicknessFlag(cmd, "thickness", t.Food.Thickness.V); err != nil {
			return err
		}
	}
	for _, l := range t.Food.Sides {
		if err := thicknessFlag(cmd, "sides", l); err != nil {
			return err
		}
	}
	if err := heatable(cmd, "set-point", c.SetPoint.V, t); err != nil {
		return err
	}
	if c.Time.Known && !(c.Time.V.Minutes() > 0) {
		return usagef(cmd, "--time %s is no time", c.Time.V).hint("for example --time \"90 min\"")
	}
	return nil
}

// Lengths that are computed, mm: a film of paper, and more than any cook has.
const thinnest, thickest = 0.1, 1000.0

func thicknessFlag(cmd *cobra.Command, name string, l quantity.Length) error {
	if mm := l.Millimetres(); !(mm >= thinnest && mm <= thickest) {
		return usagef(cmd, "--%s: a piece of %s cannot be computed", name, l).hint("between 0.1 mm and 1 m; check the number and its unit")
	}
	return nil
}

// heatable refuses a set point that a medium cannot have, or that heats nothing.
func heatable(cmd *cobra.Command, name string, set quantity.Temperature, t *trial.Trial) error {
	bath := set.Celsius()
	water := t.Medium.Or(trial.WaterBath) == trial.WaterBath
	switch {
	case water && bath > 100:
		hint := "for another medium: --medium oven, steam, pan, oil or smoke"
		if f := quantity.Fahrenheit(set.Value()); set.Unit() == "°C" && f.Celsius() <= 100 {
			hint = "did you mean " + f.String() + "? " + hint
		}
		return usagef(cmd, "--%s %s: no water bath is hotter than 100 °C", name, set).hint(hint)
	case math.Abs(bath) > 1000:
		return usagef(cmd, "--%s %s cannot be computed", name, set).hint("check the number and its unit")
	case t.Food.Start.Known && t.Food.Start.V.Celsius() >= bath:
		return usagef(cmd, "--start %s is not below --%s %s, and so heats nothing", t.Food.Start.V, name, set).hint("check the two temperatures and their units")
	case !t.Food.Start.Known && bath <= heat.WarmStart:
		return usagef(cmd, "--%s %s heats nothing", name, set).hint("check the number and its unit, or state --start")
	}
	return nil
}

// The table that is made where no list is given.
var (
	defaultThicknesses = []float64{10, 15, 20, 25, 30, 40, 50}       // mm
	defaultInches      = []float64{0.5, 0.75, 1, 1.25, 1.5, 1.75, 2} // what is shown in inches is whole in them
	defaultSetPoints   = map[food.Rule][]float64{                    // °C
		food.PoultryRule: {60, 62, 65, 70},
		food.GameRule:    {60, 65, 70, 75},
		food.EggRule:     {60, 63, 66, 70},
		food.BivalveRule: {80, 85, 90, 95},
		food.PulseRule:   {85, 90, 95, 100},
		food.PlantRule:   {80, 83, 86, 90},
	}
	otherSetPoints = []float64{50, 55, 60, 65}
)

// maxCells bounds a table.
const maxCells = 1000

// grid is what the table runs over; nil without --table.
func (f *heatFlags) grid(cmd *cobra.Command, t *trial.Trial, sys quantity.System) (*answer.HeatGrid, error) {
	if !f.table {
		return nil, nil
	}
	g := &answer.HeatGrid{}
	for _, s := range f.thicknesses {
		l, err := quantity.ParseLength(strings.TrimSpace(s))
		if err != nil {
			return nil, quantityFlag(cmd, "thicknesses", err)
		}
		if err := thicknessFlag(cmd, "thicknesses", l); err != nil {
			return nil, err
		}
		g.Thicknesses = append(g.Thicknesses, l)
	}
	for _, s := range f.setPoints {
		c, err := quantity.ParseTemperature(strings.TrimSpace(s))
		if err != nil {
			return nil, quantityFlag(cmd, "set-points", err)
		}
		if err := heatable(cmd, "set-points", c, t); err != nil {
			return nil, err
		}
		g.SetPoints = append(g.SetPoints, c)
	}
	if len(g.Thicknesses) == 0 && sys == quantity.US {
		for _, in := range defaultInches {
			g.Thicknesses = append(g.Thicknesses, quantity.Inches(in))
		}
	}
	if len(g.Thicknesses) == 0 {
		for _, mm := range defaultThicknesses {
			g.Thicknesses = append(g.Thicknesses, quantity.Millimetres(mm))
		}
	}
	if len(g.SetPoints) == 0 {
		k, _ := food.Lookup(t.Food.Kind.V)
		points := defaultSetPoints[k.Rule]
		if points == nil {
			points = otherSetPoints
		}
		for _, c := range points {
			p := quantity.Celsius(c)
			if sys == quantity.US {
				p = quantity.Fahrenheit(math.Ceil(p.Fahrenheit() - 1e-9))
			}
			g.SetPoints = append(g.SetPoints, p)
		}
	}
	if n := len(g.Thicknesses) * len(g.SetPoints); n > maxCells {
		return nil, usagef(cmd, "a table of %d cells; %d at most", n, maxCells)
	}
	return g, nil
}
