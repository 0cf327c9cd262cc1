//go:build race

package design

// raceEnabled says that the race detector slows everything down.
const raceEnabled = true
