package cli

import (
	"html"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"tamis/internal/answer"
	"tamis/internal/quantity"
	"tamis/internal/report"
	"tamis/internal/texture"
)

var (
	tableParts = regexp.MustCompile(`(?s)<caption[^>]*><a[^>]*>Table \d+\.</a> (.*?)</caption>\s*<thead><tr>(.*?)<tbody>(.*?)</table>`)
	cellParts  = regexp.MustCompile(`<t[hd][^>]*>`)
	fSpans     = regexp.MustCompile(`<span class="f( q)?">[^<]*</span>|<t-f>[^<]*</t-f>`)
	anyTag     = regexp.MustCompile(`<[^>]*>`)
)

// pageTable is a table of a page in °C: rows of cells by the name of their
// column; the name of the rows around it is under "group".
type pageTable []map[string]string

// under are the rows whose group begins so.
func (t pageTable) under(group string) (rows pageTable) {
	for _, r := range t {
		if strings.HasPrefix(r["group"], group) {
			rows = append(rows, r)
		}
	}
	return rows
}

// tablesOnPage are the numbered tables of a page by their caption.
func tablesOnPage(page string) map[string]pageTable {
	page = fSpans.ReplaceAllString(page, "")
	cells := func(s string) (out []string) {
		for _, c := range cellParts.Split(s, -1)[1:] {
			out = append(out, strings.TrimSpace(strings.ReplaceAll(html.UnescapeString(anyTag.ReplaceAllString(c, "")), "\u00a0", " ")))
		}
		return out
	}
	out := map[string]pageTable{}
	for _, m := range tableParts.FindAllStringSubmatch(page, -1) {
		head := cells(m[2])
		var t pageTable
		group := ""
		for _, row := range strings.Split(m[3], "<tr>")[1:] {
			if strings.HasPrefix(row, "<th colspan") {
				group = cells(row)[0]
				continue
			}
			r := map[string]string{"group": group}
			for i, c := range cells(row) {
				r[head[i]] = c
			}
			t = append(t, r)
		}
		out[html.UnescapeString(anyTag.ReplaceAllString(m[1], ""))] = t
	}
	return out
}

