package faults

import (
	"bytes"
	"encoding/csv"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"gopkg.in/yaml.v3"

	"tamis/internal/fairness"
	"tamis/internal/heat"
	"tamis/internal/safety"
	"tamis/internal/trialfile"
)

// BenchmarkCheck1000 reads and checks 1 000 trial files with their tables, heat
// and safety included, and gives the time as a multiple of what decoding the same
// YAML and CSV takes, measured in the same run.
func BenchmarkCheck1000(b *testing.B) {
	const n, kinds = 1000, 50
	var trials []string
	var files [][]byte
	var isYAML []bool
	for i := range kinds {
		dir := b.TempDir()
		for name, text := range Draw(uint64(i), nil, 0).Files() {
			path := filepath.Join(dir, name)
			if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
				b.Fatal(err)
			}
			if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
				b.Fatal(err)
			}
			files = append(files, []byte(text))
			isYAML = append(isYAML, strings.HasSuffix(name, ".yaml"))
		}
		trials = append(trials, filepath.Join(dir, "trial.yaml"))
	}
	decode := func() {
		for range n / kinds {
			for i, f := range files {
				if isYAML[i] {
					var doc yaml.Node
					if err := yaml.Unmarshal(f, &doc); err != nil {
						b.Fatal(err)
					}
					continue
				}
				r := csv.NewReader(bytes.NewReader(f))
				r.FieldsPerRecord = -1
				r.LazyQuotes = true
				if _, err := r.ReadAll(); err != nil {
					b.Fatal(err)
				}
			}
		}
	}
	var parts [3]time.Duration // reading, heat and safety, checks
	check := func() {
		for range n / kinds {
			for _, path := range trials {
				start := time.Now()
				tr, messages, err := trialfile.Read(path, trialfile.Vocabulary{})
				if err != nil || tr == nil {
					b.Fatal(err, messages)
				}
				read := time.Now()
				in := fairness.Inputs{Trial: tr, Heat: heat.OfTrial(tr)}
				in.Safety = safety.OfTrial(tr, in.Heat)
				warm := time.Now()
				if _, err := fairness.Run(in); err != nil {
					b.Fatal(err)
				}
				parts[0] += read.Sub(start)
				parts[1] += warm.Sub(read)
				parts[2] += time.Since(warm)
			}
		}
	}
	var alone, whole time.Duration
	for b.Loop() {
		start := time.Now()
		decode()
		middle := time.Now()
		check()
		alone += middle.Sub(start)
		whole += time.Since(middle)
	}
	b.ReportMetric(float64(whole)/float64(alone), "×decoding")
	for i, name := range []string{"×reading", "×heat+safety", "×checks"} {
		b.ReportMetric(float64(parts[i])/float64(alone), name)
	}
}
