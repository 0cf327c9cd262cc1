package schedule

// across keeps two days of serving apart: what begins days before one serving, such
// as a long brine or a long bath, may fall on the steps of the day before it. A pair
// of hands that is free takes the step; what is left is a conflict that names the
// two steps and the minute. Only days with a date can be compared. The later of two
// days that clash is left out.
func across(s *Schedule) {
	kept := s.Days[:0:0]
	for _, d := range s.Days {
		if c := meets(kept, &d); c != nil {
			s.Conflicts = append(s.Conflicts, *c)
			continue
		}
		kept = append(kept, d)
	}
	s.Days = kept
}

// meets is the first step of d that cannot be done beside earlier days, or nil. It
// gives steps of d other hands where that helps.
func meets(earlier []Day, d *Day) *Conflict {
	for i := range d.Steps {
		x := &d.Steps[i]
		if x.To <= x.From {
			continue
		}
		taken := map[int]bool{}
		var by *Step
		var of *Day
		for e := range earlier {
			ahead, ok := daysBetween(&earlier[e], d)
			if !ok {
				continue
			}
			for j := range earlier[e].Steps {
				y := &earlier[e].Steps[j]
				from, to := y.From-ahead, y.To-ahead // on the clock of d
				if from >= x.To || to <= x.From || y.To <= y.From {
					continue
				}
				if slug := sharedPlace(x, y); slug != "" {
					return clashOfDays(slug, x, y, d, &earlier[e], max(from, x.From))
				}
				if x.Hand > 0 && y.Hand > 0 {
					taken[y.Hand] = true
					if y.Hand == x.Hand {
						by, of = y, &earlier[e]
					}
				}
			}
		}
		if by == nil {
			continue
		}
		for j := range d.Steps { // and who is busy on the day itself
			y := &d.Steps[j]
			if j != i && y.Hand > 0 && y.From < x.To && x.From < y.To {
				taken[y.Hand] = true
			}
		}
		free := 0
		for h := d.Hands; h >= 1; h-- {
			if !taken[h] {
				free = h
			}
		}
		if free == 0 {
			return clashOfDays(HandsBusy, x, by, d, of, x.From)
		}
		x.Hand = free
	}
	return nil
}

// daysBetween is how much later the midnight of b is than that of a.
func daysBetween(a, b *Day) (Moment, bool) {
	if a.On.IsZero() || b.On.IsZero() {
		return 0, false
	}
	return Moment(86400 * (b.On.Days() - a.On.Days())), true
}

// sharedPlace is the conflict of two steps that need the same bath or pan, or "".
func sharedPlace(x, y *Step) string {
	switch {
	case x.Bath != "" && x.Bath == y.Bath:
		return BathBusy
	case x.Pan != "" && x.Pan == y.Pan:
		return PanBusy
	}
	return ""
}

// clashOfDays words a clash of x, a step of d, with y of an earlier day.
func clashOfDays(slug string, x, y *Step, d, earlier *Day, at Moment) *Conflict {
	c := &Conflict{Slug: slug, Session: d.Sessions[0], First: x.named(), Second: y.named() + " on " + earlier.Date, At: &at}
	what, it := "everybody's hands are", "them"
	switch slug {
	case BathBusy:
		what, it = bathName(x.Bath)+" is", "it"
	case PanBusy:
		what, it = panName(x.Pan)+" is", "it"
	}
	c.Text = say(what+" busy with "+y.named()+" for the serving of "+earlier.Date+", and "+x.named()+" needs "+it+" at ", at)
	c.Hint = say("put a day more between the sessions, serve one of them at another time, or add hands or baths")
	return c
}

// named is a step in a few words.
func (s *Step) named() string {
	switch {
	case s.Cook != "":
		return string(s.What) + " of cook " + s.Cook
	case s.Bath != "":
		return string(s.What) + " for " + bathName(s.Bath)
	}
	return string(s.What)
}
