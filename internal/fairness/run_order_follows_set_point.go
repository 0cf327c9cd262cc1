package fairness

import (
	"math"
	"slices"

	"tamis/internal/quantity"
	"tamis/internal/stats/alias"
)

var runOrderFollowsSetPoint = Check{
	Slug:   "run-order-follows-set-point",
	Family: Replication,
	Stage:  Plan,
	Short:  "the run order",
	Asks:   "Did you cook from cold to hot, or in the same order every day?",
	Needs:  []string{"cooks.order", "cooks.started", "cooks.session", "cooks.set_point", "drawn.order"},
	Finds: "Within sessions, run order is correlated with the set point, as numbers (r) and as ranks (ρ). The larger of the two blocks from " +
		"{order-r-block} and weakens above {order-r}; the same order in every session weakens too, when the order costs a comparison by rank. " +
		"Cooks that all start within {same-start} have no order, and one that is the same in every session is then a note. An order that was drawn by lot is held against the best that its sessions allow.",
	Clears:   "Neither r nor ρ is above {order-r} and no comparison is lost to the order, or all cooks of each session went in together, not in one order every time.",
	Unjudged: "Neither the order nor the start of a cook is known, or no session holds two cooks.",
	Why: "Water, fish, hands and appetite change over an afternoon. Where the order rises with the set point, everything that the hour brought " +
		"rises with it.",
	Wording: "{levels} were run {how}. Anything that changed over a session, such as food that stood around or a tiring hand, looks like the {factor}.",
	Hedge:   "the runs followed the {factor}, and with it whatever the hour brought",
	Next:    "Draw the order by lot in each session. With few runs go up one day and down the next.",
	Fix:     "draw-order",
	Source:  "Running order as a nuisance: any book on designed experiments. The limits are house rules.",
	Options: []string{"order-r", "order-r-block", "same-start"},
	FiresOn: "cooks: [{id: A, set_point: 46 °C, session: s1, order: 1}, {id: B, set_point: 50 °C, session: s1, order: 2}, {id: C, set_point: 54 °C, session: s1, order: 3}, {id: D, set_point: 58 °C, session: s1, order: 4}]",
	ClearOn: "cooks: [{id: A, set_point: 50 °C, session: s1, order: 1}, {id: B, set_point: 58 °C, session: s1, order: 2}, {id: C, set_point: 46 °C, session: s1, order: 3}, {id: D, set_point: 54 °C, session: s1, order: 4}]",

	EachFactor: true,
	Judge:      judgeRunOrder,
	Example:    exampleRunOrder,
}

func judgeRunOrder(c *Case) Judgement {
	if !c.Compares() || c.Factor.WithinCooks() {
		return notApplicable("nothing that is applied to a whole cook is compared")
	}
	runs := c.runs()
	o := c.orders(runs)
	switch {
	case len(o.noOrder) > 0:
		return cannot("cooks.order", o.noOrder...)
	case len(o.noSession) > 0:
		return cannot("cooks.session", o.noSession...)
	case o.most < 2:
		return tooFew("cooks in one session", o.most, 2)
	}
	together := o.together(c.set.minutes("same-start"))
	level, x := make([]int, len(runs)), make([]float64, len(runs))
	for i, r := range runs {
		level[i], x[i] = r.Level, float64(r.Level)
		if c.Factor.Values != nil {
			x[i] = c.Factor.Values[r.Level]
		}
	}
	weak, block := c.set.number("order-r"), c.set.number("order-r-block")
	tie, err := alias.Lost(level, c.Levels(), alias.Number(o.places()))
	if err != nil {
		return tooFew("cooks", 0, 2)
	}
	// With every set point cooked once, the order costs a comparison whatever it is.
	same := tie.Lost > 0 && o.sessions > 1 && slices.Max(c.runsPerLevel()) > 1
	follows := &alias.Order{}
	// A category has no direction, unless it has two levels.
	if c.Factor.Values != nil || c.Levels() == 2 {
		if f, err := alias.OrderFollows(o.session, o.order, x); err == nil {
			follows = f
		}
	}
	most, limit, option := follows.Most(), weak, "order-r"
	severity := None
	switch {
	// The correlation of four numbers in line is 1 but for rounding.
	case most >= block-1e-9:
		severity, limit, option = Blocks, block, "order-r-block"
	case most > weak+1e-9, same:
		severity = Weakens
	}
	if together {
		// The hour brought nothing, but hands may still have gone from one set point
		// to the next in the same order, day after day.
		if o.sessions < 2 || severity < Blocks && !same {
			return clearBut("All cooks of each session went in together.")
		}
		severity = Note
	}
	if severity == Weakens && !same && c.Trial.Drawn.Known && c.Trial.Drawn.V.Order.V {
		// The bound of a restricted draw is the first tenth that can be met.
		if best, ok := alias.BestOrder(o.session, o.order, x); ok && most <= math.Ceil(10*best-1e-9)/10+1e-9 {
			return clearBut("The order was drawn by lot, and these sessions allow hardly a better one.")
		}
	}
	if severity == None {
		return clear()
	}
	how := "in the same order in every session"
	if most > weak {
		how = map[bool]string{true: "from low to high", false: "from high to low"}[follows.Rho > 0]
		if c.Factor.Values == nil {
			how = "one after the other"
		}
		if o.sessions > 1 {
			how += ", session after session"
		}
	}
	levels := make([]int, c.Levels())
	for l := range levels {
		levels[l] = l
	}
	j := Judgement{
		Outcome: Fires, Severity: severity, Statistic: "larger of |r| and |ρ| of order and set point within sessions", Value: quantity.Num(most),
		Threshold: quantity.Num(limit), Option: option, Where: c.whereLevels(levels...),
		Fill: Fill{"levels": c.levelsWords(levels...), "how": how, "factor": c.factorWords()},
		Details: []Detail{
			{Name: "r within sessions", Value: quantity.Num(follows.R)}, {Name: "ρ within sessions", Value: quantity.Num(follows.Rho)},
			{Name: "comparisons lost by rank", Value: quantity.Num(float64(tie.Lost))},
		},
	}
	if most <= weak {
		j.Statistic, j.Value, j.Threshold, j.Option = "comparisons lost by rank", quantity.Num(float64(tie.Lost)), quantity.Num(0), ""
	}
	return j
}
