package faults

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"
)

// Files are the files of a trial by name; trial.yaml is the trial file.
func (t *Trial) Files() map[string]string {
	files := map[string]string{}
	var b strings.Builder
	say := func(format string, args ...any) { fmt.Fprintf(&b, format+"\n", args...) }
	say("tamis: 1\ntitle: %s at %d set points\nquestion: Which set point?\nstatus: cooked\ndisclosure: Invented data.", t.food.name, len(t.setPoints))
	say("date: 2026-02-%02d", t.firstDay+t.step*(t.sessions-1))
	if t.declared != "" {
		say("declared: %s", t.declared)
	}
	if t.aim != "" {
		say("aim: %s", t.aim)
	}
	for _, line := range t.head {
		say("%s", line)
	}
	frozen := ", frozen: no"
	if !t.write.history {
		frozen = ""
	}
	if strings.Contains(t.food.kind, "fish") {
		frozen = ", frozen: {at: -20 °C, for: 7 d, by: supplier}"
	}
	say("food: {name: %s, kind: %s, form: whole, shape: %s, thickness: %.0f mm, start: 4 °C%s}", t.food.name, t.food.kind, t.food.shape, t.food.thickness, frozen)
	say("measures:")
	for _, m := range t.measures {
		say("  %s: %s", m.name, m.says)
	}
	if t.write.masses {
		say("  cook_loss: {unit: \"%%\", from: weights}")
	}
	say("sessions:")
	for s := range t.sessions {
		say("  s%d: {date: 2026-02-%02d}", s+1, t.firstDay+t.step*s)
	}
	say("baths:")
	for i, f := range t.bathFact {
		say("  b%d: %s", i+1, flow(f))
	}
	last := 0
	for _, c := range t.cooks {
		for _, p := range c.pieces {
			last = max(last, p.source)
		}
	}
	if t.write.lots {
		say("sources:")
		perDay := (last + t.sessions) / t.sessions
		for i := range last + 1 {
			f := map[string]string{"lot": fmt.Sprintf("L%d", min(i/max(1, perDay), t.lots-1)+1)}
			maps.Copy(f, t.sources[fmt.Sprintf("f%d", i+1)])
			say("  f%d: %s", i+1, flow(f))
		}
	}
	t.writeCooks(&b, files)
	for _, line := range t.deviations {
		say("%s", line)
	}
	if t.write.panel {
		say("panel:\n  scores: scores.csv")
		if t.write.codes {
			say("  key: key.csv")
		}
		for _, k := range slices.Sorted(maps.Keys(t.panel)) {
			say("  %s: %s", k, t.panel[k])
		}
		say("  assessors:")
		for i, n := range t.names {
			say("    %s: %s", n, flow(t.assessors[i]))
		}
		t.writeScores(files)
	}
	files["trial.yaml"] = b.String()
	return files
}

func flow(f map[string]string) string {
	parts := make([]string, 0, len(f))
	for _, k := range slices.Sorted(maps.Keys(f)) {
		parts = append(parts, k+": "+f[k])
	}
	return "{" + strings.Join(parts, ", ") + "}"
}

func (t *Trial) degrees(celsius float64) string {
	if t.write.fahrenheit {
		return strconv.FormatFloat(math.Round(10*(celsius*1.8+32))/10, 'g', -1, 64) + " °F"
	}
	return strconv.FormatFloat(celsius, 'g', -1, 64) + " °C"
}

func clock(m int) string { return fmt.Sprintf("%02d:%02d", m/60%24, m%60) }

// cookFields are what is written down of one cook.
func (t *Trial) cookFields(c *cook) map[string]string {
	f := map[string]string{"id": c.id, "set_point": t.degrees(t.setPoints[c.arm]), "session": fmt.Sprintf("s%d", c.session+1), "order": strconv.Itoa(c.place + 1),
		"bath": fmt.Sprintf("b%d", c.bath+1), "finish": "none", "time": fmt.Sprintf("%d min", c.minutes)}
	if t.write.clocks {
		f["started"], f["out"], f["served"] = clock(c.start), clock(c.start+c.minutes), clock(c.start+c.minutes+c.wait)
	}
	if t.write.served {
		f["served_at"] = t.degrees(math.Round(10*c.servedAt) / 10)
	}
	if t.write.vacuum {
		f["vacuum"] = "90 %"
	}
	if t.write.chilled {
		f["chilled"] = "no"
	}
	if t.write.logs && !c.noLog {
		f["log"] = "logs/" + c.id + ".csv"
	}
	maps.Copy(f, c.fields)
	for k, v := range f {
		if v == "" {
			delete(f, k)
		}
	}
	return f
}

func (t *Trial) pieceFields(c *cook, p *piece) map[string]string {
	f := map[string]string{"id": p.id, "source": fmt.Sprintf("f%d", p.source+1)}
	if t.write.parts {
		f["part"] = []string{"head", "middle", "tail"}[p.part]
	}
	if t.write.thickness {
		f["thickness"] = fmt.Sprintf("%.1f mm", p.thickness)
	}
	if t.write.masses {
		f["before"] = fmt.Sprintf("%.1f g", p.before)
		f["after"] = fmt.Sprintf("%.1f g", p.after)
	}
	switch {
	case t.write.brine && !p.brined:
		f["brine"] = "none"
	case p.brined && t.write.wetBrine:
		f["brine.salt"], f["brine.of"], f["brine.for"], f["brine.tub"] = "6 %", "water", "30 min", fmt.Sprintf("t%d", c.session+1)
		f["brined"] = fmt.Sprintf("%.1f g", p.before*(1+p.uptake/100))
	case p.brined:
		f["brine.dry salt"], f["brine.of"], f["brine.for"] = "1 %", "flesh", "20 min"
	}
	if !t.write.panel {
		f["shear"] = fmt.Sprintf("%.1f", p.value)
	}
	maps.Copy(f, p.fields)
	for k, v := range f {
		if v == "" {
			delete(f, k)
		}
	}
	return f
}

