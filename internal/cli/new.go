package cli

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"tamis/internal/diag"
	"tamis/internal/quantity"
	"tamis/internal/trial"
	"tamis/internal/trialfile"
)

// newTrial is what the flags of new say.
type newTrial struct {
	title, question, food, kind, form, by string
	thickness, time                       string
	setPoints, measures, aims             []string
	cooksEach, pieces, assessors          int
	sessions                              int
	out                                   string
	force                                 bool
}

func (a *app) newCmd() *cobra.Command {
	var n newTrial
	cmd := &cobra.Command{
		Use:   "new",
		Short: "write a commented trial file to start from",
		Long: `new writes a trial file with a line for each cook and piece, every key
explained, ready to be filled in. It goes to standard output, or with --out to a
file that is not there yet.`,
		Example: `  tamis new --title "Pollack loin" --set-points "48 °C,52 °C,56 °C" --cooks-each 2
  tamis new --food "chicken breast" --kind poultry --set-points "60 °C,64 °C" \
    --aim "firmness 4 to 6" --aim "juiciness at_least 6" --out chicken.yaml`,
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) > 0 {
				return usagef(cmd, "new takes no file name, but flags").hint("write --out " + args[0])
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			t, err := n.trial(cmd)
			if err != nil {
				return err
			}
			return a.writeNew(cmd, trialfile.Write(t, trialfile.Style{Comments: true}), n.out, n.force)
		},
	}
	f := cmd.Flags()
	f.StringVar(&n.title, "title", "", "title of the trial")
	f.StringVar(&n.question, "question", "", "what the trial is to answer")
	f.StringVar(&n.by, "by", "", "who does it")
	f.StringVar(&n.food, "food", "food", "name of the food")
	f.StringVar(&n.kind, "kind", "", "kind of food: "+strings.Join(foodKinds, ", "))
	f.StringVar(&n.form, "form", "", "whole, minced, tenderised, injected, rolled or stuffed")
	f.StringVar(&n.thickness, "thickness", "", "thickness of a piece, such as 24 mm or 1 in")
	f.StringVar(&n.time, "time", "60 min", "time in the bath")
	f.StringSliceVar(&n.setPoints, "set-points", []string{"48 °C", "52 °C", "56 °C"}, "set points, comma-separated, each with its unit")
	f.StringSliceVar(&n.measures, "measures", []string{"firmness"}, "scores on a scale of 0 to 10, comma-separated")
	f.StringArrayVar(&n.aims, "aim", nil, `an aim, such as "firmness 5 to 6.5", "dryness at_most 3", "liking highest"`)
	f.IntVar(&n.cooksEach, "cooks-each", 2, "cooks of each set point")
	f.IntVar(&n.pieces, "pieces", 2, "pieces in each cook")
	f.IntVar(&n.sessions, "sessions", 0, "sessions to spread the cooks over; 0 is one for each repeat")
	f.IntVar(&n.assessors, "assessors", 0, "how many people taste")
	f.StringVar(&n.out, "out", "", "the file to write; it must not exist")
	f.BoolVar(&n.force, "force", false, "with --out: replace the file if it exists")
	return cmd
}

// writeNew writes to standard output or, all or nothing, to a new file.
func (a *app) writeNew(cmd *cobra.Command, text []byte, out string, force bool) error {
	if out == "" {
		_, err := a.out.Write(text)
		return err
	}
	if _, err := os.Lstat(out); err == nil && !force {
		return usagef(cmd, "%s exists already", out).hint("choose another name, or --force to replace it")
	} else if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	if err := trialfile.WriteFile(out, text); err != nil {
		return err
	}
	a.printf("wrote %s\nnext: tamis check %s\n", out, out)
	return nil
}

func (n *newTrial) trial(cmd *cobra.Command) (*trial.Trial, error) {
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
	if err := n.layOut(cmd, t); err != nil {
		return nil, err
	}
	if n.assessors > 0 {
		var p trial.Panel
		for i := 1; i <= n.assessors; i++ {
			p.Assessors = append(p.Assessors, trial.Assessor{ID: fmt.Sprintf("taster-%d", i), Kind: trial.Some(trial.Staff)})
		}
		t.Panel = trial.Some(p)
	}
	return t, nil
}

