package browsertest

import (
	"path/filepath"
	"strings"
	"testing"

	"tamis/internal/answer"
	"tamis/internal/report"
	"tamis/internal/trialfile"
)

// science is the report of a trial file.
func science(t *testing.T, file string, o report.Options) []byte {
	t.Helper()
	tr, diags, err := trialfile.Read(filepath.Join("..", "..", "..", filepath.FromSlash(file)), trialfile.Vocabulary{})
	if err != nil || tr == nil {
		t.Fatal(err, diags)
	}
	page, err := report.Science(answer.Of(tr, answer.Options{}), report.Record{Trial: tr, Heat: answer.HeatOf(tr, answer.HeatOptions{}), Command: "tamis report"}, o)
	if err != nil {
		t.Fatal(err)
	}
	return page
}

// The report of trials that are unlike the demos: without set points, without a
// window, and with 270 cooks.
func TestScience(t *testing.T) {
	files := []string{"testdata/wine/wine.yaml"}
	if !testing.Short() {
		files = append(files, "testdata/cake/cake.yaml", "testdata/beef/beef.yaml")
	}
	for _, file := range files {
		name := strings.TrimSuffix(filepath.Base(file), ".yaml")
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			hold(t, "science-"+name, science(t, file, report.Options{}))
		})
	}
}
