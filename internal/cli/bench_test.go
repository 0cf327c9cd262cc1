package cli

import (
	"bytes"
	"encoding/csv"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"

	"gopkg.in/yaml.v3"

	"tamis/internal/answer"
	"tamis/internal/fairness/faults"
	"tamis/internal/trialfile"
)

// BenchmarkCheck1000 reads and checks 1 000 trials, and gives the time as a
// multiple of what decoding the same YAML and CSV alone takes in the same run.
//
// The trials are the demo trials, each a few times, and drawn ones that all
// differ: half of them fair, half with one fault of any kind and strength, as
// lists or as tables, with logs or without.
//
// What is measured is all that `tamis check` does but the printing: files are
// found, opened, read and hashed, every value and every reference is checked,
// heat and safety are computed, and all checks of the design and the cook are
// asked.
//
// Decoding alone is what a program must do to hold the same data and no more,
// from bytes that are in memory already: the YAML by yaml.Unmarshal into typed
// values, and every table by csv.ReadAll into strings. It opens no file, and
// quantities stay text. The same into maps and slices (any), and into the tree of
// the library, which holds nothing typed yet, are given beside it.
//
// On one core both sides have one core, the collector of garbage included. On all
// cores only tamis, which checks many files at once, uses them for its work.
func BenchmarkCheck1000(b *testing.B) {
	paths, texts := manyTrials(b, 1000)
	typed := texts.decode(b, func() any { return new(typedTrial) })
	loose := texts.decode(b, func() any { return new(any) })
	nodes := texts.decode(b, func() any { return new(yaml.Node) })

	var base, baseAny, baseNode, one, all, allBase time.Duration
	var parts [2]time.Duration
	for b.Loop() {
		cores := runtime.GOMAXPROCS(1)
		base += timed(typed)
		baseAny += timed(loose)
		baseNode += timed(nodes)
		one += timed(func() {
			for _, path := range paths {
				start := time.Now()
				t, messages, err := trialfile.Read(path, vocabulary())
				if err != nil || t == nil {
					b.Fatal(path, err, messages)
				}
				read := time.Now()
				answer.Summarise(t, nil)
				parts[0] += read.Sub(start)
				parts[1] += time.Since(read)
			}
		})
		runtime.GOMAXPROCS(cores)
		allBase += timed(typed)
		all += timed(func() {
			for _, o := range checkAll(paths, nil) {
				if o.err != nil || !o.Sound {
					b.Fatal(o.File, o.err, o.Messages)
				}
			}
		})
	}
	over := func(d, base time.Duration) float64 { return float64(d) / float64(base) }
	b.ReportMetric(over(one, base), "×typed")
	b.ReportMetric(over(one, baseAny), "×any")
	b.ReportMetric(over(one, baseNode), "×nodes")
	b.ReportMetric(over(parts[0], base), "×typed-reading")
	b.ReportMetric(over(parts[1], base), "×typed-checking")
	b.ReportMetric(over(all, allBase), "×typed-all-cores")
	b.ReportMetric(base.Seconds()/float64(b.N)/float64(len(paths))*1e6, "typed-µs/file")
}

func timed(f func()) time.Duration {
	start := time.Now()
	f()
	return time.Since(start)
}

// trialTexts are the bytes of many trial files, and of all their tables.
type trialTexts struct{ yaml, csv [][]byte }

// decode is the decoding of all texts, of each trial file into a new value.
func (t trialTexts) decode(b *testing.B, into func() any) func() {
	return func() {
		for _, text := range t.yaml {
			if err := yaml.Unmarshal(text, into()); err != nil {
				b.Fatal(err)
			}
		}
		for _, text := range t.csv {
			r := csv.NewReader(bytes.NewReader(text))
			r.Comma = []rune{',', ';'}[min(1, bytes.Count(text[:bytes.IndexByte(text, '\n')], []byte(";")))]
			if _, err := r.ReadAll(); err != nil {
				b.Fatal(err)
			}
		}
	}
}

// manyTrials writes n trials, each into a folder of its own.
func manyTrials(b *testing.B, n int) (paths []string, texts trialTexts) {
	b.Helper()
	add := func(dir string) {
		main := ""
		err := filepath.WalkDir(dir, func(path string, _ fs.DirEntry, err error) error {
			isYAML := strings.HasSuffix(path, ".yaml")
			if err != nil || !isYAML && !strings.HasSuffix(path, ".csv") {
				return err
			}
			text, err := os.ReadFile(path)
			if isYAML {
				main, texts.yaml = path, append(texts.yaml, text)
			} else {
				texts.csv = append(texts.csv, text)
			}
			return err
		})
		if err != nil {
			b.Fatal(err)
		}
		paths = append(paths, main)
	}
	demos := []string{"pollack", "chicken", "carrot", "trout", "cod"}
	for range 10 {
		for _, name := range demos {
			add(filepath.Join("../../trials", name))
		}
	}
	root := b.TempDir()
	for seed := uint64(0); len(paths) < n; seed++ {
		var fault *faults.Fault
		if seed%2 == 1 {
			fault = &faults.Faults[int(seed/2)%len(faults.Faults)]
		}
		files := faults.Draw(seed, fault, faults.Strength(seed%3)).Files()
		dir, err := os.MkdirTemp(root, "")
		if err != nil {
			b.Fatal(err)
		}
		for name, text := range files {
			path := filepath.Join(dir, name)
			if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
				b.Fatal(err)
			}
			if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
				b.Fatal(err)
			}
		}
		add(dir)
	}
	return paths, texts
}
