package cli

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"tamis/internal/design"
	"tamis/internal/diag"
	"tamis/internal/food"
	"tamis/internal/quantity"
	"tamis/internal/trial"
	"tamis/internal/trialfile"
)

// newTrial is what the flags of new say.
// A trial is made of them, or from a result with --from.
type newTrial struct {
	title, question, food, kind, form, by string
	thickness, start, time                string
	setPoints, measures, aims, baths      []string
	cooksEach, pieces, assessors          int
	sessions                              int
	common
	out, from string
	force     bool
	laidOut   bool // a line for each cook in the place of a design
}

func (a *app) newCmd() *cobra.Command {
	var n newTrial
	cmd := &cobra.Command{
		Use:   "new",
		Short: "write a commented trial file to start from",
		Long: `new writes a trial file, every key explained, with a design: what is to be
compared, and with what. check, size and plan work on it at once; plan turns it
into cooks, pieces, codes and orders. With --laid-out there is a line for each
cook and piece instead, ready to be filled in without a plan.

On a terminal, and without a flag that describes the trial, new asks six
questions and writes the answers to a file named after the food. Elsewhere it
asks nothing: the file goes to standard output, or with --out to a file that is
not there yet.

With --from it writes the trial that fit proposes to cook next: the same food,
measures and aims, by the method of the answer, as a design that plan lays out.
Its notes say what the findings say is to be done better.`,
		Example: `  tamis new --title "Pollack loin" --set-points "48 °C,52 °C,56 °C"
  tamis new --food "chicken breast" --kind poultry --set-points "60 °C,64 °C" \
    --aim "firmness 4 to 6" --aim "juiciness at least 6" --out chicken.yaml
  tamis new --from trials/pollack/pollack.yaml`,
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) > 0 {
				return usagef(cmd, "new takes no file name, but flags").hint("write --out " + args[0])
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := n.combination(cmd); err != nil {
				return err
			}
			if err := n.free(cmd); err != nil {
				return err
			}
			if n.from != "" {
				t, err := a.nextTrial(cmd, &n)
				if err != nil {
					return err
				}
				return a.writeNew(cmd, t, &n)
			}
			if a.maySayMore(cmd) {
				return a.askNew(cmd, &n)
			}
			t, err := n.fromFlags(cmd)
			if err != nil {
				return err
			}
			return a.writeNew(cmd, t, &n)
		},
	}
	n.common.add(cmd, false)
	f := cmd.Flags()
	f.StringVar(&n.from, "from", "", "a trial that was cooked: write the one to cook next")
	f.StringVar(&n.title, "title", "", "title of the trial")
	f.StringVar(&n.question, "question", "", "what the trial is to answer")
	f.StringVar(&n.by, "by", "", "who does it")
	f.StringVar(&n.food, "food", "food", "name of the food")
	f.StringVar(&n.kind, "kind", "", "kind of food: "+strings.Join(foodKinds, ", "))
	f.StringVar(&n.form, "form", "", "whole, minced, tenderised, injected, rolled or stuffed")
	f.StringVar(&n.thickness, "thickness", "", "thickness of a piece, such as 24 mm or 1 in")
	f.StringVar(&n.start, "start", "", "temperature of a piece when it goes into the bath, such as 4 °C")
	f.StringVar(&n.time, "time", "60 min", "time in the bath")
	f.StringSliceVar(&n.setPoints, "set-points", []string{"48 °C", "52 °C", "56 °C"}, "set points, comma-separated, each with its unit")
	f.StringSliceVar(&n.measures, "measures", []string{"firmness"}, "scores on a scale of 0 to 10, comma-separated")
	f.StringArrayVar(&n.aims, "aim", nil, `an aim, such as "firmness 5 to 6.5", "dryness at most 3", "liking highest"`)
	f.IntVar(&n.cooksEach, "cooks-each", 2, "cooks of each set point")
	f.IntVar(&n.pieces, "pieces", 2, "pieces in each cook")
	f.IntVar(&n.sessions, "sessions", 0, "sessions to spread the cooks over; 0 is one for each repeat")
	f.IntVar(&n.assessors, "assessors", 0, "how many people taste")
	f.StringSliceVar(&n.baths, "baths", nil, "names of the baths, comma-separated")
	f.BoolVar(&n.laidOut, "laid-out", false, "write a line for each cook and piece instead of a design")
	f.StringVar(&n.out, "out", "", "the file to write; it must not exist")
	f.BoolVar(&n.force, "force", false, "with --out: replace the file if it exists")
	return cmd
}

