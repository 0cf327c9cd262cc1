package cli

import (
	"os"
	"path/filepath"
	"sort"
	"strconv"
	"strings"
	"testing"
)

// brokenSheets says, of each file in testdata/sheets/broken, the line that is
// wrong (0 for the file as a whole) and what is said of it.
var brokenSheets = map[string]struct {
	line int
	says string
}{
	"01-no-assessor-column":            {1, "does not say who scored"},
	"02-no-sample-column":              {1, "does not say what was tasted"},
	"03-no-measure-column":             {1, "no column of scores"},
	"04-header-only":                   {1, "a header and no line"},
	"05-above-scale":                   {3, "11 lies outside the scale of firmness"},
	"06-below-scale":                   {3, "0 lies outside the scale of liking"},
	"07-word-for-number":               {3, `found "five"`},
	"08-date-for-number":               {3, `"05.06.2026"`},
	"09-not-available":                 {3, "leave the value blank"},
	"10-formula-fault":                 {3, `"#REF!"`},
	"11-neither-yes-nor-no":            {3, "expected yes or no"},
	"12-code-not-in-key":               {3, "did you mean 618?"},
	"13-code-missing":                  {3, "does not say what was tasted"},
	"14-assessor-missing":              {3, "needs assessor"},
	"15-assessor-unknown":              {3, "did you mean anna?"},
	"16-assessor-has-no-ballot":        {3, `give "cleo" nothing to taste`},
	"17-session-unknown":               {3, "did you mean first?"},
	"18-session-of-another":            {3, `"407" is tasted in session "second"`},
	"19-line-twice":                    {4, "stands twice for this assessor"},
	"20-place-differs":                 {3, "at place 3 here and at place 2 in the trial"},
	"21-contradicts-the-trial":         {3, "7 here and 6 in the trial"},
	"22-decimal-commas-between-commas": {2, "a row with 9 cells"},
	"23-short-line":                    {3, "a row with 5 of 8 cells"},
	"24-open-quote":                    {3, "never closed"},
	"25-misspelt-measure":              {1, "did you mean firmness?"},
	"26-column-twice":                  {1, "stands twice"},
	"27-computed-measure":              {2, "computed from the weights"},
	"28-code-of-another-piece":         {3, `the key gives the code "618" to "A-2"`},
	"29-cook-has-two-samples":          {3, "2 samples of this assessor"},
	"30-piece-unknown":                 {3, `there is no piece "A-3"`},
	"31-long-measure-unknown":          {3, `there is no measure "juicy"`},
	"32-long-score-twice":              {4, "stands twice for this assessor"},
	"33-wide-code-unknown":             {1, `"619.firmness"`},
	"34-wide-without-measure":          {1, "which measure does the column"},
	"35-wide-outside-scale":            {3, "77 lies outside the scale of firmness"},
	"36-column-of-somebody-unknown":    {1, "did you mean ben?"},
	"37-utf-16":                        {0, "UTF-16"},
	"38-spreadsheet":                   {0, "a spreadsheet or an archive"},
	"39-not-a-number-at-all":           {3, "not a number that can be observed"},
	"40-control-character":             {3, "invisible character U+0007"},
	"41-place-not-a-number":            {3, `"second"`},
	"42-empty":                         {0, "the table is empty"},
}

// smallTrial is a copy of the plan that the sheets are brought into.
func smallTrial(t *testing.T) (dir string, bytes func() string) {
	t.Helper()
	dir = t.TempDir()
	if err := os.CopyFS(dir, os.DirFS(filepath.Join("testdata", "sheets", "trial"))); err != nil {
		t.Fatal(err)
	}
	return dir, func() string {
		t.Helper()
		entries, err := os.ReadDir(dir)
		if err != nil {
			t.Fatal(err)
		}
		var out strings.Builder
		for _, e := range entries {
			b, err := os.ReadFile(filepath.Join(dir, e.Name()))
			if err != nil {
				t.Fatal(err)
			}
			out.WriteString(e.Name() + "\x00" + string(b) + "\x00")
		}
		return out.String()
	}
}

// Every broken sheet is refused with its line, and nothing is written.
func TestBrokenSheets(t *testing.T) {
	t.Parallel()
	files, err := filepath.Glob(filepath.Join("testdata", "sheets", "broken", "*.csv"))
	if err != nil || len(files) < 30 || len(files) != len(brokenSheets) {
		t.Fatalf("%d files, %d expectations, %v", len(files), len(brokenSheets), err)
	}
	sort.Strings(files)
	for _, file := range files {
		name := strings.TrimSuffix(filepath.Base(file), ".csv")
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			want, ok := brokenSheets[name]
			if !ok {
				t.Fatal("nothing is expected of it")
			}
			dir, content := smallTrial(t)
			before := content()
			code, out, errs := run(t.Context(), "scores", "--yes", file, filepath.Join(dir, "trial.yaml"))
			if code != ExitInvalid || out != "" {
				t.Errorf("code %d, output %q", code, out)
			}
			place := filepath.ToSlash(file) + ":"
			if want.line > 0 {
				place += strconv.Itoa(want.line) + ":"
			}
			found := false
			flat := strings.Join(strings.Fields(errs), " ")
			for _, part := range strings.Split(flat, filepath.ToSlash(file)+":")[1:] {
				found = found || strings.HasPrefix(filepath.ToSlash(file)+":"+part, place) && strings.Contains(part, want.says)
			}
			if !found || !strings.Contains(errs, "nothing was written") {
				t.Errorf("no %q at %s in\n%s", want.says, place, errs)
			}
			if n := strings.Count(errs, ": error:"); n != 1 {
				t.Errorf("%d errors for one slip:\n%s", n, errs)
			}
			if content() != before {
				t.Error("something was written")
			}
		})
	}
}
