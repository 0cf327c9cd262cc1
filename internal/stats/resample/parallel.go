package resample

import (
	"math/rand/v2"
	"runtime"
	"sync"
	"sync/atomic"
)

// parallel calls f(0) … f(n−1) on all cores. f writes only to place i.
func parallel(n int, f func(i int)) {
	parallelWith(n, func() struct{} { return struct{}{} }, func(_ struct{}, i int) { f(i) })
}

// parallelWith is parallel with room to work in, one for each goroutine.
func parallelWith[S any](n int, room func() S, f func(s S, i int)) {
	const chunk = 32
	var next atomic.Int64
	var wg sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), (n+chunk-1)/chunk) {
		wg.Go(func() {
			s := room()
			for {
				lo := int(next.Add(chunk)) - chunk
				if lo >= n {
					return
				}
				for i := lo; i < min(lo+chunk, n); i++ {
					f(s, i)
				}
			}
		})
	}
	wg.Wait()
}

// stream is the random numbers of one draw after the other.
type stream struct {
	pcg *rand.PCG
	*rand.Rand
}

func newStream() *stream {
	pcg := rand.NewPCG(0, 0)
	return &stream{pcg, rand.New(pcg)}
}

// at goes to the start of the stream of draw i. Its index goes through the finaliser
// of SplitMix64 (Steele, Lea & Flood 2014), so that neighbours start far apart.
func (s *stream) at(seed uint64, i int) {
	z := (uint64(i) + 1) * 0x9e3779b97f4a7c15
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	s.pcg.Seed(seed, z^z>>31)
}

// shuffle shuffles the labels of a block.
func (s *stream) shuffle(block []int) {
	s.Shuffle(len(block), func(a, b int) { block[a], block[b] = block[b], block[a] })
}
