package cli

import (
	"encoding/csv"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// typedIn reads a template and gives its lines, the header first.
func typedIn(t *testing.T, path string) [][]string {
	t.Helper()
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	r := csv.NewReader(strings.NewReader(string(b)))
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil || len(rows) < 2 {
		t.Fatalf("%d lines, %v", len(rows), err)
	}
	return rows
}

// spreadsheet writes lines as a spreadsheet of a kitchen in Europe does:
// semicolons, decimal commas, line ends of Windows, Windows-1252.
func spreadsheet(t *testing.T, path string, rows [][]string) {
	t.Helper()
	var b strings.Builder
	for _, row := range rows {
		b.WriteString(strings.Join(row, ";") + "\r\n")
	}
	text := strings.ReplaceAll(strings.ReplaceAll(b.String(), ".", ","), "ä", "\xe4")
	if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
}

// must runs a command that has to work.
func must(t *testing.T, args ...string) string {
	t.Helper()
	code, out, errs := run(t.Context(), args...)
	if code != ExitDone {
		t.Fatalf("tamis %s: code %d\n%s%s", strings.Join(args, " "), code, out, errs)
	}
	return out
}

// ballotCodes are the codes of printed ballots, in reading order.
func ballotCodes(t *testing.T, path string) []string {
	t.Helper()
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	var out []string
	for _, m := range regexp.MustCompile(`<span class="code">([^<]*)</span>`).FindAllStringSubmatch(string(b), -1) {
		out = append(out, m[1])
	}
	return out
}

// The pollack trial as it was before anybody tasted: printed, typed in from the
// ballots, brought in, and analysed. What comes out is what is in the demo, byte
// for byte, and so is the fit.
func TestRoundTripOfPollack(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	if err := os.CopyFS(dir, os.DirFS(filepath.Join(root(t), "trials", "pollack"))); err != nil {
		t.Fatal(err)
	}
	file, table := filepath.Join(dir, "pollack.yaml"), filepath.Join(dir, "scores.csv")
	original, err := os.ReadFile(table)
	if err != nil {
		t.Fatal(err)
	}
	fit := must(t, "fit", "--draws", "200", file)
	must(t, "scores", "--template", "--out", filepath.Join(dir, "typed.csv"), file)
	full := typedIn(t, filepath.Join(dir, "typed.csv"))

	blank := regexp.MustCompile(`(?m)^(\w+,\w+,\d+,\d+),[\d.]+,\d+,\d+$`).ReplaceAll(original, []byte("$1,,,"))
	if err := os.WriteFile(table, blank, 0o600); err != nil {
		t.Fatal(err)
	}
	must(t, "sheets", "--out", filepath.Join(dir, "sheets"), file)
	must(t, "scores", "--template", "--out", filepath.Join(dir, "empty.csv"), file)
	empty := typedIn(t, filepath.Join(dir, "empty.csv"))
	code := slices.Index(empty[0], "code")
	var order []string
	for _, row := range empty[1:] {
		order = append(order, row[code])
		if strings.Join(row[code+1:], "") != "" {
			t.Fatalf("the empty sheet holds %v", row)
		}
	}
	if on := ballotCodes(t, filepath.Join(dir, "sheets", "ballots.html")); !slices.Equal(on, order) {
		t.Errorf("the ballots and the sheet to type into have different orders:\n%v\n%v", on, order)
	}

	// Half of the lines in one sheet, the rest in another, in the order of the ballots.
	half := len(full) / 2
	spreadsheet(t, filepath.Join(dir, "one.csv"), full[:half])
	spreadsheet(t, filepath.Join(dir, "two.csv"), append([][]string{full[0]}, full[half:]...))
	if out := must(t, "scores", "--yes", filepath.Join(dir, "one.csv"), file); !strings.Contains(out, "Still without a score") {
		t.Errorf("half a panel passes for all of it:\n%s", out)
	}
	must(t, "scores", "--yes", filepath.Join(dir, "two.csv"), file)
	must(t, "scores", "--yes", filepath.Join(dir, "one.csv"), file)
	if got, err := os.ReadFile(table); err != nil || string(got) != string(original) {
		t.Error("the table is not what it was")
	}
	if got := must(t, "fit", "--draws", "200", file); got != fit {
		t.Error("the fit is not what it was")
	}
}

// A design goes all the way: laid out, printed, typed in, brought in, analysed.
func TestRoundTripOfADesign(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	if err := os.CopyFS(dir, os.DirFS(filepath.Join(root(t), "trials", "pollack"))); err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(dir, "next.yaml")
	must(t, "plan", "--seed", "1", file)
	must(t, "sheets", "--out", filepath.Join(dir, "sheets"), file)
	must(t, "scores", "--template", "--out", filepath.Join(dir, "typed.csv"), file)
	rows := typedIn(t, filepath.Join(dir, "typed.csv"))
	firmness, code := slices.Index(rows[0], "firmness"), slices.Index(rows[0], "code")
	var order []string
	for i, row := range rows[1:] {
		row[firmness] = []string{"3", "4.5", "6", "7.5"}[i%4]
		row[len(row)-1] = "zäh"
		order = append(order, row[code])
	}
	if on := ballotCodes(t, filepath.Join(dir, "sheets", "ballots.html")); !slices.Equal(on, order) {
		t.Error("the ballots and the sheet to type into have different orders")
	}
	spreadsheet(t, filepath.Join(dir, "typed-1252.csv"), rows)
	before, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	out := must(t, "scores", "--yes", filepath.Join(dir, "typed-1252.csv"), file)
	if !strings.Contains(out, "Windows-1252") || strings.Contains(out, "Still without") {
		t.Errorf("understood otherwise:\n%s", out)
	}
	after, err := os.ReadFile(file)
	if err != nil || string(after) != string(before) {
		t.Error("the trial file changed, and its table of scores should have")
	}
	if fit := must(t, "fit", "--draws", "200", file); !strings.Contains(fit, "12 tasters") {
		t.Errorf("the fit does not know the panel:\n%s", fit)
	}
}
