package cli

import (
	"bytes"
	"encoding/csv"
	"errors"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"tamis/internal/answer"
	"tamis/internal/trial"
)

// csvOf reads a table back by the names of its columns.
func csvOf(t *testing.T, tables []table, name string) []map[string]string {
	t.Helper()
	for _, tab := range tables {
		if tab.name != name {
			continue
		}
		b, err := tab.bytes()
		if err != nil {
			t.Fatal(err)
		}
		rows, err := csv.NewReader(bytes.NewReader(b)).ReadAll() // fails on rows of unequal length
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		var out []map[string]string
		for _, r := range rows[1:] {
			m := map[string]string{}
			for i, h := range rows[0] {
				if _, twice := m[h]; twice {
					t.Fatalf("%s has two columns %q", name, h)
				}
				m[h] = r[i]
			}
			out = append(out, m)
		}
		return out
	}
	t.Fatalf("there is no %s", name)
	return nil
}

func tablesFor(t *testing.T, file string) ([]table, *trial.Trial, *answer.Result) {
	t.Helper()
	tr, r := analyse(t, file)
	return tablesOf(tr, r, peopleOf(tr, false)), tr, r
}

func number(t *testing.T, s string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatalf("%q is no number", s)
	}
	return v
}

// Every table of every trial reads back, has rows of one length, no empty cell,
// and no number that is none.
func TestTablesReadBack(t *testing.T) {
	t.Parallel()
	for _, file := range trialFiles {
		tables, _, r := tablesFor(t, file)
		if len(tables) != len(tableNames) {
			t.Errorf("%s: %d tables, %d names", file, len(tables), len(tableNames))
		}
		for _, tab := range tables {
			if !tableNames[tab.name] {
				t.Errorf("%s is not among the names of tables", tab.name)
			}
			for i, row := range tab.rows {
				if len(row) != len(tab.head) {
					t.Fatalf("%s %s row %d has %d cells, not %d", file, tab.name, i, len(row), len(tab.head))
				}
				for _, c := range row {
					if c == "" || c == "NaN" || strings.HasSuffix(c, "Inf") {
						t.Fatalf("%s %s row %d: %q", file, tab.name, i, row)
					}
				}
			}
		}
		numbers := 0
		for _, m := range r.Measures {
			numbers += m.Observations + m.LeftOut
		}
		if long := csvOf(t, tables, "long.csv"); len(long) != numbers {
			t.Errorf("%s: long.csv has %d rows for %d numbers", file, len(long), numbers)
		}
		tests := 0
		for _, m := range r.Measures {
			tests += len(m.Tests)
		}
		if got := csvOf(t, tables, "tests.csv"); len(got) != tests {
			t.Errorf("%s: tests.csv has %d rows for %d tests", file, len(got), tests)
		}
	}
}

// The means of a balanced trial follow from the unit means and from the long
// table: three roads to one number.
func TestTablesAgree(t *testing.T) {
	t.Parallel()
	for _, file := range []string{"trials/pollack/pollack.yaml", "testdata/cake/cake.yaml"} {
		tables, _, _ := tablesFor(t, file)
		type key struct{ measure, at string }
		mean := func(rows []map[string]string, value string, use func(map[string]string) bool) map[key]float64 {
			sum, n := map[key]float64{}, map[key]float64{}
			for _, r := range rows {
				if use(r) {
					k := key{r["measure"], r["set_point"]}
					sum[k] += number(t, r[value])
					n[k]++
				}
			}
			for k := range sum {
				sum[k] /= n[k]
			}
			return sum
		}
		long := mean(csvOf(t, tables, "long.csv"), "value", func(r map[string]string) bool { return r["left_out"] == "no" })
		cooks := mean(csvOf(t, tables, "units.csv"), "mean", func(r map[string]string) bool { return r["unit"] == "cook" })
		checked := 0
		for _, r := range csvOf(t, tables, "means.csv") {
			if r["term"] != "set_point" {
				continue
			}
			k := key{r["measure"], rounded(number(t, r["set_point"]))}
			for road, got := range map[string]map[key]float64{"long.csv": long, "units.csv": cooks} {
				// Ten digits are printed, and the sums run in another order.
				if want := number(t, r["mean"]); math.Abs(got[k]-want) > 1e-8*math.Max(1, math.Abs(want)) {
					t.Errorf("%s %v: %v by %s, %v in means.csv", file, k, got[k], road, want)
				}
				checked++
			}
		}
		if checked < 12 {
			t.Errorf("%s: only %d means were compared", file, checked)
		}
	}
}

