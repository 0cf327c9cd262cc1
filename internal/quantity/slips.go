package quantity

import (
	"regexp"
	"strings"
)

var (
	commas       = regexp.MustCompile(`[0-9]+([.,][0-9]+)*,[0-9]+([.,][0-9]+)*`)
	decimalComma = regexp.MustCompile(`^[0-9]+,[0-9]+$`)
	// Thousands in groups of three, in the two ways of writing them.
	commaGroups = regexp.MustCompile(`^[1-9][0-9]{0,2}(,[0-9]{3})+(\.[0-9]+)?$`)
	pointGroups = regexp.MustCompile(`^[1-9][0-9]{0,2}(\.[0-9]{3})+,[0-9]+$`)
)

// Commas gives what a text with commas in its number may mean, written with a
// decimal point, the text around the number kept: 52,5 g is 52.5 g; 1.234,5 and
// 1,234.5 are 1234.5; 1,000 is 1000 or 1.000. There is nothing to give for a
// text without such a number, or where it has no reading, as 1,2,3.
func Commas(s string) []string {
	at := commas.FindStringIndex(s)
	if at == nil {
		return nil
	}
	num := s[at[0]:at[1]]
	var out []string
	add := func(n string) { out = append(out, s[:at[0]]+n+s[at[1]:]) }
	if commaGroups.MatchString(num) {
		add(strings.ReplaceAll(num, ",", ""))
	}
	if decimalComma.MatchString(num) {
		add(strings.Replace(num, ",", ".", 1))
	}
	if pointGroups.MatchString(num) {
		add(strings.Replace(strings.ReplaceAll(num, ".", ""), ",", ".", 1))
	}
	return out
}

var (
	plusMinus  = regexp.MustCompile(`^([^±]+)±([^±]+)$`)
	hyphenated = regexp.MustCompile(`^([0-9]+)\s*-\s*([0-9]+/[0-9]+.*)$`)
	fromTo     = regexp.MustCompile(`^([0-9.]+)([^0-9]*?)\s*(?:-|–|—|\.\.|to)\s*([0-9.]+)\s*([^0-9]*)$`)
	clockLike  = regexp.MustCompile(`^([0-9]{1,3}):([0-9]{2})(?::([0-9]{2}))?$`)
	overZero   = regexp.MustCompile(`/0+([^0-9]|$)`)
)

// slip finds what a text that does not parse was probably meant to say. A hint
// here keeps all numbers of the text, and parses; nil where nothing is found.
func (k *kind) slip(shown string) *Error {
	s := strings.TrimSpace(tidy.Replace(shown))
	say := func(expected string, candidates ...string) *Error {
		hint := k.example()
		if good := k.thatRead(candidates); len(good) > 0 {
			hint = "write " + strings.Join(good, " or ")
		}
		return &Error{shown, expected, hint}
	}
	if m := plusMinus.FindStringSubmatch(s); m != nil && k != &differences {
		unit := strings.TrimLeft(m[2], "0123456789. ")
		return say(k.noun+" is one number, without what it may be off by", strings.TrimSpace(m[1])+" "+unit, strings.TrimSpace(m[1]))
	}
	if m := hyphenated.FindStringSubmatch(s); m != nil && k.fractions && k.reads(m[1]+" "+m[2]) {
		return say("a space stands between a number and its fraction", m[1]+" "+m[2])
	}
	if m := fromTo.FindStringSubmatch(s); m != nil {
		low, high := m[1]+" "+m[2], m[3]+" "+m[4]
		if strings.TrimSpace(m[2]) == "" {
			low = m[1] + " " + m[4]
		}
		if k.reads(low) && k.reads(high) {
			return say(k.noun+" is one number, not a range", low, high)
		}
	}
	if m := clockLike.FindStringSubmatch(s); m != nil && k == &durations {
		if m[3] != "" {
			return say("a duration needs its units", m[1]+" h "+m[2]+" min "+m[3]+" s")
		}
		return say("a duration needs its units", m[1]+" h "+m[2]+" min", m[1]+" min "+m[2]+" s")
	}
	if k.fractions && overZero.MatchString(s) {
		return say("a fraction has no 0 below its line")
	}
	return nil
}

func (k *kind) reads(s string) bool {
	_, err := k.read(s)
	return err == nil
}

// thatRead gives the candidates that parse, as they are printed, each once.
func (k *kind) thatRead(candidates []string) []string {
	var out []string
	for _, c := range candidates {
		if a, err := k.read(c); err == nil {
			if s := k.format(a); len(out) == 0 || out[len(out)-1] != s {
				out = append(out, s)
			}
		}
	}
	return out
}