// Every number in the tables of the science report is the number of the result,
// rounded to the digits that are shown.
func TestScienceTablesSayTheNumbers(t *testing.T) {
	t.Parallel()
	checked := map[string]int{}
	for _, file := range trialFiles {
		tr, r := analyse(t, file)
		b, err := report.Science(r, report.Record{Trial: tr}, report.Options{})
		if err != nil {
			t.Fatal(err)
		}
		tables := tablesOnPage(string(b))
		same := func(what, shown string, n texture.Number) {
			t.Helper()
			checked[what]++
			v, known := n.Get()
			if !known {
				if shown != "–" && shown != "" {
					t.Errorf("%s, %s: %q is shown of an absent number", file, what, shown)
				}
				return
			}
			if shown == "< 0.001" && v < 0.001 {
				return
			}
			plain := strings.ReplaceAll(strings.TrimSuffix(shown, " °C"), "−", "-")
			got, err := strconv.ParseFloat(plain, 64)
			_, decimals, _ := strings.Cut(plain, ".")
			if err != nil || math.Abs(got-v) > 0.5*math.Pow(10, -float64(len(decimals)))+1e-9 {
				t.Errorf("%s, %s: %q is shown of %v", file, what, shown, v)
			}
		}
		interval := func(what, shown string, low, high texture.Number) {
			t.Helper()
			a, b, ok := strings.Cut(shown, " to ")
			if !ok {
				if low.Known() && high.Known() {
					t.Errorf("%s, %s: %q", file, what, shown)
				}
				return
			}
			same(what, a, low)
			same(what, b, high)
		}
		words := func(s string) string { return strings.ReplaceAll(s, "_", " ") }
		for _, m := range r.Measures {
			name := words(m.Name)
			byTerm := map[string][]texture.Arm{}
			for _, arms := range [][]texture.Arm{m.Arms, m.Levels, m.Cells} {
				for _, a := range arms {
					byTerm[a.Term] = append(byTerm[a.Term], a)
				}
			}
			for term, arms := range byTerm {
				rows := tables["Means of "+name].under("By " + strings.ReplaceAll(words(term), ":", " × ") + ";")
				if len(rows) != len(arms) {
					if term != "" {
						t.Errorf("%s: %d rows of means of %s by %s, want %d", file, len(rows), name, term, len(arms))
					}
					continue
				}
				for i, a := range arms {
					same("mean", rows[i]["Mean"], a.Mean)
					same("SE", rows[i]["SE"], a.SE)
					interval("interval of a mean", rows[i]["95 % interval"], a.Low, a.High)
					if rows[i]["Letters"] != a.Letters {
						t.Errorf("%s: letters %q of %s", file, rows[i]["Letters"], a.Arm)
					}
				}
			}
			if rows := tables["Tests of "+name]; len(rows) >= len(m.Tests) {
				for i, x := range m.Tests {
					same("test", rows[i]["Value"], x.Value)
					same("p", rows[i]["p"], x.P)
				}
			} else if len(m.Tests) > 0 {
				t.Errorf("%s: %d rows of tests of %s, want %d", file, len(rows), name, len(m.Tests))
			}
			at := map[string]int{}
			for _, d := range m.Differences {
				rows := tables["Differences in "+name+" between levels of "+strings.ReplaceAll(words(d.Term), ":", " × ")]
				if at[d.Term] >= len(rows) {
					t.Errorf("%s: the differences of %s by %s end at %d", file, name, d.Term, len(rows))
					break
				}
				row := rows[at[d.Term]]
				at[d.Term]++
				same("difference", row["Estimate"], d.Estimate)
				interval("interval of a difference", row["95 % interval"], d.Low, d.High)
				same("p", row["p"], d.P)
			}
			if x := m.Model; x != nil && x.Absent == "" {
				rows := tables["Variance parts of "+name]
				for i, v := range x.Random {
					if i < len(rows) {
						nearly(t, file, rows[i]["Variance"], v.Variance)
						checked["variance"]++
					}
				}
			}
			if len(m.Curves) == 1 {
				rows := tables["Candidate curves of "+name]
				for i, c := range m.Curves[0].Candidates {
					if i < len(rows) {
						same("AICc", rows[i]["AICc"], c.AICc)
						same("weight", rows[i]["Weight"], c.Weight)
					}
				}
			}
		}
		if rows := tables["Best set point"]; len(rows) > 0 && len(rows) == len(r.Windows) {
			for i, w := range r.Windows {
				same("best", rows[i]["Best"], w.Best)
				same("best", rows[i]["From"], w.Low)
				same("best", rows[i]["To"], w.High)
			}
		}
		i := 0
		rows := tables["Findings, worst first"]
		for _, f := range r.Findings {
			if f.Outcome != "fires" || f.Accepted != nil {
				continue
			}
			if i < len(rows) && f.Value.Known() {
				nearly(t, file, rows[i]["Value"], f.Value.Or(0))
				checked["finding"]++
			}
			i++
		}
		if i != len(rows) {
			t.Errorf("%s: %d findings on the page, want %d", file, len(rows), i)
		}
	}
	for _, what := range []string{"mean", "SE", "interval of a mean", "test", "p", "difference", "variance", "AICc", "weight", "best", "finding"} {
		if checked[what] < 3 {
			t.Errorf("%s: %d numbers were held against the result", what, checked[what])
		}
	}
}

// nearly holds a number that is shown with three significant digits.
func nearly(t *testing.T, file, shown string, v float64) {
	t.Helper()
	got, err := strconv.ParseFloat(strings.ReplaceAll(shown, "−", "-"), 64)
	if err != nil || math.Abs(got-v) > 0.0051*math.Abs(v) {
		t.Errorf("%s: %q is shown of %v", file, shown, v)
	}
}

// The sentences of the result stand on the page word for word, in both units.
func TestScienceSaysTheSentences(t *testing.T) {
	t.Parallel()
	tr, r := analyse(t, "trials/pollack/pollack.yaml")
	b, err := report.Science(r, report.Record{Trial: tr}, report.Options{})
	if err != nil {
		t.Fatal(err)
	}
	for other, sys := range map[string]quantity.System{"f": quantity.Metric, "c": quantity.US} {
		drop := regexp.MustCompile(`<span class="` + other + `( q)?">[^<]*</span>`)
		shown := html.UnescapeString(regexp.MustCompile(`</?span[^>]*>`).ReplaceAllString(drop.ReplaceAllString(string(b), ""), ""))
		for _, list := range [][]answer.Sentence{{r.Text.Answer, r.Text.Basis}, r.Text.Safety, r.Text.Doubt, r.Text.Compare, r.Text.Method, r.Text.Units, r.Text.Next} {
			for _, s := range list {
				if want := s.Text(sys); !strings.Contains(shown, want) {
					t.Errorf("%q is not on the page", want)
				}
			}
		}
	}
}
