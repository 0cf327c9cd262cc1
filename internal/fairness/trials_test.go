package fairness

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"gopkg.in/yaml.v3"

	"tamis/internal/diag"
	"tamis/internal/heat"
	"tamis/internal/quantity"
	"tamis/internal/safety"
	"tamis/internal/texture"
	"tamis/internal/trial"
	"tamis/internal/trialfile"
)

// trialsDir holds, for each check, a trial that fires, one that is clear and,
// where it can come to that, one that it cannot judge: slug.fires.yaml and so on.
// In each the line that is meant carries a mark, behind `# <-`.
const trialsDir = "../../testdata/fairness"

const markSign = "# <- "

const trialsReadme = `# Trials for the checks

Invented trials, each the same complete fair trial with one thing changed: three
set points, each cooked once in each of three sessions, everything recorded,
declared beforehand, tasted blind by twelve people in balanced orders.

For each check there is one on which it fires, one on which it is clear, and one
that it cannot judge where it can come to that: SLUG.fires.yaml, SLUG.clear.yaml
and SLUG.cannot.yaml. A word behind that names a further case: days that stand in
sessions, in clock times, or nowhere. The line that is meant carries a mark behind
"# <-": what is found, or which field is missing. Score sheets, keys and logs that do not
differ from the fair trial's are shared. Try one:

    tamis fit testdata/fairness/served-at-differs.fires.yaml

They are written from grafts by
"go test ./internal/fairness -run TestTrialsOfChecks -args -update", and read
and checked by the same test without the flag.
`

// panelHead goes over the fair trial: twelve tasters, codes, and a guess.
const panelHead = `panel: {key: key.csv, guessed: {answers: 12, correct: 5, of: 3}, assessors: {gus: {kind: trained, cooked: no, chose: no}, hedda: {kind: trained, cooked: no, chose: no},
  ivo: {kind: trained, cooked: no, chose: no}, jana: {kind: trained, cooked: no, chose: no}, karl: {kind: trained, cooked: no, chose: no}, lena: {kind: trained, cooked: no, chose: no}}}`

var twelve = append(slices.Clone(fairTasters), "gus", "hedda", "ivo", "jana", "karl", "lena")

func (p planted) name() string {
	name := p.slug + "." + map[Outcome]string{Fires: "fires", Clear: "clear", CannotJudge: "cannot"}[p.outcome]
	if p.variant != "" {
		name += "." + p.variant
	}
	return name
}

// files are the files of a planted trial; what several trials have in common has
// one name.
func (p planted) files(t testing.TB) map[string]string {
	t.Helper()
	root := parseYAML(t, fairHead)
	var cooks *yaml.Node
	for _, s := range append([]string{panelHead}, p.grafts...) {
		snippet := parseYAML(t, s)
		for i := 0; i < len(snippet.Content); i += 2 {
			switch key, v := snippet.Content[i].Value, snippet.Content[i+1]; key {
			case "cooks":
				cooks = v
			case "aim":
				*nodeAt(root, key) = *v
			default:
				mergeNode(root, key, v)
			}
		}
	}
	if cooks == nil {
		cooks = parseYAML(t, allCooks(""))
		cooks = nodeAt(cooks, "cooks")
	}
	files := map[string]string{}
	for i, c := range cooks.Content {
		fairCook(i, c)
		if textAt(c, "log") == "none" {
			removeKey(c, "log")
		} else {
			log := fmt.Sprintf("logs/%g-%gmin.csv", typedCelsius(textAt(c, "set_point")), spanMinutes(c))
			nodeAt(c, "log").Value = log
			files[log] = fairLog(c)
		}
		describeID(root, "baths", textAt(c, "bath"), "{reads: 0.0 °C high, checked: 2026-02-01, volume: 20 l}")
		n := len(nodeAt(root, "sessions").Content) / 2
		describeID(root, "sessions", textAt(c, "session"), fmt.Sprintf("{date: 2026-02-%d}", 10+n))
		for _, piece := range nodeAt(c, "pieces").Content {
			source := textAt(piece, "source")
			if k, err := strconv.Atoi(strings.TrimPrefix(source, "fish-")); err == nil {
				describeID(root, "sources", source, fmt.Sprintf("{lot: L%d, caught: 2026-01-%d}", (k+2)/3, 20+(k+2)/3))
			}
		}
	}
	if panel := nodeAt(root, "panel"); textAt(panel, "scores") != "" {
		coded := textAt(panel, "key") != ""
		sheet, key := p.sheet(cooks, coded)
		put := func(field, name, text string) {
			if fair, _ := (planted{}).sheet(fairNine(t), true); p.slug != "" && text != fair && (field == "scores" || text != keyOf(fairNine(t))) {
				name = p.name() + "." + name
			}
			nodeAt(panel, field).Value = name
			files[name] = text
		}
		put("scores", "scores.csv", sheet)
		if coded {
			put("key", "key.csv", key)
		}
	}
	var b strings.Builder
	fmt.Fprintf(&b, "# The complete fair trial with one thing changed, for the check %s.\n# The line that is meant is marked. Invented data.\n", p.slug)
	writeTrial(&b, root, cooks)
	files[p.name()+".yaml"] = b.String()
	return files
}

