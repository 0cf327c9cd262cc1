package cli

import (
	"errors"
	"fmt"
	"os"
	"regexp"
	"strings"
	"unicode"

	"github.com/spf13/cobra"

	"tamis/internal/answer"
	"tamis/internal/food"
	"tamis/internal/quantity"
	"tamis/internal/trial"
	"tamis/internal/trialfile"
)

// question is one of the six.
type question struct {
	text     string             // as it is shown, lines of its own
	standard func() string      // what Enter stands for; "" if nothing does
	take     func(string) error // a *refusal asks again
}

// askNew asks for the trial and writes it. Nothing is written before the last
// answer.
func (a *app) askNew(cmd *cobra.Command, n *newTrial) error {
	ctx := cmd.Context()
	who := newTypist(ctx, a.In, a.Err)
	n.food, n.setPoints, n.aims, n.measures, n.cooksEach, n.assessors = "food", nil, nil, nil, 3, 4
	fmt.Fprint(a.Err, "Six questions. Enter takes what stands in brackets; Ctrl-C leaves no file.\n")
	for _, q := range n.questions(cmd, who) {
		if err := who.ask(ctx, q); err != nil {
			return err
		}
	}
	t, err := n.trial(cmd)
	if err != nil {
		return err
	}
	if n.out == "" && a.isTerminal(a.Out) { // a file that is sent elsewhere has its place
		if n.out, err = unusedName(n.food); err != nil {
			return err
		}
	}
	if err := ctx.Err(); err != nil {
		return err
	}
	fmt.Fprintln(a.Err)
	return a.writeNew(cmd, t, n)
}

// questions are the six, each checked as it is typed: what the flags or the
// reader of trial files would refuse is asked again.
func (n *newTrial) questions(cmd *cobra.Command, who *typist) []question {
	check := func(set func(*newTrial) error) error {
		next := *n
		if err := set(&next); err != nil {
			return err
		}
		if err := next.sound(cmd); err != nil {
			return err
		}
		*n = next
		return nil
	}
	return []question{
		{
			text: "1  What do you cook? Name, kind, form, thickness, as far as you know them.\n" +
				"   For example: cod loin, lean fish, whole, 24 mm\n",
			standard: func() string { return "food" },
			take: func(s string) error {
				if err := check(func(m *newTrial) error { return m.takeFood(s) }); err != nil {
					return err
				}
				if n.kind == "" {
					note := "Without its kind there is no verdict on who may eat it. The kinds are " + strings.Join(foodKinds, ", ") + ": add one to the file."
					if kinds := food.KindsNamed(n.food); len(kinds) > 0 {
						note = "Without its kind there is no verdict on who may eat it. Is it " + strings.Join(kinds, " or ") + "? Add it to the file as kind."
					}
					who.note(note)
				}
				return nil
			},
		},
		{
			text:     "2  Which question is the trial to answer?\n",
			standard: func() string { return "Which set point meets the aim?" },
			take:     func(s string) error { return check(func(m *newTrial) error { m.question = s; return nil }) },
		},
		{
			text: "3  What is the aim? The scores go from 0 to 10.\n" +
				"   For example: firmness 5 to 6.5 and dryness at most 3\n",
			standard: func() string { return "firmness 4 to 6" },
			take:     func(s string) error { return check(func(m *newTrial) error { return m.takeAims(s) }) },
		},
		{
			text: "4  Which set points, and for how long?\n" +
				"   For example: 62 °C, 65 °C and 68 °C for 90 min\n",
			standard: func() string { return n.proposal(cmd) },
			take: func(s string) error {
				if err := check(func(m *newTrial) error { return m.takeSetPoints(s) }); err != nil {
					return err
				}
				n.warn(cmd, who)
				return nil
			},
		},
		{
			text: "5  How many cooks of each set point, pieces in a cook, people who taste?\n" +
				"   A set point is applied to a cook: only more cooks show how cooks differ.\n",
			standard: func() string {
				return fmt.Sprintf("%d cooks, %d pieces, %d people", n.cooksEach, n.pieces, n.assessors)
			},
			take: func(s string) error { return check(func(m *newTrial) error { return m.takeNumbers(s) }) },
		},
		{
			text:     "6  Which baths do you have? Give each a name.\n",
			standard: func() string { return "bath-1, bath-2" },
			take:     func(s string) error { return check(func(m *newTrial) error { return m.takeBaths(s) }) },
		},
	}
}

