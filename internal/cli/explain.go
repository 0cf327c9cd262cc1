package cli

import (
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"tamis/internal/answer"
	"tamis/internal/diag"
	"tamis/internal/fairness"
	"tamis/internal/prose"
	"tamis/internal/quantity"
)

// explainSchema names the version of explain's JSON.
const explainSchema = "explain/1"

func (a *app) explainCmd() *cobra.Command {
	var asJSON bool
	var units string
	cmd := &cobra.Command{
		Use:   "explain [SLUG]",
		Short: "what a finding or a method means",
		Long: `explain says of a finding what is asked, why it misleads, with a small example
worked out on the spot, how it is found, and how to avoid it. It explains
methods as well. Without a word it lists all of them.`,
		Example: `  tamis explain one-run-per-set-point
  tamis explain window
  tamis explain`,
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) > 1 {
				return usagef(cmd, "explain takes one word, not %d", len(args))
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			sys, err := quantity.ParseSystem(units)
			if err != nil {
				return usagef(cmd, "--units %q: write metric or us", units)
			}
			if len(args) == 0 {
				return a.explainAll(asJSON)
			}
			if check, ok := fairness.Lookup(args[0]); ok {
				return a.explainCheck(check, sys, asJSON)
			}
			if topic, ok := answer.TopicNamed(args[0]); ok {
				return a.explainTopic(topic, asJSON)
			}
			return usagef(cmd, "there is nothing to explain under %q", args[0]).hint(nearestTopic(args[0]))
		},
	}
	cmd.Flags().BoolVar(&asJSON, "json", false, "print it as JSON")
	cmd.Flags().StringVar(&units, "units", "metric", "what is shown: metric or us")
	return cmd
}

func nearestTopic(word string) string {
	all := fairness.Slugs()
	for _, t := range answer.Topics() {
		all = append(all, t.Slug)
	}
	if near, ok := diag.Nearest(word, all); ok {
		return "did you mean: tamis explain " + near
	}
	if like := sharingWords(word, all); len(like) > 0 {
		return "perhaps one of: " + strings.Join(like, ", ")
	}
	return "tamis explain lists all findings and methods"
}

// sharingWords are the names that have most of the words of another in common,
// three at most: "order" finds run-order-follows-set-point. A word counts from
// three letters on, and as the beginning of a longer one.
func sharingWords(word string, names []string) []string {
	split := func(r rune) bool { return r == '-' || r == '_' || r == ' ' }
	typed := strings.FieldsFunc(strings.ToLower(word), split)
	shared := func(name string) int {
		n := 0
		for _, w := range typed {
			for _, part := range strings.FieldsFunc(name, split) {
				if len(w) >= 3 && (strings.HasPrefix(part, w) || len(part) >= 3 && strings.HasPrefix(w, part)) {
					n++
					break
				}
			}
		}
		return n
	}
	out := slices.DeleteFunc(slices.Clone(names), func(name string) bool { return shared(name) == 0 })
	slices.SortStableFunc(out, func(a, b string) int { return shared(b) - shared(a) })
	return out[:min(3, len(out))]
}

// explainAll lists every check by family, then the methods.
func (a *app) explainAll(asJSON bool) error {
	if asJSON {
		type line struct {
			Slug   string `json:"slug"`
			Family string `json:"family"`
			Asks   string `json:"asks"`
		}
		out := struct {
			Tamis    string         `json:"tamis"`
			Findings []line         `json:"findings"`
			Methods  []answer.Topic `json:"methods"`
		}{Tamis: explainSchema, Methods: answer.Topics()}
		for _, c := range fairness.Catalogue() {
			out.Findings = append(out.Findings, line{c.Slug, string(c.Family), c.Asks})
		}
		return a.printJSON(out)
	}
	f := &fitText{}
	family := fairness.Family("")
	for _, c := range fairness.Catalogue() {
		if c.Family != family {
			family = c.Family
			f.heading(prose.Upper(string(family)))
		}
		f.entry(c.Slug, c.Asks)
	}
	f.heading("Methods")
	for _, t := range answer.Topics() {
		f.entry(t.Slug, prose.Upper(t.Name))
	}
	f.blank()
	f.prose("tamis explain SLUG explains one.", "", "")
	_, err := a.out.WriteString(f.text())
	return err
}

// entry is a name and, in the next column or on the next line, what it means.
func (f *fitText) entry(name, means string) {
	const column = 30
	if pad := column - 2 - cells(name); pad >= 1 {
		f.prose(means, "  "+name+strings.Repeat(" ", pad), strings.Repeat(" ", column))
		return
	}
	f.line("  " + name)
	f.prose(means, strings.Repeat(" ", column), strings.Repeat(" ", column))
}

// topic is a heading of its own and the text under it.
func (f *fitText) topic(heading, text string) {
	if text == "" {
		return
	}
	f.heading(heading)
	f.prose(text, "  ", "  ")
}

func (a *app) explainCheck(c *fairness.Check, sys quantity.System, asJSON bool) error {
	why := fairness.Explain(c)
	if asJSON {
		return a.printJSON(struct {
			Tamis string `json:"tamis"`
			fairness.Explanation
		}{explainSchema, why})
	}
	f := &fitText{sys: sys}
	f.line(c.Slug)
	f.prose(fmt.Sprintf("%s; can be seen %s; %s", why.Family, why.Seen, why.Severities), "", "")
	f.topic("What is asked", why.Asks)
	f.topic("Why it misleads", why.Why)
	if len(why.Example) > 0 {
		f.heading("An example, worked out now")
		f.prose(why.Example.Text(sys), "  ", "  ")
	}
	f.topic("How it is found", why.Finds)
	f.topic("When it is clear", why.Clears)
	f.topic("When it cannot be judged", why.Unjudged)
	f.topic("How to avoid it", why.Avoid)
	if len(why.Options) > 0 {
		f.heading("Thresholds")
		for _, o := range why.Options {
			says := o.Says
			if o.Source != "" {
				says += " (" + o.Source + ")"
			}
			f.prose(says, "  "+o.Name+" = "+o.Default+"  ", "      ")
		}
	}
	if len(why.Needs) > 0 {
		f.topic("What it reads", strings.Join(why.Needs, ", "))
	}
	f.snippet("It fires on", why.FiresOn)
	f.snippet("It is clear on", why.ClearOn)
	f.topic("Source", why.Source)
	_, err := a.out.WriteString(f.text())
	return err
}

// snippet prints a piece of a trial file. Lines that are too long are wrapped
// with a hanging indent, which YAML's flow style allows.
func (f *fitText) snippet(heading, yaml string) {
	if yaml == "" {
		return
	}
	f.heading(heading)
	for _, l := range strings.Split(yaml, "\n") {
		f.prose(l, "    ", "      ")
	}
}

func (a *app) explainTopic(t answer.Topic, asJSON bool) error {
	if asJSON {
		return a.printJSON(struct {
			Tamis string `json:"tamis"`
			answer.Topic
		}{explainSchema, t})
	}
	f := &fitText{}
	f.line(t.Slug)
	f.line(t.Name)
	f.topic("What it is", t.What)
	f.topic("Why", t.Why)
	f.topic("How", t.How)
	f.topic("What it cannot say", t.Limits)
	f.topic("Source", t.Source)
	_, err := a.out.WriteString(f.text())
	return err
}
