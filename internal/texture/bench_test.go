package texture_test

import (
	"testing"

	"tamis/internal/texture"
	"tamis/internal/trialfile"
)

func BenchmarkAnalyse(b *testing.B) {
	for _, f := range []string{"trials/pollack/pollack", "testdata/cake/cake"} {
		tr, _, err := trialfile.Read("../../"+f+".yaml", trialfile.Vocabulary{})
		if err != nil || tr == nil {
			b.Fatal(err)
		}
		for _, o := range []struct {
			name string
			opt  texture.Options
		}{{"default", texture.Options{}}, {"10000draws", texture.Options{Draws: 10000}}} {
			b.Run(f+"/"+o.name, func(b *testing.B) {
				for b.Loop() {
					texture.Analyse(tr, o.opt)
				}
			})
		}
	}
}
