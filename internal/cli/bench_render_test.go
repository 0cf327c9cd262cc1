package cli

import (
	"io"
	"testing"

	"tamis/internal/answer"
	"tamis/internal/report"
	"tamis/internal/trialfile"
)

// BenchmarkRender draws each page of the pollack demo, and its printed sheets, from
// the result of a fit that is at hand: the time of a page in milliseconds, and as a
// share of the 150 ms that a page may take. Without `make runtime` the live pages
// are static ones.
func BenchmarkRender(b *testing.B) {
	const path, allowed = "../../trials/pollack/pollack.yaml", 150.0
	t, _, err := trialfile.Read(path, vocabulary())
	if err != nil || t == nil {
		b.Fatal(err)
	}
	result := answer.Of(t, answer.Options{})
	a := &app{Streams: Streams{Err: io.Discard}}
	shots := a.photos(t, path)
	run := func(name string, draw func() error) {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				if err := draw(); err != nil {
					b.Fatal(err)
				}
			}
			ms := b.Elapsed().Seconds() * 1000 / float64(b.N)
			b.ReportMetric(ms, "ms/page")
			b.ReportMetric(ms/allowed, "×150ms")
		})
	}
	for _, how := range []string{"static", "live"} {
		p := &pageRun{trial: t, result: result, shots: shots, command: "tamis report"}
		p.static, p.draft = how == "static", true
		p.heated() // like the fit, it is there before a page is rendered
		for _, k := range kindsOfPage {
			run(k.name+"/"+how, func() error { _, err := k.make(p); return err })
		}
	}
	sheets := answer.SheetsOf(t)
	run("sheets", func() error { _, err := report.Sheets(t, sheets, report.OnClock{}, report.Options{}); return err })
}
