package fairness

import (
	"fmt"
	"slices"
	"strings"

	"tamis/internal/food"
	"tamis/internal/prose"
	"tamis/internal/trial"
)

var widerThanTrial = Check{
	Slug: "wider-than-trial", Family: Claims, Stage: Scored, About: AboutWording,
	Short: "wider than the trial",
	Asks:  "Do you speak for all fish or all guests?",
	Needs: []string{"conclusion", "food.name", "food.kind", "sources.lot", "panel.assessors"},
	Finds: "A general subject (fish, meat, all, any, the bare name of the food in the present tense) before the claim holds for this food as you buy it; another food than the trial's; " +
		"guests or people before it holds for guests; another medium than the trial's.",
	Clears:   "The subject is limited (these pieces, our panel, this delivery, the past tense), or the claim reaches so far.",
	Unjudged: "The conclusion is in a language without a word list.",
	Why:      "What was tasted is one delivery, one kitchen and these mouths.",
	Wording:  "“{quote}” reaches further than {reach}. Say {limited}.",
	Next:     "Two more deliveries for the food; sixty consumers for the guests.",
	Eats:     true,
	Fix:      "more-lots",
	Source:   "House rule; the claim ladder says what each step needs.",
	FiresOn:  "conclusion: Guests prefer pork loin at 58 °C.",
	ClearOn:  "conclusion: Our four tasters preferred these pieces at 58 °C.",
	Judge:    judgeWider,
	Example:  exampleWider,
}

var (
	generalWords = phrasesOf("all", "any", "every", "in general", "generally", "as a rule", "usually", "anywhere", "everywhere", "universally", "whatever the").
			except("all in all", "all three", "all four", "all five", "all six", "all eight", "all nine", "all our", "all of our", "all of the", "all of these", "all the", "all sessions", "all cooks", "in all", "after all", "above all",
			"every session", "every cook", "every set point", "every taster", "every run", "every sitting", "every one of", "any of the", "if any", "all tasters", "every pair", "all scores", "all measures")
	// kindWords are wider than any one food.
	kindWords   = phrasesOf("fish", "fishes", "meat", "meats", "poultry", "seafood", "shellfish", "vegetables")
	peopleWords = phrasesOf("people", "guests", "customers", "consumers", "everyone", "everybody", "diners", "anyone", "the public", "most people")
	limitWords  = phrasesOf("these", "this", "our", "ours", "we", "that day", "in the trial", "here", "were", "was", "scored", "preferred", "tasted", "had", "gave", "did", "liked", "flaked", "held", "said", "came").except("like this", "like these", "such as this")
	mediumWords = map[trial.Medium]phrases{
		trial.Oven: phrasesOf("oven"), trial.Pan: phrasesOf("pan", "frying pan", "skillet"), trial.Oil: phrasesOf("deep fryer", "in oil", "confit"), trial.Steam: phrasesOf("steamer", "combi oven"),
	}
	foodWords = strings.Fields("salmon cod haddock pollack trout tuna halibut hake mackerel beef pork lamb veal chicken turkey duck egg eggs carrot carrots potato potatoes shrimp prawn prawns lobster squid octopus mussels oysters scallops venison")
)

func judgeWider(c *Case) Judgement {
	if j, ok := conclusionOr(c); !ok {
		return j
	}
	level := L0
	if c.Claim != nil {
		level = c.Claim.Level
	}
	split := slices.ContainsFunc(c.Findings, func(f Finding) bool { return f.Slug == "panel-splits" && f.Outcome == Fires })
	t := c.Trial
	for _, s := range sentences(t.Conclusion.V) {
		if s.asks() {
			continue
		}
		limited := limitWords.in(s.text)
		if h := peopleWords.find(s.text); len(h) > 0 && (level < L4 || split) && !strings.Contains(strings.ToLower(s.text), "like those we asked") && !askedWords.in(s.text) {
			return c.tooWide(s, h[0], "“our tasters”")
		}
		for _, w := range foodWords {
			if hasWord(strings.ToLower(s.text), w) && !sameFood(t, w) && !limited {
				return c.tooWide(s, hit{phrase: w, in: s, at: strings.Index(strings.ToLower(s.text), w)}, "“"+t.Food.Name.Or("the food of this trial")+"”")
			}
		}
		for medium, p := range mediumWords {
			if h := p.find(s.text); len(h) > 0 && t.Medium.Or(trial.WaterBath) != medium && !pannedAfter(t, medium) {
				return c.tooWide(s, h[0], "how it was cooked here")
			}
		}
		if limited {
			continue
		}
		if h := kindWords.find(s.text); len(h) > 0 {
			return c.tooWide(s, h[0], "“these pieces”")
		}
		if level >= L3 {
			continue
		}
		if h := generalWords.find(s.text); len(h) > 0 {
			return c.tooWide(s, h[0], "“these pieces”")
		}
		if name := strings.ToLower(t.Food.Name.V); name != "" {
			for _, word := range append([]string{name}, strings.Fields(name)...) {
				if len(word) > 3 && hasWord(strings.ToLower(s.text), word) && presentTense.in(s.text) {
					return c.tooWide(s, hit{phrase: word, in: s, at: strings.Index(strings.ToLower(s.text), word)}, "“these pieces” and the past tense")
				}
			}
		}
	}
	return clear()
}

var presentTense = phrasesOf("is", "are", "needs", "wants", "makes", "gives", "holds", "flakes", "stays", "gets", "becomes", "tastes", "should", "must", "firms", "likes", "turns", "has", "wins", "needs", "dries", "works", "can", "will", "comes", "loses", "keeps", "tends", "prefers", "wants")

// askedWords limit people to those who were asked.
var askedWords = phrasesOf("we asked", "our guests", "our tasters", "of our", "who tasted", "in our panel", "asked", "the guests that day", "tasted here")

func (c *Case) tooWide(s sentence, h hit, say string) Judgement {
	h.in, h.at = s, s.at+max(0, h.at)
	lots := map[string]bool{}
	for _, src := range c.Trial.Sources {
		if src.Lot.Known {
			lots[src.Lot.V] = true
		}
	}
	l := &ladder{c: c}
	people := 0
	if m := l.primary(); m != nil {
		people = len(l.tasters(m, nil))
	}
	reach := prose.Say(deliveries(max(1, len(lots))))
	if people > 0 {
		reach = prose.Say(reach, " and ", prose.Plural(people, "taster"))
	}
	return sayOf(c, h, Fill{"reach": reach, "limited": say})
}

func deliveries(n int) string {
	if n == 1 {
		return "one delivery"
	}
	return fmt.Sprintf("%d deliveries", n)
}

// sameFood reports whether a word names the food of the trial, or the kind that
// it belongs to.
func sameFood(t *trial.Trial, word string) bool {
	own := strings.ToLower(t.Food.Name.V + " " + t.Food.Kind.V + " " + t.Title.V)
	if _, ok := food.Lookup(t.Food.Kind.V); !ok && t.Food.Name.V == "" {
		return true
	}
	return hasWord(own, word) || hasWord(own, strings.TrimSuffix(word, "s")) || hasWord(own, word+"s")
}

// pannedAfter: a finish in a pan makes the pan part of the trial.
func pannedAfter(t *trial.Trial, m trial.Medium) bool {
	if m != trial.Pan {
		return false
	}
	for i := range t.Cooks {
		if f := t.Cooks[i].Finish; f.Known && !f.V.None {
			return true
		}
		for j := range t.Cooks[i].Pieces {
			if f := t.Cooks[i].Pieces[j].Finish; f.Known && !f.V.None {
				return true
			}
		}
	}
	return false
}
