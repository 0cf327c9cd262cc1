package report

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"tamis/internal/design"
	"tamis/internal/quantity"
	"tamis/internal/scores"
	"tamis/internal/trial"
)

// shopSheet is what to buy and what to lay out, with a box to tick.
type shopSheet struct {
	sheetHead
	Eat   []verdict
	Throw []words
	Lists []shopList
}

type shopList struct {
	Name  string
	Items []words
}

// sortNatural sorts codes and names, numbers by size where both are numbers.
func sortNatural(list []string) {
	slices.SortFunc(list, func(a, b string) int {
		x, errA := strconv.Atoi(a)
		y, errB := strconv.Atoi(b)
		if errA == nil && errB == nil && x != y {
			return x - y
		}
		return strings.Compare(a, b)
	})
}

func (m *sheetMaker) shopping(h sheetHead) any {
	p := shopSheet{sheetHead: h, Eat: m.verdicts(m.every()), Throw: m.discards(m.every())}
	for _, l := range []shopList{{"Food", m.food()}, {"Brine and bags", m.brines()}, {"Baths and pans", m.heaters()}, {"To measure and write", m.tools()}, {"To taste", m.tasting()}} {
		if len(l.Items) > 0 {
			p.Lists = append(p.Lists, l)
		}
	}
	return p
}

// food lists the pieces by what they are cut from.
func (m *sheetMaker) food() []words {
	t := m.t
	name := clean(t.Food.Name.V)
	if name == "" {
		name = "food"
	}
	pieces, grams, weighed := 0, 0.0, true
	bySource := map[string]int{}
	var sources []string
	for i := range t.Cooks {
		for j := range t.Cooks[i].Pieces {
			x := &t.Cooks[i].Pieces[j]
			pieces++
			weighed = weighed && x.Before.Known
			grams += x.Before.V.Grams()
			if x.Source.Known {
				if bySource[x.Source.V] == 0 {
					sources = append(sources, x.Source.V)
				}
				bySource[x.Source.V]++
			}
		}
	}
	about := named(name)
	if t.Food.Form.Known {
		about = append(about, piece{Text: ", " + string(t.Food.Form.V)})
	}
	switch {
	case pieces > 0:
		about = append(about, piece{Text: ": " + counted(pieces, "piece", "pieces")})
	case len(t.Cooks) > 0:
		about = append(about, piece{Text: ": for " + counted(len(t.Cooks), "cook", "cooks")})
	}
	if t.Food.Thickness.Known {
		about = append(append(about, piece{Text: " of "}), inBoth(t.Food.Thickness.V.Format)...)
	}
	if pieces > 0 && weighed {
		about = append(append(about, piece{Text: ", together "}), inBoth(quantity.Grams(grams).Format)...)
	}
	if t.Food.Start.Known {
		about = append(append(about, piece{Text: ", kept at "}), inBoth(t.Food.Start.V.Format)...)
	}
	out := []words{about}
	if pieces > 0 {
		out = append(out, say("Two pieces more than needed, for accidents"))
	}
	for _, s := range sources {
		line := append(named(s), piece{Text: ": " + counted(bySource[s], "piece", "pieces")})
		for i := range t.Sources {
			if x := &t.Sources[i]; x.ID == s {
				if x.Lot.Known {
					line = append(append(line, piece{Text: ", lot "}), named(x.Lot.V)...)
				}
				line = append(line, frozenWords(x.Frozen)...)
			}
		}
		out = append(out, line)
	}
	if f := frozenWords(t.Food.Frozen); len(f) > 0 {
		out = append(out, append(say("All of it"), f...))
	}
	return out
}

func frozenWords(f trial.Opt[trial.Frozen]) words {
	if !f.Known || !f.V.Is {
		return nil
	}
	out := say(", frozen")
	if f.V.Tmp.Known {
		out = append(append(out, piece{Text: " at "}), inBoth(f.V.Tmp.V.Format)...)
	}
	if f.V.For.Known {
		out = append(append(out, piece{Text: " for "}), inBoth(f.V.For.V.Format)...)
	}
	return append(out, piece{Text: ": ask for the record"})
}

