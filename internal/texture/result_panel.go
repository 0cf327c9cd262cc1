package texture

import "tamis/internal/stats"

// PlaceEffect is the effect of the serving place or of what came before.
type PlaceEffect struct {
	Kind   string `json:"kind"` // place, carry-over
	Test   Test   `json:"test"`
	Arms   []Arm  `json:"means,omitempty"`
	Absent string `json:"absent,omitempty"`
}

// Panel is how the panel did on one measure.
type Panel struct {
	Assessors []AssessorLine  `json:"assessors"`
	Product   Test            `json:"product"`
	Crossover Test            `json:"product_by_assessor"`
	ICC       []ICC           `json:"icc,omitempty"`
	Kappa     []Kappa         `json:"kappa,omitempty"`
	Concord   Number          `json:"kendall_w"`
	Segments  *Segments       `json:"segments,omitempty"`
	OutOfStep []string        `json:"out_of_step"` // assessors who run against the panel
	Flat      []string        `json:"indifferent"` // assessors who tell nothing apart
	Complete  bool            `json:"complete"`    // everybody tasted everything
	Warnings  []stats.Warning `json:"warnings,omitempty"`
}

// AssessorLine is one assessor against the panel.
type AssessorLine struct {
	Assessor      string `json:"assessor"`
	N             int    `json:"n"`
	Discriminates Test   `json:"discrimination"`
	Repeatability Number `json:"repeatability_sd"`
	Agreement     Number `json:"agreement_r"`
	Slope         Number `json:"slope"`
	Bias          Number `json:"bias"`
	Verdict       string `json:"verdict"` // in step, reversed, indifferent, not clear, too few
	// Means are by set point; empty where the set point is not varied.
	Means []AssessorMean `json:"means,omitempty"`
}

// ICC is one intraclass correlation.
type ICC struct {
	Form string `json:"form"`
	R    Number `json:"r"`
	Low  Number `json:"low"`
	High Number `json:"high"`
}

// Kappa is the agreement of two scorers.
type Kappa struct {
	A        string `json:"a"`
	B        string `json:"b"`
	Weighted string `json:"weights"`
	K        Number `json:"kappa"`
	Low      Number `json:"low"`
	High     Number `json:"high"`
}

// Segments is whether people want different things.
type Segments struct {
	Shares []ArmShare `json:"shares_preferring"`
	Split  bool       `json:"split"`
	P      Number     `json:"p"`
	Groups [][]string `json:"groups,omitempty"`
	Note   string     `json:"note,omitempty"`
}

// ArmShare is the share of people who like one arm best.
type ArmShare struct {
	Arm   string  `json:"arm"`
	Share float64 `json:"share"`
}

// Penalty is a just-about-right measure against liking.
type Penalty struct {
	Arm      string      `json:"arm"` // "" for all arms together
	Liking   string      `json:"liking"`
	N        int         `json:"n"`
	TooLow   PenaltySide `json:"too_low"`
	Right    PenaltySide `json:"just_right"`
	TooHigh  PenaltySide `json:"too_high"`
	ActAbove float64     `json:"act_above_share"`
}

// PenaltySide is one of the three answers.
type PenaltySide struct {
	Share    Number `json:"share"`
	Liking   Number `json:"mean_liking"`
	Drop     Number `json:"drop"`
	Low      Number `json:"low"`
	High     Number `json:"high"`
	Weighted Number `json:"weighted_drop"`
	Act      bool   `json:"act"`
}
