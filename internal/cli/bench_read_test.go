package cli

import (
	"runtime"
	"slices"
	"testing"
	"time"

	"tamis/internal/trialfile"
)

// BenchmarkRead reads trials on one core and gives the time as a multiple of
// decoding the same files alone (see BenchmarkCheck1000), and what is taken of
// the memory for each.
func BenchmarkRead(b *testing.B) {
	trials := manyTrials(b, 400)
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	read := func(t trialText) {
		if _, _, err := trialfile.Read(t.path, vocabulary()); err != nil {
			b.Fatal(err)
		}
	}
	var typed, reading time.Duration
	var taken, bytes uint64
	for b.Loop() {
		for some := range slices.Chunk(trials, 50) {
			typed += timed(func() { decode(b, some, func() any { return new(typedTrial) }) })
			before := memory()
			reading += timed(func() {
				for _, t := range some {
					read(t)
				}
			})
			after := memory()
			taken, bytes = taken+after.Mallocs-before.Mallocs, bytes+after.TotalAlloc-before.TotalAlloc
		}
	}
	files := float64(b.N * len(trials))
	b.ReportMetric(float64(reading)/float64(typed), "×typed")
	b.ReportMetric(typed.Seconds()/files*1e6, "typed-µs/file")
	b.ReportMetric(reading.Seconds()/files*1e6, "µs/file")
	b.ReportMetric(float64(taken)/files, "mallocs/file")
	b.ReportMetric(float64(bytes)/files/1024, "KiB/file")
}

func memory() (m runtime.MemStats) {
	runtime.ReadMemStats(&m)
	return m
}
