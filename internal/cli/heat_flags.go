package cli

import (
	"errors"
	"regexp"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"tamis/internal/answer"
	"tamis/internal/diag"
	"tamis/internal/heat"
	"tamis/internal/quantity"
	"tamis/internal/safety"
	"tamis/internal/trial"
)

// heatFood is one cook in the words of flags, which are those of a trial file.
type heatFood struct {
	food, form, shape, thickness, sides, start, setPoint, time, hold string
	medium, rules, frozen, fat, reads, load, volume, power           string
	serve                                                            []string
}

// foodFlags are the names of the flags that a trial file takes the place of.
var foodFlags = []string{"food", "form", "thickness", "sides", "start", "set-point", "time", "hold", "medium", "rules", "frozen", "fat", "reads", "load", "volume", "power", "serve"}

func (h *heatFood) add(cmd *cobra.Command) {
	f := cmd.Flags()
	f.StringVar(&h.food, "food", "", "kind of food: "+strings.Join(foodKinds, ", "))
	f.StringVar(&h.form, "form", "", "whole, minced, tenderised, injected, rolled or stuffed; not stated is not known")
	f.StringVar(&h.shape, "shape", "", "slab, cylinder, sphere, or block with --sides")
	f.StringVar(&h.thickness, "thickness", "", "thickness, or the diameter of a cylinder or sphere: 25 mm, 1 in")
	f.StringVar(&h.sides, "sides", "", `the three sides of a block: "30 mm x 60 mm x 120 mm"`)
	f.StringVar(&h.start, "start", "", "temperature of the food when it goes in")
	f.StringVar(&h.setPoint, "set-point", "", "temperature of the bath")
	f.StringVar(&h.time, "time", "", "time in the bath: 90 min, 1 h 30 min")
	f.StringVar(&h.hold, "hold", "", "instead of --time: counted from the arrival of the core")
	f.StringVar(&h.medium, "medium", "", "water bath (the default), steam, oven, pan, oil, smoke or other")
	f.StringVar(&h.rules, "rules", "", "whose published minimums: us, eu, uk or other; not stated is the strictest")
	f.StringSliceVar(&h.serve, "serve", nil, "who is to eat it: public, vulnerable; both when not stated")
	f.StringVar(&h.frozen, "frozen", "", `of fish: frozen against parasites, "-20 °C for 7 d by supplier", "-35 °C then -20 °C for 24 h by supplier", or no`)
	f.StringVar(&h.fat, "fat", "", "fat of the food, such as 2 %")
	f.StringVar(&h.reads, "reads", "", `what the checked thermometer of the bath reads: "0.1 °C high", or 0 °C`)
	f.StringVar(&h.load, "load", "", "all food in the bath, such as 0.6 kg")
	f.StringVar(&h.volume, "volume", "", "water in the bath, such as 20 l")
	f.StringVar(&h.power, "power", "", "heater of the bath, such as 1100 W")
}

// heatOwn are the numbers that a user puts in the place of the table's.
type heatOwn struct {
	diffusivity, conductivity, coefficient, d, z, decades string
}

func (h *heatOwn) add(cmd *cobra.Command) {
	f := cmd.Flags()
	f.StringVar(&h.diffusivity, "diffusivity", "", "your own, m²/s, such as 1.4e-7")
	f.StringVar(&h.conductivity, "conductivity", "", "your own, W/m·K, such as 0.48")
	f.StringVar(&h.coefficient, "coefficient", "", "your own heat transfer at the surface, W/m²·K, such as 95")
	f.StringVar(&h.d, "d", "", `your own decimal reduction time: "2.88 min at 60 °C"`)
	f.StringVar(&h.z, "z", "", "your own z, such as 5.59 °C")
	f.StringVar(&h.decades, "decades", "", "your own number of decades, such as 6")
}