// scored reports whether a check needs the analysis of the scores to judge.
func (p planted) scored(check *Check) bool {
	return check.Stage == Scored || check.Family == Claims || p.scores != nil
}

func fairNine(t testing.TB) *yaml.Node {
	cooks := nodeAt(parseYAML(t, allCooks("")), "cooks")
	for i, c := range cooks.Content {
		fairCook(i, c)
	}
	return cooks
}

func codeOf(n int) string { return strconv.Itoa(101 + n*397%887) }

// keyOf gives the pieces their codes.
func keyOf(cooks *yaml.Node) string {
	key, n := "code,piece\n", 0
	for _, c := range cooks.Content {
		for _, p := range nodeAt(c, "pieces").Content {
			key += codeOf(n) + "," + textAt(p, "id") + "\n"
			n++
		}
	}
	return key
}

// sheet is a score sheet on which each of twelve tasters tastes one piece of each
// cook of a session, in orders of which each comes equally often.
func (p planted) sheet(cooks *yaml.Node, coded bool) (sheet, key string) {
	tasted := "cook,piece"
	if coded {
		tasted = "code"
	}
	var sessions []string
	in := map[string][]int{}
	first := map[int]int{} // number of the first piece of a cook
	n := 0
	arms := []float64{}
	for i, c := range cooks.Content {
		s := textAt(c, "session")
		if in[s] == nil {
			sessions = append(sessions, s)
		}
		in[s] = append(in[s], i)
		first[i] = n
		n += len(nodeAt(c, "pieces").Content)
		if at := typedCelsius(textAt(c, "set_point")); !slices.Contains(arms, at) {
			arms = append(arms, at)
		}
	}
	slices.Sort(arms)
	var more []string
	var b strings.Builder
	row := 0
	for k, s := range sessions {
		list := in[s]
		orders := permutations(len(list))
		for who, name := range twelve {
			before := -1
			for place, at := range orders[(who+5*k)%len(orders)] {
				i := list[at]
				c := cooks.Content[i]
				set := typedCelsius(textAt(c, "set_point"))
				random := rand.New(rand.NewPCG(uint64(row), 41))
				x := bite{who: who, arm: slices.Index(arms, set), session: k, place: place, cook: i, before: before, row: row, assessor: name, position: strconv.Itoa(place + 1)}
				if n := len(nodeAt(c, "pieces").Content); n > 0 {
					x.piece = (who + 2*i) % n
				}
				run := rand.New(rand.NewPCG(uint64(i), 47))
				x.value = 5 + 0.35*(set-52) + 0.15*run.NormFloat64() + 0.6*math.Sin(float64(5*who+2)) + 0.5*random.NormFloat64()
				before = x.arm
				row++
				if p.scores != nil && !p.scores(&x) {
					continue
				}
				if x.firmness == "" {
					x.firmness = fmt.Sprintf("%.1f", math.Max(0, math.Min(10, x.value)))
				}
				what := codeOf(first[i] + x.piece)
				if !coded {
					what = textAt(c, "id") + "," + textAt(nodeAt(c, "pieces").Content[x.piece], "id")
				}
				fmt.Fprintf(&b, "%s,%s,%s,%s,%s", x.assessor, s, x.position, what, strings.TrimSpace(x.firmness))
				more = nil
				for j := 0; j < len(x.more); j += 2 {
					more = append(more, ","+x.more[j])
					b.WriteString("," + x.more[j+1])
				}
				b.WriteString("\n")
			}
		}
	}
	return "assessor,session,position," + tasted + ",firmness" + strings.Join(more, "") + "\n" + b.String(), keyOf(cooks)
}

