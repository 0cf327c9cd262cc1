package safety

// words builds a text from strings and Parts.
func words(parts ...any) Words {
	var w Words
	for _, p := range parts {
		switch v := p.(type) {
		case string:
			w = append(w, Part{Text: v})
		case Part:
			w = append(w, v)
		case Words:
			w = append(w, v...)
		}
	}
	return w
}

func temp(c float64, digits int) Part { return Part{Kind: Temperature, Value: c, Digits: digits} }
func mins(m float64) Part             { return Part{Kind: Minutes, Value: m} }
func percent(p float64) Part          { return Part{Kind: Percent, Value: p} }

func because(slug string, parts ...any) Reason { return Reason{Slug: slug, Text: words(parts...)} }
