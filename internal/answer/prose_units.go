package answer

// units prints the unit of each factor, a line each.
func (b *builder) units() []Sentence {
	var out []Sentence
	for _, u := range b.r.Units {
		s := Say(upper(factorWords(u.Factor)), ": ", plural(u.N, u.Unit), " over ", plural(len(u.Levels), "level"))
		if u.N <= len(u.Levels) {
			s = Say(s, ", one each")
		}
		if len(u.MovesWith) > 0 {
			s = Say(s, "; it moves together with ", list(wordsOf(u.MovesWith)), " and cannot be told from it")
		}
		out = append(out, Say(s, "."))
	}
	if n := len(b.t.AssessorIDs()); n > 0 {
		out = append(out, Say(b.tasted(n), ". Tasters are repeated looks at the same cooks, not more cooks."))
	}
	return out
}

// tasted says who tasted what: "8 tasters, each tasted every cook".
func (b *builder) tasted(n int) Sentence {
	scored, all := b.t.CooksTasted()
	s := plural(n, "taster")
	who := ", each tasted "
	if n == 1 {
		who = ", who tasted "
	}
	switch {
	case scored == 0:
		return Say(s, ", nothing tasted yet")
	case all && scored == len(b.t.Cooks):
		return Say(s, who, "every cook")
	case all:
		return Say(s, who, Quantity{Kind: Count, Value: float64(scored)}, " of ", plural(len(b.t.Cooks), "cook"))
	}
	return Say(s, ", not everybody tasted every cook")
}

// variance says which levels of variation enter and which cannot be told apart.
func (b *builder) variance() []Sentence {
	var in []string
	var out []Sentence
	for _, v := range b.r.Variance {
		if v.Separable {
			in = append(in, levelWords(v.Level))
			continue
		}
		if v.NotRecorded {
			out = append(out, Say("The ", levelWords(v.Level), " was not recorded for every observation; ", v.Cost, "."))
			continue
		}
		out = append(out, Say(upper(levelWords(v.Level)), " is not separable from ", v.MixedWith, ": ", v.Cost, "."))
	}
	if len(in) > 0 {
		out = append([]Sentence{Say("Levels of variation in the mixed model: ", list(in), ".")}, out...)
	}
	return out
}

func levelWords(l string) string {
	if l == "assessor:arm" {
		return "taster × treatment"
	}
	if l == "assessor" {
		return "taster"
	}
	return l
}
