package cli

import (
	"bytes"
	"encoding/csv"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"runtime/debug"
	"slices"
	"testing"
	"time"

	"gopkg.in/yaml.v3"

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
// cores only tamis, which checks many files at once, uses them for its work: that is
// the time somebody waits, and the one that is to stay below three.
func BenchmarkCheck1000(b *testing.B) {
	trials := manyTrials(b, 1000)
	cores := runtime.GOMAXPROCS(0)
	defer runtime.GOMAXPROCS(cores)
	var typed, loose, nodes, whole, reading, typedAll, wholeAll time.Duration
	for b.Loop() {
		// In small shares, so that what else the machine does slows both sides alike.
		for some := range slices.Chunk(trials, 50) {
			runtime.GOMAXPROCS(1)
			typed += timed(func() { decode(b, some, func() any { return new(typedTrial) }) })
			loose += timed(func() { decode(b, some, func() any { return new(any) }) })
			nodes += timed(func() { decode(b, some, func() any { return new(yaml.Node) }) })
			whole += asProgram(func() {
				for _, t := range some {
					if o := checkOne(t.path, nil); o.err != nil || !o.Sound {
						b.Fatal(t.path, o.err, o.Messages)
					}
				}
			})
			reading += timed(func() {
				for _, t := range some {
					if _, _, err := trialfile.Read(t.path, vocabulary()); err != nil {
						b.Fatal(err)
					}
				}
			})
			runtime.GOMAXPROCS(cores)
			typedAll += timed(func() { decode(b, some, func() any { return new(typedTrial) }) })
			wholeAll += asProgram(func() {
				var paths []string
				for _, t := range some {
					paths = append(paths, t.path)
				}
				checkAll(paths, nil)
			})
		}
	}
	over := func(d, base time.Duration) float64 { return float64(d) / float64(base) }
	b.ReportMetric(over(whole, typed), "×typed")
	b.ReportMetric(over(whole, loose), "×any")
	b.ReportMetric(over(whole, nodes), "×nodes")
	b.ReportMetric(over(reading, typed), "×typed-reading")
	b.ReportMetric(over(wholeAll, typedAll), "×typed-all-cores")
	b.ReportMetric(typed.Seconds()/float64(b.N)/float64(len(trials))*1e6, "typed-µs/file")
	b.ReportMetric(whole.Seconds()/float64(b.N)/float64(len(trials))*1e6, "µs/file")
}

// asProgram is timed with what the program sets for its collector of garbage.
func asProgram(f func()) time.Duration {
	if os.Getenv("GOGC") == "" {
		defer debug.SetGCPercent(debug.SetGCPercent(GarbageWaits))
	}
	return timed(f)
}

func timed(f func()) time.Duration {
	start := time.Now()
	f()
	return time.Since(start)
}

// trialText is a trial on the disk, and the bytes of its files.
type trialText struct {
	path   string
	yaml   []byte
	tables [][]byte
}

// decode decodes all files of trials, each trial file into a new value.
func decode(b *testing.B, trials []trialText, into func() any) {
	for _, t := range trials {
		if err := yaml.Unmarshal(t.yaml, into()); err != nil {
			b.Fatal(t.path, err)
		}
		for _, text := range t.tables {
			r := csv.NewReader(bytes.NewReader(text))
			if head, _, _ := bytes.Cut(text, []byte("\n")); bytes.Contains(head, []byte(";")) {
				r.Comma = ';'
			}
			if _, err := r.ReadAll(); err != nil {
				b.Fatal(t.path, err)
			}
		}
	}
}

// manyTrials writes n trials, each into a folder of its own.
func manyTrials(b *testing.B, n int) []trialText {
	b.Helper()
	var out []trialText
	demos, err := filepath.Glob("../../trials/*/*.yaml")
	if err != nil || len(demos) == 0 {
		b.Fatal(err, "there are no demo trials")
	}
	for range 10 {
		for _, path := range demos {
			out = append(out, textsIn(b, filepath.Dir(path)))
		}
	}
	root := b.TempDir()
	for seed := uint64(0); len(out) < n; seed++ {
		var fault *faults.Fault
		if seed%2 == 1 {
			fault = &faults.Faults[int(seed/2)%len(faults.Faults)]
		}
		dir, err := os.MkdirTemp(root, "")
		if err != nil {
			b.Fatal(err)
		}
		for name, text := range faults.Draw(seed, fault, faults.Strength(seed%3)).Files() {
			path := filepath.Join(dir, name)
			if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
				b.Fatal(err)
			}
			if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
				b.Fatal(err)
			}
		}
		out = append(out, textsIn(b, dir))
	}
	return out
}

// textsIn reads the files of the one trial in a folder.
func textsIn(b *testing.B, dir string) (t trialText) {
	b.Helper()
	err := filepath.WalkDir(dir, func(path string, _ fs.DirEntry, err error) error {
		if ext := filepath.Ext(path); err != nil || ext != ".yaml" && ext != ".csv" {
			return err
		}
		text, err := os.ReadFile(path)
		if filepath.Ext(path) == ".yaml" {
			t.path, t.yaml = path, text
		} else {
			t.tables = append(t.tables, text)
		}
		return err
	})
	if err != nil || t.path == "" {
		b.Fatal(dir, err)
	}
	return t
}
