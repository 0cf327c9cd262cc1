package trialfile

// slab is memory that is handed out in runs, one behind the other, and taken back
// all at once.
type slab[E any] struct {
	blocks [][]E
	at     int // the block that runs are taken from
	used   int // of it
}

// slabBlock is how many elements a slab takes at a time, at least, and slabKept
// how many it keeps for the next reading, at most.
const (
	slabBlock = 256
	slabKept  = 64 << 10
)

// take hands out n elements, all zero.
func (s *slab[E]) take(n int) []E {
	if n == 0 {
		return nil
	}
	for ; s.at < len(s.blocks); s.at, s.used = s.at+1, 0 {
		if b := s.blocks[s.at]; s.used+n <= len(b) {
			s.used += n
			return b[s.used-n : s.used : s.used]
		}
	}
	have := 0
	for _, b := range s.blocks {
		have += len(b)
	}
	s.blocks = append(s.blocks, make([]E, max(n, slabBlock, have)))
	s.used = n
	return s.blocks[s.at][:n:n]
}

// one hands out one element.
func (s *slab[E]) one() *E { return &s.take(1)[0] }

// reset takes everything back.
func (s *slab[E]) reset() {
	kept := 0
	for i, b := range s.blocks {
		if kept += len(b); kept > slabKept {
			clear(s.blocks[i:])
			s.blocks = s.blocks[:i]
			break
		}
		if i <= s.at {
			clear(b)
		}
	}
	s.at, s.used = 0, 0
}
