package fairness

import (
	"fmt"
	"strings"

	"tamis/internal/prose"
	"tamis/internal/quantity"
)

// CataloguePage is the whole catalogue as one page of Markdown, from the literals
// of the checks and the list of thresholds.
func CataloguePage() string {
	var b strings.Builder
	say := func(format string, args ...any) { fmt.Fprintf(&b, format+"\n", args...) }
	say("# What else changed: all checks\n\nGenerated from the checks themselves by `go test ./internal/fairness -run CataloguePage -update`.")
	say("%d checks in %d families. Each fires, is clear, cannot judge (and names what is missing), or does not apply.", len(catalogue), len(families))
	family := Family("")
	for _, c := range catalogue {
		if c.Family != family {
			family = c.Family
			say("\n## %s", prose.Upper(string(family)))
		}
		e := Explain(c)
		say("\n### %s\n\n*%s* Can be seen %s; %s.\n", e.Slug, e.Asks, e.Seen, e.Severities)
		say("%s\n", e.Why)
		if len(e.Example) > 0 {
			say("*For example:* %s\n", e.Example.Text(quantity.Metric))
		}
		for _, part := range [][2]string{{"Found", e.Finds}, {"Clear", e.Clears}, {"Cannot judge", e.Unjudged}, {"Next time", e.Avoid}, {"Source", e.Source}} {
			if part[1] != "" {
				say("- **%s:** %s", part[0], strings.ReplaceAll(part[1], "\n", " "))
			}
		}
		if len(e.Needs) > 0 {
			say("- **Reads:** %s", "`"+strings.Join(e.Needs, "`, `")+"`")
		}
		for _, part := range [][2]string{{"Fires on", e.FiresOn}, {"Clear on", e.ClearOn}} {
			if part[1] != "" {
				say("\n%s:\n\n```yaml\n%s\n```", part[0], strings.TrimRight(part[1], "\n"))
			}
		}
	}
	say("\n## Thresholds\n\nHouse rules unless a source is named. `thresholds:` in the trial file or `--threshold NAME=VALUE` changes one.\n\n| name | default | what it limits |\n| --- | --- | --- |")
	for _, o := range options {
		says := o.Says
		if o.Source != "" {
			says += " (" + o.Source + ")"
		}
		say("| `%s` | %s | %s |", o.Name, o.Default, says)
	}
	return b.String()
}