// sound refuses what would not be a sound trial, as the reader says it. What was
// not asked yet stands in with something harmless.
func (n *newTrial) sound(cmd *cobra.Command) error {
	t, err := n.draft(cmd)
	var usage *usageError
	if errors.As(err, &usage) {
		hint := usage.hintText
		if strings.HasPrefix(hint, "see tamis") || strings.Contains(hint, "--") {
			hint = ""
		}
		return &refusal{text: flagName.ReplaceAllString(usage.text, ""), hint: hint}
	}
	if err != nil {
		return err
	}
	m, err := firstError(trialfile.Write(t, trialfile.Style{}))
	if err != nil || m == nil {
		return err
	}
	return &refusal{text: m.Text, hint: m.Hint}
}

// flagName is the flag at the head of a message: at a prompt nobody typed one.
var flagName = regexp.MustCompile(`^--[a-z-]+:? `)

// draft is the trial so far.
func (n *newTrial) draft(cmd *cobra.Command) (*trial.Trial, error) {
	d := *n
	if len(d.setPoints) == 0 {
		d.setPoints = []string{"100 °C"}
	}
	if len(d.aims) == 0 {
		d.measures = []string{"firmness"}
	}
	return d.trial(cmd)
}

// warn says who may eat it, where somebody should not.
func (n *newTrial) warn(cmd *cobra.Command, who *typist) {
	t, err := n.draft(cmd)
	if err != nil {
		return
	}
	for _, v := range answer.Summarise(t, nil).Verdicts {
		if v.Verdict != answer.VerdictDoNotEat {
			continue
		}
		f := &fitText{sys: n.system()}
		f.verdicts([]answer.HeatVerdict{v})
		who.note(strings.Join(strings.Fields(strings.TrimPrefix(strings.Join(f.out, " "), "  - ")), " "))
		who.note("Write it into the file before you plan: for people who taste, plan lays out nothing that is not to be eaten.")
		return
	}
}

// system is the one in which the cook types.
func (n *newTrial) system() quantity.System {
	for _, s := range append([]string{n.thickness, n.start}, n.setPoints...) {
		if l, err := quantity.ParseLength(s); err == nil && l.Unit() == "in" {
			return quantity.US
		}
		if t, err := quantity.ParseTemperature(s); err == nil && t.Unit() == "°F" {
			return quantity.US
		}
	}
	return quantity.Metric
}

// unusedName is a file name that is not taken, after the name of the food.
func unusedName(food string) (string, error) {
	var b strings.Builder
	for _, r := range strings.ToLower(food) {
		switch {
		case unicode.IsLetter(r) || unicode.IsDigit(r):
			b.WriteRune(r)
		case b.Len() > 0 && !strings.HasSuffix(b.String(), "-"):
			b.WriteByte('-')
		}
		if b.Len() >= 60 {
			break
		}
	}
	stem := strings.Trim(b.String(), "-")
	if stem == "" {
		stem = "trial"
	}
	for i := 1; i < 1000; i++ {
		name := stem + ".yaml"
		if i > 1 {
			name = fmt.Sprintf("%s-%d.yaml", stem, i)
		}
		if _, err := os.Lstat(name); errors.Is(err, os.ErrNotExist) {
			return name, nil
		} else if err != nil {
			return "", err
		}
	}
	return "", fmt.Errorf("%s.yaml and its numbered fellows all exist; choose a name with --out", stem)
}