// fromFlags is the trial that the flags describe. Where they name no set points and
// those that are usual must not be eaten by the kind of food, others of that kind
// take their place.
func (n *newTrial) fromFlags(cmd *cobra.Command) (*trial.Trial, error) {
	t, err := n.trial(cmd)
	if err != nil || cmd.Flags().Changed("set-points") || edible(t) {
		return t, err
	}
	points, d, ok := n.proposed(cmd, cmd.Flags().Changed("time"))
	if !ok {
		// Too little is known for a verdict; what is never served rare is not begun cold.
		k, known := food.Lookup(n.kind)
		if sets := ladders[n.kind]; known && !k.WholeUnpasteurised && len(sets) > 0 {
			points, d = n.ladder(sets[len(sets)-1]), n.time
		} else {
			return t, nil
		}
	}
	other := *n
	other.setPoints, other.time = points, d
	return other.trial(cmd)
}

// danger is what a file that must not be cooked for eating says of itself, nil
// where nothing is refused.
func danger(t *trial.Trial) (words string) {
	points, why := design.Unsafe(t)
	if len(points) == 0 {
		return ""
	}
	return design.UnsafeText(points, why).Text(quantity.Metric) + " Nobody tastes it as it stands; tamis check says what would help."
}

// writeNew writes to standard output or, all or nothing, to a new file. A text
// that the reader would not take is refused with what the reader says.
func (a *app) writeNew(cmd *cobra.Command, t *trial.Trial, n *newTrial) error {
	warning := danger(t)
	text := trialfile.Write(t, trialfile.Style{Comments: true})
	m, err := firstError(text)
	if err != nil {
		return err
	}
	if m != nil {
		return usagef(cmd, "this would not be a sound trial: %s", m.Text).hint(m.Hint)
	}
	if warning != "" {
		var head strings.Builder
		for _, l := range diag.Wrap(diag.Clean(warning), columns-2) {
			fmt.Fprintf(&head, "# %s\n", l)
		}
		text = append([]byte(head.String()), text...)
		for _, l := range diag.Wrap("tamis: "+diag.Clean(warning), columns) {
			if _, err := fmt.Fprintln(a.Err, l); err != nil {
				return err
			}
		}
	}
	if n.out == "" {
		_, err := a.out.Write(text)
		return err
	}
	if n.from != "" && sameFolder(n.from, n.out) {
		// A trial names files of its own folder only. What --from proposes may be eaten,
		// so there is no warning that this would lose.
		t.Pilot = trial.Some(filepath.Base(n.from))
		text = trialfile.Write(t, trialfile.Style{Comments: true})
	}
	if err := writeFile(n.out, text); err != nil {
		return err
	}
	verb := "check"
	if n.from != "" { // made to be laid out, and known to be possible
		verb = "plan --seed 1"
	}
	a.printf("wrote %s\nnext: tamis %s %s\n", diag.Clean(n.out), verb, diag.Clean(n.out))
	return nil
}

// free refuses a name that is taken, unless forced, and a folder that is not
// there.
func (n *newTrial) free(cmd *cobra.Command) error {
	if n.out == "" {
		return nil
	}
	info, err := os.Lstat(n.out)
	switch {
	case err == nil && info.IsDir():
		return usagef(cmd, "--out %s: this is a folder, and a file name is needed", n.out)
	case err == nil && !n.force:
		return usagef(cmd, "%s exists already", n.out).hint("choose another name, or --force to replace it")
	case err != nil && !errors.Is(err, fs.ErrNotExist):
		return err
	}
	return folderOf(n.out)
}

