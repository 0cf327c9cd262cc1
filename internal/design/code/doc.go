// Package code draws blind codes: three digits that say nothing.
//
// No code starts with 0, none is drawn twice, and none is telling: three equal
// digits, digits that count up or down, a round hundred, an emergency number, or
// a code that holds a number given as telling, such as a set point in °C or °F
// (a house rule). The package draws codes and keeps no key.
package code
