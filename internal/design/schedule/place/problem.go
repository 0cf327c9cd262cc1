package place

import (
	"errors"
	"fmt"
)

// ErrArgument is a problem that means nothing.
var ErrArgument = errors.New("not a problem that can be placed")

// longest is the longest duration that is taken, in seconds: three weeks.
const longest = 21 * 86400

// Prep is what is done to some pieces before the bath: hands at both ends of a
// wait that is kept to the second. Last may be followed by any time in the cold.
type Prep struct{ First, Wait, Last int }

// Sear is one piece in a pan, with a pair of hands.
type Sear struct {
	Seconds int
	Pans    []int // that may be used; empty: any
}

// Lead brings a bath to its temperature: hands, then a wait.
type Lead struct{ Hands, Wait int }

// Again chills a job after the bath and warms it up again.
type Again struct {
	Ice    int // in ice water, at the least; cold until it is warmed up
	Second int // in the bath that warms it up
	In     int // hands
	Out    int // hands
}

// Job is one cook. All times are seconds.
type Job struct {
	Flight int
	Bath   int
	Lead   Lead
	Preps  []Prep
	Drop   int // hands, into the bath
	Soak   int // in the bath, to the second
	Out    int // hands, out of the bag
	Again  *Again
	Sears  []Sear
	Plate  int // hands
	// Bites is when the last of it is eaten, after the flight was served. Clock is
	// how long it may be from the drop to there; 0 is no limit. Where it is
	// chilled in between, Chilled is how long it may be from warming up to there.
	Bites, Clock, Chilled int
}

// Flight is what is served together.
type Flight struct {
	Taste int // how long it is eaten for
	// Warm brings the bath for warming up to its temperature; used where jobs have
	// an Again. WarmBath is which bath that is.
	Warm     Lead
	WarmBath int
}

// Problem is a day. Jobs that share a bath are done in their order in the list.
type Problem struct {
	Jobs               []Job
	Flights            []Flight
	Hands, Pans, Baths int
	Serve              int // when the last flight is served
	Opens              int // before which nothing is done
	Within             int // everything of a flight is plated within so long before it is served
	Wait               int // from the bath to the plate, at the most
	Pause              int // between two flights, at the least
	Step               int // earlier flights are served at whole multiples of it
}

// Kind is what a step is.
type Kind uint8

// The kinds of step, in the order in which a job has them.
const (
	Water   Kind = iota // hands bring a bath to its temperature
	Heating             // the bath gets there
	First               // hands, before a wait
	Waiting
	Last // hands, after it
	Drop
	Soak
	Out
	Ice
	Rewater // the bath for warming up
	Reheating
	Into
	Warming
	OutAgain
	Searing
	Plate
	Taste
	Opening // only in a Clash: the earliest time
	Limit   // only in a Clash: a time that may not be passed
)

// Step is one thing that is done. Job, Index, Hand, Pan and Bath are -1 where
// there is none; Index counts preps and sears of the job.
type Step struct {
	Kind               Kind
	Flight, Job, Index int
	Hand, Pan, Bath    int
	From, To           int
}

// Clash says why there is no place: Need cannot be at At because of Has.
type Clash struct {
	Reason    Reason
	Need, Has Step
	At        int
}

// Reason is what a clash is about.
type Reason uint8

// The reasons.
const (
	Hands Reason = iota // all hands are busy
	Pans                // the pan is in use
	Baths               // the bath is in use, or not at its temperature yet
	Opens               // it would begin too early
	Clock               // it would be eaten too late
	Waits               // it would wait too long between bath and plate
)

func (p *Problem) check() error {
	bad := func(format string, args ...any) error {
		return fmt.Errorf("%w: "+format, append([]any{ErrArgument}, args...)...)
	}
	in := func(list ...int) bool {
		for _, x := range list {
			if x < 0 || x > longest {
				return false
			}
		}
		return true
	}
	if p.Hands < 1 || p.Pans < 0 || p.Baths < 1 || len(p.Flights) < 1 || len(p.Jobs) < 1 || len(p.Jobs) > 1000 || p.Hands > 100 || p.Pans > 100 || p.Baths > 1000 || len(p.Flights) > len(p.Jobs) {
		return bad("%d hands, %d pans, %d baths, %d flights, %d jobs", p.Hands, p.Pans, p.Baths, len(p.Flights), len(p.Jobs))
	}
	if !in(p.Within, p.Wait, p.Pause) || p.Step < 1 || p.Step > 86400 || p.Serve < p.Opens || p.Serve-p.Opens > longest || p.Serve > longest || p.Serve < -longest {
		return bad("served at %d, opens at %d, within %d, wait %d, step %d", p.Serve, p.Opens, p.Within, p.Wait, p.Step)
	}
	seen := make([]bool, len(p.Flights))
	lastFlight := make([]int, p.Baths)
	for i, j := range p.Jobs {
		if j.Flight < 0 || j.Flight >= len(p.Flights) || j.Bath < 0 || j.Bath >= p.Baths || j.Flight < lastFlight[j.Bath] {
			return bad("job %d is in flight %d and bath %d", i, j.Flight, j.Bath)
		}
		seen[j.Flight], lastFlight[j.Bath] = true, j.Flight
		ok := in(j.Lead.Hands, j.Lead.Wait, j.Drop, j.Soak, j.Out, j.Plate, j.Bites, j.Clock, j.Chilled)
		for _, x := range j.Preps {
			ok = ok && in(x.First, x.Wait, x.Last)
		}
		for _, x := range j.Sears {
			ok = ok && in(x.Seconds) && p.Pans > 0
			for _, pan := range x.Pans {
				ok = ok && pan >= 0 && pan < p.Pans
			}
		}
		if a := j.Again; a != nil {
			w := p.Flights[j.Flight].WarmBath
			ok = ok && in(a.Ice, a.Second, a.In, a.Out) && w >= 0 && w < p.Baths
		}
		if !ok {
			return bad("the times or pans of job %d", i)
		}
	}
	for f, ok := range seen {
		if !ok || !in(p.Flights[f].Taste, p.Flights[f].Warm.Hands, p.Flights[f].Warm.Wait) {
			return bad("flight %d", f)
		}
	}
	return nil
}
