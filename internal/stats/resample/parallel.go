package resample

import (
	"math/rand/v2"
	"runtime"
	"sync"
	"sync/atomic"
)

// parallel calls f(0) … f(n−1) on all cores. f writes only to place i.
func parallel(n int, f func(i int)) {
	const chunk = 32
	var next atomic.Int64
	var wg sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), (n+chunk-1)/chunk) {
		wg.Go(func() {
			for {
				lo := int(next.Add(chunk)) - chunk
				if lo >= n {
					return
				}
				for i := lo; i < min(lo+chunk, n); i++ {
					f(i)
				}
			}
		})
	}
	wg.Wait()
}

// generator is the stream of draw i. Its index goes through the finaliser of
// SplitMix64 (Steele, Lea & Flood 2014), so that neighbours start far apart.
func generator(seed uint64, i int) *rand.Rand {
	z := (uint64(i) + 1) * 0x9e3779b97f4a7c15
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return rand.New(rand.NewPCG(seed, z^z>>31))
}
