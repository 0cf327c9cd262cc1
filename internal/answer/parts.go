package answer

import "tamis/internal/prose"

// The parts of a sentence, as package prose defines them.
type (
	Sentence = prose.Sentence
	Part     = prose.Part
	Quantity = prose.Quantity
)

// The kinds of a quantity.
const (
	SetPoint    = prose.SetPoint
	WindowLow   = prose.WindowLow
	WindowHigh  = prose.WindowHigh
	Temperature = prose.Temperature
	Difference  = prose.Difference
	Tolerance   = prose.Tolerance
	Duration    = prose.Duration
	Length      = prose.Length
	Mass        = prose.Mass
	Share       = prose.Share
	Amount      = prose.Amount
	PerDegree   = prose.PerDegree
	Count       = prose.Count
	PValue      = prose.PValue
)

// Say builds a sentence from strings, Quantities and Sentences, in order.
func Say(parts ...any) Sentence { return prose.Say(parts...) }

// Fixed prints v with n decimals and a true minus sign.
func Fixed(v float64, n int) string { return prose.Fixed(v, n) }

// DigitsFor is the number of decimals that a value with this standard error
// deserves.
func DigitsFor(se float64) int { return prose.DigitsFor(se) }

// OutOfTen puts a chance in words.
func OutOfTen(p float64) string { return prose.OutOfTen(p) }

func list(words []string) string        { return prose.List(words) }
func upper(s string) string             { return prose.Upper(s) }
func plural(n int, one string) Sentence { return prose.Plural(n, one) }
