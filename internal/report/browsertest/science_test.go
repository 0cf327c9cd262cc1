package browsertest

import (
	"path/filepath"
	"strings"
	"testing"

	"tamis/internal/answer"
	"tamis/internal/figure/live"
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

// The report of every trial: with and without a panel, a window, set points, aims
// that are reached, and with 270 cooks.
func TestScience(t *testing.T) {
	files := []string{"trials/trout/trout.yaml", "trials/pollack/pollack.yaml", "testdata/wine/wine.yaml"}
	if !testing.Short() {
		files = append(files, "trials/chicken/chicken.yaml", "trials/carrot/carrot.yaml", "testdata/cake/cake.yaml", "testdata/beef/beef.yaml")
	}
	for _, file := range files {
		name := strings.TrimSuffix(filepath.Base(file), ".yaml")
		t.Run(name, func(t *testing.T) { hold(t, "science-"+name, science(t, file, report.Options{})) })
	}
}

func TestScienceLive(t *testing.T) {
	if _, ok := live.Runtime(); !ok {
		t.Skip("NOT CHECKED: live charts, because the runtime was not built into this program: make runtime")
	}
	page := science(t, "trials/pollack/pollack.yaml", report.Options{Live: true})
	hold(t, "science-live", page)
}
