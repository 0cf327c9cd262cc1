// Package prose holds sentences as parts: text, and quantities with their kind,
// value, unit and digits. Text, JSON and pages render the same parts, in °C or
// °F, so that no number in a sentence is ever typed twice.
//
// The package decides how a number is rounded and nothing else: it knows no
// trial, computes nothing and chooses no words. A quantity must be finite.
package prose