// permutations are serving orders of n samples: all of them for up to three, the
// round ones and their reverses for more.
func permutations(n int) [][]int {
	if n == 3 {
		return [][]int{{0, 1, 2}, {1, 2, 0}, {2, 0, 1}, {2, 1, 0}, {0, 2, 1}, {1, 0, 2}}
	}
	var out [][]int
	for shift := range n {
		a, b := make([]int, n), make([]int, n)
		for i := range n {
			a[i] = (i + shift) % n
			b[n-1-i] = a[i]
		}
		out = append(out, a, b)
	}
	return out
}

// writeTrial writes a trial with one line for a thing.
func writeTrial(b *strings.Builder, root, cooks *yaml.Node) {
	for i := 0; i < len(root.Content); i += 2 {
		key, v := root.Content[i].Value, root.Content[i+1]
		if v.Tag == "!!null" {
			continue
		}
		if !slices.Contains([]string{"measures", "sources", "baths", "sessions", "panel"}, key) || len(v.Content) == 0 {
			fmt.Fprintf(b, "%s: %s\n", key, flowOf(v))
			continue
		}
		fmt.Fprintf(b, "%s:\n", key)
		for j := 0; j < len(v.Content); j += 2 {
			name, w := v.Content[j].Value, v.Content[j+1]
			switch {
			case w.Tag == "!!null":
			case name == "assessors":
				b.WriteString("  assessors:\n")
				for l := 0; l < len(w.Content); l += 2 {
					fmt.Fprintf(b, "    %s: %s\n", w.Content[l].Value, flowOf(w.Content[l+1]))
				}
			default:
				fmt.Fprintf(b, "  %s: %s\n", name, flowOf(w))
			}
		}
	}
	b.WriteString("cooks:\n")
	for _, c := range cooks.Content {
		pieces := nodeAt(c, "pieces").Content
		b.WriteString("  - {")
		first := []string{"id", "set_point", "session", "order", "bath", "time", "started", "out", "served"}
		for _, key := range first {
			if v := nodeAt(c, key); v != nil && v.Tag != "!!null" {
				fmt.Fprintf(b, "%s: %s, ", key, flowOf(v))
			}
		}
		for i := 0; i < len(c.Content); i += 2 {
			if key, v := c.Content[i].Value, c.Content[i+1]; key != "pieces" && v.Tag != "!!null" && !slices.Contains(first, key) {
				fmt.Fprintf(b, "%s: %s, ", key, flowOf(v))
			}
		}
		b.WriteString("pieces: [")
		for i, p := range pieces {
			if i > 0 {
				b.WriteString(",")
			}
			b.WriteString("\n       " + flowOf(p))
		}
		b.WriteString("]}\n")
	}
}

// flowOf writes a node on one line, its scalars as they were typed.
func flowOf(n *yaml.Node) string {
	switch n.Kind {
	case yaml.MappingNode:
		var parts []string
		for i := 0; i < len(n.Content); i += 2 {
			if n.Content[i+1].Tag != "!!null" {
				parts = append(parts, n.Content[i].Value+": "+flowOf(n.Content[i+1]))
			}
		}
		return "{" + strings.Join(parts, ", ") + "}"
	case yaml.SequenceNode:
		var parts []string
		for _, c := range n.Content {
			parts = append(parts, flowOf(c))
		}
		return "[" + strings.Join(parts, ", ") + "]"
	}
	if n.Style&(yaml.DoubleQuotedStyle|yaml.SingleQuotedStyle) != 0 || strings.ContainsAny(n.Value, ",#{}[]") || strings.Contains(n.Value, ": ") {
		return strconv.Quote(n.Value)
	}
	return n.Value
}

