package place

// serveJob places a job from the plate back to where it leaves a bath, with the
// plate done by plateBy and the bath left by outBy. It returns when the bath is
// left and what pushed the job away from those times.
func (s *state) serveJob(p *Problem, i, plateBy, outBy int) (leaves, plated int, pushed *Clash) {
	j := &p.Jobs[i]
	base := Step{Flight: j.Flight, Job: i, Index: -1, Hand: -1, Pan: -1, Bath: -1}
	push := func(c *Clash) {
		if pushed == nil {
			pushed = c
		}
	}
	plate := base
	plate.Kind = Plate
	plate, c := s.work(plate, plateBy, j.Plate)
	push(c)
	first := plate.From
	for k := len(j.Sears) - 1; k >= 0; k-- {
		x := base
		x.Kind, x.Index = Searing, k
		x, c := s.sear(x, j.Sears[k], plate.From)
		push(c)
		first = min(first, x.From)
	}
	out := base
	lasts := j.Out
	if out.Kind = Out; j.Again != nil {
		out.Kind, lasts = OutAgain, j.Again.Out
	}
	out, c = s.work(out, min(first, outBy), lasts)
	push(c)
	return out.From, plate.To, pushed
}

// place finds a place for a job of a flight that is served at serve. The cost is
// the square of its wait between bath and plate, in minutes.
func (s *state) place(p *Problem, i, serve int) (*state, float64, *Clash) {
	j := &p.Jobs[i]
	var first *Clash
	keep := func(c *Clash) {
		if first == nil {
			first = c
		}
	}
	plateBy, outBy := serve, serve
	for range 2000 { // each turn moves a limit by at least a second
		n := s.clone()
		leaves, plated, pushed := n.serveJob(p, i, plateBy, outBy)
		keep(pushed)
		if plated < serve-p.Within {
			return nil, 0, first
		}
		if plated-leaves > p.Wait {
			// It would wait too long: plate it earlier, if there is room for that.
			if outBy == plateBy && pushed == nil {
				x := Step{Kind: Plate, Flight: j.Flight, Job: i, Index: -1, Hand: -1, Pan: -1, Bath: -1, From: plated - j.Plate, To: plated}
				y := Step{Kind: Out, Flight: j.Flight, Job: i, Index: -1, Hand: -1, Pan: -1, Bath: -1, From: leaves, To: leaves + j.Out}
				keep(&Clash{Waits, x, y, leaves + p.Wait})
			}
			plateBy = min(plated, plateBy) - 60
			outBy = plateBy
			if plateBy < serve-p.Within {
				return nil, 0, first
			}
			continue
		}
		var back int
		var c *Clash
		if j.Again != nil {
			back, c = n.warm(p, i, leaves)
		} else {
			back, c = n.soak(p, i, leaves, serve)
		}
		if c == nil {
			w := float64(plated-leaves) / 60
			return n, w * w, nil
		}
		keep(c)
		if back <= 0 { // no other time helps
			return nil, 0, c
		}
		outs := j.Out
		if j.Again != nil {
			outs = j.Again.Out
		}
		outBy = leaves + outs - back
	}
	return nil, 0, first
}

// soak places a job in its bath, which it leaves at a time that is given, with
// all that comes before. back is by how much it would have to leave earlier.
func (s *state) soak(p *Problem, i, leaves, serve int) (back int, c *Clash) {
	j := &p.Jobs[i]
	base := Step{Flight: j.Flight, Job: i, Index: -1, Hand: -1, Pan: -1, Bath: -1}
	in := base
	in.Kind, in.Bath, in.From, in.To = Soak, j.Bath, leaves-j.Soak, leaves
	if b := s.baths[j.Bath]; len(b) > 0 && b[0].From < leaves+j.Out {
		has := b[0] // the earliest of what is placed, with what brings the bath there
		return leaves + j.Out - has.From, &Clash{Baths, has, in, has.From}
	}
	if j.Clock > 0 && j.Again == nil && serve+j.Bites-in.From > j.Clock {
		bite := base
		bite.Kind, bite.From, bite.To = Taste, serve, serve+j.Bites
		return 0, &Clash{Clock, bite, in, in.From + j.Clock}
	}
	drop := base
	drop.Kind = Drop
	if hand, by, ok := s.fits(in.From-j.Drop, in.From); !ok {
		drop.From, drop.To = in.From-j.Drop, in.From
		return in.From - by.From, &Clash{Hands, drop, by, max(drop.From, by.From)}
	} else {
		drop.Hand, drop.From, drop.To = hand, in.From-j.Drop, in.From
	}
	s.note(drop)
	s.note(in)
	begins := s.lead(Water, Heating, j.Flight, i, j.Bath, j.Lead, drop.From)
	s.baths[j.Bath] = s.baths[j.Bath].with(Step{Kind: Soak, Flight: j.Flight, Job: i, Index: -1, Hand: -1, Pan: -1, Bath: j.Bath, From: begins, To: leaves + j.Out})
	earliest := begins
	for k := len(j.Preps) - 1; k >= 0; k-- {
		earliest = min(earliest, s.prep(j.Flight, i, k, j.Preps[k], drop.From))
	}
	if earliest < p.Opens {
		x := base
		for y := s.steps; y != nil; y = y.before {
			if y.Job == i && y.From == earliest && y.To > y.From {
				x = y.Step
				break
			}
		}
		open := base
		open.Kind, open.From, open.To = Opening, p.Opens, p.Opens
		return 0, &Clash{Opens, x, open, earliest}
	}
	return 0, nil
}

// lead brings a bath to its temperature by the time that is given, and returns
// when that begins.
func (s *state) lead(hands, wait Kind, flight, job, bath int, l Lead, by int) int {
	x := Step{Kind: hands, Flight: flight, Job: job, Index: -1, Hand: -1, Pan: -1, Bath: bath}
	if l.Hands == 0 && l.Wait == 0 {
		return by
	}
	x, _ = s.work(x, by-l.Wait, l.Hands)
	if l.Wait > 0 {
		y := Step{Kind: wait, Flight: flight, Job: job, Index: -1, Hand: -1, Pan: -1, Bath: bath, From: x.To, To: x.To + l.Wait}
		s.note(y)
	}
	return x.From
}

// warm places a job in the bath that warms it up. The bath itself is reserved
// when all of the flight is in it.
func (s *state) warm(p *Problem, i, leaves int) (back int, c *Clash) {
	j := &p.Jobs[i]
	x := Step{Kind: Warming, Flight: j.Flight, Job: i, Index: -1, Hand: -1, Pan: -1, Bath: p.Flights[j.Flight].WarmBath}
	x.From, x.To = leaves-j.Again.Second, leaves
	in := x
	in.Kind, in.Bath, in.From, in.To = Into, -1, x.From-j.Again.In, x.From
	if b := s.baths[x.Bath]; len(b) > 0 && b[0].From < leaves+j.Again.Out {
		return leaves + j.Again.Out - b[0].From, &Clash{Baths, b[0], x, b[0].From}
	}
	hand, by, ok := s.fits(in.From, in.To)
	if !ok {
		return in.To - by.From, &Clash{Hands, in, by, max(in.From, by.From)}
	}
	in.Hand = hand
	s.note(in)
	s.note(x)
	return 0, nil
}
