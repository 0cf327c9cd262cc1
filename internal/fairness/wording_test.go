package fairness

import (
	"strconv"
	"strings"
	"sync"
	"testing"

	"tamis/internal/diag"
	"tamis/internal/heat"
	"tamis/internal/quantity"
	"tamis/internal/safety"
	"tamis/internal/texture"
	"tamis/internal/trial"
)

// spoken is an analysed trial, about which one conclusion after the other is
// drawn. It is read once and shared.
type spoken struct {
	text string // grafted onto the fair trial
	once sync.Once
	in   Inputs
}

func (s *spoken) inputs(t testing.TB) Inputs {
	s.once.Do(func() {
		tr := graft(t, s.text)
		s.in = Inputs{Trial: tr, Heat: heat.OfTrial(tr), Fit: texture.Analyse(tr, texture.Options{Draws: 200})}
		s.in.Safety = safety.OfTrial(tr, s.in.Heat)
	})
	return s.in
}

// run judges the trial with a conclusion of the author.
func (s *spoken) run(t testing.TB, conclusion string) *Result {
	t.Helper()
	in := s.inputs(t)
	with := *in.Trial
	with.Conclusion = trial.SomeAt(conclusion, diag.At(diag.FileNamed("trial.yaml"), 7, 13))
	if conclusion == "" {
		with.Conclusion = trial.Opt[string]{}
	}
	in.Trial = &with
	r, err := Run(in)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// flatSheet is a score sheet on which the set points do not differ but by chance.
func flatSheet(cooks string) string {
	b := "scores: |\n  assessor,session,position,cook,firmness\n"
	for a, who := range fairTasters {
		for i, id := range cooks {
			session := fairSessions[i/3%3]
			own := []float64{0.4, -0.6, 0.1, 0.5, -0.3, -0.1, 0.6, -0.2, -0.4}[(i*4+a)%9]
			b += "  " + who + "," + session + "," + string(rune('1'+(i+a)%3)) + "," + string(id) + "," + amountText(5+own+0.35*wobble(i, 3)) + "\n"
		}
	}
	return b
}

func amountText(v float64) string { return strconv.FormatFloat(v, 'f', 1, 64) }

var (
	// clearly: 48, 52 and 56 °C in three runs each, 2.8 points between the ends.
	clearly = &spoken{text: ""}
	// kitchen: as clearly, but three deliveries are too few to speak of the food.
	kitchen = &spoken{text: "thresholds: {lots: 9}"}
	// flat: the same cooks, no difference.
	flat = &spoken{text: flatSheet("ABCDEFGHI")}
	// once: two set points, cooked once each.
	once = &spoken{text: "cooks: [{set_point: 48 °C}, {set_point: 56 °C}]"}
	// dated later: as clearly, but the question was fixed afterwards.
	later = &spoken{text: "declared: 2026-02-20"}
)

// sayings is what one check must fire on, and what it must let pass.
type sayings struct {
	slug          string
	about         *spoken
	fires, passes []string
}

var allSayings = []sayings{
	{"ratio-on-ratings", clearly, []string{
		"At 56 °C the pollack is twice as firm.",
		"Firmness doubled between 48 and 56 °C.",
		"56 °C was three times as firm as 48 °C.",
		"Firmness was 2x higher at 56 °C.",
		"Firmness was 40 % higher at 56 °C.",
		"At 56 °C it was 30% firmer.",
		"Firmness at 56 °C was 1,5 times that at 48 °C.",
		"At 48 °C it was half as firm.",
		"Firmness rose by 40 % from 48 to 56 °C.",
		"We saw a threefold rise in firmness.",
		"A 2.5-fold firmness at 56 °C.",
		"The firmness tripled.",
		"56 °C: one and a half times as firm.",
		"It was a third firmer at 56 °C.",
		"Firmness at 56 °C was 150 % of that at 48 °C.",
		"The firmness was halved at 48 °C.",
		"It is not only firmer, it is twice as firm.",
		"Several times firmer, that is what 56 °C gave us.",
		"At 48 °C it was 20 percent less firm.",
		"Twice the firmness for four degrees.",
		"At 56 °C the fish was half again as firm.",
		"Firmness dropped 35% at 48 °C.",
		"It came out twice as rubbery at 56 °C.",
		"Firmness fell by half at 48 °C.",
		"Firmness at 56 °C rose by about a third.",
	}, []string{
		"Firmness was 2.8 points higher at 56 °C.",
		"It is not twice as firm at 56 °C.",
		"“Twice as firm”, said one taster about its firmness.",
		"We tasted each piece twice for firmness.",
		"In a double-blind tasting firmness was higher at 56 °C.",
		"Each set point was cooked 3 times, and firmness was scored blind.",
		"Firmness differed by 2.8 points (95 % interval 2.2 to 3.5).",
		"Two of three tasters found it firmer.",
		"Each piece was cut in half, and firmness scored.",
		"Cook loss was 1.4 times as high at 56 °C.",
		"Cook loss doubled.",
		"Is it twice as firm?",
		"The scores do not say that firmness doubled.",
		"At 56 °C 60 % of the tasters called it firm.",
		"56 °C was the firmest of the three.",
		"",
	}},
	{"proves", clearly, []string{
		"This proves 56 °C is right.",
		"It has been proven that 56 °C is firmer.",
		"56 °C is always firmer.",
		"Cooking at 52 °C never fails.",
		"At 52 °C success is guaranteed.",
		"52 °C is definitely the one.",
		"Without doubt 56 °C was firmer.",
		"There is no doubt that 56 °C was firmer.",
		"Science says 52 °C.",
		"52 °C gives the perfect flake.",
		"These nine cooks are proof enough.",
		"You cannot go wrong with 52 °C.",
		"It is certain that the fish was firmer at 56 °C.",
		"It settles the question.",
		"The result is conclusive: 56 °C was firmer.",
		"At 52 °C it comes out right every time.",
		"In all cases 56 °C was firmer.",
		"For sure, 56 °C was firmer than 48 °C.",
		"It was undeniably firmer at 56 °C.",
		"Not only our panel says so: it is proven.",
		"Beyond any doubt 56 °C was firmer.",
		"56 °C was firmer without exception.",
		"This is scientifically established.",
	}, []string{
		"In our kitchen 56 °C tended to score firmer than 48 °C.",
		"This does not prove anything yet.",
		"Nothing is proven by nine cooks.",
		"We cannot guarantee it.",
		"It is not always firmer.",
		"“Always the best”, wrote one of our tasters.",
		"That is hardly proof.",
		"Is it always firmer?",
		"56 °C nearly always scored higher here.",
		"The pieces were firmer at 56 °C.",
		"56 °C made our pieces firmer.",
		"No guarantee is given.",
		"A trial like this isn’t proof.",
		"The waterproof probe read 52 °C.",
		"Our panel scored 56 °C 2.8 points higher.",
	}},
	{"proves", once, []string{
		"The heat made it firmer.",
		"It was firmer because of the temperature.",
		"56 °C makes it firmer.",
		"The difference is due to the set point.",
		"A higher temperature leads to firmer fish.",
		"The higher set point caused the firmness.",
		"This is the effect of the temperature.",
		"Eight degrees more resulted in firmer pieces.",
		"We confirmed that 56 °C was firmer.",
	}, []string{
		"The 56 °C pieces scored 6.1.",
		"That makes sense to us.",
		"It was not caused by the temperature alone.",
		"We made sure that all were blind.",
		"The 56 °C pieces were firmer.",
	}},
	{"proves", later, []string{
		"Confirmed: 56 °C was firmer.",
		"The trial confirms what we thought.",
	}, []string{
		"The pieces were firmer at 56 °C.",
		"It remains to be confirmed.",
		"It could not be confirmed here.",
	}},
	{"optimum-from-two", once, []string{
		"The optimum for pollack was 56 °C.",
		"56 °C was optimal.",
		"The sweet spot is 56 °C.",
		"The best temperature was 56 °C.",
		"Pollack is ideal at 48 °C.",
		"Firmness peaked at 56 °C.",
		"Ideally cooked, it sees 56 °C.",
		"The perfect temperature: 48 °C.",
		"Its peak lies at 56 °C.",
		"We found the best set point, 48 °C.",
		"It is best at 48 °C.",
		"We optimised the set point: 48 °C.",
	}, []string{
		"Of the two, 56 °C was firmer.",
		"No optimum can be named with two set points.",
		"We do not know the optimum.",
		"Ideally we would cook a third set point.",
		"One taster called it “the sweet spot”.",
		"Where is the optimum?",
		"Neither was optimal.",
		"48 °C did better here.",
	}},
	{"beyond-set-points", clearly, []string{
		"Below 48 °C it stays raw.",
		"At 62 °C it was dry.",
		"Above 56 °C it dries out.",
		"Cook it at 143 °F.",
		"At 62,5 °C it falls apart.",
		"Cook it at 45C.",
		"At 60 degrees it is chalky.",
		"Between 56 and 64 °C it gets tough.",
		"From 40 to 56 °C it firms.",
		"40–56 °C is the range.",
		"Up to 65 °C nothing changes.",
		"At 140 degrees Fahrenheit it is dry.",
		"Under 48 °C it is glassy.",
		"Hotter than 56 °C is a waste.",
		"We would not go lower, and at 44 °C it is raw.",
		"Try 58 °C for a firmer bite.",
		"It firms at 48, 52 and 60 °C.",
		"At 63 °C, as everybody knows, it is dry.",
		"At 60 ° C it is dry.",
		"60 °C is too much.",
		"Cook at 62 °C and it flakes.",
	}, []string{
		"51 °C lies in the window.",
		"56 °C was firmer than 48 °C.",
		"Serve it at 40 °C.",
		"It was chilled to 3 °C.",
		"Stored at 4 °C it keeps its shape.",
		"An 8 °C step made 2.8 points.",
		"Firmness rose by 2.8 points over 8 °C.",
		"It was firmer when 4 °C hotter.",
		"4 °C higher is firmer.",
		"The window is 3 °C wide.",
		"The window, 49 to 52 °C, is narrow.",
		"122 °F lies in the window.",
		"60 °C was not cooked.",
		"What happens at 60 °C?",
		"“At 60 °C it is dry”, one book says.",
		"Frozen at -20 °C for a week, then cooked at 52 °C.",
		"We did not go above 56 °C.",
		"At 48, 52 and 56 °C it firmed.",
		"Within 0.1 °C the baths stood at 52 °C.",
		"At 56.5 °C it is like 56 °C.",
		"At 52 °C (50 min) it was right.",
		"Next time we cook 60 °C.",
	}},
	{"same-without-margin", flat, []string{
		"48 °C and 56 °C are the same.",
		"All three were identical.",
		"There is no difference between 48 and 56 °C.",
		"The set point makes no difference.",
		"At 48 °C it is just as firm as at 56 °C.",
		"48 and 56 °C cannot be told apart.",
		"You cannot tell 48 °C from 56 °C.",
		"Nobody could ever say which was which, and we couldn't tell them apart.",
		"Both are equally firm.",
		"The two are equal.",
		"48 °C is as firm as 56 °C.",
		"The set point does not matter.",
		"The set point doesn’t matter.",
		"They are indistinguishable.",
		"48 and 56 °C gave the same firmness.",
		"We got the same result at 48 and 56 °C.",
		"The temperature had no effect on firmness.",
		"Firmness was unaffected by the set point.",
		"All were alike.",
		"48 °C is no different from 56 °C.",
		"Firmness was the same at 48 and 56 °C.",
		"We used the same fish, and 48 and 56 °C were the same.",
		"The set points are equivalent.",
	}, []string{
		"No difference was seen between 48 and 56 °C.",
		"We found no difference.",
		"48 and 56 °C are not the same.",
		"They were not identical.",
		"We used the same fish for all set points.",
		"No significant difference was found in firmness.",
		"All were cooked at the same time.",
		"All pieces were cut to equal weights.",
		"The same six tasters scored all.",
		"48 °C isn’t just as firm.",
		"Are they the same?",
		"“No difference”, wrote one taster.",
		"It went just as planned.",
		"We saw no difference between 48 and 56 °C.",
		"Both came from the same delivery.",
		"The panel noticed no difference.",
	}},
	{"wider-than-trial", kitchen, []string{
		"Guests prefer 56 °C.",
		"Fish is firmer at 56 °C.",
		"Pollack is firmer at 56 °C.",
		"Pollack loin flakes at 52 °C.",
		"All white fish firms like this.",
		"Cod needs 52 °C.",
		"Everyone likes 52 °C.",
		"People liked it at 52 °C.",
		"In the oven it would be drier.",
		"In a pan it was worse.",
		"Customers want 52 °C.",
		"In general 56 °C is firmer.",
		"Any fish behaves so.",
		"Generally, hotter is firmer.",
		"Diners preferred 52 °C.",
		"Seafood firms above 48 °C.",
		"Every fish is done at 52 °C.",
		"Salmon should be the same.",
		"Meat firms with heat.",
		"Whatever the fish, 52 °C works.",
		"Pollack needs 52 °C.",
	}, []string{
		"Our six tasters preferred these pieces at 52 °C.",
		"In our kitchen 56 °C tended to give firmer pieces.",
		"The pollack was firmer at 56 °C.",
		"Firmer at 56 °C than at 48 °C in all three sessions.",
		"Our panel scored this delivery higher at 56 °C.",
		"It does not hold for all fish.",
		"We cannot say what guests prefer.",
		"The guests we asked preferred 52 °C.",
		"All in all, 56 °C gave firmer pieces.",
		"In every session 56 °C scored higher.",
		"Does it hold for cod?",
		"“Fish is best at 48 °C”, wrote one taster.",
		"These pieces of pollack held at 52 °C.",
		"56 °C scored 2.8 points higher than 48 °C.",
	}},
	{"wider-than-trial", clearly, []string{
		"Fish is firmer at 56 °C.",
		"Meat firms with heat.",
		"Cod needs 52 °C.",
		"Guests prefer 52 °C.",
	}, []string{
		"Pollack loin, as we buy and cut it, is firmer at 56 °C.",
		"Pollack is firmer at 56 °C.",
		"With this food, as we buy it, 56 °C gives firmer pieces.",
	}},
	{"winner-within-noise", flat, []string{
		"56 °C is better than 48 °C.",
		"56 °C is the best.",
		"56 °C wins.",
		"The winner is 52 °C.",
		"56 °C beats 48 °C.",
		"We prefer 52 °C.",
		"It is firmer at 56 than at 48 °C.",
		"48 °C came out ahead of 56 °C.",
		"52 °C was nicer.",
		"At 56 °C it was tougher than at 48 °C.",
		"56 °C gave more bite than 48 °C.",
		"At 132.8 °F it was firmer than at 118.4 °F.",
		"52 °C was superior.",
		"Softer at 48 °C, firmer at 56 °C.",
		"56 °C scored higher than 48 °C.",
		"The tasters favoured 52 °C.",
	}, []string{
		"56 °C is not better than 48 °C.",
		"There is no winner: 48 and 56 °C tied.",
		"“56 °C is better”, wrote one taster.",
		"No difference was seen between 48 and 56 °C.",
		"Is 56 °C better than 48 °C?",
		"All three scored about 5.",
		"Nobody found 56 °C better than 48 °C.",
		"At 52 °C the pieces scored 5.1.",
	}},
	{"winner-within-noise", clearly, nil, []string{
		"56 °C was firmer than 48 °C.",
		"At 48 °C it was softer than at 56 °C.",
		"It scored higher at 56 than at 48 °C.",
	}},
	{"safe-words", clearly, []string{
		"At 52 °C it is safe to eat.",
		"It is pasteurised at 52 °C.",
		"52 °C kills everything.",
		"There is no risk at 52 °C.",
		"Fine for children.",
		"Safe for everyone.",
		"It can be given to pregnant women.",
		"Kids can eat it.",
		"You can safely serve it at 48 °C.",
		"The germs are dead after 50 minutes.",
		"It keeps for a week in the fridge.",
		"At 52 °C the fish is pasteurized.",
		"A harmless dish.",
		"It is good for older people too.",
		"Without risk for the elderly.",
		"It's not only tender but safe.",
		"Nothing can happen at 52 °C.",
		"Perfect for pregnant guests.",
		"Not dangerous at all.",
		"Suitable for hospital kitchens.",
	}, []string{
		"It is not safe for children.",
		"We do not know whether it is safe.",
		"Is it safe at 52 °C?",
		"This is unsafe.",
		"Never serve it to children.",
		"To be on the safe side we cooked it longer.",
		"56 °C kills the flavour.",
		"A mayonnaise of pasteurised egg yolk came with it.",
		"“Safe”, wrote one taster.",
		"The trial says nothing about safety.",
		"It is not fine for pregnant women.",
		"It isn’t pasteurised.",
	}},
}

// aboutSetPoint is the finding of one check about the set point.
func aboutSetPoint(t testing.TB, r *Result, slug string) Finding {
	t.Helper()
	for _, f := range r.Findings {
		if f.Slug == slug && f.Factor == "" {
			return f
		}
	}
	t.Fatalf("no finding of %s", slug)
	return Finding{}
}

func TestSayings(t *testing.T) {
	t.Parallel()
	for _, w := range allSayings {
		for _, text := range w.fires {
			f := aboutSetPoint(t, w.about.run(t, text), w.slug)
			if f.Outcome != Fires {
				t.Errorf("%s is %s on %q %v %v", w.slug, f.Outcome, text, f.Missing, f.TooFew)
				continue
			}
			// The place is that of a word that stands in the text, on its line.
			if at := int(f.Where.At.Column) - 13; f.Where.At.Line != 7 || at < 0 || at >= len(text) || f.Where.Quote == "" || !strings.Contains(text, f.Where.Quote) {
				t.Errorf("%s on %q at %v, %q", w.slug, text, f.Where.At, f.Where.Quote)
			}
			if us := f.Text.Text(quantity.US); strings.Contains(strings.ReplaceAll(us, f.Where.Quote, ""), "°C") && !strings.Contains(us, "“") {
				t.Errorf("°C for a reader of °F: %s", us)
			}
		}
		for _, text := range w.passes {
			if f := aboutSetPoint(t, w.about.run(t, text), w.slug); f.Outcome == Fires {
				t.Errorf("%s fires on %q: %s", w.slug, text, f.Text.Text(quantity.Metric))
			}
		}
	}
}