// override reads the user's own numbers, within limits that are wide enough for
// any food and any medium.
func (h *heatOwn) override(cmd *cobra.Command) (o safety.Override, err error) {
	for _, x := range []struct {
		name, text, unit, like string
		low, high              float64
		to                     *trial.Opt[float64]
	}{
		{"diffusivity", h.diffusivity, "m²/s", "1.4e-7", 1e-8, 1e-5, &o.Diffusivity},
		{"conductivity", h.conductivity, "W/m·K", "0.48", 0.01, 100, &o.Conductivity},
		{"coefficient", h.coefficient, "W/m²·K", "95", 0.1, 1e5, &o.Coefficient},
		{"decades", h.decades, "", "6", 0.1, 20, &o.Decades},
	} {
		if !cmd.Flags().Changed(x.name) {
			continue
		}
		text := strings.TrimSpace(strings.TrimSuffix(strings.TrimSpace(x.text), x.unit))
		v, err := strconv.ParseFloat(text, 64)
		if err != nil || !(v >= x.low && v <= x.high) {
			unit := x.unit
			if unit != "" {
				unit = " in " + unit
			}
			return o, usagef(cmd, "--%s %q: a number%s between %g and %g", x.name, x.text, unit, x.low, x.high).
				hint("for example --" + x.name + " " + x.like)
		}
		*x.to = trial.Some(v)
	}
	if cmd.Flags().Changed("z") {
		z, err := quantity.ParseDifference(h.z)
		if err != nil {
			return o, quantityFlag(cmd, "z", err)
		}
		if !(z.Kelvin() > 0 && z.Kelvin() <= 50) {
			return o, usagef(cmd, "--z %q: above 0 °C and at most 50 °C", h.z).hint(`for example --z "5.59 °C"`)
		}
		o.Z = trial.Some(z.Kelvin())
	}
	if cmd.Flags().Changed("d") {
		m := reductionText.FindStringSubmatch(strings.TrimSpace(h.d))
		if m == nil {
			return o, usagef(cmd, "--d %q: a time at a temperature", h.d).hint(`for example --d "2.88 min at 60 °C"`)
		}
		d, err := quantity.ParseDuration(m[1])
		if err != nil {
			return o, quantityFlag(cmd, "d", err)
		}
		at, err := quantity.ParseTemperature(m[2])
		if err != nil {
			return o, quantityFlag(cmd, "d", err)
		}
		o.D = trial.Some(safety.Reduction{Minutes: d.Minutes(), At: at.Celsius()})
	}
	if err := o.Check(); err != nil {
		return o, usagef(cmd, "%v", err)
	}
	return o, nil
}

var reductionText = regexp.MustCompile(`^(.+?)\s+at\s+(.+)$`)

// options are those of the answer, without the table.
func (f *heatFlags) options(cmd *cobra.Command, file bool) (opt answer.HeatOptions, err error) {
	for _, name := range foodFlags {
		if file && cmd.Flags().Changed(name) {
			return opt, usagef(cmd, "--%s is for a cook without a trial file", name).hint("leave out the file, or write it there")
		}
	}
	changed := cmd.Flags().Changed
	switch {
	case f.json && f.csv:
		return opt, usagef(cmd, "--json and --csv exclude each other")
	case !file && f.cook != "":
		return opt, usagef(cmd, "--cook names a cook of a trial file")
	case !f.table && (changed("thicknesses") || changed("set-points")):
		return opt, usagef(cmd, "--thicknesses and --set-points belong to --table")
	case changed("figure") && !strings.HasSuffix(strings.ToLower(f.figure), ".svg"):
		return opt, usagef(cmd, "--figure %q: a file whose name ends in .svg", f.figure)
	case file && changed("shape"):
		return opt, usagef(cmd, "--shape is for a cook without a trial file").hint("write food.shape in the file")
	}
	opt.Assume = !file
	opt.Own.Override, err = f.override(cmd)
	switch trial.Shape(f.shape) { // a slab is what a verdict takes anyway
	case trial.Cylinder:
		opt.Own.Shape = trial.Some(heat.Cylinder)
	case trial.Sphere:
		opt.Own.Shape = trial.Some(heat.Sphere)
	}
	return opt, err
}

// quantityFlag words what is wrong with the value of a flag.
func quantityFlag(cmd *cobra.Command, name string, err error) error {
	var q *quantity.Error
	if errors.As(err, &q) {
		return usagef(cmd, "--%s %q: %s", name, q.Text, q.Expected).hint(q.Hint)
	}
	return usagef(cmd, "--%s: %v", name, err)
}

// parsed reads one flag where it is given.
func parsed[T any](cmd *cobra.Command, name, text string, parse func(string) (T, error)) (o trial.Opt[T], err error) {
	if !cmd.Flags().Changed(name) {
		return o, nil
	}
	v, err := parse(text)
	if err != nil {
		return o, quantityFlag(cmd, name, err)
	}
	return trial.Some(v), nil
}

// word reads a flag that takes one of a few words.
func word[T ~string](cmd *cobra.Command, name, text string, words []T) (o trial.Opt[T], err error) {
	if !cmd.Flags().Changed(name) {
		return o, nil
	}
	var all []string
	for _, w := range words {
		if string(w) == text {
			return trial.Some(w), nil
		}
		all = append(all, string(w))
	}
	return o, usagef(cmd, "--%s %q: not one of the words it takes", name, text).hint(nearestOr(text, all, "write "+orList(all)))
}

// nearestOr proposes the nearest word, or else says something general.
func nearestOr(text string, words []string, general string) string {
	if best, ok := diag.Nearest(text, words); ok {
		return "did you mean " + best + "?"
	}
	return general
}

func orList(words []string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	return strings.Join(words[:len(words)-1], ", ") + " or " + words[len(words)-1]
}