// brines lists each brine with what it takes, where that follows from masses.
func (m *sheetMaker) brines() []words {
	t := m.t
	count, salt, known := map[string]int{}, map[string]float64{}, map[string]bool{}
	var order []trial.Brine
	var seals []string
	bags := map[string]int{}
	for i := range t.Cooks {
		c := &t.Cooks[i]
		if s := c.Bag.V.Seal; c.Bag.Known && s.Known && s.V != "none" {
			if bags[string(s.V)] == 0 {
				seals = append(seals, string(s.V))
			}
			bags[string(s.V)] += max(1, len(c.Pieces))
		}
		for j := range max(1, len(c.Pieces)) {
			at := j
			if len(c.Pieces) == 0 {
				at = -1
			}
			b := c.Treatments(at).Brine
			if !b.Known || b.V.Kind == trial.NoBrine {
				continue
			}
			label := b.V.Label()
			if count[label] == 0 {
				order = append(order, b.V)
				known[label] = true
			}
			count[label]++
			weighed := at >= 0 && c.Pieces[j].Before.Known && b.V.Kind == trial.DryBrine && b.V.Salt.Known && b.V.Of.V == "flesh"
			known[label] = known[label] && weighed
			if weighed {
				salt[label] += c.Pieces[j].Before.V.Grams() * b.V.Salt.V.Percent() / 100
			}
		}
	}
	var out []words
	for _, b := range order {
		label := b.Label()
		line := say(capital(label) + ": " + counted(count[label], "piece", "pieces"))
		switch {
		case known[label]:
			line = append(append(line, piece{Text: ", salt "}), inBoth(quantity.Grams(salt[label]).Format)...)
			line = append(line, piece{Text: ", weighed out for each piece"})
		case b.Kind == trial.WetBrine:
			line = append(line, piece{Text: ", in small tubs"})
		}
		out = append(out, line)
	}
	for _, s := range seals {
		out = append(out, say(fmt.Sprintf("Bags to seal (%s): %d, and some to spare", s, bags[s])))
	}
	return out
}

// heaters lists baths with the set points that they hold, and pans.
func (m *sheetMaker) heaters() []words {
	t := m.t
	var ids, pans []string
	points := map[string][]words{}
	chilled := false
	for i := range t.Cooks {
		c := &t.Cooks[i]
		id := c.Bath.V
		if !slices.Contains(ids, id) {
			ids = append(ids, id)
		}
		if p := setPointWords(c); len(p) > 0 && !slices.ContainsFunc(points[id], func(w words) bool { return w.key() == p.key() }) {
			points[id] = append(points[id], p)
		}
		for j := -1; j < len(c.Pieces); j++ {
			f := c.Treatments(j).Finish
			if f.Known && !f.V.None && f.V.Sear.Known {
				pan := "a pan"
				if f.V.Pan.Known {
					pan = "pan " + f.V.Pan.V
				}
				if !slices.Contains(pans, pan) {
					pans = append(pans, pan)
				}
			}
		}
		chilled = chilled || c.Chill.Known && c.Chill.V.Is
	}
	medium := string(t.Medium.Or(trial.WaterBath))
	var out []words
	for _, id := range ids {
		line := say(capital(medium))
		if id != "" {
			line = append(append(line, piece{Text: " "}), m.bathWords(id)...)
		}
		if p := points[id]; len(p) > 0 {
			line = append(append(line, piece{Text: ": "}), strung(p, ", ")...)
		}
		out = append(out, line)
	}
	for _, p := range pans {
		out = append(out, say(capital(p)+", lid, tongs, paper to dry the pieces"))
	}
	if chilled {
		out = append(out, say("Ice, and a tub to chill in"))
	}
	return out
}

// tools are what is measured and written with.
func (m *sheetMaker) tools() []words {
	out := []words{say("Scale that reads 0.1 g"), say("Probe thermometer, checked in melting ice"), say("Ruler or calliper for the thickness"), say("Clock that everybody can see"),
		say("This run sheet, the record sheet, clip boards, pencils, waterproof pen")}
	for _, x := range m.t.Measures {
		switch {
		case x.Name == surfaceProtein || x.By.V == "photo":
			out = append(out, say(capital(plain(x.Name))+": camera, even light, the same plate and distance"))
		case x.Kind == trial.Amount && !x.FromWeights():
			out = append(out, say(capital(plain(x.Name))+": the instrument for it, "+x.Unit.V))
		}
	}
	return out
}

// tasting is what the panel needs.
func (m *sheetMaker) tasting() []words {
	t := m.t
	if !slices.ContainsFunc(t.Measures, design.Tasted) {
		return nil
	}
	people, portions := map[string]bool{}, 0
	for _, b := range scores.Ballots(t) {
		people[b.Assessor] = true
		for i := range b.Rows {
			if said := m.by[b.Rows[i].Cook]; said != nil && said.Eaten {
				portions++
			}
		}
	}
	if portions == 0 {
		return nil
	}
	out := []words{say(counted(portions, "portion", "portions") + " on plates that look alike, and as many forks"), say("Ballots for " + counted(len(people), "person", "people") + ", pens, labels, scissors")}
	p := t.Panel.V
	if p.Bite.Known {
		out = append(out, append(append(say("Bites of "), inBoth(p.Bite.V.Format)...), piece{Text: ", all cut alike"}))
	}
	if p.Rinse.Known && p.Rinse.V.With.Known {
		out = append(out, say("To rinse: "+p.Rinse.V.With.V))
	}
	if p.LooksMasked.Known && p.LooksMasked.V != "no" {
		out = append(out, say("To mask the looks: "+string(p.LooksMasked.V)))
	}
	return append(out, say("A bin for what is left, to be emptied at the time above"))
}

func counted(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return strconv.Itoa(n) + " " + many
}