func (n *newTrial) describeFood(cmd *cobra.Command, t *trial.Trial) error {
	if n.kind != "" {
		found := false
		for _, k := range foodKinds {
			found = found || k == n.kind
		}
		if !found {
			e := usagef(cmd, "--kind %q is not a kind of food", n.kind)
			if best, ok := diag.Nearest(n.kind, foodKinds); ok {
				return e.hint("did you mean " + best + "?")
			}
			return e.hint("one of " + strings.Join(foodKinds, ", "))
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
	return nil
}

func (n *newTrial) describeMeasures(cmd *cobra.Command, t *trial.Trial) error {
	add := func(name string) {
		if _, ok := t.MeasureNamed(name); !ok && name != "" {
			t.Measures = append(t.Measures, trial.Measure{Name: name, Kind: trial.ScaleScore, Scale: trial.Range{Low: 0, High: 10},
				LowWord: trial.Some("none"), HighWord: trial.Some("very much")})
		}
	}
	for _, m := range n.measures {
		add(strings.ReplaceAll(strings.TrimSpace(m), " ", "_"))
	}
	for _, text := range n.aims {
		aim, err := parseAim(text)
		if err != nil {
			return usagef(cmd, "--aim %q: %s", text, err).hint(`write "firmness 5 to 6.5", "dryness at_most 3", "juiciness at_least 6" or "liking highest"`)
		}
		add(aim.Measure)
		t.Aims = append(t.Aims, aim)
	}
	return nil
}

// parseAim reads "firmness 5 to 6.5", "dryness at_most 3" and "liking highest".
func parseAim(text string) (trial.Aim, error) {
	f := strings.Fields(text)
	number := func(s string) (float64, error) {
		v, err := strconv.ParseFloat(s, 64)
		if err != nil || v-v != 0 {
			return 0, fmt.Errorf("%q is not a number", s)
		}
		return v, nil
	}
	switch {
	case len(f) == 4 && f[2] == "to":
		low, err1 := number(f[1])
		high, err2 := number(f[3])
		if err := errors.Join(err1, err2); err != nil {
			return trial.Aim{}, err
		}
		if low > high {
			return trial.Aim{}, errors.New("the low end is above the high end")
		}
		return trial.Aim{Measure: f[0], Target: trial.Some(trial.Range{Low: low, High: high})}, nil
	case len(f) == 3 && (f[1] == "at_most" || f[1] == "at_least"):
		v, err := number(f[2])
		if err != nil {
			return trial.Aim{}, err
		}
		if f[1] == "at_most" {
			return trial.Aim{Measure: f[0], AtMost: trial.Some(v)}, nil
		}
		return trial.Aim{Measure: f[0], AtLeast: trial.Some(v)}, nil
	case len(f) == 2 && (f[1] == "highest" || f[1] == "lowest"):
		return trial.Aim{Measure: f[0], Best: trial.Some(trial.Best(f[1]))}, nil
	}
	return trial.Aim{}, errors.New("this is not an aim")
}

// layOut makes the cooks: each session has each set point once, in an order
// that is turned from session to session. plan will draw it by lot.
func (n *newTrial) layOut(cmd *cobra.Command, t *trial.Trial) error {
	d, err := quantity.ParseDuration(n.time)
	if err != nil {
		return usagef(cmd, "--time: %s", err)
	}
	var points []quantity.Temperature
	for _, s := range n.setPoints {
		p, err := quantity.ParseTemperature(strings.TrimSpace(s))
		if err != nil {
			return usagef(cmd, "--set-points: %s", err)
		}
		points = append(points, p)
	}
	if len(points) > 40 {
		return usagef(cmd, "--set-points: at most 40")
	}
	sessions := n.sessions
	if sessions == 0 {
		sessions = n.cooksEach
	}
	no := 0
	order := make([]int, sessions)
	for r := 0; r < n.cooksEach; r++ {
		for k := range points {
			no++
			s := r % sessions
			order[s]++
			c := trial.Cook{ID: fmt.Sprintf("C%02d", no), SetPoint: trial.Some(points[(k*2+r)%len(points)]), Time: trial.Some(d),
				Session: trial.Some(fmt.Sprintf("session-%d", s+1)), Order: trial.Some(order[s])}
			if len(points)%2 == 0 {
				c.SetPoint = trial.Some(points[(k+r)%len(points)])
			}
			for j := 0; j < n.pieces; j++ {
				c.Pieces = append(c.Pieces, trial.Piece{ID: fmt.Sprintf("%s-%d", c.ID, j+1)})
			}
			t.Cooks = append(t.Cooks, c)
		}
	}
	for s := 0; s < min(sessions, n.cooksEach); s++ {
		t.Sessions = append(t.Sessions, trial.Session{ID: fmt.Sprintf("session-%d", s+1)})
	}
	return nil
}