// writeCooks writes cooks and pieces in the trial file, or as two tables.
func (t *Trial) writeCooks(b *strings.Builder, files map[string]string) {
	for _, c := range t.cooks {
		if f := t.cookFields(c); f["log"] != "" {
			text := "time (min),core (°C),bath (°C)\n"
			for m := 0.0; m <= float64(c.minutes); m += 2.5 {
				core, bath := t.logOf(c, m)
				text += fmt.Sprintf("%.1f,%.2f,%.2f\n", m, core, bath)
			}
			files[f["log"]] = text
		}
	}
	if t.write.inline {
		fmt.Fprintln(b, "cooks:")
		for _, c := range t.cooks {
			fmt.Fprintf(b, "  - %s\n", strings.TrimSuffix(nested(t.cookFields(c)), "}")+", pieces: [")
			for i, p := range c.pieces {
				sep := ","
				if i == len(c.pieces)-1 {
					sep = "]}"
				}
				fmt.Fprintf(b, "      %s%s\n", nested(t.pieceFields(c, p)), sep)
			}
		}
		return
	}
	var cooks, pieces []map[string]string
	for _, c := range t.cooks {
		f := t.cookFields(c)
		f["pieces.from"] = "pieces.csv"
		cooks = append(cooks, f)
		for _, p := range c.pieces {
			g := t.pieceFields(c, p)
			g["cook"] = c.id
			pieces = append(pieces, g)
		}
	}
	fmt.Fprintln(b, "cooks: {from: cooks.csv}")
	files["cooks.csv"] = t.csv(cooks, "id")
	files["pieces.csv"] = t.csv(pieces, "cook", "id")
}

// nested turns brine.salt into a group.
func nested(f map[string]string) string {
	flat := map[string]string{}
	groups := map[string]map[string]string{}
	for k, v := range f {
		if strings.HasPrefix(v, "[") || !strings.ContainsAny(v, ":,#") || strings.HasPrefix(v, "{") || len(v) == 5 && v[2] == ':' {
			// as it is
		} else {
			v = strconv.Quote(v)
		}
		if group, key, ok := strings.Cut(k, "."); ok {
			if groups[group] == nil {
				groups[group] = map[string]string{}
			}
			groups[group][key] = v
			continue
		}
		flat[k] = v
	}
	for g, f := range groups {
		flat[g] = flow(f)
	}
	return flow(flat)
}

// csv is a table with the first columns given; with decimal commas it is
// separated by semicolons.
func (t *Trial) csv(rows []map[string]string, first ...string) string {
	keys := map[string]bool{}
	for _, r := range rows {
		for k := range r {
			keys[k] = true
		}
	}
	columns := slices.Clone(first)
	for _, k := range slices.Sorted(maps.Keys(keys)) {
		if !slices.Contains(columns, k) {
			columns = append(columns, k)
		}
	}
	sep := ","
	if t.write.comma {
		sep = ";"
	}
	var b strings.Builder
	b.WriteString(strings.Join(columns, sep) + "\n")
	for _, r := range rows {
		cells := make([]string, len(columns))
		for i, c := range columns {
			cells[i] = r[c]
			if t.write.comma && isNumber(cells[i]) {
				cells[i] = strings.Replace(cells[i], ".", ",", 1)
			}
		}
		b.WriteString(strings.Join(cells, sep) + "\n")
	}
	return b.String()
}

// isNumber reports whether a cell is a number with or without a unit.
func isNumber(s string) bool {
	number, _, _ := strings.Cut(s, " ")
	_, err := strconv.ParseFloat(number, 64)
	return err == nil && strings.Contains(number, ".")
}

func (t *Trial) writeScores(files map[string]string) {
	code := map[*piece]string{}
	var key []map[string]string
	for i, c := range t.cooks {
		for j, p := range c.pieces {
			code[p] = strconv.Itoa(101 + (i*len(c.pieces)+j)*397%887)
			key = append(key, map[string]string{"code": code[p], "piece": p.id})
		}
	}
	var rows []map[string]string
	for _, x := range t.rows {
		f := map[string]string{"assessor": t.names[x.who], "session": fmt.Sprintf("s%d", x.session+1), "position": strconv.Itoa(x.place + 1)}
		if t.write.codes {
			f["code"] = code[x.piece]
		} else {
			f["cook"], f["piece"] = x.cook.id, x.piece.id
		}
		for i, m := range t.measures {
			if v := x.values[i]; !math.IsNaN(v) {
				f[m.name] = strconv.FormatFloat(math.Round(2*v)/2, 'f', 1, 64)
			}
		}
		maps.Copy(f, x.fields)
		for k, v := range f {
			if v == "" {
				delete(f, k)
			}
		}
		if !t.write.rows {
			rows = append(rows, f)
			continue
		}
		for _, m := range t.measures { // a row for each measure
			one := maps.Clone(f)
			for _, other := range t.measures {
				if other.name != m.name {
					delete(one, other.name)
				}
			}
			rows = append(rows, one)
		}
	}
	files["scores.csv"] = t.csv(rows, "assessor", "session", "position")
	if t.write.codes {
		files["key.csv"] = t.csv(key, "code", "piece")
	}
}
