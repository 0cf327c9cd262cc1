package resample

import (
	"math/bits"
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

// stream is the random numbers of one draw after the other: PCG-DXSM as math/rand/v2
// has it (O'Neill 2014, HMC-CS-2014-0905), kept here so that its state stays in
// registers through a shuffle.
type stream struct {
	hi, lo uint64
	*rand.Rand
}

func newStream() *stream {
	s := &stream{}
	s.Rand = rand.New(s)
	return s
}

// at goes to the start of the stream of draw i. Its index goes through the finaliser
// of SplitMix64 (Steele, Lea & Flood 2014), so that neighbours start far apart.
func (s *stream) at(seed uint64, i int) {
	z := (uint64(i) + 1) * 0x9e3779b97f4a7c15
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	s.hi, s.lo = seed, z^z>>31
}

// Uint64 makes a stream a source of rand.Rand.
func (s *stream) Uint64() uint64 {
	s.hi, s.lo = step(s.hi, s.lo)
	return mixed(s.hi, s.lo)
}

// step is the next state.
func step(hi, lo uint64) (uint64, uint64) {
	const mulHi, mulLo, incHi, incLo = 2549297995355413924, 4865540595714422341, 6364136223846793005, 1442695040888963407
	high, low := bits.Mul64(lo, mulLo)
	high += hi*mulLo + lo*mulHi
	low, carry := bits.Add64(low, incLo, 0)
	high, _ = bits.Add64(high, incHi, carry)
	return high, low
}

// mixed is the number that a state gives.
func mixed(hi, lo uint64) uint64 {
	const cheap = 0xda942042e4dd58b5
	hi ^= hi >> 32
	hi *= cheap
	hi ^= hi >> 48
	return hi * (lo | 1)
}

// shuffle is Rand.Shuffle of a block (Fisher and Yates, with the bounded numbers of
// Lemire 2019, ACM Trans. Model. Comput. Simul. 29:3), as it is on 64 bits.
func (s *stream) shuffle(block []int) {
	hi, lo := s.hi, s.lo
	for a := len(block) - 1; a > 0; a-- {
		n := uint64(a + 1)
		hi, lo = step(hi, lo)
		x := mixed(hi, lo)
		var b uint64
		if n&(n-1) == 0 {
			b = x & (n - 1)
		} else {
			var low uint64
			if b, low = bits.Mul64(x, n); low < n {
				for least := -n % n; low < least; {
					hi, lo = step(hi, lo)
					b, low = bits.Mul64(mixed(hi, lo), n)
				}
			}
		}
		block[a], block[b] = block[b], block[a]
	}
	s.hi, s.lo = hi, lo
}
