package place

// line is what keeps one pair of hands, one pan or one bath busy: steps that do
// not overlap, the earliest first. It is never changed in place.
type line []Step

// with is the line and one step more.
func (l line) with(s Step) line {
	at := len(l)
	for at > 0 && l[at-1].From > s.From {
		at--
	}
	out := make(line, len(l)+1)
	copy(out, l[:at])
	out[at] = s
	copy(out[at+1:], l[at:])
	return out
}

// latest is the latest start of something that lasts so long and ends by end. by
// is the step that kept it from ending there.
func (l line) latest(end, lasts int) (start int, by Step, moved bool) {
	start = end - lasts
	for i := len(l) - 1; i >= 0; i-- {
		if l[i].To <= start {
			break
		}
		if l[i].From < start+lasts {
			start, by, moved = l[i].From-lasts, l[i], true
		}
	}
	return start, by, moved
}

// latestOf is latest over several lines: the one that allows the latest start,
// and of those the first.
func latestOf(lines []line, allowed []int, end, lasts int) (unit, start int, by Step, moved bool) {
	unit = -1
	try := func(i int) {
		s, b, m := lines[i].latest(end, lasts)
		if unit < 0 || s > start {
			unit, start, by, moved = i, s, b, m
		}
	}
	if len(allowed) > 0 {
		for _, i := range allowed {
			try(i)
		}
	} else {
		for i := range lines {
			try(i)
		}
	}
	return unit, start, by, moved
}