// A factor that is called like a column keeps its numbers under another name.
func TestFactorNamedLikeAColumn(t *testing.T) {
	t.Parallel()
	tr := &trial.Trial{Factors: []trial.Factor{{Name: "value", Levels: []string{"a", "b"}}, {Name: "recipe", Levels: []string{"x", "y"}}},
		Measures: []trial.Measure{{Name: "bite", Kind: trial.Amount}}}
	for i, level := range []string{"a", "b", "a", "b"} {
		c := trial.Cook{ID: strconv.Itoa(i), Values: trial.ReadingOf("bite", trial.Reading{V: float64(i)})}
		c.With = []trial.Level{{Factor: "value", Level: level}, {Factor: "recipe", Level: []string{"x", "x", "y", "y"}[i]}}
		tr.Cooks = append(tr.Cooks, c)
	}
	r := answer.Of(tr, answer.Options{})
	rows := csvOf(t, tablesOf(tr, r, peopleOf(tr, false)), "long.csv")
	if rows[3]["with_value"] != "b" || rows[3]["recipe"] != "y" || rows[3]["value"] != "3" {
		t.Errorf("%v", rows[3])
	}
}

// Cells with commas, quotes and line breaks come back as they were; what a
// spreadsheet would run stands behind an apostrophe.
func TestHostileCells(t *testing.T) {
	t.Parallel()
	words := []string{"a,b", `"quoted"`, "two\nlines", " spaces ", "=1+1", "é鱈", "NA"}
	tab := table{name: "x.csv", head: []string{"word"}}
	for _, w := range words {
		tab.add(w)
	}
	b, err := tab.bytes()
	if err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(bytes.NewReader(b)).ReadAll()
	if err != nil || len(rows) != len(words)+1 {
		t.Fatalf("%v, %d rows", err, len(rows))
	}
	for i, w := range words {
		if w == "=1+1" {
			w = "'=1+1"
		}
		if rows[i+1][0] != w {
			t.Errorf("%q came back as %q", w, rows[i+1][0])
		}
	}
}

// When a table cannot be written, the folder that was there stays as it was and
// nothing is left beside it.
func TestTablesAllOrNothing(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	path := filepath.Join(dir, "tables")
	good := []table{{name: "long.csv", head: []string{"a"}}, {name: explanationName, note: tableMark + "\n"}}
	f, err := openTableFolder(nil, path, false)
	if err != nil {
		t.Fatal(err)
	}
	if err := f.write(good); err != nil {
		t.Fatal(err)
	}
	if f, err = openTableFolder(nil, path, false); err != nil || !f.swap {
		t.Fatalf("a folder of tables is not known again: %v", err)
	}
	bad := []table{{name: "long.csv", head: []string{"b"}}, {name: "no/such/folder.csv", head: []string{"c"}}}
	if err := f.write(bad); err == nil {
		t.Fatal("no error")
	}
	b, err := os.ReadFile(filepath.Join(path, "long.csv"))
	if err != nil || string(b) != "a\n" {
		t.Errorf("the old table became %q, %v", b, err)
	}
	if err := f.write(good[:2]); err != nil {
		t.Fatal(err)
	}
	entries, err := os.ReadDir(dir)
	if err != nil || len(entries) != 1 {
		t.Errorf("left behind: %v, %v", entries, err)
	}
}

// Through a link, the folder behind it is written and the link stays one.
func TestTablesThroughALink(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	target, link := filepath.Join(dir, "target"), filepath.Join(dir, "link")
	if err := errors.Join(os.Mkdir(target, 0o755), os.Symlink(target, link)); err != nil {
		t.Fatal(err)
	}
	f, err := openTableFolder(nil, link, false)
	if err != nil {
		t.Fatal(err)
	}
	if err := f.write([]table{{name: "long.csv", head: []string{"a"}}}); err != nil {
		t.Fatal(err)
	}
	info, err := os.Lstat(link)
	if err != nil || info.Mode()&os.ModeSymlink == 0 {
		t.Error("the link is gone")
	}
	if _, err := os.Stat(filepath.Join(target, "long.csv")); err != nil {
		t.Error(err)
	}
}
