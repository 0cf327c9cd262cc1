package fairness

import "tamis/internal/trial"

var sessionTiedToSetPoint = Check{
	Slug:   "session-tied-to-set-point",
	Family: Replication,
	Stage:  Plan,
	Short:  "the day",
	Asks:   "Was each set point cooked on its own day?",
	Needs:  []string{"cooks.session", "sessions.date", "cooks.started", "cooks.block", "cooks.set_point"},
	Finds: "Runs are sorted by session, or by the date of their start. It blocks where every comparison is lost to the session by rank and weakens " +
		"where some are, or where the corrected Cramér's V of session and set point is above {tie-v}. The same is asked of any further block.",
	Clears:   "There is one session, or every set point can be compared within sessions and V is at most {tie-v}.",
	Unjudged: "A cook names no session, and its start no date.",
	Why: "Another day is another delivery, another mood, another room. The day then explains the result as well as the set point does, and no " +
		"statistics can take the two apart.",
	Wording: "{levels} were cooked in different {blocks} and never together. What the {block} did and what the {factor} did cannot be told apart.",
	Others: map[string]string{
		"partly": "{pairs} never met in one {block}. What the {block} did and what the {factor} did cannot be told apart there.",
		"uneven": "The {blocks} did not get {levels} alike. Part of what the {block} did may look like the {factor}.",
	},
	Hedge:      "the {blocks} did not all see the same {factor}s",
	Next:       "Put every {factor}, or at least a pair that overlaps, into every {block}.",
	Fix:        "balance-sessions",
	Source:     "Confounding with blocks: rank of the model with both; Cramér's V with the correction of Bergsma 2013 (from memory). {tie-v} is a house rule.",
	Options:    []string{"tie-v"},
	FiresOn:    "cooks: [{id: A, set_point: 62 °C, session: mon}, {id: B, set_point: 62 °C, session: mon}, {id: C, set_point: 68 °C, session: tue}, {id: D, set_point: 68 °C, session: tue}]",
	ClearOn:    "cooks: [{id: A, set_point: 62 °C, session: mon}, {id: B, set_point: 68 °C, session: mon}, {id: C, set_point: 68 °C, session: tue}, {id: D, set_point: 62 °C, session: tue}]",
	EachFactor: true,
	Judge:      judgeSessionTied,
	Example:    exampleSessionTied,
}

func judgeSessionTied(c *Case) Judgement {
	if !c.Compares() || c.Factor.WithinCooks() {
		return notApplicable("nothing that is applied to a whole cook is compared")
	}
	sessions := c.ofRuns(sessionOf)
	if len(sessions.lacks) > 0 {
		return cannot("cooks.session", sessions.lacks...)
	}
	worst := c.tiedSessions(sessions, "session", "cooks.session")
	// A further block, where every cook names one.
	if blocks := c.ofRuns(func(k *trial.Cook) (string, bool) { return k.Block.V, k.Block.Known }); len(blocks.lacks) == 0 {
		if j := c.tiedSessions(blocks, "block", "cooks.block"); j.Severity > worst.Severity {
			worst = j
		}
	}
	return worst
}

func (c *Case) tiedSessions(k category, word, field string) Judgement {
	t := c.together(k)
	j, ok := c.tied(k, t)
	if !ok {
		return clear()
	}
	j.Where.Fields = []string{field}
	for _, name := range k.names {
		if word == "session" {
			j.Where.Sessions = append(j.Where.Sessions, name)
		}
	}
	j.Fill["block"], j.Fill["blocks"], j.Fill["pairs"] = word, word+"s", c.pairsWords(t.Pairs)
	switch {
	case t.Full():
		j.Severity = Blocks
	case t.Lost > 0:
		j.Variant = "partly"
	}
	return j
}
