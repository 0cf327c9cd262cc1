package answer

import "tamis/internal/texture"

// Estimand says what a sensitivity analysis compares, in the reader's unit.
func Estimand(s *texture.Sensitivity) Sentence {
	cold, hot, straight, ok := s.Ends()
	switch {
	case !ok:
		return Say(s.Estimand)
	case straight:
		return Say("change from ", temperature(cold), " to ", temperature(hot), " along a straight line through the means")
	}
	return Say(temperature(hot), " minus ", temperature(cold))
}

func temperature(celsius float64) Quantity {
	return Quantity{Kind: Temperature, Value: celsius, Digits: tempDigits(celsius)}
}