// firstError reads the text as check would and gives its first error, or nil.
func firstError(text []byte) (*diag.Message, error) {
	dir, err := os.MkdirTemp("", "tamis-new-")
	if err != nil {
		return nil, err
	}
	defer func() { _ = os.RemoveAll(dir) }()
	path := filepath.Join(dir, "new.yaml")
	if err := os.WriteFile(path, text, 0o600); err != nil {
		return nil, err
	}
	_, messages, err := trialfile.Read(path, vocabulary())
	if err != nil {
		return nil, err
	}
	for _, m := range messages.Sorted() {
		if m.Severity == diag.Error {
			return &m, nil
		}
	}
	return nil, nil
}

func (n *newTrial) trial(cmd *cobra.Command) (*trial.Trial, error) {
	if strings.TrimSpace(n.food) == "" {
		return nil, usagef(cmd, "--food needs the name of what is cooked")
	}
	for _, limit := range []struct {
		name     string
		v        int
		low, top int
	}{{"cooks-each", n.cooksEach, 1, 50}, {"pieces", n.pieces, 0, 100}, {"assessors", n.assessors, 0, 500}, {"sessions", n.sessions, 0, 50}} {
		if limit.v < limit.low || limit.v > limit.top {
			return nil, usagef(cmd, "--%s %d: between %d and %d", limit.name, limit.v, limit.low, limit.top)
		}
	}
	t := &trial.Trial{Status: trial.Some(trial.Planned)}
	t.Food.Name = trial.Some(n.food)
	title := n.title
	if title == "" {
		title = n.food + ", " + strings.Join(n.setPoints, ", ")
	}
	t.Title = trial.Some(title)
	question := n.question
	if question == "" {
		question = "Which set point meets the aim?"
	}
	t.Question = trial.Some(question)
	if n.by != "" {
		t.By = trial.Some(n.by)
	}
	if err := n.describeFood(cmd, t); err != nil {
		return nil, err
	}
	if err := n.describeMeasures(cmd, t); err != nil {
		return nil, err
	}
	if n.laidOut {
		return t, n.layOut(cmd, t)
	}
	return t, n.describeDesign(cmd, t)
}

func (n *newTrial) describeFood(cmd *cobra.Command, t *trial.Trial) error {
	if n.kind != "" {
		if !slices.Contains(foodKinds, n.kind) {
			return usagef(cmd, "--kind %q is not a kind of food", n.kind).hint(kindHint(n.kind))
		}
		t.Food.Kind = trial.Some(n.kind)
	}
	if n.form != "" {
		for _, f := range trial.Forms {
			if string(f) == n.form {
				t.Food.Form = trial.Some(f)
			}
		}
		if !t.Food.Form.Known {
			return usagef(cmd, "--form %q: write whole, minced, tenderised, injected, rolled or stuffed", n.form)
		}
	}
	if n.thickness != "" {
		l, err := quantity.ParseLength(n.thickness)
		if err != nil {
			return usagef(cmd, "--thickness: %s", err)
		}
		t.Food.Thickness, t.Food.Shape = trial.Some(l), trial.Some(trial.Slab)
	}
	if n.start != "" {
		at, err := quantity.ParseTemperature(n.start)
		if err != nil {
			return usagef(cmd, "--start: %s", err)
		}
		t.Food.Start = trial.Some(at)
	}
	return nil
}

func (n *newTrial) describeMeasures(cmd *cobra.Command, t *trial.Trial) error {
	add := func(name string) {
		if _, ok := t.MeasureNamed(name); ok || name == "" {
			return
		}
		m := trial.Measure{Name: name, Kind: trial.ScaleScore, Scale: trial.Range{Low: 0, High: 10}, LowWord: trial.Some("none"), HighWord: trial.Some("very much")}
		if name == "cook_loss" { // computed, not scored
			m = trial.Measure{Name: name, Kind: trial.Amount, Unit: trial.Some("%"), From: trial.Some("weights")}
		}
		t.Measures = append(t.Measures, m)
	}
	for _, m := range n.measures {
		add(strings.ReplaceAll(strings.TrimSpace(m), " ", "_"))
	}
	for _, text := range n.aims {
		aim, err := parseAim(text)
		if err != nil {
			return usagef(cmd, "--aim %q: %s", text, err).hint(`write "firmness 5 to 6.5", "dryness at most 3", "juiciness at least 6" or "liking highest"`)
		}
		add(aim.Measure)
		t.Aims = append(t.Aims, aim)
	}
	return nil
}
