package faults

import (
	"fmt"
	"hash/fnv"
	"slices"
)

// Strength is how gross a planted fault is.
type Strength int

// The strengths.
const (
	Weak Strength = iota
	Medium
	Strong
)

func (s Strength) String() string { return [...]string{"weak", "medium", "strong"}[s] }

// Fault is one way to spoil a trial. Design changes what is cooked, Sheet the
// scores. Scored says that only the scores show it. By tells several ways to
// plant what one check finds apart.
type Fault struct {
	Slug   string
	By     string
	Needs  Shape
	Scored bool
	Design func(t *Trial, s Strength)
	Sheet  func(t *Trial, s Strength)
}

// Seed is where the trials of a fault begin: its own, whichever others there are.
func (f *Fault) Seed(s Strength) uint64 {
	h := fnv.New32a()
	fmt.Fprint(h, f.Slug, "/", f.By, "/", s)
	return uint64(h.Sum32()%1_000_000) * 1000
}

// Draw gives a trial with a fault planted, or with nil a fair one.
func Draw(seed uint64, f *Fault, s Strength) *Trial {
	shape := Shape{}
	if f != nil {
		shape = f.Needs
	}
	t := Fair(seed, shape)
	if f != nil && f.Design != nil {
		f.Design(t, s)
	}
	t.settle()
	t.taste()
	if f != nil && f.Sheet != nil {
		f.Sheet(t, s)
	}
	return t
}

// by picks a number by strength.
func by[T any](s Strength, weak, medium, strong T) T { return []T{weak, medium, strong}[s] }

func (t *Trial) keep(want func(c *cook) bool) {
	t.cooks = slices.DeleteFunc(t.cooks, func(c *cook) bool { return !want(c) })
}

// hot reports whether a set point lies in the upper half.
func (t *Trial) hot(c *cook) bool { return 2*c.arm >= len(t.setPoints) }

// each does something to a share of the cooks by strength: of those that are hot
// a growing part, and none of the others.
func (t *Trial) hotShare(s Strength, do func(c *cook)) {
	for _, c := range t.cooks {
		if t.hot(c) && (s == Strong || t.chance(by(s, 0.5, 0.8, 1))) {
			do(c)
		}
	}
}

// Faults are all faults that can be planted, in the order of the catalogue.
var Faults = slices.Concat(runFaults, heatFaults, materialFaults, otherFaults, kitchenFaults, panelFaults, scoreFaults, wordFaults)

func boolInt(b bool) int {
	if b {
		return 1
	}
	return 0
}