// fullRun asks every check; the scores are analysed where that is asked for.
func fullRun(t testing.TB, tr *trial.Trial, scored bool) *Result {
	t.Helper()
	in := Inputs{Trial: tr, Heat: heat.OfTrial(tr)}
	in.Safety = safety.OfTrial(tr, in.Heat)
	if scored {
		in.Fit = texture.Analyse(tr, texture.Options{Draws: 2, Measures: []string{"firmness"}})
	}
	r, err := Run(in)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func readTrial(t testing.TB, path string) *trial.Trial {
	t.Helper()
	tr, messages, err := trialfile.Read(path, trialfile.Vocabulary{})
	if err != nil || tr == nil {
		t.Fatalf("%s: %v %v", path, err, messages[:min(3, len(messages))])
	}
	for _, m := range messages {
		if m.Severity == diag.Error {
			t.Fatalf("%s: %v", path, m)
		}
	}
	return tr
}

// markOf is what the mark of a finding says.
func markOf(f *Finding) string {
	s := f.Slug + ": " + string(f.Outcome)
	switch {
	case f.Outcome == Fires:
		s = f.Slug + ": " + f.Severity.String()
	case len(f.Missing) > 0:
		s += ", " + f.Missing[0].Field
	case f.TooFew != nil:
		s += ", too few " + f.TooFew.What
	}
	if f.Outcome != Clear && strings.HasSuffix(f.Where.At.File.String(), ".csv") {
		s += fmt.Sprintf(" (%s, line %d)", filepath.Base(f.Where.At.File.String()), f.Where.At.Line)
	}
	return s
}

// lineOf is the line of the trial file that a finding is marked on: its own, or
// that which names the table it stands in.
func lineOf(f *Finding, text string) int {
	if f.Outcome != Clear && !strings.HasSuffix(f.Where.At.File.String(), ".csv") {
		return int(f.Where.At.Line)
	}
	for i, line := range strings.Split(text, "\n") {
		if strings.HasPrefix(strings.TrimSpace(line), "scores: ") {
			return i + 1
		}
	}
	return 0
}

func findingNamed(r *Result, slug string) *Finding {
	for i := range r.Findings {
		if f := &r.Findings[i]; f.Slug == slug && f.Factor == "" {
			return f
		}
	}
	return nil
}

// TestTrialsOfChecks reads the trials of testdata/fairness: every check has one
// that fires and one that is clear, and one that it cannot judge where it says
// that it can come to that. The marked line is the line of the finding, and the
// clear ones are accused of nothing above a note.
func TestTrialsOfChecks(t *testing.T) {
	t.Parallel()
	if *update {
		writePlanted(t)
	}
	seen := map[string]bool{}
	for _, p := range plantedTrials {
		seen[p.name()] = true
		t.Run(p.name(), func(t *testing.T) {
			t.Parallel()
			path := filepath.Join(trialsDir, p.name()+".yaml")
			data, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			check, ok := Lookup(p.slug)
			if !ok {
				t.Fatalf("there is no check %s", p.slug)
			}
			if testing.Short() && p.outcome == Clear && check.Stage < Scored && check.Family != Claims {
				t.Skip("the analysis of a clear trial")
			}
			r := fullRun(t, readTrial(t, path), p.outcome == Clear || p.scored(check))
			f := findingNamed(r, p.slug)
			if f == nil || f.Outcome != p.outcome || f.Severity != p.says {
				t.Fatalf("%+v, want %s %s", f, p.outcome, p.says)
			}
			if p.lacks != "" && !slices.ContainsFunc(f.Missing, func(m Missing) bool { return strings.HasPrefix(m.Field, p.lacks) }) &&
				(f.TooFew == nil || !strings.Contains(f.TooFew.What, p.lacks)) {
				t.Errorf("lacks %v %v, want %s", f.Missing, f.TooFew, p.lacks)
			}
			marked := 0
			for i, line := range strings.Split(string(data), "\n") {
				text, mark, ok := strings.Cut(line, markSign)
				if !ok {
					continue
				}
				marked++
				if mark != markOf(f) {
					t.Errorf("marked %q, found %q", mark, markOf(f))
				}
				if p.outcome == Clear {
					if !strings.Contains(text, p.mark) {
						t.Errorf("the mark stands on %q", text)
					}
				} else if want := lineOf(f, string(data)); i+1 != want {
					t.Errorf("marked on line %d, found on %d", i+1, want)
				}
			}
			if marked != 1 {
				t.Errorf("%d marks", marked)
			}
			for i := range r.Findings {
				if g := &r.Findings[i]; p.outcome == Clear && g.Outcome == Fires && g.Severity > Note {
					t.Errorf("%s %s: %s", g.Slug, g.Severity, g.Text.Text(quantity.Metric))
				}
			}
		})
	}
	for _, check := range catalogue {
		for _, o := range []Outcome{Fires, Clear, CannotJudge} {
			name := planted{slug: check.Slug, outcome: o}.name()
			if !seen[name] && (o != CannotJudge || check.Unjudged != "") {
				t.Errorf("there is no %s", name)
			}
			if seen[name] && o == CannotJudge && check.Unjudged == "" {
				t.Errorf("%s does not say when it cannot judge", check.Slug)
			}
		}
	}
}

// TestPlantedTrialsAreGrafted holds the files against their grafts.
func TestPlantedTrialsAreGrafted(t *testing.T) {
	t.Parallel()
	if *update {
		t.Skip("they are being written")
	}
	used := map[string]bool{}
	for _, p := range plantedTrials {
		for name, text := range p.files(t) {
			used[name] = true
			have, err := os.ReadFile(filepath.Join(trialsDir, name))
			if err != nil {
				t.Fatal(err)
			}
			if unmarked(string(have)) != text {
				t.Errorf("%s is not what is grafted; if it is meant so: -update", name)
			}
		}
	}
	err := filepath.WalkDir(trialsDir, func(path string, d os.DirEntry, err error) error {
		if name, _ := filepath.Rel(trialsDir, path); err == nil && !d.IsDir() && !used[filepath.ToSlash(name)] && d.Name() != "README.md" {
			t.Errorf("%s belongs to no trial", path)
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
}

func unmarked(text string) string {
	lines := strings.Split(text, "\n")
	for i, line := range lines {
		if before, _, ok := strings.Cut(line, "  "+markSign); ok {
			lines[i] = before
		}
	}
	return strings.Join(lines, "\n")
}

// writePlanted writes the files and puts the marks.
func writePlanted(t *testing.T) {
	if err := os.RemoveAll(trialsDir); err != nil {
		t.Fatal(err)
	}
	put := func(name, text string) {
		path := filepath.Join(trialsDir, name)
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	put("README.md", trialsReadme)
	for _, p := range plantedTrials {
		files := p.files(t)
		for name, text := range files {
			put(name, text)
		}
		name := p.name() + ".yaml"
		check, ok := Lookup(p.slug)
		if !ok {
			t.Fatalf("there is no check %s", p.slug)
		}
		f := findingNamed(fullRun(t, readTrial(t, filepath.Join(trialsDir, name)), p.scored(check)), p.slug)
		if f == nil {
			t.Errorf("%s: not asked", p.name())
			continue
		}
		lines := strings.Split(files[name], "\n")
		line := lineOf(f, files[name])
		if p.outcome == Clear {
			line = 1 + slices.IndexFunc(lines[2:], func(s string) bool { return strings.Contains(s, p.mark) }) + 2
		}
		if line < 1 || line > len(lines) {
			t.Errorf("%s: no line to mark: %+v", p.name(), f.Where)
			continue
		}
		lines[line-1] += "  " + markSign + markOf(f)
		put(name, strings.Join(lines, "\n"))
	}
}
