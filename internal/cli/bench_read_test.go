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
// the memory for each. The multiple is the median over shares of 50 trials, which
// does not follow what else the machine does for a moment.
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
	var multiples []float64
	for b.Loop() {
		for some := range slices.Chunk(trials, 50) {
			base := timed(func() { decode(b, some, func() any { return new(typedTrial) }) })
			before := memory()
			whole := timed(func() {
				for _, t := range some {
					read(t)
				}
			})
			after := memory()
			typed, reading, multiples = typed+base, reading+whole, append(multiples, float64(whole)/float64(base))
			taken, bytes = taken+after.Mallocs-before.Mallocs, bytes+after.TotalAlloc-before.TotalAlloc
		}
	}
	files := float64(b.N * len(trials))
	slices.Sort(multiples)
	b.ReportMetric(multiples[len(multiples)/2], "×typed")
	b.ReportMetric(typed.Seconds()/files*1e6, "typed-µs/file")
	b.ReportMetric(reading.Seconds()/files*1e6, "µs/file")
	b.ReportMetric(float64(taken)/files, "mallocs/file")
	b.ReportMetric(float64(bytes)/files/1024, "KiB/file")
}

func memory() (m runtime.MemStats) {
	runtime.ReadMemStats(&m)
	return m
}
